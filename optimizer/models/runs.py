"""
Model 1: seams and cuts together.

The recipe: `search` finds the cheapest lay-out and its bound with the models beside this file, `polish`
breaks ties, and what they found is written down as courses and cuts in the order of the work.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping, Sequence
from dataclasses import replace

from optimizer.cut_trees import Need, cut_sheets
from optimizer.engine import Clock
from optimizer.errors import NoPlan, TimeUp
from optimizer.lengths import format_length
from optimizer.models.branches import Allowed
from optimizer.models.colours import ColourModel, LayOut, read_colours
from optimizer.models.decking import Decking, decking_of
from optimizer.models.joint import read_joint
from optimizer.models.polish import Polished, polish
from optimizer.models.search import Best, search
from optimizer.models.small_parts import add_small_parts, edge_costs, pack_costs, smallest_of, spent
from optimizer.patterns import TooManyWays
from optimizer.plan import Course, LaidPiece, MaterialPlan, Outcome
from optimizer.words import Part, Saw, Stock, Surface

__all__ = ["check_sizes", "plan_surfaces"]

MOST_DECK_WAYS = 100_000
"""To cut what covers a deck, whose pieces have many sizes where spacing is close and rules are lean."""


def plan_surfaces(
    material: str,
    stocks: Sequence[Stock],
    surfaces: Sequence[Surface],
    parts: Sequence[Part],
    saw: Saw,
    clock: Clock,
    blocking: Mapping[str, int] | None = None,
    ties: bool = True,
) -> MaterialPlan:
    """
    Cover surfaces, and cut parts of the same material, from the cheapest sheets.

    Parameters
    ----------
    stocks
        Sheets of `material`; if one of them has no price the fewest sheets are sought.
    blocking
        By surface label: cents for blocking one long edge of a course; free where left out.
    ties
        Whether to choose between lay-outs of equal cost, rather than to take any.

    Raises
    ------
    NoPlan
        If no lay-out obeys the rules, or a part outgrows every sheet.
    """
    costs = pack_costs(stocks)
    edge = edge_costs(stocks, surfaces, blocking or {})
    wide = [replace(p, width=p.width or max(s.width for s in stocks)) for p in parts]
    check_sizes(stocks, surfaces, wide)
    large, small = _set_apart(stocks, costs, surfaces, wide, edge, saw.sheet, clock.share(clock.left() / 5))

    def decking(shrunk: bool, only: Allowed | None = None) -> Decking:
        try:
            return decking_of(
                stocks, costs, surfaces, large, edge, saw.sheet, shrunk, only, limit=MOST_DECK_WAYS
            )
        except TooManyWays:
            raise NoPlan("the supports stand at too many different distances to plan the seams") from None

    best = search(material, decking, clock)
    if best.cost is None or best.built is None or best.decking is None:
        if clock.left() <= 0:
            # Why there is none would have to be listed anew.
            raise TimeUp("no lay-out was found in the time given; give it more with --seconds")
        raise _no_plan(surfaces, decking(shrunk=True))
    polished = Polished(best.built, best.values, ())
    if ties:
        polished = polish(best.decking, best.built, best.values, best.cost, clock)
    plan = _written(material, best.decking, best, polished, clock)
    if small:
        plan = add_small_parts(plan, stocks, costs, small, saw, clock.share(max(2.0, clock.left())))
    return plan


def _set_apart(
    stocks: Sequence[Stock],
    costs: Sequence[int],
    surfaces: Sequence[Surface],
    parts: Sequence[Part],
    edge: Mapping[str, int],
    kerf: int,
    clock: Clock,
) -> tuple[list[Part], list[Part]]:
    """
    Part those that can be planned with the surfaces from those so small that their ways are too many.

    What can't be listed by the `clock` counts as too many.
    """
    apart: list[list[Part]] = []
    rest = list(parts)
    while rest:
        apart.append(smallest_of(rest))
        rest = [part for part in rest if part not in apart[-1]]

    def listable(number: int) -> bool:
        """Tell whether the ways can be listed with the `number` smallest sizes set apart."""
        kept = [part for sizes in apart[number:] for part in sizes]
        try:
            decking_of(stocks, costs, surfaces, kept, edge, kerf, shrunk=True, clock=clock)
        except TooManyWays:
            return False
        return True

    # The fewer are kept, the fewer ways there are.
    number = bisect_left(range(len(apart)), True, key=listable)
    small = [part for sizes in apart[:number] for part in sizes]
    return [part for part in parts if part not in small], small


def _written(material: str, decking: Decking, best: Best, polished: Polished, clock: Clock) -> MaterialPlan:
    """Write courses and cuts in the order of the work."""
    assert best.cost is not None
    built, values = polished.built, polished.values
    if isinstance(built, ColourModel):
        laid = read_colours(decking, built, values)
    else:
        laid = read_joint(decking, built, values)
    courses = _courses(decking, laid)
    wanted = {surface.label: surface.needed for surface in decking.surfaces}
    needs = [
        (wanted[course.plane], Need((piece.end - piece.start, course.width), piece.label))
        for course in courses
        for piece in course.pieces
    ]
    for index, part in enumerate(decking.parts):
        turned = values[built.turning[index][1]] if index in built.turning else 0
        for copy in range(part.count):
            across = copy < turned
            size = (part.width, part.length) if across else (part.length, part.width)
            needs.append((part.needed, Need(size, part.label, across)))
    needs.sort(key=lambda need: need[0])
    ways = built.cuts.ways
    cuts = cut_sheets(
        replace(decking.cutting, ways=tuple(ways)), lambda way: values[ways[way]], [n for _, n in needs]
    )
    blocked = sum(stack.blocked * decking.blocking[label] for label, (stack, _) in laid.items())
    # Values found in a hurry may buy sheets of which nothing is needed.
    cost = spent(decking.cutting.stocks, decking.costs, cuts)
    outcome = Outcome(
        material,
        cost,
        best.bound - blocked,
        best.bound - blocked == cost and len(best.witnesses) > 1,
        _family(decking, best.stacks, blocked > 0),
        best.witnesses,
        clock.spent(),
        polished.levels,
    )
    return MaterialPlan(tuple(cuts), courses, outcome)


def _family(decking: Decking, stacks: int, blocked: bool) -> str:
    """Say in words which cuts and lay-outs a proof covers."""
    cuts = "up to 3 stages" if decking.cutting.stages == 3 else "2 stages and a trim"
    tried = "1 stack" if stacks == 1 else f"{stacks} stacks"
    text = f"saw cuts of {cuts}, seams on the centres of supports, {tried} of course widths tried"
    return text + (", blocking at its price by length" if blocked else "")


def _courses(decking: Decking, laid: LayOut) -> tuple[Course, ...]:
    courses = []
    for surface in decking.surfaces:
        stack, rows = laid[surface.label]
        lines = decking.lines[surface.label]
        bottom = 0
        for number, (width, row) in enumerate(zip(stack.widths, rows, strict=True), 1):
            pieces = tuple(
                LaidPiece(f"{surface.mark}{number}.{place}", arc.start, arc.start + arc.length)
                for place, arc in enumerate(row, 1)
            )
            courses.append(
                Course(
                    f"{surface.label}, course {number}",
                    surface.label,
                    number,
                    surface.length,
                    width,
                    bottom,
                    tuple(s.at for s in surface.supports),
                    tuple(lines.at[arc.head] for arc in row[:-1]),
                    pieces,
                    width + surface.rule.gap < surface.rule.blocked_below,
                )
            )
            bottom += width + surface.rule.gap
    return tuple(courses)


def check_sizes(stocks: Sequence[Stock], surfaces: Sequence[Surface], parts: Sequence[Part]) -> None:
    """
    Refuse parts that outgrow every sheet, and surfaces of nothing.

    Raises
    ------
    NoPlan
        With the part and by how much it is too large, or the surface.
    """
    for part in parts:
        ways = [(part.length, part.width)] + ([(part.width, part.length)] if part.may_turn else [])
        if not any(x <= s.length and w <= s.width for x, w in ways for s in stocks):
            longest, widest = max(s.length for s in stocks), max(s.width for s in stocks)
            over = " and ".join(
                f"{format_length(size - room, 'in')} in ({format_length(size - room, 'mm')} mm) too {what}"
                for size, room, what in (
                    (part.length, longest, "long"),
                    (part.width, widest, "wide"),
                )
                if size > room
            )
            raise NoPlan(f"{part.label} fits no sheet of {part.material}: it is {over or 'too large'}")
    for surface in surfaces:
        if surface.length <= 0 or surface.height <= 0:
            raise NoPlan(f"{surface.label} has no area")


def _no_plan(surfaces: Sequence[Surface], decking: Decking) -> NoPlan:
    """Name the surface and the rule that leave no lay-out."""
    for surface in surfaces:
        rule = surface.rule
        if not decking.stacks[surface.label]:
            return NoPlan(
                f"{surface.label}: no stack of courses fits; the narrowest course allowed is too wide for "
                "what is left at the top (relax the narrowest course)"
            )
        if not _reaches(decking, surface.label):
            return NoPlan(
                f"{surface.label}: no row of pieces fits: each must rest on {rule.min_supports} supports or "
                "more with its seams on supports that may take one (relax the supports under a piece, the "
                "rake rule, or use longer sheets)"
            )
    limited = [s for s in decking.cutting.stocks if s.available is not None]
    few = ", ".join(f"{s.available} of {s.key}" for s in limited)
    return NoPlan(
        "no lay-out keeps the seams of neighbouring courses far enough apart (relax the stagger or the "
        "supports under a piece)" + (f", or the yard has too few sheets ({few})" if few else "")
    )


def _reaches(decking: Decking, label: str) -> bool:
    lines = decking.lines[label]
    reached = {0}
    for arc in lines.arcs:
        if arc.tail in reached:
            reached.add(arc.head)
    return lines.last in reached
