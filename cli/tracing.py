"""Shapes that are no rectangles, drawn in text: slanting sides, and a label where there is room inside."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from fractions import Fraction
from itertools import pairwise

from cli.canvas import Canvas, Scale

__all__ = ["Tracer", "box_of", "stretch_at"]

Point = tuple[int, int]
_FLAT = 3
"""From so many columns a row on, a slanting line is drawn with a foot under each of its strokes."""


def box_of(x: int, y: int, length: int, width: int) -> tuple[Point, ...]:
    """Give the corners of a rectangle, anticlockwise from the lower left one."""
    return ((x, y), (x + length, y), (x + length, y + width), (x, y + width))


def stretch_at(corners: Sequence[Point], y: Fraction) -> tuple[Fraction, Fraction] | None:
    """Give where a level line enters and leaves a shape; None if it misses it."""
    met: list[Fraction] = []
    for (x1, y1), (x2, y2) in pairwise((*corners, corners[0])):
        if min(y1, y2) <= y <= max(y1, y2):
            if y1 == y2:
                met += [Fraction(x1), Fraction(x2)]
            else:
                met.append(x1 + (y - y1) / (y2 - y1) * (x2 - x1))
    return (min(met), max(met)) if met else None


class Tracer:
    """
    A canvas, and where a point along (to the right) and up lies on it.

    Parameters
    ----------
    across, up
        The scales of the two directions.
    shift
        Columns that the drawing is moved to the right.
    """

    def __init__(self, canvas: Canvas, across: Scale, up: Scale, shift: int = 0) -> None:
        self.canvas, self.across, self.up, self.shift = canvas, across, up, shift

    def column(self, x: Fraction | int) -> int:
        """Give the column of a length along."""
        return round(self.across.between(Fraction(x))) + self.shift

    def row(self, y: Fraction | int) -> int:
        """Give the row of a height."""
        return self.up.end - round(self.up.between(Fraction(y)))

    def height(self, row: int) -> Fraction:
        """Give the height that a row stands for."""
        return self.up.length(self.up.end - row)

    def outline(self, corners: Sequence[Point]) -> None:
        """Draw a shape, side by side."""
        for one, other in pairwise((*corners, corners[0])):
            self.side(one, other)

    def side(self, one: Point, other: Point) -> None:
        """Draw a straight side."""
        low, high = sorted((one, other), key=lambda point: (point[1], point[0]))
        foot, head = self.row(low[1]), self.row(high[1])
        left, right = self.column(low[0]), self.column(high[0])
        if foot == head:
            self.canvas.across(foot, *sorted((left, right)))
        elif left == right:
            self.canvas.down(left, head, foot)
        else:
            self._slant(low, high, foot, head)

    def _slant(self, low: Point, high: Point, foot: int, head: int) -> None:
        """Draw a slanting side, a stroke a row; a flat one with feet, so that it holds together."""
        columns = {}
        for row in range(head, foot + 1):
            part = Fraction(foot - row, foot - head)
            if row not in (head, foot):
                part = (self.height(row) - low[1]) / (high[1] - low[1])
            columns[row] = self.column(low[0] + part * (high[0] - low[0]))
        rises = high[0] > low[0]
        for row, column in columns.items():
            self.canvas.slant(row, column, self.canvas.marks.slants[0 if rises else 1])
            below = columns.get(row + 1)
            if below is None or abs(column - below) < _FLAT:
                continue
            for foot_column in range(min(column, below) + 1, max(column, below)):
                if self.canvas.is_free(row, foot_column):
                    self.canvas.slant(row, foot_column, "_")

    def erase(self, box: Sequence[Point]) -> None:
        """Take every line off the inside of a rectangle."""
        columns, rows = [self.column(x) for x, _ in box], [self.row(y) for _, y in box]
        self.canvas.erase(min(columns), min(rows), max(columns), max(rows))

    def clear(self, corners: Sequence[Point]) -> None:
        """Wipe words and hatching off the inside of a shape, up to its sides however they were rounded."""
        for row, (start, end) in self._inside(corners).items():
            for column in range(max(start - 1, 0), min(end + 2, self.canvas.columns)):
                self.canvas.wipe(row, column)

    def hatch(self, corners: Sequence[Point]) -> None:
        """Hatch the inside of a shape."""
        for row, (start, end) in self._inside(corners).items():
            for column in range(start, end + 1):
                if self.canvas.is_free(row, column) and (row + column) % 3 == 0:
                    self.canvas.write(row, column, self.canvas.marks.dots)

    def label(
        self, corners: Sequence[Point], options: Iterable[Sequence[str]], barred: Collection[int] = ()
    ) -> bool:
        """
        Write the first wording that fits inside a shape, as near its middle as it can; False if none does.

        Parameters
        ----------
        barred
            Columns that no word may reach over.
        """
        rooms = {
            row: self._free(row, start, end, barred) for row, (start, end) in self._inside(corners).items()
        }
        if not rooms:
            return False
        middle = Fraction(min(rooms) + max(rooms), 2)
        for words in options:
            high = len(words)
            starts = [row for row in rooms if all(row + line in rooms for line in range(high))]
            for start in sorted(starts, key=lambda row: (abs(row + Fraction(high - 1, 2) - middle), row)):
                left = max(rooms[start + line][0] for line in range(high))
                right = min(rooms[start + line][1] for line in range(high))
                if max(map(len, words)) <= right - left + 1:
                    for line, word in enumerate(words):
                        self.canvas.write(start + line, left + (right - left + 1 - len(word)) // 2, word)
                    return True
        return False

    def _inside(self, corners: Sequence[Point]) -> dict[int, tuple[int, int]]:
        """Give the first and the last column inside a shape for every row inside it."""
        heights = [y for _, y in corners]
        found = {}
        for row in range(self.row(max(heights)) + 1, self.row(min(heights))):
            ends = stretch_at(corners, self.height(row))
            if ends is not None:
                start, end = self.column(ends[0]) + 1, self.column(ends[1]) - 1
                start, end = max(start, 0), min(end, self.canvas.columns - 1)
                if start <= end:
                    found[row] = (start, end)
        return found

    def _free(self, row: int, start: int, end: int, barred: Collection[int]) -> tuple[int, int]:
        """Give the longest stretch of a row that nothing is drawn on."""
        best, first = (start, start - 1), start
        for column in range(start, end + 2):
            taken = column > end or column in barred or not self.canvas.is_free(row, column)
            if taken:
                if column - first > best[1] - best[0] + 1:
                    best = (first, column - 1)
                first = column + 1
        return best
