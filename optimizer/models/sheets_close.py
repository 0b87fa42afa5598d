"""From a plan and a bound to a proof: every cheaper purchase is refuted, or gives a cheaper plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from optimizer.engine import Clock, LinearModel, Progress, run_highs
from optimizer.models.sheets_branch import refuted
from optimizer.models.sheets_check import worth_again
from optimizer.models.sheets_flow import TooLarge, build_flow, read_flow
from optimizer.models.sheets_master import Cover, Master, cheapest_purchase
from optimizer.models.sheets_mend import Mending
from optimizer.models.sheets_proper import Enough, Made, Proper, Strip
from optimizer.models.sheets_question import Question
from optimizer.models.sheets_search import dive, used_sheets
from optimizer.models.sheets_sieve import sieve_of
from optimizer.models.sheets_trees import Pattern
from optimizer.models.sheets_yields import TooMany, yields_again

__all__ = ["Closing"]

TURNS = 8
"""Searches for a plan within a purchase before its refutation is tried at length."""

WORK = 30_000
"""Fillings of one sheet that are looked at before listing its patterns is given up."""

EASY = 4_000
"""With more patterns than this a plan is first sought by chance, not by branch and cut."""

MOST_PATTERNS = 20_000


Yields = dict[tuple[int, Made], tuple[Proper, tuple[Strip, ...]]]
"""By sheet and what is made of it: who found it, and the strips it is made in."""


@dataclass
class Closing:
    """
    What is known of a question: the best plan, the cuts on the purchase, the purchases refuted.

    `bound` is what every plan costs at least. Plans dearer than `most` are of no interest. `impossible` where
    every purchase there is has been ruled out, and no plan was found.
    """

    master: Master
    material: str
    covers: list[Cover]
    plan: list[Pattern] | None = None
    refuted: dict[tuple[int, ...], Cover] = field(default_factory=dict)
    bound: int = 0
    most: int | None = None
    impossible: bool = False

    def __post_init__(self) -> None:
        self.mending = Mending(self.question, self.master.clock)

    @property
    def question(self) -> Question:
        """The question asked."""
        return self.master.question

    @property
    def cost(self) -> int | None:
        """Give the cost of the best plan."""
        return (
            None
            if self.plan is None
            else self.question.cost(used_sheets(len(self.question.sheets), self.plan))
        )

    def offer(self, plan: list[Pattern] | None) -> None:
        """Keep a plan if it is cheaper than the best."""
        if plan is None:
            return
        cost = self.question.cost(used_sheets(len(self.question.sheets), plan))
        if self.cost is None or cost < self.cost:
            self.plan = plan
            self.tell()

    def swap(self, plan: list[Pattern] | None) -> None:
        """Keep a plan if it is no dearer than the best."""
        if plan is not None and self.question.cost(used_sheets(len(self.question.sheets), plan)) == self.cost:
            self.plan = plan
        else:
            self.offer(plan)

    def tell(self) -> None:
        """Say how far we are."""
        self.master.clock.tell(Progress(self.material, self.cost, self.bound))

    def next_purchase(self) -> tuple[int, ...] | None:
        """Raise the bound to the cheapest purchase not ruled out; None if it is no cheaper than the plan."""
        found = cheapest_purchase(self.question, self.covers, list(self.refuted), self.cost)
        if found is None:
            self.bound = self.cost if self.cost is not None else self.bound
            self.impossible = self.cost is None
            return None
        self.bound = found[0]
        self.tell()
        return found[1]

    def close(self) -> None:
        """Go through the purchases from the cheapest on until one gives a plan or none is cheaper."""
        while self.master.clock.left() > 0:
            purchase = self.next_purchase()
            if purchase is None or (self.most is not None and self.bound > self.most):
                return
            if not self._settle(purchase):
                return

    def search_on(
        self, clock: Clock, shares: Sequence[tuple[Pattern, float]] = (), turns: int | None = None
    ) -> None:
        """Seek cheaper plans without proof: from an LP, from nothing, mostly from the best plan."""
        turn = 0
        while self.mending.able and clock.left() > 0 and self.cost != self.bound and turn != turns:
            turn += 1
            if turn % 20 == 1:
                self.offer(self.mending.rounded(shares, self.cost))
            elif turn % 20 == 2:
                self.offer(self.mending.from_scratch(self.cost))
            else:
                self.swap(self.mending.again(self.plan or []))

    def _settle(self, purchase: tuple[int, ...]) -> bool:
        """Refute a purchase or find a plan for it; False if neither came about."""
        stretched = self.master.stretch(purchase)
        if stretched is None:
            return False
        cover = self.master.cover(stretched[1])
        if not cover.holds(purchase):
            self.covers.append(cover)
            return True
        before = self.cost
        self.offer(dive(self.master, purchase))
        if self.cost != before:
            return True
        listed = self._listed(purchase, cover, WORK)
        if listed is None or len(listed) > EASY:
            self.offer(self.mending.from_scratch(self.cost))
            if self.cost != self.bound:
                self.offer(self.mending.within(purchase, TURNS))
            if self.cost == self.bound:
                return True
        if listed is None:
            listed = self._listed(purchase, cover, 20 * WORK)
        if listed is not None:
            return self._by_patterns(purchase, cover, listed)
        return self._by_flow(purchase, cover)

    def _listed(self, purchase: tuple[int, ...], cover: Cover, work: int) -> Yields | None:
        """List every yield that a plan within the purchase can have and no other covers; None if too many."""
        values = np.array(cover.values, dtype=np.int64)
        listed: Yields = {}
        for frame in self.master.frames:
            priced = frame.price(values)
            for s in (s for s in frame.sheets if purchase[s]):
                proper = Proper(priced, s, work, self.master.clock)
                try:
                    found = proper.every(cover.worth[s] - cover.spare(purchase), MOST_PATTERNS)
                except Enough:
                    return None
                for made, strips in found.items():
                    if all(c.admits(s, made, purchase) for c in self.covers):
                        listed.setdefault((s, made), (proper, strips))
        return listed

    def _by_patterns(self, purchase: tuple[int, ...], cover: Cover, listed: Yields) -> bool:
        # Any solution will do; costs that favour full sheets lead to one soonest.
        most = max((sum(made) for _, made in listed), default=0)
        model = LinearModel()
        for _, made in listed:
            model.column(most - sum(made))
        for item, count in enumerate(self.question.counts):
            model.row([(c, made[item]) for c, (_, made) in enumerate(listed)], lower=count)
        for s, limit in enumerate(purchase):
            model.row([(c, 1) for c, (sheet, _) in enumerate(listed) if sheet == s], upper=limit)
        clock = self.master.clock.share(0.6 * self.master.clock.left())
        solved = run_highs(model, clock, target=most * sum(purchase))
        if solved.values is not None:
            chosen = zip(listed.values(), solved.values, strict=True)
            self.offer([proper.pattern(strips) for (proper, strips), n in chosen for _ in range(n)])
            return True
        if not solved.infeasible:
            return False
        self.refuted[purchase] = cover
        return True

    def _by_flow(self, purchase: tuple[int, ...], cover: Cover) -> bool:
        try:
            built = build_flow(self.question, self.master.frames, sieve_of(cover, purchase))
        except TooLarge:
            return False
        for column, pieces, sheet in zip(built.packs, purchase, self.question.sheets, strict=True):
            built.model.uppers[column] = pieces // sheet.pack
            built.model.costs[column] = 0
        clock = self.master.clock.share(0.4 * self.master.clock.left())
        solved = run_highs(built.model, clock)
        if solved.values is not None:
            self.offer(read_flow(built, solved.values))
        elif solved.infeasible:
            self.refuted[purchase] = cover
        return solved.infeasible or solved.values is not None

    def witnesses(self) -> tuple[str, ...]:
        """Name who vouches for the bound: a second method reckons again what the first did."""
        if self.cost != self.bound:
            return ()
        again = all(worth_again(self.question, c.values) == c.worth for c in self._needed())
        if self.refuted:
            second = "yields listed anew, rounding cuts checked in integers"
            again = again and all(self._refuted_again(p, cover) for p, cover in self.refuted.items())
            return ("HiGHS", second) if again else ("HiGHS",)
        first = "pattern LP duals checked in integers"
        return (first, "the same duals by nondominated lists") if again else (first,)

    def _refuted_again(self, purchase: tuple[int, ...], cover: Cover) -> bool:
        """Refute a purchase once more, with yields and a proof that share nothing with the first."""
        if worth_again(self.question, cover.values) != cover.worth:
            return False
        spare = sum(v * n for v, n in zip(cover.worth, purchase, strict=True)) - cover.wanted
        try:
            yields = [
                (s, made)
                for s, n in enumerate(purchase)
                if n
                for made in sorted(yields_again(self.question, s, cover.values, cover.worth[s] - spare))
            ]
        except TooMany:
            return False
        return refuted(yields, self.question.counts, purchase, self.master.clock)

    def _needed(self) -> list[Cover]:
        """Leave out the cuts that the bound does not need; areas need no second look."""
        needed = list(self.covers)
        for cover in [*self.covers[1:], self.covers[0]]:
            fewer = [c for c in needed if c is not cover]
            if cheapest_purchase(self.question, fewer, list(self.refuted), self.bound) is None:
                needed = fewer
        return [c for c in needed if c != self.master.area()]
