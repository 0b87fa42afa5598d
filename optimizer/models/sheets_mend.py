"""
Good plans for many pieces: round the pattern LP, search for the rest, take some sheets apart and try again.

The search is ruin and recreate on packs taken apart. It needs numba, which takes a third of
a second to load, so nothing here is asked before the quick ways have failed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import gcd, lcm
from random import Random
from typing import TYPE_CHECKING

from optimizer.engine import Clock
from optimizer.models.sheets_cuts import without_surplus
from optimizer.models.sheets_question import Question
from optimizer.models.sheets_trees import Pattern, leaves

if TYPE_CHECKING:
    from optimizer.models.sheets_ruin import Ruins

__all__ = ["Mending"]

STAGES = 3
HISTORIES = (300, 50, 1000, 100)
"""How far back late acceptance looks, from one search to the next."""

EFFORT = 200_000
"""Rounds of one search, times the pieces it is about."""

NO_LIMIT = 1 << 60
FEW = 45
"""Pieces on the sheets that are taken apart at a time."""

THRESHOLDS = (0.6, 0.4, 0.8, 1.0)
"""A fraction of a pattern from here on is used as a whole one."""


class Mending:
    """
    The search for plans of one question in so many stages, with its own source of chance.

    `able` is False where items as wide as their stock could come from stocks of several widths.
    """

    def __init__(self, question: Question, clock: Clock, stages: int | None = STAGES) -> None:
        self.question, self.clock, self.stages = question, clock, stages
        self.draw = Random(1)
        widths = {s.width for s in question.sheets}
        self.able = len(widths) == 1 or all(i.width for i in question.items)
        scale = lcm(*(s.pack for s in question.sheets))
        self.apart = replace(
            question,
            sheets=tuple(
                replace(s, cost=s.cost * scale // s.pack, packs=s.limit, pack=1) for s in question.sheets
            ),
            items=tuple(replace(i, width=i.width or min(widths)) for i in question.items),
        )
        self.step = gcd(*(s.cost for s in self.apart.sheets)) or 1
        self.turn = 0

    def within(self, purchase: Sequence[int], turns: int) -> list[Pattern] | None:
        """Fit everything into a purchase; None if that did not come about in so many searches."""
        sheets = tuple(replace(s, packs=n, cost=1) for s, n in zip(self.apart.sheets, purchase, strict=True))
        asked = replace(self.apart, sheets=sheets)
        for _ in range(turns):
            found = self._search(asked, asked.counts, sum(purchase), 1)
            if found is not None:
                return found
        return None

    def from_scratch(self, below: int | None) -> list[Pattern] | None:
        """Plan everything for less than `below`, packs taken apart; None if nothing came up."""
        return self._search(self.apart, self.apart.counts, self._budget(below), 4)

    def rounded(self, shares: Sequence[tuple[Pattern, float]], below: int | None) -> list[Pattern] | None:
        """Use patterns as often as an LP says, some of the fractions as wholes, and search for the rest."""
        threshold = THRESHOLDS[self.turn % len(THRESHOLDS)]
        left, spent = list(self.question.counts), 0
        limits = [s.limit for s in self.apart.sheets]
        fixed: list[Pattern] = []
        for pattern, share in sorted(shares, key=lambda pair: -pair[1] - 0.2 * self.draw.random()):
            made = pattern.yields(len(left))
            for _ in range(int(share + 1 - threshold + 1e-6)):
                limit = limits[pattern.sheet]
                if limit == 0 or any(m > n for m, n in zip(made, left, strict=True)):
                    break
                limits[pattern.sheet] = None if limit is None else limit - 1
                left = [n - m for m, n in zip(made, left, strict=True)]
                fixed.append(pattern)
                spent += self.apart.sheets[pattern.sheet].cost
        rest = self._limited(limits)
        found = self._search(rest, left, self._budget(below) - spent, 4) if any(left) else []
        return None if found is None else fixed + found

    def again(self, plan: Sequence[Pattern]) -> list[Pattern] | None:
        """Take some sheets of a plan apart and cut their pieces anew for less, now and then for as much."""
        whole = without_surplus(self.question, plan)
        chosen = self._some(whole)
        kept = [p for n, p in enumerate(whole) if n not in chosen]
        left, spent = [0] * len(self.question.items), 0
        for n in chosen:
            spent += self.apart.sheets[whole[n].sheet].cost
            left = [a + b for a, b in zip(left, whole[n].yields(len(left)), strict=True)]
        limits = [s.limit for s in self.apart.sheets]
        for pattern in kept:
            limit = limits[pattern.sheet]
            limits[pattern.sheet] = None if limit is None else limit - 1
        budget = spent - (self.step if self.draw.random() < 0.7 else 0)
        found = self._search(self._limited(limits), left, budget, 1)
        return None if found is None else kept + found

    def _budget(self, below: int | None) -> int:
        scale = lcm(*(s.pack for s in self.question.sheets))
        return NO_LIMIT if below is None else below * scale - self.step

    def _limited(self, limits: Sequence[int | None]) -> Question:
        sheets = tuple(replace(s, packs=n) for s, n in zip(self.apart.sheets, limits, strict=True))
        return replace(self.apart, sheets=sheets)

    def _some(self, plan: Sequence[Pattern]) -> set[int]:
        """Choose sheets, rather those with more waste, until they hold a few dozen pieces."""

        def waste(pattern: Pattern) -> float:
            sheet = self.apart.sheets[pattern.sheet]
            held = sum(x.along * x.across for x in leaves(pattern.tree))
            return 1 - held / (sheet.length * sheet.width)

        order = sorted(range(len(plan)), key=lambda n: -waste(plan[n]) - 0.4 * self.draw.random())
        chosen: set[int] = set()
        pieces = 0
        for n in order:
            pieces += sum(1 for _ in leaves(plan[n].tree))
            if pieces > FEW and len(chosen) > 1:
                break
            chosen.add(n)
        return chosen

    def _search(
        self, asked: Question, counts: Sequence[int], budget: int, turns: int
    ) -> list[Pattern] | None:
        """Search for plans within a budget, then for ever cheaper ones; `turns` tries each."""
        if not self.able or self.clock.left() <= 0:
            return None
        from optimizer.models.sheets_ruin import ROUND, Ruins

        self.turn += 1
        history = HISTORIES[self.turn % len(HISTORIES)]
        ruins: Ruins = Ruins(asked, counts, self.stages, 100 * self.turn)
        rounds = max(20, EFFORT // (1 + len(ruins.items)))
        found, failed = None, 0
        # Nothing costs less than nothing, where all of it may come from what is owned.
        while failed < turns and budget >= 0 and self.clock.left() > 0:
            self.clock.spend(ROUND * rounds * len(ruins.items))
            if not ruins.run(budget, rounds, history):
                failed += 1
                continue
            found = ruins.patterns()
            budget = asked.cost(ruins.used) - self.step
        return found
