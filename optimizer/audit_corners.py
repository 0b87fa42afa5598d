"""The audit of shaped pieces on their stock: inside what the saw freed, a kerf apart, every edge cut."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import combinations

from optimizer.complaint import Complaint
from optimizer.plan import Cut, CutPiece

__all__ = ["alike", "freed_complaints", "kept_free", "taken_up"]

_Point = tuple[int, int]
_Rectangle = tuple[int, int, int, int]
"""x, y, length, width."""

Outline = tuple[tuple[_Point, ...], tuple[_Rectangle, ...]]
"""Corners in order, and openings."""


def alike(one: Outline, other: Outline, length: int, width: int, may_flip: bool) -> bool:
    """
    Tell whether two outlines in rectangles of one size are the same piece, turned end for end or not.

    `may_flip` lets the other face be up too.
    """
    ways = [(lambda x, y: (x, y)), (lambda x, y: (length - x, width - y))]
    if may_flip:
        ways += [(lambda x, y: (length - x, y)), (lambda x, y: (x, width - y))]

    def spread(outline: Outline, move: object) -> tuple[frozenset[_Point], frozenset[frozenset[_Point]]]:
        assert callable(move)
        corners, openings = outline
        return (
            frozenset(move(x, y) for x, y in corners),
            frozenset(
                frozenset(move(u, v) for u in (x, x + a) for v in (y, y + b)) for x, y, a, b in openings
            ),
        )

    mine = spread(one, ways[0])
    return any(spread(other, way) == mine for way in ways)


def taken_up(piece: CutPiece) -> _Rectangle:
    """Give what a piece takes up of its stock: x, y, length, width."""
    return piece.x, piece.y, piece.length, piece.width


def _holds(outer: _Rectangle, inner: _Rectangle) -> bool:
    x, y, length, width = outer
    return (
        x <= inner[0]
        and y <= inner[1]
        and inner[0] + inner[2] <= x + length
        and inner[1] + inner[3] <= y + width
    )


def _edges(corners: Sequence[_Point]) -> list[tuple[_Point, _Point]]:
    return list(zip(corners, (*corners[1:], *corners[:1]), strict=True))


def _outline(piece: CutPiece) -> tuple[_Point, ...]:
    x, y, length, width = taken_up(piece)
    return piece.corners or ((x, y), (x + length, y), (x + length, y + width), (x, y + width))


def _room(piece: CutPiece, kerf: int) -> list[_Rectangle]:
    """Give what may come out of a piece's openings."""
    return [(x + kerf, y + kerf, a - 2 * kerf, b - 2 * kerf) for x, y, a, b in piece.openings]


def freed_complaints(cut: Cut, regions: frozenset[_Rectangle]) -> Iterator[Complaint]:
    """Check the shaped pieces of one stock, and those that come out of their openings."""
    outs = {
        number
        for number, piece in enumerate(cut.pieces)
        for other in cut.pieces
        if other is not piece and any(_holds(room, taken_up(piece)) for room in _room(other, cut.kerf))
    }
    shaped = [p for n, p in enumerate(cut.pieces) if (p.corners or p.openings) and n not in outs]
    due: Counter[tuple[str, frozenset[_Point]]] = Counter()
    for number in outs:
        x, y, length, width = taken_up(cut.pieces[number])
        due[cut.pieces[number].label, frozenset({(x, y), (x + length, y + width)})] += 1
    for piece in shaped:
        xs, ys = [x for x, _ in _outline(piece)], [y for _, y in _outline(piece)]
        if taken_up(piece) != (min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)):
            yield Complaint("region", cut.id, f"the corners of {piece.label} do not fill its rectangle")
        region = next((r for r in regions if _holds(r, taken_up(piece))), None)
        if region is None:
            yield Complaint("region", cut.id, f"the steps do not free the rectangle of {piece.label}")
            continue
        for one, other in _edges(piece.corners):
            if not _along(region, one, other):
                due[piece.label, frozenset({one, other})] += 1
        for x, y, a, b in piece.openings:
            if not _holds(taken_up(piece), (x, y, a, b)):
                yield Complaint("region", cut.id, f"an opening of {piece.label} lies outside it")
            due[piece.label, frozenset({(x, y), (x + a, y + b)})] += 1
    for first, second in combinations([p for n, p in enumerate(cut.pieces) if n not in outs], 2):
        if (first.corners or second.corners) and not _apart(first, second, cut.kerf):
            yield Complaint("overlap", cut.id, f"{first.label} and {second.label} are not a kerf apart")
    if due != Counter((step.label, frozenset(step.points)) for step in cut.shaping):
        yield Complaint("step", cut.id, "its slanting cuts and cut-outs are not those its pieces need")


def kept_free(cut: Cut, regions: frozenset[_Rectangle]) -> frozenset[_Rectangle]:
    """Give the rectangles of a stock that no piece lies in, those out of openings included."""
    free = {r for r in regions if not any(_holds(r, taken_up(piece)) for piece in cut.pieces)}
    for piece in cut.pieces:
        for room in _room(piece, cut.kerf):
            whole = room[2] > 0 and room[3] > 0
            if whole and not any(_holds(room, taken_up(other)) for other in cut.pieces if other is not piece):
                free.add(room)
    return frozenset(free)


def _along(region: _Rectangle, one: _Point, other: _Point) -> bool:
    x, y, length, width = region
    return (one[0] == other[0] and one[0] in (x, x + length)) or (
        one[1] == other[1] and one[1] in (y, y + width)
    )


def _apart(first: CutPiece, second: CutPiece, kerf: int) -> bool:
    """Tell whether two pieces keep a kerf between them: no edges cross, no corner is nearer, none inside."""
    one, other = _outline(first), _outline(second)
    for a, b in _edges(one):
        for c, d in _edges(other):
            if _cross(a, b, c) * _cross(a, b, d) < 0 and _cross(c, d, a) * _cross(c, d, b) < 0:
                return False
    near = any(_near(p, a, b, kerf) for p in one for a, b in _edges(other))
    near = near or any(_near(p, a, b, kerf) for p in other for a, b in _edges(one))
    return not near and not _inside(one[0], other) and not _inside(other[0], one)


def _cross(a: _Point, b: _Point, p: _Point) -> int:
    return (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])


def _near(p: _Point, a: _Point, b: _Point, kerf: int) -> bool:
    """Tell whether a point is nearer to a line between two points than the kerf."""
    along = (b[0] - a[0], b[1] - a[1])
    square = along[0] ** 2 + along[1] ** 2
    at = (p[0] - a[0]) * along[0] + (p[1] - a[1]) * along[1]
    if at <= 0 or at >= square:
        end = a if at <= 0 else b
        return (p[0] - end[0]) ** 2 + (p[1] - end[1]) ** 2 < kerf**2
    return _cross(a, b, p) ** 2 < kerf**2 * square


def _inside(p: _Point, corners: Sequence[_Point]) -> bool:
    """Tell whether a point lies inside a polygon, by the edges to its right."""
    crossed = 0
    for a, b in _edges(corners):
        if (a[1] > p[1]) != (b[1] > p[1]):
            side = _cross(a, b, p)
            crossed += side > 0 if b[1] > a[1] else side < 0
    return crossed % 2 == 1
