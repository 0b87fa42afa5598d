"""
Model 3, plans without any waste: where the pieces fill the bars of the bound to the last position.

In units of the common step a bar that is even holds an even number of odd pieces. So odd pieces, where they
are few, have few partners; once they are settled all that is left is even, and the same is true of it at half
the scale. A dive that settles pieces in that order meets the scarce ones while there still is a choice.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, field
from typing import Any

from optimizer.columns import Bars, Pattern, PatternLp
from optimizer.engine import SEED, Clock

__all__ = ["halvings", "snug", "snug_dive", "threes"]

MOST_THREES = 8
"""Fillings of three pieces for each size; where there are more, three pieces are nothing special."""
MOST_TRIES = 3
"""Ways to go on from one step of a dive."""
MOST_FAILURES = 30
"""Dead ends in one dive."""
NOISE = 1e-2
"""On the costs, so that a dive starts from another vertex of the LP."""
EXACT = 2e-6
"""What an LP's value may be above a number of bars and still be that number."""


def snug(bars: Bars, cost: int) -> bool:
    """Tell whether bars of one kind for so much leave no room for waste."""
    total = sum(size * demand for size, demand in zip(bars.sizes, bars.demands, strict=True))
    return len(bars.rooms) == 1 and bars.rooms[0] * cost == total * bars.costs[0] > 0


def threes(bars: Bars) -> list[Pattern]:
    """List the ways to fill a bar of one kind without waste by three pieces; none where they are many."""
    places = {size: place for place, size in enumerate(bars.sizes)}
    found: list[Pattern] = []
    for first, size in enumerate(bars.sizes):
        for second, other in enumerate(bars.sizes[first:], first):
            rest = bars.rooms[0] - size - other
            if rest < bars.sizes[-1] or rest > other or rest not in places:
                continue
            counts = Counter((first, second, places[rest]))
            if all(number <= bars.demands[place] for place, number in counts.items()):
                found.append(Pattern(0, tuple(sorted(counts.items()))))
        if len(found) > MOST_THREES * len(bars.sizes):
            return []
    return found


@dataclass
class _Step:
    """A step of a dive: what is left to cut, the plan so far, and which patterns were tried next."""

    left: Any
    plan: tuple[Pattern, ...]
    tried: set[Pattern] = field(default_factory=set)
    tries: int = 0


def snug_dive(lp: PatternLp, bars: Bars, number: int, most: int, clock: Clock) -> list[Pattern] | None:
    """
    Fix patterns of the scarcest pieces first, and go back where the rest can't be cut without waste.

    Parameters
    ----------
    number
        Another one starts from another vertex of the LP.
    most
        How many bars there are.
    """
    import numpy as np

    asked = lp.lows, lp.highs
    try:
        if number:
            _shake(lp, number, clock)
        stack = [_Step(np.array(bars.demands), ())]
        failures = 0
        while stack and failures < MOST_FAILURES:
            step = stack[-1]
            fits = step.tries < MOST_TRIES and _solved(lp, step, most, clock)
            if fits is None:
                return None
            failures += not fits and not step.tries
            chosen = _choose(lp, bars, step) if fits else []
            if not chosen:
                stack.pop()
                continue
            step.tries += 1
            following = _after(step, chosen)
            if not following.left.any():
                return list(following.plan)
            stack.append(following)
        return None
    finally:
        lp.ask(bars.demands, *asked)
        lp.forbid_beyond(None)


def _solved(lp: PatternLp, step: _Step, most: int, clock: Clock) -> bool | None:
    """Solve the LP for what is left; tell whether so many bars may do, None if the clock ran out."""
    import numpy as np

    bars = lp.bars
    lp.ask(step.left.tolist(), lp.lows, lp.highs)
    lp.forbid_beyond(step.left)
    if not lp.generate(clock, np.minimum(bars.arrays[1], step.left)):
        return None
    return bool(lp.lp.value <= (most - len(step.plan) + EXACT) * bars.costs[0])


def _after(step: _Step, chosen: list[Pattern]) -> _Step:
    left = step.left.copy()
    for pattern in chosen:
        for place, count in pattern.counts:
            left[place] = max(0, left[place] - count)
    return _Step(left, (*step.plan, *chosen), set(step.tried))


def _choose(lp: PatternLp, bars: Bars, step: _Step) -> list[Pattern]:
    """Choose what to fix next: whole parts of the LP's solution, else its largest fraction not tried yet."""
    used = [(pattern, value) for pattern, value in lp.use() if pattern.counts]
    odd = {pattern: min(halvings(bars.sizes[place]) for place, _ in pattern.counts) for pattern, _ in used}
    least = min(odd.values())
    scarce = [(pattern, value) for pattern, value in used if odd[pattern] == least]
    whole = [pattern for pattern, value in scarce for _ in range(int(value + 1e-6))]
    if whole and not step.tries:
        return whole
    others = [(value, pattern) for pattern, value in scarce if pattern not in step.tried]
    if not others:
        return []
    chosen = max(others, key=lambda one: one[0])[1]
    step.tried.add(chosen)
    return [chosen]


def halvings(size: int) -> int:
    """Tell how often a length can be halved."""
    return (size & -size).bit_length() - 1


def _shake(lp: PatternLp, number: int, clock: Clock) -> None:
    """Go to another optimal vertex, by way of noisy costs."""
    import numpy as np

    columns = range(lp.first, lp.first + len(lp.patterns))
    costs = [float(lp.bars.costs[pattern.bar]) for pattern in lp.patterns]
    noise = np.random.default_rng(SEED + number).random(len(costs)) * NOISE * max(lp.bars.costs)
    lp.lp.price_columns(columns, (costs + noise).tolist())
    lp.lp.solve(clock)
    lp.lp.price_columns(columns, costs)
