"""Options side by side: a job with something swapped, taken off and planned again, set beside the plan."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from pydantic import BaseModel

from cli.bill import add_up
from cli.loading import Loaded, question, reloaded, taken_off
from cli.report import Bill
from cli.variants import part_of, varied
from optimizer.engine import Clock
from optimizer.errors import InputError, NoPlan, TimeUp
from optimizer.lengths import FOOT, TapeUnit, size_text
from optimizer.plan import Plan
from optimizer.shapes import area_of
from optimizer.solve import cheapest_plan
from optimizer.words import Problem
from takeoff.book import Book
from takeoff.building import building_of
from takeoff.job import Job
from takeoff.needs import Takeoff
from takeoff.roof import panel_sizes
from takeoff.spans import needs_edge_support, panel_span, widest_bay

__all__ = ["Changed", "Option", "options", "planned", "swapped"]

_WHERE = "--swap"

_LIKE = {"--swap": "osb-7/16=osb-19/32", "--changed": "'slope_length=100-1/4 in'"}


@dataclass(frozen=True, slots=True)
class Changed:
    """A line of Buy that differs: packs before and after, cents after less cents before (None unpriced)."""

    item: str
    before: int
    after: int
    cents: int | None


@dataclass(frozen=True, slots=True)
class Planned:
    """A job, taken off and planned."""

    loaded: Loaded
    takeoff: Takeoff
    problem: Problem
    plan: Plan
    bill: Bill


@dataclass(frozen=True, slots=True)
class Option:
    """
    One option beside the plan.

    `name` is the swap as typed. `found` is None where there is no plan, and `reason` says why. `more` is what
    it costs beyond the plan, tax included, in cents; None where either is not priced. `notes` say what else
    changes.
    """

    name: str
    found: Planned | None
    more: int | None = None
    changed: tuple[Changed, ...] = ()
    notes: tuple[str, ...] = ()
    reason: str = ""


def swapped(loaded: Loaded, swap: str, option: str = _WHERE) -> Loaded:
    """
    Give a job with something swapped.

    Parameters
    ----------
    swap
        `A=B`, or several with commas between: A is a key of the job (`panel`, `rule.gap`) and B its value; or
        A is a material of the job, and B stands in its place wherever it is named. B may also be one size of
        a material, by its line in the price book: then that size alone is bought. `yard=B` buys at one yard.
    option
        Where it was typed.

    Raises
    ------
    InputError
        If the swap can't be read, or A or B is nothing the job or the price book knows.
    """
    data, only = dict(loaded.source.data), {}
    for single in swap.split(","):
        old, sign, new = (part.strip() for part in single.partition("="))
        if not (old and sign and new):
            raise InputError(
                f"{swap!r} can't be read; write it like {_LIKE.get(option, _LIKE[_WHERE])}", option
            )
        if old == "yard":
            data = _at_one_yard(data, loaded.job, new)
            continue
        item = next((item for item in loaded.prices.book.items if item.key == new), None)
        if item is not None and item.key != item.material:
            only[item.material] = item.key
            new = item.material
        data = _swapped(data, loaded, old, new, option)
    try:
        changed = reloaded(loaded, data)
    except InputError as error:
        raise InputError(error.message, f"{option} {swap}") from None
    if not only:
        return changed
    items = tuple(i for i in changed.prices.book.items if only.get(i.material, i.key) == i.key or i.from_rack)
    book = replace(changed.prices.book, items=items)
    return replace(changed, prices=replace(changed.prices, book=book))


def _at_one_yard(data: Mapping[str, Any], job: Job, name: str) -> dict[str, Any]:
    names = [yard.name for yard in job.yard]
    if name not in names:
        known = ", ".join(names) if names else "the job has none"
        raise InputError(f"there is no yard {name!r}; yards: {known}", _WHERE)
    return {**data, "yard": [table for table in data["yard"] if table["name"] == name]}


def _swapped(data: Mapping[str, Any], loaded: Loaded, old: str, new: str, option: str) -> dict[str, Any]:
    """Set a key, or put one material in another's place wherever the job names it."""
    places = tuple(_named(loaded.job, old, ""))
    if places:
        if not loaded.prices.book.everything(new):
            raise InputError(f"the price book has no {new!r} to put in the place of {old}", option)
        for place in places:
            data = varied(data, place, new)
        return dict(data)
    if old.split(".")[0] not in Job.model_fields:
        raise InputError(f"{old!r} is neither a key of the job nor a material it names", option)
    return varied(data, old, _value(new))


