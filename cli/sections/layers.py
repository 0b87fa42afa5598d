"""Lay, the cover of the roof: the lowest courses of every layer drawn, and all of them in a table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import groupby, pairwise

from cli.draw_lay import run_bar
from cli.paper import Column, Paper
from cli.report import Report
from optimizer.lengths import format_length
from optimizer.plan import Course
from optimizer.words import Run

__all__ = ["print_layers"]

_DRAWN = 8
"""Courses that are drawn: where they are backed up step by step, the pattern begins anew after so many."""

Laid = tuple[Run, Course]


def _layers(report: Report) -> Iterator[tuple[str, list[Laid]]]:
    """Give every layer with its courses, from the bottom up."""
    courses = {course.run: course for course in report.plan.lay if not course.plane}
    found: dict[str, list[Laid]] = {}
    for run in report.problem.runs:
        if run.layer and run.label in courses:
            found.setdefault(run.layer, []).append((run, courses[run.label]))
    yield from found.items()


def _name(run: Run) -> str:
    """Name a course within its layer: by what its label says beyond the layer's, a number if it has one."""
    own, layer = run.label.replace(",", "").split(), run.layer.split()
    while own and layer and own[0] == layer[0]:
        del own[0], layer[0]
    while own and layer and own[-1] == layer[-1]:
        del own[-1], layer[-1]
    return " ".join(own).removeprefix("course ") or "eave"


def _split(run: Run) -> tuple[str, str]:
    """Part a course's name into its number and what tells its parts apart, where a hole breaks it."""
    number, _, part = _name(run).partition(" part ")
    return number, f", part {part}" if part else ""


def _is_course(run: Run) -> bool:
    return _split(run)[0].isdigit()


def _lengths(course: Course, paper: Paper) -> str:
    """Write the pieces from the left, equal ones that follow each other together: 31, 5 x 36, 6-1/2."""
    told = []
    for length, alike in groupby(piece.end - piece.start for piece in course.pieces):
        number, words = len(list(alike)), format_length(length, paper.unit)
        told.append(f"{number} x {words}" if number > 1 else words)
    return ", ".join(told)


def _rows(laid: Sequence[Laid], paper: Paper) -> list[tuple[str, ...]]:
    """Give a line for every way that courses are pieced."""
    alike: dict[tuple[str, str, str], list[str]] = {}
    for run, course in laid:
        begins, (number, part) = format_length(run.begins, paper.unit), _split(run)
        alike.setdefault((part, begins, _lengths(course, paper)), []).append(number)
    return [(", ".join(names) + part, begins, pieces) for (part, begins, pieces), names in alike.items()]


def _edges(laid: Sequence[Laid], paper: Paper) -> str:
    """Say where the lower edges of the courses lie."""
    bottoms = sorted({run.bottom for run, _ in laid})
    if len(bottoms) < 2:
        return ""
    steps = {after - before for before, after in pairwise(bottoms)}
    first = "" if not bottoms[0] else f"the first at {paper.size(bottoms[0])}, "
    if len(steps) == 1:
        return f"Lower edges: {first}every {paper.size(steps.pop())}."
    return f"Lower edges: {', '.join(format_length(bottom, paper.unit) for bottom in bottoms)}."


def _picture(laid: Sequence[Laid], paper: Paper) -> None:
    """Draw the lowest courses, a line each, to scale along the courses only."""
    lowest = list(dict.fromkeys(_split(run)[0] for run, _ in laid if _is_course(run)))[:_DRAWN]
    if len(lowest) < 2:
        return
    wide = max(map(len, lowest)) + 1
    shown = [(run, course) for run, course in laid if _split(run)[0] in lowest]
    far = max(run.begins + run.length for run, _ in shown)
    per_column = Fraction(far, paper.room - 1 - wide)
    lines = []
    for number in reversed(lowest):
        line = f"{number:>{wide - 1}} "
        for run, course in shown:
            if _split(run)[0] == number:
                bare = replace(course, pieces=tuple(replace(piece, label="") for piece in course.pieces))
                line = line.ljust(wide + round(run.begins / per_column))
                line += run_bar(bare, paper.room - len(line), per_column, paper.unit, paper.marks)
        lines.append(line)
    paper.lines(lines)


def _key(laid: Sequence[Laid], paper: Paper) -> tuple[object, ...]:
    """Give all that is told of a layer but the names of its side."""
    return tuple((_name(run), run.begins, run.bottom, _lengths(course, paper)) for run, course in laid)


def print_layers(report: Report, paper: Paper) -> None:
    """
    Print the layers of the roof's cover, and of siding on the walls.

    Parameters
    ----------
    report
        What is printed.
    paper
        Where it is printed.
    """
    told: dict[tuple[object, ...], str] = {}
    views = {view.surface: view.seen for view in report.takeoff.views}
    for layer, laid in _layers(report):
        same = told.setdefault(_key(laid, paper), layer)
        if same != layer:
            paper.heading(layer.capitalize(), f"the same as {same}")
            continue
        seen = views.get(layer, "seen looking up from the eave")
        paper.heading(layer.capitalize(), f"pieces from the left, {seen}")
        longest = max(run.length for run, _ in laid)
        count = len({_split(run)[0] for run, _ in laid if _is_course(run)})
        lap = f", end laps {paper.size(laid[0][0].lap)}, counted in the pieces" if laid[0][0].lap else ""
        courses = f"{count} courses, " if count > 1 else ""
        paper.say(f"{courses}{paper.span(longest)} along{lap}. {_edges(laid, paper)}".rstrip())
        if any(run.own_ends and len(course.pieces) > 1 for run, course in laid):
            paper.say("Cut ends go to the ends of a course; between them the strips meet with their own.")
        _picture(laid, paper)
        _table(laid, paper)


def _table(laid: Sequence[Laid], paper: Paper) -> None:
    rows = _rows(laid, paper)
    columns = [Column("Course", breaks=True), Column("Begins at", right=True), Column("Pieces", breaks=True)]
    if all(not run.begins for run, _ in laid):
        columns.pop(1)
        rows = [(names, pieces) for names, _, pieces in rows]
    paper.gap()
    paper.table(columns, rows)
