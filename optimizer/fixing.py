"""Columns that no better solution can use: closed by their reduced cost, worked out in exact integers."""

from __future__ import annotations

from collections.abc import Sequence

from optimizer.engine import LinearModel
from optimizer.witness import SCALE, reduced_costs

__all__ = ["narrowed"]


def narrowed(model: LinearModel, multipliers: Sequence[float], below: int) -> LinearModel | None:
    """
    Close the columns that no solution cheaper than a known one uses.

    Parameters
    ----------
    multipliers
        One float a row, the duals of a relaxation; any are valid.
    below
        Cost of the known solution.

    Returns
    -------
    LinearModel or None
        The same columns and rows, with upper bounds lowered: it holds every solution that costs less than
        `below`. None if the multipliers show that there is none.

    Notes
    -----
    With multipliers y, cost >= base + sum of d_j x_j over the columns whose reduced cost d_j is positive, so
    x_j <= (limit - base) / d_j (reduced cost fixing: Nemhauser and Wolsey 1988, from memory).
    """
    step = model.step()
    limit = SCALE * ((below - 1) // step * step)
    base, reduced = reduced_costs(model, multipliers, model.costs)
    for rest, upper in zip(reduced, model.uppers, strict=True):
        if rest < 0:
            if upper is None:
                return model
            base += rest * upper
    if base > limit:
        return None
    uppers = list(model.uppers)
    for column, rest in enumerate(reduced):
        if rest > 0:
            most = (limit - base) // rest
            upper = uppers[column]
            uppers[column] = most if upper is None else min(upper, most)
    return LinearModel(list(model.costs), uppers, list(model.lines))
