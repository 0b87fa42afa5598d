"""A grid of characters to draw on, and scales that keep apart on it what must be told apart."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from fractions import Fraction

from cli.paper import Marks

__all__ = ["Canvas", "Scale"]

_UP, _DOWN, _LEFT, _RIGHT = 1, 2, 4, 8


class Canvas:
    """Lines and words on a grid of characters; lines that meet are joined by the right corner."""

    def __init__(self, columns: int, rows: int, marks: Marks) -> None:
        self.columns, self.rows, self.marks = columns, rows, marks
        self._arms = [[0] * columns for _ in range(rows)]
        self._slants: list[list[str | None]] = [[None] * columns for _ in range(rows)]
        self._words: list[list[str | None]] = [[None] * columns for _ in range(rows)]

    def across(self, row: int, start: int, end: int) -> None:
        """Draw a line along a row, both ends included."""
        for column in range(start, end + 1):
            self._arms[row][column] |= _LEFT * (column > start) | _RIGHT * (column < end)

    def down(self, column: int, start: int, end: int) -> None:
        """Draw a line along a column, both ends included."""
        for row in range(start, end + 1):
            self._arms[row][column] |= _UP * (row > start) | _DOWN * (row < end)

    def box(self, left: int, top: int, right: int, bottom: int) -> None:
        """Draw a rectangle."""
        self.across(top, left, right)
        self.across(bottom, left, right)
        self.down(left, top, bottom)
        self.down(right, top, bottom)

    def slant(self, row: int, column: int, mark: str) -> None:
        """
        Draw a stroke of a slanting line; what doesn't fit on the grid is left out.

        Beside a stroke like it none is drawn: the two sides of a saw cut are one line.
        """
        if 0 <= row < self.rows and 0 <= column < self.columns:
            beside = self._slants[row][max(column - 1, 0) : column + 2]
            if mark == "_" or mark not in beside:
                self._slants[row][column] = mark

    def is_free(self, row: int, column: int) -> bool:
        """Tell whether a place holds neither a line nor a word."""
        taken = self._arms[row][column] or self._slants[row][column] or self._words[row][column]
        return not taken

    def wipe(self, row: int, column: int) -> None:
        """Take a word or its hatching off a place; lines stay."""
        self._words[row][column] = None

    def erase(self, left: int, top: int, right: int, bottom: int) -> None:
        """Take every line off the inside of a rectangle, and what joins its sides from there."""
        for column in range(left + 1, right):
            self._arms[top][column] &= ~_DOWN
            self._arms[bottom][column] &= ~_UP
        for row in range(top + 1, bottom):
            self._arms[row][left] &= ~_RIGHT
            self._arms[row][right] &= ~_LEFT
            for column in range(left + 1, right):
                self._arms[row][column], self._slants[row][column] = 0, None

    def write(self, row: int, column: int, words: str) -> None:
        """Write over whatever is there; what doesn't fit on the grid is left out."""
        for offset, letter in enumerate(words):
            if 0 <= row < self.rows and 0 <= column + offset < self.columns:
                self._words[row][column + offset] = letter

    def hatch(self, mark: str) -> None:
        """Hatch everything inside the outline that is not a line."""
        for row in range(1, self.rows - 1):
            for column in range(1, self.columns - 1):
                if self.is_free(row, column) and (row + column) % 3 == 0:
                    self._words[row][column] = mark

    def clear(self, left: int, top: int, right: int, bottom: int) -> None:
        """Wipe the inside of a rectangle."""
        for row in range(top + 1, bottom):
            for column in range(left + 1, right):
                self._words[row][column] = None

    def words_in(
        self, left: int, top: int, right: int, bottom: int, options: Iterable[Sequence[str]]
    ) -> bool:
        """Write the first wording that fits inside a rectangle, in its middle; False if none does."""
        wide, high = right - left - 1, bottom - top - 1
        for words in options:
            if len(words) <= high and max(map(len, words), default=0) <= wide:
                start = top + 1 + (high - len(words)) // 2
                for offset, line in enumerate(words):
                    self.write(start + offset, left + 1 + (wide - len(line)) // 2, line)
                return True
        return False

    def lines(self) -> tuple[str, ...]:
        """Give the drawing, row by row, without blanks at the right."""
        joints = self.marks.joints
        return tuple(
            "".join(
                word or slant or joints[arms] for word, slant, arms in zip(words, slants, row, strict=True)
            ).rstrip()
            for words, slants, row in zip(self._words, self._slants, self._arms, strict=True)
        )


class Scale:
    """
    Places along one direction of a drawing.

    Edges closer together than `merge` (the two sides of a saw cut) fall on one line; all others stay at least
    `apart` characters apart, so that nothing that must be cut disappears from the drawing.
    """

    def __init__(self, edges: Iterable[int], per_character: Fraction, merge: int, apart: int = 2) -> None:
        self._edges: list[int] = []
        self._places: list[int] = []
        for edge in sorted(set(edges)):
            if self._edges and edge - self._edges[-1] <= merge:
                self._edges.append(edge)
                self._places.append(self._places[-1])
                continue
            place = round(edge / per_character)
            if self._places:
                place = max(place, self._places[-1] + apart)
            self._edges.append(edge)
            self._places.append(place)

    @property
    def end(self) -> int:
        """Give the last place."""
        return self._places[-1]

    def at(self, edge: int) -> int:
        """Give the place of an edge, or of the nearest known edge at or before it."""
        return self._places[max(bisect_right(self._edges, edge) - 1, 0)]

    def between(self, length: Fraction) -> Fraction:
        """Give the place of any length, in proportion between the known edges beside it."""
        return _in_proportion(self._edges, self._places, length)

    def length(self, place: int) -> Fraction:
        """Give the length at a place, in proportion between the known edges beside it."""
        return _in_proportion(self._places, self._edges, Fraction(place))


def _in_proportion(known: Sequence[int], values: Sequence[int], at: Fraction) -> Fraction:
    after = min(max(bisect_right(known, at), 1), len(known) - 1)
    low, high = known[after - 1], known[after]
    if low == high:
        return Fraction(values[after])
    part = min(max((at - low) / (high - low), Fraction(0)), Fraction(1))
    return values[after - 1] + part * (values[after] - values[after - 1])
