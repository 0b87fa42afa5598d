"""Lap siding: level courses up every wall, broken by openings, jointed on studs, each a run."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from optimizer.errors import InputError
from optimizer.lengths import FOOT, INCH, size_text
from optimizer.words import Run
from takeoff.book import Book
from takeoff.building import Building
from takeoff.job import Job
from takeoff.needs import Assumption, ByArea, Check, Needed, View
from takeoff.wall_job import SidingTable
from takeoff.wall_nails import siding_nails
from takeoff.wall_openings import WallOpening, wall_openings
from takeoff.walls_geometry import Wall, frame_sizes, standing_walls, wall_table

__all__ = ["Clapboards", "siding_needs", "siding_runs"]

_PRACTICE = "common practice, no source"
_LAP = "APA B360P p. 50"
_NEEDED = 48
"""Siding goes on when corner boards and casings are up."""

_KINDS = 3
"""Joints of three courses one above the other lie on different studs."""


@dataclass(frozen=True, slots=True)
class Clapboards:
    """
    How the courses lie.

    Parameters
    ----------
    width, thickness
        Of a board.
    exposure
        What shows of every course, evened out over the lowest wall under an eave.
    below
        Their foot, below the framing.
    longest
        Length of the longest board.
    """

    width: int
    thickness: int
    exposure: int
    below: int
    longest: int

    @property
    def headlap(self) -> int:
        """Give how far a course lies under the next."""
        return self.width - self.exposure


def clapboards_of(table: SidingTable, job: Job, walls: Sequence[Wall], book: Book) -> Clapboards:
    """
    Even the courses out between foot and eave.

    Raises
    ------
    InputError
        If the book lacks the board, or the exposure leaves no headlap.
    """
    board = book.one(table.material, "siding.material")
    if board.kind != "board":
        raise InputError(f"{table.material!r} is not a board in the price book", "siding.material")
    if table.exposure >= board.width:
        raise InputError(
            f"an exposure of {size_text(job.tape, table.exposure)} leaves no headlap of boards "
            f"{size_text(job.tape, board.width)} wide",
            "siding.exposure",
        )
    below = wall_table(job).below
    high = min((wall.peak for wall in walls if wall.kind == "eave"), default=walls[0].plate) + below
    courses = -(-high // table.exposure)
    longest = max(item.length for item in book.sizes(table.material))
    return Clapboards(board.width, board.thickness, -(-high // courses), below, longest)


def siding_needs(job: Job, building: Building, book: Book) -> Needed:
    """Ask for lap siding and its starter strips, with the checks made on them."""
    table = job.siding
    if table is None:
        return Needed()
    walls = standing_walls(job, building, book)
    boards = clapboards_of(table, job, walls, book)
    openings = wall_openings(job, building, book)
    runs = tuple(run for wall in walls for run in siding_runs(wall, openings, boards, table, job, book))
    starters = tuple(_starters(walls, openings, table, book))
    spacing = frame_sizes(job, book).stud_spacing
    return Needed(
        runs=(*starters, *runs),
        counts=(siding_nails(runs, spacing, table.nail.material),),
        checks=tuple(_checks(table, boards, job)),
        assumptions=tuple(_assumptions(table)),
        views=tuple(
            View(f"{wall.name} siding", "seen from outside", "the foot", "the top", "the studs")
            for wall in walls
        ),
        by_area=(_by_area(walls, boards, table, book),),
    )


def _by_area(walls: Sequence[Wall], boards: Clapboards, table: SidingTable, book: Book) -> ByArea:
    """Count boards as the habit is: area by what shows of one, with a tenth added, openings not taken off."""
    twice = sum(wall.twice_area for wall in walls)
    return ByArea(
        "lap siding",
        table.material,
        tuple(
            (item.key, -(-twice * 11 // (20 * item.length * boards.exposure)))
            for item in book.sizes(table.material)
        ),
    )


def siding_runs(
    wall: Wall, openings: Sequence[WallOpening], boards: Clapboards, table: SidingTable, job: Job, book: Book
) -> Iterator[Run]:
    """
    Give the courses of one wall from the foot up, each broken where an opening and its casing take all of it.

    A course that an opening takes only in part runs on and is notched. On a gable it is as long as the wall
    is wide at its lower edge.
    """
    spacing = frame_sizes(job, book).stud_spacing
    left, right = _corners(wall, table, job, book)
    course, bottom = 0, -boards.below
    while bottom < wall.peak:
        reach = _reach(wall, bottom)
        low, high = max(reach[0], left), min(reach[1], right)
        taken = sorted(
            (opening.left - opening.casing - table.gap, opening.right + opening.casing + table.gap)
            for opening in openings
            if opening.wall == wall.name and _covers(opening, bottom, bottom + boards.exposure)
        )
        stretches = tuple(_free(low, high, taken))
        for number, ends in enumerate(stretches, start=1):
            name = f"{course + 1}, part {number}" if len(stretches) > 1 else f"{course + 1}"
            yield _run(wall, (course, name), ends, spacing, boards, table)
        course, bottom = course + 1, bottom + boards.exposure


def _run(
    wall: Wall,
    which: tuple[int, str],
    ends: tuple[int, int],
    spacing: int,
    boards: Clapboards,
    table: SidingTable,
) -> Run:
    (course, name), (start, end) = which, ends
    length = end - start
    seams: tuple[int, ...] = ()
    if length > boards.longest or table.joints == "on studs":
        studs = range(spacing * (start // spacing + 1), end, spacing)
        seams = tuple(x - start for x in studs if x // spacing % _KINDS == course % _KINDS)
    return Run(
        f"{wall.name} siding, course {name}",
        table.material,
        length,
        shortest=min(table.shortest, length),
        seams=seams,
        mark=f"S{wall.mark}{name.replace(', part ', '/')}",
        needed=_NEEDED,
        layer=f"{wall.name} siding",
        begins=start,
        bottom=course * boards.exposure,
    )


def _corners(wall: Wall, table: SidingTable, job: Job, book: Book) -> tuple[int, int]:
    """Give where the courses begin and end: at the corner boards; those of the gable walls lap the others."""
    material = wall_table(job).corner_board
    if not material:
        return 0, wall.width
    board = book.one(material, "walls.corner_board")
    cover = board.width + table.gap - (board.thickness if wall.kind == "gable" else 0)
    return cover, wall.width - cover


def _reach(wall: Wall, up: int) -> tuple[int, int]:
    """Give where a wall begins and ends at a height, rounded outwards."""
    met: list[int] = []
    for (x0, up0), (x1, up1) in pairwise(wall.top):
        for x, height in ((x0, up0), (x1, up1)):
            if height >= up:
                met.append(x)
        if min(up0, up1) < up < max(up0, up1):
            at = x0 + Fraction((up - up0) * (x1 - x0), up1 - up0)
            met += [int(at // 1), -int(-at // 1)]
    return min(met), max(met)


def _covers(opening: WallOpening, low: int, high: int) -> bool:
    """Tell whether an opening takes all that shows of a course."""
    foot = low if opening.sill == 0 and low < 0 else opening.sill
    return foot <= low and high <= opening.head + opening.casing


def _free(low: int, high: int, taken: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    start = low
    for left, right in (*taken, (high, high)):
        if start < min(left, high):
            yield start, min(left, high)
        start = max(start, right)


def _starters(
    walls: Sequence[Wall], openings: Sequence[WallOpening], table: SidingTable, book: Book
) -> Iterator[Run]:
    """Give the strip under the first course of every wall, broken at the doors."""
    if not table.starter:
        return
    book.require(table.starter, "siding.starter")
    for wall in walls:
        doors = sorted((o.left, o.right) for o in openings if o.wall == wall.name and o.sill == 0)
        for number, (start, end) in enumerate(_free(0, wall.width, doors), start=1):
            length = end - start
            yield Run(
                f"{wall.name} siding starter {number}",
                table.starter,
                length,
                shortest=min(FOOT, length),
                mark=f"SS{wall.mark}{chr(96 + number)}",
                needed=_NEEDED - 1,
            )


def _checks(table: SidingTable, boards: Clapboards, job: Job) -> Iterator[Check]:
    shown, headlap = (size_text(job.tape, length) for length in (boards.exposure, boards.headlap))
    good = boards.headlap >= INCH
    yield Check(
        "pass" if good else "warn",
        "headlap of siding",
        _LAP,
        f"Courses show {shown} and lap {headlap}" + ("." if good else "; 1 in is the least."),
    )
    wide = boards.width <= 12 * INCH
    yield Check(
        "pass" if wide else "warn",
        "width of lap siding",
        _LAP,
        f"Boards are {size_text(job.tape, boards.width)} wide" + ("." if wide else "; 12 in is the most."),
    )
    yield Check(
        "note" if table.starter else "warn",
        "siding starter",
        _LAP,
        "A strip 1-1/2 in wide, as thick as the siding, goes under the first course"
        + ("." if table.starter else "; this job has none."),
    )
    yield Check(
        "pass",
        "joints in siding",
        f"{_LAP}; the stagger common practice, no source",
        f"Joints lie on studs, of three courses one above the other on different ones, with "
        f"{size_text(job.tape, table.gap)} left open, as at corner boards and casings; caulk unless the "
        "maker says not.",
    )
    bite = table.nail.length - 2 * boards.thickness
    yield Check(
        "pass" if bite >= INCH * 3 // 2 else "warn",
        "siding nail",
        "APA B360P Table 19",
        f"{table.nail.material}, {size_text(job.tape, table.nail.length)} long, goes "
        f"{size_text(job.tape, max(bite, 0))} into the stud behind two boards"
        + ("." if bite >= INCH * 3 // 2 else "; 1-1/2 in is the least."),
    )


def _assumptions(table: SidingTable) -> Iterator[Assumption]:
    if "exposure" not in table.model_fields_set:
        yield Assumption("siding.exposure", "7 in", "siding shows 7 in at most", "6 in")
    if "joints" not in table.model_fields_set:
        yield Assumption(
            "siding.joints",
            "where needed",
            "siding is jointed only where no board is long enough",
            "on studs",
        )
