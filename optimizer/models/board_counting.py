"""
Model 3, a bound from counting bars: numbers of bars are whole, patterns may stay fractional.

Prices leave few sums between the bound of the LP and a plan, and bars few ways to add up to them. A tree over
the numbers of bars of each kind lifts the bound to where the patterns, too, can nearly always be whole.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from heapq import heappop, heappush

from optimizer.bounds import safe_duals
from optimizer.columns import PatternLp
from optimizer.engine import Clock

__all__ = ["Counted", "count_bars"]

MOST_NODES = 400
WHOLE = 1e-6

_Node = tuple[int, int, bool, tuple[float, ...], tuple[float, ...]]
"""Bound, order of birth, whether its numbers are whole, fewest and most bars of each kind."""


@dataclass(frozen=True, slots=True)
class Counted:
    """
    How far the tree came.

    `exhausted` means that no numbers of bars can cost less than the goal. Otherwise `lows` and `highs` bound
    the node that holds the bound.
    """

    bound: int
    exhausted: bool
    lows: tuple[float, ...]
    highs: tuple[float, ...]


def count_bars(
    lp: PatternLp, bound: int, goal: Callable[[], float], settle: Callable[[], None], clock: Clock
) -> Counted:
    """
    Branch on the numbers of bars, cheapest node first.

    Parameters
    ----------
    lp
        Is left asking for the last node's numbers.
    bound
        Known before.
    goal
        The cost of the best plan, asked again at each node; nodes that reach it are dropped.
    settle
        Called, with the LP at the node, where all numbers came out whole: the place to look for plans.
    """
    bars = lp.bars
    tree: list[_Node] = [(bound, 0, False, *bars.free_counts)]
    born = 0
    while tree and born < MOST_NODES:
        cost, _, whole, lows, highs = tree[0]
        if cost >= goal():
            return Counted(bound, True, lows, highs)
        bound = max(bound, cost)
        if whole:
            return Counted(bound, False, lows, highs)
        heappop(tree)
        lp.ask(bars.demands, lows, highs)
        if not lp.generate(clock):
            return Counted(bound, False, *bars.free_counts)
        safe = safe_duals(lp)
        cost = max(cost, -(-safe.bound // (safe.scale * bars.step)) * bars.step)
        if cost >= goal():
            continue
        counts = lp.counts()
        off = [abs(count - round(count)) for count in counts]
        worst = off.index(max(off))
        born += 1
        if off[worst] < WHOLE:
            settle()
            heappush(tree, (cost, born, True, lows, highs))
            continue
        split = float(int(counts[worst]))
        heappush(tree, (cost, born, False, lows, _at(highs, worst, split)))
        born += 1
        heappush(tree, (cost, born, False, _at(lows, worst, split + 1), highs))
    return Counted(bound, not tree, *bars.free_counts)


def _at(numbers: tuple[float, ...], place: int, value: float) -> tuple[float, ...]:
    return (*numbers[:place], value, *numbers[place + 1 :])
