"""Cut and lay-out diagrams as SVG, in true proportion: what is drawn can be measured off with a ruler."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from xml.sax.saxutils import escape

from cli.batches import Batch
from cli.site.lettering import Place, place_in
from cli.tracing import box_of
from optimizer.lengths import INCH, TapeUnit, format_length, size_text
from optimizer.plan import Course, Cut, CutPiece, Leftover, SawCut, ShapeCut
from optimizer.words import Surface

__all__ = ["curve_svg", "cut_svg", "lay_svg", "run_svg", "slender"]

_THIN = 4 * INCH
"""What a stick of metal, which has no width of its own, is drawn as."""

_LEAST_TEXT = INCH // 2
"""Smaller letters can't be read, so a label that needs them is left out; the list beside names the piece."""

_SLENDER = 12
"""Stock so many times longer than wide is too thin to write on."""

Point = tuple[int, int]


@dataclass(slots=True)
class _Drawing:
    """Collects elements in base units, the origin at the lower left, and turns them into SVG in inches."""

    length: int
    height: int
    margin: int = 0
    foot: int = 0
    parts: list[str] = field(default_factory=list)
    under: list[tuple[int, int]] = field(default_factory=list)

    def x(self, x: float) -> str:
        return _inches(x + self.margin)

    def y(self, y: float) -> str:
        return _inches(self.height - y + self.margin)

    def polygon(self, corners: Iterable[Point], kind: str) -> None:
        points = " ".join(f"{self.x(x)},{self.y(y)}" for x, y in corners)
        self.parts.append(f'<polygon class="{kind}" points="{points}"/>')

    def rectangle(self, x: int, y: int, length: int, height: int, kind: str) -> None:
        self.polygon(box_of(x, y, length, height), kind)

    def line(self, one: Point, other: Point, kind: str) -> None:
        (x0, y0), (x1, y1) = one, other
        self.parts.append(
            f'<line class="{kind}" x1="{self.x(x0)}" y1="{self.y(y0)}" x2="{self.x(x1)}" y2="{self.y(y1)}"/>'
        )

    def text(self, x: float, y: float, words: str, size: float, kind: str = "") -> None:
        shown = f' class="{kind}"' if kind else ""
        self.parts.append(
            f'<text{shown} x="{self.x(x)}" y="{self.y(y)}" font-size="{_inches(size)}">{escape(words)}</text>'
        )

    def lettered(
        self,
        corners: Sequence[Point],
        lines: Sequence[str],
        largest: float,
        holes: Sequence[tuple[int, int, int, int]] = (),
    ) -> None:
        """Write lines inside a shape, upright where that is larger; the last go if all would be small."""
        told = [line for line in lines if line]
        while told:
            level = place_in(corners, holes, told, largest, _LEAST_TEXT)
            turned = place_in(
                _turned(corners), [(y, x, b, a) for x, y, a, b in holes], told, largest, _LEAST_TEXT
            )
            upright = turned is not None and (level is None or turned[2] > 1.4 * level[2])
            found = turned if upright else level
            if found is not None and (len(told) == 1 or found[2] > 0.6 * largest):
                self._written(found, told, upright)
                return
            told = told[:-1]

    def _written(self, place: Place, told: Sequence[str], upright: bool) -> None:
        x, y, size = (place[1], place[0], place[2]) if upright else place
        turned = f' transform="rotate(-90 {self.x(x)} {self.y(y)})"' if upright else ""
        self.parts.append(f"<g{turned}>")
        for number, line in enumerate(told):
            drop = (number - (len(told) - 1) / 2) * 1.2 * size + 0.35 * size
            self.text(x, y - drop, line, size, "mid")
        self.parts.append("</g>")

    def beneath(self, x: int, length: int, lines: Sequence[str], size: float) -> None:
        """Write below what is too thin to write on: all in one line, or the first, or nothing."""
        if any(x < end and start < x + length for start, end in self.under):
            return
        for told in (" ".join(filter(None, lines)), lines[0]):
            if 0.62 * size * len(told) <= length:
                self.text(x + length / 2, -1.15 * size, told, size, "mid")
                self.under.append((x, x + length))
                return

    def svg(self, told: str) -> str:
        wide = _inches(self.length + 2 * self.margin)
        high = _inches(self.height + 2 * self.margin + self.foot)
        return (
            f'<svg viewBox="0 0 {wide} {high}" role="img" aria-label="{escape(told, {chr(34): "&quot;"})}">'
            f"{''.join(self.parts)}</svg>"
        )


