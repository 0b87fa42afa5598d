"""
All patterns worth at least so much that hold no more of any item than is wanted.

The dynamic program may use an item more often than it is wanted; its tables still bound what any filling can
be worth. A depth-first search over strips, blocks and stacks under these bounds finds exactly the patterns
within the counts, each once.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence

from optimizer.engine import Clock
from optimizer.models.sheets_pricing import Priced
from optimizer.models.sheets_question import Shape
from optimizer.models.sheets_trees import Pattern, Way, join

__all__ = ["Enough", "Proper"]


class Enough(Exception):
    """More patterns or more work than was allowed."""


Stack = tuple[Shape, ...]
Strip = tuple[Stack, ...]


class Proper:
    """The search on one sheet of a frame; `work` is how many fillings may still be looked at."""

    def __init__(self, priced: Priced, number: int, work: int, clock: Clock) -> None:
        frame = priced.frame
        sheet = frame.question.sheets[number]
        self.priced, self.number, self.work, self.clock = priced, number, work, clock
        self.left = list(priced.counts)
        self.long, self.cross = frame.long(sheet), frame.cross(sheet)
        self.strips, self.across = priced.rows(self.long)
        self.values = [int(v) for v in priced.values]
        self.least = 0

    def every(self, least: int, most: int) -> list[Pattern]:
        """
        List the fullest patterns worth at least `least`.

        Raises
        ------
        Enough
            If there are more than `most`, or the work or the time was used up.
        """
        self.least = least
        found = []
        frame = self.priced.frame
        top = bisect_right(frame.strips, self.cross) - 1
        for strips in self._cross(top, None, self.cross, 0, []):
            found.append(self._pattern(strips))
            if len(found) > most:
                raise Enough
        return found

    def _pattern(self, strips: Sequence[Strip]) -> Pattern:
        first = self.priced.frame.first
        other: Way = "crosscut" if first == "rip" else "rip"
        trees = [join(other, [join(first, stack) for stack in strip]) for strip in strips]
        return Pattern(self.number, join(first, trees))

    def _cross(
        self, top: int, bar: Strip | None, room: int, worth: int, chosen: list[Strip]
    ) -> Iterator[list[Strip]]:
        """Add strips no wider than the last one; give what nothing more can be added to."""
        frame = self.priced.frame
        fuller = False
        for w in range(min(top, bisect_right(frame.strips, room) - 1), 0, -1):
            width = frame.strips[w]
            rest = self.across[bisect_right(frame.crosses, room - width) - 1]
            if worth + self.strips[w] + rest < self.least:
                continue
            for value, strip in self._along(len(frame.groups) - 1, w, self.long, worth + rest, 0, False, []):
                if bar is not None and w == top and strip > bar:
                    continue
                fuller = True
                # While `_along` waits here, what the strip holds is already counted off `left`.
                yield from self._cross(w, strip, room - width, worth + value, [*chosen, strip])
        if not fuller and chosen and worth >= self.least:
            yield chosen

    def _along(
        self, g: int, w: int, room: int, base: int, worth: int, full: bool, chosen: list[Stack]
    ) -> Iterator[tuple[int, Strip]]:
        """Fill a strip with blocks of falling size; some block must be as wide as the strip."""
        self.work -= 1
        if self.work < 0 or (self.work % 1024 == 0 and self.clock.left() <= 0):
            raise Enough
        frame = self.priced.frame
        at = bisect_right(frame.longs, room) - 1
        if base + worth + self.priced.along[g + 1][at, w] < self.least:
            return
        if g < 0:
            if full:
                yield worth, tuple(chosen)
            return
        size, group = frame.groups[g]
        width = frame.strips[w]
        yield from self._along(g - 1, w, room, base, worth, full, chosen)
        if size > room:
            return
        bar = chosen[-1] if chosen and self._long(chosen[-1][0]) == size else None
        for stack in self._stacks(group, width):
            if bar is not None and stack > bar:
                continue
            value = sum(self.values[x.item] for x in stack)
            wide = sum(self._cross_size(x) for x in stack) == width
            for x in stack:
                self.left[x.item] -= 1
            yield from self._along(g, w, room - size, base, worth + value, full or wide, [*chosen, stack])
            for x in stack:
                self.left[x.item] += 1

    def _long(self, shape: Shape) -> int:
        return shape.along if self.priced.frame.first == "rip" else shape.across

    def _cross_size(self, shape: Shape) -> int:
        return shape.across if self.priced.frame.first == "rip" else shape.along

    def _stacks(self, group: Sequence[tuple[int, Shape]], width: int) -> list[Stack]:
        """List the fullest stacks of what is left."""
        found: list[Stack] = []

        def fill(k: int, room: int, chosen: Stack) -> None:
            if k == len(group):
                if chosen and not any(
                    b <= room and self.left[x.item] > sum(y is x for y in chosen) for b, x in group
                ):
                    found.append(chosen)
                return
            b, x = group[k]
            for n in range(min(room // b, self.left[x.item]), -1, -1):
                fill(k + 1, room - n * b, (*chosen, *([x] * n)))

        fill(0, width, ())
        return found
