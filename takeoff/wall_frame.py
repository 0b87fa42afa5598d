"""The frame of the walls as boards to cut: studs, plates with lapped joints, headers, studs of the gables."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from optimizer.lengths import INCH, size_text
from optimizer.words import Run
from takeoff.book import Book
from takeoff.building import Building, slope_of
from takeoff.frame_job import FramingTable
from takeoff.frame_pieces import FramePiece, needed_of, own_or
from takeoff.framed_walls import WallFrame, meeting_corners, stud_size, wall_frames
from takeoff.job import Job
from takeoff.needs import Check, Needed, Step
from takeoff.plate_joints import plate_seams
from takeoff.rafter_cuts import angle_text, gable_difference
from takeoff.wall_openings import WallOpening
from takeoff.walls_geometry import (
    Wall,
    frame_sizes,
    height_at,
    wall_table,
)

__all__ = ["wall_frame_needs"]

_PRACTICE = "common practice, no source"
_MEMORY = "from memory (not re-checked)"
_PLATES, _STUDS = 3, 4
_LEAST = INCH * 3 // 2
"""A gable stud shorter than this is a block that nobody cuts to a list."""

_SHORT = 3 * INCH
"""A cripple shorter than this splits when it is nailed: the gap is packed instead."""


def wall_frame_needs(job: Job, building: Building, book: Book) -> Needed:
    """
    Ask for the lumber of the walls' frame; nothing where the job names no stud.

    Raises
    ------
    InputError
        If the book lacks a material, or the studs leave no room for what stands in them.
    """
    table = job.framing
    if table is None or table.stud is None:
        return Needed()
    if building.roof == "planes":
        return Needed(checks=(_other_shape(),))
    thick, _ = stud_size(book, table.stud, "framing.stud")
    frames = wall_frames(job, table, building, book)
    pieces = [piece for frame in frames for piece in _studs(frame, table, thick)]
    corners = meeting_corners(job, building, book) * (table.corner_studs - 2)
    pieces.append(FramePiece("stud", table.stud, frames[0].stud, "square", corners, needed=_STUDS))
    checks: list[Check] = []
    for frame in frames:
        for opening in frame.openings:
            pieces += _opening(opening, frame, table, book, thick)
            checks += _opening_checks(opening, frame, table, book, job)
    if table.gable_studs:
        pieces += _gable_studs(frames, table, job, book, thick)
        checks += _gable_check(frames, job)
    runs, joint_checks = _plates(frames, table, book)
    return replace(
        needed_of(pieces),
        runs=runs,
        checks=(*_wall_checks(job, table, book, frames), *joint_checks, *checks),
        steps=(
            Step(
                -40,
                "Frame the walls flat, cap plates last; the caps of the walls between lap over the others.",
            ),
            Step(
                -39, "Stand, plumb and brace the walls; saw the bottom plates out of the doorways afterwards."
            ),
        ),
    )


def _other_shape() -> Check:
    return Check(
        "warn",
        "walls under other roofs",
        _PRACTICE,
        "The walls under a roof of free planes aren't known: add their studs and plates as [[part]] tables.",
    )


def _studs(frame: WallFrame, table: FramingTable, thick: int) -> Iterator[FramePiece]:
    """Give the full studs of a wall; an opening with its trimmers and kings takes up some of them."""
    clear = [
        line
        for line in frame.lines
        if not any(o.left - 5 * thick // 2 < line < o.right + 5 * thick // 2 for o in frame.openings)
    ]
    kings = 2 * len(frame.openings)
    yield FramePiece("stud", table.stud or "", frame.stud, "square", len(clear) + kings, needed=_STUDS)


def _opening(
    opening: WallOpening, frame: WallFrame, table: FramingTable, book: Book, thick: int
) -> Iterator[FramePiece]:
    """Give trimmers, header, cripples and a window's sill; kings are counted with the studs."""
    stud, header = table.stud or "", _header_depth(table, book)
    yield FramePiece("trimmer", stud, opening.head - thick, "square", 2, needed=_STUDS)
    if table.header:
        long = opening.width + 2 * thick
        yield FramePiece("header", table.header, long, "square", table.header_plies, needed=_STUDS)
    inside = sum(opening.left < line < opening.right for line in frame.lines)
    above = thick + frame.stud - opening.head - header
    if above >= _SHORT:
        yield FramePiece("cripple", stud, above, "square", inside, needed=_STUDS)
    if opening.sill:
        yield FramePiece("sill", stud, opening.width, "square, on the flat", needed=_STUDS)
        below = opening.sill - 2 * thick
        if below >= _SHORT:
            yield FramePiece("cripple", stud, below, "square", inside + 2, needed=_STUDS)


