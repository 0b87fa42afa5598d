"""
Integer models settled by what is bought: a tree over how much of everything, the rest left fractional.

What is bought is a handful of numbers and all of the cost. Most such purchases are refuted by a linear
program; where one is not, a solver is asked for a plan from just that.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from heapq import heappop, heappush
from math import ceil, floor, inf

from optimizer.engine import Clock, Line, LinearModel, Relaxation, Relaxed, run_cpsat, run_highs
from optimizer.fixing import narrowed
from optimizer.witness import CHECKED, OWN_BRANCHING, SCALE, safe_bound, shows_at_least

__all__ = ["Purchased", "settle_purchases"]

MOST_PRICED = 8
MOST_NODES = 1_500
MOST_LEAVES = 40
"""To look at where a purchase was refuted, before another solver is asked."""

WINDOW = 200
"""Costs are looked into from the bound up, by this part of it at once: in a narrow window columns are few."""

MOST_FIRST = 0.7
"""Part of the time left for a plan from one purchase, and for a second solver to refute it."""

WIDER = 4
WHOLE = 1e-6


@dataclass(frozen=True, slots=True)
class Purchased:
    """A cheapest solution that was found, None if none was; a bound on the cost, and who vouches for it."""

    values: tuple[int, ...] | None
    bound: int
    witnesses: tuple[str, ...]


def settle_purchases(
    model: LinearModel,
    relaxed: Relaxed,
    low: int,
    below: int | None,
    clock: Clock,
    first: Sequence[Sequence[int]] = (),
    vouched: bool = True,
) -> Purchased | None:
    """
    Find the cheapest solution below a cost, and show that there is none cheaper, as far as the clock allows.

    Parameters
    ----------
    relaxed
        The model's relaxation: its multipliers close columns that a solution of such a cost can't use.
    low
        A bound on the cost that two vouch for.
    below
        What a known solution costs; None if there is none.
    first
        Groups of columns that decide most; see `shows_at_least`.
    vouched
        False where a plan is all that is wanted: then nobody else is asked about what HiGHS refutes.

    Returns
    -------
    Purchased or None
        None where too much has a price.
    """
    if sum(cost > 0 for cost in model.costs) > MOST_PRICED or any(cost < 0 for cost in model.costs):
        return None
    step = model.step()
    highest = inf if below is None else below
    window = max(step, low // WINDOW // step * step)
    witnesses = {"HiGHS", CHECKED}
    alone = False
    while low < highest and clock.left() > 0:
        limit = int(min(highest, low + window))
        left = narrowed(model, relaxed.duals, limit)
        if left is None:
            low, window = limit, window * WIDER
            continue
        tree = _Tree(left, relaxed.duals, limit, first if vouched else None, clock)
        tree.run()
        witnesses |= tree.witnesses
        alone |= tree.alone
        names = ("HiGHS",) if alone else tuple(sorted(witnesses))
        low = max(low, tree.bound)
        if tree.values is not None or tree.bound < limit:
            return Purchased(tree.values, low, names)
        window *= WIDER
    return Purchased(None, low, ("HiGHS",) if alone else tuple(sorted(witnesses)))


_Limits = dict[int, tuple[int, int | None]]
"""Lower and upper bounds of columns, where they are not the model's own."""


