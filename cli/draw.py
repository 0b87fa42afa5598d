"""Drawings to scale in text: a sheet with its pieces and its saw cuts, and a board as a bar."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction

from cli.batches import Batch
from cli.canvas import Canvas, Scale
from cli.paper import Marks
from cli.tracing import Tracer, box_of
from optimizer.lengths import TapeUnit, format_length
from optimizer.plan import Cut, CutPiece, Leftover, SawCut, ShapeCut

__all__ = ["Canvas", "Scale", "bar", "sheet"]

Rectangle = tuple[int, int, int, int]
"""x, y, length, width on the stock."""


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
    numbered: Iterable[tuple[int, SawCut | ShapeCut]],
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
        Its saw cuts, and those that give pieces their shape, each with the number of its step.
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
    for piece in ordered:
        page.draw_piece(piece)
    for box in rests:
        page.canvas.box(*page.corners(box))
    page.draw_cuts(cut)
    page.canvas.hatch(marks.dots if cut.shaping else marks.hatch)
    ends = starred or {}
    for piece, name in zip(ordered, batch.names, strict=True):
        page.name_piece(piece, name + ends.get(name, ""), unit)
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
        for x, y, length, width in (*boxes, *(box for piece in cut.pieces for box in piece.openings)):
            xs |= {x, x + length}
            ys |= {y, y + width}
        for piece in cut.pieces:
            xs |= {x for x, _ in piece.corners}
            ys |= {y for _, y in piece.corners}
        for step in cut.steps:
            if step.kind == "rip":
                ys.add(min(step.y + step.at, cut.width))
            else:
                xs.add(min(step.x + step.at, cut.length))
        self.across = _fit(xs, columns, per_column, 2 * cut.kerf)
        self.up = Scale(ys, 2 * per_column, 2 * cut.kerf)
        self.canvas = Canvas(self.across.end + 1, self.up.end + 1, marks)
        self.canvas.box(0, 0, self.across.end, self.up.end)
        self.tracer = Tracer(self.canvas, self.across, self.up)
        self.pieces = cut.pieces

    def corners(self, box: Rectangle) -> tuple[int, int, int, int]:
        """Give a rectangle's left, top, right and bottom on the canvas."""
        x, y, length, width = box
        top, bottom = self.up.end - self.up.at(y + width), self.up.end - self.up.at(y)
        return self.across.at(x), top, self.across.at(x + length), bottom

    def draw_piece(self, piece: CutPiece) -> None:
        """Draw a piece in its shape, and what is cut out of it."""
        if piece.corners:
            self.tracer.outline(piece.corners)
        else:
            self.canvas.box(*self.corners((piece.x, piece.y, piece.length, piece.width)))
        for opening in piece.openings:
            self.canvas.box(*self.corners(opening))

    def name_piece(self, piece: CutPiece, name: str, unit: TapeUnit) -> None:
        """Write a piece's name and size inside it: where it is no rectangle, wherever there is room."""
        box = (piece.x, piece.y, piece.length, piece.width)
        if not piece.corners and not piece.openings:
            self.name(box, name, unit)
            return
        corners = piece.corners or box_of(*box)
        self.tracer.clear(corners)
        for opening in piece.openings:
            if not any(other.lies_in(opening) for other in self.pieces):
                self.tracer.hatch(box_of(*opening))
        self.tracer.label(corners, _wordings(name, _size(piece.length, piece.width, unit)))

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

    def number_cuts(self, numbered: Iterable[tuple[int, SawCut | ShapeCut]]) -> None:
        """
        Write the number of every step on its line: at the left of a rip, at the top of a crosscut.

        On a slanting cut it stands in the middle, on a cut-out at the lower left corner.
        """
        last = 0
        for number, step in numbered:
            words = str(number)
            if isinstance(step, ShapeCut):
                if number == last:
                    continue  # The other side of the same cut, or what comes out of the same opening.
                last = number
                row, column = self._number_at(step)
                self.canvas.write(row, column, words)
                continue
            place, start, _ = self.line(step)
            if step.kind == "rip":
                self.canvas.write(place, start + 2, words)
            else:
                self.canvas.write(start + 1, place + 1 - len(words), words)

    def _number_at(self, step: ShapeCut) -> tuple[int, int]:
        """Find the place of a shaping cut's number: on a slant, where it crosses the row in its middle."""
        (x1, y1), (x2, y2) = step.points
        if step.kind == "cut out":
            return self.tracer.row(min(y1, y2)), self.tracer.column(min(x1, x2)) + 1
        row = self.tracer.row(Fraction(y1 + y2, 2))
        part = (self.tracer.height(row) - y1) / (y2 - y1) if y1 != y2 else Fraction(1, 2)
        part = min(max(part, Fraction(0)), Fraction(1))
        return row, self.tracer.column(x1 + part * (x2 - x1))

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
    """Hatch what no piece and no leftover takes up, unless it is a mere saw cut."""
    used = 0
    for x, length in [*sorted((x, length) for x, length, _ in named), (cut.length, 0)]:
        if x - used > cut.kerf or x == cut.length:
            for column in range(scale.at(used) + 1, scale.at(x)):
                canvas.write(1, column, marks.hatch)
        used = x + length
