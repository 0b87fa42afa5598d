"""Cut and lay-out diagrams as SVG, in true proportion: what is drawn can be measured off with a ruler."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from xml.sax.saxutils import escape

from cli.batches import Batch
from optimizer.lengths import INCH, TapeUnit, format_length, size_text
from optimizer.plan import Course, CutPiece, Leftover, SawCut, ShapeCut
from optimizer.words import Surface

__all__ = ["curve_svg", "cut_svg", "lay_svg", "run_svg"]

_THIN = 4 * INCH
"""What a stick of metal, which has no width of its own, is drawn as."""

_LEAST_TEXT = INCH // 2
"""Smaller letters can't be read, so a label that needs them is left out; the list beside names the piece."""

Point = tuple[int, int]


@dataclass(slots=True)
class _Drawing:
    """Collects elements in base units, the origin at the lower left, and turns them into SVG in inches."""

    length: int
    height: int
    margin: int = 0
    foot: int = 0
    parts: list[str] = field(default_factory=list)

    def x(self, x: float) -> str:
        return _inches(x + self.margin)

    def y(self, y: float) -> str:
        return _inches(self.height - y + self.margin)

    def polygon(self, corners: Iterable[Point], kind: str) -> None:
        points = " ".join(f"{self.x(x)},{self.y(y)}" for x, y in corners)
        self.parts.append(f'<polygon class="{kind}" points="{points}"/>')

    def rectangle(self, x: int, y: int, length: int, height: int, kind: str) -> None:
        self.polygon(((x, y), (x + length, y), (x + length, y + height), (x, y + height)), kind)

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

    def centred(self, box: tuple[int, int, int, int], lines: Sequence[str], largest: float) -> None:
        """Write lines in the middle of a box, upright along it if it is too narrow for them."""
        x, y, length, height = box
        told = [line for line in lines if line]
        if not told:
            return
        across = length >= height or length > 0.55 * largest * max(map(len, told))
        along, up = (length, height) if across else (height, length)
        size = min(largest, 0.9 * along / (0.6 * max(map(len, told))), 0.85 * up / (1.2 * len(told)))
        if size < _LEAST_TEXT and len(told) > 1:
            self.centred(box, told[:1], largest)
            return
        if size < _LEAST_TEXT:
            return
        middle = x + length / 2, y + height / 2
        turned = "" if across else f' transform="rotate(-90 {self.x(middle[0])} {self.y(middle[1])})"'
        self.parts.append(f"<g{turned}>")
        for number, line in enumerate(told):
            drop = (number - (len(told) - 1) / 2) * 1.2 * size + 0.35 * size
            self.text(middle[0], middle[1] - drop, line, size, "mid")
        self.parts.append("</g>")

    def svg(self, told: str) -> str:
        wide = _inches(self.length + 2 * self.margin)
        high = _inches(self.height + 2 * self.margin + self.foot)
        return (
            f'<svg viewBox="0 0 {wide} {high}" role="img" aria-label="{escape(told, {chr(34): "&quot;"})}">'
            f"{''.join(self.parts)}</svg>"
        )


def _inches(length: float) -> str:
    """Write a length for a drawing; a thousandth of an inch is finer than any screen."""
    return f"{length / INCH:.3f}".rstrip("0").rstrip(".")


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
    drawing = _Drawing(cut.length, width, margin=INCH)
    drawing.rectangle(0, 0, cut.length, width, "waste")
    largest = min(4.0 * INCH, cut.length / 22)
    for rest in kept:
        box = (rest.x, rest.y, rest.length, rest.width or width)
        drawing.rectangle(*box, "keep")
        size = size_text(unit, rest.length, rest.width) if rest.width else size_text(unit, rest.length)
        drawing.centred(box, ["keep", size], largest)
    ordered = sorted(cut.pieces, key=lambda piece: (piece.y, piece.x))
    names = dict(zip(ordered, batch.names, strict=True))
    # What comes out of an opening is drawn after the piece that it comes out of.
    for piece in sorted(ordered, key=lambda piece: -piece.length * piece.width):
        _piece(drawing, piece, names[piece], (width, largest), unit)
    letter = min(largest, width / 3)
    for number, step in numbered:
        one, other = _ends(step, width)
        drawing.line(one, other, "saw" if isinstance(step, SawCut) else "shape")
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


