"""Where doors and windows lie in the walls, seen from outside."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import count
from typing import Literal

from optimizer.errors import InputError
from optimizer.lengths import FOOT, INCH, size_text
from takeoff.book import Book
from takeoff.building import Building
from takeoff.job import Job
from takeoff.openings import door_names
from takeoff.wall_job import WindowTable
from takeoff.walls_geometry import Wall, height_at, standing_walls, wall_table

__all__ = ["WallOpening", "wall_openings", "window_names"]

_HEAD = 6 * FOOT + 8 * INCH
"""Height of a window's head where no door says: that of the usual door (NAVEDTRA 14044)."""


@dataclass(frozen=True, slots=True)
class WallOpening:
    """
    A door or a window in its wall, seen from outside.

    Parameters
    ----------
    key
        Its place in the job, as `window[1]`.
    wall
        Name of the wall.
    left
        From the left corner of the wall's framing to the left side of the opening.
    sill
        Foot of the opening above the underside of the bottom plate; 0 for a door.
    casing
        Width of the boards around it; 0 for none.
    head_metal
        True if the job's own table asks for metal over its head.
    given
        False if its wall or its place in it was chosen here.
    """

    name: str
    key: str
    kind: Literal["door", "window"]
    wall: str
    left: int
    sill: int
    width: int
    height: int
    casing: int
    head_metal: bool
    given: bool = True

    @property
    def right(self) -> int:
        """Give where its right side lies, from the left corner of the framing."""
        return self.left + self.width

    @property
    def head(self) -> int:
        """Give the height of its upper edge."""
        return self.sill + self.height


def window_names(job: Job) -> tuple[str, ...]:
    """Give the windows' names, numbered where several share one, so that no two openings are named alike."""
    typed = Counter(window.name for window in job.window)
    names: list[str] = []
    taken = {*door_names(job), *(name for name, number in typed.items() if number == 1)}
    for window in job.window:
        numbered = (f"{window.name} {number}" for number in count(1))
        alone = typed[window.name] == 1 and window.name not in door_names(job)
        names.append(
            window.name if alone else next(name for name in numbered if name not in {*taken, *names})
        )
    return tuple(names)


def wall_openings(job: Job, building: Building, book: Book) -> tuple[WallOpening, ...]:
    """
    Give every door, then every window, with its place in its wall.

    What the job gives no place stands in the middle of the widest stretch that is still free.

    Raises
    ------
    InputError
        If a wall is unknown, an opening doesn't fit into its wall, or two openings overlap.
    """
    walls = {wall.name: wall for wall in standing_walls(job, building, book)}
    wanted = [*_doors(job, tuple(walls), book), *_windows(job, tuple(walls), book)]
    placed = [opening for opening in wanted if opening.left >= 0]
    for opening in placed:
        _check_inside(opening, _named(walls, opening, job), job)
    found = []
    for opening in wanted:
        if opening.left < 0:
            others = [other for other in placed if other.wall == opening.wall]
            opening = _centred(opening, _named(walls, opening, job), others)
            _check_inside(opening, _named(walls, opening, job), job)
            placed.append(opening)
        found.append(opening)
    for place, opening in enumerate(found):
        for other in found[:place]:
            _check_apart(opening, other)
    return tuple(found)


def _named(walls: dict[str, Wall], opening: WallOpening, job: Job) -> Wall:
    if opening.wall not in walls:
        is_open = opening.wall in wall_table(job).open
        raise InputError(
            f"{opening.name} can't be in the {opening.wall}, which walls.open leaves out; the walls are "
            f"{', '.join(map(repr, walls))}"
            if is_open
            else f"there is no wall {opening.wall!r}; the walls are {', '.join(map(repr, walls))}",
            f"{opening.key}.wall",
        )
    return walls[opening.wall]


def _doors(job: Job, walls: Sequence[str], book: Book) -> list[WallOpening]:
    found = []
    for place, (name, door) in enumerate(zip(door_names(job), job.door, strict=True), start=1):
        key = f"door[{place}]"
        casing = book.one(door.casing, f"{key}.casing").width if door.casing else 0
        # A low wall is the last place for the door of a lean-to.
        usual = "high wall" if "high wall" in walls else walls[0]
        found.append(
            WallOpening(
                name,
                key,
                "door",
                door.wall or usual,
                -1 if door.from_corner is None else door.from_corner,
                0,
                door.width,
                door.height,
                casing,
                bool(door.head_metal),
                given=door.wall is not None and door.from_corner is not None,
            )
        )
    return found


def _windows(job: Job, walls: Sequence[str], book: Book) -> list[WallOpening]:
    heads = max((door.height for door in job.door), default=_HEAD)
    found = []
    for place, (name, window) in enumerate(zip(window_names(job), job.window, strict=True), start=1):
        key = f"window[{place}]"
        casing = book.one(window.casing, f"{key}.casing").width if window.casing else 0
        usual = next((name for name in ("low wall", job.sides[1]) if name in walls), walls[-1])
        found.append(
            WallOpening(
                name,
                key,
                "window",
                window.wall or usual,
                -1 if window.from_corner is None else window.from_corner,
                _sill(window, heads, key),
                window.width,
                window.height,
                casing,
                bool(window.head_metal),
                given=window.wall is not None and window.from_corner is not None,
            )
        )
    return found


def _sill(window: WindowTable, heads: int, key: str) -> int:
    if window.sill_height is not None:
        return window.sill_height
    if window.height >= heads:
        raise InputError("a window as high as this needs its sill_height", f"{key}.sill_height")
    return heads - window.height


def _centred(opening: WallOpening, wall: Wall, others: Sequence[WallOpening]) -> WallOpening:
    """Place an opening in the middle of the widest stretch that no other one takes."""
    taken = sorted((other.left, other.right) for other in others)
    stretches, start = [], 0
    for left, right in (*taken, (wall.width, wall.width)):
        stretches.append((left - start, -start))
        start = max(start, right)
    wide, begins = max(stretches)
    if wide < opening.width:
        raise InputError(
            f"{opening.name} finds no room in the {wall.name}; give it another wall, or all their places",
            f"{opening.key}.wall",
        )
    step = INCH // 2
    left = -begins + max(wide - opening.width, 0) // 2 // step * step
    return replace(opening, left=left)


def _check_inside(opening: WallOpening, wall: Wall, job: Job) -> None:
    size = size_text(job.tape, opening.width, opening.height)
    if opening.right > wall.width:
        raise InputError(
            f"{opening.name}: {size} at {size_text(job.tape, opening.left)} from the left corner reaches "
            f"past the {wall.name}, {size_text(job.tape, wall.width)} long",
            f"{opening.key}.from_corner",
        )
    lines = (opening.left, opening.right, *(x for x, _ in wall.top if opening.left < x < opening.right))
    room = min(height_at(wall, x) for x in lines)
    if opening.head > room:
        raise InputError(
            f"{opening.name}: its head, {size_text(job.tape, opening.head)} up, is above the skin of the "
            f"{wall.name} there, {size_text(job.tape, room)} up; make it lower, or [walls] height more",
            f"{opening.key}.height",
        )


def _check_apart(opening: WallOpening, other: WallOpening) -> None:
    level = opening.sill < other.head and other.sill < opening.head
    if opening.wall == other.wall and level and opening.left < other.right and other.left < opening.right:
        raise InputError(
            f"{opening.name} overlaps {other.name} in the {opening.wall}; give each its from_corner",
            f"{opening.key}.from_corner",
        )
