"""
What to fetch at which yard where a trip carries only so much: a little from the dearer one may spare a trip.

Two integer models of one shape. One shares out what a plan needs. In the other each material is only held to
what any plan of it needs at least: it bounds every plan, every choice of yards and every number of trips.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from math import ceil

from optimizer.engine import Clock, LinearModel, run_cpsat, run_highs
from optimizer.offcuts import leftovers_of
from optimizer.plan import Bought, Cut, Outcome, Plan
from optimizer.words import Problem, Stock

__all__ = ["least_with_loads", "lowest_prices", "shared_out", "thing_of", "without_extras"]

Thing = tuple[object, ...]
"""What is the same wherever it is bought: material, kind, size, pieces in a pack."""

_SECONDS = 3.0

_MOST_TRIPS = 999


def thing_of(stock: Stock) -> Thing:
    """Give what is the same of equal stock at several yards."""
    return stock.material, stock.kind, stock.length, stock.width, stock.pack


@dataclass(slots=True)
class _Loads:
    """
    The model of fetching: packs of every stock at each of its prices, trips to every yard.

    A cent of goods counts as `goods`, with the tax on it, and a cent of a trip as `trip`.
    """

    problem: Problem
    model: LinearModel = field(default_factory=LinearModel)
    packs: dict[str, list[int]] = field(default_factory=dict)
    trips: dict[str, int] = field(default_factory=dict)

    @property
    def goods(self) -> int:
        return (1 + self.problem.tax).numerator

    @property
    def trip(self) -> int:
        return (1 + self.problem.tax).denominator

    def build(self, most: int) -> None:
        """Add stocks, trips, and what one trip carries; `most` is more packs of a stock than anyone buys."""
        for yard in self.problem.yards:
            self.trips[yard.name] = self.model.column(yard.trip * self.trip, _MOST_TRIPS)
        for stock in self.problem.stocks:
            if not stock.from_rack:
                self._stock(stock, most)
        for name, column in self.trips.items():
            mine = [s for s in self.problem.stocks if s.yard == name and not s.from_rack]
            if self.problem.load:
                weights = [(c, s.weight or 0) for s in mine for c in self.packs[s.key]]
                self.model.row([*weights, (column, -self.problem.load)], upper=0)
            for stock in mine:
                self.model.row([*((c, 1) for c in self.packs[stock.key]), (column, -most)], upper=0)

    def _stock(self, stock: Stock, most: int) -> None:
        limit = most if stock.available is None else min(most, stock.available)
        columns = [self.model.column((stock.price or 0) * self.goods, limit)]
        for least, price in stock.breaks:
            if least > limit:
                continue
            column, reached = self.model.column(price * self.goods, limit), self.model.column(0, 1)
            self.model.row([(column, 1), (reached, -least)], lower=0)
            self.model.row([(column, 1), (reached, -limit)], upper=0)
            columns.append(column)
        if len(columns) > 1 or stock.available is not None:
            self.model.row([(column, 1) for column in columns], upper=limit)
        self.packs[stock.key] = columns

    def counted(self, values: Sequence[int]) -> dict[str, int]:
        """Give how many packs of each stock a solution buys."""
        return {key: sum(values[column] for column in columns) for key, columns in self.packs.items()}


def shared_out(problem: Problem, plan: Plan, known: Mapping[str, Outcome], clock: Clock) -> Plan | None:
    """
    Share what a plan buys out among the yards, so that goods, tax and trips cost least.

    Parameters
    ----------
    known
        By material, what it costs at least wherever it is bought.

    Returns
    -------
    Plan or None
        The same plan with other yards; None if no way to share it out was found in time.
    """
    stocks = {s.key: s for s in problem.stocks if not s.from_rack}
    wanted: Counter[Thing] = Counter()
    for line in plan.buy:
        if not line.from_rack:
            stock = stocks[line.stock]
            wanted[thing_of(stock)] += -(-(line.needed + line.spare) // stock.pack)
    loads = _Loads(problem)
    loads.build(_most(problem, wanted))
    for thing, number in wanted.items():
        same = [c for s in stocks.values() if thing_of(s) == thing for c in loads.packs[s.key]]
        loads.model.row([(column, 1) for column in same], lower=number)
    for stock in stocks.values():
        if thing_of(stock) not in wanted:
            loads.model.row([(column, 1) for column in loads.packs[stock.key]], upper=0)
    solved = run_highs(loads.model, clock.share(_SECONDS))
    return None if solved.values is None else _moved(problem, plan, known, loads.counted(solved.values))


def _most(problem: Problem, wanted: Mapping[Thing, int]) -> int:
    return sum(wanted.values()) + max((n for s in problem.stocks for n, _ in s.breaks), default=0)


def _moved(
    problem: Problem, plan: Plan, known: Mapping[str, Outcome], counts: Mapping[str, int]
) -> Plan | None:
    """Give every cut, every count and every spare to a yard that so many packs are bought at."""
    stocks = {s.key: s for s in problem.stocks if not s.from_rack}
    left = {key: counts[key] * stock.pack for key, stock in stocks.items()}
    needed: Counter[str] = Counter()
    spare: Counter[str] = Counter()

    def take(like: str, number: int) -> Iterator[tuple[str, int]]:
        """Take pieces of the same thing, at one yard after the other."""
        for key, stock in stocks.items():
            if number and left[key] and thing_of(stock) == thing_of(stocks[like]):
                here = min(number, left[key])
                left[key] -= here
                number -= here
                yield key, here

    cuts: list[Cut] = []
    for cut in plan.cut:
        if cut.from_rack:
            cuts.append(cut)
            continue
        for key, repeat in take(cut.stock, cut.repeat):
            cuts.append(replace(cut, stock=key, repeat=repeat))
            needed[key] += repeat
    used = Counter[str]()
    for cut in plan.cut:
        used[cut.stock] += 0 if cut.from_rack else cut.repeat
    for line in plan.buy:
        if not line.from_rack:
            for key, number in take(line.stock, line.needed - used[line.stock]):
                needed[key] += number
    for line in plan.buy:
        if not line.from_rack:
            for key, number in take(line.stock, line.spare):
                spare[key] += number
    lines = [line for line in plan.buy if line.from_rack]
    lines += [_line(stocks[key], needed[key], spare[key]) for key in stocks if needed[key] + spare[key]]
    order = {key: place for place, key in enumerate(stock.key for stock in problem.stocks)}
    lines.sort(key=lambda line: order[line.stock])
    if sum(needed.values()) != sum(line.needed for line in plan.buy if not line.from_rack):
        return None
    named = _renumbered(cuts)
    outcomes = tuple(_paying(o, known[o.material], problem, lines) for o in plan.outcomes)
    total = sum(line.cost or 0 for line in lines)
    return replace(
        plan,
        buy=tuple(lines),
        cut=named,
        keep=tuple(rest for cut in named for rest in leftovers_of(cut)),
        outcomes=outcomes,
        total=total,
        bound=total - sum(outcome.cost - outcome.bound for outcome in outcomes),
    )


def _paying(outcome: Outcome, least: Outcome, problem: Problem, lines: Sequence[Bought]) -> Outcome:
    """Give a material the cost it has where it is bought now: more than the least, maybe, to spare a trip."""
    rows = {(line.stock, line.from_rack): line for line in lines}
    cost = 0
    for stock in problem.stocks:
        line = rows.get((stock.key, stock.from_rack))
        if line is not None and stock.material == outcome.material:
            alone = stock.cheapest(-(-line.needed // stock.pack))[1] if line.spare else line.cost
            cost += alone or 0
    bound = min(least.bound, cost)
    proved = bound == cost and len(set(least.witnesses)) > 1
    family = outcome.family
    if bound < cost:
        family += ", shared out among the yards so that a trip is spared"
    return replace(outcome, cost=cost, bound=bound, proved=proved, family=family, witnesses=least.witnesses)


def _line(stock: Stock, needed: int, spare: int) -> Bought:
    count, cost = stock.cheapest(-(-(needed + spare) // stock.pack))
    return Bought(stock.key, count, needed, stock.price_of(count), cost, False, spare)


def _renumbered(cuts: Sequence[Cut]) -> tuple[Cut, ...]:
    """Number cuts anew, as one kind of them may now come from two yards."""
    numbers: Counter[str] = Counter()
    named = []
    for cut in cuts:
        numbers[cut.id[0]] += 1
        named.append(replace(cut, id=f"{cut.id[0]}{numbers[cut.id[0]]}"))
    return tuple(named)


def lowest_prices(problem: Problem) -> Problem:
    """Ask the same where everything costs, wherever it is bought, the least that any yard takes for it."""
    lowest: dict[Thing, int] = {}
    for stock in problem.stocks:
        if not stock.from_rack and stock.price is not None:
            price = min([stock.price, *(price for _, price in stock.breaks)])
            lowest[thing_of(stock)] = min(price, lowest.get(thing_of(stock), price))
    stocks = tuple(
        s if s.from_rack else replace(s, price=lowest[thing_of(s)], breaks=()) for s in problem.stocks
    )
    return without_extras(replace(problem, stocks=stocks))


def without_extras(problem: Problem) -> Problem:
    """Ask without spares and without blocking: what is left of each material is needed by every plan."""
    return replace(
        problem, surfaces=tuple(replace(surface, blocking=()) for surface in problem.surfaces), spare=()
    )


def least_with_loads(
    problem: Problem, cheap: Problem, floors: Mapping[str, int], cost: int, clock: Clock
) -> tuple[int, tuple[str, ...]]:
    """
    Bound what goods, tax and trips cost together, whatever is bought where.

    Parameters
    ----------
    cheap
        The problem at its `lowest_prices`.
    floors
        By material, what any plan costs at those prices at least.
    cost
        What the best plan known costs: nothing dearer is of interest.

    Returns
    -------
    tuple
        The bound, 0 if none was found in time, and who vouches for it.
    """
    loads = _Loads(problem)
    loads.build(_packs_at_most(cheap, cost))
    prices = {stock.key: stock.price or 0 for stock in cheap.stocks if not stock.from_rack}
    for material, floor in floors.items():
        mine = [s for s in problem.stocks if s.material == material]
        terms = [(c, prices[s.key]) for s in mine if not s.from_rack for c in loads.packs[s.key]]
        terms += [
            (loads.model.column((s.price or 0) * loads.goods, s.available), s.price or 0)
            for s in mine
            if s.from_rack
        ]
        loads.model.row(terms, lower=floor + _spares(problem, mine, prices, material))
    solved = run_highs(loads.model, clock.share(_SECONDS))
    if solved.bound is None:
        return 0, ()
    second = run_cpsat(loads.model, clock.share(_SECONDS), below=solved.bound).infeasible
    # Tax is rounded once, by half a cent at most.
    bound = ceil(Fraction(solved.bound, loads.trip) - Fraction(1, 2))
    return bound, ("HiGHS", "CP-SAT") if second else ("HiGHS",)


def _packs_at_most(cheap: Problem, cost: int) -> int:
    """Give more packs of one stock than any plan buys that costs no more than so much."""
    prices = [stock.price for stock in cheap.stocks if stock.price and not stock.from_rack]
    return cost // min(prices, default=1) + 1


def _spares(problem: Problem, mine: Sequence[Stock], prices: Mapping[str, int], material: str) -> int:
    """Give what the spares of a material add at least, where all that are asked for can be had."""
    new = [stock for stock in mine if not stock.from_rack]
    if any(stock.available is not None or stock.pack > 1 for stock in new):
        return 0
    asked = sum(number for name, number in problem.spare if name == material)
    return asked * min((prices[stock.key] for stock in new), default=0)
