"""Slanting parts that can't nest in any board are planned like square ones; forced runs are in the bound."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from optimizer.engine import Clock
from optimizer.lengths import FOOT, INCH
from optimizer.models.boards import plan_lengths
from optimizer.words import Part, Run, Saw, Stock

STOCKS = tuple(Stock(f"2x6 {n} ft", "2x6", "board", n * FOOT, INCH * 11 // 2, 60 * n) for n in (12, 16, 20))


@given(st.integers(125, 180), st.integers(1, 9), st.integers(0, 6))
def test_rafters_too_long_to_nest_cost_what_square_ones_do(inches, count, slant):
    """Two of 125 in and more fill no 20 ft board together, so their slanting ends save nothing."""
    joists = Part("joist", "2x6", 110 * INCH, count=4)
    slanting = [Part("rafter", "2x6", inches * INCH, count=count, slant=slant * INCH), joists]
    square = [Part("rafter", "2x6", inches * INCH, count=count), joists]
    found = [plan_lengths("2x6", STOCKS, parts, [], Saw(), Clock(10)).outcome for parts in (slanting, square)]

    assert found[0].cost == found[1].cost
    assert found[0].bound == found[1].bound


def test_rafters_that_nest_still_do():
    """Three of 84 in with 4 in of slant take 3 x 80 + 4 in and two kerfs less than three square ones."""
    stock = (Stock("board", "2x6", "board", 246 * INCH, INCH * 11 // 2, 100),)
    nested = [Part("rafter", "2x6", 84 * INCH, count=3, slant=4 * INCH)]
    square = [Part("rafter", "2x6", 84 * INCH, count=3)]

    assert plan_lengths("2x6", stock, nested, [], Saw(), Clock(10)).outcome.cost == 100
    assert plan_lengths("2x6", stock, square, [], Saw(), Clock(10)).outcome.cost == 200


def test_many_sizes_beside_whole_runs_are_proved():
    """Runs without a seam are as fixed as parts: where sizes are too many to list, the bound counts them."""
    parts = [Part(f"piece {n}", "2x6", (31 + 3 * n) * INCH, count=3) for n in range(14)]
    runs = [Run(f"plate {n}", "2x6", (137 + n) * INCH, seams=()) for n in range(6)]
    outcome = plan_lengths("2x6", STOCKS, parts, runs, Saw(), Clock(20)).outcome

    assert outcome.bound == outcome.cost
