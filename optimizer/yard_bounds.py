"""
What goods, tax and trips cost together at least, whatever is bought where.

A model of packs and trips in which each material is held to floors: what any plan of it takes at least, at
the lowest prices, at those of the plan at hand, by weight, and by price and weight together. Each floor comes
from a question about the material alone, so the model bounds every plan, every choice of yards, every number
of trips.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil

from optimizer.engine import Clock, LinearModel, run_highs
from optimizer.errors import NoPlan
from optimizer.plan import Plan
from optimizer.witness import second_witness
from optimizer.words import Problem, Stock
from optimizer.yard_loads import Loads, Thing, thing_of

__all__ = ["least_with_loads", "without_extras"]

Prices = Mapping[tuple[Thing, bool], int]
"""By thing, and whether it lies in the rack."""

_SECONDS = 3.0

_MOST_LEAVES = 2_000


@dataclass(frozen=True, slots=True)
class _Floor:
    """Every plan takes so many packs of a material that they cost `least` at these prices."""

    material: str
    prices: Prices
    least: int


def without_extras(problem: Problem) -> Problem:
    """Ask without spares and without blocking: what is left of each material is needed by every plan."""
    bare = tuple(replace(surface, blocking=()) for surface in problem.surfaces)
    return replace(problem, surfaces=bare, spare=())


def least_with_loads(
    problem: Problem, plan: Plan, cost: int, ask: Callable[[Problem], Plan], clock: Clock
) -> tuple[int, tuple[str, ...]]:
    """
    Bound what goods, tax and trips cost together.

    Parameters
    ----------
    plan
        The best known.
    cost
        What it costs: nothing dearer is of interest.
    ask
        Plans a question about all yards together, without trips.

    Returns
    -------
    tuple
        The bound, 0 if none was found in time, and who vouches for it.
    """
    floors: list[_Floor] = list(_counted(problem))
    by: list[tuple[str, ...]] = []
    for number, prices in enumerate(_price_lists(problem, plan)):
        asked = _at_prices(problem, prices)
        # The first, at the lowest prices, is asked of everything; one thing alone needs no second floor.
        asked = asked if not number else _where_there_is_choice(asked)
        try:
            found = ask(asked)
        except NoPlan:
            if not number:
                return 0, ()
            continue
        counted = {count.material for count in problem.counts}
        for outcome in found.outcomes:
            if outcome.material not in counted:
                floors.append(_Floor(outcome.material, prices, outcome.bound))
                by.append(outcome.witnesses)
    loads = Loads(problem)
    loads.build(_packs_at_most(problem, floors, cost))
    _hold(loads, floors)
    solved = run_highs(loads.model, clock.share(_SECONDS))
    if solved.bound is None:
        return 0, ()
    # Tax is rounded once, by half a cent at most.
    bound = ceil(Fraction(solved.bound, loads.trip) - Fraction(1, 2))
    alone = [names for names in by if len(set(names)) < 2]
    return bound, alone[0] if alone else ("HiGHS", *_second(loads.model, solved.bound, clock))


def _price_lists(problem: Problem, plan: Plan) -> Iterator[Prices]:
    """Give the prices that floors are sought at; the lowest first."""
    yield _lowest(problem)
    sold = {(stock.key, stock.from_rack): stock for stock in problem.stocks}
    paid = _least_of(problem, lambda stock: stock.price or 0)
    spent: dict[tuple[Thing, bool], list[int]] = {}
    for line in plan.buy:
        stock = sold[line.stock, line.from_rack]
        sums = spent.setdefault((thing_of(stock), line.from_rack), [0, 0])
        sums[0] += line.cost or 0
        sums[1] += line.count
    paid |= {key: cents // packs for key, (cents, packs) in spent.items() if packs}
    yield paid
    weights = _least_of(problem, lambda stock: stock.weight or 0, rack=0)
    yield weights
    if problem.load:
        trip = min(yard.trip for yard in problem.yards)
        yield {key: price + weights[key] * trip // problem.load for key, price in paid.items()}


def _lowest(problem: Problem) -> dict[tuple[Thing, bool], int]:
    """Give the lowest price that anything can be had at, at any yard and any break."""
    return _least_of(problem, lambda stock: min([stock.price or 0, *(price for _, price in stock.breaks)]))


def _least_of(
    problem: Problem, worth: Callable[[Stock], int], rack: int | None = None
) -> dict[tuple[Thing, bool], int]:
    found: dict[tuple[Thing, bool], int] = {}
    for stock in problem.stocks:
        key = thing_of(stock), stock.from_rack
        here = rack if stock.from_rack and rack is not None else worth(stock)
        found[key] = min(here, found.get(key, here))
    return found


def _at_prices(problem: Problem, prices: Prices) -> Problem:
    stocks = tuple(replace(s, price=prices[thing_of(s), s.from_rack], breaks=()) for s in problem.stocks)
    return without_extras(replace(problem, stocks=stocks, counts=()))


def _where_there_is_choice(problem: Problem) -> Problem:
    """Ask only of the materials that come in more than one size."""
    things: dict[str, set[tuple[Thing, bool]]] = {}
    for stock in problem.stocks:
        things.setdefault(stock.material, set()).add((thing_of(stock), stock.from_rack))
    many = {material for material, found in things.items() if len(found) > 1}
    return replace(
        problem,
        surfaces=tuple(s for s in problem.surfaces if s.material in many),
        runs=tuple(r for r in problem.runs if r.material in many),
        parts=tuple(p for p in problem.parts if p.material in many),
    )


def _counted(problem: Problem) -> Iterator[_Floor]:
    """Hold what is counted to its number: no question is needed for that."""
    for material in dict.fromkeys(count.material for count in problem.counts):
        mine = [s for s in problem.stocks if s.material == material]
        packs = {(thing_of(s), s.from_rack): s.pack for s in mine}
        yield _Floor(material, packs, sum(c.quantity for c in problem.counts if c.material == material))


def _hold(loads: Loads, floors: Sequence[_Floor]) -> None:
    """Add a row for every floor; what lies in the rack may be used, at its value, and needs no trip."""
    problem = loads.problem
    racked = {
        stock.key: loads.model.column((stock.price or 0) * loads.goods, stock.available)
        for stock in problem.stocks
        if stock.from_rack
    }
    for floor in floors:
        mine = [s for s in problem.stocks if s.material == floor.material]
        terms = []
        for stock in mine:
            columns = [racked[stock.key]] if stock.from_rack else loads.packs[stock.key]
            terms += [(column, floor.prices[thing_of(stock), stock.from_rack]) for column in columns]
        loads.model.row(terms, lower=floor.least + _spares(problem, mine, floor))


def _spares(problem: Problem, mine: Sequence[Stock], floor: _Floor) -> int:
    """Give what the spares of a material add at least, where all that are asked for can be had."""
    new = [stock for stock in mine if not stock.from_rack]
    if any(stock.available is not None or stock.pack > 1 for stock in new):
        return 0
    asked = sum(number for name, number in problem.spare if name == floor.material)
    return asked * min((floor.prices[thing_of(stock), False] for stock in new), default=0)


def _packs_at_most(problem: Problem, floors: Sequence[_Floor], cost: int) -> dict[str, int]:
    """
    Give the most packs of each stock that a plan buys which costs no more than so much.

    Whatever is spent on a material beyond its floor at the lowest prices must be left over from all others.
    """
    lowest = _lowest(problem)
    least: dict[str, int] = {}
    for floor in floors:
        if floor.prices == lowest:
            least[floor.material] = floor.least
    for count in problem.counts:
        mine = [s for s in problem.stocks if s.material == count.material]
        rates = [Fraction(lowest[thing_of(s), s.from_rack], s.pack) for s in mine]
        cents = ceil(count.quantity * min(rates, default=Fraction(0)))
        least[count.material] = least.get(count.material, 0) + cents
    spare = max(0, ceil(cost / (1 + problem.tax)) + 1 - sum(least.values()))
    return {
        s.key: (least.get(s.material, 0) + spare) // max(1, lowest[thing_of(s), False]) + 1
        for s in problem.stocks
        if not s.from_rack
    }


def _second(model: LinearModel, bound: int, clock: Clock) -> tuple[str, ...]:
    """Let a second witness show that nothing costs less."""
    name = second_witness(model, bound, lambda: clock.share(_SECONDS), _MOST_LEAVES)
    return () if name is None else (name,)
