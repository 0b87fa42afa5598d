"""
Model 2: runs pieced from stock cut to length, their seams where a rule lets them fall, or anywhere.

A run whose seams may fall anywhere needs `length - lap` and, for every piece of it, `lap + kerf` more. Take
runs and bars as the nodes of a graph and pieces as its edges; two pieces of one run from one bar would be
one longer piece, so no edge is double. A connected group of r runs and b bars has at least r + b - 1 pieces.
Hence runs fall into groups, and the bars of each must hold what its runs need with that many pieces: a bound.
Laying the runs of a group end to end over its bars takes exactly so many pieces: a plan, if no piece comes
out shorter than allowed. Where one does, `fill` looks for another way with a model of its own.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice, permutations, product
from math import prod

from optimizer.engine import Clock, LinearModel, run_cpsat
from optimizer.words import Run

__all__ = ["Arc", "Share", "arcs_of", "assignment", "fill", "groups", "shares_of", "shortest_piece"]

MOST_ORDERS = 60
MOST_GROUPS = 40
MOST_SHARES = 400


@dataclass(frozen=True, slots=True)
class Arc:
    """A piece that may cover a run from seam to seam: it lies from `start` to `end`, laps included."""

    tail: int
    head: int
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Share:
    """A piece of a free run: so much of bar number `bar`."""

    bar: int
    length: int


def arcs_of(run: Run, longest: int) -> tuple[Arc, ...]:
    """List every piece that a run with given seams may have; nodes are its ends and seams."""
    inner = sorted({at for at in run.seams or () if 0 < at < run.length})
    nodes = (0, *inner, run.length)
    arcs = []
    for i, left in enumerate(nodes):
        for right in nodes[i + 1 :]:
            start = left - (run.lap // 2 if left else 0)
            end = right + (run.lap - run.lap // 2 if right < run.length else 0)
            if start >= 0 and end <= run.length and run.shortest <= end - start <= longest:
                arcs.append(Arc(left, right, start, end))
    return tuple(arcs)


def shortest_piece(run: Run) -> int:
    """Give the least length of a piece of a free run: more than its lap, or it would cover nothing."""
    return max(run.shortest, run.lap + 1)


def groups(have: Sequence[int]) -> list[tuple[int, ...]] | None:
    """
    List the groups that runs can fall into: how many of each kind; None if they are too many.

    Parameters
    ----------
    have
        How many runs there are of each kind. A group that fits several times over is listed as often.
    """
    if prod(number + 1 for number in have) > 8 * MOST_GROUPS:
        return None
    found = []
    for counts in product(*(range(number + 1) for number in have)):
        if any(counts):
            times = min(number // count for number, count in zip(have, counts, strict=True) if count)
            found += [counts] * times
    return found if len(found) <= MOST_GROUPS else None


def fill(
    runs: Sequence[Run], rooms: Sequence[int], kerf: int, clock: Clock
) -> tuple[tuple[Share, ...], ...] | None:
    """
    Piece free runs from bars with the given rooms.

    Returns
    -------
    tuple of tuple of Share, or None
        For each run its pieces in order; None if none was found.
    """
    for order, bars in islice(_orders(len(runs), rooms), MOST_ORDERS):
        shares = _end_to_end(runs, rooms, kerf, order, bars)
        if shares is not None:
            return shares
    if len(runs) * len(rooms) > MOST_SHARES:
        return None
    return _by_model(runs, rooms, kerf, clock)


def _orders(runs: int, rooms: Sequence[int]) -> Iterator[tuple[Sequence[int], Sequence[int]]]:
    falling = sorted(range(len(rooms)), key=lambda bar: (-rooms[bar], bar))
    for order in permutations(range(runs)):
        yield order, falling
        yield order, falling[::-1]


def _end_to_end(
    runs: Sequence[Run], rooms: Sequence[int], kerf: int, order: Sequence[int], bars: Sequence[int]
) -> tuple[tuple[Share, ...], ...] | None:
    """Lay runs one after another over the bars; a piece gives way where the next would come out too short."""
    shares: list[list[Share]] = [[] for _ in runs]
    queue, bar, left = iter(bars), -1, 0
    for number in order:
        run, least = runs[number], shortest_piece(runs[number])
        missing = run.length
        while missing:
            if left - kerf >= missing:
                length = missing
            else:
                # What remains of the run begins with the lap, and must make one more whole piece.
                length = min(left - kerf, missing + run.lap - least)
                if length < least:
                    bar = next(queue, -1)
                    if bar < 0:
                        return None
                    left = rooms[bar]
                    continue
            shares[number].append(Share(bar, length))
            left -= length + kerf
            missing = 0 if length == missing else missing - length + run.lap
    return tuple(tuple(s) for s in shares)


def _by_model(
    runs: Sequence[Run], rooms: Sequence[int], kerf: int, clock: Clock
) -> tuple[tuple[Share, ...], ...] | None:
    model = LinearModel()
    cells = assignment(model, runs, [((), room) for room in rooms], kerf)
    solved = run_cpsat(model, clock.share(5.0), workers=1, work=5.0)
    if solved.values is None:
        return None
    return shares_of(cells, solved.values, len(runs))


Cells = dict[tuple[int, int], tuple[int, int]]
"""By run and bar: the columns that say whether the bar yields a piece of the run, and how long."""


def assignment(
    model: LinearModel,
    runs: Sequence[Run],
    bars: Sequence[tuple[Sequence[tuple[int, int]], int]],
    kerf: int,
) -> Cells:
    """
    Add the exact model of free runs over single bars.

    Parameters
    ----------
    bars
        For each bar, the terms of whatever else takes up its room, and the room. A bar that need not be
        bought has its own room among the terms, negative.
    """
    cells: Cells = {}
    taken: list[list[tuple[int, int]]] = [list(terms) for terms, _ in bars]
    for number, run in enumerate(runs):
        covered: list[tuple[int, int]] = []
        for bar, (_, room) in enumerate(bars):
            most = min(room - kerf, run.length)
            least = max(run.shortest, min(shortest_piece(run), run.length))
            if most < least:
                continue
            there, length = model.column(upper=1), model.column(upper=most)
            cells[number, bar] = there, length
            model.row([(length, 1), (there, -most)], upper=0)
            model.row([(length, 1), (there, -least)], lower=0)
            covered += [(length, 1), (there, -run.lap)]
            taken[bar] += [(length, 1), (there, kerf)]
        model.row(covered, lower=run.length - run.lap, upper=run.length - run.lap)
    for terms, (others, room) in zip(taken, bars, strict=True):
        optional = any(size < 0 for _, size in others)
        model.row(terms, upper=0 if optional else room)
    return cells


def shares_of(cells: Cells, values: Sequence[int], runs: int) -> tuple[tuple[Share, ...], ...]:
    """Read the pieces of each run from the exact model's solution."""
    shares: list[list[Share]] = [[] for _ in range(runs)]
    for (number, bar), (there, length) in cells.items():
        if values[there]:
            shares[number].append(Share(bar, values[length]))
    return tuple(tuple(s) for s in shares)
