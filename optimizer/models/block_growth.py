"""
Model 1, the bound by column generation: blocks of neighbouring courses at prices of the pieces.

Every surface is cut into blocks of neighbouring courses, as many as tables of reasonable size allow;
stagger between blocks is forgotten, so no lay-out costs less. A linear program over whole sheets and whole
blocks finds what every size of piece is worth. It has a row for each size and none for a line or a strip,
so it stays small where ways to cut and lines are many: sheets and blocks enter as they pay, found by tables
(`Yields`, `Paths`). Any prices bound the cost of all lay-outs (Lagrangian duality); those kept are whole
numbers, and all that is claimed is worked out in integers.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import gcd, inf
from typing import Any

from optimizer.engine import Clock
from optimizer.growing import GrowingLp
from optimizer.models.blocks import FAR, Paths, Widths, paths_of, steps_of
from optimizer.models.branches import Allowed, Priced
from optimizer.models.decking import Decking
from optimizer.models.seams import Lines
from optimizer.models.stacks import Stack
from optimizer.patterns import Size
from optimizer.witness import SCALE
from optimizer.yields import Yields

__all__ = ["BlockGrowth", "Kind", "Tables"]

FINE = 1 << 30
"""Prices are whole numbers of this fraction of a cent."""

AT_ONCE = 15
"""Ways to cut each stock that enter in one round."""

GATHERED = 150
"""Ways to cut each stock, the best at the final prices, that are kept for plans."""

SMOOTH = 0.5
"""Weight of the best prices so far in those the next columns are sought at (Wentges 1997, from memory)."""

CLOSE = 0.002
"""Bound and linear program may differ by this part of a sheet."""

ROUNDS = 400

ROUND, PRICED = 1e-3, 5e-8
"""Seconds of work for pricing all tables once, and for each of their entries."""

STEPS = 6_000
"""Blocks of courses with more steps than this are not priced."""


@dataclass(frozen=True, slots=True)
class Kind:
    """Blocks of one number of courses on the same lines: their paths, widths, and the piece of every move."""

    lines: Lines
    paths: Paths
    widths: tuple[Widths, ...]
    pieces: Any


def _most(lines: Lines, longest: int, steps: int) -> int:
    """Give how many courses a block may have."""
    most = min(longest, 2)
    while most < longest and steps_of(lines, most + 1, steps):
        most += 1
    return most


class Tables:
    """
    All that a decking's pieces can be cut from and laid in, priced at once.

    Parameters
    ----------
    steps
        Blocks are of so many courses that there are no more steps; pairs at least.
    """

    def __init__(self, decking: Decking, steps: int = STEPS) -> None:
        self.decking = decking
        self.most = {}
        for lines, surfaces in decking.families():
            longest = max((len(k.widths) for s in surfaces for k in decking.stacks[s.label]), default=1)
            self.most[lines] = _most(lines, longest, steps)
        sizes = {
            (arc.length, width)
            for lines, surfaces in decking.families()
            for width in {w for s in surfaces for stack in decking.stacks[s.label] for w in stack.widths}
            for arc in lines.arcs
        }
        for part in decking.parts:
            sizes |= set(_lying(part.length, part.width, part.may_turn))
        self.sizes = sorted(sizes)
        self.places = {size: place for place, size in enumerate(self.sizes)}
        self.yields = Yields(decking.cutting, self.sizes)
        self.kinds: list[Kind] = []
        self.kind_of: dict[tuple[Lines, Widths], tuple[int, int]] = {}
        cut = {size: place for size, place in self.places.items() if self.yields.made[place]}
        for lines, surfaces in decking.families():
            found = {w for s in surfaces for stack in decking.stacks[s.label] for w in self.of(lines, stack)}
            for courses in range(1, self.most[lines] + 1):
                widths = tuple(sorted(w for w in found if len(w) == courses))
                if widths:
                    paths = paths_of(lines, courses)
                    for column, choice in enumerate(widths):
                        self.kind_of[lines, choice] = (len(self.kinds), column)
                    pieces = paths.pieces(widths, cut, len(self.sizes))
                    self.kinds.append(Kind(lines, paths, widths, pieces))

    def of(self, lines: Lines, stack: Stack) -> Counter[Widths]:
        """Count the blocks of a stack."""
        return stack.blocks(self.most[lines])

    def costs(self, kind: Kind, prices: Any) -> Any:
        """Give what every move of a kind costs, in a column for each choice of widths."""
        import numpy as np

        return np.append(prices, np.array([FAR], dtype=prices.dtype))[kind.pieces]

    def parts_cost(self, prices: Any) -> Any:
        """Give what all parts cost at least, lying as they may."""
        total: Any = 0
        for part in self.decking.parts:
            lying = _lying(part.length, part.width, part.may_turn)
            made = [place for size in lying for place in [self.places[size]] if self.yields.made[place]]
            total += part.count * min((prices[place].item() for place in made), default=0)
        return total

    def priced(self, prices: Any) -> Priced:
        """
        Bound the cost by prices of the pieces, in exact integers.

        No sheet may be worth more than it costs: where its number has a limit, the rest is rent that is paid
        for all there are, and where it has none, all prices shrink.
        """
        import numpy as np

        decking, stocks = self.decking, self.decking.cutting.stocks
        whole = np.maximum((prices * FINE).astype(np.int64), 0)
        shrink = Fraction(1)
        for top, stock, cost in zip(self._tops(whole), stocks, decking.costs, strict=True):
            if stock.available is None and top * stock.pack > cost * FINE:
                shrink = min(shrink, Fraction(cost * FINE, top * stock.pack))
        if shrink < 1:
            whole = np.array([int(p) * shrink.numerator // shrink.denominator for p in whole], dtype=np.int64)
        rates, constant = [], self.parts_cost(whole)
        for top, stock, cost in zip(self._tops(whole), stocks, decking.costs, strict=True):
            rent = max(0, top * stock.pack - cost * FINE)
            constant -= rent * (stock.available or 0)
            rates.append((cost * FINE + rent) // stock.pack)
        fine = SCALE // FINE
        return Priced(
            constant * fine,
            {
                (label, stack): fine * rest + SCALE * stack.blocked * decking.blocking[label]
                for (label, stack), rest in self.rests(whole).items()
            },
            decking.blocking,
            gcd(*decking.costs) or 1,
            dict(zip(self.sizes, whole.tolist(), strict=True)),
            tuple(rates),
        )

    def possible(self) -> dict[str, tuple[Stack, ...]]:
        """Give the stacks of every surface whose blocks of courses can be cut and laid at all."""
        import numpy as np

        rests = self.rests(np.zeros(len(self.sizes), dtype=np.int64))
        return {
            label: tuple(stack for stack in stacks if rests[label, stack] < FAR)
            for label, stacks in self.decking.stacks.items()
        }

    def _tops(self, prices: Any) -> list[int]:
        return self.yields.tops(self.yields.values(prices))

    def rests(self, prices: Any) -> dict[tuple[str, Stack], Any]:
        """Give what every stack of every surface costs at least, without its blocking."""
        least = [kind.paths.to_go(self.costs(kind, prices))[0] for kind in self.kinds]
        found: dict[tuple[str, Stack], Any] = {}
        for lines, surfaces in self.decking.families():
            for surface in surfaces:
                for stack in self.decking.stacks[surface.label]:
                    found[surface.label, stack] = sum(
                        count * least[kind][column].item()
                        for widths, count in self.of(lines, stack).items()
                        for kind, column in [self.kind_of[lines, widths]]
                    )
        return found


def _lying(length: int, width: int, may_turn: bool) -> tuple[Size, ...]:
    return ((length, width), (width, length)) if may_turn else ((length, width),)


class BlockGrowth:
    """
    The linear program over sheets and blocks of courses, kept from question to question.

    Parameters
    ----------
    decking
        All stacks that may be asked for.
    """

    def __init__(self, decking: Decking, steps: int = STEPS) -> None:
        self.tables = Tables(decking, steps)
        self.used: set[int] = set()
        """The ways to cut of all sheets that entered, by their places."""
        self._known: set[object] = set()
        self._choices: dict[tuple[str, Stack], int] = {}
        self._paths: list[list[int]] = []
        self._center: Any = None
        self._entries = sum(kind.pieces.size for kind in self.tables.kinds) + len(decking.cutting.ways)
        self._start()

    def _start(self) -> None:
        """Write the rows, and the columns for what is bought, chosen, and not cut at all."""
        tables, decking = self.tables, self.tables.decking
        sizes, stocks = len(tables.sizes), len(decking.cutting.stocks)
        lowers: list[float] = [0.0] * (sizes + stocks)
        uppers = [inf] * (sizes + stocks)
        self._stock_row = sizes
        for kind in tables.kinds:
            self._paths.append([len(lowers) + k for k in range(len(kind.widths))])
            lowers += [0.0] * len(kind.widths)
            uppers += [0.0] * len(kind.widths)
        surface_row = {s.label: len(lowers) + k for k, s in enumerate(decking.surfaces)}
        lowers += [1.0] * len(surface_row)
        uppers += [1.0] * len(surface_row)
        turning = []
        for part in decking.parts:
            lying = [tables.places[s] for s in _lying(part.length, part.width, part.may_turn)]
            made = [place for place in lying if tables.yields.made[place]]
            turning.append((len(lowers), made))
            lowers.append(float(part.count))
            uppers.append(inf)
        self.lp = GrowingLp(lowers, uppers)
        columns: list[tuple[float, dict[int, float]]] = [
            (cost, {sizes + k: stock.pack})
            for k, (stock, cost) in enumerate(zip(decking.cutting.stocks, decking.costs, strict=True))
        ]
        for lines, surfaces in decking.families():
            for surface in surfaces:
                for stack in decking.stacks[surface.label]:
                    self._choices[surface.label, stack] = len(columns)
                    entries = {surface_row[surface.label]: 1.0}
                    for widths, count in tables.of(lines, stack).items():
                        number, column = tables.kind_of[lines, widths]
                        entries[self._paths[number][column]] = -float(count)
                    columns.append((stack.blocked * decking.blocking[surface.label], entries))
        for row, made in turning:
            columns += [(0, {row: 1.0, place: -1.0}) for place in dict.fromkeys(made)]
        dearest = max(decking.costs) + 1
        self._missing = [len(columns) + k for k in range(sizes)]
        columns += [(dearest, {place: 1.0}) for place in range(sizes)]
        self.lp.add([cost for cost, _ in columns], [terms for _, terms in columns])
        limits = [inf if s.available is None else float(s.available) for s in decking.cutting.stocks]
        self.lp.bound_columns(range(stocks), limits)

    def price(self, allowed: Allowed, clock: Clock) -> Priced | None:
        """
        Price the pieces for some stacks only.

        Returns
        -------
        Priced or None
            None if there was no answer in time, or the stock is too little for the relaxation, too.
        """
        import numpy as np

        chosen = [inf if stack in allowed[label] else 0.0 for label, stack in self._choices]
        self.lp.bound_columns(list(self._choices.values()), chosen)
        if self._center is None:
            self._grow(self._by_area(), allowed, None)
        center: Any = None
        least = -inf
        for _ in range(ROUNDS):
            clock.spend(ROUND + PRICED * self._entries)
            if not self.lp.solve(clock):
                return None
            duals = np.maximum(self.lp.duals[: len(self.tables.sizes)], 0.0)
            trial = duals if center is None else SMOOTH * center + (1 - SMOOTH) * duals
            bound, added, scaled = self._grow(trial, allowed, self.lp.duals)
            if bound > least:
                least, center = bound, scaled
            if not added and trial is not duals:
                bound, added, scaled = self._grow(duals, allowed, self.lp.duals)
                if bound > least:
                    least, center = bound, scaled
            if not added or self.lp.value - least <= CLOSE * min(self.tables.decking.costs):
                break
        self._center = center
        self._gather(center)
        if any(self.lp.values[c] > 1e-6 for c in self._missing):
            return None
        return self.tables.priced(center)

    def _gather(self, prices: Any) -> None:
        """Take note of more ways to cut that are nearly as good as those in use."""
        yields = self.tables.yields
        worth = yields.values(prices)
        for k in range(len(self.tables.decking.cutting.stocks)):
            for _, ways in yields.best(worth, k, GATHERED):
                self.used |= ways

    def _by_area(self) -> Any:
        """Price the pieces by their area, as a first guess."""
        import numpy as np

        rates = [
            cost / (stock.pack * stock.length * stock.width)
            for stock, cost in zip(self.tables.decking.cutting.stocks, self.tables.decking.costs, strict=True)
        ]
        return np.array([length * width * min(rates) for length, width in self.tables.sizes])

    def _grow(self, prices: Any, allowed: Allowed, duals: Any) -> tuple[float, int, Any]:
        """
        Seek sheets and blocks at some prices; add those that pay at the linear program's own.

        Returns
        -------
        tuple
            A bound on the cost by these prices, the number of columns added, and the prices as they were
            shrunk for the bound.
        """
        tables, decking = self.tables, self.tables.decking
        stocks = decking.cutting.stocks
        worth = tables.yields.values(prices)
        tops = tables.yields.tops(worth)
        shrink, columns = 1.0, []
        for k, (stock, cost, top) in enumerate(zip(stocks, decking.costs, tops, strict=True)):
            if stock.available is None and top * stock.pack > cost:
                shrink = min(shrink, cost / (top * stock.pack))
            for pieces, ways in tables.yields.best(worth, k, AT_ONCE):
                self.used |= ways
                entries = {place: float(count) for place, count in pieces.items()}
                columns.append((0.0, {**entries, self._stock_row + k: -1.0}))
        total = shrink * float(tables.parts_cost(prices))
        for stock, cost, top in zip(stocks, decking.costs, tops, strict=True):
            total -= max(0.0, shrink * top * stock.pack - cost) * (stock.available or 0)
        wanted = {
            tables.kind_of[lines, widths]
            for lines, surfaces in decking.families()
            for s in surfaces
            for stack in allowed[s.label]
            for widths in tables.of(lines, stack)
        }
        least: dict[tuple[int, int], float] = {}
        for number, kind in enumerate(tables.kinds):
            costs = tables.costs(kind, prices)
            left = kind.paths.to_go(costs)
            for column in range(len(kind.widths)):
                least[number, column] = float(left[0, column])
                if (number, column) in wanted and left[0, column] < FAR:
                    path = kind.paths.cheapest(costs, left, column)
                    pieces = Counter(kind.pieces[path, column].tolist())
                    entries = {place: -float(count) for place, count in pieces.items()}
                    columns.append((0.0, {**entries, self._paths[number][column]: 1.0}))
        for lines, surfaces in decking.families():
            for surface in surfaces:
                total += min(
                    stack.blocked * decking.blocking[surface.label]
                    + shrink
                    * sum(
                        n * least[tables.kind_of[lines, widths]]
                        for widths, n in tables.of(lines, stack).items()
                    )
                    for stack in allowed[surface.label]
                )
        return total, self._added(columns, duals), prices * shrink

    def _added(self, columns: Sequence[tuple[float, Mapping[int, float]]], duals: Any) -> int:
        fresh = []
        for cost, terms in columns:
            key = frozenset(terms.items())
            pays = duals is None or sum(duals[row] * entry for row, entry in terms.items()) > 1e-7
            if pays and key not in self._known:
                self._known.add(key)
                fresh.append((cost, terms))
        self.lp.add([cost for cost, _ in fresh], [terms for _, terms in fresh])
        return len(fresh)
