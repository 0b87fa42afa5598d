"""
The second witness: a branch and bound of our own whose every leaf is checked in exact integers.

A linear-programming solver only proposes: floats become integer multipliers of the rows, and weak duality,
worked out in Python integers, turns them into a bound that holds whatever the solver did.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import ceil, floor

from optimizer.engine import Clock, LinearModel, Relaxation, run_cpsat

__all__ = [
    "CHECKED",
    "OWN_BRANCHING",
    "SCALE",
    "reduced_costs",
    "safe_bound",
    "second_witness",
    "shows_at_least",
]

CHECKED = "LP duals checked in integers"
OWN_BRANCHING = "branching on LPs, every leaf checked in integers"
SCALE = 1 << 36
"""Multipliers are kept to this fraction."""


def safe_bound(
    model: LinearModel,
    multipliers: Sequence[float],
    lowers: Sequence[int],
    uppers: Sequence[int | None],
    costs: Sequence[int],
) -> int | None:
    """
    Turn row multipliers into a lower bound on the cost that holds exactly.

    Parameters
    ----------
    multipliers
        One float a row; the bound is valid for any, and tight for the LP's duals.
    lowers, uppers
        Bounds of the columns.
    costs
        Of the columns; all 0 to show that no solution exists (bound above 0).

    Returns
    -------
    int or None
        `SCALE` times a lower bound; None if an unbounded column spoils it.

    Notes
    -----
    Weak duality: cost >= sum of y_i * side_i + sum over columns of the least (c_j - y A_j) x_j (Neumaier and
    Shcherbina 2004, from memory).
    """
    total, reduced = reduced_costs(model, multipliers, costs)
    for rest, low, high in zip(reduced, lowers, uppers, strict=True):
        if rest >= 0:
            total += rest * low
        elif high is None:
            return None
        else:
            total += rest * high
    return total


def reduced_costs(
    model: LinearModel, multipliers: Sequence[float], costs: Sequence[int]
) -> tuple[int, list[int]]:
    """
    Price every row by its multiplier.

    Returns
    -------
    tuple
        `SCALE` times a constant and what is left of each column's cost: every solution costs at least the
        constant and its columns at those prices.
    """
    total = 0
    reduced = [SCALE * cost for cost in costs]
    for line, value in zip(model.lines, multipliers, strict=True):
        y = round(value * SCALE)
        side = line.lower if y > 0 else line.upper
        if y == 0 or side is None:
            continue
        total += y * side
        for column, coefficient in line.terms.items():
            reduced[column] -= y * coefficient
    return total, reduced


def shows_at_least(
    model: LinearModel,
    target: int,
    clock: Clock,
    leaves: int = 400,
    first: Sequence[Sequence[int]] = (),
) -> bool:
    """
    Try to show that no solution of `model` costs less than `target`.

    Parameters
    ----------
    leaves
        Give up after so many.
    first
        Groups of columns to branch on before all others, after what is bought: those that decide most.

    Returns
    -------
    bool
        True only if every leaf of the tree was closed by a bound checked in integers.
    """
    step = model.step()
    below = (target - 1) // step * step
    priced = [c for c, cost in enumerate(model.costs) if cost]
    groups = [priced, *first, range(len(model.costs))]
    relaxation = Relaxation(model)
    stack: list[dict[int, tuple[int, int | None]]] = [{}]
    while stack:
        if clock.left() <= 0 or leaves <= 0:
            return False
        changed = stack.pop()
        lowers = [0] * len(model.costs)
        uppers = list(model.uppers)
        for column, bounds in changed.items():
            lowers[column], uppers[column] = bounds
        relaxed = relaxation.solve(changed, clock)
        if relaxed is None:
            return False
        costs = [0] * len(model.costs) if relaxed.infeasible else model.costs
        bound = safe_bound(model, relaxed.duals, lowers, uppers, costs)
        if bound is not None and bound > (0 if relaxed.infeasible else SCALE * below):
            leaves -= 1
            continue
        if relaxed.infeasible:
            return False
        split = _fractional(relaxed.values, groups)
        if split is None:
            return False
        value = relaxed.values[split]
        stack.append({**changed, split: (lowers[split], floor(value))})
        stack.append({**changed, split: (ceil(value), uppers[split])})
    return True


def second_witness(model: LinearModel, target: int, share: Callable[[], Clock], leaves: int) -> str | None:
    """
    Name who else shows that nothing costs less than `target`; None if nobody does.

    Parameters
    ----------
    share
        Gives each of those who are asked their time, when their turn comes.
    leaves
        See `shows_at_least`.
    """
    if shows_at_least(model, target, share(), leaves):
        return OWN_BRANCHING
    return "CP-SAT" if run_cpsat(model, share(), below=target).infeasible else None


def _fractional(values: Sequence[float], groups: Sequence[Sequence[int]]) -> int | None:
    """Choose the column to branch on: the most fractional one of the first group that has any."""
    for columns in groups:
        distance, column = max(((abs(values[c] - round(values[c])), -c) for c in columns), default=(0.0, 0))
        if distance > 1e-6:
            return -column
    return None
