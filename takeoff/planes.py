"""What a roof is made of: planes with their rafters, and the lines where planes end or meet."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from math import ceil, floor
from string import ascii_uppercase
from typing import Literal

from optimizer.lengths import floor_sqrt
from optimizer.words import Corner
from takeoff.rafters import Rafter
from takeoff.shape_job import RoofKind

__all__ = [
    "Building",
    "Edge",
    "EdgeKind",
    "EdgeLine",
    "Plane",
    "RoofKind",
    "marks_of",
    "nearest_sqrt",
    "slope_of",
    "top_of",
]

EdgeKind = Literal["eave", "rake", "high edge", "ridge", "hip", "valley", "break"]
"""What a line of the roof is; a break is where the steep plane of a gambrel meets the flatter one."""

Top = Literal["ridge", "high edge", "break", "peak"]
"""What closes a plane at its top; "peak" where hips or rakes bring it to a point."""


@dataclass(frozen=True, slots=True)
class Edge:
    """
    How far one edge of the roof lies outside the framing of the walls, measured on plan.

    Parameters
    ----------
    framing
        To the cut of the rafter tails, or the outer face of the barge rafter.
    finish
        To the outer face of the board nailed to that; as `framing` where there is none.
    deck
        To the edge of the deck: one of the two.
    """

    framing: int
    finish: int
    deck: int


@dataclass(frozen=True, slots=True)
class EdgeLine:
    """
    A line where a plane of the roof ends, or where two meet.

    Parameters
    ----------
    planes
        The name of the plane it bounds, or of the two that it joins.
    length, finish, framing, wall
        True length, along the slope where it slopes: of the deck; between the finished faces; between the
        cuts of the rafter tails; above the outside of the framing of the walls, overhangs left out.
    side
        Which end of the first plane it is, seen looking up from the eave; empty for what runs level.
    rise
        How much higher its upper end lies than its lower one, for the deck's line.
    """

    kind: EdgeKind
    planes: tuple[str, ...]
    length: int
    finish: int
    framing: int
    wall: int
    side: Literal["", "left", "right"] = ""
    rise: int = 0

    @property
    def mirrored(self) -> EdgeLine:
        """Give the same line of a roof seen in a mirror."""
        sides: dict[str, Literal["", "left", "right"]] = {"left": "right", "right": "left"}
        return replace(self, side=sides.get(self.side, ""))

    @property
    def label(self) -> str:
        """Name it as a person would: `door side left rake`, `hip between door side and left end`."""
        if len(self.planes) > 1:
            return f"{self.kind} between {' and '.join(self.planes)}"
        return " ".join(filter(None, (self.planes[0], self.side, self.kind)))


@dataclass(frozen=True, slots=True)
class Plane:
    """
    One plane of the roof, seen looking up from its eave.

    Parameters
    ----------
    length
        The deck's, along the ridge: of an outlined plane, along the courses from end to end.
    slope
        The deck's, from the peak (single slope: from its upper edge) to its lower edge.
    finish_slope
        The same, to the finished face at the eave (single slope: at both edges).
    finish_length
        Along the ridge, between the finished faces at the rakes; along the eave where there are hips.
    rafters
        From the deck's left end, barge rafters included.
    pitch
        Its own, rise over run.
    outline
        Corners of a deck that is no rectangle, anticlockwise from its lower left one; empty for a rectangle.
    top
        What its upper edge is; "peak" where hips close it to a point.
    kinds
        Of an outlined plane: what each side is, in the order of the corners it begins at.
    """

    name: str
    mark: str
    length: int
    slope: int
    finish_length: int
    finish_slope: int
    rafters: tuple[Rafter, ...]
    pitch: Fraction = Fraction(0)
    outline: tuple[Corner, ...] = ()
    top: Top = "ridge"
    kinds: tuple[EdgeKind | None, ...] = ()

    @property
    def corners(self) -> tuple[Corner, ...]:
        """Give the deck's corners, those of a rectangle too."""
        whole = ((0, 0), (self.length, 0), (self.length, self.slope), (0, self.slope))
        return self.outline or whole

    @property
    def sides(self) -> Iterator[tuple[Corner, Corner]]:
        """Give the deck's sides from corner to corner, the last one back to the first corner."""
        return pairwise((*self.corners, self.corners[0]))

    @property
    def twice_area(self) -> int:
        """Give twice the deck's area, which is whole."""
        return sum(x * later_y - later_x * y for (x, y), (later_x, later_y) in self.sides)

    def stretch(self, up: int) -> tuple[int, int]:
        """Give where the deck begins and ends, along the courses, so far up the slope from its edge."""
        return _span(self.sides, up, across=1)

    def reach(self, at: int) -> tuple[int, int]:
        """Give where the deck begins and ends, up the slope, so far from its left end."""
        return _span(self.sides, at, across=0)

    def ends(self, at: int) -> tuple[str, str]:
        """
        Tell what a line up the slope begins and ends at, so far from the left end: a kind of side, or "peak".

        At a corner the side that is no hip or valley counts; where two such sides meet, it is a peak.
        """
        if not self.outline:
            return "eave", self.top
        found: tuple[list[EdgeKind | None], list[EdgeKind | None]] = ([], [])
        for ((start, _), (end, _)), kind in zip(self.sides, self.kinds, strict=True):
            # Places are whole and a corner is rounded: a unit beside it counts as at it.
            if start != end and min(start, end) - 1 <= at <= max(start, end) + 1:
                found[start > end].append(kind)
        return _end(found[0], "eave"), _end(found[1], "peak")


