"""What to fetch at which yard where a trip carries little: some from the dearer one may spare a trip."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from optimizer.engine import Clock, LinearModel, run_highs
from optimizer.offcuts import leftovers_of
from optimizer.plan import Bought, Cut, Outcome, Plan
from optimizer.words import Problem, Stock

__all__ = ["Loads", "Thing", "shared_out", "thing_of"]

Thing = tuple[object, ...]
"""What is the same wherever it is bought: material, kind, size, pieces in a pack."""

_SECONDS = 3.0

_MOST_TRIPS = 999


def thing_of(stock: Stock) -> Thing:
    """Give what is the same of equal stock at several yards."""
    return stock.material, stock.kind, stock.length, stock.width, stock.pack


@dataclass(slots=True)
class Loads:
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
        """What a cent of goods counts as."""
        return (1 + self.problem.tax).numerator

    @property
    def trip(self) -> int:
        """What a cent of a trip counts as."""
        return (1 + self.problem.tax).denominator

    def build(self, most: Mapping[str, int]) -> None:
        """Add stocks, trips, and what one trip carries; of no stock are more than `most` packs bought."""
        for yard in self.problem.yards:
            self.trips[yard.name] = self.model.column(yard.trip * self.trip, _MOST_TRIPS)
        for stock in self.problem.stocks:
            if not stock.from_rack:
                here = most[stock.key]
                self._stock(stock, here if stock.available is None else min(here, stock.available))
        for name, column in self.trips.items():
            mine = [s for s in self.problem.stocks if s.yard == name and not s.from_rack]
            if self.problem.load:
                weights = [(c, s.weight or 0) for s in mine for c in self.packs[s.key]]
                self.model.row([*weights, (column, -self.problem.load)], upper=0)
            for stock in mine:
                limit = max(most[stock.key], 1)
                self.model.row([*((c, 1) for c in self.packs[stock.key]), (column, -limit)], upper=0)

    def _stock(self, stock: Stock, limit: int) -> None:
        columns = [self.model.column((stock.price or 0) * self.goods, limit)]
        for least, price in stock.breaks:
            if least > limit:
                continue
            column, reached = self.model.column(price * self.goods, limit), self.model.column(0, 1)
            self.model.row([(column, 1), (reached, -least)], lower=0)
            self.model.row([(column, 1), (reached, -limit)], upper=0)
            columns.append(column)
        if len(columns) > 1:
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
    loads = Loads(problem)
    loads.build(
        {
            key: max([wanted[thing_of(stock)], *(least for least, _ in stock.breaks)])
            for key, stock in stocks.items()
        }
    )
    for thing, number in wanted.items():
        same = [c for s in stocks.values() if thing_of(s) == thing for c in loads.packs[s.key]]
        loads.model.row([(column, 1) for column in same], lower=number)
    for stock in stocks.values():
        if thing_of(stock) not in wanted:
            loads.model.row([(column, 1) for column in loads.packs[stock.key]], upper=0)
    solved = run_highs(loads.model, clock.share(_SECONDS))
    return None if solved.values is None else _moved(problem, plan, known, loads.counted(solved.values))


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
    return _rewritten(problem, plan, known, lines, cuts)


def _rewritten(
    problem: Problem, plan: Plan, known: Mapping[str, Outcome], lines: Sequence[Bought], cuts: Sequence[Cut]
) -> Plan:
    """Put other lines and cuts in the place of a plan's, and add its money up again."""
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