def _named(value: object, material: str, place: str) -> Iterator[str]:
    """Give the keys whose value is a material, those left to their default among them."""
    if isinstance(value, BaseModel):
        for name in type(value).model_fields:
            if name not in ("title", "currency", "prices", "sides", "name"):
                yield from _named(getattr(value, name), material, f"{place}.{name}" if place else name)
    elif isinstance(value, tuple):
        for number, item in enumerate(value):
            if isinstance(item, BaseModel):
                yield from _named(item, material, f"{place}.{number}")
    elif value == material and isinstance(value, str):
        yield place


def _value(text: str) -> object:
    """Read a value as a job file would hold it; what is no TOML is text."""
    try:
        return tomllib.loads(f"value = {text}")["value"]
    except tomllib.TOMLDecodeError:
        return text


def planned(
    loaded: Loaded, clock: Clock, beside: Planned | None = None, known: dict[Problem, Plan] | None = None
) -> Planned:
    """
    Take off and plan a job.

    Parameters
    ----------
    beside
        A plan of nearly the same job: what is asked for alike is taken from it, not planned again.
    known
        Questions of single materials that were planned before; those planned now are added to it.
    """
    takeoff = taken_off(loaded)
    problem = question(loaded, takeoff)
    plan = cheapest_plan(problem, clock) if beside is None else _rest(problem, beside, clock, known)
    bill = add_up(plan, loaded.prices.book, loaded.job.tax_percent, problem.spare)
    return Planned(loaded, takeoff, problem, plan, bill)


def _rest(problem: Problem, beside: Planned, clock: Clock, known: dict[Problem, Plan] | None) -> Plan:
    """Plan the materials that are asked for otherwise, and take the others as they were planned."""
    old, before = beside.problem, beside.plan
    if problem.yards or old.yards:
        return cheapest_plan(problem, clock)
    known = {} if known is None else known
    stocks = {stock.key: stock.material for p in (problem, old) for stock in p.stocks}
    fresh: list[Plan] = []
    changed: set[str] = set()
    for group in _groups(problem, old):
        asked = part_of(problem, group)
        if asked == part_of(old, group):
            continue
        if asked not in known:
            known[asked] = cheapest_plan(asked, clock.share(clock.left() / 2))
        fresh.append(known[asked])
        changed |= group
    buy = (
        *(b for b in before.buy if stocks[b.stock] not in changed),
        *(b for plan in fresh for b in plan.buy),
    )
    costs = [b.cost for b in buy]
    total = None if None in costs else sum(cost for cost in costs if cost is not None)
    outcomes = (
        *(o for o in before.outcomes if o.material not in changed),
        *(o for plan in fresh for o in plan.outcomes),
    )
    short = sum(outcome.cost - outcome.bound for outcome in outcomes)
    cut = (
        *(c for c in before.cut if stocks[c.stock] not in changed),
        *(c for plan in fresh for c in plan.cut),
    )
    return replace(
        before,
        buy=buy,
        cut=cut,
        outcomes=outcomes,
        total=total,
        bound=None if total is None else total - short,
        pieces=sum(each.repeat for each in cut),
    )


def _groups(problem: Problem, old: Problem) -> list[frozenset[str]]:
    """Give the materials that are planned apart: each alone, but decks with the lumber of their blocking."""
    surfaces = [s for p in (problem, old) for s in p.surfaces if s.blocking]
    deck = {s.material for s in surfaces} | {part.material for s in surfaces for part in s.blocking}
    every = {stock.material for p in (problem, old) for stock in p.stocks}
    return [*([frozenset(deck)] if deck else []), *(frozenset({m}) for m in sorted(every - deck))]


def options(base: Planned, swaps: Sequence[str], clock: Clock) -> Iterator[Option]:
    """Plan every swap in turn, each with its share of the time left."""
    for number, swap in enumerate(swaps):
        share = clock.share(clock.left() / (len(swaps) - number))
        loaded = swapped(base.loaded, swap)
        try:
            found = planned(loaded, share, base)
        except TimeUp:
            yield Option(swap, None, reason="not planned in the time given")
        except NoPlan as error:
            yield Option(swap, None, reason=f"no plan: {error}")
        else:
            more = None
            if found.bill.total is not None and base.bill.total is not None:
                more = found.bill.total - base.bill.total
            yield Option(swap, found, more, tuple(_changes(base, found)), tuple(_notes(base, found)))


