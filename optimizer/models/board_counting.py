"""
Model 3, a bound from counting bars: numbers of bars are whole, patterns may stay fractional.

Prices leave few sums between the bound of the LP and a plan, and bars few ways to add up to them. A tree over
the numbers of bars of each kind lifts the bound to where the patterns, too, can nearly always be whole.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from math import inf
from typing import Protocol

from optimizer.bounds import safe_duals
from optimizer.columns import Bars, PatternLp
from optimizer.engine import Clock

__all__ = ["Counted", "Settler", "count_bars"]

MOST_NODES = 20_000
WHOLE = 1e-6

PLUNGE = 0.3
"""A node is followed down to whole numbers while its bound is in this lower part of the gap."""

_Node = tuple[int, bool, int, tuple[float, ...], tuple[float, ...]]
"""
Bound, whether its numbers are whole, order of birth (the last first), fewest and most bars of each group.

Where numbers are whole but no plan was found at once, all else that costs no more is looked at first: another
choice of bars is sooner tried than one is searched to the end.
"""


@dataclass(frozen=True, slots=True)
class Counted:
    """The bound reached; `exhausted` means that no numbers of bars can cost less than the goal."""

    bound: int
    exhausted: bool


class Settler(Protocol):
    """Looks for plans where all numbers of bars came out whole; the LP is at the node."""

    def goal(self) -> float:
        """Give the cost of the best plan; nodes that reach it are dropped."""

    def look(self) -> None:
        """Look for a plan, quickly."""

    def settle(self, cost: int) -> bool:
        """Look for a plan of this cost with all means; True if there is none."""


def count_bars(lp: PatternLp, bound: int, settler: Settler, clock: Clock) -> Counted:
    """
    Branch on the numbers of bars, cheapest node first.

    Parameters
    ----------
    lp
        Is left asking for the question's own numbers.
    bound
        Known before.
    """
    try:
        return _search(lp, bound, settler, clock)
    finally:
        lp.ask(lp.bars.demands, *lp.bars.free_counts)


def _search(lp: PatternLp, bound: int, settler: Settler, clock: Clock) -> Counted:
    bars = lp.bars
    tree: list[_Node] = [(bound, False, 0, *bars.free_counts)]
    born = 0
    following: _Node | None = None
    while (tree or following) and born < MOST_NODES:
        if following is None and tree[0][0] >= settler.goal():
            return Counted(bound, True)
        cost, whole, _, lows, highs = node = following or heappop(tree)
        # What is followed down may be dearer than what waits.
        bound = max(bound, min([node[0], *(waiting[0] for waiting in tree[:1])]))
        following = None
        if not _possible(bars, lows, highs):
            continue
        lp.ask(bars.demands, lows, highs)
        if not lp.generate(clock, goal=inf if whole else settler.goal()):
            return Counted(bound, False)
        born += 1
        if whole:
            if not settler.settle(cost):
                return Counted(bound, False)
            heappush(tree, (cost + bars.step, True, -born, lows, highs))
            continue
        safe = safe_duals(lp)
        cost = max(cost, -(-safe.bound // (safe.scale * bars.step)) * bars.step)
        if cost >= settler.goal():
            continue
        counts = lp.counts()
        group = _fractional(bars, counts)
        if group is None:
            settler.look()
            heappush(tree, (cost, True, -born, lows, highs))
            continue
        split = float(int(counts[group]))
        halves: list[_Node] = [
            (cost, False, -born, lows, _at(highs, group, split)),
            (cost, False, -born - 1, _at(lows, group, split + 1), highs),
        ]
        born += 1
        nearer = halves.pop(int(counts[group] - split >= 0.5))
        heappush(tree, halves[0])
        if cost - bound <= PLUNGE * (settler.goal() - bound):
            following = nearer
        else:
            heappush(tree, nearer)
    return Counted(bound, not tree)


def _possible(bars: Bars, lows: Sequence[float], highs: Sequence[float]) -> bool:
    """Tell whether numbers of bars can keep to the limits of every group at once."""
    fewest, most = dict(zip(bars.groups, lows, strict=True)), dict(zip(bars.groups, highs, strict=True))
    # The parts of a group come behind it, but those of one kind, which come first.
    for group in (*reversed(bars.groups[len(bars.rooms) :]), *bars.groups[: len(bars.rooms)]):
        if len(group) > 1:
            half = len(group) // 2
            parts = group[:half], group[half:]
            fewest[group] = max(fewest[group], sum(fewest[part] for part in parts))
            most[group] = min(most[group], sum(most[part] for part in parts))
        if fewest[group] > most[group]:
            return False
    return True


def _fractional(bars: Bars, counts: Sequence[float]) -> int | None:
    """Choose the largest group whose number is not whole, of equal ones the furthest from it."""
    off = [
        (len(group), abs(count - round(count)), place)
        for place, (group, count) in enumerate(zip(bars.groups, counts, strict=True))
        if abs(count - round(count)) > WHOLE
    ]
    return max(off)[2] if off else None


def _at(numbers: tuple[float, ...], place: int, value: float) -> tuple[float, ...]:
    return (*numbers[:place], value, *numbers[place + 1 :])
