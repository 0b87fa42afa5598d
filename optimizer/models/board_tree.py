"""
Models 2 and 3, the proof by sums of bars: how long they are together, how many, how many of each length.

Lumber is priced by the foot, or nearly so. Then many choices of bars cost about the same, and a program
that may take a bit of each lies below them all; but all bars together are a whole number of feet long,
and that alone lifts its bound by most of a board. What is left is a small tree over such sums; patterns
stay fractional.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from heapq import heappop, heappush
from math import floor, gcd, inf

from optimizer.engine import Clock, run_highs
from optimizer.errors import NoPlan
from optimizer.models.board_lp import Group, LumberLp
from optimizer.models.board_master import Column, Master, Question, build
from optimizer.models.board_plunge import plunge
from optimizer.models.board_prices import Safe, safe_prices, within
from optimizer.models.board_question import Bar
from optimizer.models.board_reading import Layout, read_master
from optimizer.witness import CHECKED, OWN_BRANCHING, second_witness

__all__ = ["Settled", "settled"]

MOST_NODES = 3_000
PLUNGE = 0.3
"""A node is followed down to whole numbers while its bound is in this lower part of the gap."""

WHOLE = 1e-6
MOST_WEIGHT = 48
"""Of a bar in the sum of their lengths: finer units say nothing."""

PLUNGES = 6
NODES = 200
"""Of HiGHS's tree in a first look for a plan."""

MOST_LEAVES = 300

FEW_STEPS, FEW_PATTERNS, MOST_VAIN = 4, 200, 6
"""A node so near to the plan is searched if so few patterns are left; what was too much so often is left."""

LOOKED, LISTED = 1e-3, 1e-2
"""Seconds of work for a look into a node, and for a list of patterns."""


@dataclass(frozen=True, slots=True)
class Settled:
    """The best plan found, None if none was cheaper than what was known; a bound, and who vouches for it."""

    layout: Layout | None
    bound: int
    witnesses: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Node:
    """
    Part of the tree.

    Parameters
    ----------
    cost
        What all plans in it cost at least.
    lows, highs
        Its limits on the sums of bars.
    reach
        How many steps above its cost the next search for a plan in it goes.
    apart
        True below numbers of bars that were set apart because all together was too much to search.
    """

    cost: int
    lows: tuple[float, ...]
    highs: tuple[float, ...]
    reach: int = 0
    apart: bool = False

    def at(self, place: int, low: float, high: float) -> _Node:
        """Give the part of it where one sum keeps to closer limits."""
        lows = (*self.lows[:place], max(low, self.lows[place]), *self.lows[place + 1 :])
        highs = (*self.highs[:place], min(high, self.highs[place]), *self.highs[place + 1 :])
        return replace(self, lows=lows, highs=highs, reach=0)


def settled(question: Question, goal: int | None, clock: Clock) -> Settled | None:
    """
    Find the cheapest plan and show that there is no cheaper one, or come as near as the clock allows.

    Parameters
    ----------
    goal
        What a known plan costs; only cheaper ones are looked for.

    Returns
    -------
    Settled or None
        None where this is not for the question, or there was no time for a bound.

    Raises
    ------
    NoPlan
        If the bound shows that there is too little stock.
    """
    if not LumberLp.suits(question):
        return None
    return _Tree(question, goal, clock).run()


