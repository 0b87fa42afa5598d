"""From counts of ways to cut to real stocks: which piece comes off which sheet, by which saw cuts."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Literal

from optimizer.lengths import INCH
from optimizer.patterns import Cutting, Node, Size, Way
from optimizer.plan import Cut, CutPiece, SawCut, ShapeCut
from optimizer.shapes import Shape
from optimizer.words import Stock

__all__ = ["Inside", "Need", "cut_sheets"]

TIGHT = INCH // 4
"""With less than this to spare in a row of pieces a hand saw must be exact (common practice, no source)."""


_Kind = Literal["rip", "crosscut"]


@dataclass(frozen=True, slots=True)
class Inside:
    """A shaped piece in its rectangle, from `x` and `y` on; `hole` marks one that comes out of an opening."""

    label: str
    shape: Shape
    x: int = 0
    y: int = 0
    turned: bool = False
    hole: bool = False


@dataclass(frozen=True, slots=True)
class Need:
    """
    A rectangle that must be cut, as it lies on the sheet.

    `turned` marks a part that lies across; `inside` lists the pieces where the rectangle is not one itself.
    """

    size: Size
    label: str
    turned: bool = False
    inside: tuple[Inside, ...] = ()


@dataclass(slots=True)
class _Tree:
    """A rectangle of one sheet, and what is cut from it."""

    node: Node
    cut: _Kind | None = None
    children: list[_Tree] = field(default_factory=list)
    need: Need | None = None

    def leaves(self) -> Iterator[_Tree]:
        if self.node.stage == "piece":
            yield self
        for child in self.children:
            yield from child.leaves()

    def size(self, cut: _Kind) -> int:
        """Give the extent that `cut` divides: the length where it is a crosscut, else the width."""
        return self.node.length if cut == "crosscut" else self.node.width

    def reaches(self, cut: _Kind, kerf: int) -> bool:
        """Tell whether a piece ends on the far edge, where `cut` would part the rectangle from the next."""
        if self.need is not None:
            return True
        if self.cut != cut:
            return any(child.reaches(cut, kerf) for child in self.children)
        taken = sum(child.size(cut) + kerf for child in self.children) - kerf
        return taken == self.size(cut) and self.children[-1].reaches(cut, kerf)

    def prune(self) -> bool:
        """Drop what no piece is cut from; tell whether anything is left."""
        self.children = [child for child in self.children if child.prune()]
        return self.need is not None or bool(self.children)


def cut_sheets(cutting: Cutting, uses: Callable[[Way], int], needs: Sequence[Need]) -> list[Cut]:
    """
    Cut every needed piece, in the order in which the pieces are needed.

    Parameters
    ----------
    uses
        How often the solution uses a way to cut.
    needs
        In the order of the work: a sheet is cut when the first of its pieces is needed, and a piece comes
        off the sheets already begun where they have it.

    Returns
    -------
    list of Cut
        In saw order, ids left empty.
    """
    sheets = _trees(cutting, uses)
    stocks = {f"{s.key}|{s.from_rack}": s for s in cutting.stocks}
    waiting: list[dict[Size, list[_Tree]]] = []
    for sheet in sheets:
        slots: dict[Size, list[_Tree]] = {}
        for leaf in sheet.leaves():
            slots.setdefault((leaf.node.length, leaf.node.width), []).append(leaf)
        waiting.append(slots)
    begun: list[int] = []
    for need in needs:
        number = next((n for n in begun if waiting[n].get(need.size)), None)
        if number is None:
            number = next(n for n in range(len(sheets)) if waiting[n].get(need.size))
            begun.append(number)
        waiting[number][need.size].pop(0).need = need
    cuts = []
    for number in begun:
        tree = sheets[number]
        tree.prune()
        cuts.append(_drawn(stocks[tree.node.stock], tree, cutting.kerf))
    return cuts


def _trees(cutting: Cutting, uses: Callable[[Way], int]) -> list[_Tree]:
    """Join the ways to cut into one tree a sheet; equal rectangles are handed out in one fixed order."""
    pool: dict[Node, list[Way]] = {}
    sheets: list[tuple[Way, int]] = []
    for way in cutting.ways:
        count = uses(way)
        if count and way.source.stage == "sheet":
            sheets.append((way, count))
        elif count:
            pool.setdefault(way.source, []).extend([way] * count)

    def grow(node: Node) -> _Tree:
        if not pool.get(node):
            return _Tree(node)
        way = pool[node].pop(0)
        return _Tree(node, way.cut, [grow(part) for part in way.parts])

    return [
        _Tree(way.source, way.cut, [grow(part) for part in way.parts])
        for way, count in sheets
        for _ in range(count)
    ]


@dataclass(slots=True)
class _Drawing:
    kerf: int
    pieces: list[CutPiece] = field(default_factory=list)
    steps: list[SawCut] = field(default_factory=list)
    shaping: list[ShapeCut] = field(default_factory=list)
    tight: bool = False

    def draw(self, tree: _Tree, x: int, y: int, length: int, width: int) -> None:
        """Place a tree's pieces in the rectangle (x, y, length, width), saw cuts first."""
        if tree.need is not None:
            need = tree.need
            if need.inside:
                self.shape(need, x, y)
                return
            self.pieces.append(CutPiece(need.label, x, y, length, width, need.turned))
            return
        cut = tree.cut
        assert cut is not None, "what is no piece is cut"
        room = length if cut == "crosscut" else width
        places = []
        offset = left = 0
        for child in tree.children:
            size = child.size(cut)
            left = room - offset - size
            if left > 0 and child is tree.children[-1] and not child.reaches(cut, self.kerf):
                # Whatever comes off this child is trimmed on that side anyway: a cut saved.
                size += left
            elif left > 0:
                corner = (x + offset, y) if cut == "crosscut" else (x, y + offset)
                extent = (length - offset, width) if cut == "crosscut" else (length, width - offset)
                self.steps.append(SawCut(cut, *corner, *extent, size))
            places.append((child, offset, size))
            offset += size + self.kerf
        if left < TIGHT and (left > 0 or len(places) > 1):
            self.tight = True
        for child, at, size in places:
            if cut == "crosscut":
                self.draw(child, x + at, y, size, width)
            else:
                self.draw(child, x, y + at, length, size)

    def shape(self, need: Need, x: int, y: int) -> None:
        """Place the pieces of a rectangle that is freed at (x, y), and the cuts that shape them."""
        for inside in need.inside:
            shape, x0, y0 = inside.shape, x + inside.x, y + inside.y
            corners = tuple((x0 + a, y0 + b) for a, b in shape.corners)
            openings = tuple((x0 + a, y0 + b, c, d) for a, b, c, d in shape.openings)
            self.pieces.append(
                CutPiece(inside.label, x0, y0, shape.length, shape.width, inside.turned, corners, openings)
            )
            far = x0 + shape.length, y0 + shape.width
            box = x, y, x + need.size[0], y + need.size[1]
            if inside.hole:
                self.shaping.append(ShapeCut("cut out", inside.label, ((x0, y0), far)))
            for one, other in zip(corners, (*corners[1:], *corners[:1]), strict=True):
                if not _on_edge(box, one, other):
                    self.shaping.append(ShapeCut("slant", inside.label, (one, other)))
            for a, b, length, width in openings:
                self.shaping.append(ShapeCut("cut out", inside.label, ((a, b), (a + length, b + width))))


def _on_edge(box: tuple[int, int, int, int], one: tuple[int, int], other: tuple[int, int]) -> bool:
    """Tell whether a line between two corners lies along a side of the freed rectangle."""
    left, bottom, right, top = box
    return (one[0] == other[0] and one[0] in (left, right)) or (
        one[1] == other[1] and one[1] in (bottom, top)
    )


def _drawn(stock: Stock, tree: _Tree, kerf: int) -> Cut:
    drawing = _Drawing(kerf)
    drawing.draw(tree, 0, 0, stock.length, stock.width)
    return Cut(
        "",
        stock.key,
        stock.length,
        stock.width,
        kerf,
        tuple(drawing.pieces),
        tuple(drawing.steps),
        1,
        drawing.tight,
        stock.from_rack,
        tuple(drawing.shaping),
    )
