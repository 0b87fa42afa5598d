"""Drawings to scale of a surface that is no plain rectangle: slanting ends, holes, courses side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise

from cli.canvas import Canvas, Scale
from cli.draw_lay import View
from cli.paper import Marks
from cli.tracing import Tracer, box_of
from optimizer.lengths import INCH, TapeUnit, format_length
from optimizer.plan import Course, LaidPiece
from optimizer.words import Surface

__all__ = ["shaped"]

_LEAST, _MOST, _ROWS = 12, 39, 24
"""Columns that the widest piece gets, at least and at most; rows that a drawing takes, at most."""

_MERGED = INCH // 2
"""Lines as near to each other as the two sides of a gap are drawn as one."""

Point = tuple[int, int]


@dataclass(frozen=True, slots=True)
class _Seen:
    """A surface as it is looked at: up is up, whichever way its courses lie."""

    surface: Surface
    courses: tuple[Course, ...]

    def point(self, point: Point) -> Point:
        """Turn a point of the surface into one to the right and up."""
        return (point[1], point[0]) if self.surface.upright else point

    def corners(self, points: Sequence[Point]) -> tuple[Point, ...]:
        """Turn corners; those of a surface that is turned go round the other way."""
        seen = tuple(self.point(point) for point in points)
        return tuple(reversed(seen)) if self.surface.upright else seen

    def box(self, x: int, y: int, length: int, height: int) -> tuple[Point, ...]:
        """Turn a rectangle."""
        return self.corners(box_of(x, y, length, height))

    @property
    def outline(self) -> tuple[Point, ...]:
        """Give the corners of the whole surface."""
        whole = box_of(0, 0, self.surface.length, self.surface.height)
        return self.corners(self.surface.outline or whole)

    def piece(self, course: Course, piece: LaidPiece) -> tuple[Point, ...]:
        """Give the corners of a piece."""
        box = box_of(piece.start, course.bottom, piece.end - piece.start, course.width)
        return self.corners(piece.corners or box)

    def size(self, course: Course, piece: LaidPiece) -> tuple[int, int]:
        """Give a piece's length along its course and its width across it."""
        if not piece.corners:
            return piece.end - piece.start, course.width
        xs, ys = zip(*piece.corners, strict=True)
        return max(xs) - min(xs), max(ys) - min(ys)

    @property
    def pieces(self) -> list[tuple[Course, LaidPiece]]:
        """Give every piece with its course."""
        return [(course, piece) for course in self.courses for piece in course.pieces]


def shaped(
    surface: Surface,
    courses: Sequence[Course],
    columns: int,
    unit: TapeUnit,
    marks: Marks,
    measured: frozenset[str] = frozenset(),
    *,
    numbered: bool = False,
) -> tuple[View, ...]:
    """
    Draw a surface true to shape: its outline and holes, every piece, rafters ticked under it.

    Courses that stand side by side are drawn upright, and the lines where they meet are ticked.

    Parameters
    ----------
    courses
        All courses of the surface.
    columns
        Characters across that may be used.
    unit, marks
        What sizes and lines are written in.
    measured
        Labels of the pieces to measure in place first; `(m)` follows them.
    numbered
        Write the numbers of the outline's corners on them, anticlockwise from the lower left one.

    Returns
    -------
    tuple of View
        From left to right; no row longer than `columns`.
    """
    seen = _Seen(surface, tuple(sorted(courses, key=lambda course: course.course)))
    across, up = _scales(seen, columns)
    tracer = Tracer(Canvas(across.end + 1, up.end + 3, marks), across, up)
    tracer.outline(seen.outline)
    for course, piece in seen.pieces:
        # A slanting side along the outline is drawn once: a second stroke may fall beside the first.
        for one, other in pairwise((*(corners := seen.piece(course, piece)), corners[0])):
            if one[0] == other[0] or one[1] == other[1] or not _along(seen.outline, one, other):
                tracer.side(one, other)
        for opening in piece.openings:
            tracer.outline(seen.box(*opening))
    for hole in surface.holes:
        corners = seen.box(hole.x, hole.y, hole.length, hole.height)
        tracer.outline(corners)
        tracer.erase(corners)
    cuts = _cuts(seen, across, columns)
    if numbered:
        for number, corner in enumerate(seen.outline, 1):
            tracer.canvas.write(tracer.row(corner[1]), tracer.column(corner[0]), str(number))
    for hole in surface.holes:
        size = f"{format_length(hole.length, unit)} x {format_length(hole.height, unit)}"
        box = seen.box(hole.x, hole.y, hole.length, hole.height)
        tracer.label(box, [(hole.label, "open", size), (hole.label, "open"), (hole.label,), ("open",)], cuts)
    unnamed = []
    for course, piece in seen.pieces:
        name = piece.label + ("(m)" if piece.label in measured else "")
        if not tracer.label(seen.piece(course, piece), _wordings(seen, course, piece, name, unit), cuts):
            unnamed.append(name)
    _tick(tracer, seen, unit, cuts)
    *firsts, last = _views(tracer, cuts)
    return (*firsts, replace(last, unnamed=tuple(unnamed)))


