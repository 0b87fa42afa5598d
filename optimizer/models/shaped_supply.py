"""Model 1 for surfaces that are no plain rectangles: what its pieces are cut from, alone or nested."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations_with_replacement

from optimizer.engine import LinearModel
from optimizer.patterns import Size
from optimizer.shapes import Shape, nest
from optimizer.words import Part

__all__ = ["CutOut", "Nest", "Supply", "nests_of", "supply"]

Terms = list[tuple[int, int]]


@dataclass(frozen=True, slots=True)
class Nest:
    """Two pieces head to tail in one rectangle: as they lie, the second beginning at `offset`."""

    first: Shape
    second: Shape
    offset: int

    @property
    def length(self) -> int:
        """Give the length of the rectangle around both."""
        return max(self.first.length, self.offset + self.second.length)


def nests_of(
    kinds: Sequence[Shape], may_flip: bool, kerf: int, longest: int
) -> dict[tuple[Shape, Shape], Nest]:
    """
    Find, for every two kinds of one width, the shortest way to nest them, where that saves length.

    Parameters
    ----------
    kinds
        Canonical, with slanting ends.
    """
    found: dict[tuple[Shape, Shape], Nest] = {}
    for one, other in combinations_with_replacement(sorted(kinds), 2):
        if one.width != other.width or not (one.corners and other.corners):
            continue
        best = min(
            (
                Nest(first, second, nest(first, second, kerf))
                for first in one.ways(may_flip)
                for second in other.ways(may_flip)
            ),
            key=lambda n: (n.length, n.first, n.second),
        )
        if best.length < one.length + other.length + kerf and best.length <= longest:
            found[one, other] = best
    return found


@dataclass(frozen=True, slots=True)
class CutOut:
    """A part that comes out of the opening (by its number) of a piece, lying across if `turned`."""

    kind: Shape
    opening: int
    part: int
    turned: bool


def cut_outs(kinds: Sequence[Shape], parts: Sequence[Part], kerf: int) -> list[CutOut]:
    """List which part may come out of which opening: a kerf is lost all round."""
    found = []
    for kind in kinds:
        for number, (_, _, length, width) in enumerate(kind.openings):
            room = length - 2 * kerf, width - 2 * kerf
            for index, part in enumerate(parts):
                if part.length <= room[0] and part.width <= room[1]:
                    found.append(CutOut(kind, number, index, False))
                elif part.may_turn and part.width <= room[0] and part.length <= room[1]:
                    found.append(CutOut(kind, number, index, True))
    return found


@dataclass(frozen=True, slots=True)
class Supply:
    """
    The columns that make the pieces of a shaped surface.

    `alone` counts pieces that are cut from a rectangle of their own, `nested` rectangles with two pieces,
    `outs` parts that come out of openings.
    """

    alone: Mapping[Shape, int]
    nested: Mapping[tuple[Shape, Shape], tuple[Nest, int]]
    outs: Mapping[CutOut, int]


def supply(
    linear: LinearModel,
    wanted: Mapping[Shape, Terms],
    nests: Mapping[tuple[Shape, Shape], Nest],
    parts: Sequence[Part],
    kerf: int,
    most: int,
) -> tuple[Supply, dict[Size, Terms]]:
    """
    Add columns and rows that make enough of every kind of piece.

    Parameters
    ----------
    wanted
        By kind: columns, and how many pieces one of each takes.
    parts
        Others of the same material, some of which may come out of openings.

    Returns
    -------
    Supply
        The columns.
    dict
        By size: columns, and how many rectangles of that size one of each takes (negative: gives).
    """
    laid: dict[Size, Terms] = {}
    alone: dict[Shape, int] = {}
    made: dict[Shape, Terms] = {}
    for kind, terms in wanted.items():
        if not kind.corners and not kind.openings:
            laid.setdefault((kind.length, kind.width), []).extend(terms)
            continue
        alone[kind] = linear.column(0, most)
        made[kind] = [(alone[kind], 1)]
        laid.setdefault((kind.length, kind.width), []).append((alone[kind], 1))
    nested: dict[tuple[Shape, Shape], tuple[Nest, int]] = {}
    for (one, other), how in nests.items():
        column = linear.column(0, most)
        nested[one, other] = how, column
        made[one].append((column, 1))
        made[other].append((column, 1))
        laid.setdefault((how.length, one.width), []).append((column, 1))
    for kind, terms in made.items():
        linear.row([*terms, *((column, -amount) for column, amount in wanted[kind])], lower=0)
    outs: dict[CutOut, int] = {}
    for out in cut_outs(list(made), parts, kerf):
        part = parts[out.part]
        column = outs[out] = linear.column(0, part.count)
        size = (part.length, part.width)
        laid.setdefault(size, []).append((column, -1))
    for kind in made:
        for number in range(len(kind.openings)):
            mine = [(c, -1) for out, c in outs.items() if (out.kind, out.opening) == (kind, number)]
            if mine:
                linear.row([*mine, *wanted[kind]], lower=0)
    return Supply(alone, nested, outs), laid
