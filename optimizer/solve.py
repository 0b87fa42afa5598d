"""cheapest_plan(): one model a material, the answers joined, the whole audited."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import partial

from optimizer.audit import audit_plan
from optimizer.engine import Clock
from optimizer.errors import Bug, NoPlan, TimeUp
from optimizer.models.breaks import plan_with_breaks
from optimizer.offcuts import leftovers_of
from optimizer.plan import Bought, Course, Cut, MaterialPlan, Outcome, Plan
from optimizer.shortage import plan_from_what_there_is
from optimizer.turns import MOST, QUICK, WORTH, better, fair, first_needed, in_turn, questions
from optimizer.words import Count, Part, Problem, Run, Stock, Surface
from optimizer.yards import plan_with_yards

__all__ = ["cheapest_plan"]

OTHERWISE = 1.0
"""Seconds of work for cuts of another kind where a plan is proved among those of one kind."""


def cheapest_plan(problem: Problem, clock: Clock, ties: bool = True) -> Plan:
    """
    Find what to buy, how to cut it and where to lay it, at the least cost.

    Parameters
    ----------
    problem
        Everything that must be covered, cut and counted, and all the stock there is.
    clock
        How long it may take; when it runs out the best audited plan so far is given.
    ties
        False leaves out the tie-breaks between lay-outs of equal cost, where only the cost is asked.

    Returns
    -------
    Plan
        Passed by the audit.

    Raises
    ------
    NoPlan
        If something can't be covered or cut from the stock under the rules.
    Bug
        If a plan fails its audit.

    Notes
    -----
    Materials don't share stock, so each is a question of its own; surfaces come first, because the
    blocking their courses need is cut from another material. Where there are yards to choose from, the same
    question about a material is asked once, however many choices it is part of.
    """
    known: dict[object, MaterialPlan] = {}
    if problem.yards:
        whole = plan_with_yards(
            problem, lambda at, share, ties: _planned(at, share, ties, known), clock, ties
        )
    else:
        whole = _planned(problem, clock, ties, known)
    complaints = audit_plan(problem, whole)
    if complaints:
        first = complaints[0]
        raise Bug(
            f"the plan failed its audit ({len(complaints)} complaints; the first: {first.rule}, "
            f"{first.where}: {first.message})"
        )
    return whole


def _planned(problem: Problem, clock: Clock, ties: bool, known: dict[object, MaterialPlan]) -> Plan:
    """Plan every material on its own and join the answers; what is `known` already is not planned again."""
    stocks: dict[str, list[Stock]] = {}
    for stock in problem.stocks:
        stocks.setdefault(stock.material, []).append(stock)
    plans: dict[str, MaterialPlan] = {}
    blocking: list[Part] = []

    def plan(material: str, surfaces: tuple[Surface, ...], share: Clock, again: bool = False) -> None:
        runs = [r for r in problem.runs if r.material == material]
        wanted = problem.parts if surfaces else (*problem.parts, *blocking)
        parts = [part for part in wanted if part.material == material]
        if surfaces and runs:
            raise NoPlan(f"{runs[0].label} is a run, and {material} covers surfaces; give it another key")
        if not (surfaces or parts or runs):
            return
        edges = {surface.label: _edge_cost(surface, stocks) for surface in surfaces}
        sizes = _some(stocks, material)
        question = (material, *sizes, surfaces, *parts, *runs, *edges.items(), ties and bool(surfaces))
        found = known.get(question)
        if found is None or again:
            whole = partial(_plan_material, material, surfaces, parts, runs, problem, edges, ties)
            before = share.worked
            other = plan_from_what_there_is(material, sizes, whole, share, not any(edges.values()))
            other = replace(other, outcome=replace(other.outcome, work=share.worked - before))
            found = other if found is None else better(found, other)
            known[question] = found
        blocking.extend(_blocking(surfaces, found.courses))
        plans[material] = found

    quick, slow = in_turn(problem)
    for material in quick:
        with suppress(TimeUp):
            plan(material, (), clock.share(clock.left() * (QUICK if slow else MOST)))
    again = [m for m in quick if m not in plans or not plans[m].outcome.proved] if slow else []
    late: list[tuple[str, tuple[Surface, ...]]] = []
    # Surfaces come first in `slow`: what finds no time among them is asked again before what hangs on them.
    for place, (material, surfaces) in enumerate(slow):
        if not surfaces:
            break
        try:
            plan(material, surfaces, clock.share(clock.left() * fair(len(slow) - place, bool(again))))
        except TimeUp:
            late.append((material, surfaces))
    rest = [*late, *(question for question in slow if not question[1])]
    for place, (material, surfaces) in enumerate(rest):
        plan(material, surfaces, clock.share(clock.left() * fair(len(rest) - place, bool(again))))
    for material in quick:
        if material not in plans or (material in again and clock.left() > WORTH):
            plan(material, (), clock.share(clock.left() * MOST), again=True)
    ordered = [plans[material] for material, _ in questions(problem) if material in plans]
    ordered.sort(key=lambda plan: first_needed(problem, plan.outcome.material))
    counted, count_outcomes = _plan_counts(problem.counts, stocks)
    return _joined(problem, ordered, counted, count_outcomes)


def _plan_material(
    material: str,
    surfaces: Sequence[Surface],
    parts: Sequence[Part],
    runs: Sequence[Run],
    problem: Problem,
    edges: Mapping[str, int],
    ties: bool,
    sizes: Sequence[Stock],
    clock: Clock,
) -> MaterialPlan:
    """Plan one material at its price breaks."""

    def ask(some: Sequence[Stock], share: Clock) -> MaterialPlan:
        if surfaces:
            return _plan_surfaces(material, some, surfaces, parts, problem, share, edges, ties)
        return _plan_lengths(material, some, parts, runs, problem, share)

    def blocked(plan: MaterialPlan) -> int:
        return sum(2 * edges[course.plane] for course in plan.courses if course.blocked)

    if any(stock.price is None for stock in sizes) and any(stock.from_rack for stock in sizes):
        # Fewest pieces to buy: what lies in the rack is none of them.
        sizes = [replace(s, price=0 if s.from_rack else s.pack, breaks=()) for s in sizes]
    return plan_with_breaks(sizes, ask, clock, blocked if any(edges.values()) else None)


def _some(stocks: Mapping[str, list[Stock]], material: str) -> list[Stock]:
    found = stocks.get(material)
    if not found:
        raise NoPlan(f"no stock of {material} is known")
    return found


def _plan_surfaces(
    material: str,
    sizes: Sequence[Stock],
    surfaces: Sequence[Surface],
    parts: Sequence[Part],
    problem: Problem,
    clock: Clock,
    edges: Mapping[str, int],
    ties: bool,
) -> MaterialPlan:
    from optimizer.models.together import plan_together

    return plan_together(material, sizes, surfaces, parts, problem.saw, clock, edges, ties)


def _edge_cost(surface: Surface, stocks: Mapping[str, list[Stock]]) -> int:
    """Price the blocking of one long edge by length, at the cheapest stock; 0 where there are no prices."""
    cents = 0
    for part in surface.blocking:
        rates = [
            -(-part.count * part.length * s.price // (s.length * s.pack))
            for s in stocks.get(part.material, ())
            if s.price is not None and s.length
        ]
        cents += min(rates, default=0)
    return cents


def _blocking(surfaces: Sequence[Surface], courses: Sequence[Course]) -> list[Part]:
    """Ask for the blocking of every blocked course: both its long edges."""
    by_label = {surface.label: surface for surface in surfaces}
    wanted: dict[Part, int] = {}
    for course in courses:
        if course.blocked:
            for part in by_label[course.plane].blocking:
                wanted[part] = wanted.get(part, 0) + 2 * part.count
    return [replace(part, count=count) for part, count in wanted.items()]


def _plan_lengths(
    material: str,
    sizes: Sequence[Stock],
    parts: Sequence[Part],
    runs: Sequence[Run],
    problem: Problem,
    clock: Clock,
) -> MaterialPlan:
    """Choose between cutting to length and cutting in two directions; where both are asked, do both."""
    from optimizer.models.boards import plan_lengths
    from optimizer.models.ripped import bound_of_any_cuts, plan_with_blanks
    from optimizer.models.sheets import plan_sheets

    two_ways = [p for p in parts if any(s.kind == "sheet" or 0 < p.width < s.width for s in sizes)]
    one_way = [p for p in parts if p not in two_ways]
    if not two_ways:
        return plan_lengths(material, sizes, parts, runs, problem.saw, clock)
    square = not runs and not any(p.slant for p in parts)
    if square and not one_way:
        return plan_sheets(material, sizes, parts, problem.saw, clock)
    mixed = None
    with suppress(NoPlan, TimeUp):
        half = clock.share(clock.left() / 2)
        mixed = plan_with_blanks(material, sizes, two_ways, one_way, runs, problem.saw, half)
    share = clock.share(clock.left() / 4)
    least = bound_of_any_cuts(material, sizes, two_ways, one_way, runs, problem.saw, share)
    if mixed is not None and (mixed.outcome.proved or len(set(least[1])) > 1):
        if least[0] >= mixed.outcome.cost:
            return _bounded(mixed, *least)
        share = clock.share(min(OTHERWISE, clock.left() / 4))
    rest = clock if mixed is None else share
    try:
        if square:
            other = plan_sheets(material, sizes, parts, problem.saw, rest)
        else:
            other = _bounded(_plan_apart(material, sizes, two_ways, one_way, runs, problem, rest), *least)
    except (NoPlan, TimeUp):
        if mixed is None:
            raise
        return mixed
    if mixed is None or other.outcome.cost < mixed.outcome.cost:
        return other
    # Of two plans at one cost the one whose proof covers more cuts is shown, if it is proved.
    return other if other.outcome.proved and other.outcome.cost == mixed.outcome.cost else mixed


def _bounded(plan: MaterialPlan, bound: int, witnesses: tuple[str, ...]) -> MaterialPlan:
    """Hold a plan against a bound for all plans of its question, if that says more than its own."""
    outcome = plan.outcome
    if outcome.proved or bound < outcome.bound or (bound == outcome.bound and outcome.witnesses):
        return plan
    bound = min(bound, outcome.cost)
    proved = bound == outcome.cost and len(set(witnesses)) > 1
    return replace(plan, outcome=replace(outcome, bound=bound, witnesses=witnesses, proved=proved))


def _plan_apart(
    material: str,
    sizes: Sequence[Stock],
    two_ways: Sequence[Part],
    one_way: Sequence[Part],
    runs: Sequence[Run],
    problem: Problem,
    clock: Clock,
) -> MaterialPlan:
    """Plan what is cut in two directions first, and what is cut to length from other pieces of stock."""
    from optimizer.models.board_area import area_bound
    from optimizer.models.boards import plan_lengths
    from optimizer.models.sheets import plan_sheets

    across = plan_sheets(material, sizes, two_ways, problem.saw, clock.share(clock.left() / 2))
    left = _without(sizes, across.cuts)
    along = plan_lengths(material, left, one_way, runs, problem.saw, clock)
    first, second = across.outcome, along.outcome
    bound = max(first.bound, area_bound(sizes, [*two_ways, *one_way], runs, problem.saw))
    if left == list(sizes):
        # Where the first plan has used up what there is little of, the second's bound is none on both.
        bound = max(bound, second.bound)
    outcome = Outcome(
        material,
        first.cost + second.cost,
        min(bound, first.cost + second.cost),
        False,
        "ripped parts and parts cut to length planned apart",
        (),
        first.seconds + second.seconds,
    )
    return MaterialPlan(across.cuts + along.cuts, across.courses + along.courses, outcome)


def _without(sizes: Sequence[Stock], cuts: Sequence[Cut]) -> list[Stock]:
    """Give what the yard and the rack still have once some of it is cut up."""
    used: Counter[tuple[str, bool]] = Counter()
    for cut in cuts:
        used[cut.stock, cut.from_rack] += cut.repeat
    left = []
    for stock in sizes:
        packs = -(-used[stock.key, stock.from_rack] // stock.pack)
        if stock.available is None or packs < stock.available:
            left.append(
                stock if stock.available is None else replace(stock, available=stock.available - packs)
            )
    return left


def _plan_counts(
    counts: Sequence[Count], stocks: Mapping[str, list[Stock]]
) -> tuple[tuple[Bought, ...], tuple[Outcome, ...]]:
    from optimizer.models.purchase import plan_counts

    bought: list[Bought] = []
    outcomes = []
    for material in dict.fromkeys(count.material for count in counts):
        mine = [count for count in counts if count.material == material]
        lines, outcome = plan_counts(material, _some(stocks, material), mine)
        bought += lines
        outcomes.append(outcome)
    return tuple(bought), tuple(outcomes)


_PREFIX = {"sheet": "S", "board": "B", "stick": "M", "roll": "R", "each": "E"}


def _joined(
    problem: Problem,
    plans: Sequence[MaterialPlan],
    counted: Sequence[Bought],
    count_outcomes: Sequence[Outcome],
) -> Plan:
    kinds = {stock.key: stock.kind for stock in problem.stocks}
    numbers: dict[str, int] = {}
    cuts: list[Cut] = []
    for cut in (cut for plan in plans for cut in plan.cuts):
        if cuts and replace(cuts[-1], id="", repeat=1) == replace(cut, id="", repeat=1):
            cuts[-1] = replace(cuts[-1], repeat=cuts[-1].repeat + cut.repeat)
            continue
        prefix = _PREFIX[kinds[cut.stock]]
        numbers[prefix] = numbers.get(prefix, 0) + 1
        cuts.append(replace(cut, id=f"{prefix}{numbers[prefix]}"))
    bought = (*_bought(problem, cuts), *counted)
    outcomes = (*(plan.outcome for plan in plans), *count_outcomes)
    costs = [line.cost for line in bought]
    total = None if any(cost is None for cost in costs) else sum(cost for cost in costs if cost is not None)
    gap = sum(outcome.cost - outcome.bound for outcome in outcomes)
    return Plan(
        bought,
        tuple(cuts),
        tuple(course for plan in plans for course in plan.courses),
        tuple(left for cut in cuts for left in leftovers_of(cut)),
        outcomes,
        total,
        None if total is None else total - gap,
        sum(cut.repeat for cut in cuts),
    )


def _bought(problem: Problem, cuts: Sequence[Cut]) -> Iterator[Bought]:
    """Add up the stocks that are cut, and the spare ones."""
    needed: dict[tuple[str, bool], int] = {}
    for cut in cuts:
        needed[cut.stock, cut.from_rack] = needed.get((cut.stock, cut.from_rack), 0) + cut.repeat
    spare = _spare(problem, needed)
    for stock in problem.stocks:
        pieces = needed.get((stock.key, stock.from_rack), 0)
        if not pieces:
            continue
        extra = 0 if stock.from_rack else spare.get(stock.key, 0)
        packs = -(-(pieces + extra) // stock.pack)
        count, cost = stock.cheapest(packs)
        yield Bought(stock.key, count, pieces, stock.price_of(count), cost, stock.from_rack, extra)


def _spare(problem: Problem, needed: Mapping[tuple[str, bool], int]) -> dict[str, int]:
    """Take spare pieces of the size that is cut most; where the yard has too few, of the next one too."""
    spare: dict[str, int] = {}
    for material, number in problem.spare:
        sizes = [s for s in problem.stocks if s.material == material and not s.from_rack]
        for stock in sorted(sizes, key=lambda s: -needed.get((s.key, False), 0)):
            used = needed.get((stock.key, False), 0)
            if not used:
                break
            here = number
            if stock.available is not None:
                here = min(number, stock.available * stock.pack - used)
            spare[stock.key] = here
            number -= here
    return spare
