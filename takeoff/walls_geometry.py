"""The walls as exact geometry, seen from outside: how long they are, where their skin ends at the roof."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from typing import Literal, assert_never

from optimizer.errors import InputError
from optimizer.lengths import INCH
from optimizer.words import Corner
from takeoff.book import Book
from takeoff.building import Building, slope_of
from takeoff.job import Job
from takeoff.wall_job import WallTable

__all__ = [
    "USUAL_DEPTH",
    "USUAL_SEAT",
    "FrameSizes",
    "Wall",
    "frame_sizes",
    "height_at",
    "standing_walls",
    "wall_table",
    "walls_of",
]

USUAL_DEPTH, USUAL_SEAT = INCH * 11 // 2, INCH * 7 // 2
"""Of a rafter, where neither the walls' table nor the frame's says anything: 2x6 on a 2x4 wall."""


@dataclass(frozen=True, slots=True)
class Wall:
    """
    One wall, seen from outside.

    Parameters
    ----------
    mark
        Short prefix of labels.
    width
        Outside of framing to outside of framing, along the floor.
    top
        Where its skin ends: corners (along, up) from left to right, along from the left corner of the framing
        and up from the underside of the bottom plate.
    plate
        Top of its top plate; of the lower one where it is a gable.
    kind
        An eave wall carries rafter tails, a gable wall goes up to the roof.
    inside
        Whether its left and its right corner is an inner one, as where a wing stands out.
    """

    name: str
    mark: str
    width: int
    top: tuple[Corner, ...]
    plate: int
    kind: Literal["eave", "gable"]
    inside: tuple[bool, bool] = (False, False)

    @property
    def label(self) -> str:
        """Name it as a wall; a single slope's sides are called so already, as low wall and high wall."""
        return self.name if self.name.endswith("wall") else f"{self.name} wall"

    @property
    def peak(self) -> int:
        """Give the height of its highest point."""
        return max(up for _, up in self.top)

    @property
    def twice_area(self) -> int:
        """Give twice its area above the underside of the bottom plate, openings not taken off."""
        return sum((x1 - x0) * (up0 + up1) for (x0, up0), (x1, up1) in pairwise(self.top))


@dataclass(frozen=True, slots=True)
class FrameSizes:
    """What the walls' skin must know of the frame, from the walls' table or the frame's own."""

    stud_spacing: int
    depth: int
    seat: int


def wall_table(job: Job) -> WallTable:
    """Give the walls' table, or what it would say where the job has none."""
    return job.walls or WallTable.model_validate({})


def frame_sizes(job: Job, book: Book) -> FrameSizes:
    """Give spacing of studs, depth and seat of rafters: from the walls' table, else from the frame's."""
    table, framing = wall_table(job), job.framing
    spacing, depth, seat = table.stud_spacing, table.rafter_depth, table.seat
    if framing is not None:
        if "stud_spacing" not in table.model_fields_set:
            spacing = framing.stud_spacing or spacing
        depth = depth or book.one(framing.rafter, "framing.rafter").width
        seat = framing.seat if seat is None else seat
    return FrameSizes(spacing, depth or USUAL_DEPTH, USUAL_SEAT if seat is None else seat)


def walls_of(job: Job, building: Building, book: Book) -> tuple[Wall, ...]:
    """
    Give every wall of a building, going round it to the right from the first side, seen from outside.

    Raises
    ------
    InputError
        If the roof is given as free planes, which say nothing of walls.
    """
    table, roof = wall_table(job), _Slopes.of(job, building, frame_sizes(job, book))
    along, span = building.along, building.span
    near, far = roof.heights(table.height, 0), roof.heights(table.height, span)
    match building.roof:
        case "gable" | "gambrel" | "single-slope":
            low, high = ("low wall", "high wall") if building.high else job.sides
            shape, level = roof.end_wall(table), min(near[0], far[0])
            return _marked(
                _eave(low, along, near[0], near[1], table),
                Wall(job.ends[1], "", span, shape, level, "gable"),
                _eave(high, along, far[0], far[1], table),
                Wall(job.ends[0], "", span, _mirrored(shape), level, "gable"),
            )
        case "hip" | "pyramid":
            names = (job.sides[0], job.ends[1], job.sides[1], job.ends[0])
            return _marked(
                *(
                    _eave(name, width, near[0], near[1], table)
                    for name, width in zip(names, (along, span) * 2, strict=True)
                )
            )
        case "L":
            return _wing_walls(job, building, roof, table)
        case "planes":
            raise InputError(
                "the walls under a roof of free planes aren't known; list what covers them as parts", "walls"
            )
        case _ as unreachable:
            assert_never(unreachable)


def standing_walls(job: Job, building: Building, book: Book) -> tuple[Wall, ...]:
    """
    Give the walls that are built, in the order of `walls_of`: all but those the job calls open.

    Raises
    ------
    InputError
        As `walls_of` does, if a wall called open is none, or if none is left.
    """
    walls, gone = walls_of(job, building, book), wall_table(job).open
    names = [wall.name for wall in walls]
    for name in gone:
        if name not in names:
            told = ", ".join(map(repr, names))
            raise InputError(f"there is no wall {name!r}; the walls are {told}", "walls.open")
    standing = tuple(wall for wall in walls if wall.name not in gone)
    if not standing:
        raise InputError("no wall is left; leave [walls] out where there are none", "walls.open")
    return standing


