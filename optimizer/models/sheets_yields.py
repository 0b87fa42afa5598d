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
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from optimizer.models.sheets_check import Pairs, with_one_more
from optimizer.models.sheets_question import Question, Shape

__all__ = ["TooMany", "yields_again"]

Rows = npt.NDArray[np.int64]
Listed = tuple[Rows, Rows]
Yield = tuple[int, ...]

_NONE: Rows = np.zeros((0, 0), dtype=np.int64)

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


def _listed(pairs: Pairs) -> Listed:
    return np.array([at for at, _ in pairs]), np.array([worth for _, worth in pairs])


def _worth(pairs: Pairs, room: int) -> int:
    return pairs[bisect_right(pairs, (room, 1 << 62)) - 1][1]


Strips = dict[int, dict[int, Rows]]
"""By the width of a strip, by the long size of a block: the fullest stacks of such a block."""


@lru_cache(maxsize=32)
def _strips(counts: Yield, shapes: tuple[Shape, ...], cross: int, ripped: bool) -> Strips:
    groups: dict[int, list[tuple[int, Shape]]] = {}
    for x in shapes:
        a, b = (x.along, x.across) if ripped else (x.across, x.along)
        groups.setdefault(a, []).append((b, x))
    stacks = {a: _stacks_of(group, counts, cross) for a, group in groups.items()}
    strips: Strips = {w: {} for w in sorted({b for group in stacks.values() for b in group.values()})}
    for a, group in stacks.items():
        order = sorted(group.items(), key=lambda pair: pair[1])
        before, fullest = 0, _NONE
        for w, blocks in strips.items():
            upto = bisect_right(order, w, key=lambda pair: pair[1])
            if upto > before:
                fullest = _uncovered(np.array([stack for stack, _ in order[:upto]], dtype=np.int64))
                before = upto
            if upto:
                blocks[a] = fullest
    return strips


def _stacks_of(group: Sequence[tuple[int, Shape]], counts: Yield, cross: int) -> dict[Yield, int]:
    stacks: dict[Yield, int] = {(0,) * len(counts): 0}
    for b, x in group:
        for stack, size in list(stacks.items()):
            for n in range(1, counts[x.item] - stack[x.item] + 1):
                if size + n * b > cross:
                    break
                more = list(stack)
                more[x.item] += n
                made = tuple(more)
                stacks[made] = min(size + n * b, stacks.get(made, cross))
        if len(stacks) > MOST:
            raise TooMany
    return {stack: size for stack, size in stacks.items() if size}


class _Side:
    """One sheet, ripped or crosscut first."""

    def __init__(self, question: Question, number: int, values: Sequence[int], ripped: bool) -> None:
        sheet = question.sheets[number]
        self.counts, self.values = np.array(question.counts, dtype=np.int64), np.array(values, dtype=np.int64)
        self.long, self.cross = (sheet.length, sheet.width) if ripped else (sheet.width, sheet.length)
        self.strips = _strips(question.counts, question.shapes(sheet), self.cross, ripped)
        self.along = {w: self._along(w) for w in self.strips}
        self.across: Pairs = [(0, 0)]
        for w in self.strips:
            for _ in range(self.cross // w):
                self.across = with_one_more(self.across, w, self.along[w][-1][1], self.cross)

    def _along(self, width: int) -> Pairs:
        """Give the best worth of a strip by length, every block as often as it fits."""
        pairs: Pairs = [(0, 0)]
        for a, stacks in self.strips[width].items():
            value = int((stacks @ self.values).max())
            for _ in range(self.long // a if value else 0):
                pairs = with_one_more(pairs, a, value, self.long)
        return pairs

    def _strip(self, width: int, least: int) -> Rows:
        """List the fillings of a strip worth at least `least`, save those that others cover."""
        rows = np.zeros((1, len(self.counts)), dtype=np.int64)
        used = np.zeros(1, dtype=np.int64)
        pairs = _listed(self.along[width])
        for a, stacks in self.strips[width].items():
            for stack in stacks:
                rows, used = self._grow(rows, used, stack, a, self.long, pairs, least)
        return _uncovered(rows[rows @ self.values >= least])

    def sheet(self, least: int) -> set[Yield]:
        """List the yields of the sheet worth at least `least`."""
        rows = np.zeros((1, len(self.counts)), dtype=np.int64)
        used = np.zeros(1, dtype=np.int64)
        pairs = _listed(self.across)
        for w in reversed(self.strips):
            lacking = least - _worth(self.across, self.cross - w)
            if self.along[w][-1][1] < lacking:
                continue
            for filling in self._strip(w, lacking):
                rows, used = self._grow(rows, used, filling, w, self.cross, pairs, least)
        return {tuple(row) for row in rows[rows @ self.values >= least].tolist()}

    def _grow(
        self, rows: Rows, used: Rows, more: Rows, size: int, room: int, pairs: Listed, least: int
    ) -> tuple[Rows, Rows]:
        """Add one thing to every yield as often as it fits; drop what can't reach `least` any more."""
        before = len(rows)
        fresh, at = rows, used
        while True:
            fits = at + size <= room
            fresh, at = fresh[fits], at[fits] + size
            grown = np.minimum(fresh + more, self.counts)
            rest = pairs[1][np.searchsorted(pairs[0], room - at, "right") - 1]
            hopeful = (grown != fresh).any(axis=1) & (grown @ self.values + rest >= least)
            fresh, at = grown[hopeful], at[hopeful]
            if not len(fresh):
                break
            rows, used = np.vstack([rows, fresh]), np.concatenate([used, at])
        if len(rows) == before:
            return rows, used
        # Of equal yields the one that takes least room is enough.
        order = np.lexsort((used, *rows.T))
        rows, used = rows[order], used[order]
        first = np.concatenate([[True], (rows[1:] != rows[:-1]).any(axis=1)])
        rows, used = rows[first], used[first]
        if len(rows) > MOST:
            raise TooMany
        return rows, used