def _changes(base: Planned, other: Planned) -> Iterator[Changed]:
    """Give the lines of Buy that differ, spares with what they are spares of, wherever they are bought."""

    def lines(bill: Bill) -> dict[str, tuple[int, int | None]]:
        found: dict[str, tuple[int, int | None]] = {}
        for line in bill.lines:
            item = line.item.removesuffix(f" ({line.yard})") if line.yard else line.item
            count, cost = found.get(item, (0, 0))
            whole = None if cost is None or line.cost is None else cost + line.cost
            found[item] = count + line.count, whole
        return found

    before, after = lines(base.bill), lines(other.bill)
    for item in dict.fromkeys((*before, *after)):
        (old, paid), (new, pays) = before.get(item, (0, 0)), after.get(item, (0, 0))
        if (old, paid) != (new, pays):
            yield Changed(item, old, new, None if paid is None or pays is None else pays - paid)


def _notes(base: Planned, other: Planned) -> Iterator[str]:
    """Say where it is bought, what a deck panel costs by sheet and square, and how far it may span."""
    yards, new_yards = (_yards(p) for p in (base, other))
    if yards != new_yards:
        yield f"bought at {new_yards}; before: {yards}"
    if base.loaded.job.panel != other.loaded.job.panel:
        old, new = (_by_square(p) for p in (base, other))
        if old is not None and new is not None:
            (each, square), (other_each, other_square) = old, new
            yield (
                f"a sheet costs {_money(other_each)} instead of {_money(each)}, a square of deck (100 sq ft) "
                f"{_money(other_square)} instead of {_money(square)}"
            )
    old_span, new_span = (_span(p, base.loaded.job.tape) for p in (base, other))
    if old_span != new_span:
        yield f"{new_span}; before: {old_span}"
    edges, new_edges = (_edges(p) for p in (base, other))
    if edges != new_edges:
        yield f"between rafters panel edges need {new_edges}; before: {edges}"
    nail, new_nail = (_told(p, "deck nail") for p in (base, other))
    if new_nail and nail != new_nail:
        yield new_nail
    failed = {(check.rule, check.message) for check in base.takeoff.checks}
    for check in other.takeoff.checks:
        if check.level in ("warn", "fail") and (check.rule, check.message) not in failed:
            yield f"{'fails' if check.level == 'fail' else 'mind'}: {check.message}"


def _yards(found: Planned) -> str:
    """Name the yards that are bought from, with what the trips there cost."""
    names = [yard.name for yard in found.loaded.job.yard]
    bought = [name for name in names if any(line.yard == name for line in found.bill.lines)]
    if not bought and len(names) == 1:
        bought = names
    cost = sum(trip.number * trip.each for trip in found.bill.trips)
    told = " and ".join(bought) or "one place"
    return f"{told}, trips {_money(cost)}" if cost else told


def _edges(found: Planned) -> str:
    """Name what the span asks for under the panels' long edges."""
    job, book = found.loaded.job, _book(found)
    needed = needs_edge_support(building_of(job, book), panel_span(panel_sizes(job, book)))
    return job.edge_support if needed else "no clips and no blocking"


def _told(found: Planned, rule: str) -> str:
    """Give what is said of a rule that is kept; a broken one is told with the others."""
    return "; ".join(
        c.message for c in found.takeoff.checks if c.rule == rule and c.level in ("pass", "note")
    )


def _money(cents: int) -> str:
    return f"{cents // 100:,}.{cents % 100:02d}"


def _by_square(found: Planned) -> tuple[int, int] | None:
    """Give the mean price of a deck sheet, and what the deck costs by the 100 square feet, in cents."""
    panel = found.loaded.job.panel
    stocks = {stock.key: stock for stock in found.problem.stocks if stock.material == panel}
    bought = [b for b in found.plan.buy if b.stock in stocks and not b.from_rack and b.cost is not None]
    sheets = sum(b.count * stocks[b.stock].pack for b in bought)
    area = sum(area_of(surface) for surface in found.problem.surfaces if surface.material == panel)
    cost = sum(b.cost or 0 for b in bought)
    if not sheets or not area:
        return None
    return cost // sheets, cost * 100 * FOOT * FOOT // area


def _span(found: Planned, unit: TapeUnit) -> str:
    """Say how far the deck's panel may span, and what is to spare."""
    job, book = found.loaded.job, _book(found)
    span, bay = panel_span(panel_sizes(job, book)), widest_bay(building_of(job, book))
    if span.rating is None:
        return f"{job.panel} has no span rating to go by"
    room = span.unsupported - bay
    told = f"{job.panel} spans {size_text(unit, span.unsupported)} without support along its edges"
    if not room:
        return f"{told}, just as far as the rafters stand apart"
    if room > 0:
        return f"{told}, {size_text(unit, room)} more than the rafters stand apart"
    return f"{told}, {size_text(unit, -room)} less than the rafters stand apart"


def _book(found: Planned) -> Book:
    return found.loaded.prices.book
