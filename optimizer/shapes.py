"""
Pieces that are no rectangles: what a band of a surface is, cut by seams and holes, and how two pieces nest.

A region is a pile of slabs: between two heights its left and right ends move along straight lines. Heights
and ends inside are exact fractions; a piece's corners are rounded once, to the nearest base unit.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise
from math import ceil, isqrt
from typing import Literal

from optimizer.words import Corner, Hole, Surface

__all__ = ["Band", "Opening", "Shape", "Slab", "area_of", "band_of", "nest", "shape_of", "slabs_of"]

ROUNDED = 2
"""How far, in base units, rounding may move a corner in all."""

Opening = tuple[int, int, int, int]
"""x, y, length and width of a rectangle cut out of a piece."""


@dataclass(frozen=True, slots=True)
class Slab:
    """Between heights `low` and `high`: left and right end at the bottom and at the top."""

    low: Fraction
    high: Fraction
    left: tuple[Fraction, Fraction]
    right: tuple[Fraction, Fraction]

    def at(self, height: Fraction) -> tuple[Fraction, Fraction]:
        """Give the left and the right end at a height."""
        part = (height - self.low) / (self.high - self.low)
        return (
            self.left[0] + (self.left[1] - self.left[0]) * part,
            self.right[0] + (self.right[1] - self.right[0]) * part,
        )

    def between(self, low: Fraction, high: Fraction) -> Slab | None:
        """Keep what lies between two heights."""
        low, high = max(low, self.low), min(high, self.high)
        if low >= high:
            return None
        (l0, r0), (l1, r1) = self.at(low), self.at(high)
        return Slab(low, high, (l0, l1), (r0, r1))

    def within(self, start: int, end: int) -> list[Slab]:
        """Keep what lies between two lines across the courses; it may fall into several slabs."""
        cuts = {self.low, self.high}
        for ends in (self.left, self.right):
            for line in (start, end):
                if min(ends) < line < max(ends):
                    cuts.add(self.low + (self.high - self.low) * (line - ends[0]) / (ends[1] - ends[0]))
        kept = []
        for low, high in pairwise(sorted(cuts)):
            part = self.between(low, high)
            assert part is not None
            left = (max(part.left[0], Fraction(start)), max(part.left[1], Fraction(start)))
            right = (min(part.right[0], Fraction(end)), min(part.right[1], Fraction(end)))
            if left[0] + left[1] < right[0] + right[1]:
                kept.append(Slab(low, high, left, right))
        return kept


Band = tuple[Slab, ...]
"""From the bottom up."""


def slabs_of(surface: Surface) -> Band:
    """
    Cut a surface's outline into slabs at the heights of its corners; holes are left for later.

    Raises
    ------
    ValueError
        If a line along the courses meets the inside more than once.
    """
    corners = surface.outline or (
        (0, 0),
        (surface.length, 0),
        (surface.length, surface.height),
        (0, surface.height),
    )
    edges = [(a, b) for a, b in zip(corners, (*corners[1:], corners[0]), strict=True) if a[1] != b[1]]
    slabs = []
    for low, high in pairwise(sorted({y for _, y in corners})):
        crossing = []
        for (x0, y0), (x1, y1) in edges:
            if min(y0, y1) <= low and max(y0, y1) >= high:
                slope = Fraction(x1 - x0, y1 - y0)
                crossing.append((x0 + slope * (low - y0), x0 + slope * (high - y0)))
        if len(crossing) != 2:
            raise ValueError(f"{surface.label}: its outline has more than one stretch at {low}")
        left, right = sorted(crossing, key=sum)
        slabs.append(Slab(Fraction(low), Fraction(high), left, right))
    return tuple(slabs)


def area_of(surface: Surface) -> int:
    """Give a surface's area in square base units, holes taken out, rounded down (Gauss's formula)."""
    corners = surface.outline
    twice = 2 * surface.length * surface.height
    if corners:
        turns = zip(corners, (*corners[1:], corners[0]), strict=True)
        twice = abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in turns))
    return twice // 2 - sum(hole.length * hole.height for hole in surface.holes)


def band_of(slabs: Band, low: int, high: int) -> Band:
    """Keep what lies between two heights."""
    parts = (slab.between(Fraction(low), Fraction(high)) for slab in slabs)
    return tuple(part for part in parts if part is not None)


@dataclass(frozen=True, slots=True, order=True)
class Shape:
    """
    A piece as it must be cut: the rectangle around it, its corners in that, and what is cut out of it.

    `corners` run anticlockwise from the lowest left; empty for the whole rectangle.
    """

    length: int
    width: int
    corners: tuple[Corner, ...] = ()
    openings: tuple[Opening, ...] = ()

    def turned(self) -> Shape:
        """Turn it end for end, the same face up."""
        corners = tuple((self.length - x, self.width - y) for x, y in self.corners)
        openings = tuple((self.length - x - a, self.width - y - b, a, b) for x, y, a, b in self.openings)
        return Shape(self.length, self.width, _from_lowest(corners), tuple(sorted(openings)))

    def flipped(self) -> Shape:
        """Turn its other face up, end for end."""
        corners = tuple((self.length - x, y) for x, y in reversed(self.corners))
        openings = tuple((self.length - x - a, y, a, b) for x, y, a, b in self.openings)
        return Shape(self.length, self.width, _from_lowest(corners), tuple(sorted(openings)))

    def ways(self, may_flip: bool) -> tuple[Shape, ...]:
        """List the ways it may lie along a sheet."""
        ways = [self, self.turned()]
        if may_flip:
            ways += [way.flipped() for way in ways]
        return tuple(dict.fromkeys(ways))

    def canonical(self, may_flip: bool) -> Shape:
        """Choose one of those ways, the same for all pieces that are alike."""
        return min(self.ways(may_flip))


def _from_lowest(corners: tuple[Corner, ...]) -> tuple[Corner, ...]:
    if not corners:
        return ()
    first = min(range(len(corners)), key=lambda n: (corners[n][1], corners[n][0]))
    return corners[first:] + corners[:first]


def shape_of(
    band: Band, start: int, end: int, holes: Iterable[Hole]
) -> tuple[Shape, int, int] | Literal["void"] | None:
    """
    Work out the piece of a band between two lines.

    Returns
    -------
    tuple of Shape, int, int
        The piece, and the corner of the rectangle around it on the surface.
    "void"
        Where holes leave nothing to be covered.
    None
        Where there is nothing, or holes part it so that one piece can't cover it.
    """
    slabs = [part for slab in band for part in slab.within(start, end)]
    if not slabs:
        return None
    openings: list[Opening] = []
    for hole in holes:
        box = _box(slabs)
        x0, x1 = max(box[0], hole.x), min(box[2], hole.x + hole.length)
        y0, y1 = max(box[1], hole.y), min(box[3], hole.y + hole.height)
        if x0 >= x1 or y0 >= y1:
            continue
        along, across = (x0, x1) == (box[0], box[2]), (y0, y1) == (box[1], box[3])
        if along and across:
            return "void"
        if across and x0 == box[0]:
            slabs = [part for slab in slabs for part in slab.within(x1, end)]
        elif across and x1 == box[2]:
            slabs = [part for slab in slabs for part in slab.within(start, x0)]
        elif along and y0 == box[1]:
            slabs = list(band_of(tuple(slabs), y1, box[3]))
        elif along and y1 == box[3]:
            slabs = list(band_of(tuple(slabs), box[1], y0))
        elif across or along:
            return None
        else:
            openings.append((x0, y0, x1 - x0, y1 - y0))
    left, bottom, right, top = _box(slabs)
    if right <= left or top <= bottom:
        return None
    corners = _corners(slabs, left, bottom)
    length, width = right - left, top - bottom
    if corners == ((0, 0), (length, 0), (length, width), (0, width)):
        corners = ()
    inside = tuple(sorted((x - left, y - bottom, a, b) for x, y, a, b in openings))
    return Shape(length, width, corners, inside), left, bottom


def _box(slabs: Sequence[Slab]) -> tuple[int, int, int, int]:
    return (
        round(min(min(slab.left) for slab in slabs)),
        round(slabs[0].low),
        round(max(max(slab.right) for slab in slabs)),
        round(slabs[-1].high),
    )


def _corners(slabs: Sequence[Slab], left: int, bottom: int) -> tuple[Corner, ...]:
    """List the corners anticlockwise, those on a straight line left out."""
    up = [p for slab in slabs for p in ((slab.right[0], slab.low), (slab.right[1], slab.high))]
    down = [p for slab in reversed(slabs) for p in ((slab.left[1], slab.high), (slab.left[0], slab.low))]
    points = [(round(x) - left, round(y) - bottom) for x, y in (*down[-1:], *up, *down[:-1])]
    kept: list[Corner] = []
    # Rounding may make two corners of one.
    distinct = [
        p
        for p, before in zip(points, (points[-1], *points[:-1]), strict=True)
        if abs(p[0] - before[0]) + abs(p[1] - before[1]) > ROUNDED
    ]
    for number, (x, y) in enumerate(distinct):
        (x0, y0), (x1, y1) = distinct[number - 1], distinct[(number + 1) % len(distinct)]
        # A corner rounded to the unit may stand a unit off a straight line.
        if abs((x1 - x0) * (y - y0) - (y1 - y0) * (x - x0)) > ROUNDED * (abs(x1 - x0) + abs(y1 - y0)):
            kept.append((x, y))
    return _from_lowest(tuple(kept))


def nest(first: Shape, second: Shape, kerf: int) -> int:
    """
    Give how far right `second` begins when it follows `first` in a strip of their width, a kerf between.

    Parameters
    ----------
    first, second
        Of one width, as they lie.

    Notes
    -----
    The ends that face each other are straight between the heights of corners, so it is enough to look there.
    The kerf is taken along the strip, for the flattest of the ends, rounded up.
    """
    right, left = _end(first, right=True), _end(second, right=False)
    heights = sorted({y for y, _ in (*right, *left)})
    steepest = Fraction(0)
    for chain in (right, left):
        for (y0, x0), (y1, x1) in pairwise(chain):
            if y1 > y0:
                steepest = max(steepest, abs(Fraction(x1 - x0, y1 - y0)))
    # Rounded up: the room is never less than the saw takes.
    along = -(-kerf * (isqrt(ceil((1 + steepest**2) * 10**12)) + 1) // 10**6)
    most = max(_ends_at(right, y, max) - _ends_at(left, y, min) for y in heights)
    return max(ceil(most) + along, 0)


def _end(shape: Shape, right: bool) -> list[tuple[int, int]]:
    """List the (height, place) of the corners of one end, from the bottom up."""
    corners = shape.corners or (
        (0, 0),
        (shape.length, 0),
        (shape.length, shape.width),
        (0, shape.width),
    )
    top = max(range(len(corners)), key=lambda n: (corners[n][1], corners[n][0] if right else -corners[n][0]))
    low = max(range(len(corners)), key=lambda n: (-corners[n][1], corners[n][0] if right else -corners[n][0]))
    step = 1 if right else -1
    chain = [low]
    while chain[-1] != top:
        chain.append((chain[-1] + step) % len(corners))
    return [(corners[n][1], corners[n][0]) for n in chain]


def _ends_at(chain: Sequence[tuple[int, int]], height: int, choose: object) -> Fraction:
    """Give where an end lies at a height: of a flat step the farther side."""
    found = []
    for (y0, x0), (y1, x1) in pairwise(chain):
        if min(y0, y1) <= height <= max(y0, y1):
            if y0 == y1:
                found += [Fraction(x0), Fraction(x1)]
            else:
                found.append(x0 + Fraction((x1 - x0) * (height - y0), y1 - y0))
    assert callable(choose)
    place = choose(found)
    assert isinstance(place, Fraction)
    return place
