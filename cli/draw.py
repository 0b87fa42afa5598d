"""Drawings to scale in text: a sheet with its pieces and its saw cuts, and a board as a bar."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from cli.batches import Batch
from cli.paper import Marks
from optimizer.lengths import TapeUnit, format_length
from optimizer.plan import Cut, Leftover, SawCut

__all__ = ["Canvas", "Scale", "bar", "sheet"]

Rectangle = tuple[int, int, int, int]
"""x, y, length, width on the stock."""

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
        """Draw a piece of a slanting line; what doesn't fit on the grid is left out."""
        if 0 <= row < self.rows and 0 <= column < self.columns:
            self._slants[row][column] = mark

    def is_free(self, row: int, column: int) -> bool:
        """Tell whether a place holds neither a line nor a word."""
        taken = self._arms[row][column] or self._slants[row][column] or self._words[row][column]
        return not taken

    def wipe(self, row: int, column: int) -> None:
        """Take a word or its hatching off a place; lines stay."""
        self._words[row][column] = None

    def write(self, row: int, column: int, words: str) -> None:
        """Write over whatever is there; what doesn't fit on the grid is left out."""
        for offset, letter in enumerate(words):
            if 0 <= row < self.rows and 0 <= column + offset < self.columns:
                self._words[row][column + offset] = letter

    def hatch(self) -> None:
        """Hatch everything inside the outline that is not a line."""
        for row in range(1, self.rows - 1):
            for column in range(1, self.columns - 1):
                if self.is_free(row, column) and (row + column) % 3 == 0:
                    self._words[row][column] = self.marks.hatch

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


def _fit(edges: Iterable[int], characters: int, per_character: Fraction, merge: int) -> Scale:
    """
    Shrink a scale until narrow pieces, which are drawn wider than they are, leave room for the rest.

    Where there are more pieces than room for them, their lines stand side by side, in the end on each other.
    """
    known = tuple(edges)
    for apart in (2, 1, 0):
        wider = per_character
        for _ in range(40):
            scale = Scale(known, wider, merge, apart)
            if scale.end < characters:
                return scale
            wider *= Fraction(21, 20)
    return scale


def _size(length: int, width: int, unit: TapeUnit) -> tuple[tuple[str, ...], ...]:
    long, wide = format_length(length, unit), format_length(width, unit)
    return ((f"{long} x {wide}",), (f"{long} x", wide))


def _wordings(name: str, size: Sequence[Sequence[str]]) -> list[Sequence[str]]:
    stacked = [(name, *lines) for lines in size]
    beside = [(f"{name}  {size[0][0]}",)]
    return [*stacked, *beside, (name,)]


def sheet(
    batch: Batch,
    numbered: Iterable[tuple[int, SawCut]],
    columns: int,
    per_column: Fraction,
    unit: TapeUnit,
    marks: Marks,
    kept: Sequence[Leftover] = (),
    starred: Mapping[str, str] | None = None,
) -> tuple[str, ...]:
    """
    Draw a sheet, or a board that is ripped, with its pieces and the number of every cut on its line.

    The left end is at the left, the edge nearest the saw hand (y = 0) below.

    Parameters
    ----------
    batch
        The cuts that are alike; the first is drawn.
    numbered
        Its saw cuts, each with the number of its step.
    columns
        Characters across that may be used.
    per_column
        Base units to a column; a row is twice as high.
    unit, marks
        What sizes and lines are written in.
    kept
        Leftovers of the first cut.
    starred
        What to write after a piece's name, by name.

    Returns
    -------
    tuple of str
        Rows, none longer than `columns`.
    """
    cut = batch.first
    ordered = sorted(cut.pieces, key=lambda piece: (piece.y, piece.x))
    boxes = [(piece.x, piece.y, piece.length, piece.width) for piece in ordered]
    rests = [(rest.x, rest.y, rest.length, rest.width) for rest in kept]
    page = _Page(cut, (*boxes, *rests), columns, per_column, marks)
    for box in (*boxes, *rests):
        page.canvas.box(*page.corners(box))
    page.draw_cuts(cut)
    page.canvas.hatch()
    ends = starred or {}
    for box, name in zip(boxes, batch.names, strict=True):
        page.name(box, name + ends.get(name, ""), unit)
    for box in rests:
        page.name(box, "keep", unit)
    page.number_cuts(numbered)
    return page.canvas.lines()


