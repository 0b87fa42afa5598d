"""Variants of one job: change a key, take off again, plan the part of the question that matters."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from copy import deepcopy
from dataclasses import dataclass, field, replace
from typing import Any

from optimizer.engine import Clock
from optimizer.errors import Bug, NoPlan, TimeUp
from optimizer.plan import Bought, Plan
from optimizer.solve import cheapest_plan
from optimizer.words import Problem, Stock
from takeoff.book import Book
from takeoff.collect import take_off
from takeoff.job import parse_job
from takeoff.needs import Takeoff

TAKEN_OFF, LINED, LAID = 1e-4, 5e-4, 1e-2
"""Seconds of work, solvers apart: for a thing taken off, a run or a part planned, and a surface planned."""

OFTEN = 2
"""A variant is seldom easier than the job by more than this."""

__all__ = ["Purchase", "Unanswered", "Variants", "deck_of", "part_of", "purchase", "varied", "without_spare"]


class Unanswered(Exception):
    """A variant has no answer: the time was up, or the answer failed its audit."""


@dataclass(frozen=True, slots=True)
class Purchase:
    """
    What a deck takes, spares left out: sheets, cents, and whether nothing is cheaper.

    The cents are None without prices; with them they pay for the lumber of the blocking, too.
    """

    pieces: int
    cost: int | None
    proved: bool

    def __add__(self, other: Purchase) -> Purchase:
        cost = None if self.cost is None or other.cost is None else self.cost + other.cost
        return Purchase(self.pieces + other.pieces, cost, self.proved and other.proved)

    def beyond(self, other: Purchase) -> tuple[int, int | None]:
        """Give how many more pieces and cents this takes than another purchase."""
        money = None if self.cost is None or other.cost is None else self.cost - other.cost
        return self.pieces - other.pieces, money


def varied(data: Mapping[str, Any], key: str, value: object) -> dict[str, Any]:
    """
    Give a job's data with one key set to another value.

    Parameters
    ----------
    key
        Dotted; in a list of tables by number from 0, as `door.0.gap`.

    Examples
    --------
    >>> varied({"length": "16 ft"}, "rule.gap", "0 in")
    {'length': '16 ft', 'rule': {'gap': '0 in'}}
    >>> varied({"door": [{"width": "3 ft"}]}, "door.0.leaves", 2)
    {'door': [{'width': '3 ft', 'leaves': 2}]}
    """
    changed = deepcopy(dict(data))
    *tables, last = key.split(".")
    table: Any = changed
    for name in tables:
        table = table[int(name)] if isinstance(table, list) else table.setdefault(name, {})
    table[last] = value
    return changed


def part_of(problem: Problem, materials: frozenset[str]) -> Problem:
    """Give the part of a question that is about some materials."""
    return replace(
        problem,
        stocks=tuple(s for s in problem.stocks if s.material in materials),
        surfaces=tuple(s for s in problem.surfaces if s.material in materials),
        runs=tuple(r for r in problem.runs if r.material in materials),
        parts=tuple(p for p in problem.parts if p.material in materials),
        counts=tuple(c for c in problem.counts if c.material in materials),
        spare=tuple((m, n) for m, n in problem.spare if m in materials),
    )


def deck_of(problem: Problem) -> Problem:
    """Give the question of the roof's deck, the first of the surfaces: its sheets, lumber of its blocking."""
    sheets = frozenset(s.material for s in problem.surfaces[:1])
    lumber = frozenset(part.material for s in problem.surfaces for part in s.blocking if s.material in sheets)
    stocks = tuple(s for s in problem.stocks if s.material in sheets | lumber)
    return replace(part_of(problem, sheets), stocks=stocks, spare=())


def purchase(plan: Plan, stocks: Iterable[Stock]) -> Purchase:
    """Give what a plan buys of some stocks, spares left out; an offcut costs the value it is stated at."""
    kept = {(stock.key, stock.from_rack): stock for stock in stocks}
    materials = {stock.material for stock in kept.values()}
    bought = [(kept[key], b) for b in plan.buy if (key := (b.stock, b.from_rack)) in kept]
    alone = [(stock, *without_spare(b, stock)) for stock, b in bought]
    costs = [cost for _, _, cost in alone if cost is not None]
    return Purchase(
        pieces=sum(n * s.pack for s, n, _ in alone if s.kind == "sheet" and not s.from_rack),
        cost=sum(costs) if len(costs) == len(alone) else None,
        proved=all(o.proved for o in plan.outcomes if o.material in materials),
    )


