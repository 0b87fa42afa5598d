"""The courses of shingles on every plane: rows up the slope, and where their joints may lie."""

from __future__ import annotations

from dataclasses import dataclass

from optimizer.errors import InputError
from optimizer.lengths import INCH, MILLIMETRE, size_text
from takeoff.book import Book, Item
from takeoff.building import Building
from takeoff.cover_job import ShingleTable
from takeoff.cover_planes import Face, Row, eave_past, has_eave, rows_up, sides, top_past
from takeoff.cover_stock import cut_to_length
from takeoff.job import Job
from takeoff.joints import Joints, Pattern, course_joints

__all__ = ["Courses", "courses_of", "exposure_of", "nails_in", "strip_of"]

_VALLEY = 12 * INCH
"""How far a course runs on past a valley, woven or to be cut there."""


@dataclass(frozen=True, slots=True)
class Courses:
    """The courses of one plane: rows from the bottom up, and where the joints of each may lie."""

    face: Face
    rows: tuple[Row, ...]
    joints: tuple[Joints, ...]
    pattern: Pattern


def strip_of(table: ShingleTable, book: Book) -> Item:
    """
    Give the one size that the courses are laid in.

    Raises
    ------
    InputError
        If the book lacks it or its size, or offers several.
    """
    sizes = cut_to_length(table.material, "shingles.material", book)
    if len({(item.length, item.width) for item in sizes}) > 1:
        raise InputError(
            f"the price book gives {table.material!r} in several sizes; each needs its own key",
            "shingles.material",
        )
    strip = sizes[0]
    if not strip.width:
        raise InputError(f"the price book gives no width for {table.material!r}", "shingles.material")
    return strip


def exposure_of(table: ShingleTable, strip: Item) -> int:
    """
    Give the exposure: that of the job, else the usual one of the strip's size.

    Raises
    ------
    InputError
        If nothing of the course below would be covered twice.
    """
    usual = 5 * INCH if strip.length <= 36 * INCH else 45 * INCH // 8
    exposure = usual if table.exposure is None else table.exposure
    if 2 * exposure >= strip.width:
        raise InputError("an exposure of half the shingle or more leaves joints open", "shingles.exposure")
    return exposure


def _pattern(job: Job, table: ShingleTable, strip: Item) -> Pattern:
    mark = 25 * MILLIMETRE if job.tape == "mm" else INCH
    least = 5 * MILLIMETRE if job.tape == "mm" else INCH // 8
    # 5 in on a strip of 36 in, on any other in proportion, to an eighth or to 5 mm.
    usual = strip.length * 5 // (36 * least) * least
    step = usual if table.step is None else table.step
    if step < table.offset or step + table.offset > strip.length:
        raise InputError(
            f"courses backed up by {size_text(job.tape, step)} would bring their joints nearer than "
            f"{size_text(job.tape, table.offset)}",
            "shingles.step" if table.step is not None else "shingles.offset",
        )
    if 2 * table.sliver > strip.length:
        raise InputError("no piece could be cut so long from half a strip", "shingles.sliver")
    return Pattern(strip.length, step, table.offset, table.sliver, mark)


def courses_of(job: Job, building: Building, book: Book) -> tuple[Courses, ...]:
    """Lay out the courses of every plane; empty where the job has no shingles."""
    table = job.shingles
    if table is None:
        return ()
    strip = strip_of(table, book)
    exposure, pattern = exposure_of(table, strip), _pattern(job, table, strip)
    found = []
    for plane in building.planes:
        rake = building.rake.finish - building.rake.deck + table.rake_past
        left, right = sides(building, plane, rake, 0, _VALLEY)
        low = eave_past(job, building, plane) + (table.eave_past if has_eave(building, plane) else 0)
        height = low + plane.slope + top_past(job, building, plane)
        face = Face(plane, left, right, low, height)
        rows = rows_up(face, strip.width, exposure, height)
        joints = course_joints(pattern, [(row.begins, row.ends) for row in rows])
        found.append(Courses(face, rows, joints, pattern))
    return tuple(found)


def nails_in(job: Job, table: ShingleTable) -> int:
    """Give the nails in one strip."""
    return table.nails or (6 if job.rules == "windy" else 4)