class _Page:
    """A canvas and the two scales by which one cut lies on it."""

    def __init__(
        self, cut: Cut, boxes: Sequence[Rectangle], columns: int, per_column: Fraction, marks: Marks
    ) -> None:
        xs, ys = {0, cut.length}, {0, cut.width}
        for x, y, length, width in boxes:
            xs |= {x, x + length}
            ys |= {y, y + width}
        for step in cut.steps:
            if step.kind == "rip":
                ys.add(min(step.y + step.at, cut.width))
            else:
                xs.add(min(step.x + step.at, cut.length))
        self.across = _fit(xs, columns, per_column, 2 * cut.kerf)
        self.up = Scale(ys, 2 * per_column, 2 * cut.kerf)
        self.canvas = Canvas(self.across.end + 1, self.up.end + 1, marks)
        self.canvas.box(0, 0, self.across.end, self.up.end)

    def corners(self, box: Rectangle) -> tuple[int, int, int, int]:
        """Give a rectangle's left, top, right and bottom on the canvas."""
        x, y, length, width = box
        top, bottom = self.up.end - self.up.at(y + width), self.up.end - self.up.at(y)
        return self.across.at(x), top, self.across.at(x + length), bottom

    def line(self, step: SawCut) -> tuple[int, int, int]:
        """Give a saw cut's row or column and where its line starts and ends."""
        left, top, right, bottom = self.corners((step.x, step.y, step.length, step.width))
        if step.kind == "rip":
            return self.up.end - self.up.at(step.y + step.at), left, right
        return self.across.at(step.x + step.at), top, bottom

    def draw_cuts(self, cut: Cut) -> None:
        """Draw every saw cut, those between two scraps too."""
        for step in cut.steps:
            if step.kind == "rip":
                self.canvas.across(*self.line(step))
            else:
                self.canvas.down(*self.line(step))

    def number_cuts(self, numbered: Iterable[tuple[int, SawCut]]) -> None:
        """Write the number of every step on its line, at the left of a rip and at the top of a crosscut."""
        for number, step in numbered:
            place, start, _ = self.line(step)
            words = str(number)
            if step.kind == "rip":
                self.canvas.write(place, start + 2, words)
            else:
                self.canvas.write(start + 1, place + 1 - len(words), words)

    def name(self, box: Rectangle, name: str, unit: TapeUnit) -> None:
        """Write a piece's name and size inside it, as much as there is room for."""
        place = self.corners(box)
        self.canvas.clear(*place)
        self.canvas.words_in(*place, _wordings(name, _size(box[2], box[3], unit)))


def bar(
    batch: Batch,
    columns: int,
    per_column: Fraction,
    unit: TapeUnit,
    marks: Marks,
    kept: Sequence[Leftover] = (),
) -> str:
    """
    Draw a board, stick or roll that is only cut to length, as one line.

    Parameters
    ----------
    batch
        The cuts that are alike; the first is drawn.
    columns
        Characters across that may be used.
    per_column
        Base units to a column.
    unit, marks
        What sizes and lines are written in.
    kept
        Leftovers of the first cut.

    Returns
    -------
    str
        At most `columns` characters.
    """
    cut = batch.first
    ordered = sorted(cut.pieces, key=lambda piece: (piece.y, piece.x))
    named = [(piece.x, piece.length, name) for piece, name in zip(ordered, batch.names, strict=True)]
    named += [(rest.x, rest.length, "keep") for rest in kept]
    edges = {0, cut.length}.union(*({x, x + length} for x, length, _ in named))
    scale = _fit(edges, columns, per_column, 2 * cut.kerf)
    canvas = Canvas(scale.end + 1, 3, marks)
    canvas.across(1, 0, scale.end)
    for x, length, name in named:
        left, right = scale.at(x), scale.at(x + length)
        size = format_length(length, unit)
        canvas.words_in(left, 0, right, 2, [(f" {name}  {size} ",), (f"{name} {size}",), (name,), (size,)])
    for place in {scale.at(edge) for edge in edges}:
        canvas.write(1, place, _stop(place, scale.end, marks))
    _hatch_bar(canvas, cut, named, scale, marks)
    return canvas.lines()[1]


def _stop(place: int, end: int, marks: Marks) -> str:
    return marks.joints[11] if place == 0 else marks.joints[7] if place == end else marks.joints[15]


def _hatch_bar(
    canvas: Canvas, cut: Cut, named: Sequence[tuple[int, int, str]], scale: Scale, marks: Marks
) -> None:
    """Hatch what no piece and no leftover takes up at the end of a bar."""
    used = max((x + length for x, length, _ in named), default=0)
    for column in range(scale.at(used) + 1, scale.at(cut.length)):
        canvas.write(1, column, marks.hatch)
