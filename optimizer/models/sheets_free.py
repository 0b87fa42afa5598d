"""
Rectangles from sheets in any number of stages: for plans larger than exact methods reach.

A plan comes from ruin and recreate; its bound from areas, dual feasible functions and the pattern LP whose
patterns are priced by a table over all rectangles. What the bound meets is proved.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from optimizer.engine import Clock
from optimizer.growing import GrowingLp
from optimizer.models.sheets_bounds import sheets_needed
from optimizer.models.sheets_grid import Grid
from optimizer.models.sheets_master import Cover, cheapest_purchase, whole_values
from optimizer.models.sheets_pricing import sums
from optimizer.models.sheets_question import Question
from optimizer.models.sheets_ruin import Ruins
from optimizer.models.sheets_trees import Pattern

__all__ = ["Freely", "cut_freely"]

FAMILY = "saw cuts from edge to edge, in any number of stages"


@dataclass
class Freely:
    """The best plan of a question and what is shown of its cost."""

    question: Question
    plan: list[Pattern] = field(default_factory=list)
    cost: int | None = None
    bound: int = 0
    witness: str = ""

    @property
    def proved(self) -> bool:
        """True if nothing can cost less."""
        return self.cost is not None and self.bound >= self.cost

    def raise_bound(self, bound: int, witness: str) -> None:
        """Believe a higher bound."""
        if bound > self.bound:
            self.bound, self.witness = bound, witness


def cut_freely(question: Question, clock: Clock, stages: int | None = None, seed: int = 1) -> Freely:
    """
    Plan a question of sheets without packs whose items all have a width.

    Parameters
    ----------
    stages
        How many stages patterns of the plan may have; the bound holds for any number.
    """
    known = Freely(question)
    area = cheapest_purchase(question, [_area(question)])
    if area is not None:
        known.raise_bound(area[0], "area")
    if len(question.sheets) == 1:
        known.raise_bound(sheets_needed(question) * question.sheets[0].cost, "dual feasible functions")
    _search(known, clock.share(0.1 * clock.left()), stages, seed)
    if not known.proved:
        _lp_bound(known, clock.share(0.5 * clock.left()))
    turn = 0
    while not known.proved and clock.left() > 0:
        turn += 1
        _search(known, clock.share(10.0), stages, seed + 100 * turn, HISTORIES[turn % len(HISTORIES)])
    return known


HISTORIES = (50, 300, 1000, 100)
"""How far back late acceptance looks, from one start to the next."""

WEIGHT = 0.1
"""How much free room in large rectangles counts against area left out."""


def _area(question: Question) -> Cover:
    areas = tuple(i.length * i.width for i in question.items)
    wanted = sum(a * n for a, n in zip(areas, question.counts, strict=True))
    return Cover(areas, tuple(s.length * s.width for s in question.sheets), wanted)


def _search(known: Freely, clock: Clock, stages: int | None, seed: int, history: int = 50) -> None:
    """Look for cheaper and cheaper plans from an empty start."""
    question = known.question
    step = int(np.gcd.reduce([s.cost for s in question.sheets])) or 1
    ruins = Ruins(question, question.counts, stages, seed)
    budget = (1 << 40) if known.cost is None else known.cost - step
    while clock.left() > 0 and budget >= known.bound:
        if ruins.run(budget, 2000, history, WEIGHT):
            known.plan = ruins.patterns()
            known.cost = question.cost(ruins.used)
            budget = known.cost - step


def _lp_bound(known: Freely, clock: Clock) -> None:
    """Generate columns from the table; every round's duals give a bound of their own."""
    question = known.question
    sheets = question.sheets
    shapes = sorted({x for s in sheets for x in question.shapes(s)})
    length, width = max(s.length for s in sheets), max(s.width for s in sheets)
    xs = sorted(sums([(x.along, length) for x in shapes], length))
    ys = sorted(sums([(x.across, width) for x in shapes], width))
    master = GrowingLp([float(n) for n in question.counts], [np.inf] * len(question.items))
    _add(master, question, [Pattern(_holder(question, x.item), x) for x in shapes])
    _add(master, question, known.plan)
    covers: list[Cover] = []
    while clock.left() > 0 and not known.proved:
        if not master.solve(clock):
            return
        grid = Grid(shapes, xs, ys, whole_values(np.maximum(master.duals, 0.0)))
        worth = tuple(int(grid.value(s.length, s.width)) for s in sheets)
        wanted = sum(int(v) * n for v, n in zip(grid.values, question.counts, strict=True))
        covers = [*covers[-3:], Cover(tuple(int(v) for v in grid.values), worth, wanted)]
        found = cheapest_purchase(question, covers[-1:])
        if found is not None:
            known.raise_bound(found[0], "pattern LP duals checked in integers")
        scale = float(np.max(master.duals)) / 1_000_000
        new = [
            Pattern(s, tree)
            for s, sheet in enumerate(sheets)
            if worth[s] * scale > sheet.cost * (1 + 1e-6)
            for tree in grid.trees(sheet.length, sheet.width, 4)
        ]
        if not new:
            return
        _add(master, question, new)


def _holder(question: Question, item: int) -> int:
    """Give the cheapest sheet that holds an item."""
    fit = [s for s, sheet in enumerate(question.sheets) if item in {x.item for x in question.shapes(sheet)}]
    return min(fit, key=lambda s: (question.sheets[s].cost, s))


def _add(master: GrowingLp, question: Question, patterns: Sequence[Pattern]) -> None:
    starts: list[int] = []
    rows: list[int] = []
    entries: list[float] = []
    costs: list[float] = []
    for pattern in patterns:
        starts.append(len(rows))
        costs.append(float(question.sheets[pattern.sheet].cost))
        for item, n in enumerate(pattern.yields(len(question.items))):
            if n:
                rows.append(item)
                entries.append(float(n))
    if patterns:
        master.add(costs, starts, rows, entries)
