"""The best way to cut a sheet in any number of stages, items without limit: a table over all sizes."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
import numpy.typing as npt
from numba import njit

from optimizer.models.sheets_question import Shape
from optimizer.models.sheets_trees import Tree, join

__all__ = ["Grid"]

Array = npt.NDArray[Any]


@njit(cache=True)
def _fill(table: Array, xs: Array, ys: Array, x_at: Array, y_at: Array) -> None:
    """Let every rectangle be worth as much as the best two that one cut makes of it."""
    for i in range(1, xs.shape[0]):
        for j in range(1, ys.shape[0]):
            best = max(table[i, j], table[i - 1, j], table[i, j - 1])
            for k in range(1, i):
                if 2 * xs[k] > xs[i]:
                    break
                best = max(best, table[k, j] + table[x_at[xs[i] - xs[k]], j])
            for k in range(1, j):
                if 2 * ys[k] > ys[j]:
                    break
                best = max(best, table[i, k] + table[i, y_at[ys[j] - ys[k]]])
            table[i, j] = best


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
        x_at = np.searchsorted(self.xs, np.arange(self.xs[-1] + 1), "right") - 1
        y_at = np.searchsorted(self.ys, np.arange(self.ys[-1] + 1), "right") - 1
        _fill(self.table, self.xs, self.ys, x_at, y_at)

    def value(self, length: int, width: int) -> Any:
        """Give the worth of a rectangle."""
        i, j = self._at(length, width)
        return self.table[i, j]

    def _at(self, length: int, width: int) -> tuple[int, int]:
        i = int(np.searchsorted(self.xs, length, "right")) - 1
        return i, int(np.searchsorted(self.ys, width, "right")) - 1

    def trees(self, length: int, width: int, most: int) -> list[Tree]:
        """Read back a best way to cut a rectangle, then ways with the best of the other first cuts."""
        i, j = self._at(length, width)
        first = [
            (int(self.table[k, j] + self.table[self._at(length - int(self.xs[k]), width)[0], j]), 0, k)
            for k in range(1, i + 1)
        ]
        first += [
            (int(self.table[i, k] + self.table[i, self._at(length, width - int(self.ys[k]))[1]]), 1, k)
            for k in range(1, j + 1)
        ]
        first.sort(key=lambda way: (-way[0], way[1:]))
        found: dict[Tree, None] = {}
        for _, across, k in first[: 3 * most]:
            if across:
                at = int(self.ys[k])
                parts = [(length, at), (length, width - at)]
            else:
                at = int(self.xs[k])
                parts = [(at, width), (length - at, width)]
            trees = [self.tree(*part) for part in parts if self.value(*part) > 0]
            if trees:
                found.setdefault(join("rip" if across else "crosscut", trees))
            if len(found) == most:
                break
        return list(found)

    def tree(self, length: int, width: int) -> Tree:
        """Read back a best way to cut a rectangle that is worth something."""
        i, j = self._at(length, width)
        worth = self.table[i, j]
        while i > 0 and self.table[i - 1, j] == worth:
            i -= 1
        while j > 0 and self.table[i, j - 1] == worth:
            j -= 1
        along, across = int(self.xs[i]), int(self.ys[j])
        for x in self.shapes:
            if (x.along, x.across) == (along, across) and self.values[x.item] == worth:
                return x
        for k in range(1, i):
            rest, _ = self._at(along - int(self.xs[k]), across)
            if self.table[k, j] + self.table[rest, j] == worth:
                parts = (self.tree(int(self.xs[k]), across), self.tree(along - int(self.xs[k]), across))
                return join("crosscut", parts)
        for k in range(1, j):
            _, rest = self._at(along, across - int(self.ys[k]))
            if self.table[i, k] + self.table[i, rest] == worth:
                parts = (self.tree(along, int(self.ys[k])), self.tree(along, across - int(self.ys[k])))
                return join("rip", parts)
        raise AssertionError("the table does not lead back to a piece")
