"""The answer: what to buy, how to cut, where to lay, what to keep, and how far it is proved."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = [
    "FROM_LEFTOVERS",
    "Bought",
    "Course",
    "Cut",
    "CutPiece",
    "LaidPiece",
    "Leftover",
    "MaterialPlan",
    "Outcome",
    "Plan",
    "SawCut",
    "ShapeCut",
    "Trip",
]


FROM_LEFTOVERS = "small parts from what is left"
"""In an `Outcome.family`: some parts were cut after the rest, in stages that its proof does not cover."""


@dataclass(frozen=True, slots=True)
class Bought:
    """
    A line of the shopping list: `count` packs of one stock.

    `unit_price` and `cost` are cents, None where the stock has no price. `needed` is how many pieces the
    plan uses; `spare` how many of `count` are bought only to be safe. More packs than hold those are bought
    where a quantity price break makes them cost no more. Of what lies in the rack `cost` is the stated value.
    """

    stock: str
    count: int
    needed: int
    unit_price: int | None
    cost: int | None
    from_rack: bool = False
    spare: int = 0


@dataclass(frozen=True, slots=True)
class CutPiece:
    """
    A piece where it lies on its stock: `x` along the stock's length, `y` across it.

    `length` and `width` are what the stock gives up along x and y: a turned part has its own length along y.
    `corners` are those of a piece that is no rectangle, on its stock, in order; `openings` are rectangles
    (x, y, length, width) of the stock that are cut out of it.
    """

    label: str
    x: int
    y: int
    length: int
    width: int
    turned: bool = False
    corners: tuple[tuple[int, int], ...] = ()
    openings: tuple[tuple[int, int, int, int], ...] = ()

    def lies_in(self, region: tuple[int, int, int, int]) -> bool:
        """Tell whether all of it lies in a rectangle (x, y, length, width) of its stock, edges included."""
        x, y, length, width = region
        along = x <= self.x and self.x + self.length <= x + length
        return along and y <= self.y and self.y + self.width <= y + width


@dataclass(frozen=True, slots=True)
class SawCut:
    """
    One cut, edge to edge, through the rectangle (x, y, length, width) of the stock.

    A `crosscut` runs across the length and takes the kerf from `x + at` to `x + at + kerf`; a `rip` runs
    along the length and takes it from `y + at`. A kerf may run out over the far edge.
    """

    kind: Literal["rip", "crosscut"]
    x: int
    y: int
    length: int
    width: int
    at: int


@dataclass(frozen=True, slots=True)
class ShapeCut:
    """
    A cut that gives a piece its shape once the saw cuts have freed its rectangle.

    A `slant` runs straight from the first point to the second, its kerf in the waste or, between two nested
    pieces, in the room left for it; a `cut out` takes the rectangle of its two opposite corners out of a
    piece, its kerf inside. Points are on the stock.
    """

    kind: Literal["slant", "cut out"]
    label: str
    points: tuple[tuple[int, int], tuple[int, int]]


@dataclass(frozen=True, slots=True)
class Cut:
    """
    One piece of stock and all that is cut from it; `repeat` stocks are cut alike.

    `tight` is True where less than a quarter inch is to spare along or across some row of pieces. Slanting
    parts are drawn as the rectangles they take up (see `Part.slant`). `shaping` comes after `steps`.
    """

    id: str
    stock: str
    length: int
    width: int
    kerf: int
    pieces: tuple[CutPiece, ...]
    steps: tuple[SawCut, ...]
    repeat: int = 1
    tight: bool = False
    from_rack: bool = False
    shaping: tuple[ShapeCut, ...] = ()


@dataclass(frozen=True, slots=True)
class LaidPiece:
    """
    A piece in its place: it covers `start` to `end`, from the left end of its surface or run.

    `corners` are those of a piece that is no rectangle or not as wide as its course, in order; `openings` are
    rectangles (x, y, length, height) cut out of it. Both are along and across the surface's courses.
    """

    label: str
    start: int
    end: int
    corners: tuple[tuple[int, int], ...] = ()
    openings: tuple[tuple[int, int, int, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Course:
    """
    One course of a surface, or one run: where it lies and which pieces cover it.

    `run` is the label of the run or of surface and course; `plane` the surface ("" for a run); `course`
    counts from 1 at the bottom (0 for a run); `bottom` is the distance from the surface's outer edge to the
    lower edge of the course; `width` its pieces' width. `seams` are the seams' centres. A course of a surface
    that is no rectangle reaches from `begins` over its `length`. `open` lists the stretches (start, end) that
    a hole takes out of the whole of it.
    """

    run: str
    plane: str
    course: int
    length: int
    width: int
    bottom: int
    supports: tuple[int, ...]
    seams: tuple[int, ...]
    pieces: tuple[LaidPiece, ...]
    blocked: bool = False
    begins: int = 0
    open: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Leftover:
    """A rectangle that is left of a stock after all cuts; `cut` is the `Cut.id` it comes from."""

    stock: str
    length: int
    width: int
    cut: str
    x: int = 0
    y: int = 0
    repeat: int = 1


@dataclass(frozen=True, slots=True)
class Outcome:
    """
    How far one material's purchase is proved.

    Parameters
    ----------
    cost, bound
        In cents, or in pieces where the material has no prices; `bound <= cost`.
    proved
        True only if the bound meets the cost and `witnesses` names two that do not lean on each other.
    family
        The cuts and lay-outs that the proof covers, in words.
    witnesses
        Who vouches for the bound, as `HiGHS`, `CP-SAT`, `LP duals checked in integers`.
    seconds
        Wall time spent.
    work
        Seconds of work counted, which tell how hard the question was on any machine.
    """

    material: str
    cost: int
    bound: int
    proved: bool
    family: str
    witnesses: tuple[str, ...]
    seconds: float = 0.0
    levels: tuple[tuple[str, str], ...] = ()
    work: float = 0.0


@dataclass(frozen=True, slots=True)
class Trip:
    """The `number` of trips to a yard, the cents that `each` costs, and the grams that are to be carried."""

    yard: str
    number: int
    each: int
    grams: int


@dataclass(frozen=True, slots=True)
class MaterialPlan:
    """What one model gives back: cuts and lay-outs of one material, and how far they are proved."""

    cuts: tuple[Cut, ...]
    courses: tuple[Course, ...]
    outcome: Outcome


@dataclass(frozen=True, slots=True)
class Plan:
    """
    A purchase with its cuts and lay-outs.

    `total` and `bound` are cents, None where something used has no price; `pieces` counts the stock
    bought for the surfaces, runs and parts (packs of counted things left out). `trips` go to the yards that
    something is bought at, and cost beyond `total`. `yards` says how far the choice of yards is proved, in
    cents of goods, tax and trips; None where there was nothing to choose.
    """

    buy: tuple[Bought, ...]
    cut: tuple[Cut, ...]
    lay: tuple[Course, ...]
    keep: tuple[Leftover, ...]
    outcomes: tuple[Outcome, ...]
    total: int | None
    bound: int | None
    pieces: int
    trips: tuple[Trip, ...] = ()
    yards: Outcome | None = None

    @property
    def proved(self) -> bool:
        """
        True if every material's purchase is proved cheapest.

        Where yards were chosen, what is proved is the whole, trips included: to spare a trip a material may
        be bought where it is dearer.
        """
        if self.yards is not None:
            return self.yards.proved
        return all(outcome.proved for outcome in self.outcomes)
