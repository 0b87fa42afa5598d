"""
Model 1, the search: which of its models is asked, in which order, until plan and bound meet.

The lay-outs are split by their course widths (`branches`), and the branch that may be cheapest is looked at
first: relaxations bound it, two colours and the whole model look for a plan that meets the bound, and where
none does, chains and the whole model raise it. Every look is limited by the solver's work, not by the clock,
and the limits grow from round to round, so that equal questions get equal plans.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Protocol

from optimizer.engine import Clock, LinearModel, Progress, Solved, run_cpsat, run_highs
from optimizer.models.branches import Allowed, Branch, price, split
from optimizer.models.chains import build_chains, chain_columns
from optimizer.models.colours import ColourModel, build_colours
from optimizer.models.decking import Decking
from optimizer.models.joint import JointModel, build_joint
from optimizer.models.pairs import build_pairs
from optimizer.witness import CHECKED, OWN_BRANCHING, shows_at_least

__all__ = ["Best", "search"]

FAR = 2
"""Sheets that a plan may be above a branch's bound, before all its lines are tried at the first try."""

FIRST_LOOKS = 40
"""A solver's rounds of cuts in the first round; every further round has `MORE_LOOKS` times as many."""

MORE_LOOKS = 4

EASILY_JOINED = 1_300
"""The whole model is asked instead of two colours if it has no more pieces to choose."""

EASILY_PLANNED = 2_500
"""Every line may take a seam at the first try, too, if there are no more pieces and ways to cut."""

MOST_JOINED = 20_000
"""A whole model of more pieces is not built."""

MOST_CHAINED = 30_000
"""Chains of more columns than this are not built."""


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
    """Gives the question: nominal or shrunk pieces, all stacks or some, every line or every other."""

    def __call__(self, shrunk: bool, only: Allowed | None = None, thinned: bool = False) -> Decking: ...


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
    searching = _Search(material, decking, loosest, clock, best)
    searching.run()
    searching.conclude()
    return best