def without_spare(bought: Bought, stock: Stock) -> tuple[int, int | None]:
    """Give the packs that a line would buy if nothing were bought to be safe, and their cents."""
    return stock.cheapest(-(-bought.needed // stock.pack)) if bought.spare else (bought.count, bought.cost)


@dataclass(frozen=True, slots=True)
class _Answer:
    """What a question came to, and the seconds it was given."""

    found: Plan | NoPlan | Unanswered
    seconds: float

    @property
    def settled(self) -> bool:
        """True if more time would change nothing."""
        return isinstance(self.found, NoPlan) or (isinstance(self.found, Plan) and self.found.proved)


@dataclass(slots=True)
class Variants:
    """
    Plans variants of one job under one clock; a question is asked again only when there is more time for it.

    Parameters
    ----------
    data, name
        The job as typed, and its file's name.
    each
        Seconds for one question, at most.
    faults
        What went wrong on our side; a variant that fails its audit is never shown, and must not take the
        plan itself with it.
    hard
        By the material of surfaces: the work that the job's own plan took, and "" for a deck of another. What
        is likely to be as hard, and has far less time, is not begun, for a large question takes long before
        its clock is looked at.
    known
        Every question asked so far, with its answer.
    takeoffs
        Every takeoff made so far, by the change it is made for.
    """

    data: Mapping[str, Any]
    name: str
    book: Book
    clock: Clock
    each: float
    faults: list[str] = field(default_factory=list)
    hard: Mapping[str, float] = field(default_factory=dict)
    known: dict[Problem, _Answer] = field(default_factory=dict)
    takeoffs: dict[str, Takeoff] = field(default_factory=dict)

    @property
    def unsettled(self) -> bool:
        """True while a question has no answer, or one that is not proved."""
        return not all(answer.settled for answer in self.known.values())

    def take_off(self, key: str, value: object) -> Takeoff:
        """Take off the job with one key changed."""
        change = f"{key} = {value!r}"
        if change not in self.takeoffs:
            made = take_off(parse_job(varied(self.data, key, value), self.name), self.book)
            self.clock.spend(TAKEN_OFF * (len(made.runs) + len(made.parts) + len(made.counts)))
            self.takeoffs[change] = made
        return self.takeoffs[change]

    def plan(self, problem: Problem) -> Plan:
        """
        Plan a question, or remember its plan.

        Raises
        ------
        NoPlan
            If there is none.
        Unanswered
            If the time is up before there is an answer, or the answer failed its audit.
        """
        answer, share = self.known.get(problem), self.clock.share(self.each)
        if answer is None or not (answer.settled or share.left() < 2 * answer.seconds):
            given = share.left()
            found = self._answer(problem, share)
            if answer is None or not isinstance(found, Unanswered):
                answer = self.known[problem] = _Answer(found, given)
        if not isinstance(answer.found, Plan):
            raise answer.found
        return answer.found

    def plans(self, problem: Problem) -> tuple[Plan, ...]:
        """
        Plan a question, its deck apart where that shares no lumber with the rest; raises as `plan` does.

        The deck alone is asked about more than once, and is the hardest question of all.
        """
        deck = deck_of(problem)
        if not problem.surfaces or deck == problem:
            return (self.plan(problem),)
        planned = self.plan(deck)
        if any(course.blocked for course in planned.lay):
            return (self.plan(problem),)
        sheets = {surface.material for surface in deck.surfaces}
        others = frozenset(stock.material for stock in problem.stocks) - sheets
        return planned, self.plan(part_of(problem, others))

    def each_within(self, seconds: float) -> Variants:
        """Give the same variants, with what is known of them, and another limit for one question."""
        return replace(self, each=seconds)

    def _answer(self, problem: Problem, share: Clock) -> Plan | NoPlan | Unanswered:
        if share.left() <= 0 and (problem.surfaces or problem.runs or problem.parts):
            return Unanswered()
        hard = (self.hard.get(s.material, self.hard.get("", 0.0)) for s in problem.surfaces)
        if OFTEN * share.left() < max(hard, default=0.0):
            return Unanswered()
        share.spend(LINED * (len(problem.runs) + len(problem.parts)) + LAID * len(problem.surfaces))
        try:
            return cheapest_plan(problem, share, ties=_ties_matter(problem))
        except TimeUp:
            return Unanswered()
        except NoPlan as error:
            return error
        except Bug as error:
            self.faults.append(str(error))
            return Unanswered()


def _ties_matter(problem: Problem) -> bool:
    """Tell whether equal costs may be reached by buying different sheets."""
    sheets = {surface.material for surface in problem.surfaces}
    return any(sum(stock.material == material for stock in problem.stocks) > 1 for material in sheets)
