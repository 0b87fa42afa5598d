"""
What sheets can yield by saw cuts of up to three stages, as columns and rows of a linear model.

A cut makes rectangles of one kind out of a rectangle of another kind. Kinds are nodes, ways to cut one are
columns, and a solution says how often each way is used; equal rectangles are exchangeable, so nothing is
lost by counting them together. Two families share the pieces they make:

- ripped first: sheet -> strips -> blocks -> pieces (the last cut is a rip again);
- crosscut first: sheet -> segments -> strips -> pieces (the last cut is a crosscut again).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from optimizer.engine import Clock, LinearModel
from optimizer.words import Stock

__all__ = ["Cutting", "Node", "Size", "TooManyWays", "Way", "cutting_of", "packings"]

Size = tuple[int, int]
"""Length along the grain and width of a piece."""

MOST_WAYS = 20_000
"""Beyond this many ways to cut, sums of pieces are no longer tried as strips and segments."""

MOST_SUMS = 400
"""Beyond this many sums of pieces, too."""


class TooManyWays(Exception):
    """The pieces are so small or so many that their ways to be cut can't be listed."""


@dataclass(frozen=True, slots=True, order=True)
class Node:
    """A rectangle on its way through the saw: a sheet, something between, or a piece."""

    stage: Literal["sheet", "strip", "block", "segment", "slat", "piece"]
    length: int
    width: int
    stock: str = ""


def _sheet(stock: Stock) -> Node:
    return Node("sheet", stock.length, stock.width, f"{stock.key}|{stock.from_rack}")


@dataclass(frozen=True, slots=True)
class Way:
    """One way to cut a rectangle: `parts` in order, all of its full width (crosscut) or length (rip)."""

    source: Node
    cut: Literal["rip", "crosscut"]
    parts: tuple[Node, ...]
    slack: int

    @property
    def tight(self) -> bool:
        """True if the saw is used at all."""
        return len(self.parts) > 1 or self.slack > 0


def packings(
    sizes: Sequence[int], room: int, kerf: int, most: int | None = None
) -> Iterator[tuple[int, ...]]:
    """
    List the multisets of sizes that fill a length and to which no further size can be added.

    Parameters
    ----------
    sizes
        Distinct and positive.
    room
        The length to fill; n pieces take n - 1 kerfs.
    most
        So many sizes in one at most; None for no such limit.

    Yields
    ------
    tuple of int
        Sizes, largest first.

    Examples
    --------
    >>> list(packings([4, 3], room=11, kerf=1))
    [(4, 4), (4, 3), (3, 3, 3)]
    """
    ordered = sorted(sizes, reverse=True)
    smallest = ordered[-1] if ordered else 0

    def fill(first: int, left: int, chosen: list[int]) -> Iterator[tuple[int, ...]]:
        if left < smallest or len(chosen) == most:
            if chosen:
                yield tuple(chosen)
            return
        for number in range(first, len(ordered)):
            if ordered[number] <= left:
                chosen.append(ordered[number])
                yield from fill(number, left - ordered[number] - kerf, chosen)
                chosen.pop()

    yield from fill(0, room, [])


def _sums(sizes: Sequence[int], room: int, kerf: int) -> list[int]:
    """List every size that one or more of `sizes` add up to, kerfs between them."""
    reach = {0}
    for size in sorted(sizes):
        frontier = list(reach)
        while frontier:
            frontier = [
                s for s in {f + size + (kerf if f else 0) for f in frontier} if s <= room and s not in reach
            ]
            reach |= set(frontier)
            if len(reach) > MOST_SUMS:
                raise TooManyWays
    return sorted(reach - {0})


