"""
Model 1 for surfaces that are no plain rectangles: one course of one, its lines and its legal pieces.

As in `seams`, but every course has lines of its own, since its ends depend on where it lies, and holes may
part it or be cut out of a piece.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from optimizer.models.seams import SLIVER
from optimizer.models.stacks import Stack
from optimizer.shapes import Band, Shape, band_of, shape_of, slabs_of
from optimizer.words import Corner, Stock, Surface

__all__ = ["Piece", "Row", "Rows", "moves_between"]


@dataclass(frozen=True, slots=True)
class Piece:
    """
    What lies between line `tail` and line `head` of a course.

    `shape` is the piece as it is laid, `kind` the same as all that are alike are cut; both None where a hole
    leaves nothing to cover. `corner` is the lowest left of the rectangle around it, on the surface.
    """

    tail: int
    head: int
    shape: Shape | None
    kind: Shape | None
    corner: Corner


@dataclass(frozen=True, slots=True)
class Row:
    """
    A course: from `bottom` over `width`, its lines from left to right, which of them are seams.

    Line 0 is the left end, the last line the right end; a line that is neither a seam nor an end is where a
    hole begins or ends.
    """

    bottom: int
    width: int
    at: tuple[int, ...]
    seam: tuple[bool, ...]
    pieces: tuple[Piece, ...]

    @property
    def last(self) -> int:
        """Give the number of the right end."""
        return len(self.at) - 1

    def whole(self) -> bool:
        """Tell whether any row of pieces leads from one end to the other."""
        reached = {0}
        for piece in self.pieces:
            if piece.tail in reached:
                reached.add(piece.head)
        return self.last in reached


@dataclass
class Rows:
    """
    All courses that a surface may have, worked out once each.

    Parameters
    ----------
    stocks
        No piece is longer or wider than one of them allows.
    """

    surface: Surface
    stocks: Sequence[Stock]
    slabs: Band = field(init=False)
    known: dict[tuple[int, int], Row] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Cut the outline into slabs."""
        self.slabs = slabs_of(self.surface)

    def row(self, bottom: int, width: int) -> Row:
        """Give the course from `bottom` over `width`."""
        if (bottom, width) not in self.known:
            self.known[bottom, width] = self._made(bottom, width)
        return self.known[bottom, width]

    def of_stack(self, stack: Stack) -> tuple[Row, ...]:
        """Give the courses of a stack from the bottom up."""
        rows, bottom = [], 0
        for width in stack.widths:
            rows.append(self.row(bottom, width))
            bottom += width + self.surface.rule.gap
        return tuple(rows)

    def of_edges(self) -> dict[tuple[int, int], Row]:
        """Give the courses between any two of `edges`, by the numbers of the two; the ends included."""
        surface, rule = self.surface, self.surface.rule
        assert surface.edges is not None
        lines = (0, *sorted({e for e in surface.edges if 0 < e < surface.height}), surface.height)
        widest = max(stock.width for stock in self.stocks)
        half, held = rule.gap // 2, min(rule.top_slack, rule.gap // 2)
        found = {}
        for i, low in enumerate(lines):
            for j in range(i + 1, len(lines)):
                bottom = low + (held if i == 0 else rule.gap - half)
                top = lines[j] - (held if j == len(lines) - 1 else half)
                if top - bottom > widest:
                    break
                whole = (i, j) == (0, len(lines) - 1)
                if top - bottom + rule.gap >= rule.narrowest or whole:
                    row = self.row(bottom, top - bottom)
                    if row.whole():
                        found[i, j] = row
        return found

    def _made(self, bottom: int, width: int) -> Row:
        band = band_of(self.slabs, bottom, bottom + width)
        if not band:
            return Row(bottom, width, (), (), ())
        begin = round(min(min(slab.left) for slab in band))
        end = round(max(max(slab.right) for slab in band))
        gone = [
            (hole.x, hole.x + hole.length)
            for hole in self.surface.holes
            if hole.y <= bottom and hole.y + hole.height >= bottom + width
        ]
        holes = {x for stretch in gone for x in stretch if begin < x < end}
        seams = {s.at for s in self.surface.supports if s.seam and begin < s.at < end} - holes
        if bottom == 0:
            near = self.surface.rule.stagger
            seams = {at for at in seams if all(abs(at - below) >= near for below in self.surface.below)}
        at = (begin, *sorted(holes | seams), end)
        lines = tuple(x in seams for x in at)
        upright = (
            all(place == begin for slab in band for place in slab.left),
            all(place == end for slab in band for place in slab.right),
        )
        pieces = tuple(
            piece
            for piece in self._pieces(band, at, lines, upright)
            # What reaches over a hole that takes the whole course is two pieces, not one.
            if piece.shape is None or not any(a < at[piece.head] and at[piece.tail] < b for a, b in gone)
        )
        return Row(bottom, width, at, lines, pieces)

    def _pieces(
        self, band: Band, at: tuple[int, ...], seam: tuple[bool, ...], upright: tuple[bool, bool]
    ) -> Iterator[Piece]:
        """List the legal pieces between any two lines; `upright` says which ends of the course are square."""
        surface, rule = self.surface, self.surface.rule
        last, half = len(at) - 1, rule.gap // 2
        held = min(rule.end_slack, half)
        bearing = [s.at for s in surface.supports if s.bears]
        longest = max(stock.length for stock in self.stocks)
        for tail in range(last):
            # A slanting end is rounded in its corners only, so nothing is clipped there.
            start = at[tail] + (rule.gap - half if seam[tail] else held if tail or upright[0] else -1)
            for head in range(tail + 1, last + 1):
                end = at[head] - (half if seam[head] else held if head < last or upright[1] else -1)
                # A slanting end is taken a unit farther.
                if end - start > longest + 2 and not surface.holes:
                    break
                found = shape_of(band, start, end, surface.holes)
                if found is None:
                    continue
                if found == "void":
                    if not seam[tail] and not seam[head]:
                        yield Piece(tail, head, None, None, (start, 0))
                    continue
                shape, *corner = found
                resting = sum(at[tail] <= b <= at[head] for b in bearing)
                # A hip, a valley or a rafter along a slanting end bears it.
                resting += (tail == 0 and not upright[0]) + (head == last and not upright[1])
                alone = not seam[tail] and not seam[head]
                if resting < rule.min_supports and not alone:
                    continue
                if shape.length < max(rule.shortest - rule.gap, SLIVER) and not alone:
                    continue
                if any(shape.length <= s.length and shape.width <= s.width for s in self.stocks):
                    kind = shape.canonical(surface.may_flip)
                    yield Piece(tail, head, shape, kind, (corner[0], corner[1]))


