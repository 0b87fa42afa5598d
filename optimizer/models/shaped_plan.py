"""Model 1 for surfaces that are no plain rectangles: what is asked, and its solution written down."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from optimizer.cut_trees import Inside, Need, cut_sheets
from optimizer.engine import Clock, LinearModel, run_highs
from optimizer.lengths import format_length
from optimizer.models.runs import check_sizes
from optimizer.models.shaped import LaidRows, ShapedModel, ShapedQuestion, read_shaped
from optimizer.models.shaped_questions import questions_of
from optimizer.models.shaped_rows import Piece
from optimizer.models.shaped_search import Best, search_shaped
from optimizer.models.shaped_supply import CutOut
from optimizer.models.small_parts import add_small_parts, edge_costs, pack_costs, spent
from optimizer.plan import Course, LaidPiece, MaterialPlan, Outcome
from optimizer.shapes import Shape
from optimizer.words import Part, Saw, Stock, Surface

__all__ = ["plan_shaped"]

LARGE = 6_000
"""Models with more columns than this are left as the money left them."""


def plan_shaped(
    material: str,
    stocks: Sequence[Stock],
    surfaces: Sequence[Surface],
    parts: Sequence[Part],
    saw: Saw,
    clock: Clock,
    blocking: Mapping[str, int] | None = None,
) -> MaterialPlan:
    """
    Cover surfaces of any outline, and cut parts of the same material, from the cheapest sheets.

    Parameters
    ----------
    stocks
        Sheets of `material`; if one of them has no price the fewest sheets are sought.
    blocking
        By surface label: cents for blocking one long edge of a course; free where left out.

    Raises
    ------
    NoPlan
        If no lay-out obeys the rules, or a part outgrows every sheet.
    """
    costs = pack_costs(stocks)
    edge = edge_costs(stocks, surfaces, blocking or {})
    wide = [replace(p, width=p.width or max(s.width for s in stocks)) for p in parts]
    check_sizes(stocks, surfaces, wide)
    questions = questions_of(stocks, costs, surfaces, wide, edge, saw.sheet, clock)
    best, widest = search_shaped(material, questions, clock)
    values = _fewest(best.model, best.values, clock.share(min(3.0, clock.left() / 4)))
    plan = _written(material, widest, best, values, clock)
    small = [part for part in wide if part not in best.question.parts]
    if small:
        plan = add_small_parts(plan, stocks, costs, small, saw, clock.share(max(2.0, clock.left())))
    return plan


def _fewest(model: ShapedModel, values: tuple[int, ...], clock: Clock) -> tuple[int, ...]:
    """Among the solutions of equal cost, lay the fewest pieces that are found."""
    linear = model.linear
    if len(linear.costs) > LARGE:
        return values
    capped = LinearModel([0] * len(linear.costs), list(linear.uppers), list(linear.lines))
    capped.row([(c, cost) for c, cost in enumerate(linear.costs) if cost], upper=linear.cost_of(values))
    for column, count in model.laid():
        capped.costs[column] += count
    solved = run_highs(capped, clock, nodes=1, start=values)
    return values if solved.values is None else solved.values


def _written(
    material: str,
    widest: tuple[ShapedQuestion, int],
    best: Best,
    values: tuple[int, ...],
    clock: Clock,
) -> MaterialPlan:
    question, model = best.question, best.model
    laid = read_shaped(question, model, values)
    courses = tuple(course for s in question.surfaces for course in _courses(s, laid[s.label]))
    needs = sorted(_needs(question, model, values, laid), key=lambda need: need[0])
    ways = model.cuts.ways
    cuts = cut_sheets(
        replace(question.cutting, ways=tuple(ways)), lambda way: values[ways[way]], [n for _, n in needs]
    )
    cost = spent(question.cutting.stocks, question.costs, cuts)
    extra = sum(
        stack.blocked * question.blocking.get(label, 0)
        for (label, stack), column in model.chosen.items()
        if values[column]
    )
    bound = min(best.bound - extra, cost)
    return MaterialPlan(
        tuple(cuts),
        courses,
        Outcome(
            material,
            cost,
            bound,
            bound == cost and len(best.witnesses) > 1,
            _family(*widest),
            best.witnesses,
            clock.spent(),
            (("slack", "not tried"), ("pieces", "best found"), ("set-ups", "not tried")),
        ),
    )


def _family(widest: ShapedQuestion, least: int) -> str:
    """Say in words which cuts and lay-outs a proof covers: those of the widest question."""
    text = "saw cuts of up to 3 stages" if widest.cutting.stages == 3 else "saw cuts of 2 stages and a trim"
    text += f", slanting pieces alone{' or two head to tail' if widest.nests else ''}"
    text += ", seams on the centres of supports"
    if widest.thinned:
        text += ", no strips meeting beside an opening"
    if widest.cutting.most:
        text += f", {widest.cutting.most} pieces side by side at most"
    tried = max((len(found) for found in widest.stacks.values()), default=0)
    if tried:
        text += f", {tried} stack{'s' * (tried > 1)} of course widths tried"
    if least:
        text += f", only pieces of {format_length(least, 'in')} in or more"
    return text


def _label(surface: Surface, course: int, place: int) -> str:
    return f"{surface.mark}{course}.{place}"


def _courses(surface: Surface, laid: LaidRows) -> Iterator[Course]:
    rule = surface.rule
    for number, (row, pieces) in enumerate(laid, surface.laid + 1):
        kept = [piece for piece in pieces if piece.shape is not None]
        yield Course(
            f"{surface.label}, course {number}",
            surface.label,
            number,
            row.at[-1] - row.at[0],
            row.width,
            row.bottom,
            tuple(s.at for s in surface.supports),
            tuple(row.at[piece.head] for piece in pieces if row.seam[piece.head]),
            tuple(
                _laid(piece, _label(surface, number, place), row.bottom, row.width)
                for place, piece in enumerate(kept, 1)
            ),
            row.width + rule.gap < rule.blocked_below,
            row.at[0],
            tuple((row.at[piece.tail], row.at[piece.head]) for piece in pieces if piece.shape is None),
        )


def _laid(piece: Piece, label: str, bottom: int, width: int) -> LaidPiece:
    shape, (x, y) = piece.shape, piece.corner
    assert shape is not None
    corners = tuple((x + a, y + b) for a, b in shape.corners)
    if not corners and (y, shape.width) != (bottom, width):
        corners = (
            (x, y),
            (x + shape.length, y),
            (x + shape.length, y + shape.width),
            (x, y + shape.width),
        )
    openings = tuple((x + a, y + b, c, d) for a, b, c, d in shape.openings)
    return LaidPiece(label, x, x + shape.length, corners, openings)


def _needs(
    question: ShapedQuestion, model: ShapedModel, values: Sequence[int], laid: Mapping[str, LaidRows]
) -> Iterator[tuple[int, Need]]:
    """Give what must be cut, and when: rectangles, shaped pieces alone and nested, parts out of openings."""
    assert model.supply is not None
    waiting: dict[Shape, list[tuple[int, str]]] = {}
    for surface in question.surfaces:
        for number, (_, pieces) in enumerate(laid[surface.label], surface.laid + 1):
            for place, piece in enumerate((p for p in pieces if p.kind is not None), 1):
                assert piece.kind is not None
                mine = (surface.needed, _label(surface, number, place))
                if piece.kind.corners or piece.kind.openings:
                    waiting.setdefault(piece.kind, []).append(mine)
                else:
                    yield mine[0], Need((piece.kind.length, piece.kind.width), mine[1])
    outs: list[CutOut] = []
    for out, column in model.supply.outs.items():
        room = question.parts[out.part].count - sum(1 for other in outs if other.part == out.part)
        outs += [out] * min(values[column], room)
    copies = _parts(question, model, values, outs)
    for kind in waiting:
        waiting[kind].sort()
    for (one, other), (how, column) in model.supply.nested.items():
        for _ in range(values[column]):
            both = []
            for kind, shape, offset in ((one, how.first, 0), (other, how.second, how.offset)):
                if waiting.get(kind):
                    both.append((waiting[kind].pop(0), Inside("", shape, offset), kind))
            yield from _together((how.length, one.width), both, outs, question)
    for kind, rest in waiting.items():
        for mine in rest:
            yield from _together((kind.length, kind.width), [(mine, Inside("", kind), kind)], outs, question)
    for index, left in copies.items():
        part = question.parts[index]
        for across in left:
            size = (part.width, part.length) if across else (part.length, part.width)
            yield part.needed, Need(size, part.label, across)


def _parts(
    question: ShapedQuestion, model: ShapedModel, values: Sequence[int], outs: Sequence[CutOut]
) -> dict[int, list[bool]]:
    """Give, by the index of a part, its copies that are cut from sheets: whether each lies across."""
    copies: dict[int, list[bool]] = {}
    for index, part in enumerate(question.parts):
        out = sum(1 for o in outs if o.part == index)
        rest = part.count - out
        turned = min(rest, values[model.turning[index][1]]) if index in model.turning else 0
        copies[index] = [True] * turned + [False] * (rest - turned)
    return copies


def _together(
    size: tuple[int, int],
    held: Sequence[tuple[tuple[int, str], Inside, Shape]],
    outs: list[CutOut],
    question: ShapedQuestion,
) -> Iterator[tuple[int, Need]]:
    """Put pieces, and the parts that come out of their openings, into one rectangle."""
    if not held:
        return
    inside: list[Inside] = []
    kerf = question.cutting.kerf
    for (_, label), place, kind in held:
        inside.append(replace(place, label=label))
        for number, opening in enumerate(kind.openings):
            out = next((o for o in outs if (o.kind, o.opening) == (kind, number)), None)
            if out is None:
                continue
            outs.remove(out)
            part = question.parts[out.part]
            length, width = (part.width, part.length) if out.turned else (part.length, part.width)
            # As the piece lies here, the opening may be another one of the list.
            x, y = _same(place.shape, kind, opening)
            inside.append(
                Inside(
                    part.label,
                    Shape(length, width),
                    place.x + x + kerf,
                    place.y + y + kerf,
                    out.turned,
                    hole=True,
                )
            )
    yield min(when for (when, _), _, _ in held), Need(size, held[0][0][1], False, tuple(inside))


def _same(lying: Shape, kind: Shape, opening: tuple[int, int, int, int]) -> tuple[int, int]:
    """Find where an opening of `kind` is in the way that the piece lies."""
    x, y, length, width = opening
    for way, place in (
        (kind, (x, y)),
        (kind.turned(), (kind.length - x - length, kind.width - y - width)),
        (kind.flipped(), (kind.length - x - length, y)),
        (kind.flipped().turned(), (x, kind.width - y - width)),
    ):
        if way == lying:
            return place
    raise AssertionError("a piece lies in a way it may not")