def _turned(corners: Sequence[Point]) -> tuple[Point, ...]:
    """Swap along and up."""
    return tuple((y, x) for x, y in corners)


def _inches(length: float) -> str:
    """Write a length for a drawing; a thousandth of an inch is finer than any screen."""
    return f"{length / INCH:.3f}".rstrip("0").rstrip(".")


def slender(cut: Cut) -> bool:
    """Tell whether a stock is too thin to write on, so that its labels stand below it."""
    return cut.length > _SLENDER * (cut.width or _THIN)


def cut_svg(
    batch: Batch, numbered: Sequence[tuple[int, SawCut | ShapeCut]], kept: Sequence[Leftover], unit: TapeUnit
) -> str:
    """
    Draw a stock with its pieces, its cuts by their numbers, and what is kept of it.

    Parameters
    ----------
    batch
        Cuts that are alike; the first is drawn.
    numbered
        Cuts and the step that each belongs to.
    kept
        Leftovers of that cut that go to the rack.
    """
    cut = batch.first
    width = cut.width or _THIN
    thin = slender(cut)
    largest = cut.length / 32 if thin else min(4.0 * INCH, cut.length / 22)
    drawing = _Drawing(cut.length, width, margin=INCH, foot=round(1.6 * largest) if thin else 0)
    drawing.rectangle(0, 0, cut.length, width, "waste")
    for rest in kept:
        box = (rest.x, rest.y, rest.length, rest.width or width)
        drawing.rectangle(*box, "keep")
        if not thin:
            drawing.lettered(box_of(*box), ["keep", _size(rest, unit)], largest)
    ordered = sorted(cut.pieces, key=lambda piece: (piece.y, piece.x))
    names = dict(zip(ordered, batch.names, strict=True))
    # What comes out of an opening is drawn after the piece that it comes out of.
    for piece in sorted(ordered, key=lambda piece: -piece.length * piece.width):
        _piece(drawing, piece, names[piece], (width, largest), unit)
    for rest in kept if thin else ():
        drawing.beneath(rest.x, rest.length, ["keep", _size(rest, unit)], largest)
    letter = min(largest, width / 3)
    for number, step in numbered:
        one, other = _ends(step, width)
        drawing.line(one, other, "saw" if isinstance(step, SawCut) else "shape")
        if not thin:  # Under thin stock the labels stand in saw order anyway.
            middle = (one[0] + other[0]) / 2, (one[1] + other[1]) / 2
            drawing.text(middle[0], middle[1] - letter / 3, str(number), letter, "number")
    return drawing.svg(f"{cut.stock}: {', '.join(batch.names)}")


def _ends(step: SawCut | ShapeCut, width: int) -> tuple[Point, Point]:
    """Give the two ends of a cut; of a cut-out, those of its lower edge."""
    if isinstance(step, ShapeCut):
        (x0, y0), (x1, y1) = step.points
        return (
            step.points if step.kind == "slant" else ((min(x0, x1), min(y0, y1)), (max(x0, x1), min(y0, y1)))
        )
    if step.kind == "rip":
        return (step.x, step.y + step.at), (step.x + step.length, step.y + step.at)
    return (step.x + step.at, step.y), (step.x + step.at, step.y + (step.width or width))


def _size(piece: CutPiece | Leftover, unit: TapeUnit) -> str:
    return size_text(unit, piece.length, piece.width) if piece.width else size_text(unit, piece.length)


def _piece(drawing: _Drawing, piece: CutPiece, name: str, sizes: tuple[int, float], unit: TapeUnit) -> None:
    """Draw a piece with its name; `sizes` are the width of what has none and the largest letter."""
    width, largest = sizes
    corners = piece.corners or box_of(piece.x, piece.y, piece.length, piece.width or width)
    drawing.polygon(corners, "piece")
    for opening in piece.openings:
        drawing.rectangle(*opening, "hole")
    size = _size(piece, unit)
    if drawing.length > _SLENDER * width:
        drawing.beneath(piece.x, piece.length, [name, size if name != "the piece" else ""], largest)
    else:
        drawing.lettered(corners, [name, size], largest, piece.openings)


