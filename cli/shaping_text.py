"""Cuts that give a piece its shape, in words: marks along the edges to measure with a tape, and openings."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from cli.batches import Batch
from cli.cutting_text import Region, SetUp, freed
from optimizer.lengths import INCH, TapeUnit, size_text
from optimizer.plan import CutPiece, ShapeCut

__all__ = ["shaping_set_ups"]

_NEAR = INCH // 16
"""What lies so near an edge lies on it: no tape tells them apart, and corners are rounded."""

Point = tuple[int, int]


class _Block:
    """What the saw cuts have freed: a rectangle, and the pieces that are shaped from it."""

    def __init__(
        self, region: Region, pieces: Sequence[tuple[CutPiece, str]], unit: TapeUnit, *, whole: bool
    ) -> None:
        self.region, self.pieces, self.unit, self.whole = region, tuple(pieces), unit, whole

    @property
    def name(self) -> str:
        """Name it by its pieces."""
        names = list(dict.fromkeys(name for piece, name in self.pieces if not self.plug(piece)))
        return "the sheet" if self.whole else f"the block for {' and '.join(names)}"

    def plug(self, piece: CutPiece) -> bool:
        """Tell whether a piece is cut from what comes out of another one's opening."""
        return any(piece.lies_in(opening) for other, _ in self.pieces for opening in other.openings)

    def mark(self, point: Point) -> str:
        """Say where to make a mark: on an edge, by its distance from the left end or the near edge."""
        x0, y0, length, width = self.region
        x, y = point[0] - x0, point[1] - y0
        left, right = x <= _NEAR, length - x <= _NEAR
        near, far = y <= _NEAR, width - y <= _NEAR
        if (left or right) and (near or far):
            return f"the {'near' if near else 'far'} {'left' if left else 'right'} corner"
        along, up = (size_text(self.unit, max(size, 0)) for size in (x, y))
        if near or far:
            return f"{along} on the {'near' if near else 'far'} edge"
        if left or right:
            return f"{up} up the {'left' if left else 'right'} end"
        return f"a point {along} along and {up} up"


def shaping_set_ups(batch: Batch, unit: TapeUnit) -> tuple[SetUp, ...]:
    """
    Write the cuts that come after a batch's saw cuts; one sentence for a cut.

    Marks on an edge are measured from the left end of what lies on the saw horses, marks on an end from its
    near edge. A cut between two nested pieces shapes both.

    Parameters
    ----------
    batch
        The cuts that are alike.
    unit
        What the tape reads.

    Returns
    -------
    tuple of SetUp
        Empty where every piece is a rectangle.
    """
    cut = batch.first
    if not cut.shaping:
        return ()
    ordered = sorted(cut.pieces, key=lambda piece: (piece.y, piece.x))
    named = list(zip(ordered, batch.names, strict=True))
    told: list[SetUp] = []
    for region in freed(cut):
        inside = [(piece, name) for piece, name in named if piece.lies_in(region)]
        own = [step for step in cut.shaping if _on(region, step)]
        if own:
            block = _Block(region, inside, unit, whole=not cut.steps)
            told += _slants(block, own, cut.kerf)
            told += _cut_outs(block, own)
    return tuple(told)


def _on(region: Region, step: ShapeCut) -> bool:
    x, y, length, width = region
    return all(x <= px <= x + length and y <= py <= y + width for px, py in step.points)


def _slants(block: _Block, steps: Sequence[ShapeCut], kerf: int) -> list[SetUp]:
    """Write every slanting cut; two sides a kerf apart are one cut."""
    slants = [step for step in steps if step.kind == "slant"]
    pairs: list[list[ShapeCut]] = []
    for step in slants:
        mate = next((pair for pair in pairs if len(pair) == 1 and _one_cut(pair[0], step, kerf)), None)
        if mate is None:
            pairs.append([step])
        else:
            mate.append(step)
    names = _by_label(block)
    left = Counter(step.label for step in slants)
    told: list[SetUp] = []
    for number, pair in enumerate(pairs):
        first = pair[0]
        where = f"{block.name}" if number == 0 else "the same"
        one, other = sorted(first.points, key=lambda point: (point[1], point[0]))
        marks = f"mark {block.mark(one)} and {block.mark(other)}"
        side = _side(first, _piece(block, first.label))
        given = []
        for cut in pair:
            left[cut.label] -= 1
            given.append(("a side of " if left[cut.label] else "") + names[cut.label])
        gives = " and ".join(given)
        told.append(
            SetUp(f"On {where} {marks}; saw from mark to mark, {side} of the line: {gives}.", tuple(pair))
        )
    return told