@dataclass(frozen=True, slots=True)
class Cutting:
    """
    All ways to cut a set of stocks into a set of piece sizes.

    `stages` is 3 if the ways cover every cutting of up to three stages; 2 if only those of two stages and a
    trim. `most` is how many pieces a cut yields side by side at most, None if that has no limit.
    """

    stocks: tuple[Stock, ...]
    ways: tuple[Way, ...]
    kerf: int
    stages: int
    most: int | None = None

    def sheets(self) -> list[Node]:
        """Give the node of every stock."""
        return [_sheet(stock) for stock in self.stocks]

    def build(self, model: LinearModel, costs: Sequence[int], most: int, slackest: int = 0) -> Cuts:
        """
        Add columns and rows: what is made of every rectangle must be at least what is cut up of it.

        Parameters
        ----------
        costs
            Of one pack of each stock.
        most
            Number of pieces needed: no way to cut need be used more often, each time for one of them.
        slackest
            Of ways to cut that have less than this to spare, leave out parts until they have.
        """
        bought = {
            f"{s.key}|{s.from_rack}": model.column(cost, most if s.available is None else s.available)
            for s, cost in zip(self.stocks, costs, strict=True)
        }
        packs = {f"{s.key}|{s.from_rack}": s.pack for s in self.stocks}
        made: dict[Node, list[tuple[int, int]]] = {}
        columns: dict[Way, int] = {}
        for way in self._roomy(slackest):
            column = columns[way] = model.column(0, most)
            made.setdefault(way.source, []).append((column, -1))
            for part in way.parts:
                made.setdefault(part, []).append((column, 1))
        pieces: dict[Size, list[tuple[int, int]]] = {}
        rows: dict[Node, int] = {}
        for node, terms in made.items():
            if node.stage == "piece":
                pieces[node.length, node.width] = terms
            elif node.stage == "sheet":
                model.row([*terms, (bought[node.stock], packs[node.stock])], lower=0)
            else:
                rows[node] = model.row(terms, lower=0)
        return Cuts(columns, pieces, rows)

    def _roomy(self, least: int) -> Iterator[Way]:
        """Give the ways to cut; those with less than `least` to spare lose parts until they have it."""
        seen: set[Way] = set()
        todo = list(reversed(self.ways))
        while todo:
            way = todo.pop()
            if way in seen:
                continue
            seen.add(way)
            if way.slack >= least or not way.tight:
                yield way
                continue
            for part in dict.fromkeys(way.parts) if len(way.parts) > 1 else ():
                place = way.parts.index(part)
                size = part.length if way.cut == "crosscut" else part.width
                rest = (*way.parts[:place], *way.parts[place + 1 :])
                todo.append(Way(way.source, way.cut, rest, way.slack + size + self.kerf))


@dataclass(frozen=True, slots=True)
class Cuts:
    """
    Handles of a built `Cutting`.

    `ways` are the columns of cuts; `pieces` is what makes each size, and `rows` balance the rectangles
    between sheet and piece: what a row has to spare is left over whole.
    """

    ways: dict[Way, int]
    pieces: dict[Size, list[tuple[int, int]]]
    rows: dict[Node, int]


