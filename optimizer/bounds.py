"""Lower bounds that do not come from the solver they check: LP duals, believed only in exact arithmetic."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import isinf
from typing import Any

from optimizer.columns import PatternLp
from optimizer.engine import LinearModel
from optimizer.witness import SCALE, safe_bound

__all__ = ["SafeDuals", "dual_bound", "safe_duals", "up_to_step"]


def dual_bound(model: LinearModel, duals: Sequence[float]) -> Fraction | None:
    """
    Give the lower bound on a model's cost that row duals imply, in exact arithmetic.

    Parameters
    ----------
    duals
        One for each row, from any LP solver; wrong ones give a weak bound, never a false one.

    Returns
    -------
    Fraction or None
        None where a column that the duals price below zero has no upper bound.

    See Also
    --------
    optimizer.witness.safe_bound
    """
    scaled = safe_bound(model, duals, [0] * len(model.costs), model.uppers, model.costs)
    return None if scaled is None else Fraction(scaled, SCALE)


def up_to_step(bound: Fraction, step: int) -> int:
    """Round a bound up to the next cost there can be: a multiple of `step`."""
    return -(-bound // step) * step


@dataclass(frozen=True)
class SafeDuals:
    """
    Whole-number prices of pieces and bars under which no pattern gains, so that they bound the cost.

    Parameters
    ----------
    scale
        All else is in this fraction of a cost unit.
    gains
        What a piece is worth.
    prices
        What a bar costs: its own cost and, where it is limited, the rent for its scarcity.
    bound
        Lower bound on the cost of every solution over the patterns they were checked against.
    """

    scale: int
    gains: tuple[int, ...]
    prices: tuple[int, ...]
    bound: int


def safe_duals(lp: PatternLp, open_: Any = None) -> SafeDuals:
    """
    Make an LP's duals safe: round them, price all patterns in integers, mend what lets a pattern gain.

    Parameters
    ----------
    lp
        Solved; the bound holds for the question's demands and for bars numbered as the LP was asked.
    open_
        Which pieces may begin where (see `board_kernels`); None leaves all patterns in.
    """
    import numpy as np

    from optimizer.models.board_fillings import fill

    bars = lp.bars
    sizes, most, rooms = bars.arrays
    most_pieces = max(rooms) // min(sizes) + 1
    largest = max(1.0, float(np.abs(lp.lp.duals).max()))
    # No sum over a bar may leave 64 bits.
    scale = max(1, min((1 << 44) // max(1, *bars.costs), int((1 << 61) / (largest * int(most_pieces)))))
    gains = [max(0, int(y * scale)) for y in lp.lp.duals[: len(sizes)]]
    rents = [round(-y * scale) for y in lp.lp.duals[len(sizes) :]]
    best = fill(np.array(gains), sizes, most, rooms, lp.closed if open_ is None else open_, lp.space)
    tops = [max(0, int(top)) for top in best.tops]
    # What has no limit is not scarce.
    rents = [0 if rent > 0 and isinf(high) else rent for rent, high in zip(rents, lp.highs, strict=True)]
    for cost, groups in zip(bars.costs, bars.groups_of, strict=True):
        _spare_debt(rents, cost * scale, groups)
    shrink = Fraction(1)
    prices = []
    for k, (cost, groups) in enumerate(zip(bars.costs, bars.groups_of, strict=True)):
        price = cost * scale + sum(rents[g] for g in groups)
        over = tops[k] - price
        if over > 0 and (rents[k] + over <= 0 or not isinf(lp.highs[k])):
            rents[k] += over
            price += over
        elif over > 0:
            shrink = min(shrink, Fraction(max(0, price), tops[k]))
        prices.append(price)
    gains = [g * shrink.numerator // shrink.denominator for g in gains]
    bound = sum(g * d for g, d in zip(gains, bars.demands, strict=True))
    for rent, low, high in zip(rents, lp.lows, lp.highs, strict=True):
        bound -= rent * int(high if rent > 0 else low) if rent else 0
    return SafeDuals(scale, tuple(gains), tuple(prices), bound)


def _spare_debt(rents: list[int], cost: int, groups: Sequence[int]) -> None:
    """Let no bar's price fall below zero: what there must be most of may be free, but earns nothing."""
    debt = -cost - sum(rents[g] for g in groups)
    for g in groups:
        if debt > 0 and rents[g] < 0:
            forgiven = min(debt, -rents[g])
            rents[g] += forgiven
            debt -= forgiven
