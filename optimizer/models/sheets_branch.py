"""
Whether listed patterns can meet the demand within a purchase, shown by integers alone.

Every row reads "this sum of patterns is at least that": the demands, the sheets (with minus signs), and
rounding cuts, each an integer combination of those rows divided by a small number and rounded up, which no
whole solution breaks. The LP of a node proposes multipliers for the rows; rounded to integers they must
show that the rows contradict each other within the node's limits. No float decides.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, product

import numpy as np
import numpy.typing as npt

from optimizer.engine import Clock, LinearModel, Relaxed, solve_relaxed
from optimizer.models.sheets_trees import Pattern

__all__ = ["refuted"]

Whole = npt.NDArray[np.int64]

FINE = 1_000_000
"""Multipliers are rounded down to so many parts of one."""

CUTS_A_ROUND = 25
CUT_ROUNDS = 12


def refuted(
    pool: Mapping[Pattern, tuple[int, ...]],
    wanted: Sequence[int],
    purchase: Sequence[int],
    clock: Clock,
    nodes: int = 500,
) -> bool:
    """Say whether it is shown that a purchase, cut by patterns of the pool, can't make all that is wanted."""
    if not pool:
        return True
    made = np.array(list(pool.values()), dtype=np.int64).T
    sheets = [p.sheet for p in pool]
    kinds = np.array([[-int(s == x) for x in sheets] for s in range(len(purchase))], dtype=np.int64)
    rows = _Rows(np.vstack([made, kinds]), np.array([*wanted, *(-n for n in purchase)], dtype=np.int64))
    high = np.minimum(
        np.array(purchase, dtype=np.int64)[sheets],
        (-(-rows.least[: len(wanted), None] // np.maximum(made, 1))).max(0),
    )
    open_nodes = [(np.zeros_like(high), high, CUT_ROUNDS)]
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


def _weights(count: int) -> Iterator[tuple[tuple[int, ...], tuple[int, ...], int]]:
    """Propose rows to add up: their numbers, multipliers and the divisor."""
    for one in range(count):
        for divisor in (2, 3, 4, 5):
            yield (one,), (1,), divisor
    for pair in combinations(range(count), 2):
        yield pair, (1, 1), 2
        for multipliers in product((1, 2), repeat=2):
            yield pair, multipliers, 3
    for triple in combinations(range(count), 3):
        yield triple, (1, 1, 1), 2


def _cut(rows: _Rows, values: npt.NDArray[np.float64]) -> int:
    """Add the rounding cuts that the values break most; say how many."""
    found = []
    for chosen, multipliers, divisor in _weights(rows.base):
        weights = np.array(multipliers, dtype=np.int64)
        terms = -(-(weights @ rows.terms[list(chosen)]) // divisor)
        least = -(-int(weights @ rows.least[list(chosen)]) // divisor)
        broken = least - float(terms @ values)
        if broken > 1e-4:
            found.append((-broken, chosen, multipliers, divisor, terms, least))
    found.sort(key=lambda cut: cut[:4])
    if found:
        rows.add(
            np.array([cut[4] for cut in found[:CUTS_A_ROUND]]),
            np.array([cut[5] for cut in found[:CUTS_A_ROUND]], dtype=np.int64),
        )
    return len(found)
