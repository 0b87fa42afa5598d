"""Lay: a form to measure by, each half seen from its eave, and the runs along the edges."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from cli.batches import measured_last
from cli.draw_lay import half, run_bar
from cli.draw_shaped import shaped
from cli.paper import Column, Paper
from cli.report import Report
from cli.sections.frame import print_frame
from cli.sections.layers import print_layers
from optimizer.lengths import format_length
from optimizer.plan import Course
from optimizer.words import Surface
from takeoff.checks import OUT_OF_SQUARE
from takeoff.needs import View

__all__ = ["print_lay"]

_BLANK = "__________"


def _form(rows: Sequence[tuple[str, int | None]], paper: Paper) -> None:
    """Print a form to fill in on the roof."""
    paper.table(
        [Column("Measure", breaks=True), Column("Planned", right=True), Column("Measured")],
        [(name, "by eye" if planned is None else paper.size(planned), _BLANK) for name, planned in rows],
    )


def _own(surface: Surface, rows: Sequence[tuple[str, int | None]]) -> list[tuple[str, int | None]]:
    """Pick one surface's lines of the form; its name, which its heading gives, is left off."""
    start = f"{surface.label}: "
    return [(name.removeprefix(start), planned) for name, planned in rows if name.startswith(start)]


def _seam_form(courses: Sequence[Course], told: Sequence[str], paper: Paper) -> None:
    """Print the places of the rafters that carry seams, with room to write beside each."""
    seams = sorted({seam for course in courses for seam in course.seams})
    if seams:
        paper.gap()
        what = "; ".join(told) or "rafters that carry seams"
        paper.say(f"{what.capitalize()}. Planned from the left end, and measured:")
        paper.columns([f"{format_length(seam, paper.unit):>8} {_BLANK}" for seam in seams])


def _square(paper: Paper) -> None:
    off = paper.size(OUT_OF_SQUARE)
    paper.say(
        f"Warning: if the two diagonals of a side differ by more than {off}, it is out of square. "
        "Stop, pull it square if you can, else plan again with the measured sizes before you cut."
    )


def _view(surface: Surface, report: Report) -> View:
    """Say how a surface is seen: a plane of the roof from its eave, others as their trade says."""
    views = (*report.takeoff.views, *report.takeoff.planes)
    return next(view for view in views if view.surface == surface.label)


def _extent(surface: Surface, view: View, paper: Paper) -> str:
    """Give a surface's size in words."""
    length, height = paper.span(surface.length), paper.span(surface.height)
    if surface.upright:
        return f"{height} from {view.edge} to {view.top}, {length} high."
    return f"{length} along {view.edge}, {height} from {view.edge.removeprefix('the ')} to {view.top}."


def _ripped(report: Report) -> frozenset[str]:
    """
    Name the pieces whose course is narrower than the sheet they are cut from.

    The tip of a slanting course is narrower than its sheet, too, but no edge of its course is cut.
    """
    courses = {piece.label: course.width for course in report.plan.lay for piece in course.pieces}
    return frozenset(
        piece.label
        for cut in report.plan.cut
        for piece in cut.pieces
        if cut.width and courses.get(piece.label, piece.width) < cut.width
    )


def _laid_with(course: Course, ripped: frozenset[str]) -> str:
    """Say which long edge of a course's pieces goes up."""
    told = "cut edge up" if any(piece.label in ripped for piece in course.pieces) else "full width"
    return f"{told}; blocking along both long edges" if course.blocked else told


def _course_rows(
    courses: Sequence[Course], ripped: frozenset[str], paper: Paper, *, begins: bool
) -> list[tuple[str, ...]]:
    """Tabulate the courses as they are drawn, the top one first; where they begin and end if they differ."""
    rows: list[tuple[str, ...]] = []
    for course in reversed(courses):
        told = _laid_with(course, ripped)
        seams = ", ".join(format_length(seam, paper.unit) for seam in course.seams) or "none"
        ends = (format_length(at, paper.unit) for at in (course.begins, course.begins + course.length))
        between = (" to ".join(ends),) if begins else ()
        sizes = (paper.size(size) for size in (course.bottom, course.width))
        rows.append((str(course.course), *sizes, *between, told, seams))
    return rows


def _upright_table(courses: Sequence[Course], paper: Paper) -> None:
    """Tabulate courses that stand side by side, from the left."""
    rows = []
    for course in courses:
        seams = ", ".join(format_length(seam, paper.unit) for seam in course.seams) or "none"
        rows.append((str(course.course), paper.size(course.bottom), paper.size(course.width), seams))
    paper.gap()
    paper.table(
        [
            Column("Panel", right=True),
            Column("Left edge", right=True),
            Column("Width", right=True),
            Column("Level joints, from the foot", breaks=True),
        ],
        rows,
    )


def _course_table(surface: Surface, courses: Sequence[Course], ripped: frozenset[str], paper: Paper) -> None:
    begins = not surface.plain
    paper.gap()
    paper.table(
        [
            Column("Course", right=True),
            Column("Lower edge", right=True),
            Column("Width", right=True),
            *([Column("From end to end", breaks=True)] if begins else []),
            Column("Laid", breaks=True),
            Column("Seams, from the left", breaks=True),
        ],
        _course_rows(courses, ripped, paper, begins=begins),
    )


