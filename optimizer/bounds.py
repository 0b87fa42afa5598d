"""Lower bounds that do not come from the solver they check: LP duals, believed only in exact arithmetic."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from optimizer.engine import LinearModel

__all__ = ["dual_bound", "up_to_step"]

_GRAIN = 1 << 40


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

    Notes
    -----
    Weak duality: with reduced costs d = c - A'y, c x >= y'(A x) + sum of min(0, d) * upper, and y'(A x) is at
    least y times the row's lower end where y > 0, its upper end where y < 0 (Neumaier and Shcherbina 2004,
    from memory).
    """
    exact = [round(y * _GRAIN) for y in duals]
    reduced = [cost * _GRAIN for cost in model.costs]
    bound = 0
    for y, line in zip(exact, model.lines, strict=True):
        end = line.lower if y > 0 else line.upper
        if not y or end is None:
            continue
        bound += y * end
        for column, coefficient in line.terms.items():
            reduced[column] -= y * coefficient
    for d, upper in zip(reduced, model.uppers, strict=True):
        if d < 0:
            if upper is None:
                return None
            bound += d * upper
    return Fraction(bound, _GRAIN)


def up_to_step(bound: Fraction, step: int) -> int:
    """Round a bound up to the next cost there can be: a multiple of `step`."""
    return -(-bound // step) * step
