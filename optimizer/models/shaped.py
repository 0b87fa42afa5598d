"""
Model 1 for surfaces that are no plain rectangles: slanting ends, holes, courses side by side.

Every course is a path of pieces through its own lines. Where neighbouring courses are staggered, two of them
are one path of states, and the course between two such pairs has the same pieces in both: exact, since no
surface shares its paths with another. Where courses meet on given lines instead (`Surface.edges`), the
courses are themselves a path from line to line.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import islice, pairwise

from optimizer.engine import Clock, LinearModel
from optimizer.models.decking import meet_demand, sizes_to_cut
from optimizer.models.shaped_rows import Piece, Row, Rows, moves_between
from optimizer.models.shaped_supply import Nest, Supply, Terms, nests_of, supply
from optimizer.models.stacks import Stack, stacks_of
from optimizer.patterns import Cuts, Cutting, Size, TooManyWays, cutting_of
from optimizer.shapes import Shape
from optimizer.words import Part, Stock, Surface

__all__ = [
    "FEW",
    "LaidRows",
    "ShapedModel",
    "ShapedQuestion",
    "build_shaped",
    "ever_wider",
    "read_shaped",
]

FEW = (2, 3)
"""Pieces side by side that a cut may yield, in questions that are sooner answered than the whole."""

LaidRows = tuple[tuple[Row, tuple[Piece, ...]], ...]
"""The courses of a surface in order, each with its pieces from left to right."""


@dataclass(frozen=True, slots=True)
class ShapedQuestion:
    """
    Surfaces of one material with everything that can be done about them; see `Decking`.

    `thinned` says that lines beside holes, where courses might have met, were left out.
    """

    surfaces: tuple[Surface, ...]
    parts: tuple[Part, ...]
    stacks: Mapping[str, tuple[tuple[Stack, tuple[Row, ...]], ...]]
    strips: Mapping[str, Mapping[tuple[int, int], Row]]
    nests: Mapping[tuple[Shape, Shape], Nest]
    cutting: Cutting
    costs: tuple[int, ...]
    blocking: Mapping[str, int]
    thinned: bool = False

    def most(self) -> int:
        """Give a number of pieces that no lay-out passes."""
        laid = sum(
            max((sum(row.last for row in rows) for _, rows in found), default=0)
            for found in self.stacks.values()
        )
        laid += sum(sum(row.last for row in strips.values()) for strips in self.strips.values())
        return laid + sum(part.count for part in self.parts)


def ever_wider(
    stocks: Sequence[Stock],
    costs: Sequence[int],
    surfaces: Sequence[Surface],
    parts: Sequence[Part],
    blocking: Mapping[str, int],
    kerf: int,
    clock: Clock,
    stacked: int | None = None,
) -> Iterator[ShapedQuestion]:
    """
    Work out courses, pieces, nests and ways to cut: all of them, unless that is too much.

    Where courses meet on given lines, as strips of a wall do, narrower questions come before: from few pieces
    side by side, slanting ones alone, then nested, without lines beside holes. What is too much is left
    out.

    Parameters
    ----------
    clock
        What can't be listed by it is left out as too much.
    stacked
        So many stacks of course widths a surface at most: every other one has slanting pieces of its own.
        None for all.

    Raises
    ------
    TooManyWays
        If the pieces are so many that even the narrowest can't be listed, or the clock ended it.
    """
    whole = tuple(surfaces)
    tries: list[tuple[tuple[Surface, ...], int | None, bool]] = [(whole, None, True)]
    if any(surface.edges is not None for surface in surfaces):
        thinned = tuple(_thinned(surface, stocks) for surface in surfaces)
        rising = [(thinned, FEW[0], False), *((thinned, most, True) for most in FEW), (thinned, None, True)]
        tries = [*rising, *(tries if thinned != whole else [])]
    for number, (asked, most, nested) in enumerate(tries):
        try:
            question = _listed(stocks, costs, asked, parts, blocking, kerf, clock, most, nested, stacked)
        except TooManyWays:
            if not number or clock.left() <= 0:
                raise
            return
        yield replace(question, thinned=asked != whole)


def _thinned(surface: Surface, stocks: Sequence[Stock]) -> Surface:
    """Leave out the lines beside holes, unless no courses lead from one end to the other without them."""
    if surface.edges is None:
        return surface
    sides = {side for hole in surface.holes for side in (hole.y, hole.y + hole.height)}
    thin = replace(surface, edges=tuple(edge for edge in surface.edges if edge not in sides))
    reached = {0}
    for low, high in sorted(Rows(thin, stocks).of_edges()):
        if low in reached:
            reached.add(high)
    end = len({edge for edge in thin.edges or () if 0 < edge < surface.height}) + 1
    return thin if end in reached else surface


def _listed(
    stocks: Sequence[Stock],
    costs: Sequence[int],
    surfaces: tuple[Surface, ...],
    parts: Sequence[Part],
    blocking: Mapping[str, int],
    kerf: int,
    clock: Clock,
    most: int | None,
    nested: bool,
    stacked: int | None,
) -> ShapedQuestion:
    widths = [s.width for s in stocks if not s.from_rack]
    free = [surface for surface in surfaces if surface.edges is None]
    found = stacks_of(free, widths, shrunk=False) if free else {}
    stacks: dict[str, tuple[tuple[Stack, tuple[Row, ...]], ...]] = {}
    strips: dict[str, Mapping[tuple[int, int], Row]] = {}
    for surface in surfaces:
        rows = Rows(surface, stocks)
        if surface.edges is not None:
            strips[surface.label] = rows.of_edges()
        else:
            listed = [(stack, rows.of_stack(stack)) for stack in found[surface.label]]
            whole = ((stack, courses) for stack, courses in listed if all(row.whole() for row in courses))
            stacks[surface.label] = tuple(islice(whole, stacked))
    kinds = _kinds(surfaces, stacks, strips)
    slanting = [k for k in kinds if k.corners] if nested else []
    nests = nests_of(slanting, all(kinds.values()), kerf, max(s.length for s in stocks))
    sizes: set[Size] = {(kind.length, kind.width) for kind in kinds}
    sizes |= {(how.length, one.width) for (one, _), how in nests.items()}
    return ShapedQuestion(
        surfaces,
        tuple(parts),
        stacks,
        strips,
        nests,
        cutting_of(stocks, sizes_to_cut(sizes, parts, stocks), kerf, most, clock),
        tuple(costs),
        dict(blocking),
    )


def _kinds(
    surfaces: Sequence[Surface],
    stacks: Mapping[str, Sequence[tuple[Stack, Sequence[Row]]]],
    strips: Mapping[str, Mapping[tuple[int, int], Row]],
) -> dict[Shape, bool]:
    """Give every piece that a course may have, and whether a surface that has it may flip it."""
    kinds: dict[Shape, bool] = {}
    for surface in surfaces:
        rows = [row for _, courses in stacks.get(surface.label, ()) for row in courses]
        for row in (*strips.get(surface.label, {}).values(), *rows):
            for piece in row.pieces:
                if piece.kind is not None:
                    kinds[piece.kind] = kinds.get(piece.kind, False) or surface.may_flip
    return kinds


@dataclass
class ShapedModel:
    """
    The model, and the handles `read_shaped` needs.

    `chosen` holds a column for every stack of a surface; `paths`, by surface, stack (None where courses meet
    on given lines) and course, the columns of every piece; `strips` a column for every course that may stand
    between two lines.
    """

    linear: LinearModel
    cuts: Cuts
    chosen: dict[tuple[str, Stack], int] = field(default_factory=dict)
    paths: dict[tuple[str, Stack | None, int | tuple[int, int]], dict[Piece, Terms]] = field(
        default_factory=dict
    )
    strips: dict[tuple[str, tuple[int, int]], int] = field(default_factory=dict)
    supply: Supply | None = None
    turning: dict[int, tuple[int, int]] = field(default_factory=dict)

    def deciding(self) -> tuple[tuple[int, ...], ...]:
        """Give the columns that decide most: which pieces nest or are cut alone, then which are laid."""
        assert self.supply is not None
        nested = (column for _, column in self.supply.nested.values())
        pieces = (c for path in self.paths.values() for terms in path.values() for c, _ in terms)
        return (*nested, *self.supply.alone.values()), tuple(dict.fromkeys(pieces))

    def laid(self) -> tuple[tuple[int, int], ...]:
        """Give every column that lays a piece, as often as it lays one."""
        return tuple(
            term
            for path in self.paths.values()
            for piece, terms in path.items()
            if piece.kind is not None
            for term in terms
        )


def build_shaped(question: ShapedQuestion) -> ShapedModel:
    """Write the model: exact for the courses, pieces and ways to cut of `question`."""
    linear = LinearModel()
    cuts = question.cutting.build(linear, question.costs, question.most())
    model = ShapedModel(linear, cuts)
    for surface in question.surfaces:
        if surface.label in question.strips:
            _side_by_side(model, surface, question.strips[surface.label])
        else:
            _stacked(model, surface, question)
    wanted: dict[Shape, Terms] = {}
    for path in model.paths.values():
        for piece, terms in path.items():
            if piece.kind is not None:
                wanted.setdefault(piece.kind, []).extend(terms)
    nests = {pair: how for pair, how in question.nests.items() if pair[0] in wanted and pair[1] in wanted}
    kerf = question.cutting.kerf
    model.supply, laid = supply(linear, wanted, nests, question.parts, kerf, question.most())
    model.turning = meet_demand(linear, cuts, laid, question.parts)
    return model


def _side_by_side(model: ShapedModel, surface: Surface, strips: Mapping[tuple[int, int], Row]) -> None:
    """One path from line to line, and through every course on it one path of pieces."""
    linear = model.linear
    balance: dict[int, Terms] = {}
    assert surface.edges is not None
    end = len({edge for edge in surface.edges if 0 < edge < surface.height}) + 1
    for (i, j), row in strips.items():
        column = model.strips[surface.label, (i, j)] = linear.column(0, 1)
        balance.setdefault(i, []).append((column, -1))
        balance.setdefault(j, []).append((column, 1))
        model.paths[surface.label, None, (i, j)] = _single(linear, row, [(column, 1)])
    once = linear.column(0, 1)
    linear.row([(once, 1)], lower=1, upper=1)
    _conserve(linear, balance, 0, end, [(once, 1)])


def _single(linear: LinearModel, row: Row, entering: Terms) -> dict[Piece, Terms]:
    """One path of pieces through a course, staggered to nothing."""
    balance: dict[int, Terms] = {}
    used: dict[Piece, Terms] = {}
    for piece in row.pieces:
        column = linear.column(0, 1)
        balance.setdefault(piece.tail, []).append((column, -1))
        balance.setdefault(piece.head, []).append((column, 1))
        used[piece] = [(column, 1)]
    _conserve(linear, balance, 0, row.last, entering)
    return used


def _stacked(model: ShapedModel, surface: Surface, question: ShapedQuestion) -> None:
    linear, edge = model.linear, question.blocking.get(surface.label, 0)
    columns: Terms = []
    for stack, rows in question.stacks[surface.label]:
        column = linear.column(stack.blocked * edge, 1)
        columns.append((column, 1))
        model.chosen[surface.label, stack] = column
        if len(rows) == 1:
            model.paths[surface.label, stack, 0] = _single(linear, rows[0], [(column, 1)])
            continue
        below: Mapping[Piece, Terms] = {}
        for number, (low, high) in enumerate(pairwise(rows)):
            used = _pair(linear, low, high, surface.rule.stagger, [(column, 1)])
            if number:
                for piece in dict.fromkeys((*below, *used[0])):
                    same = [*below.get(piece, ()), *((c, -a) for c, a in used[0].get(piece, ()))]
                    linear.row(same, lower=0, upper=0)
            else:
                model.paths[surface.label, stack, 0] = used[0]
            below = model.paths[surface.label, stack, number + 1] = used[1]
    linear.row(columns, lower=1, upper=1)


def _pair(
    linear: LinearModel, low: Row, high: Row, stagger: int, entering: Terms
) -> tuple[dict[Piece, Terms], dict[Piece, Terms]]:
    """One path of states for two neighbouring courses; give the columns of every piece of either."""
    balance: dict[tuple[int, int], Terms] = {}
    used: tuple[dict[Piece, Terms], dict[Piece, Terms]] = ({}, {})
    for before, after, course, piece in moves_between(low, high, stagger):
        column = linear.column(0, 1)
        balance.setdefault(before, []).append((column, -1))
        balance.setdefault(after, []).append((column, 1))
        used[course].setdefault(piece, []).append((column, 1))
    _conserve(linear, balance, (0, 0), (low.last, high.last), entering)
    return used


def read_shaped(question: ShapedQuestion, model: ShapedModel, values: Sequence[int]) -> dict[str, LaidRows]:
    """Read the courses of every surface, and the pieces of every course."""

    def row_of(path: Mapping[Piece, Terms]) -> tuple[Piece, ...]:
        used = [piece for piece, terms in path.items() if any(values[c] for c, _ in terms)]
        return tuple(sorted(used, key=lambda piece: piece.tail))

    found: dict[str, LaidRows] = {}
    for surface in question.surfaces:
        label = surface.label
        if label in question.strips:
            chosen = sorted(key for key in question.strips[label] if values[model.strips[label, key]])
            found[label] = tuple(
                (question.strips[label][key], row_of(model.paths[label, None, key])) for key in chosen
            )
            continue
        stack, rows = next(
            (stack, rows) for stack, rows in question.stacks[label] if values[model.chosen[label, stack]]
        )
        found[label] = tuple(
            (row, row_of(model.paths[label, stack, number])) for number, row in enumerate(rows)
        )
    return found


def _conserve(
    linear: LinearModel,
    balance: Mapping[tuple[int, int], list[tuple[int, int]]] | Mapping[int, list[tuple[int, int]]],
    start: object,
    end: object,
    entering: list[tuple[int, int]],
) -> None:
    """Let as much flow leave `start` as `entering` counts, and none be lost before `end`."""
    for node, terms in balance.items():
        if node == start:
            linear.row([*terms, *entering], lower=0, upper=0)
        elif node != end:
            linear.row(terms, lower=0, upper=0)
    if start not in balance:
        # No legal course at all: nothing may enter.
        linear.row(entering, lower=0, upper=0)
