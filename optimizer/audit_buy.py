"""The audit of what is bought: packs cover the need, money adds up afresh, no claim goes beyond its proof."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from optimizer.complaint import Complaint
from optimizer.plan import Bought, Outcome, Plan
from optimizer.words import Problem, Stock

__all__ = ["buy_complaints"]


def buy_complaints(problem: Problem, plan: Plan) -> Iterator[Complaint]:
    """Check the shopping list against the cuts and counts it serves, then its money, then its proofs."""
    stocks = {stock.key: stock for stock in problem.stocks}
    for key, times in Counter(row.stock for row in plan.buy).items():
        if key not in stocks:
            yield Complaint("bought stock", key, "there is no stock of that name")
        if times > 1:
            yield Complaint("bought twice", key, f"stands on {times} lines")
    rows = {row.stock: row for row in plan.buy if row.stock in stocks}
    for key, row in rows.items():
        yield from _row(row, stocks[key])
    yield from _needs(problem, plan, rows)
    yield from _spares(problem, rows)
    yield from _total(plan, rows, stocks)
    yield from _outcomes(problem, plan, rows)


def _row(row: Bought, stock: Stock) -> Iterator[Complaint]:
    if row.from_rack != stock.from_rack:
        yield Complaint("rack", row.stock, f"is {'' if stock.from_rack else 'not '}in the rack")
    if row.needed < 0 or row.spare < 0 or (row.count - row.spare) * stock.pack < row.needed:
        yield Complaint(
            "packs",
            row.stock,
            f"{row.count} packs of {stock.pack}, {row.spare} of them spare, for {row.needed} pieces",
        )
    # An offcut is one piece unless the rack says that there are more alike.
    limit = 1 if stock.from_rack and stock.available is None else stock.available
    if limit is not None and row.count > limit:
        yield Complaint("available", row.stock, f"{row.count} bought, {limit} there")
    if row.unit_price != stock.price:
        yield Complaint("unit price", row.stock, f"{row.unit_price}, not {stock.price}")
    cost = None if row.unit_price is None else row.count * row.unit_price
    if row.cost != cost:
        yield Complaint("cost", row.stock, f"{row.cost}, not {cost}")


def _needs(problem: Problem, plan: Plan, rows: Mapping[str, Bought]) -> Iterator[Complaint]:
    """Check that `needed` is what the cuts use, and over the sizes of a counted material, its counts too."""
    cut = Counter[str]()
    for each in plan.cut:
        cut[each.stock] += each.repeat
    counted = Counter[str]()
    for count in problem.counts:
        counted[count.material] += count.quantity
    for stock in problem.stocks:
        needed = rows[stock.key].needed if stock.key in rows else 0
        used = cut[stock.key]
        if needed < used or (needed > used and stock.material not in counted):
            yield Complaint("needed", stock.key, f"{needed}, the cuts use {used}")
    for material, quantity in counted.items():
        keys = [stock.key for stock in problem.stocks if stock.material == material]
        needed = sum(rows[key].needed for key in keys if key in rows)
        used = sum(cut[key] for key in keys)
        if needed != used + quantity:
            yield Complaint("needed", material, f"{needed}, {used + quantity} are asked for")


def _spares(problem: Problem, rows: Mapping[str, Bought]) -> Iterator[Complaint]:
    """Check that so many bought pieces lie untouched; what is in the rack is not bought."""
    for material, number in problem.spare:
        left = sum(
            rows[stock.key].count * stock.pack - rows[stock.key].needed
            for stock in problem.stocks
            if stock.material == material and stock.key in rows and not stock.from_rack
        )
        if left < number:
            yield Complaint("spare", material, f"{left} spare, not {number}")


def _total(plan: Plan, rows: Mapping[str, Bought], stocks: Mapping[str, Stock]) -> Iterator[Complaint]:
    known = [row.cost for row in plan.buy if row.cost is not None]
    total = sum(known) if len(known) == len(plan.buy) else None
    if plan.total != total:
        yield Complaint("total", "buy", f"{plan.total}, not {total}")
    pieces = sum(row.count * stocks[key].pack for key, row in rows.items() if stocks[key].kind != "each")
    if plan.pieces != pieces:
        yield Complaint("pieces", "buy", f"{plan.pieces}, not {pieces}")


def _outcomes(problem: Problem, plan: Plan, rows: Mapping[str, Bought]) -> Iterator[Complaint]:
    priced = {stock.material: True for stock in problem.stocks}
    for stock in problem.stocks:
        priced[stock.material] &= stock.price is not None
    asked = Counter(outcome.material for outcome in plan.outcomes)
    for material in sorted(asked.keys() | _materials(problem, rows)):
        if asked[material] != 1:
            yield Complaint("outcome", material, f"has {asked[material]} outcomes")
    for outcome in plan.outcomes:
        yield from _outcome(problem, outcome, rows, priced.get(outcome.material, False))
    yield from _bound(plan, priced)


def _materials(problem: Problem, rows: Mapping[str, Bought]) -> set[str]:
    """Give the materials that something is bought of."""
    return {stock.material for stock in problem.stocks if stock.key in rows and rows[stock.key].needed}


def _outcome(
    problem: Problem, outcome: Outcome, rows: Mapping[str, Bought], priced: bool
) -> Iterator[Complaint]:
    least = most = 0
    for stock in problem.stocks:
        if stock.material == outcome.material and stock.key in rows:
            row = rows[stock.key]
            bought = row.count - row.spare
            # Where nothing is priced pieces are counted: those used, or those in the packs.
            least += bought * (stock.price or 0) if priced else row.needed
            most += bought * (stock.price or 0) if priced else bought * stock.pack
    if not least <= outcome.cost <= most:
        yield Complaint("outcome cost", outcome.material, f"{outcome.cost}, Buy says {most}")
    if outcome.bound > outcome.cost:
        yield Complaint("bound", outcome.material, f"{outcome.bound} is more than {outcome.cost}")
    if outcome.proved and (outcome.bound != outcome.cost or len(set(outcome.witnesses)) < 2):
        yield Complaint("proved", outcome.material, "takes a bound that meets the cost, and two witnesses")


def _bound(plan: Plan, priced: Mapping[str, bool]) -> Iterator[Complaint]:
    """Check that the bound falls short of the total by exactly what the materials' bounds fall short."""
    if plan.total is None or plan.bound is None:
        if plan.bound is not None or plan.total is not None:
            yield Complaint("bound", "buy", f"{plan.bound} of a total of {plan.total}")
        return
    short = sum(outcome.cost - outcome.bound for outcome in plan.outcomes)
    exact = all(priced.get(outcome.material, False) for outcome in plan.outcomes)
    if plan.bound > plan.total or (exact and plan.bound != plan.total - short):
        yield Complaint("bound", "buy", f"{plan.bound} of {plan.total}, the outcomes leave {short} open")
