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
    yield from _trips(problem, plan, rows)
    yield from _outcomes(problem, plan, rows)


def _key(row: Bought) -> _Key:
    return row.stock, row.from_rack


def _price(stock: Stock, packs: int) -> int | None:
    """Give the price of each of so many packs: that of the highest break they reach."""
    reached = [tier for tier in stock.breaks if tier[0] <= packs]
    return max(reached)[1] if reached else stock.price


def _cost(stock: Stock, packs: int) -> int | None:
    """Give the least that at least so many packs cost, of those there are."""
    if stock.price is None:
        return None
    there = (least for least, _ in stock.breaks if stock.available is None or least <= stock.available)
    return min(number * (_price(stock, number) or 0) for number in (packs, *(n for n in there if n > packs)))


def _row(row: Bought, stock: Stock) -> Iterator[Complaint]:
    if row.needed < 0 or row.spare < 0 or row.count * stock.pack < row.needed + row.spare:
        yield Complaint(
            "packs",
            row.stock,
            f"{row.count} packs of {stock.pack} for {row.needed} pieces and {row.spare} spare",
        )
    if stock.available is not None and row.count > stock.available:
        yield Complaint("available", row.stock, f"{row.count} bought, {stock.available} there")
    price = _price(stock, row.count)
    if row.unit_price != price:
        yield Complaint("unit price", row.stock, f"{row.unit_price}, not {price}")
    cost = None if row.unit_price is None else row.count * row.unit_price
    if row.cost != cost:
        yield Complaint("cost", row.stock, f"{row.cost}, not {cost}")
    elif stock.breaks and price == row.unit_price:
        least = _cost(stock, -(-(row.needed + row.spare) // stock.pack))
        if least != cost:
            yield Complaint("packs", row.stock, f"{row.count} cost {cost}; what is needed costs {least}")


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


def _trips(problem: Problem, plan: Plan, rows: Mapping[_Key, Bought]) -> Iterator[Complaint]:
    """Check that every yard something is bought at is gone to, often enough for its weight, at its price."""
    grams: Counter[str] = Counter()
    bought = set()
    for stock in problem.stocks:
        row = rows.get((stock.key, False))
        if row is not None and not stock.from_rack:
            bought.add(stock.yard)
            grams[stock.yard] += row.count * (stock.weight or 0)
    each = {yard.name: yard.trip for yard in problem.yards}
    if problem.yards and bought - each.keys():
        yield Complaint("yards", "buy", f"nothing is sold at {sorted(bought - each.keys())}")
    wanted = bought & each.keys()
    times = Counter(trip.yard for trip in plan.trips)
    for name in sorted(wanted | times.keys()):
        if times[name] != (name in wanted):
            yield Complaint("trips", name, f"stands in {times[name]} lines of trips")
    for trip in plan.trips:
        least = 1 if not problem.load else -(-grams[trip.yard] // problem.load)
        if trip.number < max(1, least) or (not problem.load and trip.number != 1):
            yield Complaint("trips", trip.yard, f"{trip.number} trips, {least} for the weight alone")
        if trip.yard in each and trip.each != each[trip.yard]:
            yield Complaint("trips", trip.yard, f"a trip costs {each[trip.yard]}, not {trip.each}")
        if trip.grams != grams[trip.yard]:
            yield Complaint("trips", trip.yard, f"{trip.grams} g, not {grams[trip.yard]}")
    yield from _yards(problem, plan)


def _yards(problem: Problem, plan: Plan) -> Iterator[Complaint]:
    """Check what the choice of yards is said to cost, and to be proved."""
    if plan.yards is None or plan.total is None:
        if plan.yards is not None:
            yield Complaint("yards", "buy", "the yards are compared, but not everything has a price")
        return
    part = problem.tax.numerator * plan.total
    tax = (2 * part + problem.tax.denominator) // (2 * problem.tax.denominator)
    cost = plan.total + tax + sum(trip.number * trip.each for trip in plan.trips)
    if plan.yards.cost != cost:
        yield Complaint("yards", "buy", f"{plan.yards.cost}, not {cost}")
    if plan.yards.bound > plan.yards.cost:
        yield Complaint("yards", "buy", f"{plan.yards.bound} is more than {plan.yards.cost}")
    if plan.yards.proved and (plan.yards.bound != cost or len(set(plan.yards.witnesses)) < 2):
        yield Complaint("proved", "yards", "takes a bound that meets the cost, and two witnesses")


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
            if priced:
                cost = _cost(stock, packs) or 0
                least, most = least + cost, most + cost
            elif not stock.from_rack:
                # Where nothing is priced the pieces bought are counted: those used, or those in the packs.
                least, most = least + row.needed, most + packs * stock.pack
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
