"""How far the price of one item may move before another plan is the cheapest."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass, replace

from cli.report import PriceLimit
from cli.variants import Unanswered, Variants, part_of, without_spare
from optimizer.errors import NoPlan
from optimizer.plan import Plan
from optimizer.words import Problem, Stock

__all__ = ["price_limits"]

_HIGHEST = 100
"""Prices up to so many times what the whole material costs are tried; beyond that nobody would buy."""

_MOST_STEPS = 8


@dataclass(frozen=True, slots=True)
class _Line:
    """What a purchase costs by the price of one item: `rest`, and `packs` times the price."""

    rest: int
    packs: int

    def at(self, price: int) -> int:
        return self.rest + self.packs * price


@dataclass(frozen=True, slots=True)
class _Item:
    """An item that is bought, the question of its material alone, and what the plan costs by its price."""

    stock: Stock
    problem: Problem
    line: _Line


def price_limits(problem: Problem, plan: Plan, variants: Variants) -> tuple[PriceLimit, ...]:
    """
    Find the prices at which something else than the plan is cheapest, for each item that it buys.

    The least cost of a material, by the price of one item, is concave: plans are lines, and it is the least
    of them. So where a line meets that of the plan at hand, and the least cost there is shown to be the
    plan's, that is where the other begins to be cheaper. An item is left out where that was not shown, where
    nothing else could be bought in its place, and where its material has price breaks. Prices that rise come
    first, those of what costs most before the others, in case there is not the time for all.
    """
    items = tuple(_items(problem, plan))
    dear = sorted(items, key=lambda item: -item.line.packs * (item.stock.price or 0))
    above = {item.stock.key: _above(item, variants) for item in dear}
    below = {item.stock.key: _below(item, variants) for item in dear}
    limits = (
        PriceLimit(item.stock.key, item.stock.price or 0, below[item.stock.key], above[item.stock.key])
        for item in items
    )
    return tuple(limit for limit in limits if limit.below is not None or limit.above is not None)


def _items(problem: Problem, plan: Plan) -> Iterator[_Item]:
    # Blocking is cut from another material than its deck: neither is a question of its own.
    joined = {part.material for surface in problem.surfaces for part in surface.blocking}
    joined |= {surface.material for surface in problem.surfaces if surface.blocking}
    stocks = {stock.key: stock for stock in problem.stocks if not stock.from_rack}
    proved = {outcome.material: outcome.cost for outcome in plan.outcomes if outcome.proved}
    for bought in plan.buy:
        stock = stocks.get(bought.stock)
        if bought.from_rack or stock is None or stock.price is None:
            continue
        sizes = [s for s in problem.stocks if s.material == stock.material]
        known = stock.material in proved and stock.material not in joined
        if not known or len(sizes) < 2 or any(s.breaks or s.price is None for s in sizes):
            continue
        packs, _ = without_spare(bought, stock)
        line = _Line(proved[stock.material] - packs * stock.price, packs)
        yield _Item(stock, replace(part_of(problem, frozenset({stock.material})), spare=()), line)


def _above(item: _Item, variants: Variants) -> int | None:
    """Give the least price at which a plan with fewer of the item is cheaper."""
    mine = item.line
    price = _HIGHEST * max(mine.at(item.stock.price or 0), 1)
    for step in range(_MOST_STEPS):
        other = _least(item, price, variants)
        if other is None or other.at(price) > mine.at(price):
            return None
        if other.at(price) == mine.at(price):
            # Nothing beats the plan here; the line that led here does, one cent further on.
            return price + 1 if step else None
        price = (other.rest - mine.rest) // (mine.packs - other.packs)
    return None


def _below(item: _Item, variants: Variants) -> int | None:
    """Give the highest price at which a plan with more of the item is cheaper."""
    mine, price = item.line, 0
    for step in range(_MOST_STEPS):
        other = _least(item, price, variants)
        if other is None or other.at(price) > mine.at(price):
            return None
        if other.at(price) == mine.at(price):
            return price - 1 if step else None
        price = -((other.rest - mine.rest) // (other.packs - mine.packs))
    return None


def _least(item: _Item, price: int, variants: Variants) -> _Line | None:
    """Give the line of a cheapest plan at a price of the item; None if none was proved in time."""
    stock, problem = item.stock, item.problem
    stocks = tuple(replace(s, price=price) if s == stock else s for s in problem.stocks)
    with suppress(Unanswered, NoPlan):
        plan = variants.plan(replace(problem, stocks=stocks))
        if plan.proved and plan.total is not None:
            packs = sum(b.count for b in plan.buy if b.stock == stock.key and not b.from_rack)
            return _Line(plan.total - packs * price, packs)
    return None
