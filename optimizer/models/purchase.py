"""Model 5: what is bought where nothing is cut: the cheapest packs that hold enough."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import gcd
from time import monotonic

from optimizer.errors import Bug, NoPlan
from optimizer.plan import Bought, Outcome
from optimizer.words import Count, Stock

__all__ = ["plan_counts"]

_FAMILY = "whole packs"
_LARGEST_SEARCH = 200_000

_State = tuple[int, int, int, tuple[int, ...]]


@dataclass(frozen=True, slots=True)
class _Pack:
    """
    A pack size as the two exact methods see it; `most` is how many could ever be of use.

    `tiers` are the packs from which on each costs so much, the first from 0 on.
    """

    pieces: int
    tiers: tuple[tuple[int, int], ...]
    most: int

    @property
    def lowest(self) -> int:
        """Give the least that one pack may cost."""
        return self.tiers[-1][1]

    def cost(self, number: int) -> int:
        """Give what `number` packs cost, or more of them where that costs less."""
        return min(max(number, least) * price for least, price in self.tiers) if number else 0


def plan_counts(
    material: str, stocks: Sequence[Stock], counts: Sequence[Count]
) -> tuple[tuple[Bought, ...], Outcome]:
    """
    Buy the cheapest packs that hold everything counted of one material.

    Parameters
    ----------
    material
        Named in the outcome and in errors.
    stocks
        The pack sizes of this material; where one has no price the fewest pieces are bought instead.
    counts
        What is needed; the quantities add up.

    Returns
    -------
    tuple of Bought, Outcome
        One line for each pack size that is bought, in the stocks' order.

    Raises
    ------
    NoPlan
        If all the packs there are hold too few.

    Notes
    -----
    A covering knapsack, solved by a table over the pieces still missing and once more by a bounded search
    that shares no step with the table. After money: fewest packs, then the least left over. A price break is
    one large pack that holds as many as it asks for, and single ones at its price after that.
    """
    begun = monotonic()
    quantity = sum(count.quantity for count in counts)
    priced = all(stock.price is not None for stock in stocks)
    packs = [_as_pack(stock, quantity, priced) for stock in stocks]
    held = sum(pack.pieces * pack.most for pack in packs)
    if held < quantity:
        raise NoPlan(f"{quantity} of {material} are needed, but all the packs there are hold only {held}")
    chosen = _by_table(packs, quantity)
    cost = sum(pack.cost(n) for n, pack in zip(chosen, packs, strict=True))
    searched = _by_search(packs, quantity)
    if searched not in (None, cost):
        raise Bug(f"two exact methods disagree on the packs of {material}: {cost} and {searched}")
    witnesses = ("table over pieces", "bounded search")[: 1 if searched is None else 2]
    outcome = Outcome(material, cost, cost, searched is not None, _FAMILY, witnesses, monotonic() - begun)
    return _shopping(stocks, chosen, quantity), outcome


def _as_pack(stock: Stock, quantity: int, priced: bool) -> _Pack:
    useful = -(-quantity // stock.pack)
    if not priced or stock.price is None:
        tiers: tuple[tuple[int, int], ...] = ((0, 0 if stock.from_rack else stock.pack),)
    else:
        there = (tier for tier in stock.breaks if stock.available is None or tier[0] <= stock.available)
        tiers = ((0, stock.price), *there)
    most = useful if stock.available is None else min(useful, stock.available)
    return _Pack(stock.pack, tiers, most)


def _by_table(packs: Sequence[_Pack], quantity: int) -> list[int]:
    """Give how many of each pack, least (cost, packs, pieces) first, by a table of every shortfall."""
    unit = gcd(*(pack.pieces for pack in packs)) or 1
    short = -(-quantity // unit)
    # best[m] covers m missing units with the packs seen so far: cost, packs, units held, numbers taken.
    best: list[_State | None] = [(0, 0, 0, ())] + [None] * short
    for pack in packs:
        before = [state and (*state[:3], (*state[3], 0)) for state in best]
        ways = list(_ways(before, pack, unit))
        best = [min((s for s in same if s is not None), default=None) for same in zip(*ways, strict=True)]
    last = best[short]
    assert last is not None, "the packs were seen to hold enough"
    return list(last[3])


def _ways(best: Sequence[_State | None], pack: _Pack, unit: int) -> Iterator[list[_State | None]]:
    """Add packs of one size to a table, once for every price they may have."""
    size, down = pack.pieces // unit, range(len(best) - 1, 0, -1)
    for least, price in pack.tiers:
        # As many as the break asks for are paid, whether or not so many are of use.
        first = min(least, pack.most)
        states = [
            _with(best[max(0, m - first * size)], first, first * size, least * price)
            for m in range(len(best))
        ]
        rest = pack.most - first
        if rest * size + 1 >= len(states):
            # Upwards a pack may be taken again and again, downwards once.
            _take(states, 1, size, price, range(1, len(states)))
        else:
            for bundle in _bundles(rest):
                _take(states, bundle, bundle * size, bundle * price, down)
        yield states


def _with(state: _State | None, packs: int, size: int, cost: int) -> _State | None:
    """Give a state with more packs of the size at hand."""
    if state is None:
        return None
    spent, number, held, taken = state
    return spent + cost, number + packs, held + size, (*taken[:-1], taken[-1] + packs)


def _take(states: list[_State | None], packs: int, size: int, cost: int, order: range) -> None:
    """Better every state by adding a bundle of packs to that of a smaller shortfall."""
    for missing in order:
        more = _with(states[max(0, missing - size)], packs, size, cost)
        now = states[missing]
        if more is not None and (now is None or more < now):
            states[missing] = more


def _bundles(most: int) -> list[int]:
    """Split a limit into bundles, some of which add up to every number from 0 to the limit."""
    bundles, size = [], 1
    while most > 0:
        bundles.append(min(size, most))
        most -= bundles[-1]
        size *= 2
    return bundles


def _by_search(packs: Sequence[_Pack], quantity: int) -> int | None:
    """Give the least cost by depth-first search under a fractional bound; None if it grows too large."""
    order = sorted(packs, key=lambda pack: Fraction(pack.lowest, pack.pieces))
    held_after = [sum(p.pieces * p.most for p in order[i:]) for i in range(len(order) + 1)]
    best = sum(pack.cost(pack.most) for pack in order)
    stack = [(0, quantity, 0)]
    for _ in range(_LARGEST_SEARCH):
        if not stack:
            return best
        place, missing, cost = stack.pop()
        if missing <= 0:
            best = min(best, cost)
            continue
        if place == len(order) or held_after[place] < missing:
            continue
        pack = order[place]
        # The sizes still to come are no cheaper by the piece than this one.
        if cost + -(-missing * pack.lowest // pack.pieces) >= best:
            continue
        most = min(pack.most, -(-missing // pack.pieces))
        # The largest number is tried first: pushed last, popped first.
        stack.extend((place + 1, missing - n * pack.pieces, cost + pack.cost(n)) for n in range(most + 1))
    return None if stack else best


def _shopping(stocks: Sequence[Stock], chosen: Sequence[int], quantity: int) -> tuple[Bought, ...]:
    lines, missing = [], quantity
    for stock, packs in zip(stocks, chosen, strict=True):
        if not packs:
            continue
        needed = min(missing, packs * stock.pack)
        missing -= needed
        count, cost = stock.cheapest(packs)
        lines.append(Bought(stock.key, count, needed, stock.price_of(count), cost, stock.from_rack))
    return tuple(lines)
