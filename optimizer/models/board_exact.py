"""Models 2 and 3 bar by bar: exact for free runs too, but only for a few dozen bars."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from optimizer.engine import LinearModel
from optimizer.models.board_master import Question, add_arcs, arcs_asking
from optimizer.models.free_runs import Arc, Cells, assignment

__all__ = ["Exact", "build_exact"]


@dataclass(slots=True)
class Exact:
    """
    The model, and the handles that reading it needs.

    `slots` are the bars' kinds in order; `counts` the columns that say how many of each piece a slot yields;
    `cells` the pieces of free runs, by run (each on its own) and slot.
    """

    question: Question
    model: LinearModel = field(default_factory=LinearModel)
    slots: list[int] = field(default_factory=list)
    uses: list[int] = field(default_factory=list)
    counts: list[list[int]] = field(default_factory=list)
    arcs: list[dict[Arc, int]] = field(default_factory=list)
    cells: Cells = field(default_factory=dict)


def build_exact(question: Question, numbers: Sequence[int]) -> Exact:
    """Build the model with so many slots of each kind of bar."""
    exact = Exact(question)
    model = exact.model
    taken: list[tuple[list[tuple[int, int]], int]] = []
    for kind, number in enumerate(numbers):
        bar = question.bars[kind]
        limit = number if bar.limit is None else min(number, bar.limit)
        packs = model.column(bar.cost, limit)
        uses = [model.column(upper=1) for _ in range(number)]
        model.row([*((use, 1) for use in uses), (packs, -bar.pack)], upper=0)
        for one, following in pairwise(uses):
            model.row([(one, 1), (following, -1)], lower=0)
        for use in uses:
            taken.append((_slot(exact, bar.room, use), bar.room))
            exact.slots.append(kind)
            exact.uses.append(use)
    _demand(exact)
    runs = [run for run, number in question.free for _ in range(number)]
    exact.cells = assignment(model, runs, taken, question.kerf)
    return exact


def _slot(exact: Exact, room: int, use: int) -> list[tuple[int, int]]:
    """Give the terms that take up one slot's room, its own room as a negative one."""
    question, model = exact.question, exact.model
    terms = [(use, -room)]
    columns: list[int] = []
    slants: dict[int, int] = {}
    for piece in question.pieces:
        most = max(0, room - piece.slant) // piece.take
        column = model.column(upper=most)
        columns.append(column)
        terms.append((column, piece.take))
        if piece.slant:
            if piece.slant not in slants:
                slants[piece.slant] = model.column(upper=1)
                terms.append((slants[piece.slant], piece.slant))
            model.row([(column, 1), (slants[piece.slant], -most)], upper=0)
    exact.counts.append(columns)
    return terms


def _demand(exact: Exact) -> None:
    exact.arcs = add_arcs(exact.model, exact.question)
    asked = arcs_asking(exact.question, exact.arcs)
    for number, demand in enumerate(exact.question.demands):
        made = [(columns[number], 1) for columns in exact.counts]
        exact.model.row([*made, *asked.get(number, [])], lower=demand)
