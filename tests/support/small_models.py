"""Models small enough to try every value of every column."""

from __future__ import annotations

from itertools import product

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, composite

from optimizer.engine import LinearModel

__all__ = ["covering", "least", "small_models"]


def covering(upper: int = 9) -> LinearModel:
    """Cover 11 with bars of 3 for 50 cents and 5 for 80: 5 + 3 + 3 for 180 is cheapest."""
    # 5 + 5 + 3 = 13 costs 210, 3 + 3 + 3 + 3 = 12 costs 200, 5 + 3 + 3 = 11 costs 180.
    model = LinearModel()
    small, large = model.column(50, upper), model.column(80, upper)
    model.row([(small, 3), (large, 5)], lower=11)
    return model


@composite
def small_models(draw: DrawFn) -> LinearModel:
    """Draw up to four columns of at most 5 and up to four rows."""
    model = LinearModel()
    number = draw(st.integers(1, 4))
    for _ in range(number):
        model.column(draw(st.integers(0, 30)), draw(st.integers(0, 5)))
    for _ in range(draw(st.integers(1, 4))):
        terms = [(column, draw(st.integers(-4, 7))) for column in range(number)]
        side = draw(st.integers(-6, 20))
        model.row(terms, *draw(st.sampled_from(((side, None), (None, side), (side, side + 3), (side, side)))))
    return model


def least(model: LinearModel) -> int | None:
    """Give the least cost by trying every value of every column; None if no values hold."""
    everything = product(*(range((upper or 0) + 1) for upper in model.uppers))
    return min((model.cost_of(v) for v in everything if not model.broken(v)), default=None)
