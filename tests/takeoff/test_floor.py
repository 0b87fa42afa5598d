"""The floor: a deck of tongue-and-groove panels with the frame under it."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_jobs import inches, job_of, levels

from optimizer.engine import Clock
from optimizer.errors import InputError
from optimizer.lengths import FOOT, INCH
from optimizer.solve import cheapest_plan
from optimizer.words import Problem
from takeoff import take_off
from takeoff.building import building_of
from takeoff.floor import floor_needs
from takeoff.needs import Needed
from takeoff.sizes import standard_book

BOOK = standard_book()


def floor(table: dict[str, Any] | None = None, **keys: Any) -> Needed:
    """Take off the floor of 16 x 10 ft; joists 16 in apart run across it."""
    job = job_of(floor=table or {}, **keys)
    return floor_needs(job, building_of(job, BOOK), BOOK)


def counts(found: Needed) -> dict[str, int]:
    return {part.label: part.count for part in found.parts}


def test_without_a_table_there_is_no_floor():
    """A job that names no floor asks for none of it."""
    job = job_of()

    assert floor_needs(job, building_of(job, BOOK), BOOK) == Needed()


def test_panels_lie_across_the_joists():
    """16 ft along the courses, 10 ft across them; thirteen joists, seams on all but the two at the ends."""
    (surface,) = floor().surfaces

    assert (surface.length, surface.height) == (16 * FOOT, 10 * FOOT)
    assert len(surface.supports) == 13
    assert [s.seam for s in surface.supports] == [False, *[True] * 11, False]
    assert surface.rule.min_supports == 3
    assert surface.rule.blocked_below == 0


def test_a_floor_may_have_sizes_of_its_own():
    """A loft or a porch is no larger than its table says."""
    (surface,) = floor({"length": "8 ft", "width": "6 ft"}).surfaces

    assert (surface.length, surface.height) == (8 * FOOT, 6 * FOOT)


def test_wind_and_lean_rules_are_the_roofs():
    """The floor keeps the usual rules whatever those of the roof, and its [rule] table."""
    usual = floor().surfaces

    assert floor(rules="windy").surfaces == usual
    assert floor(rules="lean", rule={"supports": 2}).surfaces == usual


def test_joists_fit_between_the_rims():
    """Thirteen joists of 120 - 3 in, two rims of 16 ft; without a rim they run through."""
    found = floor({"joist": "2x8"}, width="95 in")
    through = floor({"joist": "2x8", "rim": False}, width="95 in")

    assert [(p.label, p.count, p.length) for p in found.parts] == [("floor joist", 13, inches("92"))]
    assert [(run.label, run.length) for run in found.runs] == [
        ("first rim of the floor", 16 * FOOT),
        ("far rim of the floor", 16 * FOOT),
    ]
    assert through.parts[0].length == inches("95")
    assert through.runs == ()


def test_long_joists_lap_over_a_beam():
    """Where no board is long enough two joists lap in the middle."""
    found = floor({"joist": "2x8", "joist_lap": "12 in"}, width="24 ft", length="30 ft")
    joist = next(p for p in found.parts if p.label == "floor joist")

    # (288 - 3 + 12) / 2 in, two for each of 24 joist lines.
    assert joist.length == inches("148-1/2")
    assert joist.count == 2 * len(found.surfaces[0].supports)


def test_long_rims_are_jointed_on_joists():
    """A rim longer than every board has its joints on joists."""
    found = floor({"joist": "2x8"}, length="30 ft", width="20 ft")
    (joints,) = {run.seams for run in found.runs}

    assert set(joints or ()) <= {support.at for support in found.surfaces[0].supports}
    assert joints


def test_sills_go_round_under_the_joists():
    """Four sills: two along, two between them."""
    found = floor({"sill": "2x6"})

    assert [run.length for run in found.runs] == [16 * FOOT, 16 * FOOT, inches("109"), inches("109")]


@pytest.mark.parametrize(
    ("width", "sawn"),
    [
        # 47-1/2 in courses: 95 in is two of them; 120 in leaves 25 in; 144 in leaves 1-1/2 in.
        ("95 in", False),
        ("120 in", False),
        ("144 in", True),
    ],
)
def test_a_joint_without_tongue_gets_blocking(width, sawn):
    """Where two courses share the cut the joint between them is blocked at all joists, and that is told."""
    found = floor({"joist": "2x8"}, width=width)
    blocking = sum(count for label, count in counts(found).items() if "blocking" in label)

    assert blocking == (12 if sawn else 0)
    assert ("warn" in levels(found, "tongue-and-groove floor")) is sawn


def test_the_blocked_joint_is_the_one_that_is_sawn():
    """In the plan none but the top two courses is ripped, the lower one only where that was foretold."""
    for width in ("120 in", "144 in", "100 in", "190 in"):
        found = floor({"joist": "2x8"}, width=width, length="20 ft")
        foretold = "warn" in levels(found, "tongue-and-groove floor")
        stocks = tuple(i.stock() for i in BOOK.items if i.material == "tg-osb-23/32")
        plan = cheapest_plan(Problem(stocks, found.surfaces), Clock(20), ties=False)
        full = inches("47-3/8")
        sawn = [course.width < full for course in sorted(plan.lay, key=lambda c: c.course)]

        assert not any(sawn[:-2]), width
        assert not any(sawn[:-1]) or foretold, width


def test_panels_must_span_the_joists():
    """The rating's second number is held against the spacing; too far is refused, unknown is warned of."""
    assert levels(floor(), "floor span") == ["pass"]
    assert levels(floor({"panel": "siding-panel"}), "floor span") == ["warn"]
    with pytest.raises(InputError, match=r"floor\.joist_spacing"):
        floor({"panel": "tg-osb-19/32", "joist_spacing": "24 in"})


