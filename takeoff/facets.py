"""Planes of a roof as polygons on plan, exact, and how they become planes and lines up the slope."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from optimizer.words import Corner
from takeoff.planes import EdgeKind, EdgeLine, Plane, nearest_sqrt, top_of
from takeoff.rafters import Rafter

__all__ = ["Facet", "Offsets", "facet_lines", "facet_plane", "mirrored"]

Point = tuple[Fraction, Fraction]
Place = tuple[Fraction, Fraction, Fraction]


@dataclass(frozen=True, slots=True)
class Offsets:
    """How far eaves and rakes lie outside the framing of the walls, on plan."""

    eave: Fraction
    rake: Fraction


@dataclass(frozen=True, slots=True)
class Facet:
    """
    A plane on plan.

    Parameters
    ----------
    corners
        Along the eave from the left corner of the framing, and up from the outside of it; anticlockwise,
        the lower left one first.
    sides
        What each side is, from the first corner to the second and so on.
    origin, heading
        Where that left corner lies in the building, and the way along the eave, one of four.
    base
        Height of the plane above the wall's outside; not 0 only above a break.
    """

    name: str
    mark: str
    pitch: Fraction
    corners: tuple[Point, ...]
    sides: tuple[EdgeKind, ...]
    origin: Point
    heading: tuple[int, int]
    base: Fraction = Fraction(0)

    def place(self, corner: Point) -> Place:
        """Give a corner's place in the building, and its height."""
        (along, up), (x, y) = corner, self.heading
        return (
            self.origin[0] + along * x - up * y,
            self.origin[1] + along * y + up * x,
            self.base + self.pitch * up,
        )

    def ends(self, side: int) -> tuple[Point, Point]:
        """Give the two corners of a side."""
        return self.corners[side], self.corners[(side + 1) % len(self.corners)]

    @property
    def left(self) -> Fraction:
        """Give the corner farthest to the left."""
        return min(along for along, _ in self.corners)


def _up(plan: Fraction, pitch: Fraction) -> int:
    """Give the length up the slope over a length on plan, to the nearest base unit."""
    return nearest_sqrt(plan**2 * (1 + pitch**2))


def _outline(facet: Facet) -> tuple[Corner, ...]:
    """Give a facet's corners on the slope, from its left end and its lower edge, to the nearest unit."""
    low = min(up for _, up in facet.corners)
    return tuple((round(along - facet.left), _up(up - low, facet.pitch)) for along, up in facet.corners)


def _is_rectangle(outline: Sequence[Corner]) -> bool:
    return len(outline) == 4 and len({x for x, _ in outline}) == 2 and len({y for _, y in outline}) == 2


def facet_plane(facet: Facet, finish: Facet, lines: Sequence[Rafter], thickness: int) -> Plane:
    """
    Give the plane of a facet.

    Parameters
    ----------
    facet, finish
        To the deck's edges and to the finished faces.
    lines
        Rafters by their centres from the left corner of the framing; those that miss the plane, or that
        would be no longer than they are thick, are left out.
    """
    outline = _outline(facet)
    length, slope = (max(corner[axis] for corner in outline) for axis in (0, 1))
    finished = _outline(finish)
    eave = (finish.ends(side) for side, kind in enumerate(finish.sides) if kind == "eave")
    eave_length = max((round(end[0] - start[0]) for start, end in eave), default=length)
    tops = {kind for side, kind in enumerate(facet.sides) if _is_top(facet, side)}
    plane = Plane(
        facet.name,
        facet.mark,
        length,
        slope,
        eave_length,
        max(up for _, up in finished),
        (),
        facet.pitch,
        () if _is_rectangle(outline) else outline,
        top_of(tops),
        () if _is_rectangle(outline) else facet.sides,
    )
    rafters = []
    for line in lines:
        at = round(line.at - facet.left)
        low, high = plane.reach(at) if 0 < at < length else (0, 0)
        if high - low > thickness:
            stopped = not {"hip", "valley"}.isdisjoint(plane.ends(at))
            rafters.append(Rafter(at, "jack" if stopped and line.role == "common" else line.role))
    return replace(plane, rafters=tuple(rafters))


def _is_top(facet: Facet, side: int) -> bool:
    (_, first), (_, second) = facet.ends(side)
    return first == second == max(up for _, up in facet.corners)


def facet_lines(
    deck: Sequence[Facet], finish: Sequence[Facet], framing: Sequence[Facet], wall: Sequence[Facet]
) -> tuple[EdgeLine, ...]:
    """
    Give every line of a roof: sides of two planes with the same ends are one line.

    The four lists hold the same facets, taken to the deck's edges, the finished faces, the cuts of the
    rafter tails and the outside of the walls.
    """
    found: dict[frozenset[Place], list[tuple[int, int]]] = {}
    for number, facet in enumerate(deck):
        for side in range(len(facet.sides)):
            ends = frozenset(facet.place(corner) for corner in facet.ends(side))
            found.setdefault(ends, []).append((number, side))
    lines = []
    for sharing in found.values():
        number, side = sharing[0]
        kind = deck[number].sides[side]
        low, high = sorted(deck[number].place(corner)[2] for corner in deck[number].ends(side))
        length, finished, framed, walled = (
            _length(facets[number], side) for facets in (deck, finish, framing, wall)
        )
        names = tuple(deck[other].name for other, _ in sharing)
        lines.append(
            EdgeLine(
                kind,
                names,
                length,
                finished,
                framed,
                walled,
                _which(deck[number], side),
                round(high - low),
            )
        )
    return tuple(lines)


def _which(facet: Facet, side: int) -> Literal["", "left", "right"]:
    """Tell the left end of a plane from its right one: going round anticlockwise, the left one goes down."""
    (_, start), (_, end) = facet.ends(side)
    return "" if start == end else "right" if start < end else "left"


def _length(facet: Facet, side: int) -> int:
    first, second = (facet.place(corner) for corner in facet.ends(side))
    return nearest_sqrt(sum(((a - b) ** 2 for a, b in zip(first, second, strict=True)), Fraction(0)))


def mirrored(plane: Plane) -> Plane:
    """Give a plane as seen in a mirror, left for right."""
    turned = tuple((plane.length - x, y) for x, y in reversed(plane.outline))
    # Turned round, the side after a corner is the one before it.
    kinds = (*reversed(plane.kinds[:-1]), *plane.kinds[-1:])
    start = min(range(len(turned)), key=lambda place: (turned[place][1], turned[place][0])) if turned else 0
    return replace(
        plane,
        outline=(*turned[start:], *turned[:start]),
        kinds=(*kinds[start:], *kinds[:start]),
        rafters=tuple(Rafter(plane.length - rafter.at, rafter.role) for rafter in reversed(plane.rafters)),
    )