def _along(outline: Sequence[Point], one: Point, other: Point) -> bool:
    """Tell whether a slanting side lies along one of the outline's, slack and rounding aside."""
    for (x1, y1), (x2, y2) in pairwise((*outline, outline[0])):
        if x1 == x2 or y1 == y2:
            continue
        size = abs(x2 - x1) + abs(y2 - y1)
        off = [abs((x2 - x1) * (y - y1) - (y2 - y1) * (x - x1)) for x, y in (one, other)]
        if max(off) <= _MERGED * size:
            return True
    return False


def _wordings(
    seen: _Seen, course: Course, piece: LaidPiece, name: str, unit: TapeUnit
) -> list[tuple[str, ...]]:
    length, width = (format_length(size, unit) for size in seen.size(course, piece))
    both = [(name, f"{length} x {width}"), (name, f"{length} x", width)]
    size = both if seen.surface.upright else [(name, length), (f"{name}  {length}",)]
    return [*size, (name,), (piece.label,)]


def _scales(seen: _Seen, columns: int) -> tuple[Scale, Scale]:
    """Choose the scale of the whole, one for both directions, so that a slope looks like one."""
    xs = {x for x, _ in seen.outline}
    ys = {y for _, y in seen.outline}
    widest = 1
    for course, piece in seen.pieces:
        corners = seen.piece(course, piece)
        xs |= {x for x, _ in corners}
        ys |= {y for _, y in corners}
        widest = max(widest, max(x for x, _ in corners) - min(x for x, _ in corners))
    for hole in seen.surface.holes:
        box = seen.box(hole.x, hole.y, hole.length, hole.height)
        xs |= {x for x, _ in box}
        ys |= {y for _, y in box}
    per_column = min(Fraction(max(xs), columns - 1), Fraction(widest, _LEAST))
    per_column = max(per_column, Fraction(widest, _MOST), Fraction(max(ys), 2 * _ROWS))
    return Scale(xs, per_column, _MERGED, 1), Scale(ys, 2 * per_column, _MERGED)


def _supports(seen: _Seen) -> list[int]:
    """Give the lines to be ticked under the drawing: rafters, or where courses meet."""
    if seen.surface.upright:
        joints = [course.bottom - seen.surface.rule.gap // 2 for course in seen.courses[1:]]
        return sorted({0, *joints, seen.surface.height})
    return [support.at for support in seen.surface.supports]


def _cuts(seen: _Seen, across: Scale, columns: int) -> tuple[int, ...]:
    """Part a drawing that is too wide for the page as evenly as its supports allow: where, by column."""
    parts = -(-across.end // (columns - 1))
    if parts < 2:
        return ()
    known = sorted({across.at(at) for at in _supports(seen)} - {0, across.end})
    cuts: list[int] = []
    for part in range(1, parts):
        aim, last = across.end * part // parts, cuts[-1] if cuts else 0
        near = [
            at
            for at in known
            if last < at <= last + columns - 1 and across.end - at < (parts - part) * columns
        ]
        cuts.append(min(near, key=lambda at: abs(at - aim), default=aim))
    return tuple(cuts)


def _tick(tracer: Tracer, seen: _Seen, unit: TapeUnit, cuts: Sequence[int]) -> None:
    """Tick every support below the drawing, and write its place where there is room; seams come first."""
    seams = {seam for course in seen.courses for seam in course.seams}
    row, taken = tracer.up.end + 1, set(cuts)
    for support in sorted(_supports(seen), key=lambda at: (at not in seams, at)):
        column = tracer.column(support)
        tracer.canvas.write(row, column, tracer.canvas.marks.tick)
        words = format_length(support, unit)
        first = max(min(column - len(words) // 2, tracer.canvas.columns - len(words)), 0)
        if taken.isdisjoint(range(first, first + len(words))):
            tracer.canvas.write(row + 1, first, words)
            taken.update(range(first - 1, first + len(words) + 1))


def _views(tracer: Tracer, cuts: Sequence[int]) -> tuple[View, ...]:
    """Cut the drawing into parts; where it goes on, its side stays open."""
    rows = tracer.canvas.lines()
    bounds = [0, *cuts, tracer.across.end]
    return tuple(
        View(
            round(tracer.across.length(left)),
            round(tracer.across.length(right)),
            tuple(row[left : right + 1].rstrip() for row in rows),
        )
        for left, right in pairwise(bounds)
    )
