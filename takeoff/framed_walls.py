"""The walls as they are framed: which run through, where their studs stand, which openings are in them."""

from __future__ import annotations

from dataclasses import dataclass

from optimizer.errors import InputError
from optimizer.lengths import INCH
from takeoff.book import Book
from takeoff.building import Building
from takeoff.frame_job import FramingTable
from takeoff.job import Job
from takeoff.wall_openings import WallOpening, wall_openings
from takeoff.walls_geometry import Wall, frame_sizes, standing_walls, walls_of

__all__ = ["WallFrame", "meeting_corners", "stud_lines", "stud_size", "wall_frames"]

_PRECUT = INCH * 741 // 8
"""92-5/8 in: with three plates of 1-1/2 in, a wall of 97-1/8 in."""


@dataclass(frozen=True, slots=True)
class WallFrame:
    """
    One wall as framed, from the left corner of the framing seen from outside.

    Parameters
    ----------
    begins, ends
        Where its own studs and its lower plates begin and end. Every second wall runs through, the others
        stand between; at an inner corner the one that runs through reaches past it, behind the other's end.
    cap
        Where its cap plate begins and ends: caps of the walls between lap over the others.
    stud
        Length of a full stud.
    lines
        Centres of its studs, openings left out of account.
    """

    wall: Wall
    begins: int
    ends: int
    cap: tuple[int, int]
    stud: int
    lines: tuple[int, ...]
    openings: tuple[WallOpening, ...]


def stud_lines(begins: int, ends: int, spacing: int, thick: int) -> tuple[int, ...]:
    """
    Give the centres of a wall's studs: one at each end, the others on marks from the corner of the framing.

    One that would run into the last stud stands against it.

    Parameters
    ----------
    begins, ends
        From the corner of the framing to the outer faces of the first and the last stud, in base units.
    spacing, thick
        Of the studs, centre to centre, and of one, in base units.

    Examples
    --------
    >>> stud_lines(0, 96, 16, 2)
    (1, 16, 32, 48, 64, 80, 95)
    >>> stud_lines(-4, 48, 16, 2)
    (-3, 0, 16, 32, 47)
    """
    first, last = begins + thick // 2, ends - thick // 2
    # Past an inner corner a stud on the corner itself carries the edge of the skin.
    marks = (min(mark, last - thick) for mark in range(0 if begins < 0 else spacing, last, spacing))
    return (first, *dict.fromkeys(mark for mark in marks if first + thick <= mark), last)


def stud_size(book: Book, material: str, key: str) -> tuple[int, int]:
    """Give thickness and width of a lumber."""
    item = book.one(material, key)
    return item.thickness, item.width


def wall_frames(job: Job, table: FramingTable, building: Building, book: Book) -> tuple[WallFrame, ...]:
    """
    Give the walls as framed: the first and every second one run through, the others stand between them.

    Raises
    ------
    InputError
        If the book lacks the stud, or studs stand closer than they are thick.
    """
    thick, deep = stud_size(book, table.stud or "", "framing.stud")
    spacing = frame_sizes(job, book).stud_spacing
    if spacing <= thick:
        raise InputError("studs stand closer than they are thick", "framing.stud_spacing")
    openings = wall_openings(job, building, book)
    walls = walls_of(job, building, book)
    lowest = min(wall.plate for wall in walls)
    standing = standing_walls(job, building, book)
    frames = []
    for place, wall in enumerate(walls):
        if wall not in standing:
            continue
        free = (walls[place - 1] not in standing, walls[(place + 1) % len(walls)] not in standing)
        (begins, ends), cap = _reach(wall, deep, free, between=bool(place % 2))
        stud = _stud_length(job, table, thick) + wall.plate - lowest
        lines = stud_lines(begins, ends, spacing, thick)
        here = tuple(opening for opening in openings if opening.wall == wall.name)
        frames.append(WallFrame(wall, begins, ends, cap, stud, lines, here))
    return tuple(frames)


def _reach(
    wall: Wall, deep: int, free: tuple[bool, bool], *, between: bool
) -> tuple[tuple[int, int], tuple[int, int]]:
    """
    Give where a wall's studs and lower plates begin and end, and where its cap plate does.

    Beside an open wall there is no other plate to meet, on the left, on the right: both end at the corner.
    """
    past = [deep if inner and not alone else 0 for inner, alone in zip(wall.inside, free, strict=True)]
    short = [0 if alone else deep - by for by, alone in zip(past, free, strict=True)]
    wide, narrow = (-past[0], wall.width + past[1]), (short[0], wall.width - short[1])
    return (narrow, wide) if between else (wide, narrow)


def _stud_length(job: Job, table: FramingTable, thick: int) -> int:
    if table.stud_length is not None:
        return table.stud_length
    if job.walls is None:
        return _PRECUT
    return job.walls.height - (1 + table.top_plates) * thick


def meeting_corners(job: Job, building: Building, book: Book) -> int:
    """Give how many corners there are at which two walls meet."""
    standing = standing_walls(job, building, book)
    walls = walls_of(job, building, book)
    return sum(
        left in standing and right in standing
        for left, right in zip(walls, (*walls[1:], walls[0]), strict=True)
    )
