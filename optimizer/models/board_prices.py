"""
Models 2 and 3, what is believed of a linear program: whole-number prices under which no pattern gains.

They bound the cost of every plan, and say which patterns a plan of a given cost may need.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import inf
from typing import Any

from optimizer.models.board_lp import LumberLp
from optimizer.models.board_master import Column

__all__ = ["Safe", "safe_prices", "within"]

SCALE_BITS = 40
"""Even what makeshifts are worth, a bar full of it, then stays below 2 ** 63."""
MOST_LISTED = 6_000
MOST_TRIES = 3_000_000


@dataclass(frozen=True, slots=True)
class Safe:
    """
    What pieces gain and bars are priced at, in so many parts of a cost unit as `scale` says.

    `bound` bounds the cost of all plans whose sums of bars keep to what the program was asked for.
    """

    scale: int
    gains: tuple[int, ...]
    prices: tuple[int, ...]
    bound: int


def safe_prices(lp: LumberLp) -> Safe:
    """
    Round the last duals to whole numbers, and mend them until no pattern gains.

    Notes
    -----
    Weak duality: a plan's bars at their prices are worth what all its pieces gain, at least; parts by their
    number, every run by the pieces that gain the least. Prices are costs and the rents of the sums.
    """
    import numpy as np

    bars = lp.question.bars
    scale = max(1, (1 << SCALE_BITS) // max(1, *(bar.cost for bar in bars)))
    costs = [bar.cost * scale for bar in bars]
    gains = [max(0, int(gain * scale)) for gain in lp.gains.tolist()]
    rents = [round(rent * scale) for rent in lp.rents.tolist()]
    # What has no limit is not scarce.
    rents = [0 if rent > 0 and high == inf else rent for rent, high in zip(rents, lp.highs, strict=True)]
    for kind, cost in enumerate(costs):
        _spare_debt(lp, rents, kind, cost)
    tops = _tops(lp, np.array([gains[place] for place in lp.order], dtype=np.int64))
    shrink = Fraction(1)
    for kind, cost in enumerate(costs):
        over = tops[kind] - _price(lp, rents, kind, cost)
        if over > 0 and (rents[kind] + over <= 0 or lp.highs[kind] < inf):
            rents[kind] += over
        elif over > 0:
            shrink = min(shrink, Fraction(tops[kind] - over, tops[kind]))
    gains = [gain * shrink.numerator // shrink.denominator for gain in gains]
    prices = tuple(_price(lp, rents, kind, cost) for kind, cost in enumerate(costs))
    return Safe(scale, tuple(gains), prices, _worth(lp, gains) - _charged(lp, rents))


def _tops(lp: LumberLp, gains: Any) -> list[int]:
    """Give the best that each kind of bar can gain."""
    tops = [0] * len(lp.question.bars)
    for lane in lp.lanes:
        tops = [max(top, int(new)) for top, new in zip(tops, lp.fill(lane, gains).tops, strict=True)]
    return tops


def _price(lp: LumberLp, rents: Sequence[int], kind: int, cost: int) -> int:
    return cost + sum(group[kind] * rent for group, rent in zip(lp.groups, rents, strict=True))


def _spare_debt(lp: LumberLp, rents: list[int], kind: int, cost: int) -> None:
    """Let no bar's price fall below zero: what there must be most of may be free, but earns nothing."""
    for number, group in enumerate(lp.groups):
        debt = -_price(lp, rents, kind, cost)
        if debt > 0 and rents[number] < 0 and group[kind] > 0:
            rents[number] = min(0, rents[number] - (-debt // group[kind]))


def _worth(lp: LumberLp, gains: Sequence[int]) -> int:
    worth = sum(gain * demand for gain, demand in zip(gains, lp.question.demands, strict=True))
    for length, number, arcs in lp.flows:
        least = {0: 0}
        # Arcs come sorted by their left end.
        for tail, head, place in arcs:
            if tail in least:
                here = least[tail] + gains[place]
                least[head] = min(least.get(head, here), here)
        worth += number * least[length]
    return worth


def _charged(lp: LumberLp, rents: Sequence[int]) -> int:
    return sum(
        rent * int(high if rent > 0 else low)
        for rent, low, high in zip(rents, lp.lows, lp.highs, strict=True)
        if rent
    )


def within(lp: LumberLp, safe: Safe, cost: int) -> list[Column] | None:
    """
    List every pattern that a plan of at most a cost may need, if its sums are as asked; None if too many.

    Notes
    -----
    What a pattern's bar is priced above what it gains is paid on top of the bound. Patterns that hold no
    further piece are enough: more pieces never hurt.
    """
    import numpy as np

    from optimizer.models.board_kernels import list_patterns, values_behind

    spare = cost * safe.scale - safe.bound
    gains = np.array([safe.gains[place] for place in lp.order], dtype=np.int64)
    found: dict[Column, None] = {}
    for lane in lp.lanes:
        for kind, room in enumerate(lane.rooms.tolist()):
            prices = np.full(room + 1, safe.prices[kind], dtype=np.int64)
            most = np.minimum(lane.most, room // lp.sizes)
            behind = values_behind(gains, lp.sizes, most, prices, lp.closed)
            counts, _, complete = list_patterns(
                gains, lp.sizes, most, behind, lp.closed, -spare, MOST_LISTED, MOST_TRIES
            )
            if not complete or len(found) + len(counts) > MOST_LISTED:
                return None
            found |= dict.fromkeys(column for row in counts for column in _full(lp, kind, row, lane.most))
    return list(found)


def _full(lp: LumberLp, kind: int, counts: Any, most: Any) -> list[Column]:
    """Give the pattern if it fits with its true lengths and none of its lane's pieces fits in besides."""
    column = lp.fitted(kind, counts)[0]
    pieces = lp.question.pieces
    held = {pieces[place].slant for place, count in enumerate(column.counts) if count}
    more = any(
        column.counts[place] < limit
        and pieces[place].take + (0 if pieces[place].slant in held else pieces[place].slant) <= column.rest
        for place, limit in zip(lp.order, most.tolist(), strict=True)
    )
    return [column] if column.rest >= 0 and not more else []
