"""The best way to cut a sheet in any number of stages, items without limit: a table over all sizes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
from numba import njit

from optimizer.models.sheets_question import Shape
from optimizer.models.sheets_trees import Node, Tree

__all__ = ["Grid"]

Array = npt.NDArray[Any]


@njit(cache=True)
def _fill(table: Array, xs: Array, ys: Array, x_at: Array, y_at: Array) -> None:
    """Let every rectangle be worth as much as the best two that one cut makes of it."""
    # Crosscuts look along a column of the table, so they read a copy in which columns are rows.
    turned = table.T.copy()
    rests = np.empty(xs.shape[0], np.int64)
    for i in range(1, xs.shape[0]):
        halves = np.searchsorted(xs, xs[i] // 2, side="right")
        for k in range(1, halves):
            rests[k] = x_at[xs[i] - xs[k]]
        for j in range(1, ys.shape[0]):
            row, column = table[i], turned[j]
            best = max(row[j], column[i - 1], row[j - 1])
            for k in range(1, halves):
                best = max(best, column[k] + column[rests[k]])
            for k in range(1, j):
                if 2 * ys[k] > ys[j]:
                    break
                best = max(best, row[k] + row[y_at[ys[j] - ys[k]]])
            row[j] = column[i] = best


class Grid:
    """
    The table for shapes on sheets up to a size, over sums of shapes' sizes alone.

    Parameters
    ----------
    xs, ys
        Places along and across the sheet that a cut can be of use at, from 0 on.
    """

    def __init__(self, shapes: Sequence[Shape], xs: Sequence[int], ys: Sequence[int], values: Array) -> None:
        self.shapes, self.values = shapes, values
        self.xs, self.ys = np.array(xs, dtype=np.int64), np.array(ys, dtype=np.int64)
        self.table = np.zeros((len(xs), len(ys)), dtype=values.dtype)
        for x in shapes:
            i, j = np.searchsorted(self.xs, x.along), np.searchsorted(self.ys, x.across)
            self.table[i, j] = max(self.table[i, j], values[x.item])
        self._x_at = np.searchsorted(self.xs, np.arange(self.xs[-1] + 1), "right") - 1
        self._y_at = np.searchsorted(self.ys, np.arange(self.ys[-1] + 1), "right") - 1
        self._trees: dict[tuple[int, int], Tree] = {}
        _fill(self.table, self.xs, self.ys, self._x_at, self._y_at)

    def value(self, length: int, width: int) -> Any:
        """Give the worth of a rectangle."""
        i, j = self._at(length, width)
        return self.table[i, j]

    def _at(self, length: int, width: int) -> tuple[int, int]:
        return int(self._x_at[min(length, self.xs[-1])]), int(self._y_at[min(width, self.ys[-1])])

    def _crosscuts(self, i: int, j: int) -> Array:
        """Give what every first crosscut of a rectangle is worth, by place."""
        worth: Array = self.table[1 : i + 1, j] + self.table[self._x_at[self.xs[i] - self.xs[1 : i + 1]], j]
        return worth

    def _rips(self, i: int, j: int) -> Array:
        """Give what every first rip of a rectangle is worth, by place."""
        worth: Array = self.table[i, 1 : j + 1] + self.table[i, self._y_at[self.ys[j] - self.ys[1 : j + 1]]]
        return worth

    def trees(self, length: int, width: int, most: int) -> list[Tree]:
        """Read back the best ways to cut a rectangle, no two with the same first cut."""
        i, j = self._at(length, width)
        worths = np.concatenate([self._crosscuts(i, j), self._rips(i, j)])
        found: dict[Tree, None] = {}
        for k in np.argsort(-worths, kind="stable")[:most].tolist():
            if worths[k] > 0:
                found.setdefault(self._cut(i, j, k + 1 if k < i else -(k - i + 1)))
        return list(found)

    def _cut(self, i: int, j: int, k: int) -> Tree:
        """Cut a rectangle at place k along it, or at place -k across it."""
        if k > 0:
            parts = [(k, j), (int(self._x_at[self.xs[i] - self.xs[k]]), j)]
        else:
            parts = [(i, -k), (i, int(self._y_at[self.ys[j] - self.ys[-k]]))]
        trees = tuple(self._tree(*part) for part in parts if self.table[part] > 0)
        if len(trees) == 1:
            return trees[0]
        along, across = [t.along for t in trees], [t.across for t in trees]
        if k > 0:
            return Node("crosscut", trees, sum(along), max(across))
        return Node("rip", trees, max(along), sum(across))

    def tree(self, length: int, width: int) -> Tree:
        """Read back a best way to cut a rectangle that is worth something."""
        return self._tree(*self._at(length, width))

    def _tree(self, i: int, j: int) -> Tree:
        if (i, j) not in self._trees:
            self._trees[i, j] = self._read(i, j)
        return self._trees[i, j]

    def _read(self, i: int, j: int) -> Tree:
        worth = self.table[i, j]
        while self.table[i - 1, j] == worth:
            i -= 1
        while self.table[i, j - 1] == worth:
            j -= 1
        for x in self.shapes:
            if (x.along, x.across) == (self.xs[i], self.ys[j]) and self.values[x.item] == worth:
                return x
        # A cut near the middle keeps the tree from growing as deep as it has pieces.
        hits = np.flatnonzero(self._crosscuts(i, j)[:-1] == worth)
        if len(hits):
            return self._cut(i, j, int(hits[len(hits) // 2]) + 1)
        hits = np.flatnonzero(self._rips(i, j)[:-1] == worth)
        return self._cut(i, j, -(int(hits[len(hits) // 2]) + 1))
