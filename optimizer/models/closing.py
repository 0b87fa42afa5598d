"""
Model 1, what is too dear: ways to cut and pieces that no lay-out within a limit uses.

Prices bound the cost of all lay-outs (`block_growth`). A way to cut that falls short of a sheet's cost, or
a piece on a dearer block of courses, adds what it lacks to that bound; above the limit it is left out. All
of it is worked out in integers, so what is left holds every lay-out that costs no more than the limit.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from itertools import pairwise

from optimizer.models.block_growth import FINE, BlockGrowth, Tables
from optimizer.models.blocks import FAR
from optimizer.models.branches import Priced
from optimizer.models.decking import Decking
from optimizer.models.seams import Arc, Lines
from optimizer.witness import SCALE

__all__ = ["Narrowed", "Question", "closed", "thinned"]


@dataclass(frozen=True, slots=True)
class Narrowed:
    """A decking without what is too dear: with all ways to cut that are left, or the most useful few."""

    all: Decking
    few: Decking

    @property
    def fewer(self) -> bool:
        """True if the few ways to cut are much less than all of them."""
        return len(self.all.cutting.ways) > len(self.few.cutting.ways) * 1.5 + 100

    def pieces(self) -> int:
        """Give how many pieces there are to choose from."""
        decking = self.all
        return sum(
            len(decking.arcs(decking.lines[label], width))
            for label, (stack,) in decking.stacks.items()
            for width in stack.widths
        )


@dataclass(slots=True)
class Question:
    """
    A decking with one stack a surface, and the prices of its pieces.

    `priced` is None where there are no prices: then nothing is too dear.
    """

    growth: BlockGrowth
    priced: Priced | None
    known: dict[int | None, Narrowed | None] = field(default_factory=dict)

    @property
    def decking(self) -> Decking:
        """Give the decking with everything in it."""
        return self.growth.tables.decking

    def within(self, limit: int | None) -> Narrowed | None:
        """Leave out what no lay-out uses that costs `limit` or less; None if there is no such lay-out."""
        if limit not in self.known:
            whole: Decking | None = self.decking
            if not all(self.growth.tables.possible().values()):
                whole = None
            elif limit is not None and self.priced is not None:
                whole = closed(self.growth.tables, self.priced, limit)
            self.known[limit] = None if whole is None else Narrowed(whole, self._few(whole))
        return self.known[limit]

    def _few(self, whole: Decking) -> Decking:
        ways = self.decking.cutting.ways
        used = {ways[place] for place in self.growth.used}
        few = tuple(way for way in whole.cutting.ways if way in used)
        return replace(whole, cutting=replace(whole.cutting, ways=few))


def thinned(decking: Decking, rest: int) -> Decking:
    """
    Let only every other line take a seam where lines stand closer than the stagger.

    Fewer lay-outs, found sooner, and often as cheap.

    Parameters
    ----------
    rest
        1 for the first line, the third and so on; 0 for those between them.
    """
    arcs: dict[tuple[Lines, int], tuple[Arc, ...]] = {}
    for label, stacks in decking.stacks.items():
        lines = decking.lines[label]
        seams = lines.at[1:-1]
        nearest = min((b - a for a, b in pairwise(seams)), default=lines.stagger)
        for width in {width for stack in stacks for width in stack.widths}:
            arcs[lines, width] = tuple(
                arc
                for arc in decking.arcs(lines, width)
                if nearest >= lines.stagger
                or all(line in (0, lines.last) or line % 2 == rest for line in (arc.tail, arc.head))
            )
    return replace(decking, open=arcs)


def closed(tables: Tables, priced: Priced, limit: int) -> Decking | None:
    """
    Leave out what no lay-out uses that costs `limit` or less.

    Parameters
    ----------
    tables
        Of a decking whose surfaces have one stack each.
    priced
        Prices for the sizes of that decking.

    Returns
    -------
    Decking or None
        None if no lay-out costs so little.
    """
    import numpy as np

    decking = tables.decking
    room = (SCALE * limit - priced.hint(decking.stacks)) // (SCALE // FINE)
    if room < 0:
        return None
    room = min(room, FAR)
    prices = np.array([priced.prices[size] for size in tables.sizes], dtype=np.int64)
    cutting = tables.yields.within(tables.yields.values(prices), priced.rates, room)
    arcs: dict[tuple[Lines, int], dict[Arc, None]] = {}
    for kind in tables.kinds:
        through = kind.paths.through(tables.costs(kind, prices))
        for column, widths in enumerate(kind.widths):
            allowed = through[:, column] <= min(through[:, column].min(initial=FAR) + room, FAR - 1)
            for course, width in enumerate(widths):
                found = arcs.setdefault((kind.lines, width), {})
                for arc in kind.paths.open_arcs(allowed, course):
                    found.setdefault(arc)
    return replace(
        decking,
        cutting=cutting,
        open={key: tuple(arc for arc in key[0].arcs if arc in found) for key, found in arcs.items()},
    )
