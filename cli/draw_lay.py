"""Drawings to scale of what is laid: a half of a roof seen from its eave, and a run along an edge."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from cli.draw import Canvas
from cli.paper import Marks
from optimizer.lengths import TapeUnit, format_length
from optimizer.plan import Course, LaidPiece

__all__ = ["View", "half", "run_bar"]

_LEAST = 12
"""Columns that the longest piece gets at least, so that labels fit inside."""

_MOST = 39
"""Columns that it gets at most, so that a short roof doesn't fill a wide page from top to bottom."""


@dataclass(frozen=True, slots=True)
class View:
    """
    A part of a surface as drawn: all of it, unless the surface is too long for the page.

    `unnamed` are labels of pieces that there was no room to name.
    """

    start: int
    end: int
    lines: tuple[str, ...]
    unnamed: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Page:
    """Courses from the bottom up, the row where each ends, and how a place along them becomes a column."""

    courses: tuple[Course, ...]
    tops: tuple[int, ...]
    per_column: Fraction
    unit: TapeUnit
    marks: Marks
    measured: frozenset[str]

    @property
    def length(self) -> int:
        return max(course.length for course in self.courses)

    def column(self, at: int, start: int, end: int) -> int:
        return round((min(max(at, start), end) - start) / self.per_column)

    def wordings(self, piece: LaidPiece) -> list[tuple[str, ...]]:
        name = piece.label + ("(m)" if piece.label in self.measured else "")
        size = format_length(piece.end - piece.start, self.unit)
        return [(name, size), (f"{name}  {size}",), (f"{name} {size}",), (name,), (piece.label,)]


def _between(course: Course) -> list[tuple[int, int, LaidPiece]]:
    """Give every piece with the seams it lies between; the ends of the course count as seams."""
    pieces = sorted(course.pieces, key=lambda piece: piece.start)
    bounds = [0, *sorted(course.seams), course.length]
    return list(zip(bounds, bounds[1:], pieces, strict=False))


def _tops(courses: Sequence[Course], height: int, per_column: Fraction) -> tuple[int, ...]:
    """Give the row, counted from below, where each course ends; every course has room for a label."""
    tops: list[int] = []
    uppers = [course.bottom for course in courses[1:]] + [height]
    for upper in uppers:
        row = round((upper - courses[0].bottom) / (2 * per_column))
        tops.append(max(row, (tops[-1] if tops else 0) + 2))
    return tuple(tops)


def half(
    courses: Sequence[Course],
    height: int,
    columns: int,
    unit: TapeUnit,
    marks: Marks,
    measured: frozenset[str] = frozenset(),
) -> tuple[View, ...]:
    """
    Draw one surface seen from its eave: first course below, top course above, rafters ticked under it.

    Parameters
    ----------
    courses
        All courses of the surface.
    height
        Of the whole surface, in base units.
    columns
        Characters across that may be used.
    unit, marks
        What sizes and lines are written in.
    measured
        Labels of the pieces to measure in place first; `(m)` follows them.

    Returns
    -------
    tuple of View
        From left to right; no row longer than `columns`.
    """
    ordered = tuple(sorted(courses, key=lambda course: course.course))
    length = max(course.length for course in ordered)
    pieces = [piece for course in ordered for piece in course.pieces]
    longest = max(piece.end - piece.start for piece in pieces)
    # A label between two lines, and one column more for what rounding may take.
    labelled = min(Fraction(piece.end - piece.start, len(piece.label) + 2) for piece in pieces)
    per_column = min(Fraction(length, columns - 1), Fraction(longest, _LEAST), labelled)
    per_column = max(per_column, Fraction(longest, _MOST))
    page = _Page(ordered, _tops(ordered, height, per_column), per_column, unit, marks, measured)
    return tuple(
        View(start, end, _draw(page, start, end))
        for start, end in _parts(page, int(per_column * (columns - 1)))
    )


def _parts(page: _Page, reach: int) -> list[tuple[int, int]]:
    """Part a surface that is too long for the page as evenly as its rafters allow."""
    parts, start = [], 0
    while start < page.length:
        end = min(start + reach, page.length)
        if end < page.length:
            aim = start + (page.length - start) // -(-(page.length - start) // reach)
            rafters = [at for at in page.courses[0].supports if start < at <= end]
            end = min(rafters, key=lambda at: abs(at - aim), default=end)
        parts.append((start, end))
        start = end
    return parts


def _draw(page: _Page, start: int, end: int) -> tuple[str, ...]:
    """Draw the part of a surface between two places; where it goes on, its side stays open."""
    high, right = page.tops[-1], page.column(end, start, end)
    canvas = Canvas(right + 1, high + 3, page.marks)
    below = 0
    canvas.across(high, 0, right)
    for at, place in ((0, 0), (page.length, right)):
        if start <= at <= end:
            canvas.down(place, 0, high)
    for course, top in zip(page.courses, page.tops, strict=True):
        canvas.across(high - top, 0, right)
        for left_edge, right_edge, piece in _between(course):
            if right_edge <= start or left_edge >= end:
                continue
            left, far = page.column(left_edge, start, end), page.column(right_edge, start, end)
            if left_edge > start:
                canvas.down(left, high - top, high - below)
            canvas.words_in(left, high - top, far, high - below, page.wordings(piece))
        below = top
    _tick(canvas, page, start, end, high + 1)
    return canvas.lines()


def _tick(canvas: Canvas, page: _Page, start: int, end: int, row: int) -> None:
    """
    Tick every rafter below the eave, and write its place under as many as there is room for.

    Those that carry seams are written first: they are the ones to look for on the roof.
    """
    seams = {seam for course in page.courses for seam in course.seams}
    taken: set[int] = set()
    for support in sorted(page.courses[0].supports, key=lambda at: (at not in seams, at)):
        if not start <= support <= end:
            continue
        column = page.column(support, start, end)
        canvas.write(row, column, page.marks.tick)
        words = format_length(support, page.unit)
        first = max(min(column - len(words) // 2, canvas.columns - len(words)), 0)
        if taken.isdisjoint(range(first, first + len(words))):
            canvas.write(row + 1, first, words)
            taken.update(range(first - 1, first + len(words) + 1))


def run_bar(course: Course, columns: int, per_column: Fraction, unit: TapeUnit, marks: Marks) -> str:
    """
    Draw a run along an edge as one line, its pieces between their seams; by their size if they are nameless.

    Parameters
    ----------
    course
        The run.
    columns
        Characters across that may be used.
    per_column
        Base units to a column.
    unit, marks
        What sizes and lines are written in.
    """
    right = min(max(round(course.length / per_column), 2), columns - 1)
    canvas = Canvas(right + 1, 3, marks)
    canvas.across(1, 0, right)
    for start, end, piece in _between(course):
        left, far = round(start / per_column), min(round(end / per_column), right)
        size = format_length(piece.end - piece.start, unit)
        options = [(f" {piece.label}  {size} ",), (f"{piece.label} {size}",), (piece.label,)]
        if not piece.label:
            options = [(f" {size} ",), (size,)]
        canvas.words_in(left, 0, far, 2, options)
        canvas.write(1, left, marks.joints[11] if left == 0 else marks.joints[15])
    canvas.write(1, right, marks.joints[7])
    return canvas.lines()[1]