def _header_depth(table: FramingTable, book: Book) -> int:
    return book.one(table.header, "framing.header").width if table.header else 0


def _opening_checks(
    opening: WallOpening, frame: WallFrame, table: FramingTable, book: Book, job: Job
) -> Iterator[Check]:
    thick, _ = stud_size(book, table.stud or "", "framing.stud")
    room, header = thick + frame.stud - opening.head, _header_depth(table, book)
    told = size_text(job.tape, max(room, 0))
    if room < 0 or room < header:
        yield Check(
            "fail",
            "header",
            "arithmetic",
            f"{opening.name}: between its head and the plates of the {frame.wall.name} there are {told}, "
            f"less than the header's {size_text(job.tape, header)}. Longer studs, a lower opening or "
            "another header.",
        )
    elif table.header and 0 < room - header < _SHORT:
        yield Check(
            "note",
            "header",
            _PRACTICE,
            f"{opening.name}: {size_text(job.tape, room - header)} are left between header and plates, too "
            "little for cripples: pack it with strips of the header's length, or take another header.",
        )
    elif not table.header:
        yield Check(
            "warn",
            "header",
            _PRACTICE,
            f"{opening.name}: no header lumber is named; its size is the builder's own (framing.header).",
        )
    if not opening.given:
        yield Check(
            "note",
            "openings in the frame",
            _PRACTICE,
            f"{opening.name}: its place in the {frame.wall.name} was chosen, "
            f"{size_text(job.tape, opening.left)} from the left corner; moving it may change the studs by "
            "one or two.",
        )


