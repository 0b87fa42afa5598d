"""Ripped parts planned with what is cut to length: one purchase, cut by real saw cuts."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer.engine import Clock
from optimizer.lengths import FOOT, INCH
from optimizer.models.ripped import bound_of_any_cuts, plan_with_blanks
from optimizer.models.sheets import plan_sheets
from optimizer.solve import cheapest_plan
from optimizer.words import Part, Problem, Run, Saw, Stock

WIDE = INCH * 7 // 2
LANE = (WIDE - INCH // 8) // 2
STOCKS = tuple(
    Stock(f"2x4 {n} ft", "2x4", "board", n * FOOT, WIDE, price) for n, price in ((8, 365), (12, 645))
)


def strip(label: str, inches: int, count: int = 1, width: int = LANE) -> Part:
    return Part(label, "2x4", inches * INCH, width, count)


def test_two_legs_come_from_one_blank():
    """Two strips of half a board's width lie side by side in 80 in of one board; the plate takes another."""
    plan = plan_with_blanks(
        "2x4", STOCKS, [strip("leg", 80, 2)], [Part("plate", "2x4", 90 * INCH)], [], Saw(), Clock(10)
    )

    assert plan is not None
    assert plan.outcome.cost == 2 * 365
    assert plan.outcome.proved
    assert "blanks" in plan.outcome.family
    assert Counter(piece.label for cut in plan.cuts for piece in cut.pieces) == {"leg": 2, "plate": 1}


def test_ripped_parts_share_boards_with_the_rest():
    """A blank of 40 in fits beside a part of 50 in, where planning apart would open a second board."""
    problem = Problem(STOCKS, runs=(Run("plate", "2x4", 50 * INCH, seams=()),), parts=(strip("stop", 40, 2),))

    assert cheapest_plan(problem, Clock(10)).total == 365


def test_stocks_of_two_widths_are_left_to_others():
    """Blanks are as wide as the board, so all boards must be of one width, and boards."""
    other = Stock("2x6 8 ft", "2x4", "board", 8 * FOOT, INCH * 11 // 2, 500)
    sheet = Stock("sheet", "2x4", "sheet", 8 * FOOT, 4 * FOOT, 500)

    assert plan_with_blanks("2x4", [*STOCKS, other], [strip("leg", 80)], [], [], Saw(), Clock(5)) is None
    assert plan_with_blanks("2x4", [sheet], [strip("leg", 80)], [], [], Saw(), Clock(5)) is None


def test_a_part_named_like_a_blank_keeps_its_name():
    """Labels of blanks keep clear of the parts' own."""
    plan = plan_with_blanks(
        "2x4", STOCKS, [strip("leg", 80, 2)], [Part("blank 1", "2x4", 90 * INCH)], [], Saw(), Clock(5)
    )

    assert plan is not None
    assert {piece.label for cut in plan.cuts for piece in cut.pieces} == {"leg", "blank 1"}


@pytest.mark.parametrize("lanes", [1, 2, 3])
def test_lanes_of_unequal_lengths_are_trimmed(lanes):
    """Strips of three lengths side by side: the audit accepts the rips and the cuts after them."""
    width = (WIDE - (lanes - 1) * INCH // 8) // lanes - (INCH // 2 if lanes == 1 else 0)
    parts = (strip("a", 80, 1, width), strip("b", 60, 1, width), strip("c", 41, 2, width))
    problem = Problem(
        STOCKS, runs=(Run("plate", "2x4", 20 * FOOT, seams=(8 * FOOT, 12 * FOOT)),), parts=parts
    )
    plan = cheapest_plan(problem, Clock(10))

    assert Counter(p.label for cut in plan.cut for p in cut.pieces for _ in range(cut.repeat)) >= Counter(
        {"a": 1, "b": 1, "c": 2}
    )


@given(
    st.lists(st.tuples(st.integers(10, 90), st.integers(1, 3)), min_size=1, max_size=3),
    st.lists(st.tuples(st.integers(10, 140), st.integers(1, 3)), min_size=1, max_size=3),
    st.sampled_from([LANE, INCH, INCH * 2]),
)
def test_mixed_boards_pass_their_audit(strips, wholes, width):
    """Whatever is ripped and cut, the plan passes its audit and buys no less than its parts measure."""
    parts = tuple(strip(f"strip {n}", inches, count, width) for n, (inches, count) in enumerate(strips))
    parts += tuple(Part(f"whole {n}", "2x4", i * INCH, count=c) for n, (i, c) in enumerate(wholes))
    problem = Problem(STOCKS, runs=(Run("plate", "2x4", 10 * FOOT, seams=()),), parts=parts)
    plan = cheapest_plan(problem, Clock(5))
    cut = Counter(p.label for c in plan.cut for p in c.pieces for _ in range(c.repeat))
    bought = sum(line.count * (8 if "8 ft" in line.stock else 12) * FOOT for line in plan.buy)

    assert all(cut[part.label] == part.count for part in parts)
    assert bought * WIDE >= sum(p.length * (p.width or WIDE) * p.count for p in parts) + 10 * FOOT * WIDE


@settings(max_examples=12)
@given(
    st.lists(
        st.tuples(st.integers(10, 60), st.sampled_from([6, 10, 12, 17]), st.integers(1, 3)),
        min_size=1,
        max_size=2,
    ),
    st.lists(st.tuples(st.integers(20, 90), st.integers(1, 3)), min_size=1, max_size=2),
)
def test_no_plan_of_any_cuts_undercuts_the_bound(ripped, crosscut):
    """Neither ripped from blanks, nor cut in up to three stages, costs less than lengths by their area."""
    stocks = [
        Stock(f"2x4 {feet} ft", "2x4", "board", feet * FOOT, 7 * INCH // 2, 50 * feet + 7) for feet in (8, 10)
    ]
    strips = [
        Part(f"stop {n}", "2x4", inches * INCH, width * INCH // 8, count)
        for n, (inches, width, count) in enumerate(ripped)
    ]
    parts = [
        Part(f"stud {n}", "2x4", inches * INCH, count=count) for n, (inches, count) in enumerate(crosscut)
    ]
    bound, witnesses = bound_of_any_cuts("2x4", stocks, strips, parts, [], Saw(), Clock(20))
    mixed = plan_with_blanks("2x4", stocks, strips, parts, [], Saw(), Clock(20))
    staged = plan_sheets("2x4", stocks, [*strips, *parts], Saw(), Clock(20))

    assert mixed is not None
    assert 0 < bound <= min(mixed.outcome.cost, staged.outcome.cost)
    assert len(witnesses) > 1
