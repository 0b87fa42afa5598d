"""Model 1, the question as its models read it: lines, stacks, ways to cut, prices."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from optimizer.engine import Clock, LinearModel
from optimizer.models.seams import Arc, Lines, lines_of
from optimizer.models.stacks import Stack, stacks_of
from optimizer.patterns import Cuts, Cutting, Size, cutting_of
from optimizer.words import Part, Stock, Surface

__all__ = ["Decking", "decking_of", "meet_demand", "sizes_to_cut"]


@dataclass(frozen=True, slots=True)
class Decking:
    """
    Surfaces of one material with everything that can be done about them.

    Parameters
    ----------
    lines, stacks
        By surface label.
    costs
        Of one pack of each of `cutting.stocks`: cents, or 1 where something has no price.
    blocking
        By surface label: cents for blocking one long edge of a course.
    open
        By lines and width: the pieces not yet ruled out; all of the lines' where it says nothing.
    """

    surfaces: tuple[Surface, ...]
    parts: tuple[Part, ...]
    lines: Mapping[str, Lines]
    stacks: Mapping[str, tuple[Stack, ...]]
    cutting: Cutting
    costs: tuple[int, ...]
    blocking: Mapping[str, int]
    open: Mapping[tuple[Lines, int], tuple[Arc, ...]] = field(default_factory=dict)

    def arcs(self, lines: Lines, width: int) -> tuple[Arc, ...]:
        """Give the pieces that a course of some width may have."""
        return self.open.get((lines, width), lines.arcs)

    def most(self) -> int:
        """Give a number of pieces that no lay-out passes."""
        laid = sum(
            max(len(stack.widths) for stack in self.stacks[s.label]) * self.lines[s.label].last
            for s in self.surfaces
        )
        return laid + sum(part.count for part in self.parts)

    def families(self) -> list[tuple[Lines, tuple[Surface, ...]]]:
        """Group the surfaces that have the same lines: their lay-outs are exchangeable."""
        groups: dict[Lines, list[Surface]] = {}
        for surface in self.surfaces:
            groups.setdefault(self.lines[surface.label], []).append(surface)
        return [(lines, tuple(group)) for lines, group in groups.items()]


def decking_of(
    stocks: Sequence[Stock],
    costs: Sequence[int],
    surfaces: Sequence[Surface],
    parts: Sequence[Part],
    blocking: Mapping[str, int],
    kerf: int,
    shrunk: bool,
    only: Mapping[str, Sequence[Stack]] | None = None,
    clock: Clock | None = None,
    limit: int | None = None,
) -> Decking:
    """
    Work out lines, stacks and ways to cut; see `Decking` for the parameters it has, too.

    Parameters
    ----------
    kerf
        Of the saw that cuts sheets, in base units.
    shrunk
        Whether end pieces and top courses stop short by all the slack they may.
    only
        By surface label: keep a few stacks, those most like these; None for all.
    clock
        Ends the listing of ways.
    limit
        Of ways without sums of pieces, see `cutting_of`.

    Raises
    ------
    TooManyWays
        If there are too many ways to cut to list them, or the clock ended it.
    """
    longest = max(stock.length for stock in stocks)
    lines = {surface.label: lines_of(surface, longest, shrunk) for surface in surfaces}
    stacks = stacks_of(surfaces, [s.width for s in stocks if not s.from_rack], shrunk)
    if only is not None:
        stacks = {
            label: tuple(dict.fromkeys(_nearest(found, stack) for stack in only[label] if found))
            for label, found in stacks.items()
        }
    sizes: set[Size] = set()
    for surface in surfaces:
        widths = {w for stack in stacks[surface.label] for w in stack.widths}
        sizes |= {(arc.length, w) for arc in lines[surface.label].arcs for w in widths}
    return Decking(
        tuple(surfaces),
        tuple(parts),
        lines,
        stacks,
        cutting_of(stocks, sizes_to_cut(sizes, parts, stocks), kerf, clock=clock, limit=limit),
        tuple(costs),
        dict(blocking),
    )


def sizes_to_cut(laid: Iterable[Size], parts: Sequence[Part], stocks: Sequence[Stock]) -> list[Size]:
    """List the sizes of what is laid and of parts, lying as they may, that fit on some sheet."""
    sizes = {*laid, *((part.length, part.width) for part in parts)}
    sizes |= {(part.width, part.length) for part in parts if part.may_turn}
    return sorted(s for s in sizes if any(s[0] <= t.length and s[1] <= t.width for t in stocks))


def _nearest(stacks: Sequence[Stack], wanted: Stack) -> Stack:
    def distance(stack: Stack) -> tuple[int, int]:
        pairs = zip(stack.widths, wanted.widths, strict=False)
        return abs(len(stack.widths) - len(wanted.widths)), sum(abs(a - b) for a, b in pairs)

    return min(stacks, key=distance)


def meet_demand(
    model: LinearModel,
    cuts: Cuts,
    laid: Mapping[Size, Iterable[tuple[int, int]]],
    parts: Sequence[Part],
) -> dict[int, tuple[int, int]]:
    """
    Add the rows that make enough of every piece size.

    Parameters
    ----------
    laid
        By size: columns, and how many pieces one of each takes.

    Returns
    -------
    dict
        By the index of a part that may turn: its columns lying along the sheet, and turned.
    """
    demand: dict[Size, list[tuple[int, int]]] = {size: list(terms) for size, terms in laid.items()}
    fixed: dict[Size, int] = {}
    turning: dict[int, tuple[int, int]] = {}
    for index, part in enumerate(parts):
        along, across = (part.length, part.width), (part.width, part.length)
        if part.may_turn and across in cuts.pieces and across != along:
            turning[index] = (model.column(0, part.count), model.column(0, part.count))
            model.row([(column, 1) for column in turning[index]], lower=part.count)
            demand.setdefault(along, []).append((turning[index][0], 1))
            demand.setdefault(across, []).append((turning[index][1], 1))
        else:
            fixed[along] = fixed.get(along, 0) + part.count
    for size in sorted({*demand, *fixed}):
        taken = [(column, -amount) for column, amount in demand.get(size, ())]
        model.row([*cuts.pieces.get(size, ()), *taken], lower=fixed.get(size, 0))
    return turning
