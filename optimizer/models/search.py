"""
Model 1, the search: which of its models is asked, in which order, until plan and bound meet.

The lay-outs are split by their course widths (`branches`), and the branch that may be cheapest is looked at
first: prices of the pieces bound it (`block_growth`), and whatever is too dear for a lay-out that meets the
bound is left out (`closing`). Two colours and the whole model look for such a lay-out among the rest; the
whole model raises the bound where there is none. Every look is limited by the work it takes, not
by the clock, and the limits grow from round to round, so that equal questions get equal plans.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from math import gcd
from typing import Protocol

from optimizer.bounds import up_to_step
from optimizer.engine import Clock, LinearModel, Progress, Solved, run_cpsat, run_highs
from optimizer.models.block_growth import BlockGrowth
from optimizer.models.branches import Allowed, Branch, split
from optimizer.models.closing import Narrowed, Question, thinned
from optimizer.models.colours import ColourModel, build_colours
from optimizer.models.decking import Decking
from optimizer.models.joint import JointModel, build_joint
from optimizer.scip import SCIP, none_below
from optimizer.witness import CHECKED, OWN_BRANCHING, shows_at_least

__all__ = ["Best", "search"]

FIRST_WORK = 0.7
"""Work on a question at the first try, in a clock's seconds; every further one has `MORE_WORK` times that."""

MORE_WORK = 4

ENOUGH = 105
"""The first plan may cost so many per cent of a branch's bound."""

EASILY_ASKED = 3_000
"""At the first try the whole model bounds, too, if there are no more pieces and ways to cut."""

MOST_JOINED = 20_000
"""A whole model of more pieces is not built."""

MOST_STEPS = 20_000
"""Steps of a block of courses in a branch."""


@dataclass(slots=True)
class Best:
    """
    The best lay-out and the best bound.

    `witnesses` are those who vouch for the bound. `stacks` counts the stacks of course widths that it covers.
    """

    cost: int | None = None
    bound: int = 0
    decking: Decking | None = None
    built: ColourModel | JointModel | None = None
    values: tuple[int, ...] = ()
    witnesses: tuple[str, ...] = ()
    stacks: int = 0

    def take(self, decking: Decking, built: ColourModel | JointModel, solved: Solved) -> None:
        """Keep a plan if it is cheaper."""
        if solved.values is None or solved.cost is None:
            return
        if self.cost is None or solved.cost < self.cost:
            self.cost, self.decking, self.built = solved.cost, decking, built
            self.values = solved.values


class Questioner(Protocol):
    """Gives the question: nominal or shrunk pieces, all stacks or some."""

    def __call__(self, shrunk: bool, only: Allowed | None = None) -> Decking: ...


def search(material: str, decking: Questioner, clock: Clock) -> Best:
    """
    Look for the cheapest lay-out and for the best bound.

    Returns
    -------
    Best
        Without a plan if there is none, or none was found in time.
    """
    loosest = decking(shrunk=True)
    best = Best(stacks=len({stack.widths for stacks in loosest.stacks.values() for stack in stacks}))
    if not all(loosest.stacks.values()):
        return best
    growth = BlockGrowth(loosest)
    possible = growth.tables.possible()
    if not all(possible.values()):
        return best
    searching = _Search(material, decking, replace(loosest, stacks=possible), growth, clock, best)
    searching.run()
    searching.conclude()
    return best


_Ask = Callable[[Branch, float], Solved]
"""Asks a question of a branch, with so much work."""


