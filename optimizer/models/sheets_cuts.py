"""From patterns to cuts: which part lies where, and the saw's steps in order, in base units."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from optimizer.models.sheets_question import Question, Shape
from optimizer.models.sheets_trees import Node, Pattern, Tree, Way, join
from optimizer.plan import Cut, CutPiece, SawCut
from optimizer.words import Part, Stock

__all__ = ["cuts_of", "is_tight", "prune", "without_surplus"]


def without_surplus(question: Question, patterns: Sequence[Pattern]) -> list[Pattern]:
    """
    Drop pieces beyond what is wanted, and sheets that then hold nothing.

    Pieces are dropped from the emptiest sheets, so that what remains of them is worth keeping.
    """
    left = list(question.counts)
    order = sorted(patterns, key=lambda p: (-_area(p.tree), p.sheet, repr(p.tree)))
    kept = []
    for pattern in order:
        tree = prune(pattern.tree, left)
        if tree is not None:
            kept.append(Pattern(pattern.sheet, tree))
    return kept


def _area(tree: Tree) -> int:
    if isinstance(tree, Shape):
        return tree.along * tree.across
    return sum(_area(child) for child in tree.children)


def prune(tree: Tree, left: list[int]) -> Tree | None:
    """Keep the pieces that are still wanted, counting them off."""
    if isinstance(tree, Shape):
        if not left[tree.item]:
            return None
        left[tree.item] -= 1
        return tree
    kept = [child for child in (prune(c, left) for c in tree.children) if child is not None]
    return join(tree.cut, kept) if kept else None


def is_tight(question: Question, pattern: Pattern) -> bool:
    """Say whether some row of pieces across or along the sheet leaves less than a quarter inch."""
    sheet = question.sheets[pattern.sheet]
    # Where the stock is no whole number of steps, no row of pieces ends at its very edge.
    exact = (True, True)
    if question.stocks:
        stock = question.stocks[pattern.sheet]
        exact = (
            sheet.length * question.step == stock.length + question.kerf,
            sheet.width * question.step == stock.width + question.kerf,
        )

    def tight(tree: Tree, length: int, width: int) -> bool:
        # `length` and `width` are what the rows that end in this tree may take up at most.
        whole = (tree.along, tree.across)
        loose = (length - sheet.length + sheet.loose_length, width - sheet.width + sheet.loose_width)
        if isinstance(tree, Shape):
            return any(
                size > room and not (even and size == most)
                for size, room, most, even in zip(whole, loose, (length, width), exact, strict=True)
            )
        if tree.cut == "rip":
            spent = tree.across
            if len(tree.children) > 1 and spent > loose[1]:
                return True
            return any(tight(c, length, width - spent + c.across) for c in tree.children)
        spent = tree.along
        if len(tree.children) > 1 and spent > loose[0]:
            return True
        return any(tight(c, length - spent + c.along, width) for c in tree.children)

    return tight(pattern.tree, sheet.length, sheet.width)


def _even(tree: Node) -> bool:
    """Say whether all strips end at one line and none needs more than one further stage."""

    def ends(x: Tree, cut: Way) -> int:
        return x.along if cut == "rip" else x.across

    if len({ends(strip, tree.cut) for strip in tree.children}) > 1:
        return False
    strips = [strip for strip in tree.children if isinstance(strip, Node)]
    return all(isinstance(x, Shape) and ends(x, s.cut) == ends(s, s.cut) for s in strips for x in s.children)


@dataclass
class _Drawing:
    """Collects pieces and steps while a tree is cut from its stock."""

    question: Question
    labels: dict[int, list[Part]]
    pieces: list[CutPiece] = field(default_factory=list)
    steps: list[SawCut] = field(default_factory=list)

    def real(self, steps: int) -> int:
        return steps * self.question.step - self.question.kerf

    def stock(self, tree: Tree, length: int, width: int) -> None:
        """Cut a tree from a whole stock; one cut first where it spares every strip a cut of its own."""
        if isinstance(tree, Shape) or not _even(tree):
            self.cut(tree, 0, 0, length, width)
        elif tree.cut == "rip" and self.real(tree.along) < length:
            size = self.real(tree.along)
            self.steps.append(SawCut("crosscut", 0, 0, length, width, size))
            self.cut(tree, 0, 0, size, width)
        elif tree.cut == "crosscut" and self.real(tree.across) < width:
            size = self.real(tree.across)
            self.steps.append(SawCut("rip", 0, 0, length, width, size))
            self.cut(tree, 0, 0, length, size)
        else:
            self.cut(tree, 0, 0, length, width)

    def cut(self, tree: Tree, x: int, y: int, length: int, width: int) -> None:
        """Cut a tree from a rectangle of the stock that is at least as large."""
        if isinstance(tree, Shape):
            self._piece(tree, x, y, length, width)
            return
        for child in tree.children:
            if tree.cut == "rip":
                size = self.real(child.across)
                if size < width:
                    self.steps.append(SawCut("rip", x, y, length, width, size))
                self.cut(child, x, y, length, min(size, width))
                y, width = y + size + self.question.kerf, width - size - self.question.kerf
            else:
                size = self.real(child.along)
                if size < length:
                    self.steps.append(SawCut("crosscut", x, y, length, width, size))
                self.cut(child, x, y, min(size, length), width)
                x, length = x + size + self.question.kerf, length - size - self.question.kerf

    def _piece(self, shape: Shape, x: int, y: int, length: int, width: int) -> None:
        along, across = self.real(shape.along), self.real(shape.across)
        if along < length:
            self.steps.append(SawCut("crosscut", x, y, length, width, along))
        if across < width:
            self.steps.append(SawCut("rip", x, y, along, width, across))
        part = self.labels[shape.item].pop(0)
        self.pieces.append(CutPiece(part.label, x, y, along, across, shape.turned))


def cuts_of(question: Question, patterns: Sequence[Pattern]) -> tuple[Cut, ...]:
    """
    Name the parts, draw every cut, put alike cuts together, what is needed first in front.

    The patterns must hold exactly what is wanted (`without_surplus`).
    """
    labels = {
        i: [p for p in sorted(same, key=lambda p: (p.needed, p.label)) for _ in range(p.count)]
        for i, same in enumerate(question.parts)
    }
    needed = {p.label: p.needed for same in question.parts for p in same}
    cuts = []
    for pattern in _in_saw_order(question, patterns):
        stock = question.stocks[pattern.sheet]
        drawing = _Drawing(question, labels)
        drawing.stock(pattern.tree, stock.length, stock.width)
        cuts.append(_cut(question, stock, pattern, drawing))
    cuts.sort(key=lambda cut: min(needed[p.label] for p in cut.pieces))
    return tuple(_merged(cuts))


def _in_saw_order(question: Question, patterns: Sequence[Pattern]) -> list[Pattern]:
    """Patterns that hold what is needed first come first, alike ones stay together."""
    first = [min(p.needed for p in same) for same in question.parts]

    def key(pattern: Pattern) -> tuple[object, ...]:
        made = pattern.yields(len(question.items))
        urgent = min(first[i] for i, n in enumerate(made) if n)
        return urgent, -_area(pattern.tree), pattern.sheet, repr(pattern.tree)

    return sorted(patterns, key=key)


def _cut(question: Question, stock: Stock, pattern: Pattern, drawing: _Drawing) -> Cut:
    return Cut(
        "",
        stock.key,
        stock.length,
        stock.width,
        question.kerf,
        tuple(drawing.pieces),
        tuple(drawing.steps),
        tight=is_tight(question, pattern),
        from_rack=stock.from_rack,
    )


def _merged(cuts: Sequence[Cut]) -> Iterator[Cut]:
    alike: dict[Cut, int] = {}
    for cut in cuts:
        alike[cut] = alike.get(cut, 0) + 1
    for cut, repeat in alike.items():
        yield replace(cut, repeat=repeat)