def test_what_can_not_be_a_floor_is_refused():
    """Boards for panels, joists that touch, and a floor too small to frame."""
    for table, key in (
        ({"panel": "2x4"}, "panel"),
        ({"joist_spacing": "1 in"}, "joist_spacing"),
        ({"length": "2 in"}, "floor"),
    ):
        with pytest.raises(InputError, match=key):
            floor(table)


def test_nails_are_enough_for_the_plan():
    """Counted before the lay-out is known, the nails cover what the plan's own pieces take."""
    found = floor({"joist": "2x8"})
    stocks = tuple(i.stock() for i in BOOK.items if i.material == "tg-osb-23/32")
    plan = cheapest_plan(Problem(stocks, found.surfaces), Clock(20), ties=False)
    taken = 0
    for course in plan.lay:
        for piece in course.pieces:
            inside = [at for at in course.supports if piece.start + INCH < at < piece.end - INCH]
            taken += 2 * (course.width // (6 * INCH) + 1) + len(inside) * (course.width // (12 * INCH) + 1)

    (nails,) = (count.quantity for count in found.counts)
    assert nails >= taken * 6 // 5


def test_spare_floor_panels_are_bought_besides():
    """A spare is asked for in the takeoff, beside the roof's own; of one material they add up."""
    found = take_off(job_of(floor={"spare": 2}), BOOK)
    shared = take_off(job_of(floor={"spare": 2, "panel": "osb-7/16"}), BOOK)

    assert dict(found.spare) == {"osb-7/16": 1, "tg-osb-23/32": 2}
    assert dict(shared.spare) == {"osb-7/16": 3}


@given(st.integers(6, 30), st.sampled_from([12, 16, 19, 24]))
def test_joists_are_never_farther_apart_than_asked(feet, spacing):
    """Whatever the floor, no bay is wider than the spacing."""
    found = floor({"joist_spacing": f"{spacing} in"}, length=f"{feet} ft", width="5 ft", ridge_along="length")
    lines = [support.at for support in found.surfaces[0].supports]

    assert max(after - before for before, after in pairwise(lines)) <= spacing * INCH


def test_every_check_has_a_source():
    """Nothing is claimed without saying who says so."""
    assert all(check.source and check.message for check in floor({"joist": "2x8"}, width="144 in").checks)
