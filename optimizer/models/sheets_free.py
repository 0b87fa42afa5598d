"""
Rectangles from sheets in any number of stages: for plans larger than exact methods reach.

A plan comes from ruin and recreate; its bound from areas, dual feasible functions and the pattern LP whose
patterns are priced by a table over all rectangles. Where there are many pieces the LP's patterns are used
as often as it says, rounded down, and only the rest is searched for. What the bound meets is proved.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import gcd
from random import Random

from optimizer.engine import Clock
from optimizer.models.sheets_bounds import sheets_needed
from optimizer.models.sheets_columns import Columns
from optimizer.models.sheets_master import Cover, least_cost
from optimizer.models.sheets_mend import Mending
from optimizer.models.sheets_question import Question
from optimizer.models.sheets_ruin import Ruins
from optimizer.models.sheets_trees import Pattern, leaves

__all__ = ["Freely", "cut_freely"]

HISTORIES = (50, 300, 1000, 100)
"""How far back late acceptance looks, from one start to the next."""

WEIGHT = 0.1
"""How much free room in large rectangles counts against area left out."""

FEW = 600
"""Pieces that are searched for all at once, too; with more, only what is left after rounding down."""

STEPS = 12
"""Times that some sheets are taken apart and filled anew before another start."""

NO_LIMIT = 1 << 40


@dataclass
class Freely:
    """The best plan of a question and what is shown of its cost."""

    question: Question
    stages: int | None = None
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

    def swap(self, plan: list[Pattern]) -> None:
        """Keep a plan if it is no dearer than the best, and can be offered."""
        self.offer(plan, alike=True)

    def offer(self, plan: list[Pattern], alike: bool = False) -> None:
        """Keep a plan if it is cheaper than the best, makes all that is wanted and fits the sheets."""
        sheets = self.question.sheets
        made = [0] * len(self.question.items)
        for leaf in (leaf for pattern in plan for leaf in leaves(pattern.tree)):
            made[leaf.item] += 1
        if any(n < count for n, count in zip(made, self.question.counts, strict=True)):
            return
        if any(p.tree.along > sheets[p.sheet].length or p.tree.across > sheets[p.sheet].width for p in plan):
            return
        used = [0] * len(sheets)
        for pattern in plan:
            used[pattern.sheet] += 1
        cost = self.question.cost(used)
        enough = all(s.limit is None or n <= s.limit for n, s in zip(used, sheets, strict=True))
        if enough and (self.cost is None or cost < self.cost or (alike and cost == self.cost)):
            self.plan, self.cost = plan, cost


def cut_freely(question: Question, clock: Clock, stages: int | None = None, seed: int = 1) -> Freely:
    """
    Plan a question of sheets without packs whose items all have a width.

    Parameters
    ----------
    stages
        How many stages patterns of the plan may have; the bound holds for any number.
    """
    known = Freely(question, stages)
    known.raise_bound(least_cost(question, [_area(question)]), "area")
    if len(question.sheets) == 1:
        known.raise_bound(sheets_needed(question) * question.sheets[0].cost, "dual feasible functions")
    few = sum(question.counts) <= FEW
    if few:
        _search(known, clock.share(0.1 * clock.left()), seed)
    columns = None
    if not known.proved:
        columns = Columns(question, known.plan)
        share = clock.share(0.4 * clock.left())
        known.raise_bound(columns.generate(share, known.cost), "pattern LP duals checked in integers")
    if columns is not None and not known.proved and stages is None:
        known.offer(columns.best_mix(clock.share(0.2 * clock.left()), known.cost))
    draw, turn = Random(seed), 0
    mending = Mending(question, clock, stages, seed)
    while not known.proved and clock.left() > 0:
        turn += 1
        if columns is not None:
            _mend(known, mending, columns.whole_part())
        fixed: list[Pattern] = []
        if columns is not None and (not few or turn % 2 == 0):
            fixed = _rounded_down(columns, draw, 0.15 * (turn - 1))
        _search(known, clock.share(8.0), seed + 100 * turn, HISTORIES[turn % len(HISTORIES)], fixed)
    return known


def _mend(known: Freely, mending: Mending, shares: Sequence[tuple[Pattern, float]]) -> None:
    """Round the LP up here and down there, then take a few sheets at a time apart."""
    known.offer(mending.rounded(shares, known.cost) or [])
    for _ in range(STEPS):
        if known.proved or not known.plan:
            return
        known.swap(mending.again(known.plan) or [])


def _area(question: Question) -> Cover:
    areas = tuple(i.length * i.width for i in question.items)
    wanted = sum(a * n for a, n in zip(areas, question.counts, strict=True))
    return Cover(areas, tuple(s.length * s.width for s in question.sheets), wanted)


def _rounded_down(columns: Columns, draw: Random, loosen: float) -> list[Pattern]:
    """Use patterns as often as the LP says, rounded down, less a few at random."""
    fixed = [p for p, x in columns.whole_part() for _ in range(int(x + 1e-6))]
    drop = min(len(fixed), int(min(loosen, 1.0) * 20))
    for _ in range(drop):
        fixed.pop(draw.randrange(len(fixed)))
    return fixed


def _search(known: Freely, clock: Clock, seed: int, history: int = 50, fixed: Sequence[Pattern] = ()) -> None:
    """Look for cheaper and cheaper plans from an empty start, some patterns given."""
    question = known.question
    left = list(question.counts)
    spent = 0
    for pattern in fixed:
        spent += question.sheets[pattern.sheet].cost
        for item, n in enumerate(pattern.yields(len(left))):
            left[item] = max(0, left[item] - n)
    step = gcd(*(s.cost for s in question.sheets)) or 1
    ruins = Ruins(question, left, known.stages, seed)
    budget = NO_LIMIT if known.cost is None else known.cost - step - spent
    while clock.left() > 0 and budget + spent >= known.bound:
        if ruins.run(budget, max(20, 200_000 // (1 + len(ruins.items))), history, WEIGHT):
            budget = question.cost(ruins.used) - step
            known.offer([*fixed, *ruins.patterns()])
