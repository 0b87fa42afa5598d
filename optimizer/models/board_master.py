"""Model 3 and 2 in one integer model over the patterns of single bars: parts, seamed runs, free runs."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from optimizer.engine import LinearModel
from optimizer.models.board_question import Bar, Piece
from optimizer.models.free_runs import Arc, groups, shortest_piece
from optimizer.words import Run

__all__ = ["Column", "Group", "Master", "Question", "add_arcs", "arcs_asking", "build"]


@dataclass(frozen=True, slots=True)
class Question:
    """
    What the boards must yield, in bare integers.

    Parameters
    ----------
    pieces, demands
        Kinds of fixed pieces, and how many parts ask for each.
    seamed
        Distinct runs with given seams, how many there are of each, and the pieces each may have.
    free
        Distinct runs whose seams may fall anywhere, and how many there are of each.
    """

    bars: tuple[Bar, ...]
    kerf: int
    pieces: tuple[Piece, ...]
    demands: tuple[int, ...]
    seamed: tuple[tuple[Run, int, tuple[Arc, ...]], ...] = ()
    free: tuple[tuple[Run, int], ...] = ()

    @property
    def most(self) -> int:
        """Give a number of bars that no sensible plan exceeds: one for every piece there can be."""
        seams = sum(number * (len(run.seams or ()) + 1) for run, number, _ in self.seamed)
        free = sum(number * (1 + run.length // (shortest_piece(run) - run.lap)) for run, number in self.free)
        return sum(self.demands) + seams + free


@dataclass(frozen=True, slots=True)
class Column:
    """A bar cut in one way; `rest` is the room that free runs may use."""

    bar: int
    counts: tuple[int, ...]
    rest: int


@dataclass(frozen=True, slots=True)
class Group:
    """Free runs that share bars: how many of each kind, whether they do, and how many of each column."""

    counts: tuple[int, ...]
    chosen: int
    shares: dict[int, int]


@dataclass(slots=True)
class Master:
    """The model, and the handles that reading it needs."""

    question: Question
    columns: tuple[Column, ...]
    model: LinearModel = field(default_factory=LinearModel)
    times: list[int] = field(default_factory=list)
    packs: list[int] = field(default_factory=list)
    arcs: list[dict[Arc, int]] = field(default_factory=list)
    groups: list[Group] = field(default_factory=list)


def build(question: Question, columns: Sequence[Column], pooled: bool, waste: int) -> Master:
    """
    Build the model.

    Parameters
    ----------
    pooled
        True for the relaxation that lets every free run be a group of its own while all share all bars.
    waste
        Room given up in every bar that free runs use; 0 for a bound, more to make sure of a plan.
    """
    master = Master(question, tuple(columns))
    model = master.model
    for bar in question.bars:
        master.packs.append(model.column(bar.cost, bar.limit if bar.limit is not None else question.most))
    for _ in columns:
        master.times.append(model.column(upper=question.most))
    for number, bar in enumerate(question.bars):
        uses = [(time, 1) for time, column in zip(master.times, columns, strict=True) if column.bar == number]
        model.row([*uses, (master.packs[number], -bar.pack)], upper=0)
    _demand(master)
    if question.free:
        _groups(master, pooled, waste)
    return master


def _demand(master: Master) -> None:
    """Cover every piece that parts ask for, and that the chosen arcs of seamed runs ask for."""
    master.arcs = add_arcs(master.model, master.question)
    asked = arcs_asking(master.question, master.arcs)
    made: list[list[tuple[int, int]]] = [[] for _ in master.question.demands]
    for time, column in zip(master.times, master.columns, strict=True):
        for number, count in enumerate(column.counts):
            if count:
                made[number].append((time, count))
    for number, demand in enumerate(master.question.demands):
        master.model.row([*made[number], *asked.get(number, [])], lower=demand)


def add_arcs(model: LinearModel, question: Question) -> list[dict[Arc, int]]:
    """Add a flow through the seams of each distinct seamed run; give the column of every piece."""
    flows = []
    for run, number, arcs in question.seamed:
        columns = {arc: model.column(upper=number) for arc in arcs}
        flows.append(columns)
        for node in sorted({0} | {node for arc in arcs for node in (arc.tail, arc.head)} - {run.length}):
            leaving = [(column, 1) for arc, column in columns.items() if arc.tail == node]
            arriving = [(column, -1) for arc, column in columns.items() if arc.head == node]
            starts = 0 if node else number
            model.row([*leaving, *arriving], lower=starts, upper=starts)
    return flows


def arcs_asking(question: Question, flows: Sequence[dict[Arc, int]]) -> dict[int, list[tuple[int, int]]]:
    """Give, for each kind of piece, the terms that chosen arcs take from its supply."""
    places = {piece: number for number, piece in enumerate(question.pieces)}
    asked: dict[int, list[tuple[int, int]]] = {}
    for columns in flows:
        for arc, column in columns.items():
            number = places[Piece(arc.end - arc.start + question.kerf)]
            asked.setdefault(number, []).append((column, -1))
    return asked


def _groups(master: Master, pooled: bool, waste: int) -> None:
    """Let free runs fall into groups, and give each group bars that hold it with the fewest pieces."""
    question, model = master.question, master.model
    have = tuple(number for _, number in question.free)
    lists = None if pooled else groups(have)
    if lists is None:
        # One group of all; as a bound it may have as many pieces less as there could be groups.
        _group(master, have, 1 if waste else sum(have), waste)
        model.row([(master.groups[0].chosen, 1)], lower=1)
    else:
        for counts in lists:
            _group(master, counts, 1, waste)
        for kind, number in enumerate(have):
            chosen = [(g.chosen, g.counts[kind]) for g in master.groups if g.counts[kind]]
            model.row(chosen, lower=number, upper=number)
    for place, time in enumerate(master.times):
        shared = [(group.shares[place], 1) for group in master.groups if place in group.shares]
        if shared:
            model.row([*shared, (time, -1)], upper=0)


def _group(master: Master, counts: tuple[int, ...], spared: int, waste: int) -> None:
    question, model = master.question, master.model
    kinds = [(run, count) for (run, _), count in zip(question.free, counts, strict=True) if count]
    each = [run.lap + question.kerf for run, _ in kinds]
    # Where laps differ, a bound reckons the pieces past the first with the least, a plan with the largest.
    joint = max(each) if waste else min(each)
    least = min(min(shortest_piece(run), run.length) for run, _ in kinds) + question.kerf
    chosen = model.column(upper=1)
    shares = {
        place: model.column(upper=question.most)
        for place, column in enumerate(master.columns)
        if column.rest >= least and column.rest > joint + waste
    }
    asked = sum(count * (run.length + question.kerf) for run, count in kinds) - spared * joint
    room = [(y, master.columns[place].rest - joint - waste) for place, y in shares.items()]
    model.row([*room, (chosen, -asked)], lower=0)
    master.groups.append(Group(counts, chosen, shares))