def _drawing(
    surface: Surface,
    courses: Sequence[Course],
    measured: frozenset[str],
    view: View,
    paper: Paper,
    *,
    numbered: bool,
) -> None:
    """Draw a surface as it is seen, in as many parts as the page asks for."""
    room, unit, marks = paper.room, paper.unit, paper.marks
    drawn = (
        half(courses, surface.height, room, unit, marks, measured)
        if surface.plain
        else shaped(surface, courses, room, unit, marks, measured, numbered=numbered)
    )
    for part in drawn:
        if len(drawn) > 1:
            paper.say(f"From {paper.size(part.start)} to {paper.size(part.end)} from the left end:")
        paper.lines(part.lines if surface.upright else [f"{view.top} (up)", *part.lines])
        if part.unnamed:
            paper.say(f"Without room for a name: {', '.join(part.unnamed)}. Names count from the left.")


def _half(surface: Surface, report: Report, paper: Paper) -> None:
    plan, view = report.plan, _view(surface, report)
    courses = [course for course in plan.lay if course.course and course.plane == surface.label]
    courses.sort(key=lambda course: course.course)
    if not courses:
        return
    paper.heading(surface.label[:1].upper() + surface.label[1:], view.seen)
    paper.say(_extent(surface, view, paper))
    rows = _own(surface, report.takeoff.measure)
    numbered = any(name.startswith("corner 1 ") for name, _ in rows)
    upright = {other.label for other in report.problem.surfaces if other.upright}
    _drawing(surface, courses, measured_last(plan.lay, upright), view, paper, numbered=numbered)
    if surface.upright:
        paper.say("Under the foot: where panels meet, by its distance from the left edge.")
        _upright_table(courses, paper)
        if rows:
            paper.gap()
            _form(rows, paper)
        return
    paper.say(f"Under {view.edge}: {view.supports}, by their distance from the left end.")
    if numbered:
        paper.say("The numbers at the corners are those of the form below.")
    if len(courses) == 1 and view in report.takeoff.views:
        seams = ", ".join(format_length(seam, paper.unit) for seam in courses[0].seams) or "none"
        paper.say(f"Ripped to {paper.size(courses[0].width)}; seams at {seams}.")
        return
    _course_table(surface, courses, _ripped(report), paper)
    at_seams = [name for name, planned in rows if planned is None and "seam" in name]
    if rows:
        paper.gap()
        _form([row for row in rows if row[0] not in at_seams], paper)
    if view not in report.takeoff.views:
        _seam_form(courses, at_seams, paper)


def _slot(report: Report, paper: Paper) -> None:
    """Print where the ridge slot lies, how far it runs and how deep the saw goes."""
    start = "ridge slot: "
    rows = [
        (name.removeprefix(start), paper.size(length))
        for name, length in report.takeoff.dimensions
        if name.startswith(start)
    ]
    if rows:
        cut = len(rows) > 1
        note = "cut on each slope once both are decked" if cut else "each slope's deck stops at its edge"
        paper.heading("Ridge slot", note)
        paper.table([Column("Measure"), Column("Planned", right=True)], rows)


def _runs(report: Report, paper: Paper) -> None:
    """Print the runs along the edges, all to one scale; one that is laid like another is not drawn again."""
    layered = {run.label for run in report.problem.runs if run.layer}
    runs = [course for course in report.plan.lay if not course.course and course.run not in layered]
    if not runs:
        return
    paper.heading("Along the edges", "left to right, seen from outside; pieces from seam to seam")
    per_column = Fraction(max(max(run.length for run in runs), 1), paper.room - 1)
    laps = {run.label: run.lap for run in report.problem.runs}
    materials = {run.label: run.material for run in report.problem.runs}
    alike: dict[tuple[object, ...], str] = {}
    for run in runs:
        lap = laps.get(run.run, 0)
        laid = (materials.get(run.run), lap, run.seams, *((piece.start, piece.end) for piece in run.pieces))
        if laid in alike:
            own = ", ".join(piece.label for piece in run.pieces)
            paper.say(f"{run.run}: laid as {alike[laid]}: {own}")
            continue
        alike[laid] = run.run
        told = f"{run.run}: {paper.span(run.length)}"
        if run.seams and lap:
            told += f", lap {paper.size(lap)}"
        if run.seams:
            told += f", seams at {', '.join(format_length(seam, paper.unit) for seam in run.seams)}"
        paper.say(told)
        paper.lines([run_bar(run, paper.room, per_column, paper.unit, paper.marks)])


def print_lay(report: Report, paper: Paper) -> None:
    """
    Print the lay-out of every surface and run.

    Parameters
    ----------
    report
        What is printed.
    paper
        Where it is printed.
    """
    paper.title("Lay")
    surfaces = report.problem.surfaces
    measure = report.takeoff.measure
    own = {row for surface in surfaces for row in measure if row[0].startswith(f"{surface.label}: ")}
    if measure:
        common = [row for row in measure if row not in own]
        paper.heading("Measure before the first cut", "and write it down in the forms below")
        _square(paper)
        if common:
            paper.gap()
            _form(common, paper)
    for surface in surfaces:
        _half(surface, report, paper)
    _slot(report, paper)
    print_frame(report, paper)
    _runs(report, paper)
    print_layers(report, paper)