def _by_label(block: _Block) -> Mapping[str, str]:
    return {piece.label: name for piece, name in block.pieces}


def _piece(block: _Block, label: str) -> CutPiece:
    return next(piece for piece, _ in block.pieces if piece.label == label)


def _side(step: ShapeCut, piece: CutPiece) -> str:
    """Say on which side of its line a cut falls: where the piece is not."""
    (x1, y1), (x2, y2) = sorted(step.points, key=lambda point: (point[1], point[0]))
    count = len(piece.corners)
    middle_x = sum(x for x, _ in piece.corners) // count
    middle_y = sum(y for _, y in piece.corners) // count
    # Positive where the piece's middle lies left of the line, looking from its nearer end to its farther one.
    turn = (x2 - x1) * (middle_y - y1) - (y2 - y1) * (middle_x - x1)
    if y1 == y2:
        return "near side" if turn > 0 else "far side"
    return "right" if turn > 0 else "left"


def _one_cut(first: ShapeCut, second: ShapeCut, kerf: int) -> bool:
    """Tell whether two slanting sides of different pieces face each other across one kerf."""
    if first.label == second.label:
        return False
    (x1, y1), (x2, y2) = sorted(first.points, key=lambda point: (point[1], point[0]))
    (x3, y3), (x4, y4) = sorted(second.points, key=lambda point: (point[1], point[0]))
    size = abs(x2 - x1) + abs(y2 - y1)
    off = [abs((x2 - x1) * (y - y1) - (y2 - y1) * (x - x1)) for x, y in ((x3, y3), (x4, y4))]
    overlap = min(y2, y4) - max(y1, y3)
    return max(off) <= (2 * kerf + _NEAR) * size and 2 * overlap > max(y2 - y1, y4 - y3)


def _cut_outs(block: _Block, steps: Sequence[ShapeCut]) -> list[SetUp]:
    """Write every opening, with what is made of the piece that comes out of it."""
    told: list[SetUp] = []
    for step in (step for step in steps if step.kind == "cut out"):
        piece = _piece(block, step.label)
        if block.plug(piece):
            continue
        (ax, ay), (bx, by) = step.points
        low = (min(ax, bx), min(ay, by))
        size = (max(ax, bx) - low[0], max(ay, by) - low[1])
        plugs = [
            (other, name) for other, name in block.pieces if other.lies_in((*low, *size)) and other != piece
        ]
        x0, y0, length, width = block.region
        along = _from(low[0] - x0, x0 + length - low[0] - size[0], ("left end", "right end"), block.unit)
        up = _from(low[1] - y0, y0 + width - low[1] - size[1], ("near edge", "far edge"), block.unit)
        verb = "Notch" if "at" in (along.partition(" ")[0], up.partition(" ")[0]) else "Cut out of"
        name = _by_label(block)[step.label]
        words = f"{verb} {name} {size_text(block.unit, *size)}, {along} and {up}, the kerf inside"
        for other, plug in plugs:
            words += f"; trim what comes out to {size_text(block.unit, other.length, other.width)}: {plug}"
        mine = [s for s in steps if s.kind == "cut out" and s.label in {other.label for other, _ in plugs}]
        told.append(SetUp(f"{words}.", (step, *mine)))
    return told


def _from(before: int, after: int, sides: tuple[str, str], unit: TapeUnit) -> str:
    """Say where an opening begins along one direction: at a side, or so far from the first."""
    for rest, side in zip((before, after), sides, strict=True):
        if rest <= _NEAR:
            return f"at the {side}"
    return f"{size_text(unit, before)} from the {sides[0]}"
