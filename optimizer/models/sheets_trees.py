"""Cutting trees: what becomes of a rectangle under the saw, cut by cut."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from optimizer.models.sheets_question import Shape

__all__ = ["Node", "Pattern", "Tree", "Way", "join", "leaves"]

Way = Literal["rip", "crosscut"]


@dataclass(frozen=True, slots=True)
class Node:
    """A rectangle cut all one way: rips give children side by side, crosscuts one behind the other."""

    cut: Way
    children: tuple[Tree, ...]
    along: int
    across: int


Tree = Shape | Node


@dataclass(frozen=True, slots=True)
class Pattern:
    """One sheet and how it is cut."""

    sheet: int
    tree: Tree

    def yields(self, items: int) -> tuple[int, ...]:
        """Count the pieces of each item."""
        made = Counter(leaf.item for leaf in leaves(self.tree))
        return tuple(made[i] for i in range(items))


def join(cut: Way, trees: Iterable[Tree]) -> Tree:
    """Put trees beside each other, the widest (of a rip) or longest (of a crosscut) first."""
    flat: list[Tree] = []
    for tree in trees:
        flat += tree.children if isinstance(tree, Node) and tree.cut == cut else (tree,)
    if len(flat) == 1:
        return flat[0]
    if cut == "rip":
        flat.sort(key=lambda t: (-t.across, -t.along, _text(t)))
        return Node(cut, tuple(flat), max(t.along for t in flat), sum(t.across for t in flat))
    flat.sort(key=lambda t: (-t.along, -t.across, _text(t)))
    return Node(cut, tuple(flat), sum(t.along for t in flat), max(t.across for t in flat))


def _text(tree: Tree) -> tuple[tuple[int, bool], ...]:
    return tuple((leaf.item, leaf.turned) for leaf in leaves(tree))


def leaves(tree: Tree) -> Iterator[Shape]:
    """Go through the pieces in the order they come off the saw."""
    if isinstance(tree, Shape):
        yield tree
    else:
        for child in tree.children:
            yield from leaves(child)
