"""What goes on with a wall's skin: metal along its level joints, blocking behind them, corner boards."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from optimizer.lengths import FOOT, size_text
from optimizer.words import Part, Run
from takeoff.book import Book
from takeoff.job import Job
from takeoff.skin import SkinPart, on_plates
from takeoff.wall_job import WallTable
from takeoff.walls_geometry import Wall

__all__ = ["corner_boards", "joint_blocking", "joint_metal"]

_NEEDED = 5
"""Metal goes on between two levels of panels; corner boards when all of them hang."""


def joint_metal(parts: Sequence[SkinPart], table: WallTable, book: Book) -> Iterator[Run]:
    """Give the metal along every level joint, broken where an opening crosses it."""
    if not table.z_flashing:
        return
    book.require(table.z_flashing, "walls.z_flashing")
    for part in parts:
        if not part.level:
            continue
        start, end = part.left, part.left + part.width
        crossing = sorted(
            (hole.y, hole.y + hole.height)
            for hole in part.skin.openings
            if hole.x < part.low < hole.x + hole.length
        )
        stretches = []
        for left, right in (*crossing, (end, end)):
            if start < left:
                stretches.append(left - start)
            start = max(start, right)
        for number, length in enumerate(stretches, start=1):
            more = f" {number}" if len(stretches) > 1 else ""
            yield Run(
                f"{part.label}: joint metal{more}",
                table.z_flashing,
                length,
                table.z_lap,
                min(FOOT, length),
                mark=f"J{part.skin.wall.mark}{part.level}{more.strip()}",
                needed=_NEEDED,
            )


def joint_blocking(parts: Sequence[SkinPart], table: WallTable, job: Job) -> tuple[Part, ...]:
    """Give a block for every bay under a level joint that doesn't lie on the top plates."""
    wanted: dict[int, int] = {}
    for part in parts:
        joint = part.skin.joints[part.level - 1] if part.level else 0
        if not part.level or on_plates(part.skin, joint, table):
            continue
        lines = (0, *part.studs, part.width)
        for before, after in pairwise(lines):
            clear = after - before - table.stud_thickness
            if clear > 0:
                wanted[clear] = wanted.get(clear, 0) + 1
    return tuple(
        Part(f"wall blocking {size_text(job.tape, clear)}", job.blocking, clear, count=number)
        for clear, number in sorted(wanted.items(), reverse=True)
    )


def corner_boards(
    walls: Sequence[Wall], table: WallTable, book: Book
) -> tuple[tuple[Part, ...], tuple[Run, ...]]:
    """
    Give two boards for every corner, one on each wall: whole, or as runs where no board is long enough.

    Each is as high as the wall's skin, or its siding, is at its corner.
    """
    if not table.corner_board:
        return (), ()
    book.one(table.corner_board, "walls.corner_board")
    longest = max(item.length for item in book.sizes(table.corner_board))
    parts: list[Part] = []
    runs: list[Run] = []
    for wall in walls:
        left, right = wall.top[0][1] + table.below, wall.top[-1][1] + table.below
        ends = (("", left, 2),) if left == right else (("left ", left, 1), ("right ", right, 1))
        for side, length, number in ends:
            label = f"{wall.label}: {side}corner board"
            if length <= longest:
                parts.append(Part(label, table.corner_board, length, count=number, needed=_NEEDED + 40))
                continue
            for copy in range(1, number + 1):
                more = f" {copy}" if number > 1 else ""
                runs.append(
                    Run(
                        f"{label}{more}",
                        table.corner_board,
                        length,
                        shortest=4 * FOOT,
                        mark=f"C{wall.mark}{side[:1].upper()}{more.strip()}",
                        needed=_NEEDED + 40,
                    )
                )
    return tuple(parts), tuple(runs)