class _Tree:
    """The best solution below a limit, and what all others cost at least."""

    def __init__(
        self,
        model: LinearModel,
        root: Sequence[float],
        limit: int,
        first: Sequence[Sequence[int]] | None,
        clock: Clock,
    ) -> None:
        self.own, self.root = model, root
        self.model, self.kept = _open(model)
        self.priced = [column for column, cost in enumerate(self.model.costs) if cost]
        # How many in all says more than how many of one kind: kinds replace each other nearly for nothing.
        self.count = self.model.column()
        self.model.row([*((column, 1) for column in self.priced), (self.count, -1)], lower=0, upper=0)
        self.limit, self.first, self.clock = limit, first, clock
        self.values: tuple[int, ...] | None = None
        self.bound = 0
        self.witnesses = {OWN_BRANCHING}
        self.alone = False
        self.stuck: float = inf
        self.heap: list[tuple[int, int, _Limits]] = []
        self.born = 0

    def run(self) -> None:
        """Look into purchase after purchase, the cheapest first."""
        relaxation = Relaxation(self.model)
        self._wait(0, {})
        for _ in range(MOST_NODES):
            if not self.heap or self.heap[0][0] >= min(self.limit, self.stuck):
                break
            cost, _, limits = heappop(self.heap)
            relaxed = relaxation.solve(limits, self.clock)
            least = None if relaxed is None else self._least(relaxed, limits)
            if relaxed is None or least is None:
                self.stuck = min(self.stuck, cost)
            elif least < self.limit:
                self._split(max(cost, least), limits, relaxed)
        waiting = [self.heap[0][0]] if self.heap else []
        self.bound = int(min([self.limit, self.stuck, *waiting]))

    def _wait(self, cost: int, limits: _Limits) -> None:
        self.born += 1
        heappush(self.heap, (cost, -self.born, limits))

    def _least(self, relaxed: Relaxed, limits: _Limits) -> int | None:
        """Give what a node costs at least, checked in integers; the limit where it holds nothing."""
        lowers, uppers = [0] * len(self.model.costs), list(self.model.uppers)
        for column, (low, high) in limits.items():
            lowers[column], uppers[column] = low, high
        costs = [0] * len(self.model.costs) if relaxed.infeasible else self.model.costs
        scaled = safe_bound(self.model, relaxed.duals, lowers, uppers, costs)
        if relaxed.infeasible:
            return self.limit if scaled is not None and scaled > 0 else None
        step = self.model.step()
        return None if scaled is None else -(-scaled // (SCALE * step)) * step

    def _split(self, cost: int, limits: _Limits, relaxed: Relaxed) -> None:
        """Branch on what is bought in part; where it is whole, settle it."""
        for column in (self.count, *self.priced):
            value = relaxed.values[column]
            if abs(value - round(value)) > WHOLE:
                low, high = limits.get(column, (0, self.model.uppers[column]))
                self._wait(cost, {**limits, column: (low, floor(value))})
                self._wait(cost, {**limits, column: (ceil(value), high)})
                return
        bought = {column: round(relaxed.values[column]) for column in self.priced}
        if self._settled(bought):
            for other in self._others(limits, bought):
                self._wait(cost, other)
        else:
            self.stuck = min(self.stuck, cost)

    def _others(self, limits: _Limits, bought: dict[int, int]) -> Iterator[_Limits]:
        """Give the rest of a node when one purchase in it is settled, in parts that do not overlap."""
        same: _Limits = dict(limits)
        for column, number in bought.items():
            low, high = same.get(column, (0, self.model.uppers[column]))
            if low < number:
                yield {**same, column: (low, number - 1)}
            if high is None or number < high:
                yield {**same, column: (number + 1, high)}
            same[column] = (number, number)

    def _settled(self, bought: dict[int, int]) -> bool:
        """Look for a solution with just this purchase; False if that was not found out."""
        cost = sum(self.model.costs[column] * number for column, number in bought.items())
        if cost >= self.limit:
            return True
        # At just this cost even fewer columns are left.
        left = narrowed(self.own, self.root, cost + self.own.step())
        if left is None:
            return True
        fixed, kept = _open(left)
        places = {own: column for column, own in enumerate(kept)}
        for column, number in bought.items():
            place = places.get(self.kept[column])
            if place is None:
                if number:
                    return True
                continue
            fixed.uppers[place] = number
            fixed.row([(place, 1)], lower=number)
        solved = run_highs(fixed, self.clock.share(self.clock.left() * MOST_FIRST), target=cost)
        if solved.values is not None:
            values = [0] * len(self.own.costs)
            for own, value in zip(kept, solved.values, strict=True):
                values[own] = value
            self.values, self.limit = tuple(values), cost
            return True
        if not solved.infeasible:
            return False
        if self.first is None:
            self.alone = True
            return True
        first = [[places[own] for own in group if own in places] for group in self.first]
        share = self.clock.share(self.clock.left() / 4)
        if shows_at_least(fixed, cost + 1, share, MOST_LEAVES, first):
            return True
        if run_cpsat(fixed, self.clock.share(self.clock.left() * MOST_FIRST), below=cost + 1).infeasible:
            self.witnesses.add("CP-SAT")
        else:
            self.alone = True
        return True


def _open(model: LinearModel) -> tuple[LinearModel, list[int]]:
    """Leave out columns that are closed; give which are kept, too."""
    kept = [column for column, upper in enumerate(model.uppers) if upper != 0]
    places = {own: column for column, own in enumerate(kept)}
    lines = [
        Line(line.lower, line.upper, {places[c]: a for c, a in line.terms.items() if c in places})
        for line in model.lines
    ]
    return LinearModel([model.costs[c] for c in kept], [model.uppers[c] for c in kept], lines), kept