Step = tuple[tuple[int, int], tuple[int, int], int, Piece]
"""Lines (of the lower course, of the upper one) before and after, which course took a piece, which piece."""


def moves_between(low: Row, high: Row, stagger: int) -> list[Step]:
    """
    List every step of a pair of neighbouring courses: the one that lags takes a piece, off the other's seam.

    Returns
    -------
    list
        Only steps from which both can still reach the right end.

    Notes
    -----
    It is enough to compare a new seam with the other course's last one: that one was kept off the seam that
    the new one follows, and what came before lies farther left. A line that is no seam was kept off nothing,
    so it counts as lagging by the stagger, and the left end as lagging behind everything.
    """
    rows = (low, high)

    def place(side: int, line: int) -> float:
        row = rows[side]
        if line in (0, row.last):
            return float("-inf") if line == 0 else float("inf")
        return row.at[line] if row.seam[line] else row.at[line] - stagger

    leaving: tuple[dict[int, list[Piece]], dict[int, list[Piece]]] = ({}, {})
    for side, row in enumerate(rows):
        for piece in row.pieces:
            leaving[side].setdefault(piece.tail, []).append(piece)
    moves: list[Step] = []
    seen, todo = {(0, 0)}, [(0, 0)]
    while todo:
        state = todo.pop()
        course = 0 if place(0, state[0]) <= place(1, state[1]) else 1
        other = state[1 - course]
        for piece in leaving[course].get(state[course], ()):
            both = rows[course].seam[piece.head] and rows[1 - course].seam[other]
            if both and abs(rows[course].at[piece.head] - rows[1 - course].at[other]) < stagger:
                continue
            after = (piece.head, other) if course == 0 else (other, piece.head)
            moves.append((state, after, course, piece))
            if after not in seen:
                seen.add(after)
                todo.append(after)
    return _useful(moves, (low.last, high.last))


def _useful(moves: Sequence[Step], end: tuple[int, int]) -> list[Step]:
    """Drop the steps from which the end can't be reached."""
    arriving: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for before, after, _, _ in moves:
        arriving.setdefault(after, []).append(before)
    good, todo = {end}, [end]
    while todo:
        for before in arriving.get(todo.pop(), ()):
            if before not in good:
                good.add(before)
                todo.append(before)
    return [move for move in moves if move[1] in good]
