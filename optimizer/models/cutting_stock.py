"""
Model 3 at full strength: one-dimensional cutting with several bar lengths, costs and limits, and a proof.

The recipe: a greedy plan; the pattern LP and its bound made safe in integers; dives for better plans; then
whatever patterns could still belong to a cheaper plan are found by the gap between plan and bound, and those
few are searched to the end.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from math import gcd, inf

from optimizer.bounds import SafeDuals, safe_duals
from optimizer.columns import Bars, Pattern, PatternLp
from optimizer.engine import Clock, run_cpsat, run_highs
from optimizer.models.board_closing import DUALS, close, covering
from optimizer.models.board_counting import count_bars
from optimizer.models.board_dives import best_fill, dive, first_fit
from optimizer.models.board_packing import FILLS, pack, packable, packings
from optimizer.models.board_snug import snug, snug_dive, threes

__all__ = ["Cutting", "bars_from", "cheapest_cutting"]

FIRST_DIVES = 2
SECOND_DIVES = 8
SNUG_DIVES, MORE_SNUG_DIVES = 1, 12
"""Before and after a search of all that the gap leaves."""
"""Dives in turn with searches; looking into what numbers of bars hold takes the first ones only."""
MOST_CHOICE = 2_000
DIVES = 24
MOST_DIVES = 500
"""In all, where nothing else is left to try."""
QUICK_CELLS = 300_000
"""Pieces times positions up to which a dive takes less than a tenth of a second."""
SMALL_TABLE = 4_000_000
"""Pieces times positions up to which the greedy plan may fill bars by dynamic programming."""


@dataclass(frozen=True, slots=True)
class Cutting:
    """
    What the search came to.

    `uses` says how often each pattern is cut, None if no plan was found; `witnesses` vouch for the bound;
    `impossible` is True where the bound shows that the bars there are can't yield all pieces.
    """

    uses: tuple[tuple[Pattern, int], ...] | None
    cost: int | None
    bound: int
    witnesses: tuple[str, ...]
    impossible: bool = False
    patterns: tuple[Pattern, ...] = ()
    """All that the LP knew."""

    @property
    def proved(self) -> bool:
        """True if nothing can be cheaper."""
        return self.cost == self.bound


def bars_from(
    pieces: Iterable[tuple[int, int]], stocks: Sequence[tuple[int, int | None, int]]
) -> tuple[Bars, tuple[int, ...]]:
    """
    Merge equal pieces, divide lengths by their common divisor, drop bars that others replace.

    Parameters
    ----------
    pieces
        (length, demand).
    stocks
        (length, available or None, cost).

    Returns
    -------
    Bars, tuple of int
        The question, and the place in `stocks` of each of its bars.
    """
    demands: dict[int, int] = {}
    for length, demand in pieces:
        if demand:
            demands[length] = demands.get(length, 0) + demand
    sizes = sorted(demands, reverse=True)
    common = gcd(*sizes) or 1
    total = sum(demands.values())
    kept = []
    for place, (length, limit, cost) in enumerate(stocks):
        if length < sizes[-1] or limit == 0:
            continue
        better = any(
            other_limit is None
            and other_length >= length
            and other_cost <= cost
            and ((other_length, -other_cost) != (length, -cost) or other < place or limit is not None)
            for other, (other_length, other_limit, other_cost) in enumerate(stocks)
            if other != place
        )
        if not better:
            kept.append(place)
    chosen = [stocks[place] for place in kept]
    bars = Bars(
        tuple(size // common for size in sizes),
        tuple(demands[size] for size in sizes),
        tuple(length // common for length, _, _ in chosen),
        # A limit that no plan could reach is none.
        tuple(None if limit is None or limit >= total else limit for _, limit, _ in chosen),
        tuple(cost for _, _, cost in chosen),
    )
    return bars, tuple(kept)


def cheapest_cutting(
    bars: Bars,
    clock: Clock,
    second: bool = False,
    bound: int = 0,
    quick: bool = False,
    known: Iterable[Pattern] = (),
) -> Cutting:
    """
    Cut all pieces from the cheapest bars.

    Parameters
    ----------
    second
        Ask for a second witness where the bound comes from a search.
    bound
        Known before; a plan that meets it ends the search.
    quick
        Stop at the bound of the LP.
    known
        Patterns to begin with.

    Notes
    -----
    A bound is only ever taken from integer arithmetic or from an exhausted search; `witnesses` says which.
    """
    search = _Search(bars, clock, second, bound=bound)
    search.run(quick, known)
    impossible = search.cost is None and search.bound > bars.dearest
    patterns = tuple(search.lp.patterns)
    return Cutting(search.uses(), search.cost, search.bound, tuple(search.witnesses), impossible, patterns)


@dataclass
class _Search:
    bars: Bars
    clock: Clock
    second: bool
    cost: int | None = None
    bound: int = 0
    witnesses: list[str] = field(default_factory=list)
    alone: set[str] = field(default_factory=set)
    best: list[Pattern] = field(default_factory=list)

    def uses(self) -> tuple[tuple[Pattern, int], ...] | None:
        if self.cost is None:
            return None
        counted: dict[Pattern, int] = {}
        for pattern in self.best:
            counted[pattern] = counted.get(pattern, 0) + 1
        return tuple(counted.items())

    @property
    def cells(self) -> int:
        """Pieces times positions: what one pricing costs."""
        return len(self.bars.sizes) * max(self.bars.rooms)

    @property
    def done(self) -> bool:
        return self.cost is not None and self.cost <= self.bound

    @property
    def snug(self) -> bool:
        """Tell whether a plan that meets the bound can have no waste."""
        return snug(self.bars, self.bound)

    def run(self, quick: bool, known: Iterable[Pattern]) -> None:
        """Follow the recipe until plan and bound meet or the clock runs out; if quick, only to the LP."""
        self._add_up()
        self.lp = PatternLp(self.bars)
        self.lp.add(known)
        self._greedy()
        if not self._root() or quick or self.bound > self.bars.dearest:
            return
        if not self.done and len(self.bars.rooms) > 1:
            self._pack()
        if not self.done and len(self.bars.rooms) > 1:
            self._count_bars()
        self._snug_dives(range(SNUG_DIVES))
        first = DIVES if self.cells <= QUICK_CELLS else SECOND_DIVES
        if not self.snug or self.cells <= QUICK_CELLS:
            self._dives(range(first))
        self._climb()
        self._snug_dives(range(SNUG_DIVES, MORE_SNUG_DIVES))
        self._dives(range(first, 2 * DIVES))
        if not self.done:
            self.lp.generate(self.clock)
        self._among_found()
        while not self.done and self.clock.left() > 0 and self.bound <= self.bars.dearest:
            target = self.bars.dearest if self.cost is None else self.cost - self.bars.step
            if not self._close(target, self.clock, flow=True):
                break
        self._dives(range(2 * DIVES, MOST_DIVES))

    def _dives(self, numbers: Iterable[int]) -> None:
        for number in numbers:
            if not self.done and self.clock.left() > 0:
                self._dive(number)

    def _snug_dives(self, numbers: Iterable[int]) -> None:
        """Look for a plan that meets the bound where that leaves no room for waste."""
        if self.cost is None or not self.snug:
            return
        for number in numbers:
            if not self.done and self.clock.left() > 0:
                most = self.bound // self.bars.costs[0]
                plan = snug_dive(self.lp, self.bars, number, most, self.clock)
                if plan is not None:
                    self.offer(plan)

    def _climb(self) -> None:
        """Search all that the gap leaves: the nearer the target, the fewer patterns, so from the bound up."""
        reach = 0
        if not self.done:
            self.lp.generate(self.clock)
        while not self.done and self.clock.left() > 0 and self.bound <= self.bars.dearest:
            most = self.bars.dearest if self.cost is None else self.cost - self.bars.step
            target = min(self.bound + reach * self.bars.step, most)
            if not self._close(target, self.clock.share(self.clock.left() * 0.7)):
                return
            reach = 2 * reach + 1

    def _close(self, target: int, clock: Clock, flow: bool = False) -> bool:
        """Look for a plan that costs the target at most; False if that led nowhere."""
        verdict = close(self.lp, target, clock, self.second, flow)
        before = self.cost, self.bound
        if verdict.patterns:
            self.offer(verdict.patterns)
        if verdict.bound > self.bound:
            self.bound, self.witnesses = verdict.bound, list(verdict.witnesses)
        self.lp.generate(self.clock)
        return before != (self.cost, self.bound)

    def offer(self, patterns: Iterable[Pattern]) -> None:
        """Take a plan if it holds and is cheaper than the best."""
        patterns = list(patterns)
        made = [0] * len(self.bars.sizes)
        used = [0] * len(self.bars.rooms)
        for pattern in patterns:
            used[pattern.bar] += 1
            length = 0
            for place, count in pattern.counts:
                made[place] += count
                length += count * self.bars.sizes[place]
            if length > self.bars.rooms[pattern.bar]:
                return
        short = any(m < d for m, d in zip(made, self.bars.demands, strict=True))
        over = any(limit is not None and n > limit for n, limit in zip(used, self.bars.limits, strict=True))
        cost = sum(n * c for n, c in zip(used, self.bars.costs, strict=True))
        if not short and not over and (self.cost is None or cost < self.cost):
            self.cost, self.best = cost, patterns

    # -- the steps

    def _add_up(self) -> None:
        """Take what all lengths together cost in the cheapest bar by the length as a first bound."""
        bars = self.bars
        total = sum(size * demand for size, demand in zip(bars.sizes, bars.demands, strict=True))
        rate = min(Fraction(cost, room) for cost, room in zip(bars.costs, bars.rooms, strict=True))
        bound = -(-total * rate // bars.step) * bars.step
        if bound > self.bound:
            self.bound, self.witnesses = bound, ["lengths added up"]

    def _root(self) -> bool:
        """Solve the pattern LP and make its bound safe; False if the clock ran out."""
        finished = self.lp.generate(self.clock, goal=self.goal(), steady=True)
        if finished and self.lp.bound < self.goal() - 1e-6:
            self.lp.allow_swaps(False)
            finished = self.lp.generate(self.clock, goal=self.goal())
        if not finished:
            self.lp.step_back()
        if self.lp.lp.duals is None:
            return False
        self._raise_bound(safe_duals(self.lp))
        return finished

    def _raise_bound(self, safe: SafeDuals) -> None:
        bound = -(-safe.bound // (safe.scale * self.bars.step)) * self.bars.step
        if bound > self.bound:
            self.bound, self.witnesses = bound, list(DUALS)
        elif bound == self.bound:
            self.witnesses += DUALS

    def _pack(self) -> None:
        """Buy bars for little more than the bound, and see whether all pieces go in."""
        worth = self.lp.tops()
        gap = int(min(self.goal(), self.bars.dearest)) - self.bound
        reach = [2**n - 1 for n in range(gap.bit_length())]
        targets = [self.bound + r * self.bars.step for r in reach if r * self.bars.step < gap]
        for plan in packings(self.bars, worth, targets):
            self.offer(plan)
            self.lp.add(plan)

    def _count_bars(self) -> None:
        """Raise the bound by counting bars, and look for plans where all their numbers are whole."""
        counted = count_bars(self.lp, self.bound, self, self.clock.share(0.6 * self.clock.left()))
        bound = self.cost if counted.exhausted and self.cost is not None else counted.bound
        if bound > self.bound:
            # A node that only one solver has searched leaves the whole tree with that one witness.
            self.bound, self.witnesses = bound, sorted(self.alone) or list(DUALS)
        self.lp.generate(self.clock)

    def goal(self) -> float:
        """Give the cost of the best plan."""
        return inf if self.cost is None else self.cost

    def look(self) -> None:
        """Dive where numbers of bars came out whole, and pack just those bars."""
        numbers = self.lp.counts()[: len(self.bars.rooms)]
        kinds = [kind for kind, number in enumerate(numbers) for _ in range(round(number))]
        for number in range(FILLS if packable(self.bars) else 0):
            plan = pack(self.bars, kinds, number)
            if plan is not None:
                self.offer(plan)
                self.lp.add(plan)
                return
        self._dives(range(FIRST_DIVES))

    def settle(self, cost: int) -> bool:
        """Look for a plan of this cost where numbers of bars came out whole; True if there is none."""
        for number in range(FIRST_DIVES, SECOND_DIVES):
            self._dive(number)
            if self.cost == cost:
                return True
        self.lp.generate(self.clock)
        self._among_found(cost)
        if self.cost == cost:
            return True
        verdict = close(self.lp, cost, self.clock.share(self.clock.left() / 2), self.second)
        if verdict.patterns:
            self.offer(verdict.patterns)
        if verdict.bound > cost or self.cost == cost:
            if len(verdict.witnesses) == 1:
                self.alone.update(verdict.witnesses)
            return True
        return False

    def _greedy(self) -> None:
        """Offer first-fit plans for each bar length, and one that fills each bar as well as can be."""
        plans = [list(first_fit(self.bars, [k])) for k in range(len(self.bars.rooms))]
        if self.cells <= SMALL_TABLE:
            plans.append(list(best_fill(self.bars, self.clock)))
        for plan in plans:
            self.offer(plan)
            self.lp.add(plan)
        if len(self.bars.rooms) == 1:
            self.lp.add(threes(self.bars))

    def _dive(self, number: int) -> None:
        """Round the LP up bar by bar, asking for what is left; each dive starts from another vertex."""
        plan = dive(self.lp, self.bars, number, self.goal() - self.bars.step, self.clock)
        if plan is not None:
            self.offer(plan)

    def _among_found(self, target: float | None = None) -> None:
        """Choose the best of the patterns found so far that a plan within the target could use."""
        if self.done:
            return
        lp = self.lp
        target = self.goal() - self.bars.step if target is None else target
        near = lp.within(target - lp.lp.value)
        if not near or len(near) > MOST_CHOICE:
            return
        model, columns = covering(self.bars, near, lp.lows, lp.highs)
        below = int(target) + 1 if target < inf else None
        for run in (run_highs, run_cpsat):
            solved = run(model, self.clock.share(min(3.0, self.clock.left() / 8)), below=below)
            if solved.values is not None:
                chosen = zip(near, columns, strict=True)
                self.offer([p for p, c in chosen for _ in range(solved.values[c])])
            if solved.infeasible or solved.optimal:
                return
