"""The audit of shaped surfaces: a sound plan broken in one way, and exactly that complaint."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from off_by_one import numbers

from optimizer.audit import audit_plan
from optimizer.engine import Clock
from optimizer.lengths import INCH
from optimizer.plan import Plan, ShapeCut
from optimizer.solve import cheapest_plan
from optimizer.words import Hole, Part, Problem, SeamRule, Stock, Support, Surface

PANEL = Stock("osb 4x8", "osb", "sheet", 96 * INCH, 48 * INCH, 1500)
SIDING = Stock("siding 4x8", "siding", "sheet", 96 * INCH, 48 * INCH, 4000)
RULE = SeamRule(0, 3, 24 * INCH, 24 * INCH, 24 * INCH)
UPRIGHT = SeamRule(0, 0, 0, 0, 16 * INCH)


def hip(label: str) -> Surface:
    """A trapezoid 192 in at the eave, 96 in at the ridge, 96 in up the slope: two courses."""
    corners = ((0, 0), (192 * INCH, 0), (144 * INCH, 96 * INCH), (48 * INCH, 96 * INCH))
    supports = tuple(Support(at * INCH) for at in range(24, 192, 24))
    return Surface(label, "osb", 192 * INCH, 96 * INCH, supports, RULE, mark=label, outline=corners)


WALL = Surface(
    "W",
    "siding",
    90 * INCH,
    144 * INCH,
    (),
    UPRIGHT,
    mark="W",
    holes=(Hole("door", 0, 54 * INCH, 80 * INCH, 36 * INCH),),
    edges=tuple(at * INCH for at in range(16, 144, 16)),
    upright=True,
)
SKIN = Part("skin", "siding", 79 * INCH, 35 * INCH)
CHIMNEY = replace(
    hip("C"),
    outline=(),
    length=192 * INCH,
    holes=(Hole("chimney", 72 * INCH, 0, 24 * INCH, 48 * INCH),),
    supports=tuple(Support(at * INCH) for at in range(0, 193, 24)),
)
PROBLEM = Problem((PANEL, SIDING), surfaces=(hip("F"), hip("B"), CHIMNEY, WALL), parts=(SKIN,))


@cache
def good() -> Plan:
    plan = cheapest_plan(PROBLEM, Clock(60))
    assert audit_plan(PROBLEM, plan) == ()
    return plan


def rules(plan: Plan) -> set[str]:
    return {complaint.rule for complaint in audit_plan(PROBLEM, plan)}


def with_course(plane: str, number: int, **changed) -> Plan:
    plan = good()
    lay = tuple(replace(c, **changed) if (c.plane, c.course) == (plane, number) else c for c in plan.lay)
    return replace(plan, lay=lay)


def course(plane: str, number: int):
    return next(c for c in good().lay if (c.plane, c.course) == (plane, number))


def with_cut(holds, change) -> Plan:
    """Change the first cut for which `holds` is true."""
    plan = good()
    place = next(n for n, cut in enumerate(plan.cut) if holds(cut))
    changed = change(plan.cut[place])
    return replace(plan, cut=(*plan.cut[:place], changed, *plan.cut[place + 1 :]))


def slanting(cut) -> bool:
    return any(step.kind == "slant" for step in cut.shaping)


def test_the_plan_has_what_the_tests_break():
    """Nested slanting pieces, a part out of an opening, a course that a hole parts."""
    plan = good()

    assert any(slanting(cut) and len(cut.pieces) > 1 for cut in plan.cut)
    assert any(step.label == "skin" for cut in plan.cut for step in cut.shaping)
    assert course("C", 1).open


@pytest.mark.parametrize("change", [-1, 1])
def test_no_number_of_a_shaped_plan_is_idle(change):
    """Whichever integer of the plan is off by one, the audit notices."""
    unnoticed = [other for other in numbers(good().lay, change) if rules(replace(good(), lay=other)) == set()]
    unnoticed += [
        other for other in numbers(good().cut, change) if rules(replace(good(), cut=other)) == set()
    ]

    assert unnoticed == []


def test_a_slant_that_is_not_sawn_is_missed():
    """Leave out one slanting cut."""
    assert rules(with_cut(slanting, lambda cut: replace(cut, shaping=cut.shaping[1:]))) == {"step"}


def test_a_slant_too_many_is_noticed():
    """Saw through a piece."""
    more = ShapeCut("slant", "F1.1", ((0, 0), (10, 10)))
    assert rules(with_cut(slanting, lambda cut: replace(cut, shaping=(*cut.shaping, more)))) == {"step"}


def test_nested_pieces_keep_a_kerf():
    """Push one of two nested pieces an eighth of an inch into the other."""

    def pushed(cut):
        last = max(cut.pieces, key=lambda p: p.x)
        by = -INCH // 4
        moved = replace(last, x=last.x + by, corners=tuple((x + by, y) for x, y in last.corners))
        return replace(cut, pieces=tuple(moved if p is last else p for p in cut.pieces))

    found = rules(with_cut(lambda c: slanting(c) and sum(bool(p.corners) for p in c.pieces) > 1, pushed))
    assert "overlap" in found


def test_a_mirrored_piece_is_another_piece():
    """Where faces must be up, a left-hand piece does not serve on the right."""

    def flipped(cut):
        piece = next(p for p in cut.pieces if p.corners)
        far = 2 * piece.x + piece.length
        other = replace(piece, corners=tuple((far - x, y) for x, y in piece.corners))
        return replace(cut, pieces=tuple(other if p is piece else p for p in cut.pieces))

    assert "size" in rules(with_cut(slanting, flipped))


def test_a_piece_may_not_reach_over_the_outline():
    """A corner an inch outside."""
    first = course("F", 1)
    piece = first.pieces[0]
    out = replace(piece, start=piece.start - INCH, corners=((piece.start - INCH, 0), *piece.corners[1:]))

    assert "end" in rules(with_course("F", 1, pieces=(out, *first.pieces[1:])))


def test_a_piece_left_out_leaves_a_hole():
    """The first course without its second piece."""
    first = course("F", 1)

    assert {"end", "gap"} & rules(with_course("F", 1, pieces=(first.pieces[0], *first.pieces[2:])))


def test_an_opening_that_is_not_cut_out_is_noticed():
    """A panel laid over the door."""
    holed = next(c for c in good().lay if c.plane == "W" and any(p.openings for p in c.pieces))
    solid = tuple(replace(p, openings=()) for p in holed.pieces)

    assert "end" in rules(with_course("W", holed.course, pieces=solid))


def test_a_hole_that_a_course_does_not_tell_of_is_noticed():
    """The chimney's stretch left out of what the course says."""
    assert "uncovered" in rules(with_course("C", 1, open=()))


def test_strips_meet_on_the_lines_they_may():
    """A strip an inch wider than from stud to stud."""
    first = course("W", 1)

    assert {"bottom", "seam"} & rules(with_course("W", 1, width=first.width + INCH))


def test_seams_of_neighbouring_courses_keep_apart():
    """The upper course's seams told as the lower one's."""
    assert "stagger" in rules(with_course("F", 2, seams=course("F", 1).seams))


def test_a_part_out_of_an_opening_lies_a_kerf_within():
    """The door's skin moved to the edge of the opening."""

    def moved(cut):
        skin = next(p for p in cut.pieces if p.label == "skin")
        shifted = replace(skin, x=skin.x - INCH // 8, y=skin.y - INCH // 8)
        return replace(cut, pieces=tuple(shifted if p is skin else p for p in cut.pieces))

    found = rules(with_cut(lambda c: any(p.label == "skin" for p in c.pieces), moved))
    assert found & {"overlap", "region", "step"}
