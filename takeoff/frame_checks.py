"""The frame of the roof held against what a published rule covers, and what it doesn't decide."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from optimizer.lengths import INCH, floor_sqrt, size_text
from takeoff.book import Book
from takeoff.building import Building, Plane, slope_of
from takeoff.frame_job import FramingTable
from takeoff.job import Job
from takeoff.needs import Check
from takeoff.rafter_cuts import angle_text, common_length, plumb_slant, stand

__all__ = ["roof_frame_checks"]

_PRACTICE = "common practice, no source"
_MANUAL = "NAVEDTRA 14044, roof framing"
_MEMORY = "from memory (not re-checked)"
_TAIL_LEFT = INCH * 7 // 2
"""What a birdsmouth must leave of a rafter that carries a tail."""


def roof_frame_checks(job: Job, table: FramingTable, building: Building, book: Book) -> Iterator[Check]:
    """Say how the rafters were reckoned, check birdsmouth, ridge and ties, and name who sizes the frame."""
    yield Check(
        "note",
        "sizes of the frame",
        "FEMA P-499 7.1 p. 2",
        "Rafters, ridge, joists, headers and studs are bought in this job's own sizes; no span table, load "
        "or connection was held against them. The local code's tables or a design professional decide.",
    )
    on_eaves = {name for line in building.lines_of("eave") for name in line.planes}
    planes = {plane.pitch: plane for plane in building.planes if plane.name in on_eaves}
    for plane in planes.values():
        yield _length_check(job, table, building, book, plane)
        yield _birdsmouth(job, table, building, plane, book)
    jacks = {plane.pitch for plane in building.planes if any(r.role == "jack" for r in plane.rafters)}
    for pitch in sorted(jacks):
        by = size_text(job.tape, slope_of(job.rafter_spacing, pitch))
        yield Check(
            "note",
            "jack rafters",
            _MANUAL,
            f"Jacks on {size_text(job.tape, job.rafter_spacing)} centres at {angle_text(pitch)}: each {by} "
            "longer than the one before; the cheek follows the hip, half right-hand and half left-hand.",
        )
    if table.ridge is not None:
        yield from _ridge_checks(job, table, building, book)
    yield from _tie_checks(job, table, building)


def _length_check(job: Job, table: FramingTable, building: Building, book: Book, plane: Plane) -> Check:
    """Write a common rafter's length out the way a framing manual does."""
    tape, pitch = job.tape, plane.pitch
    item = book.one(table.rafter, "framing.rafter")
    ridge = book.one(table.ridge, "framing.ridge").thickness if table.ridge else 0
    half = slope_of(Fraction(ridge, 2), pitch) if plane.top == "ridge" else 0
    wall = next(
        (line.wall for line in building.lines_of("rake") if line.planes == (plane.name,)),
        common_length(building.run, pitch),
    )
    tail = slope_of(building.eave.framing, pitch)
    to = "the ridge's centre" if plane.top == "ridge" else f"the {plane.top}"
    less = f", less half the ridge {size_text(tape, half)}" if half else ""
    return Check(
        "note",
        "rafter length",
        _MANUAL,
        f"{_whose(building, plane)}{table.rafter}: from the outside of the wall to {to} "
        f"{size_text(tape, wall)}{less}, and a tail of {size_text(tape, tail)} past the wall, along the "
        f"slope. Plumb cuts {angle_text(pitch)}; the long point of one lies "
        f"{size_text(tape, plumb_slant(item.width, pitch))} beyond its short point.",
    )


def _whose(building: Building, plane: Plane) -> str:
    """Name a plane where planes of several pitches have rafters of their own."""
    return f"{plane.name}: " if len({other.pitch for other in building.planes}) > 1 else ""


def _birdsmouth(job: Job, table: FramingTable, building: Building, plane: Plane, book: Book) -> Check:
    """Check how deep the birdsmouth goes, square to the rafter's edge."""
    tape, deep = job.tape, book.one(table.rafter, "framing.rafter").width
    squared = 1 + plane.pitch**2
    notch = floor_sqrt(int((table.seat * plane.pitch) ** 2 / squared))
    above = stand(deep, table.seat, plane.pitch)
    text = (
        f"{_whose(building, plane)}seat {size_text(tape, table.seat)} level, heel "
        f"{size_text(tape, int(table.seat * plane.pitch))} plumb; {size_text(tape, deep - notch)} of "
        f"{size_text(tape, deep)} is left. The rafter's top stands {size_text(tape, above)} above the plate."
    )
    if 3 * notch <= deep or deep - notch >= _TAIL_LEFT:
        return Check("pass", "birdsmouth", f"IRC R802.7.1.1 for tails, {_MEMORY}; else {_PRACTICE}", text)
    return Check(
        "warn",
        "birdsmouth",
        f"IRC R802.7.1.1 for tails, {_MEMORY}; else {_PRACTICE}",
        f"{text} A third of the depth is the most, unless 3-1/2 in is left: make the seat shorter.",
    )


def _ridge_checks(job: Job, table: FramingTable, building: Building, book: Book) -> Iterator[Check]:
    ridge = book.one(table.ridge or "", "framing.ridge")
    deep = book.one(table.rafter, "framing.rafter").width
    cut = max((slope_of(deep, plane.pitch) for plane in building.planes if plane.top == "ridge"), default=0)
    if cut:
        good = ridge.width >= cut
        yield Check(
            "pass" if good else "warn",
            "ridge board",
            f"IRC R802.3, {_MEMORY}",
            f"{table.ridge} is {size_text(job.tape, ridge.width)} deep, the rafters' plumb cut "
            f"{size_text(job.tape, cut)}" + ("." if good else ": the ridge should be as deep as the cut."),
        )
    if building.planes[0].top == "ridge" and min(plane.pitch for plane in building.planes) < Fraction(3, 12):
        yield Check(
            "warn",
            "ridge board",
            f"IRC R802.4.4, {_MEMORY}",
            "Below 3 in 12 a ridge board does not hold the rafters up: the ridge is to be designed as a "
            "beam.",
        )


def _tie_checks(job: Job, table: FramingTable, building: Building) -> Iterator[Check]:
    if building.roof == "single-slope":
        return
    if table.joist is None:
        yield Check(
            "warn",
            "rafter ties",
            f"IRC R802.5.2, {_MEMORY}",
            "No ceiling joists are named: rafters push the walls outwards. Ties low down, or a ridge "
            "designed as a beam, must take that thrust.",
        )
    elif building.roof == "L":
        yield Check(
            "note",
            "ceiling joists",
            _PRACTICE,
            "Where the wing opens into the main part the joists need a beam to rest on: it is not listed.",
        )
    if table.collar_tie is None:
        yield Check(
            "note",
            "collar ties",
            f"IRC R802.4.6, {_MEMORY}",
            "No collar ties are named: ties in the upper third, 4 ft apart or less, or straps over the "
            "ridge, hold the rafters together against uplift.",
        )
        return
    if building.roof != "gable":
        yield Check(
            "warn",
            "collar ties",
            "this takeoff",
            "Collar ties are listed for gable roofs only: add this roof's own as [[part]] tables.",
        )
        return
    low = table.collar_down is not None and 3 * table.collar_down > building.rise
    far = table.collar_spacing > 48 * INCH
    told = size_text(job.tape, table.collar_down or building.rise // 3)
    yield Check(
        "warn" if low or far else "pass",
        "collar ties",
        f"IRC R802.4.6, {_MEMORY}",
        f"Lower edge {told} below the peak, {size_text(job.tape, table.collar_spacing)} apart or less"
        + ("; at most 4 ft, in the upper third." if low or far else "."),
    )