def _groups(bars: Sequence[Bar]) -> list[Group]:
    """Give every kind of bar alone, their lengths together, how many they are, and halves by length."""
    kinds = range(len(bars))
    groups = [tuple(int(kind == one) for kind in kinds) for one in kinds]
    if len(bars) == 1:
        return groups
    unit = gcd(*(bar.stock.length for bar in bars))
    longest = max(bar.stock.length for bar in bars)
    if longest > unit * MOST_WEIGHT:
        # Odd offcuts: what is bought counts in its own unit, they to the nearest.
        unit = max(gcd(*(bar.stock.length for bar in bars if bar.limit is None)), longest // MOST_WEIGHT)
    groups.append(tuple((bar.stock.length + unit // 2) // unit for bar in bars))
    waiting = [sorted(kinds, key=lambda kind: -bars[kind].room)]
    while waiting:
        part = waiting.pop(0)
        if len(part) > 1:
            groups.append(tuple(int(kind in part) for kind in kinds))
            half = len(part) // 2
            waiting += [part[:half], part[half:]]
    return groups


@dataclass
class _Waiting:
    """Nodes in the order they are looked into: the cheapest first, of equal ones the last."""

    heap: list[tuple[int, bool, int, _Node]] = field(default_factory=list)
    following: _Node | None = None
    born: int = 0

    def push(self, node: _Node) -> None:
        """Let a node wait; where numbers were whole already, another choice of bars is sooner tried."""
        self.born += 1
        heappush(self.heap, (node.cost, node.reach > 0, -self.born, node))

    def pop(self) -> _Node | None:
        """Give the next node."""
        node, self.following = self.following, None
        return node or (heappop(self.heap)[-1] if self.heap else None)

    def least(self) -> float:
        """Give what the cheapest node costs."""
        costs = [entry[0] for entry in self.heap[:1]]
        return min(costs if self.following is None else [*costs, self.following.cost], default=inf)


class _Tree:
    """The best plan so far, what waits, and whether one solver alone vouches for a part of the tree."""

    def __init__(self, question: Question, goal: int | None, clock: Clock) -> None:
        self.question, self.clock = question, clock
        self.goal = inf if goal is None else goal
        self.groups = _groups(question.bars)
        self.lp = LumberLp(question, self.groups)
        self.layout: Layout | None = None
        self.alone: set[str] = set()
        self.witnesses = {"HiGHS"}
        self.stuck: float = inf
        self.tried: set[tuple[int, ...]] = set()
        self.waiting = _Waiting()
        self.vain = 0

    def run(self) -> Settled | None:
        """Look into node after node until none is cheaper than the plan."""
        kinds = len(self.question.bars)
        highs = [inf if bar.limit is None else float(bar.limit) for bar in self.question.bars]
        more = len(self.groups) - kinds
        self.waiting.push(_Node(0, (0.0,) * len(self.groups), (*highs, *[inf] * more)))
        for number in range(MOST_NODES):
            node = self.waiting.pop()
            if node is None or min(node.cost, self.waiting.least()) >= self.stuck:
                break
            children = self._children(node) if node.cost < self.goal else []
            if children is None:
                if not number:
                    return None
                self.waiting.push(node)
                break
            least = min([self.waiting.least(), self.stuck, *(child.cost for child in children)])
            for place, child in enumerate(children):
                if not place and not child.apart and child.cost - least <= PLUNGE * (self.goal - least):
                    self.waiting.following = child
                else:
                    self.waiting.push(child)
        return self._answer(min(self.waiting.least(), self.stuck))

    def _answer(self, least: float) -> Settled:
        """Take the least of what is open still, and the plan where nothing is."""
        bound = min(least, self.goal)
        if bound == inf:
            raise NoPlan("there is too little stock for all that must be cut from it")
        branched = self.waiting.born > 1 or OWN_BRANCHING in self.witnesses
        own = OWN_BRANCHING if branched else CHECKED
        return Settled(self.layout, int(bound), tuple(sorted(self.alone or {*self.witnesses, own})))

    def _children(self, node: _Node) -> list[_Node] | None:
        """Look into a node: what is left of it, the more promising part first; None if the clock ran out."""
        self.lp.ask(node.lows, node.highs)
        if not self.lp.generate(self.clock):
            return None
        self.clock.spend(LOOKED)
        safe = safe_prices(self.lp)
        cost = max(node.cost, -(-safe.bound // (safe.scale * self.lp.step)) * self.lp.step)
        if cost >= self.goal or cost > self.question.most * max(bar.cost for bar in self.question.bars):
            return []
        node = replace(node, cost=cost)
        numbers = self.lp.numbers()
        sums = [sum(w * n for w, n in zip(group, numbers, strict=True)) for group in self.groups]
        kinds = len(numbers)
        # Sums first, then the kinds themselves.
        order = (*range(kinds, len(sums)), *range(kinds))
        place = next((g for g in order if abs(sums[g] - round(sums[g])) > WHOLE), None)
        if place is None:
            return self._leaf(node, safe, [round(number) for number in numbers])
        if self._closed(node, safe):
            return []
        split = float(floor(sums[place]))
        low, high = node.at(place, -inf, split), node.at(place, split + 1, inf)
        # Less than the program's length in all is hardly ever enough.
        return [high, low] if sums[place] - split >= 0.5 or place == kinds else [low, high]

    def _closed(self, node: _Node, safe: Safe) -> bool:
        """Search a node whose bound nearly reaches the plan; False if what could be cheaper is not few."""
        target = self.goal - self.lp.step
        if self.vain >= MOST_VAIN or target - node.cost > FEW_STEPS * self.lp.step:
            return False
        columns = self._within(safe, int(target))
        if columns is None or len(columns) > FEW_PATTERNS:
            self.vain += 1
            return False
        closed = self._among(columns, node, int(target))
        self.vain += closed is None
        return closed is not None

    # -- where all sums are whole

    def _leaf(self, node: _Node, safe: Safe, numbers: list[int]) -> list[_Node] | None:
        """
        Look for a plan with just these bars, then for any at that cost with all patterns it may need.

        Where such patterns are too many, these numbers of bars are set apart, and looked into alone.
        """
        if self._with_bars(node, numbers) and node.cost >= self.goal:
            return []
        kinds = len(numbers)
        if node.lows[:kinds] == node.highs[:kinds]:
            return self._alone(node)
        target = int(min(node.cost + node.reach * self.lp.step, self.goal - self.lp.step))
        columns = None if node.apart else self._within(safe, target)
        closed = None if columns is None else self._among(columns, node, target)
        if closed is None:
            return list(self._apart(node, numbers))
        return [replace(node, cost=closed, reach=2 * node.reach + 1)] if closed < self.goal else []

    def _alone(self, node: _Node) -> list[_Node] | None:
        """Search for a plan with just these bars."""
        # No more bars than these: what they cost beyond the program tells then how little may be wasted.
        kinds = len(self.question.bars)
        self.lp.ask((0.0,) * len(self.groups), (*node.highs[:kinds], *[inf] * (len(self.groups) - kinds)))
        if not self.lp.generate(self.clock):
            return None
        numbers = [int(high) for high in node.highs[:kinds]]
        cost = sum(number * bar.cost for number, bar in zip(numbers, self.question.bars, strict=True))
        columns = self._within(safe_prices(self.lp), cost)
        if columns is None or self._among(columns, node, cost) is None:
            self.stuck = min(self.stuck, node.cost)
        return []

    def _within(self, safe: Safe, cost: int) -> list[Column] | None:
        """List what plans of a cost may need; None if it is too much."""
        self.clock.spend(LISTED)
        return None if self.lp.makeshift else within(self.lp, safe, cost)

    def _apart(self, node: _Node, numbers: Sequence[int]) -> Iterator[_Node]:
        """Set a node's whole numbers apart from all others, by the first kind that may have another."""
        for kind, number in enumerate(numbers):
            if node.lows[kind] < node.highs[kind]:
                parts = [(number, number), (-inf, number - 1), (number + 1, inf)]
                for part in (replace(node.at(kind, *part), apart=True) for part in parts):
                    if part.lows[kind] <= part.highs[kind]:
                        yield part
                return

    def _with_bars(self, node: _Node, numbers: list[int]) -> bool:
        """Look for a plan with so many bars of each kind, once: among the patterns at hand, then plunging."""
        if tuple(numbers) in self.tried:
            return False
        self.tried.add(tuple(numbers))
        if self._among_found(numbers):
            return True
        found = None
        for number in range(PLUNGES):
            found = found or plunge(self.lp, numbers, number, self.clock)
        self.lp.ask_all(node.lows, node.highs)
        return self._offer(found)

    def _among_found(self, numbers: Sequence[int]) -> bool:
        master = build(self.question, [c for c in self.lp.columns if c.rest >= 0 and any(c.counts)], False, 0)
        for pack, number in zip(master.packs, numbers, strict=True):
            master.model.uppers[pack] = number
        cost = sum(n * bar.cost for n, bar in zip(numbers, self.question.bars, strict=True))
        solved = run_highs(master.model, self._quarter(), nodes=NODES, target=cost)
        return solved.values is not None and self._take(master, solved.values)

    def _take(self, master: Master, values: Sequence[int]) -> bool:
        return self._offer(read_master(master, values, self.clock))

    def _offer(self, layout: Layout | None) -> bool:
        """Take a plan if it is cheaper than the best."""
        if layout is None:
            return False
        cost = sum(self.question.bars[bar].cost for bar, counts in layout.bars if any(counts))
        if cost < self.goal:
            self.layout, self.goal = layout, cost
            return True
        return False

    def _quarter(self) -> Clock:
        return self.clock.share(self.clock.left() / 4)

    def _among(self, columns: Sequence[Column], node: _Node, target: int) -> int | None:
        """
        Search all patterns that plans of a node within the target may need.

        Returns
        -------
        int or None
            What all plans of the node cost at least; None if that was not found out.
        """
        master = build(self.question, columns, False, 0)
        for group, low, high in zip(self.groups, node.lows, node.highs, strict=True):
            terms = [(pack, weight) for pack, weight in zip(master.packs, group, strict=True) if weight]
            if low or high < inf:
                master.model.row(terms, int(low), None if high == inf else int(high))
        solved = run_highs(master.model, self.clock.share(self.clock.left() / 3), below=target + 1)
        if solved.values is not None:
            self._take(master, solved.values)
        if not (solved.infeasible or solved.optimal):
            return None
        cost = target + self.lp.step if solved.cost is None else solved.cost
        name = second_witness(master.model, cost, self._quarter, MOST_LEAVES)
        if name is None:
            self.alone.add("HiGHS")
        else:
            self.witnesses.add(name)
        return cost
