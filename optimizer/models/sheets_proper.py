"""
All that a sheet can yield and be worth at least so much, no item beyond what is wanted.

The dynamic program may use an item more often than it is wanted; its tables still bound what any filling can
be worth. A depth-first search over blocks, then over strips, under these bounds reaches every yield that no
other one covers. Of two ways to the same place and yield, the one that leaves less room is not followed.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence

import numpy as np

from optimizer.engine import Clock
from optimizer.models.sheets_cuts import prune
from optimizer.models.sheets_pricing import Priced
from optimizer.models.sheets_question import Shape
from optimizer.models.sheets_trees import Pattern, Way, join

__all__ = ["Enough", "Made", "Proper", "Strip"]


class Enough(Exception):
    """More patterns or more work than was allowed."""


Stack = tuple[Shape, ...]
Strip = tuple[Stack, ...]
Made = tuple[int, ...]


class Proper:
    """The search on one sheet of a frame; `work` is how many fillings may still be looked at."""

    def __init__(self, priced: Priced, number: int, work: int, clock: Clock) -> None:
        frame = priced.frame
        sheet = frame.question.sheets[number]
        self.priced, self.number, self.work, self.clock = priced, number, work, clock
        self.long, self.cross = frame.long(sheet), frame.cross(sheet)
        self.strips, self.across = priced.rows(self.long)
        self.values = [int(v) for v in priced.values]
        self.counts = tuple(priced.counts)
        self.least = 0
        self._fillings: dict[int, list[tuple[Made, Strip]]] = {}
        self._found: dict[Made, tuple[Strip, ...]] = {}
        self._seen: dict[tuple[Made, int, int], int] = {}

    def every(self, least: int, most: int) -> dict[Made, tuple[Strip, ...]]:
        """
        List the yields worth at least `least` that no other yield covers, each with strips that make it.

        Raises
        ------
        Enough
            If there are more than `most`, or the work or the time was used up.
        """
        self.least = least
        self._fillings, self._found, self._seen = {}, {}, {}
        self._cross(self._widest(self.cross), 0, self.cross, (0,) * len(self.counts), ())
        yields = fullest(list(self._found))
        if len(yields) > most:
            raise Enough
        return {made: self._found[made] for made in yields}

    def pattern(self, strips: Sequence[Strip]) -> Pattern:
        """Draw strips that were found, without what they hold beyond the counts."""
        first = self.priced.frame.first
        other: Way = "crosscut" if first == "rip" else "rip"
        trees = [join(other, [join(first, stack) for stack in strip]) for strip in strips]
        kept = prune(join(first, trees), list(self.counts))
        assert kept is not None
        return Pattern(self.number, kept)

    def _widest(self, room: int) -> int:
        return bisect_right(self.priced.frame.strips, room) - 1

    def _worth(self, made: Made) -> int:
        return sum(v * n for v, n in zip(self.values, made, strict=True))

    def _capped(self, made: Made, more: Made) -> Made:
        return tuple(min(a + b, n) for a, b, n in zip(made, more, self.counts, strict=True))

    def _count_work(self) -> None:
        self.work -= 1
        if self.work < 0 or (self.work % 1024 == 0 and self.clock.left() <= 0):
            raise Enough

    def _rest(self, room: int) -> int:
        """Give what so much of the sheet's breadth can be worth."""
        return self.across[bisect_right(self.priced.frame.crosses, room) - 1]

    def _cross(self, top: int, first: int, room: int, made: Made, chosen: tuple[Strip, ...]) -> None:
        """Add strips no wider than the last one; of its width, none listed before filling `first`."""
        if chosen and self._worth(made) >= self.least:
            self._found.setdefault(made, chosen)
        worth = self._worth(made)
        for w in range(min(top, self._widest(room)), 0, -1):
            left = room - self.priced.frame.strips[w]
            rest = self._rest(left)
            if worth + self.strips[w] + rest < self.least:
                continue
            fillings = self._filled(w)
            for k in range(first if w == top else 0, len(fillings)):
                self._count_work()
                more = self._capped(made, fillings[k][0])
                if more == made or self._worth(more) + rest < self.least:
                    continue
                if self._seen.get((more, w, k), -1) < left:
                    self._seen[more, w, k] = left
                    self._cross(w, k, left, more, (*chosen, fillings[k][1]))

    def _filled(self, w: int) -> list[tuple[Made, Strip]]:
        """List the fillings of a strip, as wide as its widest block, that no other one covers."""
        if w not in self._fillings:
            frame = self.priced.frame
            groups = [self._stacks(group, frame.strips[w]) for _, group in frame.groups]
            base = self._rest(self.cross - frame.strips[w])
            found: dict[Made, Strip] = {}
            nothing = (0,) * len(self.counts)
            start = (nothing, (), False)
            for made, strip, full in self._along(groups, w, len(groups) - 1, 0, self.long, base, start, {}):
                if full:
                    found.setdefault(made, strip)
            self._fillings[w] = [(made, found[made]) for made in fullest(list(found))]
        return self._fillings[w]

    def _along(
        self,
        groups: Sequence[Sequence[tuple[Made, int, Stack]]],
        w: int,
        g: int,
        first: int,
        room: int,
        base: int,
        done: tuple[Made, Strip, bool],
        seen: dict[tuple[Made, int, int], int],
    ) -> Iterator[tuple[Made, Strip, bool]]:
        """Fill a strip with blocks of groups `g` and below; of group `g`, none before stack `first`."""
        self._count_work()
        made, chosen, full = done
        frame = self.priced.frame
        worth = base + self._worth(made)
        if chosen and worth >= self.least:
            yield done
        for h in range(g, -1, -1):
            at = bisect_right(frame.longs, room) - 1
            if worth + self.priced.along[h + 1][at, w] < self.least:
                return
            left = room - frame.groups[h][0]
            if left < 0:
                continue
            for k in range(first if h == g else 0, len(groups[h])):
                more = self._capped(made, groups[h][k][0])
                if more != made and seen.get((more, h, k), -1) < left:
                    seen[more, h, k] = left
                    _, width, stack = groups[h][k]
                    so_far = (more, (*chosen, stack), full or width == frame.strips[w])
                    yield from self._along(groups, w, h, k, left, base, so_far, seen)

    def _stacks(self, group: Sequence[tuple[int, Shape]], width: int) -> list[tuple[Made, int, Stack]]:
        """List the fullest stacks within a width, with what they make and how wide they are."""
        found: list[tuple[Made, int, Stack]] = []

        def fill(k: int, room: int, chosen: Stack, made: list[int]) -> None:
            if k == len(group):
                self._count_work()
                if chosen and not any(b <= room and made[x.item] < self.counts[x.item] for b, x in group):
                    found.append((tuple(made), width - room, chosen))
                return
            b, x = group[k]
            for n in range(min(room // b, self.counts[x.item] - made[x.item]), -1, -1):
                made[x.item] += n
                fill(k + 1, room - n * b, (*chosen, *([x] * n)), made)
                made[x.item] -= n

        fill(0, width, (), [0] * len(self.counts))
        return found


def fullest(yields: Sequence[Made]) -> list[Made]:
    """Leave out yields that another one covers."""
    kept: list[Made] = []
    if not yields:
        return kept
    rows = np.empty((len(yields), len(yields[0])), dtype=np.int64)
    for made in sorted(yields, key=lambda m: (-sum(m), m)):
        if not (rows[: len(kept)] >= made).all(axis=1).any():
            rows[len(kept)] = made
            kept.append(made)
    return kept
