"""
Model 3, a bound from counting bars: numbers of bars are whole, patterns may stay fractional.

Prices leave few sums between the bound of the LP and a plan, and bars few ways to add up to them. A tree over
the numbers of bars of each kind lifts the bound to where the patterns, too, can nearly always be whole.
"""

from __future__ import annotations

from dataclasses import dataclass
from heapq import heappop, heappush
from typing import Protocol

from optimizer.bounds import safe_duals
from optimizer.columns import PatternLp
from optimizer.engine import Clock

__all__ = ["Counted", "Settler", "count_bars"]

MOST_NODES = 20_000
WHOLE = 1e-6

_Node = tuple[int, int, bool, tuple[float, ...], tuple[float, ...]]
"""Bound, order of birth (the last first, so that numbers get whole soon), whether its numbers are whole, fewest and most bars of each kind."""


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
    tree: list[_Node] = [(bound, 0, False, *bars.free_counts)]
    born = 0
    while tree and born < MOST_NODES:
        cost, _, whole, lows, highs = tree[0]
        if cost >= settler.goal():
            return Counted(bound, True)
        bound = max(bound, cost)
        heappop(tree)
        lp.ask(bars.demands, lows, highs)
        if not lp.generate(clock):
            return Counted(bound, False)
        born += 1
        if whole:
            if not settler.settle(cost):
                return Counted(bound, False)
            heappush(tree, (cost + bars.step, -born, True, lows, highs))
            continue
        safe = safe_duals(lp)
        cost = max(cost, -(-safe.bound // (safe.scale * bars.step)) * bars.step)
        if cost >= settler.goal():
            continue
        counts = lp.counts()
        off = [abs(count - round(count)) for count in counts]
        worst = off.index(max(off))
        if off[worst] < WHOLE:
            settler.look()
            heappush(tree, (cost, -born, True, lows, highs))
            continue
        split = float(int(counts[worst]))
        heappush(tree, (cost, -born, False, lows, _at(highs, worst, split)))
        born += 1
        heappush(tree, (cost, -born, False, _at(lows, worst, split + 1), highs))
    return Counted(bound, not tree)


def _at(numbers: tuple[float, ...], place: int, value: float) -> tuple[float, ...]:
    return (*numbers[:place], value, *numbers[place + 1 :])
