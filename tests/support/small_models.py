"""Models small enough to try every value of every column, and one that nobody settles."""

from __future__ import annotations

from itertools import product
from random import Random

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, composite

from optimizer.engine import LinearModel

__all__ = ["covering", "endless", "least", "small_models"]


def covering(upper: int = 9) -> LinearModel:
    """Cover 11 with bars of 3 for 50 cents and 5 for 80: 5 + 3 + 3 for 180 is cheapest."""
    # 5 + 5 + 3 = 13 costs 210, 3 + 3 + 3 + 3 = 12 costs 200, 5 + 3 + 3 = 11 costs 180.
    model = LinearModel()
    small, large = model.column(50, upper), model.column(80, upper)
    model.row([(small, 3), (large, 5)], lower=11)
    return model


def endless() -> LinearModel:
    """Split forty weights evenly, five times at once: far beyond what a solver settles in a minute."""
    # Market split: Cornuejols and Dawande 1998, from memory (not re-checked).
    random, model = Random(7), LinearModel()
    columns = [model.column(0, 1) for _ in range(40)]
    for _ in range(5):
        weights = [random.randint(1, 99) for _ in columns]
        over, under = model.column(1, 5000), model.column(1, 5000)
        half = sum(weights) // 2
        model.row([*zip(columns, weights, strict=True), (over, -1), (under, 1)], lower=half, upper=half)
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