@dataclass
class _Ways:
    """Collects ways to cut without repeating one."""

    sizes: tuple[Size, ...]
    kerf: int
    multi: bool
    most: int | None
    clock: Clock | None
    limit: int
    found: dict[Way, None] = field(default_factory=dict)
    done: set[Node] = field(default_factory=set)

    @cached_property
    def lengths(self) -> list[int]:
        return sorted({length for length, _ in self.sizes})

    @cached_property
    def widths(self) -> list[int]:
        return sorted({width for _, width in self.sizes})

    def add(self, source: Node, cut: Literal["rip", "crosscut"], parts: list[Node], room: int) -> None:
        used = sum(p.length if cut == "crosscut" else p.width for p in parts)
        slack = room - used - self.kerf * (len(parts) - 1)
        self.found.setdefault(Way(source, cut, tuple(parts), slack))
        if len(self.found) > self.limit or (self.clock is not None and self.clock.left() <= 0):
            raise TooManyWays

    def sheet(self, stock: Stock) -> None:
        sheet = _sheet(stock)
        widths = [w for w in self.widths if w <= stock.width]
        strips = _sums(widths, stock.width, self.kerf) if self.multi else widths
        for packing in packings(strips, stock.width, self.kerf, self.most):
            parts = [Node("strip", stock.length, w) for w in packing]
            self.add(sheet, "rip", parts, stock.width)
            for part in dict.fromkeys(parts):
                self.strip(part)
        lengths = [x for x in self.lengths if x <= stock.length]
        segments = _sums(lengths, stock.length, self.kerf) if self.multi else lengths
        for packing in packings(segments, stock.length, self.kerf, self.most):
            parts = [Node("segment", x, stock.width) for x in packing]
            self.add(sheet, "crosscut", parts, stock.length)
            for part in dict.fromkeys(parts):
                self.segment(part)

    def strip(self, strip: Node) -> None:
        if strip in self.done:
            return
        self.done.add(strip)
        lengths = sorted({x for x, w in self.sizes if w <= strip.width and x <= strip.length})
        for packing in packings(lengths, strip.length, self.kerf, self.most):
            blocks = [Node("block", x, strip.width) for x in packing]
            self.add(strip, "crosscut", blocks, strip.length)
            for block in dict.fromkeys(blocks):
                self.last(block, "rip")

    def segment(self, segment: Node) -> None:
        if segment in self.done:
            return
        self.done.add(segment)
        widths = sorted({w for x, w in self.sizes if w <= segment.width and x <= segment.length})
        for packing in packings(widths, segment.width, self.kerf, self.most):
            slats = [Node("slat", segment.length, w) for w in packing]
            self.add(segment, "rip", slats, segment.width)
            for slat in dict.fromkeys(slats):
                self.last(slat, "crosscut")

    def last(self, node: Node, cut: Literal["rip", "crosscut"]) -> None:
        if node in self.done:
            return
        self.done.add(node)
        if cut == "rip":
            widths = [w for x, w in self.sizes if x == node.length and w <= node.width]
            for packing in packings(widths, node.width, self.kerf, self.most):
                self.add(node, cut, [Node("piece", node.length, w) for w in packing], node.width)
        else:
            lengths = [x for x, w in self.sizes if w == node.width and x <= node.length]
            for packing in packings(lengths, node.length, self.kerf, self.most):
                self.add(node, cut, [Node("piece", x, node.width) for x in packing], node.length)


def cutting_of(
    stocks: Sequence[Stock],
    sizes: Sequence[Size],
    kerf: int,
    most: int | None = None,
    clock: Clock | None = None,
    limit: int | None = None,
) -> Cutting:
    """
    List the ways to cut stocks into pieces of the given sizes by saw cuts of up to three stages.

    Parameters
    ----------
    sizes
        (length, width) of every piece as it lies on the sheet, its length along the sheet's.
    most
        So many pieces side by side at most; None for no such limit.
    clock
        Ends the listing, too.
    limit
        So many ways at most where no sums of pieces are strips and segments; `MOST_WAYS` if left out.

    Raises
    ------
    TooManyWays
        If there are more than `limit` even without sums of pieces, or the clock has run out.

    Notes
    -----
    Only packings to which nothing can be added are listed: making too many of a rectangle is allowed, so
    the others can't be cheaper. Strips and segments are as wide and long as sums of pieces, which is enough
    (normal positions: Christofides and Whitlock 1977, from memory).
    """
    distinct = tuple(sorted(set(sizes)))
    try:
        return _listed(stocks, distinct, kerf, most, clock, MOST_WAYS, multi=True)
    except TooManyWays:
        return _listed(stocks, distinct, kerf, most, clock, limit or MOST_WAYS, multi=False)


def _listed(
    stocks: Sequence[Stock],
    sizes: tuple[Size, ...],
    kerf: int,
    most: int | None,
    clock: Clock | None,
    limit: int,
    multi: bool,
) -> Cutting:
    ways = _Ways(sizes, kerf, multi, most, clock, limit)
    for stock in stocks:
        ways.sheet(stock)
    return Cutting(tuple(stocks), tuple(ways.found), kerf, 3 if multi else 2, most)
