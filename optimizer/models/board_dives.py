"""Model 3, the plans: filled greedily, or rounded from the pattern LP bar by bar."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import inf
from typing import Any

from optimizer.columns import Bars, Pattern, PatternLp
from optimizer.engine import SEED, Clock

__all__ = ["best_fill", "dive", "first_fit"]

ROUNDS_A_DIVE_STEP = 8


def first_fit(bars: Bars, kinds: Sequence[int]) -> Iterator[Pattern]:
    """Put each piece, longest first, into the first bar with room; bars of the given kinds in turn."""
    left = list(bars.demands)
    used = [0] * len(bars.rooms)
    waiting = list(range(len(bars.sizes)))
    while waiting:
        for kind in kinds:
            limit = bars.limits[kind]
            if limit is None or used[kind] < limit:
                break
        else:
            return
        room, counts = bars.rooms[kind], []
        for place in waiting:
            if room < bars.sizes[-1]:
                break
            count = min(left[place], room // bars.sizes[place])
            if count:
                counts.append((place, count))
                room -= count * bars.sizes[place]
        if not counts:
            return
        # The same bar again comes out the same while there is enough of all it holds.
        times = min(left[place] // count for place, count in counts)
        if limit is not None:
            times = min(times, limit - used[kind])
        for place, count in counts:
            left[place] -= times * count
        used[kind] += times
        waiting = [place for place in waiting if left[place]]
        for _ in range(times):
            yield Pattern(kind, tuple(counts))


def best_fill(bars: Bars, clock: Clock) -> Iterator[Pattern]:
    """Cut, again and again, the bar whose fullest filling costs least by the length."""
    import numpy as np

    from optimizer.models.board_fillings import fill

    sizes, most, rooms = bars.arrays
    left = np.array(bars.demands)
    limits = [inf if limit is None else limit for limit in bars.limits]
    nothing = np.zeros((0, 0), dtype=np.bool_)
    space: list[Any] = []
    while left.any() and clock.left() > 0:
        filled = fill(sizes, sizes, np.minimum(left, most), rooms, nothing, space)
        tops = filled.tops
        total = int(left @ sizes)
        ways = [
            (bars.costs[k] / int(tops[k]), int(tops[k]) < total, bars.costs[k], -int(tops[k]), k)
            for k in range(len(rooms))
            if limits[k] > 0 and tops[k] > 0
        ]
        if not ways:
            return
        # What holds all that is left ends the plan: then the cheapest bar counts.
        last = [way for way in ways if not way[1]]
        kind = min(last, key=lambda way: way[2])[-1] if last else min(ways)[-1]
        counts = filled.all(kind)
        places = counts.nonzero()[0]
        times = int(min(limits[kind], (left[places] // counts[places]).min()))
        pattern = Pattern(kind, tuple((int(p), int(counts[p])) for p in places))
        for _ in range(max(1, times)):
            yield pattern
        limits[kind] -= max(1, times)
        left = np.maximum(left - counts * max(1, times), 0)


def dive(lp: PatternLp, bars: Bars, number: int, most_cost: float, clock: Clock) -> list[Pattern] | None:
    """
    Fix what the LP uses whole times, else its largest fractions; price again for what is left; repeat.

    Parameters
    ----------
    number
        Dives other than 0 start from another vertex of the LP, by a little seeded noise on the costs.
    most_cost
        A dive that cannot end this cheap is given up.
    """
    import numpy as np

    random = np.random.default_rng(SEED + number)
    _, own, _ = bars.arrays
    asked = lp.lows, lp.highs
    left, lows, highs = np.array(bars.demands), list(lp.lows), list(lp.highs)
    plan: list[Pattern] = []
    cost = 0
    try:
        if number:
            _shake(lp, bars, random, clock)
        elif not lp.lp.solve(clock):
            return None
        while True:
            fixed = _fix(lp, left, random if number else None)
            if not fixed:
                return None
            for pattern in fixed:
                plan.append(pattern)
                cost += bars.costs[pattern.bar]
                for group in bars.groups_of[pattern.bar]:
                    lows[group] = max(0.0, lows[group] - 1)
                    highs[group] -= 1
                for place, count in pattern.counts:
                    left[place] = max(0, left[place] - count)
            if not left.any():
                return plan
            if min(highs) < 0:
                return None
            lp.ask(left.tolist(), lows, highs)
            lp.forbid_beyond(left)
            if not lp.generate(clock, np.minimum(own, left), ROUNDS_A_DIVE_STEP):
                return None
            if lp.makeshift > 1e-6 or cost + bars.up(lp.lp.value) > most_cost:
                return None
    finally:
        lp.ask(bars.demands, *asked)
        lp.forbid_beyond(None)


def _shake(lp: PatternLp, bars: Bars, random: Any, clock: Clock) -> None:
    """Solve the LP once with noisy costs, which leads to another vertex of nearly the same value."""
    columns = range(lp.first, lp.first + len(lp.patterns))
    costs = [float(bars.costs[pattern.bar]) for pattern in lp.patterns]
    noise = random.random(len(costs)) * 1e-4 * max(bars.costs)
    lp.lp.price_columns(columns, costs + noise)
    lp.lp.solve(clock)
    lp.lp.price_columns(columns, costs)


def _fix(lp: PatternLp, left: Any, random: Any) -> list[Pattern]:
    """Choose patterns to cut: all whole parts of the LP's solution, else its largest fraction rounded up."""
    if lp.lp.values is None:
        return []
    used = [(pattern, value) for pattern, value in lp.use()]
    whole = [pattern for pattern, value in used for _ in range(int(value + 1e-6))]
    if whole:
        return whole
    fractions = sorted(used, key=lambda one: -one[1])
    if random is not None and len(fractions) > 1 and random.random() < 0.2:
        fractions = fractions[1:]
    # A twentieth of them at once, as long as none makes a piece too many.
    chosen: list[Pattern] = []
    rest = left.copy()
    for pattern, _ in fractions[: 1 + len(fractions) // 20]:
        if not chosen or all(rest[place] >= count for place, count in pattern.counts):
            chosen.append(pattern)
            for place, count in pattern.counts:
                rest[place] -= count
    return chosen