def _gable_studs(
    frames: tuple[WallFrame, ...], table: FramingTable, job: Job, book: Book, thick: int
) -> Iterator[FramePiece]:
    """Give the studs from the end walls' plates up to the end rafters, by their long points."""
    below = frame_sizes(job, book).depth if wall_table(job).gable_top == "rafter tops" else 0
    for frame in frames:
        if frame.wall.kind != "gable":
            continue
        for line in frame.lines:
            faces = (line - thick // 2, line + thick // 2)
            heights = [height_at(frame.wall, face) for face in faces]
            pitch = _pitch_at(frame.wall, line)
            long = max(heights) - frame.wall.plate - slope_of(below, pitch)
            if long >= _LEAST:
                ends = f"foot square; top {angle_text(pitch)}"
                yield FramePiece("gable stud", table.stud or "", long, ends, needed=_STUDS)


def _pitch_at(wall: Wall, along: int) -> Fraction:
    """Give the pitch of the roof over a place in an end wall."""
    for (x0, up0), (x1, up1) in pairwise(wall.top):
        if x0 <= along <= x1 and x1 > x0:
            return Fraction(abs(up1 - up0), x1 - x0)
    return Fraction(0)


def _gable_check(frames: tuple[WallFrame, ...], job: Job) -> Iterator[Check]:
    end = next((frame for frame in frames if frame.wall.kind == "gable"), None)
    if end is None or len(end.lines) < 4:
        return
    spacing = end.lines[2] - end.lines[1]
    by = sorted({gable_difference(spacing, _pitch_at(end.wall, line)) for line in end.lines[1:-1]})
    steps = " or ".join(size_text(job.tape, step) for step in by)
    yield Check(
        "note",
        "gable studs",
        "arithmetic: spacing x rise / run",
        f"Each is {steps} longer than the one before; lengths are to the long point, under the end rafter. "
        "Measure the first two in place before cutting the rest.",
    )


def _plates(
    frames: tuple[WallFrame, ...], table: FramingTable, book: Book
) -> tuple[tuple[Run, ...], tuple[Check, ...]]:
    """Give bottom plates, top plates and caps; the two upper ones keep their joints 24 in apart."""
    top = own_or(table.plate, "stud", table.stud)
    bottom = own_or(table.bottom_plate, "plate", top)
    runs: list[Run] = []
    apart = True
    for frame in frames if top or bottom else ():
        name, own, cap = frame.wall.name, (frame.begins, frame.ends), frame.cap
        longest = max(item.length for item in book.require(top or bottom or "", "framing.plate"))
        lower, upper, kept = plate_seams(frame.lines[1:-1], own, cap, longest, table.plate_shortest)
        if bottom:
            runs.append(_plate(frame, "bottom plate", bottom, own, lower, table, book))
        if top:
            runs.append(_plate(frame, "top plate", top, own, lower, table, book))
        if top and table.top_plates == 2:
            last = _plate(frame, "cap plate", top, cap, upper, table, book)
            if kept:
                last = replace(last, beside=f"{name} top plate", stagger=24 * INCH)
            runs.append(last)
            apart = apart and kept
    return tuple(runs), _joint_checks(table, apart) if top else ()


_PLATE_MARKS = {"bottom plate": "b", "top plate": "t", "cap plate": "c"}
"""Small letters, so that no piece is called like one of the roof."""


def _plate(
    frame: WallFrame,
    kind: str,
    material: str,
    ends: tuple[int, int],
    seams: tuple[int, ...],
    table: FramingTable,
    book: Book,
) -> Run:
    """Give one plate, in one piece where the job wants no joint and a board is long enough."""
    length = ends[1] - ends[0]
    longest = max(item.length for item in book.require(material, "framing.plate"))
    whole = table.plate_joints == "where needed" and length <= longest
    return Run(
        f"{frame.wall.name} {kind}",
        material,
        length,
        shortest=min(table.plate_shortest, length),
        seams=() if whole else seams,
        mark=f"{frame.wall.mark}{_PLATE_MARKS[kind]}",
        needed=_PLATES,
        begins=ends[0],
    )


def _joint_checks(table: FramingTable, apart: bool) -> tuple[Check, ...]:
    source = f"IRC R602.3.2, {_MEMORY}"
    if table.top_plates == 1:
        text = "One top plate: its joints and corners need metal ties, and rafters must stand over studs."
        return (Check("warn", "top plates", source, text),)
    if not apart:
        text = "No board is long enough to keep the two top plates' joints 24 in apart: tie them with metal."
        return (Check("warn", "top plates", source, text),)
    text = "Joints of plate and cap plate lie on studs, 24 in or more apart; caps lap over the corners."
    return (Check("pass", "top plates", source, text),)


def _wall_checks(job: Job, table: FramingTable, book: Book, frames: tuple[WallFrame, ...]) -> Iterator[Check]:
    thick, _ = stud_size(book, table.stud or "", "framing.stud")
    stud = frames[0].stud
    high = stud + (1 + table.top_plates) * thick
    whole = any(item.length == stud for item in book.sizes(table.stud or ""))
    yield Check(
        "note",
        "wall height",
        "trade journal page on precut studs, page seen (secondary); the sum is arithmetic",
        f"Studs {size_text(job.tape, stud)}{', bought precut' if whole else ''} with {1 + table.top_plates} "
        f"plates make a wall {size_text(job.tape, high)} high.",
    )
    if job.walls is not None and high != job.walls.height:
        yield Check(
            "warn",
            "wall height",
            "this job",
            f"[walls] says {size_text(job.tape, job.walls.height)}: give both alike, or leave out "
            "stud_length.",
        )
