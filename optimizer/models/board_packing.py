"""Model 3, plans the other way round: first which bars, for so much money, and then how to fill them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from optimizer.columns import Bars, Pattern
from optimizer.engine import SEED

__all__ = ["FILLS", "pack", "packable", "packings"]

CHOICES = 12
FILLS = 4
"""Choices of bars for one target, and ways to fill each."""

MOST_CELLS = 30_000_000
"""Bars times pieces times positions: some hundredths of a second."""
FEWEST_PIECES = 4
"""In a bar, on average: with fewer there are too few ways to fill a bar without waste."""


def packings(bars: Bars, worth: Sequence[float], targets: Sequence[int]) -> Iterator[list[Pattern]]:
    """
    Give plans that cost the first target at most, or else the next.

    Parameters
    ----------
    worth
        Of a bar of each kind, as the LP sees it: what the best filling gains.
    """
    import numpy as np

    if not packable(bars):
        return
    total = sum(size * demand for size, demand in zip(bars.sizes, bars.demands, strict=True))
    random = np.random.default_rng(SEED)
    for target in targets:
        for _ in range(CHOICES):
            noise = 1 + 10 ** random.uniform(-5, -1) * random.uniform(-1, 1, len(worth))
            kinds = _bought(bars, np.array(worth) * noise, target)
            if sum(bars.rooms[k] for k in kinds) < total:
                continue
            for number in range(FILLS):
                plan = pack(bars, kinds, number)
                if plan is not None:
                    yield plan
                    return


def packable(bars: Bars) -> bool:
    """Tell whether filling bar after bar is quick, and likely to leave no waste."""
    total = sum(size * demand for size, demand in zip(bars.sizes, bars.demands, strict=True))
    longest = max(bars.rooms)
    many = sum(bars.demands) * longest >= FEWEST_PIECES * total
    return many and total * len(bars.sizes) <= MOST_CELLS


def _bought(bars: Bars, worth: Any, target: int) -> list[int]:
    """Choose the bars worth most together that cost no more than the target."""
    import numpy as np

    from optimizer.models.board_fillings import fill

    room = np.array([target // bars.step])
    costs = np.array(bars.costs) // bars.step
    if room[0] * len(costs) > MOST_CELLS or not costs.all():
        return []
    most = [room[0] if limit is None else limit for limit in bars.limits]
    nothing = np.zeros((0, 0), dtype=np.bool_)
    numbers = fill(worth, costs, np.array(most), room, nothing, []).all(0)
    return [kind for kind, number in enumerate(numbers) for _ in range(number)]


def pack(bars: Bars, kinds: Sequence[int], number: int) -> list[Pattern] | None:
    """
    Fill given bars, one after the other, as full as can be with as few pieces as can be.

    Each takes the longest piece that is left; few pieces a bar leave the short ones to the end, where they
    fill the last bars.

    Parameters
    ----------
    kinds
        The bars there are.
    number
        Another one tries the bars in another order, and other pieces where two choices are as full.

    Returns
    -------
    list of Pattern or None
        None if some pieces found no bar.
    """
    import numpy as np

    from optimizer.models.board_fillings import fill

    random = np.random.default_rng(SEED + number)
    sizes, most, _ = bars.arrays
    left = np.array(bars.demands)
    spare = sum(bars.rooms[k] for k in kinds) - int(left @ sizes)
    nothing, space = np.zeros((0, 0), dtype=np.bool_), list[Any]()
    # Length counts first, then pieces, told apart by a little chance.
    weights = random.integers(10, 14, len(sizes))
    gains = sizes * int(14 * most.sum() + 1) - weights
    plan = []
    for kind in random.permutation(np.array(kinds, dtype=np.int64)):
        room = bars.rooms[kind]
        forced = np.flatnonzero((left > 0) & (sizes <= room))[:1]
        counts = np.zeros(len(sizes), dtype=np.int64)
        counts[forced] = 1
        rest = np.array([room - int(counts @ sizes)])
        if rest[0]:
            counts += fill(gains, sizes, np.minimum(left - counts, most), rest, nothing, space).all(0)
        left -= counts
        spare -= room - int(counts @ sizes)
        if spare < 0:
            return None
        if counts.any():
            plan.append(Pattern(int(kind), tuple((int(p), int(counts[p])) for p in counts.nonzero()[0])))
    return None if left.any() else plan
