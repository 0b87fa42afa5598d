"""Models 2 and 3, from column values to bars: who gets which piece, and what it costs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from optimizer.engine import Clock
from optimizer.models.board_cuts import Sawn, Wanted
from optimizer.models.board_exact import Exact
from optimizer.models.board_master import Master, Question
from optimizer.models.board_question import Piece
from optimizer.models.free_runs import Arc, Share, fill, shares_of
from optimizer.models.neighbours import set_apart, staggered
from optimizer.words import Part, Run

__all__ = ["Layout", "apart", "cost_of", "free_runs_of", "kind_of", "labelled", "read_exact", "read_master"]

Laid = list[tuple[Run, list[tuple[str, int]]]]


@dataclass(frozen=True, slots=True)
class Layout:
    """
    Single bars and what they yield, nameless.

    `bars` gives each bar's kind and how many of each piece; `paths`, for every kind of seamed run, the pieces
    of each such run; `shares`, for every free run on its own, its pieces with the bar they come from.
    """

    bars: tuple[tuple[int, tuple[int, ...]], ...]
    paths: tuple[tuple[tuple[Arc, ...], ...], ...]
    shares: tuple[tuple[Share, ...], ...]


def kind_of(run: Run) -> Run:
    """Give the run without what tells it from runs that are pieced alike."""
    return replace(run, label="", mark="", needed=0, layer="", begins=0, bottom=0, beside="", stagger=0)


def read_master(master: Master, values: Sequence[int], clock: Clock) -> Layout | None:
    """Read a solution over patterns; None if some free run could not be pieced from its group's bars."""
    question = master.question
    bars: list[tuple[int, tuple[int, ...]]] = []
    first: list[int] = []
    for time, column in zip(master.times, master.columns, strict=True):
        first.append(len(bars))
        bars += [(column.bar, column.counts)] * values[time]
    waiting: list[list[int]] = []
    total = 0
    for _, number in question.free:
        waiting.append(list(range(total, total + number)))
        total += number
    runs = [run for run, number in question.free for _ in range(number)]
    shares: list[tuple[Share, ...]] = [()] * total
    for group in master.groups:
        if not values[group.chosen]:
            continue
        members = [waiting[kind].pop(0) for kind, count in enumerate(group.counts) for _ in range(count)]
        mine: list[int] = []
        for place, share in group.shares.items():
            mine += range(first[place], first[place] + values[share])
            first[place] += values[share]
        rooms = [master.columns[_place(master, bars[bar])].rest for bar in mine]
        found = fill([runs[m] for m in members], rooms, question.kerf, clock)
        if found is None:
            return None
        for member, pieces in zip(members, found, strict=True):
            shares[member] = tuple(replace(piece, bar=mine[piece.bar]) for piece in pieces)
    return Layout(tuple(bars), _paths(question, master.arcs, values), tuple(shares))


def _place(master: Master, bar: tuple[int, tuple[int, ...]]) -> int:
    return next(n for n, column in enumerate(master.columns) if (column.bar, column.counts) == bar)


def read_exact(exact: Exact, values: Sequence[int]) -> Layout:
    """Read a solution bar by bar."""
    bars = tuple(
        (kind, tuple(values[column] for column in columns))
        for kind, columns in zip(exact.slots, exact.counts, strict=True)
    )
    total = sum(number for _, number in exact.question.free)
    shares = shares_of(exact.cells, values, total)
    return Layout(bars, _paths(exact.question, exact.arcs, values), shares)


def _paths(
    question: Question, flows: Sequence[dict[Arc, int]], values: Sequence[int]
) -> tuple[tuple[tuple[Arc, ...], ...], ...]:
    """Split the flow through each kind of seamed run into one path for every such run."""
    found = []
    for (run, number, _), columns in zip(question.seamed, flows, strict=True):
        left = {arc: values[column] for arc, column in columns.items()}
        paths = []
        for _ in range(number):
            node, path = 0, []
            while node != run.length:
                arc = next(arc for arc, times in left.items() if times and arc.tail == node)
                left[arc] -= 1
                path.append(arc)
                node = arc.head
            paths.append(tuple(path))
        found.append(tuple(paths))
    return tuple(found)


def labelled(
    question: Question, layout: Layout, parts: Sequence[Part], runs: Sequence[Run]
) -> tuple[list[Sawn], Laid]:
    """Give every piece its label, drop what nobody asked for, and leave out bars that yield nothing."""
    waiting: dict[Piece, list[Wanted]] = {piece: [] for piece in question.pieces}
    for part in parts:
        piece = Piece(part.length - part.slant + question.kerf, part.slant)
        waiting[piece] += [Wanted(part.label, part.length, part.slant, part.needed)] * part.count
    laid: Laid = []
    for (kind, _, _), paths in zip(question.seamed, layout.paths, strict=True):
        for run, path in zip(_of_kind(runs, kind), paths, strict=True):
            pieces = _named(run, (arc.end - arc.start for arc in path))
            laid.append((run, pieces))
            for place, (label, length) in enumerate(pieces):
                far = run.own_ends and place == 0 and len(pieces) > 1
                waiting[Piece(length + question.kerf)].append(Wanted(label, length, 0, run.needed, far=far))
    extra: list[list[Wanted]] = [[] for _ in layout.bars]
    for run, shares in zip(free_runs_of(question, runs), layout.shares, strict=True):
        pieces = _named(run, (share.length for share in shares))
        laid.append((run, pieces))
        for (label, length), share in zip(pieces, shares, strict=True):
            extra[share.bar].append(Wanted(label, length, 0, run.needed))
    for queue in waiting.values():
        queue.sort(key=lambda wanted: wanted.needed)
    sawn = []
    for (kind_number, counts), others in zip(layout.bars, extra, strict=True):
        got = list(others)
        for piece, count in zip(question.pieces, counts, strict=True):
            got += waiting[piece][:count]
            del waiting[piece][:count]
        if got:
            sawn.append(Sawn(question.bars[kind_number].stock, tuple(got)))
    order = {run.label: place for place, run in enumerate(runs)}
    return sawn, sorted(laid, key=lambda one: order[one[0].label])


def apart(question: Question, layout: Layout, runs: Sequence[Run]) -> Layout | None:
    """Share out the pieces of free runs so that neighbours keep their stagger; None if that fails."""
    if not staggered(runs):
        return layout
    kinds = [kind for kind, (_, number) in enumerate(question.free) for _ in range(number)]
    shares = set_apart(free_runs_of(question, runs), kinds, layout.shares)
    return None if shares is None else replace(layout, shares=shares)


def free_runs_of(question: Question, runs: Sequence[Run]) -> list[Run]:
    """Give the free runs in the order of a layout's shares."""
    return [run for kind, _ in question.free for run in _of_kind(runs, kind)]


def _of_kind(runs: Sequence[Run], kind: Run) -> list[Run]:
    return sorted((run for run in runs if kind_of(run) == kind), key=lambda run: run.needed)


def _named(run: Run, lengths: Iterable[int]) -> list[tuple[str, int]]:
    return [(f"{run.mark}.{number}", length) for number, length in enumerate(lengths, start=1)]


def cost_of(question: Question, sawn: Sequence[Sawn]) -> int:
    """Add up what the bars cost, by whole packs."""
    used = Counter(bar.stock for bar in sawn)
    return sum(-(-used[bar.stock] // bar.pack) * bar.cost for bar in question.bars)
