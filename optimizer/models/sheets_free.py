"""
Rectangles from sheets in any number of stages: for plans larger than exact methods reach.

A plan comes from ruin and recreate; its bound from areas, dual feasible functions and the pattern LP whose
patterns are priced by a table over all rectangles. Where there are many pieces the LP's patterns are used
as often as it says, rounded down, and only the rest is searched for. What the bound meets is proved.
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from math import ceil, gcd
from random import Random

from optimizer.engine import Clock
from optimizer.models.sheets_bounds import sheets_needed
from optimizer.models.sheets_columns import Columns
from optimizer.models.sheets_master import Cover, least_cost
from optimizer.models.sheets_mend import Mending
from optimizer.models.sheets_question import Question
from optimizer.models.sheets_ruin import ROUND, Ruins
from optimizer.models.sheets_trees import Pattern, leaves

__all__ = ["Freely", "cut_freely"]

HISTORIES = (300, 1000, 500, 200)
"""How far back late acceptance looks, from one start to the next."""

FEW = 600
"""Pieces that are searched for all at once, too; with more, only what is left after rounding down."""

STEPS = 12
"""Times that some sheets are taken apart and filled anew before another start."""

EFFORT = 200_000
"""Rounds of the search between two looks at the clock, times the pieces it is about."""

CORES = 2
NO_LIMIT = 1 << 60
SEED = 1


@dataclass
class Freely:
    """The best plan of a question and what is shown of its cost."""

    question: Question
    plan: list[Pattern] = field(default_factory=list)
    cost: int | None = None
    bound: int = 0

    @property
    def proved(self) -> bool:
        """True if nothing can cost less."""
        return self.cost is not None and self.bound >= self.cost

    def raise_bound(self, bound: int) -> None:
        """Believe a bound if it is higher."""
        self.bound = max(self.bound, bound)

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


def cut_freely(question: Question, clock: Clock) -> Freely:
    """Plan a question of sheets without packs whose items all have a width."""
    known = Freely(question)
    known.raise_bound(least_cost(question, [_area(question)]))
    if len(question.sheets) == 1:
        known.raise_bound(sheets_needed(question) * question.sheets[0].cost)
    few = sum(question.counts) <= FEW
    if few:
        _search(known, clock.share(0.05 * clock.left()), 0)
    if known.proved:
        return known
    columns = Columns(question, known.plan)
    known.raise_bound(columns.generate(clock.share(0.4 * clock.left()), known.cost))
    known.offer([p for p, x in columns.whole_part() for _ in range(ceil(x))])
    draw, turn = Random(SEED), 0
    mending = Mending(question, clock, stages=None)
    while not known.proved and clock.left() > 0:
        turn += 1
        if turn == 1 + few:
            known.offer(columns.best_mix(clock.share(0.2 * clock.left()), known.cost))
        _mend(known, mending, columns.whole_part())
        fixed = [] if few and turn % 2 else _rounded_down(columns, draw, 0.15 * (turn - 1))
        _search(known, clock.share(max(4.0, 0.5 * clock.left())), turn, fixed)
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


def _search(known: Freely, clock: Clock, turn: int, fixed: Sequence[Pattern] = ()) -> None:
    """Look for cheaper and cheaper plans from empty starts, one on each core, some patterns given."""
    question = known.question
    left = list(question.counts)
    spent = 0
    for pattern in fixed:
        spent += question.sheets[pattern.sheet].cost
        for item, n in enumerate(pattern.yields(len(left))):
            left[item] = max(0, left[item] - n)
    step = gcd(*(s.cost for s in question.sheets)) or 1
    budget = NO_LIMIT if known.cost is None else known.cost - step - spent
    several = [Ruins(question, left, None, SEED + 1_000_000 * (CORES * turn + n)) for n in range(CORES)]
    rounds = max(20, EFFORT // (1 + len(several[0].items)))
    with ThreadPoolExecutor(CORES) as pool:
        while clock.left() > 0 and budget + spent >= known.bound:
            clock.spend(ROUND * rounds * len(several[0].items))
            runs = [
                pool.submit(ruins.run, budget, rounds, HISTORIES[(turn + n) % len(HISTORIES)])
                for n, ruins in enumerate(several)
            ]
            for ruins, run in zip(several, runs, strict=True):
                if run.result():
                    budget = min(budget, question.cost(ruins.used) - step)
                    known.offer([*fixed, *ruins.patterns()])
