"""
Which yards to go to, and how often.

Once the yards are settled, materials are independent questions. What each costs with every yard to choose
from is less than with some of them, so those bounds, added up with the trips, bound every choice of yards;
most choices are ruled out by that alone, and only the others are planned.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import combinations

from optimizer.engine import Clock
from optimizer.errors import InputError, NoPlan, TimeUp
from optimizer.money import tax_on
from optimizer.plan import Bought, Outcome, Plan, Trip
from optimizer.words import Problem, Stock
from optimizer.yard_bounds import least_with_loads, without_extras
from optimizer.yard_loads import shared_out, thing_of

__all__ = ["at_yards", "bought_once", "plan_with_yards"]

Ask = Callable[[Problem, Clock, bool], Plan]
"""Plans a problem without yards; the last says whether ties between equal costs matter."""

_FAMILY = "every choice of yards planned, or ruled out by what its materials cost at least"


def at_yards(problem: Problem, names: frozenset[str]) -> Problem:
    """
    Ask the same of some yards only, and don't count trips.

    Of equal things that are sold at several of them the dearer ones are left out, of equal prices all but the
    first, unless the cheapest yard has only so many.
    """
    stocks = [s for s in problem.stocks if s.from_rack or s.yard in names]
    kept = [
        s for place, s in enumerate(stocks) if not any(_beats(o, s, n < place) for n, o in enumerate(stocks))
    ]
    return replace(problem, stocks=tuple(kept), yards=(), load=None)


def _beats(one: Stock, other: Stock, first: bool) -> bool:
    """Tell whether a stock, as much as is wanted of it, is the same as another and never dearer."""
    if one is other or one.from_rack or other.from_rack or one.available is not None:
        return False
    if one.yard == other.yard or thing_of(one) != thing_of(other) or one.price is None or other.price is None:
        return False
    tiers = ((1, other.price), *other.breaks)
    prices = [(one.price_of(least) or 0, price) for least, price in tiers]
    if any(mine > theirs for mine, theirs in prices):
        return False
    same = (one.price, one.breaks, other.available) == (other.price, other.breaks, None)
    return first or not same


def bought_once(problem: Problem, everything: Problem, plan: Plan) -> Plan:
    """
    Give a plan as if it bought every thing at one yard, where the problem has it.

    Parameters
    ----------
    problem
        Of some yards, as `at_yards` gives it.
    everything
        The same with all they sell, which is what the plan was made from.
    """
    here = {stock.key for stock in problem.stocks}
    sold = {stock.key: stock for stock in everything.stocks if not stock.from_rack}
    homes = {thing_of(stock): stock for stock in problem.stocks if not stock.from_rack}
    lines: dict[tuple[str, bool], Bought] = {}
    for line in plan.buy:
        moves = not line.from_rack and line.stock not in here
        key = homes[thing_of(sold[line.stock])].key if moves else line.stock
        known = lines.get((key, line.from_rack))
        if known is not None:
            line = replace(line, needed=line.needed + known.needed, spare=line.spare + known.spare)
            moves = True
        if moves:
            home = homes[thing_of(sold[key])]
            count, cost = home.cheapest(-(-(line.needed + line.spare) // home.pack))
            line = replace(line, stock=key, count=count, unit_price=home.price_of(count), cost=cost)
        lines[key, line.from_rack] = line
    return replace(plan, buy=tuple(lines.values()))


def plan_with_yards(problem: Problem, ask: Ask, clock: Clock, ties: bool = True) -> Plan:
    """
    Plan where to buy what, trips counted.

    Returns
    -------
    Plan
        With its trips; `yards` tells how far the choice is proved, if trips cost anything or there is more
        than one yard.

    Raises
    ------
    InputError
        If there are several yards and something has no price, so that they can't be compared.
    NoPlan
        If even all yards together don't have what is needed.
    """
    everywhere = frozenset(yard.name for yard in problem.yards)
    choice = _Choice(problem, ask, clock)
    if len(everywhere) == 1:
        plan = ask(at_yards(problem, everywhere), clock, ties)
        choice.solved[everywhere] = plan
    else:
        plan = choice.search(everywhere)
        plan = choice.shared(choice.with_ties(plan) if ties else plan)
    trips = _trips(problem, plan)
    whole = replace(plan, trips=trips)
    if plan.total is None or (len(everywhere) == 1 and not any(yard.trip for yard in problem.yards)):
        return whole
    return replace(whole, yards=choice.outcome(whole))


def _used(problem: Problem, plan: Plan) -> frozenset[str]:
    homes = {s.key: s.yard for s in problem.stocks if not s.from_rack}
    return frozenset(homes[line.stock] for line in plan.buy if not line.from_rack)


def _trips(problem: Problem, plan: Plan) -> tuple[Trip, ...]:
    """Pack what is bought at each yard into loads, heaviest first, each where it still fits."""
    stocks = {s.key: s for s in problem.stocks if not s.from_rack}
    trips = []
    for yard in problem.yards:
        lines = [(line, stocks[line.stock]) for line in plan.buy if not line.from_rack]
        packs = [(s.weight or 0, line.count) for line, s in lines if s.yard == yard.name]
        if packs:
            grams = sum(weight * count for weight, count in packs)
            trips.append(Trip(yard.name, _loads(packs, problem.load), yard.trip, grams))
    return tuple(trips)


def _loads(packs: Sequence[tuple[int, int]], load: int | None) -> int:
    if load is None:
        return 1
    rooms: list[int] = []
    for weight, count in sorted(packs, reverse=True):
        left = count
        for place, room in enumerate(rooms):
            here = min(left, room // weight) if weight else left
            rooms[place] -= here * weight
            left -= here
        while left:
            here = max(1, min(left, load // weight)) if weight else left
            rooms.append(load - here * weight)
            left -= here
    return max(1, len(rooms))


@dataclass(slots=True)
class _Choice:
    """
    The choices of yards planned so far, and what they say about the others.

    `barren` ones don't have all that is needed; `failed` ones found no plan in time.
    """

    problem: Problem
    ask: Ask
    clock: Clock
    solved: dict[frozenset[str], Plan] = field(default_factory=dict)
    moved: dict[frozenset[str], Plan] = field(default_factory=dict)
    barren: set[frozenset[str]] = field(default_factory=set)
    failed: set[frozenset[str]] = field(default_factory=set)
    best: frozenset[str] | None = None
    lightest: int = 0

    def search(self, everywhere: frozenset[str]) -> Plan:
        """
        Plan all yards together, then the choices that may be cheaper, the most promising first.

        Raises
        ------
        InputError
            If something that is bought has no price.
        """
        whole = self.ask(at_yards(self.problem, everywhere), self.clock.share(self.clock.left() * 0.4), False)
        if whole.total is None:
            raise InputError("yards can be compared only where everything that is bought has a price")
        self._keep(everywhere, whole)
        while self.clock.left() > 0:
            known = self.solved.keys() | self.barren | self.failed
            waiting = [names for names in self._choices() if names not in known]
            names = min(waiting, key=lambda names: (self.least(names), len(names)), default=None)
            if names is None or not self._may_be_better(names):
                break
            share = self.clock.share(self.clock.left() * 0.5)
            try:
                self._keep(names, self.ask(at_yards(self.problem, names), share, False))
            except NoPlan as error:
                # Only what failed with time to spare is sure to have no plan.
                sure = not isinstance(error, TimeUp) and share.left() > 0
                (self.barren if sure else self.failed).add(names)
        return self.solved[self._best()]

    def with_ties(self, plan: Plan) -> Plan:
        """Plan the best choice once more, now choosing between lay-outs of equal cost, if there is time."""
        try:
            again = self.ask(at_yards(self.problem, self._best()), self.clock, True)
        except NoPlan:
            return plan
        return again if self._value(again) <= self._value(plan) else plan

    def _may_be_better(self, names: frozenset[str]) -> bool:
        """Tell whether a choice may cost less than the best, or as much and ask for fewer yards."""
        best = self._best()
        mine = self.least(names), len(names)
        return mine < (self._value(self._shared(best)), len(best))

    def _keep(self, names: frozenset[str], plan: Plan) -> None:
        self.solved[names] = plan
        order = [yard.name for yard in self.problem.yards]

        def rank(names: frozenset[str]) -> tuple[int, int, list[int]]:
            plan = self._shared(names)
            used = sorted(order.index(name) for name in _used(self.problem, plan))
            return self._value(plan), len(names), used

        self.best = min(self.solved, key=rank)

    def _shared(self, names: frozenset[str]) -> Plan:
        if names not in self.moved:
            self.moved[names] = self.shared(self.solved[names])
        return self.moved[names]

    def shared(self, plan: Plan) -> Plan:
        """Share out among all yards what a plan buys, where that spares trips that cost more."""
        trips = _trips(self.problem, plan)
        if len(self.problem.yards) < 2 or not any(trip.number > 1 and trip.each for trip in trips):
            return plan
        # All yards together were planned first: no choice costs less.
        first = next(iter(self.solved.values()))
        least = {outcome.material: outcome for outcome in first.outcomes}
        other = shared_out(self.problem, plan, least, self.clock)
        return plan if other is None or self._value(other) >= self._value(plan) else other

    def _best(self) -> frozenset[str]:
        assert self.best is not None, "all yards together were planned first"
        return self.best

    def _choices(self) -> Iterator[frozenset[str]]:
        names = [yard.name for yard in self.problem.yards]
        for number in range(1, len(names) + 1):
            yield from map(frozenset, combinations(names, number))

    def _value(self, plan: Plan) -> int:
        """Give what a plan costs with tax and trips."""
        return self._taxed(plan.total or 0) + sum(t.number * t.each for t in _trips(self.problem, plan))

    def _taxed(self, cents: int) -> int:
        return cents + tax_on(cents, self.problem.tax)

    def least(self, names: frozenset[str]) -> int:
        """Bound what any plan costs that buys at each of these yards and at no other."""
        if names in self.solved:
            plan = self.solved[names]
            goods = plan.total or 0 if plan.bound is None else plan.bound
        else:
            bounds = [_bounds(plan) for known, plan in self.solved.items() if names <= known]
            goods = sum(max(known.get(material, 0) for known in bounds) for material in bounds[0])
        trips = [yard.trip for yard in self.problem.yards if yard.name in names]
        load = self.problem.load
        more = 0 if load is None else max(0, -(-self.lightest // load) - len(trips))
        return self._taxed(goods) + sum(trips) + more * min(trips)

    def outcome(self, plan: Plan) -> Outcome:
        """Say how far the choice is proved."""
        value = self._value(plan)
        choices = [s for s in self._choices() if s not in self.barren]
        bound = min(map(self.least, choices)) if len(self.problem.yards) > 1 else self.least(choices[0])
        if bound < value and any(trip.number > 1 for trip in plan.trips):
            self.lightest = self._least_weight()
            bound = min(map(self.least, choices))
        known: list[tuple[str, ...]] = []
        if bound < value and self.problem.load is not None:
            more, by = least_with_loads(self.problem, plan, value, self._everywhere, self.clock)
            if more > bound:
                bound, known = more, [by]
        bound = min(bound, value)
        known += [o.witnesses for each in (*self.solved.values(), plan) for o in each.outcomes]
        alone = [names for names in known if len(set(names)) < 2]
        witnesses = alone[0] if alone else tuple(dict.fromkeys(name for names in known for name in names))
        proved = bound == value and len(witnesses) > 1
        return Outcome("yards and trips", value, bound, proved, _FAMILY, witnesses, self.clock.spent())

    def _everywhere(self, problem: Problem) -> Plan:
        """Plan a question about all yards together, without trips."""
        names = frozenset(yard.name for yard in problem.yards)
        return self.ask(at_yards(problem, names), self.clock.share(self.clock.left() * 0.5), False)

    def _least_weight(self) -> int:
        """Bound the weight of any purchase: grams take the place of cents; 0 where that can't be told."""
        stocks = tuple(
            replace(s, price=0 if s.from_rack else s.weight or 0, breaks=()) for s in self.problem.stocks
        )
        try:
            return self._everywhere(without_extras(replace(self.problem, stocks=stocks))).bound or 0
        except NoPlan:
            return 0


def _bounds(plan: Plan) -> Mapping[str, int]:
    return {outcome.material: outcome.bound for outcome in plan.outcomes}