@dataclass(slots=True)
class _Search:
    material: str
    decking: Questioner
    loosest: Decking
    growth: BlockGrowth
    clock: Clock
    best: Best
    open: list[Branch] = field(default_factory=list)
    done: list[Branch] = field(default_factory=list)
    known: dict[object, Question] = field(default_factory=dict)

    def run(self) -> None:
        """Work on the branch that may be cheapest until none may be cheaper than the plan."""
        self.open.append(Branch(self.loosest.stacks, 0, 0))
        cheapest = min(self.loosest.costs)
        while self.open and self.clock.left() > 0:
            branch = min(self.open, key=lambda b: (b.bound + b.tries * cheapest, not b.ready, b.hint))
            self.open.remove(branch)
            if self.beaten(branch):
                self.done.append(branch)
            elif not branch.ready:
                self.open += list(self.bounded(branch))
            elif self.sought(branch):
                self.open.append(branch)
            else:
                self.done.append(branch)
            self.clock.tell(Progress(self.material, self.best.cost, self.least()))

    def beaten(self, branch: Branch) -> bool:
        """Tell whether nothing in a branch is cheaper than the plan at hand."""
        return branch.empty or (self.best.cost is not None and branch.bound >= self.best.cost)

    def least(self, checked: bool = False) -> int:
        """Give the bound on all lay-outs."""
        branches = [b for b in (*self.open, *self.done) if checked or not b.empty]
        bounds = [b.checked if checked else b.bound for b in branches]
        bounds += [] if self.best.cost is None else [self.best.cost]
        return min(bounds, default=0)

    def bounded(self, branch: Branch) -> Iterator[Branch]:
        """Bound a branch by the prices of its pieces; split it where a surface still has several stacks."""
        branch.relaxed = True
        priced = self.growth.price(branch.allowed, self.clock)
        if priced is not None:
            branch.lift(priced.least(branch.allowed))
            branch.hint = priced.hint(branch.allowed)
        if branch.single:
            self.to_grid(branch)
            yield branch
            return
        for allowed in split(self.loosest, branch.allowed):
            part = Branch(allowed, branch.bound, branch.checked, hint=branch.hint)
            if priced is not None:
                part.lift(priced.least(allowed))
                part.hint = priced.hint(allowed)
            yield part

    def to_grid(self, branch: Branch) -> None:
        """Lift the bound of a branch with one stack a surface to the next cost there can be."""
        blocked = self.blocked(branch)
        branch.lift(blocked + up_to_step(Fraction(branch.checked - blocked), self.step()))

    def blocked(self, branch: Branch) -> int:
        """Give what a branch with one stack a surface spends on blocking."""
        return sum(s.blocked * self.loosest.blocking[label] for label, (s,) in branch.allowed.items())

    def limit(self, branch: Branch) -> int:
        """
        Give the cost up to which plans are sought in a branch: its bound, or a little more.

        Where costs come in steps much smaller than a sheet, one by one they would be too many.
        """
        window = min(self.loosest.costs) // 2 // self.step() * self.step()
        limit = branch.bound + (window if self.step() <= window // 4 else 0)
        return limit if self.best.cost is None else min(limit, self.best.cost - 1)

    def step(self) -> int:
        """Give a number that divides every cost of sheets."""
        return gcd(*self.loosest.costs) or 1

    def question(self, branch: Branch, shrunk: bool) -> Question:
        """Give the question that a branch puts for one kind of pieces, with its prices."""
        key = (shrunk, tuple(branch.allowed.items()))
        if key not in self.known:
            asked = self.decking(shrunk, branch.allowed)
            growth = BlockGrowth(asked, MOST_STEPS)
            priced = growth.price(asked.stacks, self.clock)
            self.known[key] = Question(growth, priced)
            if shrunk and priced is not None:
                branch.lift(priced.least(asked.stacks))
        return self.known[key]

    def sought(self, branch: Branch) -> bool:
        """
        Look in a branch for a plan that meets its bound, and for a better bound; longer at every try.

        Returns
        -------
        bool
            False if there is nothing left to be asked.
        """
        work = FIRST_WORK * MORE_WORK**branch.tries
        asked, bound, limit = branch.tries == 0, branch.bound, self.limit(branch)
        for name, ask in self.questions(branch, limit):
            if self.clock.left() <= 0 or self.beaten(branch) or branch.bound > bound:
                return True
            if (name, limit) not in branch.settled:
                asked = True
                solved = ask(branch, work)
                if solved.infeasible or solved.optimal:
                    branch.settled.add((name, limit))
        branch.tries += 1
        return asked

    def questions(self, branch: Branch, limit: int) -> Iterator[tuple[str, _Ask]]:
        """Name what is asked of a branch: for a plan that meets its bound first, and what is smaller."""
        first = branch.tries == 0
        yield from self.thin_plans(branch, limit, few=True)
        if self.best.cost is None:
            for question in self.any_plans(branch):
                if self.best.cost is not None:
                    break
                yield question
        yield from self.thin_plans(branch, limit, few=False)
        yield from self.plans(branch, limit, shrunk=True, few=False, easy=True)
        yield from self.plans(branch, limit, shrunk=False, few=True)
        if first:
            return
        yield from self.plans(branch, limit, shrunk=True, few=True)
        yield from self.plans(branch, limit, shrunk=False, few=False)
        yield from self.plans(branch, limit, shrunk=True, few=False)

    def any_plans(self, branch: Branch) -> Iterator[tuple[str, _Ask]]:
        """Name the plans to look for where there is none yet, whatever they cost."""
        yield from self.thin_plans(branch, None, few=True)
        for shrunk in (False, True):
            yield from self.plans(branch, None, shrunk, few=not shrunk)

    def plans(
        self, branch: Branch, limit: int | None, shrunk: bool, few: bool, easy: bool = False
    ) -> Iterator[tuple[str, _Ask]]:
        """
        Name the plans to look for up to a limit.

        Parameters
        ----------
        shrunk
            Whether pieces stop short by all the slack they may, or are nominal.
        few
            Whether the most useful ways to cut are enough.
        easy
            Ask the whole model only, and only where it is small.
        """
        bound, question = branch.bound, self.question(branch, shrunk)
        narrowed = question.within(limit)
        if narrowed is None or branch.bound > bound:
            return
        few = few and narrowed.fewer
        where = f"{'shrunk' if shrunk else 'nominal'}, {'few' if few else 'all'} ways, to {limit}"
        pieces = narrowed.pieces()
        if easy and pieces + len(narrowed.all.cutting.ways) > EASILY_ASKED:
            return
        decking = narrowed.few if few else narrowed.all
        if not easy:
            yield f"colours, {where}", self.planned(narrowed, decking, limit, build_colours)
        if pieces <= MOST_JOINED:
            whole = shrunk and not few
            yield f"joint, {where}", self.planned(narrowed, decking, limit, build_joint, whole)

    def thin_plans(self, branch: Branch, limit: int | None, few: bool) -> Iterator[tuple[str, _Ask]]:
        """Name the plans of nominal pieces and two colours with seams on every other line only."""
        narrowed = self.question(branch, False).within(limit)
        if narrowed is None:
            return
        decking = narrowed.few if few and narrowed.fewer else narrowed.all
        for rest in (0, 1):
            thin = thinned(decking, rest)
            if thin.open != decking.open:
                name = f"every other line from {rest}, {len(thin.cutting.ways)} ways, to {limit}"
                yield name, self.planned(narrowed, thin, limit, build_colours)

    def planned(
        self,
        narrowed: Narrowed,
        decking: Decking,
        limit: int | None,
        build: Callable[[Decking], ColourModel | JointModel],
        whole: bool = False,
    ) -> _Ask:
        """Look for a plan within the limit, cheaper than the one at hand; the `whole` model bounds, too."""

        def ask(branch: Branch, work: float) -> Solved:
            built = build(decking)
            below = min([c for c in (self.best.cost, limit and limit + self.step()) if c], default=None)
            # Where there is no plan yet, one that is not far off will do.
            target = branch.bound if limit else branch.bound * ENOUGH // 100
            solved = run_highs(built.linear, self.clock.share(work), target=target, below=below)
            self.best.take(narrowed.all, built, solved)
            if whole:
                self.shown(branch, built.linear, solved, below)
            return solved

        return ask

    def shown(self, branch: Branch, model: LinearModel, solved: Solved, below: int | None) -> None:
        """Keep the bound that a solver alone shows."""
        bound = below if solved.infeasible else solved.bound
        if bound is not None:
            branch.lift(bound, model)
        elif solved.infeasible:
            branch.empty, branch.claim = True, model

    def conclude(self) -> None:
        """Let a second witness vouch for every bound that the plan's proof rests on."""
        best = self.best
        best.bound, best.witnesses = self.least(), ("HiGHS", CHECKED)
        if best.cost is None or best.bound < best.cost:
            best.bound = self.least(checked=True)
            return
        for branch in self.done:
            if branch.checked >= best.cost:
                continue
            assert branch.claim is not None
            name = _second(branch.claim, best.cost, self.clock)
            if name is None:
                best.bound = self.least(checked=True)
                return
            branch.checked = best.cost
            best.witnesses = tuple(dict.fromkeys((*best.witnesses, name)))


def _second(model: LinearModel, cost: int, clock: Clock) -> str | None:
    """Let a second witness show that `model` has nothing below `cost`."""
    if none_below(model, cost, clock.share(clock.left() * 0.5)):
        return SCIP
    if run_cpsat(model, clock.share(clock.left() * 0.5), below=cost).infeasible:
        return "CP-SAT"
    return OWN_BRANCHING if shows_at_least(model, cost, clock) else None
