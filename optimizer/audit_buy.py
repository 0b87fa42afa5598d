"""The audit of what is bought: packs cover the need, money adds up afresh, no claim goes beyond its proof."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from optimizer.complaint import Complaint
from optimizer.plan import Bought, Outcome, Plan
from optimizer.words import Problem, Stock

__all__ = ["buy_complaints"]


_Key = tuple[str, bool]
"""A stock's key, and whether it lies in the rack: an offcut may bear the name of what it was cut from."""


def buy_complaints(problem: Problem, plan: Plan) -> Iterator[Complaint]:
    """Check the shopping list against the cuts and counts it serves, then its money, then its proofs."""
    stocks = {(stock.key, stock.from_rack): stock for stock in problem.stocks}
    for key, times in Counter(_key(row) for row in plan.buy).items():
        if key not in stocks:
            yield Complaint("bought stock", key[0], "there is no stock of that name")
        if times > 1:
            yield Complaint("bought twice", key[0], f"stands on {times} lines")
    rows = {_key(row): row for row in plan.buy if _key(row) in stocks}
    for key, row in rows.items():
        yield from _row(row, stocks[key])
    yield from _needs(problem, plan, rows)
    yield from _spares(problem, rows)
    yield from _total(plan)
    yield from _outcomes(problem, plan, rows)


def _key(row: Bought) -> _Key:
    return row.stock, row.from_rack


def _limit(stock: Stock) -> int | None:
    """Give the packs there are; an offcut is one piece unless the rack says that there are more alike."""
    return 1 if stock.from_rack and stock.available is None else stock.available


def _row(row: Bought, stock: Stock) -> Iterator[Complaint]:
    if row.needed < 0 or row.spare < 0 or row.count * stock.pack < row.needed + row.spare:
        yield Complaint(
            "packs",
            row.stock,
            f"{row.count} packs of {stock.pack} for {row.needed} pieces and {row.spare} spare",
        )
    limit = _limit(stock)
    if limit is not None and row.count > limit:
        yield Complaint("available", row.stock, f"{row.count} bought, {limit} there")
    if row.unit_price != stock.price:
        yield Complaint("unit price", row.stock, f"{row.unit_price}, not {stock.price}")
    cost = None if row.unit_price is None else row.count * row.unit_price
    if row.cost != cost:
        yield Complaint("cost", row.stock, f"{row.cost}, not {cost}")


def _needs(problem: Problem, plan: Plan, rows: Mapping[_Key, Bought]) -> Iterator[Complaint]:
    """Check that `needed` is what the cuts use, and over the sizes of a counted material, its counts too."""
    cut = Counter[_Key]()
    for each in plan.cut:
        cut[each.stock, each.from_rack] += each.repeat
    counted = Counter[str]()
    for count in problem.counts:
        counted[count.material] += count.quantity
    needed, used = Counter[str](), Counter[str]()
    for stock in problem.stocks:
        key = stock.key, stock.from_rack
        mine = rows[key].needed if key in rows else 0
        needed[stock.material] += mine
        used[stock.material] += cut[key]
        if mine < cut[key] or (mine > cut[key] and stock.material not in counted):
            yield Complaint("needed", stock.key, f"{mine}, the cuts use {cut[key]}")
    for material, quantity in counted.items():
        if needed[material] != used[material] + quantity:
            yield Complaint(
                "needed", material, f"{needed[material]}, {used[material] + quantity} are asked for"
            )


def _spares(problem: Problem, rows: Mapping[_Key, Bought]) -> Iterator[Complaint]:
    """Check that as many pieces are spare as were asked for, or that the yard has no more of them."""
    asked = Counter[str]()
    for material, number in problem.spare:
        asked[material] += number
    spare, more = Counter[str](), set[str]()
    for stock in problem.stocks:
        row = rows.get((stock.key, stock.from_rack))
        if row is not None:
            spare[stock.material] += row.spare
            if not stock.from_rack and (stock.available is None or row.count < stock.available):
                more.add(stock.material)
    for material in sorted(asked.keys() | spare.keys()):
        found, number = spare[material], asked[material]
        if found > number or (found < number and material in more):
            yield Complaint("spare", material, f"{found} spare, not {number}")


def _total(plan: Plan) -> Iterator[Complaint]:
    known = [row.cost for row in plan.buy if row.cost is not None]
    total = sum(known) if len(known) == len(plan.buy) else None
    if plan.total != total:
        yield Complaint("total", "buy", f"{plan.total}, not {total}")
    pieces = sum(cut.repeat for cut in plan.cut)
    if plan.pieces != pieces:
        yield Complaint("pieces", "buy", f"{plan.pieces}, {pieces} are cut")


def _outcomes(problem: Problem, plan: Plan, rows: Mapping[_Key, Bought]) -> Iterator[Complaint]:
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


def _materials(problem: Problem, rows: Mapping[_Key, Bought]) -> set[str]:
    """Give the materials that something is needed of."""
    return {s.material for s in problem.stocks if (row := rows.get((s.key, s.from_rack))) and row.needed}


def _outcome(
    problem: Problem, outcome: Outcome, rows: Mapping[_Key, Bought], priced: bool
) -> Iterator[Complaint]:
    least = most = 0
    for stock in problem.stocks:
        row = rows.get((stock.key, stock.from_rack))
        if stock.material == outcome.material and row is not None:
            # An outcome knows nothing of spares: only of the packs that hold what is needed.
            packs = -(-row.needed // stock.pack) if row.spare else row.count
            # Where nothing is priced pieces are counted: those used, or those in the packs.
            least += packs * (stock.price or 0) if priced else row.needed
            most += packs * (stock.price or 0) if priced else packs * stock.pack
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
