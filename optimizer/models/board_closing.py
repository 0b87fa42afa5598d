"""
Model 3, the proof: search every pattern that a cheaper plan could still use.

A plan that costs at most a target uses only patterns whose reduced cost is at most target less bound. The
pieces' places in such patterns are found on the graph of (piece, position); other duals of the same bound
rule out more. When few patterns are left they are listed and a solver searches them to the end; when none
is left that is the proof.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import isinf
from typing import Any

from optimizer.bounds import SafeDuals, safe_duals
from optimizer.columns import Bars, Pattern, PatternLp
from optimizer.engine import SEED, Clock, LinearModel, run_cpsat, run_highs
from optimizer.models.board_dives import dive
from optimizer.models.board_snug import halvings
from optimizer.witness import OWN_BRANCHING, shows_at_least

__all__ = ["DUALS", "Verdict", "close", "covering"]

MOST_LISTED = 20_000
FEW_LISTED = 600
FEW_HALTS = 3
"""A list this short is searched at once, a longer one when other duals no longer make it shorter."""
MOST_TRIES = 30_000_000
MOST_ARCS = 120_000
LARGE_ARCS, HOPELESS_ARCS = 100_000, 500_000
FEW_STALLS, SOME_STALLS, MANY_STALLS = 6, 10, 80
"""How often other duals may rule out next to nothing before the search gives up."""
DIVE_EVERY = 8
MOST_PARTS = 2_000
EVEN = 0.1
"""The least of a piece that must begin on either side where a large graph is split."""
QUICK_NODES = 300
"""For a list of patterns that may be split instead."""
SECOND_LOOK = 5.0
"""Seconds for each list."""
MOST_LEAVES = 3_000
"""Of the tree that searches a list for a second time."""
DUALS = ("HiGHS", "LP duals checked in integers")
"""Who vouch for an LP's bound: the LP solver, and integer arithmetic that does not trust it."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """A cheaper plan if one was found, and a bound with who vouches for it (0 if there is none)."""

    patterns: tuple[Pattern, ...] | None = None
    bound: int = 0
    witnesses: tuple[str, ...] = ()


def close(lp: PatternLp, target: int, clock: Clock, second: bool = False, flow: bool = False) -> Verdict:
    """
    Find a plan that costs at most `target`, or show that there is none.

    Parameters
    ----------
    lp
        The pattern LP at its optimum.
    second
        Let another solver vouch for what the first shows by search.
    flow
        Where the patterns are too many to list, search the graph itself.
    """
    graph = _Graph(lp, clock, second)
    try:
        return graph.run(target, flow)
    finally:
        graph.reopen()


def covering(
    bars: Bars,
    patterns: Sequence[Pattern],
    lows: Sequence[float] | None = None,
    highs: Sequence[float] | None = None,
) -> tuple[LinearModel, list[int]]:
    """Build the covering model over given patterns and limits by group; give the patterns' columns too."""
    model = LinearModel()
    largest, total = max(bars.demands), sum(bars.demands)
    # Costs sit on the numbers of bars alone: solvers branch on those few first.
    numbers = [
        model.column(cost, int(min(high, total)))
        for cost, high in zip(bars.costs, highs or bars.free_counts[1], strict=False)
    ]
    for group, low, high in zip(bars.groups, lows or (), highs or (), strict=False):
        if low or (len(group) > 1 and not isinf(high)):
            model.row([(numbers[k], 1) for k in group], int(low), None if isinf(high) else int(high))
    columns = [model.column(upper=largest) for _ in patterns]
    rows: list[list[tuple[int, int]]] = [[] for _ in bars.sizes]
    uses = [[(number, -1)] for number in numbers]
    for pattern, column in zip(patterns, columns, strict=True):
        for place, count in pattern.counts:
            rows[place].append((column, count))
        uses[pattern.bar].append((column, 1))
    for terms, demand in zip(rows, bars.demands, strict=True):
        model.row(terms, lower=demand)
    for terms in uses:
        model.row(terms, lower=0, upper=0)
    return model, columns