def _piece(drawing: _Drawing, piece: CutPiece, name: str, sizes: tuple[int, float], unit: TapeUnit) -> None:
    """Draw a piece with its name; `sizes` are the width of what has none and the largest letter."""
    width, largest = sizes
    box = (piece.x, piece.y, piece.length, piece.width or width)
    if piece.corners:
        drawing.polygon(piece.corners, "piece")
    else:
        drawing.rectangle(*box, "piece")
    for opening in piece.openings:
        drawing.rectangle(*opening, "hole")
    size = size_text(unit, piece.length, piece.width) if piece.width else size_text(unit, piece.length)
    drawing.centred(box, [name, size], largest)


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
    drawing = _Drawing(length, height, margin=2 * INCH, foot=round(3.5 * largest))
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
            xs, ys = [x for x, _ in shown], [y for _, y in shown]
            for x, y, a, b in piece.openings:
                drawing.rectangle(*turned(x, y), *turned(a, b), "hole")
            box = (min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys))
            drawing.centred(box, [piece.label, sizes.get(piece.label, "")], largest)
    for hole in surface.holes:
        box = (*turned(hole.x, hole.y), *turned(hole.length, hole.height))
        drawing.rectangle(*box, "hole")
        drawing.centred(box, [hole.label], largest)
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
            drawing.text(at, -1.4 * largest, words, largest, "mid")
            written = at


def run_svg(course: Course, longest: int, unit: TapeUnit) -> str:
    """Draw a run along an edge, to the scale of the longest one: its pieces with their labels and lengths."""
    drawing = _Drawing(longest, _THIN * 2, margin=INCH)
    for piece in course.pieces:
        box = (piece.start, 0, piece.end - piece.start, _THIN * 2)
        drawing.rectangle(*box, "piece")
        drawing.centred(
            box, [piece.label, size_text(unit, piece.end - piece.start)], max(3 * INCH, longest / 60)
        )
    return drawing.svg(f"{course.run}: {len(course.pieces)} pieces")


def curve_svg(key: str, points: Sequence[tuple[float, int, str, bool]]) -> str:
    """
    Plot what a dimension's values cost.

    Parameters
    ----------
    points
        Place on the line, cents, the value as it is written, and whether it is the job's own.
    """
    wide, high, left, foot = 640, 260, 90, 60
    places, costs = [place for place, *_ in points], [cents for _, cents, *_ in points]
    span, rise = max(places) - min(places) or 1, max(costs) - min(costs) or 1

    def at(place: float, cents: int) -> tuple[float, float]:
        along = left + (wide - left - 20) * (place - min(places)) / span
        return round(along, 1), round(20 + (high - 20) * (1 - (cents - min(costs)) / rise), 1)

    shown = [at(place, cents) for place, cents, *_ in points]
    steps = " ".join(f"{x},{y}" for x, y in shown)
    parts = [f'<polyline class="curve" points="{steps}"/>']
    for cents in sorted({min(costs), max(costs)}):
        y = at(min(places), cents)[1]
        parts.append(
            f'<text x="{left - 8}" y="{y + 5}" font-size="16" text-anchor="end">{cents / 100:,.2f}</text>'
        )
    last = -wide
    for (x, y), (_, _, words, own) in zip(shown, points, strict=True):
        mark = "own" if own else "dot"
        parts.append(f'<circle class="{mark}" cx="{x}" cy="{y}" r="{7 if own else 4}"/>')
        if x - last > 9 * (len(words) + 1):
            parts.append(
                f'<text x="{x}" y="{high + 32}" font-size="16" text-anchor="middle">{escape(words)}</text>'
            )
            last = round(x)
    told = f'role="img" aria-label="{escape(key)}: cost"'
    return f'<svg viewBox="0 0 {wide} {high + foot}" {told}>{"".join(parts)}</svg>'
