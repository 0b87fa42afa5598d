"""
Ruin and recreate on cutting trees: good plans for many pieces where exact methods take too long.

The aim is set before the means: within a budget just below the best plan's cost, leave no piece out.

Notes
-----
The scheme (a goal, ruin and recreate, late acceptance) follows Gardeyn and Wauters, European Journal of
Operational Research 301 (2022), from memory; the trees and the moves are our own.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from optimizer.models.sheets_kernels import search
from optimizer.models.sheets_places import Yard
from optimizer.models.sheets_question import Question, Shape
from optimizer.models.sheets_table import AXIS, COLUMNS, FIRST, ITEM, NEXT, Table
from optimizer.models.sheets_trees import Pattern, Tree, join

__all__ = ["ROUND", "Ruins"]

ROUND = 1e-7
"""Seconds of work for a round and a piece."""

NO_LIMIT = 1 << 60

DEEPEST = 100
"""Cuts deep that a tree may be where stages are without limit: trees are read by recursion."""

WEIGHT = 0.3
"""How much free room in large rectangles makes up for area left out: it gathers what is free."""


class Ruins:
    """
    Sheets being filled, and the pieces in none of them.

    Parameters
    ----------
    question
        Its packs are taken apart: a sheet costs its share of one. Every item has a width.
    counts
        How many pieces of each item to place.
    stages
        How many cuts deep a tree may be; None without limit.
    """

    def __init__(self, question: Question, counts: Sequence[int], stages: int | None, seed: int = 1) -> None:
        self.question, self.seed = question, seed
        self.stages = DEEPEST if stages is None else stages
        self.items = [i for i, n in enumerate(counts) for _ in range(n)]
        self.count = pieces = len(self.items)
        self.budget, self.late, self.begun = 0, np.zeros(0), 0
        parts, sheets = question.items, question.sheets
        limits = [NO_LIMIT if s.limit is None else s.limit for s in sheets]
        kinds = [(s.length, s.width, s.cost, n, 0) for s, n in zip(sheets, limits, strict=True)]
        rows = 8 * pieces + 64
        tree: Table = np.zeros((rows, COLUMNS), dtype=np.int64)
        tree[:, NEXT] = np.arange(1, rows + 1)
        first = {i: at for at, i in reversed(list(enumerate(self.items)))}
        self.yard = Yard(
            tree,
            np.array([0, 0, rows], dtype=np.int64),
            np.full((pieces + 1, 2), -1, dtype=np.int64),
            np.array(kinds, dtype=np.int64),
            np.array([(parts[i].length, parts[i].width) for i in self.items], dtype=np.int64).reshape(-1, 2),
            np.array([parts[i].may_turn for i in self.items], dtype=np.int64),
            np.array([first[i] for i in self.items], dtype=np.int64),
            np.arange(pieces),
        )

    @property
    def used(self) -> list[int]:
        """Sheets of each kind in use."""
        return [int(n) for n in self.yard.kinds[:, 4]]

    def run(self, budget: int, rounds: int, history: int) -> bool:
        """
        Go on for so many rounds; True once every piece is placed.

        A change is kept if it is no worse than now or than `history` rounds ago under the same budget.
        """
        if not self.items:
            return True
        if (budget, history) != (self.budget, len(self.late)):
            self.budget, self.late, self.begun = budget, np.zeros(history), 0
        self.seed += 1
        area = float(self.yard.kinds[0, 0] * self.yard.kinds[0, 1])
        self.count = search(
            self.yard,
            self.late,
            self.begun,
            self.count,
            budget,
            self.stages,
            rounds,
            WEIGHT / area,
            self.seed,
        )
        self.begun += rounds
        return self.count == 0

    def patterns(self) -> list[Pattern]:
        """Give what the sheets hold."""
        found = []
        for root, kind in self.yard.slots:
            if root >= 0 and self.yard.tree[root, FIRST] >= 0:
                found.append(Pattern(int(kind), self._tree(int(root))))
        return found

    def _tree(self, n: int) -> Tree:
        item = int(self.yard.tree[n, ITEM])
        if item >= 0:
            piece, turn = item >> 1, item & 1
            along, across = self.yard.sizes[piece, turn], self.yard.sizes[piece, 1 - turn]
            return Shape(int(along), int(across), self.items[piece], bool(turn))
        children = []
        c = int(self.yard.tree[n, FIRST])
        while c >= 0:
            children.append(self._tree(c))
            c = int(self.yard.tree[c, NEXT])
        return join("rip" if self.yard.tree[n, AXIS] else "crosscut", children)