def lay_svg(surface: Surface, courses: Sequence[Course], sizes: Mapping[str, str], unit: TapeUnit) -> str:
    """
    Draw a surface as whoever lays it sees it: pieces with labels, seams, the supports under them, holes.

    Parameters
    ----------
    courses
        Of this surface, from the bottom up (upright: from the left).
    sizes
        By label: what to write under it.
    """

    def turned(x: int, y: int) -> Point:
        """Turn a point of an upright surface so that up is up."""
        return (y, x) if surface.upright else (x, y)

    length, height = turned(surface.length, surface.height)
    largest = max(3.0 * INCH, length / 45)
    # The first and the last rafter's places are written out past the ends.
    drawing = _Drawing(length, height, margin=round(2.4 * largest), foot=round(largest))
    outline = surface.outline or (
        (0, 0),
        (surface.length, 0),
        (surface.length, surface.height),
        (0, surface.height),
    )
    drawing.polygon([turned(*corner) for corner in outline], "bare")
    for course in courses:
        top = course.bottom + course.width
        for piece in course.pieces:
            corners = piece.corners or (
                (piece.start, course.bottom),
                (piece.end, course.bottom),
                (piece.end, top),
                (piece.start, top),
            )
            shown = [turned(*corner) for corner in corners]
            drawing.polygon(shown, "piece")
            openings = [(*turned(x, y), *turned(a, b)) for x, y, a, b in piece.openings]
            for opening in openings:
                drawing.rectangle(*opening, "hole")
            drawing.lettered(shown, [piece.label, sizes.get(piece.label, "")], largest, openings)
    for hole in surface.holes:
        box = (*turned(hole.x, hole.y), *turned(hole.length, hole.height))
        drawing.rectangle(*box, "hole")
        drawing.lettered(box_of(*box), [hole.label], largest)
    _supports(drawing, surface, turned, length, height, largest, unit)
    return drawing.svg(f"{surface.label}: {len(courses)} courses")


def _supports(
    drawing: _Drawing,
    surface: Surface,
    turned: object,
    length: int,
    height: int,
    largest: float,
    unit: TapeUnit,
) -> None:
    """Draw what bears the pieces as thin lines, its places written under them where there is room."""
    assert callable(turned)
    lines = surface.edges or () if surface.upright else tuple(support.at for support in surface.supports)
    written = -length
    for at in lines:
        drawing.line((at, 0), (at, height), "support")
        words = format_length(at, unit)
        if at - written > 0.62 * largest * (len(words) + 1):
            drawing.text(at, -1.6 * largest, words, largest, "mid")
            written = at


def run_svg(course: Course, longest: int, unit: TapeUnit) -> str:
    """Draw a run along an edge, to the scale of the longest one: its pieces with their labels and lengths."""
    high, letter = round(longest / 40), longest / 32
    drawing = _Drawing(longest, high, margin=INCH, foot=round(1.6 * letter))
    for piece in course.pieces:
        drawing.rectangle(piece.start, 0, piece.end - piece.start, high, "piece")
        size = size_text(unit, piece.end - piece.start)
        drawing.beneath(piece.start, piece.end - piece.start, [piece.label, size], letter)
    return drawing.svg(f"{course.run}: {len(course.pieces)} pieces")


def curve_svg(key: str, points: Sequence[tuple[float, int, str, bool]]) -> str:
    """
    Plot what a dimension's values cost.

    Parameters
    ----------
    points
        Place on the line, cents, the value as it is written, and whether it is the job's own.
    """
    wide, high, left, foot = 640, 260, 130, 60
    places, costs = [place for place, *_ in points], [cents for _, cents, *_ in points]
    span, rise = max(places) - min(places) or 1, max(costs) - min(costs) or 1

    def at(place: float, cents: int) -> tuple[float, float]:
        along = left + (wide - left - 50) * (place - min(places)) / span
        return round(along, 1), round(20 + (high - 20) * (1 - (cents - min(costs)) / rise), 1)

    shown = [at(place, cents) for place, cents, *_ in points]
    steps = " ".join(f"{x},{y}" for x, y in shown)
    parts = [f'<polyline class="curve" points="{steps}"/>']
    for cents in sorted({min(costs), max(costs)}):
        y = at(min(places), cents)[1]
        parts.append(
            f'<text x="{left - 8}" y="{y + 8}" font-size="24" text-anchor="end">{cents / 100:,.2f}</text>'
        )
    last = -wide
    for (x, y), (_, _, words, own) in zip(shown, points, strict=True):
        mark = "own" if own else "dot"
        parts.append(f'<circle class="{mark}" cx="{x}" cy="{y}" r="{7 if own else 4}"/>')
        if x - last > 13 * (len(words) + 1):
            parts.append(
                f'<text x="{x}" y="{high + 36}" font-size="24" text-anchor="middle">{escape(words)}</text>'
            )
            last = round(x)
    told = f'role="img" aria-label="{escape(key)}: cost"'
    return f'<svg viewBox="0 0 {wide} {high + foot}" {told}>{"".join(parts)}</svg>'
