"""Starter and shingles: every course exactly, its joints backed up, its ends cut to the edges of the roof."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from optimizer.errors import InputError
from optimizer.words import Count, Run
from takeoff.book import Book, Item
from takeoff.building import Building, Plane
from takeoff.cover_job import STRIPS, ShingleTable, StarterTable
from takeoff.cover_planes import Row, has_eave
from takeoff.cover_stock import cut_to_length
from takeoff.job import Job
from takeoff.joints import starter_joints
from takeoff.needs import ByArea, Needed
from takeoff.shingle_checks import shingle_checks, starter_checks
from takeoff.shingle_courses import Courses, courses_of, exposure_of, nails_in, strip_of

__all__ = ["shingle_needs"]

_STARTER, _RAKES, _COURSES = 36, 37, 40
"""After the rake metal; caps that are cut from the same strips come before both."""


def shingle_needs(job: Job, building: Building, book: Book) -> Needed:
    """
    Ask for starter and shingles of every plane, with their nails and the checks on them.

    Raises
    ------
    InputError
        If the book lacks a material or its size, or the keys leave no lay-out.
    """
    table, starter = job.shingles, job.starter
    if table is None:
        if starter is not None:
            raise InputError("starter goes under shingles; give [shingles] too", "starter")
        return Needed()
    courses = courses_of(job, building, book)
    runs: list[Run] = []
    rough: list[ByArea] = []
    if starter is not None:
        for half, laid in enumerate(courses):
            runs += _starter_runs(starter, table, laid, building, book, half)
        rough.append(_by_length("starter", runs, book.sizes(_starter_material(starter, table))))
    nails = nails_in(job, table) * _pieces(courses, runs)
    apart = min((run.stagger for run in runs if run.beside), default=0)
    own = [run for half, laid in enumerate(courses) for run in _course_runs(table, laid, half)]
    runs += own
    strip = strip_of(table, book)
    area = sum(laid.face.area for laid in courses)
    each = strip.length * exposure_of(table, strip)
    rough.append(ByArea("shingles", table.material, ((strip.key, -(-area * 11 // (10 * each))),)))
    return Needed(
        runs=tuple(runs),
        counts=(Count("shingle nails", table.nail.material, nails),),
        checks=(
            *shingle_checks(job, table, building, book, strip, courses),
            *starter_checks(job, table, building, apart),
        ),
        by_area=tuple(rough),
    )


def _starter_material(starter: StarterTable, table: ShingleTable) -> str:
    return table.material if starter.material == STRIPS else starter.material


def _by_length(layer: str, runs: Sequence[Run], sizes: Sequence[Item]) -> ByArea:
    length = sum(run.length for run in runs)
    return ByArea(
        layer,
        sizes[0].material,
        tuple((item.key, -(-length * 11 // (10 * item.length))) for item in sizes),
    )


def _pieces(courses: Sequence[Courses], starter: Sequence[Run]) -> int:
    """Count the pieces of courses and starter, at most."""
    found = sum(len(run.seams or ()) + 1 for run in starter)
    for laid in courses:
        found += sum(len(joints.places) + 1 for joints in laid.joints)
    return found


def _course_label(plane: Plane, row: Row) -> str:
    return f"{plane.name} shingles, course {row.number}"


def _course_runs(table: ShingleTable, laid: Courses, half: int) -> Iterator[Run]:
    plane, before = laid.face.plane, ""
    for row, joints in zip(laid.rows, laid.joints, strict=True):
        label = _course_label(plane, row)
        yield Run(
            label,
            table.material,
            row.length,
            shortest=min(table.sliver, row.length),
            seams=tuple(at - row.begins for at in joints.places),
            mark=f"{plane.mark}S{row.number}",
            needed=_COURSES + half,
            layer=f"{plane.name} shingles",
            begins=row.begins,
            bottom=row.bottom,
            beside=before,
            stagger=joints.apart if before else 0,
            own_ends=True,
        )
        before = label


def _starter_runs(
    starter: StarterTable, table: ShingleTable, laid: Courses, building: Building, book: Book, half: int
) -> Iterator[Run]:
    """Give the starter of a plane: along its eave, and up its rakes."""
    plane, material = laid.face.plane, _starter_material(starter, table)
    piece = min(item.length for item in cut_to_length(material, "starter.material", book))
    if has_eave(building, plane) and laid.rows:
        if 2 * starter.back_up > laid.pattern.strip:
            raise InputError("joints lie half a strip apart at most", "starter.back_up")
        row, first = laid.rows[0], laid.joints[0].places
        wanted = [at - row.begins for at in first]
        seams = starter_joints(row.length, piece, starter.back_up, table.sliver, wanted, laid.pattern.mark)
        apart = min((abs(a - b) for a in seams for b in wanted), default=0)
        yield Run(
            f"{plane.name} starter",
            material,
            row.length,
            shortest=min(table.sliver, row.length),
            seams=seams,
            mark=f"{plane.mark}T",
            needed=_STARTER,
            layer=f"{plane.name} starter",
            begins=row.begins,
            beside=_course_label(plane, row),
            stagger=min(apart, starter.back_up),
        )
    if starter.rakes:
        yield from _rake_starter(table, laid, building, material, piece, half)


def _rake_starter(
    table: ShingleTable, laid: Courses, building: Building, material: str, piece: int, half: int
) -> Iterator[Run]:
    plane = laid.face.plane
    for line in building.lines_of("rake"):
        if plane.name not in line.planes:
            continue
        # The deck's own rake, and what the cover adds below and above.
        length = line.length + laid.face.height - plane.slope
        seams = starter_joints(length, piece, 0, table.sliver, (), laid.pattern.mark)
        yield Run(
            f"{line.label} starter",
            material,
            length,
            shortest=min(table.sliver, length),
            seams=seams,
            mark=f"{plane.mark}T{line.side[:1].upper()}",
            needed=_RAKES + half,
            layer=f"{plane.name} starter",
        )
