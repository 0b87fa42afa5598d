"""
What sheets can yield, listed a second time in another way, for the second witness of a refuted purchase.

Where `sheets_proper` goes depth first over cuts, this grows sets of yields: all fillings of a strip, block
by block, then all fillings of a sheet, strip by strip. What exceeds the wanted counts is cut off them; yields
that another one covers are dropped; so are those that can't reach the worth asked for any more, by lists
that share nothing with the tables of the dynamic program.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from optimizer.models.sheets_check import Pairs, with_one_more
from optimizer.models.sheets_question import Question, Shape

__all__ = ["TooMany", "yields_again"]

Rows = npt.NDArray[np.int64]
Yield = tuple[int, ...]

MOST = 6000
"""Yields kept at a time before listing is given up."""


class TooMany(Exception):
    """There are more yields than can be kept."""


def yields_again(question: Question, number: int, values: Sequence[int], least: int) -> set[Yield]:
    """
    List all yields of a sheet in up to three stages that are worth at least `least`, save those others cover.

    Raises
    ------
    TooMany
        If there are too many on the way.
    """
    found: set[Yield] = set()
    for ripped in (True, False):
        found |= _Side(question, number, values, ripped).sheet(least)
    rows = np.array(sorted(found), dtype=np.int64).reshape(len(found), len(question.items))
    return {tuple(row) for row in _uncovered(rows).tolist()}


def _uncovered(rows: Rows) -> Rows:
    """Leave out rows that another row covers in every place."""
    rows = np.unique(rows, axis=0)
    keep = [k for k, row in enumerate(rows) if int((rows >= row).all(axis=1).sum()) == 1]
    return rows[keep]


def _worth(pairs: Pairs, room: int) -> int:
    return pairs[bisect_right(pairs, (room, 1 << 62)) - 1][1]


class _Side:
    """One sheet, ripped or crosscut first."""

    def __init__(self, question: Question, number: int, values: Sequence[int], ripped: bool) -> None:
        sheet = question.sheets[number]
        self.counts, self.values = np.array(question.counts, dtype=np.int64), np.array(values, dtype=np.int64)
        self.long, self.cross = (sheet.length, sheet.width) if ripped else (sheet.width, sheet.length)
        groups: dict[int, list[tuple[int, Shape]]] = {}
        for x in question.shapes(sheet):
            a, b = (x.along, x.across) if ripped else (x.across, x.along)
            groups.setdefault(a, []).append((b, x))
        self.stacks = {a: self._stacks(group) for a, group in groups.items()}
        self.widths = sorted({b for stacks in self.stacks.values() for b in stacks.values()})
        self.along = {w: self._along(w) for w in self.widths}
        self.across: Pairs = [(0, 0)]
        for w in self.widths:
            for _ in range(self.cross // w):
                self.across = with_one_more(self.across, w, self.along[w][-1][1], self.cross)

    def _stacks(self, group: Sequence[tuple[int, Shape]]) -> dict[Yield, int]:
        """Give every stack of a block with its size across."""
        stacks: dict[Yield, int] = {(0,) * len(self.counts): 0}
        for b, x in group:
            for stack, size in list(stacks.items()):
                for n in range(1, int(self.counts[x.item]) + 1):
                    if size + n * b > self.cross:
                        break
                    more = list(stack)
                    more[x.item] += n
                    if more[x.item] <= self.counts[x.item]:
                        stacks[tuple(more)] = min(size + n * b, stacks.get(tuple(more), self.cross))
            if len(stacks) > MOST:
                raise TooMany
        return {stack: size for stack, size in stacks.items() if size}

    def _along(self, width: int) -> Pairs:
        """Give the best worth of a strip by length, every block as often as it fits."""
        pairs: Pairs = [(0, 0)]
        for a, stacks in self.stacks.items():
            value = max((self._value(s) for s, b in stacks.items() if b <= width), default=0)
            for _ in range(self.long // a if value else 0):
                pairs = with_one_more(pairs, a, value, self.long)
        return pairs

    def _value(self, made: Yield) -> int:
        return int(np.array(made, dtype=np.int64) @ self.values)

    def _strip(self, width: int, least: int) -> Rows:
        """List the fillings of a strip worth at least `least`, save those that others cover."""
        rows = np.zeros((1, len(self.counts)), dtype=np.int64)
        used = np.zeros(1, dtype=np.int64)
        pairs = self.along[width]
        for a, stacks in self.stacks.items():
            for stack, b in stacks.items():
                if b > width:
                    continue
                rows, used = self._grow(rows, used, np.array(stack), a, self.long, pairs, least)
        return _uncovered(rows[rows @ self.values >= least])

    def sheet(self, least: int) -> set[Yield]:
        """List the yields of the sheet worth at least `least`."""
        rows = np.zeros((1, len(self.counts)), dtype=np.int64)
        used = np.zeros(1, dtype=np.int64)
        for w in reversed(self.widths):
            for filling in self._strip(w, least - _worth(self.across, self.cross - w)):
                rows, used = self._grow(rows, used, filling, w, self.cross, self.across, least)
        return {tuple(row) for row in rows[rows @ self.values >= least].tolist()}

    def _grow(
        self, rows: Rows, used: Rows, more: Rows, size: int, room: int, pairs: Pairs, least: int
    ) -> tuple[Rows, Rows]:
        """Add one thing to every yield as often as it fits; drop what can't reach `least` any more."""
        places = np.array([at for at, _ in pairs])
        worths = np.array([value for _, value in pairs])
        fresh, at = rows, used
        while len(fresh):
            grown = np.minimum(fresh + more, self.counts)
            changed = (grown != fresh).any(axis=1) & (at + size <= room)
            fresh, at = grown[changed], at[changed] + size
            rest = worths[np.searchsorted(places, room - at, "right") - 1]
            hopeful = fresh @ self.values + rest >= least
            fresh, at = fresh[hopeful], at[hopeful]
            rows, used = np.vstack([rows, fresh]), np.concatenate([used, at])
        # Of equal yields the one that takes least room is enough.
        order = np.lexsort((used, *rows.T))
        rows, used = rows[order], used[order]
        first = np.concatenate([[True], (rows[1:] != rows[:-1]).any(axis=1)])
        rows, used = rows[first], used[first]
        if len(rows) > MOST:
            raise TooMany
        return rows, used
