"""
Which strips, blocks and stacks can be part of a plan that uses no more than a given purchase.

With integer item values, V[s] the most that sheet s can yield and D the value of all that is wanted, a plan
that uses at most n[s] sheets can lose no more than sum V[s] n[s] - D altogether. So every pattern in it is
worth at least V[s] less that, and whatever only patterns of less worth contain can be left out. Exact.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from optimizer.models.sheets_master import Cover
from optimizer.models.sheets_pricing import Frame, Priced
from optimizer.models.sheets_question import Shape

Wholes = npt.NDArray[np.int64]

__all__ = ["Sieve", "Sift", "sieve_of"]


@dataclass
class Sift:
    """The sieve of one frame; `least[s]`: what a pattern on sheet s must be worth, None if s is of no use."""

    priced: Priced
    least: dict[int, int | None]
    _blocks: dict[tuple[int, int, int], int] = field(default_factory=dict)

    def strip(self, sheet: int, tail: int, size: int) -> bool:
        """Say whether a pattern on this sheet may have a strip of this size at this place."""
        least = self.least[sheet]
        if least is None:
            return False
        frame = self.priced.frame
        whole = frame.question.sheets[sheet]
        long, cross = frame.long(whole), frame.cross(whole)
        before, after = (self.priced.sheet_value(long, r) for r in (tail, cross - tail - size))
        return bool(before + self.priced.strip_value(long, size) + after >= least)

    def lacking(self, long: int, strip: int) -> int | None:
        """Give the least that a strip of this length and width must be worth; None if it is of no use."""
        frame = self.priced.frame
        found: list[int] = []
        for s, least in self.least.items():
            sheet = frame.question.sheets[s]
            if least is not None and frame.long(sheet) == long and frame.cross(sheet) >= strip:
                found.append(least - int(self.priced.sheet_value(long, frame.cross(sheet) - strip)))
        return min(found, default=None)

    def block(self, long: int, strip: int, tail: int, size: int) -> bool:
        """Say whether a strip may have a block of this size at this place."""
        lacking = self.lacking(long, strip)
        if lacking is None:
            return False
        group = next(g for g, (a, _) in enumerate(self.priced.frame.groups) if a == size)
        others = self.priced.strip_value(tail, strip) + self.priced.strip_value(long - tail - size, strip)
        spare = int(self.priced.block_value(group, strip) + others) - lacking
        if spare < 0:
            return False
        key = (size, strip, group)
        self._blocks[key] = max(self._blocks.get(key, 0), spare)
        return True

    def stack(self, long: int, strip: int, shapes: Sequence[Shape]) -> bool:
        """Say whether a block may be filled so; ask after all its places were asked for."""
        group = next(g for g, (a, _) in enumerate(self.priced.frame.groups) if a == long)
        worth = sum(int(self.priced.values[x.item]) for x in shapes)
        short = int(self.priced.block_value(group, strip)) - worth
        return short <= self._blocks.get((long, strip, group), -1)


@dataclass(frozen=True)
class Sieve:
    """Integer item values, and what a pattern on each sheet must be worth in such a plan."""

    values: Wholes
    least: tuple[int | None, ...]

    def sift(self, frame: Frame) -> Sift:
        """Price a frame and give its sieve."""
        return Sift(frame.price(self.values), {s: self.least[s] for s in frame.sheets})


def sieve_of(cover: Cover, purchase: Sequence[int]) -> Sieve:
    """Make the sieve for plans that use no more than a purchase."""
    most = sum(v * n for v, n in zip(cover.worth, purchase, strict=True))
    lacking = cover.wanted - most
    least = tuple(lacking + v if n else None for v, n in zip(cover.worth, purchase, strict=True))
    return Sieve(np.array(cover.values, dtype=np.int64), least)