@dataclass(slots=True)
class _Search:
    material: str
    decking: Questioner
    loosest: Decking
    clock: Clock
    best: Best
    open: list[Branch] = field(default_factory=list)
    done: list[Branch] = field(default_factory=list)
    known: dict[object, int] = field(default_factory=dict)

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

    def far(self, branch: Branch) -> bool:
        """Tell whether a branch may well hold a much cheaper plan than the one at hand."""
        cost = self.best.cost
        return cost is not None and cost - branch.bound > FAR * max(self.loosest.costs)

    def least(self, checked: bool = False) -> int:
        """Give the bound on all lay-outs."""
        branches = [b for b in (*self.open, *self.done) if checked or not b.empty]
        bounds = [b.checked if checked else b.bound for b in branches]
        bounds += [] if self.best.cost is None else [self.best.cost]
        return min(bounds, default=0)

    def bounded(self, branch: Branch) -> Iterator[Branch]:
        """Bound a branch by the relaxation of pairs; split it where a surface still has several stacks."""
        branch.relaxed = True
        if branch.single:
            self.bound_single(branch)
            yield branch
            return
        asked = self.decking(True, branch.allowed)
        priced = price(build_pairs(asked), asked, self.clock)
        if priced is not None:
            branch.lift(priced.least(branch.allowed))
        if self.best.cost is None:
            some = {label: stacks[:1] for label, stacks in branch.allowed.items()}
            self.first_plan(some if priced is None else priced.leaning(branch.allowed), branch)
        for allowed in split(self.loosest, branch.allowed):
            part = Branch(allowed, branch.bound, branch.checked, hint=branch.hint)
            if priced is not None:
                part.lift(priced.least(allowed))
                part.hint = priced.hint(allowed)
            yield part

    def bound_single(self, branch: Branch) -> None:
        """Bound a branch by pairs; those with the same pairs of courses, in another order, are known."""
        pairs = tuple(
            (label, stack.blocked, stack.odd(), tuple(sorted(tuple(sorted(p)) for p in stack.pairs())))
            for label, (stack,) in branch.allowed.items()
        )
        if pairs not in self.known:
            asked = self.decking(True, branch.allowed)
            priced = price(build_pairs(asked), asked, self.clock)
            if priced is not None:
                self.known[pairs] = priced.least(branch.allowed)
        branch.lift(self.known.get(pairs, 0))
        if self.best.cost is None:
            self.first_plan(branch.allowed, branch)

    def first_plan(self, leaning: Allowed, branch: Branch) -> None:
        """Plan by two colours with the stacks that a relaxation leans to, on few lines or else on all."""
        for thinned, shrunk in ((True, False), (True, True), (False, False), (False, True)):
            question = self.decking(shrunk, leaning, thinned)
            below = self.best.cost
            if self.beaten(branch) or (below is not None and not thinned):
                return
            if all(question.stacks.values()):
                colours = build_colours(question)
                solved = run_highs(
                    colours.linear, self.clock, target=branch.bound, below=below, looks=FIRST_LOOKS
                )
                self.best.take(question, colours, solved)

    def sought(self, branch: Branch) -> bool:
        """
        Look in a branch for a plan that meets its bound, and for a better bound; longer at every try.

        Returns
        -------
        bool
            False if there is nothing left to be asked.
        """
        looks = FIRST_LOOKS * MORE_LOOKS ** (branch.tries + self.far(branch))
        asked = branch.tries == 0
        for name, ask in self.questions(branch):
            if self.clock.left() <= 0 or self.beaten(branch):
                return True
            if name not in branch.settled:
                asked = True
                solved = ask(branch, looks)
                if solved.infeasible or solved.optimal:
                    branch.settled.add(name)
        branch.tries += 1
        return asked

    def questions(self, branch: Branch) -> Iterator[tuple[str, Callable[[Branch, int], Solved]]]:
        """Name what is asked of a branch: what is smaller first, and what is large not at the first try."""
        first = branch.tries == 0
        loosest = self.decking(True, branch.allowed)
        fewer = self.decking(True, branch.allowed, thinned=True)
        chained = chain_columns(loosest) <= MOST_CHAINED
        if fewer.surfaces != loosest.surfaces:
            yield from self.plans(branch, thinned=True, large=True)
        if chained and any(len(stack.widths) > 2 for (stack,) in branch.allowed.values()):
            yield "relaxed chains", self.chains_relaxed(loosest)
        needed = fewer.surfaces == loosest.surfaces or not first
        needed |= self.best.cost is None or self.far(branch)
        yield from self.plans(branch, thinned=False, large=needed)
        if chained and not first and self.best.cost is not None:
            yield "chains", self.chained(loosest)

    def plans(
        self, branch: Branch, thinned: bool, large: bool
    ) -> Iterator[tuple[str, Callable[[Branch, int], Solved]]]:
        """Name the plans to look for, on every line or on every other: nominal pieces first."""
        for shrunk in (False, True):
            question = self.decking(shrunk, branch.allowed, thinned)
            if not all(question.stacks.values()):
                continue
            where = f"{'shrunk' if shrunk else 'nominal'}{', thinned' if thinned else ''}"
            pieces = _pieces(question)
            if not large and pieces + len(question.cutting.ways) > EASILY_PLANNED:
                continue
            if pieces > EASILY_JOINED:
                yield f"colours, {where}", self.planned(question, build_colours)
            if pieces <= (EASILY_JOINED if branch.tries == 0 else MOST_JOINED):
                yield f"joint, {where}", self.planned(question, build_joint, shrunk and not thinned)

    def planned(
        self, question: Decking, build: Callable[[Decking], ColourModel | JointModel], whole: bool = False
    ) -> Callable[[Branch, int], Solved]:
        """Look for a plan cheaper than the one at hand; the `whole` model bounds the branch, too."""

        def ask(branch: Branch, looks: int) -> Solved:
            built = build(question)
            below = self.best.cost
            solved = run_highs(built.linear, self.clock, target=branch.bound, below=below, looks=looks)
            self.best.take(question, built, solved)
            if whole:
                self.shown(branch, built.linear, solved, below)
            return solved

        return ask

    def chains_relaxed(self, question: Decking) -> Callable[[Branch, int], Solved]:
        """Lift the bound by the relaxation of chains."""

        def ask(branch: Branch, looks: int) -> Solved:
            priced = price(build_chains(question), question, self.clock)
            if priced is None:
                return Solved(None, None, None)
            branch.lift(priced.least(branch.allowed))
            return Solved(None, None, None, infeasible=True)

        return ask

    def chained(self, question: Decking) -> Callable[[Branch, int], Solved]:
        """Look for a bound that meets the plan at hand."""

        def ask(branch: Branch, looks: int) -> Solved:
            linear, below = build_chains(question).linear, self.best.cost
            solved = run_highs(linear, self.clock, below=below, looks=looks)
            self.shown(branch, linear, solved, below)
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


def _pieces(question: Decking) -> int:
    """Give how many pieces there are to choose from, at most."""
    return sum(
        len(question.lines[label].arcs) * max((len(stack.widths) for stack in stacks), default=0)
        for label, stacks in question.stacks.items()
    )


def _second(model: LinearModel, cost: int, clock: Clock) -> str | None:
    """Let a second witness show that `model` has nothing below `cost`."""
    if shows_at_least(model, cost, clock.share(clock.left() * 0.5)):
        return OWN_BRANCHING
    if run_cpsat(model, clock, below=cost).infeasible:
        return "CP-SAT"
    return None
