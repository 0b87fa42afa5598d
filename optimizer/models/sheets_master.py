"""
The pattern LP: which mix of patterns meets the demand at least cost, and bounds that integers vouch for.

The LP only proposes values for the items. Rounded down to integers they are priced again exactly: with V[s]
the most that sheet s can yield and D the value of all that is wanted, every plan that uses n[s] sheets
has sum V[s] n[s] >= D. Such cuts bound the purchase without trust in any float.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from math import gcd, lcm

import numpy as np
import numpy.typing as npt

from optimizer.engine import Clock, LinearModel, Relaxed, run_highs, solve_relaxed
from optimizer.models.sheets_pricing import Frame, Priced, frames_of
from optimizer.models.sheets_question import Question
from optimizer.models.sheets_trees import Pattern

Floats = npt.NDArray[np.float64]
Wholes = npt.NDArray[np.int64]

__all__ = ["Cover", "Master", "cheapest_purchase", "least_cost", "whole_values"]

FINE = 1_000_000
"""Item values are rounded down to so many parts of the greatest one."""

MOST_SHEETS = 60
"""Sheets up to which every purchase is looked at."""


@dataclass(frozen=True, slots=True)
class Cover:
    """
    A cut on the purchase: sum of worth[s] * pieces of s must reach `wanted`. Exact.

    `values` are the item values that `worth` was priced with.
    """

    values: tuple[int, ...]
    worth: tuple[int, ...]
    wanted: int

    def holds(self, pieces: Sequence[int]) -> bool:
        """Check a purchase, given in pieces of each sheet."""
        return self.spare(pieces) >= 0

    def spare(self, pieces: Sequence[int]) -> int:
        """Give how much a purchase is worth beyond what is wanted."""
        return sum(v * n for v, n in zip(self.worth, pieces, strict=True)) - self.wanted

    def admits(self, sheet: int, made: Sequence[int], pieces: Sequence[int]) -> bool:
        """Say whether a plan within a purchase may have a sheet that makes no more than this."""
        worth = sum(v * n for v, n in zip(self.values, made, strict=True))
        return worth >= self.worth[sheet] - self.spare(pieces)


@dataclass
class Master:
    """A question with its frames and all patterns found so far, oldest first."""

    question: Question
    clock: Clock
    pool: dict[Pattern, tuple[int, ...]] = field(default_factory=dict)
    frames: tuple[Frame, ...] = ()

    def __post_init__(self) -> None:
        self.frames = self.frames or frames_of(self.question)
        self.scale = lcm(*(s.pack for s in self.question.sheets))

    def add(self, patterns: Iterable[Pattern]) -> int:
        """Put patterns into the pool; say how many are new."""
        before = len(self.pool)
        for pattern in patterns:
            self.pool.setdefault(pattern, pattern.yields(len(self.question.items)))
        return len(self.pool) - before

    def piece_costs(self) -> list[int]:
        """Give the cost of one piece of each sheet, `scale` times."""
        return [s.cost * self.scale // s.pack for s in self.question.sheets]

    def model(
        self, costs: Sequence[int], limits: Sequence[int | None], unmet: int, wanted: Sequence[int]
    ) -> LinearModel:
        """Build the covering model over the pool: patterns first, then one `unmet` column an item."""
        model = LinearModel()
        for pattern in self.pool:
            model.column(costs[pattern.sheet])
        extra = [model.column(unmet) for _ in self.question.items]
        rows: list[list[tuple[int, int]]] = [[(column, 1)] for column in extra]
        for column, made in enumerate(self.pool.values()):
            for item, n in enumerate(made):
                if n:
                    rows[item].append((column, n))
        for row, count in zip(rows, wanted, strict=True):
            model.row(row, lower=count)
        for number, limit in enumerate(limits):
            if limit is not None:
                model.row(
                    [(c, 1) for c, pattern in enumerate(self.pool) if pattern.sheet == number], upper=limit
                )
        return model

    def relax(
        self,
        costs: Sequence[int],
        limits: Sequence[int | None],
        unmet: int,
        wanted: Sequence[int] | None = None,
        rounds: int = 10_000,
    ) -> tuple[Relaxed | None, Floats | None]:
        """
        Generate columns until no pattern is worth more than it costs, or for so many rounds.

        Returns
        -------
        The last LP optimum and the items' duals in it (None if the last LP was not solved in time).
        """
        items = len(self.question.items)
        wanted = self.question.counts if wanted is None else wanted
        relaxed, duals = None, None
        for turn in range(rounds):
            found = solve_relaxed(self.model(costs, limits, unmet, wanted), self.clock)
            if found is None:
                return relaxed, None
            relaxed = found
            duals = np.maximum(np.array(relaxed.duals[:items]), 0.0)
            fees = dict.fromkeys(range(len(costs)), 0.0)
            limited = [s for s, limit in enumerate(limits) if limit is not None]
            fees.update(zip(limited, relaxed.duals[items:], strict=True))
            worth = [c - fees[s] for s, c in enumerate(costs)]
            if turn + 1 == rounds or not self._price(duals, worth, limits, wanted):
                break
        return relaxed, duals

    def stretch(self, purchase: Sequence[int]) -> tuple[float, Floats] | None:
        """
        Find by how much all demand can grow before a purchase is too little; None if time ran out.

        Returns
        -------
        The factor, at most 2, and the items' duals: of all item values, those that leave the purchase least
        to spare.
        """
        items = len(self.question.items)
        while True:
            model = LinearModel()
            for _ in self.pool:
                model.column()
            grown = model.column(-1, 2)
            rows: list[list[tuple[int, int]]] = [[(grown, -n)] for n in self.question.counts]
            for column, made in enumerate(self.pool.values()):
                for item, n in enumerate(made):
                    if n:
                        rows[item].append((column, n))
            for row in rows:
                model.row(row, lower=0)
            for s, limit in enumerate(purchase):
                model.row([(c, 1) for c, p in enumerate(self.pool) if p.sheet == s], upper=limit)
            found = solve_relaxed(model, self.clock)
            if found is None:
                return None
            duals = np.maximum(np.array(found.duals[:items]), 0.0)
            if not self._price(duals, [-fee for fee in found.duals[items:]], purchase, self.question.counts):
                return -found.value, duals

    def _price(
        self, duals: Floats, worth: Sequence[float], limits: Sequence[int | None], wanted: Sequence[int]
    ) -> int:
        new = 0
        for frame in self.frames:
            priced: Priced = frame.price(duals, wanted)
            for s in frame.sheets:
                if limits[s] == 0:
                    continue
                if priced.value(self.question.sheets[s]) > worth[s] + 1e-7 * (1 + abs(worth[s])):
                    new += self.add(priced.patterns(s, 5))
        return new

    def cover(self, values: Floats) -> Cover:
        """Round item values down to integers and price every sheet exactly."""
        whole = whole_values(values)
        worth = [0] * len(self.question.sheets)
        for frame in self.frames:
            priced = frame.price(whole)
            for s in frame.sheets:
                worth[s] = max(worth[s], int(priced.value(self.question.sheets[s])))
        wanted = sum(int(v) * n for v, n in zip(whole, self.question.counts, strict=True))
        return Cover(tuple(int(v) for v in whole), tuple(worth), wanted)

    def area(self) -> Cover:
        """Give the cut that areas make."""
        areas = self.areas()
        wanted = sum(v * n for v, n in zip(areas, self.question.counts, strict=True))
        return Cover(areas, tuple(s.length * s.width for s in self.question.sheets), wanted)

    def areas(self) -> tuple[int, ...]:
        """Give the area of one piece of each item; of one as wide as its stock, on the narrowest."""
        narrowest = min(s.width for s in self.question.sheets)
        return tuple(i.length * (i.width or narrowest) for i in self.question.items)

    def best_of_pool(self, clock: Clock, below: int | None) -> list[Pattern] | None:
        """Choose from the pool by branch and cut; None if nothing (cheaper than `below`) was found."""
        sheets = self.question.sheets
        model = LinearModel()
        rows: list[list[tuple[int, int]]] = [[] for _ in self.question.items]
        used: list[list[tuple[int, int]]] = [[] for _ in sheets]
        for pattern, made in self.pool.items():
            column = model.column(sheets[pattern.sheet].cost if sheets[pattern.sheet].pack == 1 else 0)
            used[pattern.sheet].append((column, 1))
            for item, n in enumerate(made):
                if n:
                    rows[item].append((column, n))
        for row, count in zip(rows, self.question.counts, strict=True):
            model.row(row, lower=count)
        for sheet, columns in zip(sheets, used, strict=True):
            if sheet.pack > 1:
                packs = model.column(sheet.cost, sheet.packs)
                model.row([*columns, (packs, -sheet.pack)], upper=0)
            elif sheet.packs is not None:
                model.row(columns, upper=sheet.packs)
        solved = run_highs(model, clock, below=below)
        if solved.values is None:
            return None
        return [p for p, n in zip(self.pool, solved.values, strict=False) for _ in range(n)]


def whole_values(values: Floats) -> Wholes:
    """Round item values down to parts of the greatest one."""
    whole: Wholes = np.floor(values / (values.max() or 1.0) * FINE).astype(np.int64)
    return whole


def least_cost(question: Question, covers: Sequence[Cover]) -> int:
    """
    Give what a purchase that satisfies every cut costs at least, whole sheets where they are few.

    Where there are many, a pack may be bought in part, and each cut stands alone.
    """
    sheets = question.sheets
    step = gcd(*(s.cost for s in sheets)) or 1
    cost = 0
    for cover in covers:
        linear, rest = 0, cover.wanted
        useful = [(s.cost, v * s.pack, s.packs) for s, v in zip(sheets, cover.worth, strict=True) if v]
        for price, worth, packs in sorted(useful, key=lambda one: Fraction(one[0], one[1])):
            if packs is None or worth * packs >= rest:
                linear += -(-rest * price // worth)
                break
            linear += price * packs
            rest -= worth * packs
        cost = max(cost, -(-linear // step) * step)
    cheapest = min(s.cost for s in sheets)
    if len(sheets) > 1 and cost > MOST_SHEETS * cheapest:
        return cost
    found = cheapest_purchase(question, covers)
    return cost if found is None else max(cost, found[0])


def cheapest_purchase(
    question: Question,
    covers: Sequence[Cover],
    refuted: Sequence[Sequence[int]] = (),
    below: int | None = None,
) -> tuple[int, tuple[int, ...]] | None:
    """
    Find the cheapest packs of each sheet that satisfy every cut; ties go to the fewest pieces.

    Parameters
    ----------
    refuted
        Purchases, in pieces of each sheet, that neither suffice nor do parts of them.

    Returns
    -------
    Cost and pieces of each sheet; None if no purchase (cheaper than `below`) satisfies them.
    """
    sheets = question.sheets
    order = sorted(range(len(sheets)), key=lambda s: -sheets[s].cost)
    best: list[tuple[int, int, tuple[int, ...]]] = []
    pieces = [0] * len(sheets)

    def most(s: int, left: Sequence[int]) -> int | None:
        """Packs of s that alone satisfy what is left of every cut."""
        need = 0
        for cover, rest in zip(covers, left, strict=True):
            if rest > 0:
                if not cover.worth[s]:
                    return None
                need = max(need, -(-rest // (cover.worth[s] * sheets[s].pack)))
        return need

    def least(depth: int, left: Sequence[int]) -> float:
        """A lower bound on what the remaining sheets cost: per cut, the cheapest value there is."""
        bound = 0.0
        for cover, rest in zip(covers, left, strict=True):
            if rest > 0:
                rates = [
                    sheets[s].cost / (cover.worth[s] * sheets[s].pack)
                    for s in order[depth:]
                    if cover.worth[s]
                ]
                if not rates:
                    return float("inf")
                bound = max(bound, rest * min(rates))
        return bound

    def search(depth: int, cost: int, left: list[int]) -> None:
        done = all(rest <= 0 for rest in left)
        short = done and any(all(n <= r for n, r in zip(pieces, known, strict=True)) for known in refuted)
        if depth == len(order) or (done and not short):
            if done and not short:
                best[:] = [min([*best, (cost, sum(pieces), tuple(pieces))])]
            return
        limit = min([b[0] for b in best] + ([] if below is None else [below - 1]), default=None)
        if limit is not None and cost + least(depth, left) > limit + 1e-6 * limit:
            return
        s = order[depth]
        need, packs = most(s, left), sheets[s].packs
        if need is not None:
            # One more than any refuted purchase has is enough to leave it behind.
            need = max([need, *(known[s] // sheets[s].pack + 1 for known in refuted)])
        top = packs if need is None else need if packs is None else min(need, packs)
        for n in range((top or 0) + 1):
            pieces[s] = n * sheets[s].pack
            search(
                depth + 1,
                cost + n * sheets[s].cost,
                [rest - c.worth[s] * pieces[s] for c, rest in zip(covers, left, strict=True)],
            )
            if all(rest <= 0 for rest in left) and not refuted:
                break
        pieces[s] = 0

    search(0, 0, [c.wanted for c in covers])
    if not best or (below is not None and best[0][0] >= below):
        return None
    return best[0][0], best[0][2]