class _Graph:
    """Which pieces may still begin where in a bar of a plan that meets the target."""

    def __init__(self, lp: PatternLp, clock: Clock, second: bool) -> None:
        import numpy as np

        self.lp, self.bars, self.clock, self.second = lp, lp.bars, clock, second
        self.random = np.random.default_rng(SEED)
        self.open = lp.closed
        self.asked = lp.lows, lp.highs
        self.parts = 0
        self.hopeless = False
        self.list: list[Pattern] | None = None
        self.large = False

    def reopen(self) -> None:
        """Leave the LP as it was found."""
        self.lp.open = None
        self.lp.shut(())
        self.lp.ask(self.bars.demands, *self.asked)

    def run(self, target: int, flow: bool) -> Verdict:
        """Narrow the graph until it is searched or empty; split it where that comes to a halt."""
        waiting = [self.open]
        alone: set[str] = set()
        named: set[str] = set()
        while waiting and self.clock.left() > 0:
            self.open = waiting.pop()
            verdict = self._one(target, flow and not self.parts)
            if verdict.patterns is None and verdict.bound <= target:
                halves = [] if self.hopeless or flow or self.parts > MOST_PARTS else self._halves()
                if halves:
                    self.parts += 1
                    waiting += halves
                    continue
                if self.list is None:
                    return Verdict()
                verdict = self._search(self.list, target, long=True)
            if verdict.patterns is not None:
                # What is best in one part of the graph need not be best in all of it.
                return Verdict(verdict.patterns) if self.parts else verdict
            if verdict.bound <= target:
                return Verdict()
            named.update(verdict.witnesses)
            if len(verdict.witnesses) == 1:
                alone.update(verdict.witnesses)
        if waiting:
            return Verdict()
        return Verdict(None, target + self.bars.step, tuple(sorted(alone or named)))

    def _one(self, target: int, flow: bool) -> Verdict:
        """Narrow one graph as far as other duals of its LP can."""
        arcs, stalled, number = 1 << 60, 0, 0
        shortest, halted = 1 << 60, 0
        self.list = None
        patience = FEW_STALLS if flow or self.parts else MANY_STALLS
        if self.parts and not self._other_duals(0):
            return Verdict()
        while self.clock.left() > 0:
            safe = safe_duals(self.lp, self.open)
            if safe.bound > target * safe.scale:
                return Verdict(None, target + self.bars.step, DUALS)
            behind, floor = self.narrow(safe, target)
            now = int(self.open.sum())
            listed = self.listed(safe, behind, floor)
            if listed is not None:
                halted = halted + 1 if len(listed) > 0.95 * shortest else 0
                shortest = min(shortest, len(listed))
                if len(listed) <= FEW_LISTED or halted >= FEW_HALTS:
                    self.list = listed
                    return self._search(listed, target)
            stalled = stalled + 1 if now > 0.97 * arcs else 0
            arcs = min(arcs, now)
            self.large = arcs > LARGE_ARCS
            if stalled >= SOME_STALLS and arcs > HOPELESS_ARCS:
                # The duals have no choice: all that leaves no waste stays, and dives are the better search.
                self.hopeless = True
                return Verdict()
            if stalled >= (min(patience, SOME_STALLS) if self.large else patience) and listed is None:
                return self._flow(target) if flow and arcs <= MOST_ARCS else Verdict()
            if number % DIVE_EVERY == DIVE_EVERY - 1:
                plan = dive(self.lp, self.bars, number, target, self.clock)
                if plan is not None:
                    return Verdict(tuple(plan))
            number += 1
            if not self._other_duals(number):
                return Verdict()
        return Verdict()

    def _halves(self) -> list[Any]:
        """
        Split the graph by where a piece that is wanted once begins: left of a position, or from it on.

        The piece is one that the LP places on both sides about equally.
        """
        bars, lp = self.bars, self.lp
        if not self._other_duals(0):
            return []
        places: dict[int, dict[int, float]] = {}
        for pattern, value in lp.use():
            at = 0
            for place, count in pattern.counts:
                if bars.demands[place] == 1:
                    begun = places.setdefault(place, {})
                    begun[at] = begun.get(at, 0.0) + value
                at += count * bars.sizes[place]
        best, chosen = (-(1 << 60), 0.0), (-1, 0)
        for place, begun in sorted(places.items()):
            total, left = sum(begun.values()), 0.0
            # Without waste what is oddest has the fewest partners, so it says most about the others.
            scarce = -halvings(bars.sizes[place]) if self.large else 0
            for at in sorted(begun)[:-1]:
                left += begun[at]
                split = min(left, total - left)
                if split > (EVEN if self.large else 1e-6) and (scarce, split) > best:
                    best, chosen = (scarce, split), (place, at + 1)
        place, at = chosen
        if place < 0:
            return []
        low, high = self.open.copy(), self.open.copy()
        low[place, at:] = False
        high[place, :at] = False
        return [low, high]

    def narrow(self, safe: SafeDuals, target: int) -> tuple[Any, int]:
        """Close whatever no bar of a plan within the target can hold."""
        import numpy as np

        from optimizer.models.board_kernels import still_open, values_behind

        sizes, most, rooms = self.bars.arrays
        gains = np.array(safe.gains, dtype=np.int64)
        prices = np.full(int(rooms.max()) + 1, np.iinfo(np.int64).max // 4)
        for room, price in zip(self.bars.rooms, safe.prices, strict=True):
            prices[: room + 1] = np.minimum(prices[: room + 1], price)
        # Far-off duals say nothing: what is lower than the lowest price rules nothing out.
        floor = max(safe.bound - target * safe.scale, -1 << 62)
        behind = values_behind(gains, sizes, most, prices, self.open)
        self.open = still_open(gains, sizes, most, behind, self.open, floor)
        return behind, floor

    def listed(self, safe: SafeDuals, behind: Any, floor: int) -> list[Pattern] | None:
        """List the patterns that are left, fullest only; None if they are too many."""
        import numpy as np

        from optimizer.models.board_kernels import list_patterns

        sizes, most, _ = self.bars.arrays
        gains = np.array(safe.gains, dtype=np.int64)
        counts, ends, complete = list_patterns(
            gains, sizes, most, behind, self.open, floor, MOST_LISTED, MOST_TRIES
        )
        if not complete:
            return None
        worth = counts.astype(np.int64) @ gains
        largest = np.iinfo(np.int64).max
        spare = np.where(counts < most, sizes, largest).min(axis=1) if len(counts) else ends
        found = []
        # What is not full may be left out if it would still be there when filled up: not so in half a graph.
        full = 0 if self.parts else 1
        for kind, (room, price) in enumerate(zip(self.bars.rooms, safe.prices, strict=True)):
            good = (ends > 0) & (ends <= room) & (full * (room - ends) < spare) & (worth - price >= floor)
            for row in np.flatnonzero(good):
                places = counts[row].nonzero()[0]
                found.append(Pattern(kind, tuple((int(p), int(counts[row, p])) for p in places)))
        return found

    def _search(self, listed: list[Pattern], target: int, long: bool = False) -> Verdict:
        """Search listed patterns to the end; if not long, give up where that is not soon done."""
        model, columns = covering(self.bars, listed, *self.asked)
        first, other = (run_highs, run_cpsat) if len(self.bars.rooms) == 1 else (run_cpsat, run_highs)
        # Two halves of a graph are often done with long before the whole is.
        share = self.clock.share(self.clock.left() / 3)
        if first is run_highs and not long:
            solved = run_highs(model, share, below=target + 1, nodes=QUICK_NODES)
        else:
            solved = first(model, share, below=target + 1)
        if not (solved.infeasible or solved.optimal) and long:
            solved = other(model, self.clock, below=target + 1)
        chosen = None
        if solved.values is not None:
            chosen = tuple(p for p, c in zip(listed, columns, strict=True) for _ in range(solved.values[c]))
        if not (solved.infeasible or solved.optimal):
            return Verdict(chosen)
        cost = target + self.bars.step if solved.cost is None else solved.cost
        witnesses: list[str] = [solved.solver]
        if self.second:
            share = self.clock.share(min(SECOND_LOOK, self.clock.left() / 4))
            again = run_highs if solved.solver == "CP-SAT" else run_cpsat
            if shows_at_least(model, cost, share, MOST_LEAVES):
                witnesses.append(OWN_BRANCHING)
            elif again(model, share, below=cost).infeasible:
                witnesses.append("CP-SAT" if solved.solver == "HiGHS" else "HiGHS")
            # The whole has no more witnesses than its parts: where one fails, no other needs two.
            self.second = len(witnesses) > 1
        return Verdict(chosen, cost, tuple(witnesses))

    def _other_duals(self, number: int) -> bool:
        """Solve the LP over what is left, mostly with slightly other demands; False if the clock ran out."""
        import numpy as np

        bars, lp = self.bars, self.lp
        lp.open = self.open
        lp.shut(self._misfits())
        demands = np.array(bars.demands, dtype=float)
        if number % 6:
            # Much noise leads far along the face of best duals, or off it: so sometimes more, sometimes less.
            noise = 10 ** self.random.uniform(-3.5, -2)
            demands *= 1 + noise * self.random.uniform(-1, 1, len(demands))
        lp.ask(demands.tolist(), *self.asked)
        return lp.generate(self.clock)

    def _misfits(self) -> Any:
        """Tell which of the LP's patterns have a piece begin where none may any more."""
        from optimizer.models.board_kernels import misfits

        return misfits(self.lp.counts_of_patterns, self.bars.arrays[0], self.open)

    def _flow(self, target: int) -> Verdict:
        """Search the graph itself: a flow of bars through positions."""
        bars = self.bars
        model = LinearModel()
        most = sum(bars.demands)
        enter: dict[int, list[tuple[int, int]]] = {}
        made: list[list[tuple[int, int]]] = [[] for _ in bars.sizes]
        steps: list[tuple[int, int, int]] = []
        for place, size in enumerate(bars.sizes):
            for at in self.open[place].nonzero()[0].tolist():
                column = model.column(upper=bars.demands[place])
                enter.setdefault(at + size, []).append((column, 1))
                enter.setdefault(at, []).append((column, -1))
                made[place].append((column, 1))
                steps.append((place, at, column))
        bought = []
        for kind, room in enumerate(bars.rooms):
            limit = bars.limits[kind]
            column = model.column(bars.costs[kind], most if limit is None else limit)
            bought.append(column)
            enter.setdefault(0, []).append((column, 1))
            # A bar ends at the last position within its length; waste leads there.
            enter.setdefault(room, []).append((column, -1))
        positions = sorted(enter)
        for left, right in pairwise(positions):
            if left:
                column = model.column(upper=most)
                enter[left].append((column, -1))
                enter[right].append((column, 1))
        for at in positions:
            model.row(enter[at], lower=0, upper=0)
        for terms, demand in zip(made, bars.demands, strict=True):
            model.row(terms, lower=demand)
        solved = run_highs(model, self.clock, below=target + 1)
        witness = ("HiGHS",)
        if solved.infeasible:
            return Verdict(None, target + bars.step, witness)
        if solved.values is None:
            return Verdict()
        chosen = _bars_of_flow(bars, steps, bought, solved.values)
        return Verdict(chosen, solved.cost or 0 if solved.optimal else 0, witness)


def _bars_of_flow(
    bars: Bars, steps: list[tuple[int, int, int]], bought: list[int], values: Sequence[int]
) -> tuple[Pattern, ...]:
    """Split a flow into bars, each given the shortest bar kind that is left and long enough."""
    leaving: dict[int, list[tuple[int, int]]] = {}
    arriving: dict[int, int] = {}
    for place, at, column in steps:
        leaving.setdefault(at, []).extend([(place, at)] * values[column])
        arriving[at + bars.sizes[place]] = arriving.get(at + bars.sizes[place], 0) + values[column]
    left = [values[column] for column in bought]
    paths = []
    while leaving.get(0):
        at = 0
        counts: dict[int, int] = {}
        while leaving.get(at):
            place, _ = leaving[at].pop()
            counts[place] = counts.get(place, 0) + 1
            at += bars.sizes[place]
        paths.append((at, tuple(sorted(counts.items()))))
    chosen = []
    for at, pairs in sorted(paths, reverse=True):
        kinds = [k for k, room in enumerate(bars.rooms) if room >= at and left[k]]
        if not kinds:
            return ()
        kind = min(kinds, key=lambda k: bars.rooms[k])
        left[kind] -= 1
        chosen.append(Pattern(kind, pairs))
    return tuple(chosen)