def _end(kinds: Sequence[EdgeKind | None], otherwise: str) -> str:
    plain = [kind for kind in kinds if kind not in ("hip", "valley", None)]
    if plain:
        return plain[0]
    return str(kinds[0]) if len(kinds) == 1 and kinds[0] else otherwise


def _span(sides: Iterator[tuple[Corner, Corner]], line: int, across: int) -> tuple[int, int]:
    """Give the stretch of a level or upright line that lies inside; rounded inwards, (0, 0) if none does."""
    met: list[Fraction] = []
    for first, second in sides:
        low, high = sorted((first, second), key=lambda corner: corner[across])
        if not low[across] <= line <= high[across]:
            continue
        if low[across] == high[across]:
            met += [Fraction(low[1 - across]), Fraction(high[1 - across])]
            continue
        part = Fraction(line - low[across], high[across] - low[across])
        met.append(low[1 - across] + part * (high[1 - across] - low[1 - across]))
    return (ceil(min(met)), floor(max(met))) if met else (0, 0)


@dataclass(frozen=True, slots=True)
class Building:
    """
    The whole roof.

    Parameters
    ----------
    pitch
        Rise over run, of the first plane.
    along, span
        Outside of framing, along the ridge and across it.
    run, rise
        On plan from the outside of framing to the peak or to the other wall (single slope), and the rise
        over it; of the first side where the sides differ.
    high
        The upper edge of a single slope; None for any other roof.
    roof
        Its shape.
    lines
        Every line where a plane ends or meets another.
    """

    pitch: Fraction
    along: int
    span: int
    run: int
    rise: int
    rafter_thickness: int
    eave: Edge
    rake: Edge
    high: Edge | None
    planes: tuple[Plane, ...]
    roof: RoofKind = "gable"
    lines: tuple[EdgeLine, ...] = ()

    @property
    def has_barges(self) -> bool:
        """True if the rakes overhang far enough for a rafter of their own."""
        return any(rafter.role == "barge" for plane in self.planes for rafter in plane.rafters)

    def lines_of(self, *kinds: EdgeKind) -> tuple[EdgeLine, ...]:
        """Give the lines of these kinds, in the order of the planes."""
        return tuple(line for line in self.lines if line.kind in kinds)

    def plane(self, name: str) -> Plane:
        """Give a plane by its name."""
        return next(plane for plane in self.planes if plane.name == name)


def slope_of(plan: Fraction | int, pitch: Fraction) -> int:
    """
    Give the length along the slope over a length on plan.

    Rounds down to the base unit, a sixteen-hundredth of a millimetre: far inside any slack.

    Examples
    --------
    >>> slope_of(60, Fraction(6, 12)), slope_of(3, Fraction(4, 3))
    (67, 5)
    """
    return floor_sqrt(int(Fraction(plan) ** 2 * (1 + pitch**2)))


def nearest_sqrt(square: Fraction | int) -> int:
    """
    Give the whole number of base units nearest to a square root.

    Examples
    --------
    >>> nearest_sqrt(6), nearest_sqrt(7), nearest_sqrt(Fraction(25, 4))
    (2, 3, 3)
    """
    return (floor_sqrt(floor(4 * Fraction(square))) + 1) // 2


def marks_of(names: tuple[str, ...]) -> tuple[str, ...]:
    """Give each plane a letter for its labels: its first one, or A, B and so on where two are alike."""
    letters = tuple(name.strip()[:1].upper() for name in names)
    if len(set(letters)) < len(letters) or not all(letter.isalpha() for letter in letters):
        return tuple(ascii_uppercase[: len(names)])
    return letters


def top_of(kinds: Collection[str]) -> Top:
    """Name a plane's top by the kinds of the level sides there; none of them makes it a peak."""
    for kind in _TOPS:
        if kind in kinds:
            return kind
    return "high edge" if kinds else "peak"


_TOPS: tuple[Top, ...] = ("break", "ridge")