def _wing_walls(job: Job, building: Building, roof: _Slopes, table: WallTable) -> tuple[Wall, ...]:
    """Give the six walls of an L, its inner corner between the first side and the inner side of the wing."""
    assert job.wing is not None, "the job saw to it"
    out_by, wide, right = job.wing.length, job.wing.width or building.span, job.wing.end == "right"
    plate, heel = roof.heights(table.height, 0)
    pitch = building.pitch
    half = replace(roof, span=wide, lines=((pitch, Fraction(0)), (-pitch, pitch * wide)))
    walls = (
        _eave(job.sides[0], building.along - wide, plate, heel, table, inside=(not right, right)),
        Wall(job.ends[0 if right else 1], "", building.span, roof.end_wall(table), plate, "gable"),
        _eave(job.sides[1], building.along, plate, heel, table),
        _eave("outer side", building.span + out_by, plate, heel, table),
        Wall("wing end", "", wide, half.end_wall(table), plate, "gable"),
        _eave("inner side", out_by, plate, heel, table, inside=(right, not right)),
    )
    return _marked(*((walls[0], *reversed(walls[1:])) if right else walls))


def _eave(
    name: str,
    width: int,
    plate: int,
    heel: int,
    table: WallTable,
    inside: tuple[bool, bool] = (False, False),
) -> Wall:
    up = plate if table.eave_top == "plate" else heel
    return Wall(name, "", width, ((0, up), (width, up)), plate, "eave", inside)


def _marked(*walls: Wall) -> tuple[Wall, ...]:
    return tuple(replace(wall, mark=chr(ord("A") + place)) for place, wall in enumerate(walls))


def _mirrored(top: Sequence[Corner]) -> tuple[Corner, ...]:
    return tuple((top[-1][0] - along, up) for along, up in reversed(top))


@dataclass(frozen=True, slots=True)
class _Slopes:
    """
    The undersides of the rafters across an end wall, from the first side on.

    Parameters
    ----------
    lines
        One for each slope: rise over run, and how far its height at the first side lies above the heel there.
    seat, depth
        Of a rafter.
    """

    span: int
    lines: tuple[tuple[Fraction, Fraction], ...]
    seat: int
    depth: int

    @classmethod
    def of(cls, job: Job, building: Building, sizes: FrameSizes) -> _Slopes:
        """Read the slopes off the building: up to the ridge, then down."""
        pitch, span = building.pitch, building.span
        if building.roof == "single-slope":
            lines: tuple[tuple[Fraction, Fraction], ...] = ((pitch, Fraction(0)),)
        elif job.gambrel is not None:
            at, upper = job.gambrel.break_at, job.gambrel.upper_pitch
            base = (pitch - upper) * at
            lines = (
                (pitch, Fraction(0)),
                (upper, base),
                (-upper, base + upper * span),
                (-pitch, pitch * span),
            )
        else:
            down = job.second_pitch or pitch
            middle = job.ridge_from is None and job.second_pitch is None
            run = Fraction(span, 2) if middle else Fraction(building.run)
            lines = ((pitch, Fraction(0)), (-down, (pitch + down) * run))
        return cls(span, lines, sizes.seat, sizes.depth)

    def heights(self, plate: int, at: int) -> tuple[int, int]:
        """Give plate and heel of an eave wall; a heel is where underside and outside of the framing meet."""
        first, _ = self.lines[0]
        heel = plate - first * self.seat
        if at == 0:
            return plate, int(heel)
        slope, base = self.lines[-1]
        there = heel + base + slope * at
        # A high wall's plate lies level with the underside at its outer face.
        return int(there - min(slope, Fraction(0)) * self.seat), int(there)

    def end_wall(self, table: WallTable) -> tuple[Corner, ...]:
        """Give the upper edge of an end wall: the lowest of all slopes, cut off at the corners."""
        heel = table.height - self.lines[0][0] * self.seat
        deep = self.depth if table.gable_top == "rafter tops" else 0
        lines = [(slope, heel + base + slope_of(deep, slope)) for slope, base in self.lines]
        points: list[Corner] = [(0, int(lines[0][1]))]
        for (slope, base), (after, other) in pairwise(lines):
            at = (other - base) / (slope - after)
            if points[-1][0] < int(at) < self.span:
                points.append((int(at), int(base + slope * at)))
        slope, base = lines[-1]
        return (*points, (self.span, int(base + slope * self.span)))


def height_at(wall: Wall, along: int) -> int:
    """Give where the skin of a wall ends, so far from the left corner of its framing; beyond it, as at it."""
    along = min(max(along, 0), wall.width)
    for (x0, up0), (x1, up1) in pairwise(wall.top):
        if x0 <= along <= x1:
            return up0 + (up1 - up0) * (along - x0) // max(x1 - x0, 1)
    return wall.top[-1][1]
