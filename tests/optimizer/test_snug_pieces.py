"""Pieces exactly as long as a board, beside lengths without a common step."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer.engine import Clock
from optimizer.lengths import FOOT, INCH
from optimizer.models.boards import plan_lengths
from optimizer.words import Part, Run, Saw, Stock

STOCKS = tuple(
    Stock(f"{n} ft", "2x6", "board", n * FOOT, INCH * 11 // 2, 50 * n) for n in (8, 10, 12, 16, 20)
)


@settings(max_examples=6)
@given(st.integers(1, 4000), st.sampled_from([8, 12, 20]))
def test_a_piece_as_long_as_a_board_is_planned(odd, feet):
    """Many lengths off every mark, and whole boards besides: planned, within a fiftieth of the bound."""
    parts = [Part(f"gable stud {n}", "2x6", (13 + 9 * n) * INCH + 7 * odd * n + 1, count=3) for n in range(9)]
    whole = Part("whole", "2x6", feet * FOOT, count=5)
    runs = [
        Run("plate", "2x6", 24 * FOOT, shortest=4 * FOOT, seams=tuple(n * 16 * INCH for n in range(1, 18)))
    ]
    outcome = plan_lengths("2x6", STOCKS, [*parts, whole], runs, Saw(), Clock(10)).outcome

    assert outcome.cost * 50 <= outcome.bound * 51
