"""
What ways to cut are worth at given prices of the pieces: the best sheets, and how far each way falls short.

Ways to cut form levels: sheets, strips or segments, blocks or slats, pieces. A table over them prices tens of
thousands of ways in a fraction of a millisecond, in floats or in exact integers.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from optimizer.patterns import Cutting, Node, Size

__all__ = ["Yields"]

LEVEL = {"block": 0, "slat": 0, "strip": 1, "segment": 1, "sheet": 2}
"""Of the rectangle that a way cuts up; its parts are of the level below, or pieces."""


@dataclass(frozen=True, slots=True)
class _Level:
    """
    The ways to cut the rectangles of one level, those of one rectangle next to each other.

    Parameters
    ----------
    ways
        Their places in the cutting.
    parts, starts
        The nodes that all ways make, one way after the other; where each way's begin.
    owners
        The node that each way cuts up.
    nodes, firsts
        The rectangles, and where the ways of each begin.
    """

    ways: Any
    parts: Any
    starts: Any
    owners: Any
    nodes: Any
    firsts: Any

    def sums(self, worth: Any) -> Any:
        """Give what the parts of every way are worth together."""
        import numpy as np

        return np.add.reduceat(worth[self.parts], self.starts)


class Yields:
    """
    The ways of a cutting as arrays.

    Parameters
    ----------
    sizes
        Of the pieces, in the order in which they are priced.
    """

    def __init__(self, cutting: Cutting, sizes: Sequence[Size]) -> None:
        import numpy as np

        self.cutting = cutting
        self._pieces = len(sizes)
        number = {Node("piece", *size): place for place, size in enumerate(sizes)}
        made = np.zeros(len(sizes), dtype=bool)
        listed: tuple[list[tuple[int, int, list[int]]], ...] = ([], [], [])
        for place, way in enumerate(cutting.ways):
            parts = [number.setdefault(part, len(number)) for part in way.parts]
            owner = number.setdefault(way.source, len(number))
            listed[LEVEL[way.source.stage]].append((owner, place, parts))
            if LEVEL[way.source.stage] == 0:
                made[[part for part in parts if part < len(sizes)]] = True
        self.made = made
        """Which sizes some way makes."""
        self._nodes = len(number)
        self._levels = tuple(_level(found) for found in listed if found)
        self._sheets = [number.get(s) for s in cutting.sheets()]
        self._ways_of: dict[int, tuple[_Level, int, int]] = {}
        for level in self._levels:
            ends = [*level.firsts[1:], len(level.ways)]
            for node, first, end in zip(level.nodes, level.firsts, ends, strict=True):
                self._ways_of[int(node)] = (level, int(first), int(end))

    def values(self, prices: Any) -> Any:
        """Give what every node is worth at most, by its number; `prices` are those of the sizes."""
        import numpy as np

        worth = np.zeros(self._nodes, dtype=prices.dtype)
        worth[: self._pieces] = prices * self.made
        for level in self._levels:
            worth[level.nodes] = np.maximum.reduceat(level.sums(worth), level.firsts)
        return worth

    def tops(self, worth: Any) -> list[Any]:
        """Give what one sheet of every stock is worth at most; 0 where nothing can be cut from it."""
        return [0 if sheet is None else worth[sheet].item() for sheet in self._sheets]

    def best(self, worth: Any, stock: int, most: int) -> list[tuple[Counter[int], set[int]]]:
        """
        List the most valuable ways to cut a sheet of a stock.

        Returns
        -------
        list
            For each the pieces, by their sizes' places, and the ways that are used, by theirs.
        """
        import numpy as np

        sheet = self._sheets[stock]
        if sheet is None:
            return []
        level, first, end = self._ways_of[sheet]
        sums = level.sums(worth)[first:end]
        order = np.argsort(-sums, kind="stable")[:most]
        return [self._cut_up(worth, level, first + int(place)) for place in order]

    def _cut_up(self, worth: Any, level: _Level, way: int) -> tuple[Counter[int], set[int]]:
        """Cut every part of a way in its most valuable way, down to the pieces."""
        import numpy as np

        end = level.starts[way + 1] if way + 1 < len(level.starts) else len(level.parts)
        pieces: Counter[int] = Counter()
        ways = {int(level.ways[way])}
        for part, count in Counter(level.parts[level.starts[way] : end].tolist()).items():
            if part < self._pieces:
                pieces[part] += count
                continue
            if part not in self._ways_of:
                continue
            below, first, last = self._ways_of[part]
            begin = below.starts[first]
            stop = below.starts[last] if last < len(below.starts) else len(below.parts)
            sums = np.add.reduceat(worth[below.parts[begin:stop]], below.starts[first:last] - begin)
            some, used = self._cut_up(worth, below, first + int(sums.argmax()))
            ways |= used
            for piece, amount in some.items():
                pieces[piece] += count * amount
        return pieces, ways

    def within(self, worth: Any, rates: Sequence[int], room: int) -> Cutting:
        """
        Keep the ways that belong to some sheet whose pieces are worth its rate, but for `room`.

        Parameters
        ----------
        worth
            In integers, as `values` gave it.
        rates
            What a sheet of every stock costs, in the prices' units.
        """
        import numpy as np

        short = np.full(self._nodes, np.iinfo(np.int64).max // 4)
        for sheet, rate in zip(self._sheets, rates, strict=True):
            if sheet is not None:
                short[sheet] = rate - worth[sheet]
        kept: list[int] = []
        for level in reversed(self._levels):
            lacks = short[level.owners] + worth[level.owners] - level.sums(worth)
            lengths = np.diff(np.append(level.starts, len(level.parts)))
            np.minimum.at(short, level.parts, np.repeat(lacks, lengths))
            kept += level.ways[lacks <= room].tolist()
        return replace(self.cutting, ways=tuple(self.cutting.ways[place] for place in sorted(kept)))


def _level(found: list[tuple[int, int, list[int]]]) -> _Level:
    import numpy as np

    found.sort(key=lambda way: way[:2])
    owners = np.array([owner for owner, _, _ in found])
    lengths = np.array([len(parts) for _, _, parts in found])
    nodes, firsts = np.unique(owners, return_index=True)
    return _Level(
        np.array([place for _, place, _ in found]),
        np.array([part for _, _, parts in found for part in parts]),
        np.cumsum(lengths) - lengths,
        owners,
        nodes,
        firsts,
    )
