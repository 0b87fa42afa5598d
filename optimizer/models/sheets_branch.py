"""
Whether listed yields can meet the demand within a purchase, shown by integers alone.

Every row reads "this sum of patterns is at least that": the demands, the sheets (with minus signs), and
rounding cuts, each an integer combination of those rows divided by a small number and rounded up, which no
whole solution breaks. The LP of a node proposes multipliers for the rows; rounded to integers they must
show that the rows contradict each other within the node's limits. No float decides.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache
from itertools import combinations, product

import numpy as np
import numpy.typing as npt

from optimizer.engine import Clock, LinearModel, Relaxed, solve_relaxed

__all__ = ["refuted"]

Whole = npt.NDArray[np.int64]

FINE = 1_000_000
"""Multipliers are rounded down to so many parts of one."""

MOST_ROWS = 25
"""With more rows to add up, three of them are only halved, not taken by thirds."""

MOST_NODES = 3000
CUTS_A_ROUND = 25
CUT_ROUNDS = 12


def refuted(
    yields: Sequence[tuple[int, tuple[int, ...]]],
    wanted: Sequence[int],
    purchase: Sequence[int],
    clock: Clock,
) -> bool:
    """
    Say whether it is shown that a purchase can't make all that is wanted.

    Parameters
    ----------
    yields
        The number of a sheet and what one pattern makes of it, for all patterns there are.
    purchase
        How many of each sheet there are.
    """
    if not yields:
        return True
    made = np.array([y for _, y in yields], dtype=np.int64).T
    sheets = [s for s, _ in yields]
    kinds = np.array([[-int(s == x) for x in sheets] for s in range(len(purchase))], dtype=np.int64)
    rows = _Rows(np.vstack([made, kinds]), np.array([*wanted, *(-n for n in purchase)], dtype=np.int64))
    high = np.minimum(
        np.array(purchase, dtype=np.int64)[sheets],
        (-(-rows.least[: len(wanted), None] // np.maximum(made, 1))).max(0),
    )
    open_nodes = [(np.zeros_like(high), high, CUT_ROUNDS)]
    nodes = MOST_NODES
    while open_nodes:
        nodes -= 1
        low, high, rounds = open_nodes.pop()
        values = _fractions(rows, low, high, rounds, clock)
        if values is None:
            continue
        off = np.minimum(values % 1, 1 - values % 1)
        split = int(off.argmax())
        if off[split] < 1e-6 or nodes <= 0 or clock.left() <= 0:
            return False
        below, above = high.copy(), low.copy()
        below[split] = int(values[split])
        above[split] = int(values[split]) + 1
        open_nodes += [(low, below, 2), (above, high, 2)]
    return True


class _Rows:
    """Rows `terms @ x >= least`; the first `base` are given, the others are cuts."""

    def __init__(self, terms: Whole, least: Whole) -> None:
        self.terms, self.least, self.base = terms, least, len(least)

    def add(self, terms: Whole, least: Whole) -> None:
        self.terms = np.vstack([self.terms, terms])
        self.least = np.concatenate([self.least, least])


def _fractions(
    rows: _Rows, low: Whole, high: Whole, rounds: int, clock: Clock
) -> npt.NDArray[np.float64] | None:
    """Give an LP solution that no cut found is able to break; None if the node is refuted."""
    while True:
        relaxed = _relax(rows, low, high, clock)
        if relaxed is None:
            return np.full(len(low), 0.5)
        if relaxed.value > 1e-7 and _impossible(np.array(relaxed.duals), rows, low, high):
            return None
        values = np.array(relaxed.values[: len(low)])
        if rounds <= 0 or relaxed.value > 1e-7 or not _cut(rows, values):
            return values
        rounds -= 1


def _relax(rows: _Rows, low: Whole, high: Whole, clock: Clock) -> Relaxed | None:
    """Minimise by how much the rows are broken; columns count from their lower limits."""
    model = LinearModel()
    for lower, upper in zip(low.tolist(), high.tolist(), strict=True):
        model.column(0, upper - lower)
    given = rows.terms @ low
    for terms, least in zip(rows.terms, (rows.least - given).tolist(), strict=True):
        columns = terms.nonzero()[0]
        slack = model.column(1)
        model.row([(slack, 1), *zip(columns.tolist(), terms[columns].tolist(), strict=True)], lower=least)
    found = solve_relaxed(model, clock)
    if found is None:
        return None
    values = [x + lower for x, lower in zip(found.values, low.tolist(), strict=False)]
    return Relaxed(found.value, found.duals, tuple(values))


def _impossible(duals: npt.NDArray[np.float64], rows: _Rows, low: Whole, high: Whole) -> bool:
    """Check in integers that the rows, so weighted, contradict each other within the limits."""
    weights = np.floor(np.maximum(duals, 0) * FINE).astype(np.int64)
    gains = weights @ rows.terms
    most = np.where(gains > 0, gains * high, gains * low)
    return int(weights @ rows.least) > int(most.sum())


@cache
def _weights(count: int) -> tuple[Whole, Whole]:
    """Give multipliers of so many rows, a line for each proposal, and the numbers to divide by."""
    proposals: list[tuple[tuple[int, ...], tuple[int, ...], int]] = [
        ((row,), (1,), divisor) for row in range(count) for divisor in (2, 3, 4, 5)
    ]
    for pair in combinations(range(count), 2):
        for divisor in (2, 3, 4):
            proposals += [(pair, times, divisor) for times in product(range(1, divisor), repeat=2)]
    for triple in combinations(range(count), 3):
        proposals.append((triple, (1, 1, 1), 2))
        if count <= MOST_ROWS:
            proposals += [(triple, times, 3) for times in product((1, 2), repeat=3)]
    weights = np.zeros((len(proposals), count), dtype=np.int64)
    for line, (chosen, times, _) in enumerate(proposals):
        weights[line, list(chosen)] = times
    return weights, np.array([divisor for _, _, divisor in proposals], dtype=np.int64)


def _cut(rows: _Rows, values: npt.NDArray[np.float64]) -> int:
    """Add the rounding cuts that the values break most; say how many."""
    weights, divisors = _weights(rows.base)
    terms, least = rows.terms[: rows.base], rows.least[: rows.base]
    used = values > 1e-9
    sums = -(-(weights @ terms[:, used]) // divisors[:, None])
    bounds = -(-(weights @ least) // divisors)
    broken = bounds - sums @ values[used]
    worst = np.argsort(-broken, kind="stable")[:CUTS_A_ROUND]
    worst = worst[broken[worst] > 1e-4]
    if len(worst):
        rows.add(-(-(weights[worst] @ terms) // divisors[worst, None]), bounds[worst])
    return len(worst)
