"""What a plan saved on the deck, what other rule sets cost, and which guesses matter to Buy."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Any

from cli.carry_cost import carry_costs
from cli.price_limits import price_limits
from cli.relax import STRICTNESS
from cli.report import Comparison, PriceLimit, RuleCost, Trial
from cli.trials import try_assumptions
from cli.variants import Purchase, Unanswered, Variants, deck_of, purchase
from optimizer.engine import Clock
from optimizer.errors import InputError, NoPlan
from optimizer.plan import Plan
from optimizer.shapes import area_of
from optimizer.words import Problem, Stock, Surface
from optimizer.yards import at_yards, bought_once
from takeoff.book import Book
from takeoff.by_hand import lay_by_hand
from takeoff.needs import Takeoff

__all__ = ["NOTHING", "Study", "by_area", "by_hand", "halves_apart", "study_plan"]

LEAST_SECONDS = 1.8
"""
Work for the study at least; it may take half as much as the plan did where that is more.

Seconds as a `Clock` counts them: so what is studied does not depend on the machine, nor on what else it does.
"""

QUICK_SECONDS = 0.5
"""Work for one question before all others have been asked once: one that is hard must not take theirs."""

LIMIT_SECONDS = 0.3
"""Of all that work, what is kept for price limits."""

NOTHING = Purchase(0, 0, True)


@dataclass(frozen=True, slots=True)
class Study:
    """What was found beside the plan itself; `late` where a deadline in seconds of the day cut it short."""

    comparisons: tuple[Comparison, ...] = ()
    rule_costs: tuple[RuleCost, ...] = ()
    trials: tuple[Trial, ...] = ()
    limits: tuple[PriceLimit, ...] = ()
    carry_costs: tuple[tuple[str, int], ...] = ()
    faults: tuple[str, ...] = ()
    late: bool = False


def study_plan(
    data: Mapping[str, Any],
    name: str,
    rules: str,
    book: Book,
    takeoff: Takeoff,
    plan: Plan,
    clock: Clock,
) -> Study:
    """
    Set a plan beside other ways of buying the deck, other rule sets, and other guesses.

    Parameters
    ----------
    data, name
        The job as typed, and its file's name.
    rules
        The job's rule set.
    clock
        That of the plan; what is not studied when the work is done is left out.
    """
    everything = takeoff.problem(_sold(book, plan))
    problem = at_yards(everything, frozenset(stock.yard for stock in everything.stocks))
    plan = bought_once(problem, everything, plan)
    fences = clock.fences
    budget = clock.share(max(LEAST_SECONDS, clock.worked / 2))
    first = budget.share(budget.left() - LIMIT_SECONDS)
    hard = {outcome.material: outcome.work for outcome in plan.outcomes}
    hard[""] = max((hard.get(surface.material, 0.0) for surface in problem.surfaces[:1]), default=0.0)
    variants = Variants(data, name, book, first, QUICK_SECONDS, hard=hard)
    carried = tuple(carry_costs(problem, plan, takeoff, book, variants))
    study = _studied(problem, rules, takeoff, plan, variants)
    # Where yards are chosen every price bears on where to go, and no material is a question of its own.
    asked = replace(variants, clock=budget.share(LIMIT_SECONDS) if variants.unsettled else budget, known={})
    limits = price_limits(problem, plan, asked) if plan.yards is None else ()
    variants = replace(variants, clock=budget)
    if variants.unsettled and budget.left() > variants.each:
        # The answers so far are remembered; the time left goes to what was too hard.
        study = _studied(problem, rules, takeoff, plan, variants.each_within(budget.left() / 2))
    return replace(study, carry_costs=carried, limits=limits, late=clock.fences > fences)


def _sold(book: Book, plan: Plan) -> tuple[Stock, ...]:
    """Give what the rack and the yards that the plan goes to have: whatever is asked here is bought there."""
    names = {trip.yard for trip in plan.trips}
    return tuple(s for s in book.stocks() if s.from_rack or not names or s.yard in names)


def _studied(problem: Problem, rules: str, takeoff: Takeoff, plan: Plan, variants: Variants) -> Study:
    """Ask everything once, what is likely to be hard last."""
    base = _own_deck(problem, plan, variants) if problem.surfaces else None
    comparisons = () if base is None else tuple(_comparisons(deck_of(problem), base, variants))
    milder = STRICTNESS[: STRICTNESS.index(rules)]
    costs = {}
    if base is not None:
        costs = {
            other: _rule_cost(problem, rules, other, base, variants)
            for other in STRICTNESS
            if other not in milder
        }
    trials = try_assumptions(problem, plan, takeoff.assumptions, variants)
    if base is not None:
        costs |= {other: _rule_cost(problem, rules, other, base, variants) for other in milder}
    rule_costs = (costs.get(other) for other in STRICTNESS)
    return Study(
        comparisons=comparisons,
        rule_costs=tuple(cost for cost in rule_costs if cost is not None),
        trials=trials,
        faults=tuple(dict.fromkeys(variants.faults)),
    )


def _own_deck(problem: Problem, plan: Plan, variants: Variants) -> Purchase | None:
    """Give what the plan buys for the deck; planned afresh where blocking shares lumber with other things."""
    deck = deck_of(problem)
    if not any(course.blocked for course in plan.lay):
        sheets = {surface.material for surface in deck.surfaces}
        return purchase(plan, [stock for stock in deck.stocks if stock.material in sheets])
    with suppress(Unanswered, NoPlan):
        return purchase(variants.plan(deck), deck.stocks)
    return None


def _sheets(deck: Problem) -> tuple[Stock, ...]:
    materials = {surface.material for surface in deck.surfaces}
    return tuple(s for s in deck.stocks if s.material in materials and not s.from_rack)


def _beside(against: str, how: str, other: Purchase, base: Purchase, note: str = "") -> Comparison:
    pieces, money = other.beyond(base)
    return Comparison(against, how, other.pieces, other.cost, pieces, money, other.proved, note)


def _comparisons(deck: Problem, base: Purchase, variants: Variants) -> Iterator[Comparison]:
    plain = _without_breaks(deck)
    loose = _loose(plain, variants)
    if loose is not None and len(deck.surfaces) > 1:
        with suppress(Unanswered, NoPlan):
            apart = _at_breaks(deck, halves_apart(plain, loose, variants))
            how = "the same rules, but each half bought for on its own, nothing shared"
            # Half-planned halves would make the saving look larger than it is.
            if apart.proved:
                yield _beside("the halves planned apart", how, apart, base)
    hand = by_hand(plain)
    if loose is not None and hand is not None:
        sheets, size = hand
        how = f"from full sheets ({size}), left to right; an offcut starts the next course if it may"
        yield _beside("the usual lay-out by hand", how, _at_breaks(deck, sheets + loose), base)
    area, size = by_area(deck)
    short = base.proved and (area.beyond(base)[1] or area.beyond(base)[0]) < 0
    note = "Too few: no lay-out under these rules does with that" if short else ""
    yield _beside("area plus 10 %", f"a count of {size}, not a lay-out", area, base, note)


def _without_breaks(deck: Problem) -> Problem:
    """Ask the same at the price of a few, if there is one size of sheet: the sheets are counted first."""
    if len(_sheets(deck)) > 1:
        return deck
    sheets = _sheets(deck)
    return replace(deck, stocks=tuple(replace(s, breaks=()) if s in sheets else s for s in deck.stocks))


def _at_breaks(deck: Problem, found: Purchase) -> Purchase:
    """Buy all sheets of a purchase together, so that its parts don't miss a price break each on its own."""
    sheets = _sheets(deck)
    if len(sheets) > 1 or not sheets[0].breaks or sheets[0].price is None or found.cost is None:
        return found
    (sheet,) = sheets
    packs = -(-found.pieces // sheet.pack)
    count, cost = sheet.cheapest(packs)
    return replace(
        found, pieces=count * sheet.pack, cost=found.cost - packs * (sheet.price or 0) + (cost or 0)
    )


def _loose(deck: Problem, variants: Variants) -> Purchase | None:
    """Give what the parts from the same sheets take on their own; None if that was not planned to the end."""
    if not deck.parts:
        return NOTHING
    parts = replace(deck, surfaces=())
    with suppress(Unanswered, NoPlan):
        found = purchase(variants.plan(parts), parts.stocks)
        return found if found.proved else None
    return None


def halves_apart(deck: Problem, loose: Purchase, variants: Variants) -> Purchase:
    """Plan every surface as if it stood alone, add up, and add what the loose parts take."""
    return sum((_alone(deck, surface, variants) for surface in deck.surfaces), loose)


def _alone(deck: Problem, surface: Surface, variants: Variants) -> Purchase:
    """Give what one half takes; halves that are alike are one question, so they get one name."""
    alone = replace(deck, surfaces=(replace(surface, label="half", mark="H"),), parts=())
    return purchase(variants.plan(alone), alone.stocks)


def _cheaper(found: Purchase | None, other: Purchase) -> bool:
    if found is None:
        return True
    pieces, money = other.beyond(found)
    return (pieces if money is None else money) < 0


def by_hand(deck: Problem) -> tuple[Purchase, str] | None:
    """Lay the deck by hand with each size of sheet in turn, and give the cheapest and its size."""
    best: tuple[Purchase, str] | None = None
    for sheet in _sheets(deck):
        laid = lay_by_hand(deck.surfaces, sheet, deck.saw.sheet)
        if laid is None or (sheet.available is not None and sheet.available * sheet.pack < laid.sheets):
            continue
        found = _whole_packs(laid.sheets, sheet, proved=False)
        if best is None or _cheaper(best[0], found):
            best = (found, sheet.key)
    return best


def _whole_packs(sheets: int, sheet: Stock, proved: bool) -> Purchase:
    packs, cost = sheet.cheapest(-(-sheets // sheet.pack))
    return Purchase(packs * sheet.pack, cost, proved)


def by_area(deck: Problem) -> tuple[Purchase, str]:
    """Count sheets for the area and a tenth more, in the size that makes it cheapest."""
    area = sum(area_of(surface) for surface in deck.surfaces)
    area += sum(p.length * p.width * p.count for p in deck.parts)
    gap = deck.surfaces[0].rule.gap
    best: tuple[Purchase, str] | None = None
    for sheet in _sheets(deck):
        module = (sheet.length + gap) * (sheet.width + gap)
        found = _whole_packs(-(-area * 11 // (10 * module)), sheet, proved=False)
        if best is None or _cheaper(best[0], found):
            best = (found, sheet.key)
    assert best is not None, "a deck was planned, so there are sheets"
    return best


def _rule_cost(
    problem: Problem, rules: str, other: str, base: Purchase, variants: Variants
) -> RuleCost | None:
    """Give what the deck takes under a rule set; None if that was not found out in time."""
    if other == rules:
        return RuleCost(rules, True, base.pieces, base.cost, 0, None if base.cost is None else 0, base.proved)
    try:
        takeoff = variants.take_off("rules", other)
        deck = deck_of(takeoff.problem(problem.stocks))
        found = base if deck == deck_of(problem) else purchase(variants.plan(deck), deck.stocks)
    except (NoPlan, InputError) as error:
        return RuleCost(other, False, None, None, None, None, False, str(error))
    except Unanswered:
        return None
    more, money = found.beyond(base)
    return RuleCost(other, False, found.pieces, found.cost, more, money, found.proved)
