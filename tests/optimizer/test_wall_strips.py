"""Walls in upright strips: many sizes, slopes that end in a strip, parts out of openings."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer.audit import audit_plan
from optimizer.audit_corners import alike
from optimizer.engine import Clock
from optimizer.lengths import INCH
from optimizer.models.shaped import _thinned
from optimizer.patterns import packings
from optimizer.solve import cheapest_plan
from optimizer.words import Hole, Part, Problem, SeamRule, Stock, Surface

RULE = SeamRule(gap=0, min_supports=0, shortest=0, stagger=0, narrowest=24 * INCH)
PANELS = tuple(
    Stock(f"siding 4x{feet}", "siding", "sheet", feet * 12 * INCH, 48 * INCH, cents)
    for feet, cents in ((8, 4620), (9, 5480), (10, 6390))
)


def wall(mark: str, corners, width: int, holes=(), spacing: int = 16) -> Surface:
    """A wall of these corners (up, along) in inches, anticlockwise; no corners: 96 in high."""
    edges = {at * INCH for at in range(spacing, width, spacing)}
    edges |= {side for hole in holes for side in (hole.y, hole.y + hole.height)}
    outline = tuple((up * INCH, along * INCH) for up, along in corners)
    high = max((up for up, _ in outline), default=96 * INCH)
    return Surface(
        f"wall {mark}",
        "siding",
        high,
        width * INCH,
        (),
        RULE,
        mark=mark,
        outline=outline,
        holes=tuple(holes),
        edges=tuple(sorted(edges)),
        upright=True,
    )


def hole(up: int, along: int, high: int, wide: int) -> Hole:
    return Hole("opening", up * INCH, along * INCH, high * INCH, wide * INCH)


def test_a_slope_that_ends_inside_a_strip_is_one_piece():
    """A wall that rises to 96 in and goes on level: its pieces are as long as the sheet, and no longer."""
    corners = ((0, 0), (40, 0), (96, 40), (96, 96), (0, 96))
    problem = Problem(PANELS[:1], surfaces=(wall("A", corners, 96),))
    plan = cheapest_plan(problem, Clock(20))

    assert not audit_plan(problem, plan)
    assert plan.buy[0].needed == 2


def test_openings_of_odd_sizes_are_planned_too():
    """Many widths and small pieces are too many ways to list: the family says what was left out."""
    gable = ((0, 0), (6, 0), (33, 108), (6, 216), (0, 216))
    walls = (
        wall("A", (), 336, (hole(0, 154, 77, 28), hole(40, 61, 31, 23), hole(45, 215, 29, 31))),
        *(wall(mark, gable, 216, spacing=24) for mark in "BC"),
        *(wall(mark, (), 216) for mark in "DE"),
        wall("F", (), 336, (hole(43, 75, 37, 27),)),
    )
    problem = Problem(PANELS, surfaces=walls)
    plan = cheapest_plan(problem, Clock(30))

    assert not audit_plan(problem, plan)
    assert "no strips meeting beside an opening" in plan.outcomes[0].family


def test_a_stud_beside_an_opening_is_kept_where_it_is_needed():
    """116 in in strips of 24 to 48 on studs 16 in apart: 32, 48, 36 or the like, all by way of 80 in."""
    one = wall("A", (), 116, (hole(0, 36, 73, 44),))
    thin = _thinned(one, PANELS)

    assert 80 * INCH in thin.edges
    assert 36 * INCH not in _thinned(wall("A", (), 192, (hole(0, 36, 73, 44),)), PANELS).edges


def test_a_door_comes_out_of_its_opening():
    """Three walls of 48 in take three sheets, and the door that fits the opening none."""
    one = wall("A", (), 48, (hole(0, 6, 81, 36),), spacing=24)
    others = tuple(wall(mark, (), 48, spacing=24) for mark in "BC")
    door = Part("door", "siding", 159 * INCH // 2, 71 * INCH // 2)
    problem = Problem(PANELS[:1], surfaces=(one, *others), parts=(door,))
    plan = cheapest_plan(problem, Clock(20))

    assert not audit_plan(problem, plan)
    assert plan.buy[0].needed == 3


def test_an_opening_turns_over_with_its_piece():
    """A notch at the lower right of a piece 10 x 6 lies at its lower left with the other face up."""
    right, left = ((), ((7, 0, 3, 2),)), ((), ((0, 0, 3, 2),))

    assert alike(right, left, 10, 6, may_flip=True)
    assert not alike(right, left, 10, 6, may_flip=False)
    assert alike(right, ((), ((0, 4, 3, 2),)), 10, 6, may_flip=False)


@settings(deadline=None, max_examples=50)
@given(
    sizes=st.lists(st.integers(2, 30), min_size=1, max_size=6, unique=True),
    room=st.integers(5, 60),
    most=st.integers(1, 5),
)
def test_few_pieces_side_by_side(sizes, room, most):
    """Packings of at most so many pieces fit, and are full or as many as they may be."""
    for packing in packings(sizes, room, 1, most):
        used = sum(packing) + len(packing) - 1
        assert used <= room
        assert len(packing) == most or room - used - 1 < min(sizes)
