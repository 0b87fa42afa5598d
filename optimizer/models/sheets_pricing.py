"""
The best pattern of up to three stages for given values of the items, by dynamic programming.

A frame is one first cut (rip or crosscut) on sheets that items lie on alike. Sizes are `long` along the
strips that the first cut makes and `cross` across them. The second cut makes blocks from a strip; the
third splits a block into pieces that all have the block's long size. Only sums of piece sizes can be
useful places for a cut, so every table runs over those alone.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from optimizer.models.sheets_question import Question, Shape, Sheet
from optimizer.models.sheets_trees import Pattern, Tree, Way, join

Array = npt.NDArray[np.generic]

__all__ = ["Frame", "Priced", "frames_of", "sums"]


def sums(sizes: Sequence[tuple[int, int]], room: int) -> set[int]:
    """List all sums up to `room` of (size, most copies) pairs, 0 included."""
    reach = {0}
    for size, copies in sizes:
        frontier = reach
        for _ in range(min(copies, room // size)):
            frontier = {f + size for f in frontier if f + size <= room} - reach
            if not frontier:
                break
            reach = reach | frontier
    return reach


@dataclass(frozen=True)
class Frame:
    """
    One first cut on sheets that all items lie on alike.

    `sheets` are numbers of sheets; `groups` the shapes of each long size, with their cross sizes. A frame of
    two stages has one piece in every block, trimmed to its width: the third cut yields nothing more.
    """

    question: Question
    first: Way
    sheets: tuple[int, ...]
    groups: tuple[tuple[int, tuple[tuple[int, Shape], ...]], ...]
    stages: int = 3

    def long(self, sheet: Sheet) -> int:
        """Give a sheet's size along the strips."""
        return sheet.length if self.first == "rip" else sheet.width

    def cross(self, sheet: Sheet) -> int:
        """Give a sheet's size across the strips."""
        return sheet.width if self.first == "rip" else sheet.length

    @cached_property
    def strips(self) -> list[int]:
        """All useful strip widths, 0 first."""
        room = max(self.cross(self.question.sheets[s]) for s in self.sheets)
        counts = self.question.counts
        if self.stages == 2:
            return sorted({0}.union(b for _, group in self.groups for b, _ in group if b <= room))
        return sorted(
            {0}.union(*(sums([(b, counts[x.item]) for b, x in group], room) for _, group in self.groups))
        )

    @cached_property
    def longs(self) -> list[int]:
        """All useful places along a strip."""
        room = max(self.long(self.question.sheets[s]) for s in self.sheets)
        return sorted(sums([(a, self.most(group)) for a, group in self.groups], room))

    @cached_property
    def crosses(self) -> list[int]:
        """All useful places across a sheet."""
        room = max(self.cross(self.question.sheets[s]) for s in self.sheets)
        return sorted(sums([(w, room // w) for w in self.strips if w], room))

    def most(self, group: tuple[tuple[int, Shape], ...]) -> int:
        """Give how many blocks of one long size can be of use in a strip."""
        return sum(self.question.counts[i] for i in {x.item for _, x in group})

    @cached_property
    def long_steps(self) -> list[list[Any]]:
        """For each group and copies: where in `longs` a strip stood before so many blocks were added."""
        places = np.array(self.longs)
        return [
            [
                np.searchsorted(places, places[places >= c * a] - c * a, "right") - 1
                for c in range(1, min(self.most(group), self.longs[-1] // a) + 1)
            ]
            for a, group in self.groups
        ]

    @cached_property
    def cross_steps(self) -> Any:
        """For each place across and strip: the place before that strip, -1 where it doesn't fit."""
        places = np.array(self.crosses)
        return np.searchsorted(places, places[:, None] - np.array(self.strips)[None, :], "right") - 1

    def price(self, values: Any, counts: Sequence[int] | None = None) -> Priced:
        """
        Fill the tables for item values, floats or integers; no negative ones.

        `counts` limit how many of an item a block may hold (more strips may still hold more of it).
        """
        return Priced(self, values, self.question.counts if counts is None else counts)


class Priced:
    """
    The tables of one frame for one set of item values.

    `along[g]` holds the best value of a strip by place along it and strip width, from the first g groups.
    """

    def __init__(self, frame: Frame, values: Any, counts: Sequence[int]) -> None:
        self.frame, self.values, self.counts = frame, values, counts
        self._stacks = [self._stack(group) for _, group in frame.groups]
        table = np.zeros((len(frame.longs), len(frame.strips)), dtype=values.dtype)
        self.along = [table]
        for (_, group), stack, steps in zip(frame.groups, self._stacks, frame.long_steps, strict=True):
            grown = table
            most = sum(counts[i] for i in {x.item for _, x in group})
            for c, before in enumerate(steps[:most], start=1):
                at = len(frame.longs) - len(before)
                if grown is table:
                    grown = table.copy()
                np.maximum(grown[at:], table[before] + c * stack[-1], out=grown[at:])
            table = grown
            self.along.append(table)
        self._across: dict[int, Any] = {}

    def _stack(self, group: tuple[tuple[int, Shape], ...]) -> list[Any]:
        """Best value of a block, by strip width; one table more for each shape that may be in it."""
        widths = np.array(self.frame.strips)
        tables = [np.zeros(len(widths), dtype=self.values.dtype)]
        for b, shape in group:
            table = tables[-1]
            grown = table.copy()
            if self.frame.stages == 2:
                if self.counts[shape.item]:
                    grown[widths >= b] = np.maximum(grown[widths >= b], self.values[shape.item])
                tables.append(grown)
                continue
            for c in range(1, min(self.counts[shape.item], int(widths[-1]) // b) + 1):
                fits = widths >= c * b
                before = np.searchsorted(widths, widths[fits] - c * b, "right") - 1
                grown[fits] = np.maximum(grown[fits], table[before] + c * self.values[shape.item])
            tables.append(grown)
        return tables

    def _sheet_table(self, long: int) -> Any:
        """Best value by place across, for sheets of one long size."""
        if long not in self._across:
            strips = self.along[-1][bisect_right(self.frame.longs, long) - 1]
            places, steps = self.frame.crosses, self.frame.cross_steps
            table = np.zeros(len(places), dtype=self.values.dtype)
            fit = np.searchsorted(np.array(self.frame.strips), np.array(places), "right")
            for i in range(1, len(places)):
                k = fit[i]
                best = (table[steps[i, 1:k]] + strips[1:k]).max() if k > 1 else 0
                table[i] = max(table[i - 1], best)
            self._across[long] = table
        return self._across[long]

    def rows(self, long: int) -> tuple[list[int], list[int]]:
        """Give the best value by strip, and by place across, on sheets of one long size."""
        strips = self.along[-1][bisect_right(self.frame.longs, long) - 1]
        return strips.tolist(), self._sheet_table(long).tolist()

    def block_value(self, group: int, strip: int) -> Any:
        """Give the value of the best block of a group in a strip of this width (an entry of `strips`)."""
        return self._stacks[group][-1][bisect_right(self.frame.strips, strip) - 1]

    def strip_value(self, long: int, strip: int) -> Any:
        """Give the value of the best filling of so much of a strip's length."""
        at = bisect_right(self.frame.longs, long) - 1
        return self.along[-1][at, bisect_right(self.frame.strips, strip) - 1] if at >= 0 else 0

    def sheet_value(self, long: int, cross: int) -> Any:
        """Give the value of the best pattern on so much of a sheet's breadth."""
        return self._sheet_table(long)[bisect_right(self.frame.crosses, cross) - 1]

    def value(self, sheet: Sheet) -> Any:
        """Give the value of the best pattern on a sheet."""
        table = self._sheet_table(self.frame.long(sheet))
        return table[bisect_right(self.frame.crosses, self.frame.cross(sheet)) - 1]

    def patterns(self, number: int, most: int = 1) -> Iterator[Pattern]:
        """Give the best pattern on a sheet, then the best ones that start with another strip."""
        frame = self.frame
        sheet = frame.question.sheets[number]
        long, cross = frame.long(sheet), frame.cross(sheet)
        table = self._sheet_table(long)
        strips = self.along[-1][bisect_right(frame.longs, long) - 1]
        at = bisect_right(frame.crosses, cross) - 1
        fit = bisect_right(frame.strips, cross)
        before = frame.cross_steps[at, :fit]
        totals = np.where(strips[:fit] > 0, table[before] + strips[:fit], -1)
        for w in np.argsort(-totals, kind="stable")[:most]:
            if totals[w] > 0:
                rest = self._strip_numbers(table, strips, int(before[w]))
                yield Pattern(number, join(frame.first, [self._strip(int(i), long) for i in [w, *rest]]))

    def _strip_numbers(self, table: Any, strips: Any, at: int) -> Iterator[int]:
        frame = self.frame
        while at > 0:
            if table[at] == table[at - 1]:
                at -= 1
                continue
            fit = bisect_right(frame.strips, frame.crosses[at])
            before = frame.cross_steps[at, :fit]
            hits = table[before] + strips[:fit] == table[at]
            hits[0] = False
            w = int(hits.nonzero()[0][-1])
            yield w
            at = int(before[w])

    def _strip(self, width: int, long: int) -> Tree:
        """Read one strip back: for each group from last to first, how many blocks it holds."""
        frame = self.frame
        at = bisect_right(frame.longs, long) - 1
        blocks: list[Tree] = []
        for g in range(len(frame.groups) - 1, -1, -1):
            table, grown = self.along[g], self.along[g + 1]
            if grown[at, width] != table[at, width]:
                copies = self._copies(g, at, width)
                blocks += [self._block(g, width)] * copies
                at = self._before(g, copies, at)
        return join("crosscut" if frame.first == "rip" else "rip", blocks)

    def _before(self, g: int, copies: int, at: int) -> int:
        before = self.frame.long_steps[g][copies - 1]
        return int(before[at - (len(self.frame.longs) - len(before))])

    def _copies(self, g: int, at: int, width: int) -> int:
        table, grown, stack = self.along[g], self.along[g + 1], self._stacks[g][-1]
        for c, before in enumerate(self.frame.long_steps[g], start=1):
            if at < len(self.frame.longs) - len(before):
                break
            if table[self._before(g, c, at), width] + c * stack[width] == grown[at, width]:
                return c
        raise AssertionError("a table does not lead back to its start")

    def _block(self, g: int, width: int) -> Tree:
        _, group = self.frame.groups[g]
        tables, widths, at = self._stacks[g], self.frame.strips, width
        pieces: list[Tree] = []
        for j in range(len(group) - 1, -1, -1):
            b, shape = group[j]
            if self.frame.stages == 2:
                if tables[j][at] != tables[j + 1][at]:
                    return shape
                continue
            for c in range(min(self.counts[shape.item], widths[at] // b) + 1):
                before = bisect_right(widths, widths[at] - c * b) - 1
                if tables[j][before] + c * self.values[shape.item] == tables[j + 1][at]:
                    pieces += [shape] * c
                    at = before
                    break
        return join(self.frame.first, pieces)


def frames_of(
    question: Question, stages: int = 3, ways: tuple[Way, ...] = ("rip", "crosscut")
) -> tuple[Frame, ...]:
    """List the first cuts for every set of sheets that the items lie on alike."""
    whole = any(item.width == 0 for item in question.items)
    classes: dict[int, list[int]] = {}
    for number, sheet in enumerate(question.sheets):
        classes.setdefault(sheet.width if whole else 0, []).append(number)
    frames = []
    for numbers in classes.values():
        shapes = sorted({x for n in numbers for x in question.shapes(question.sheets[n])})
        for first in ways:
            groups: dict[int, list[tuple[int, Shape]]] = {}
            for x in shapes:
                a, b = (x.along, x.across) if first == "rip" else (x.across, x.along)
                groups.setdefault(a, []).append((b, x))
            ordered = tuple((a, tuple(groups[a])) for a in sorted(groups))
            frames.append(Frame(question, first, tuple(numbers), ordered, stages))
    return tuple(frames)
