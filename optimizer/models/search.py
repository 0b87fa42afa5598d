"""
Model 1, the search: which of its models is asked, in which order, until plan and bound meet.

The relaxation of the pairs gives a first bound and the stacks to try; two colours give a plan, first on fewer
lines; where they differ, chains, pairs and the whole model raise the bound or find something cheaper.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import gcd
from typing import Protocol

from optimizer.bounds import dual_bound, up_to_step
from optimizer.engine import (
    Clock,
    LinearModel,
    Progress,
    Relaxed,
    Solved,
    run_cpsat,
    run_highs,
    solve_relaxed,
)
from optimizer.models.chains import build_chains, chain_columns
from optimizer.models.colours import ColourModel, build_colours
from optimizer.models.decking import Decking
from optimizer.models.joint import JointModel, build_joint
from optimizer.models.pairs import PairModel, build_pairs
from optimizer.models.stacks import Stack
from optimizer.witness import CHECKED, OWN_BRANCHING, shows_at_least

__all__ = ["Best", "search"]

FIRST_NODES = 100
"""Of the tree for a first plan; a better bound may show that it is good enough."""

EASILY_JOINED = 1_300
"""The whole model with one stack a surface is asked for a first plan if it has no more pieces to choose."""

EASILY_CHAINED = 8_000
"""The relaxation of chains of so many columns is solved before any plan is sought."""

MOST_CHAINED = 30_000
"""Chains of more columns than this are not built."""


@dataclass(slots=True)
class Best:
    """
    The best lay-out and the best bound so far.

    `model` is the one whose bound it is, `witnesses` are those who vouch for it; `checked` is the best bound
    that has two of them. `stacks` counts the stacks of course widths that the bound covers.
    """

    cost: int | None = None
    bound: int = 0
    decking: Decking | None = None
    built: ColourModel | JointModel | None = None
    values: tuple[int, ...] = ()
    model: LinearModel | None = None
    witnesses: tuple[str, ...] = ()
    checked: int = 0
    stacks: int = 0

    def take(self, decking: Decking, built: ColourModel | JointModel, solved: Solved) -> None:
        """Keep a plan if it is cheaper."""
        if solved.values is None or solved.cost is None:
            return
        if self.cost is None or solved.cost < self.cost:
            self.cost, self.decking, self.built = solved.cost, decking, built
            self.values = solved.values

    def lift(self, model: LinearModel, solved: Solved, witnesses: tuple[str, ...]) -> None:
        """Keep a bound, sought below the cost of the plan at hand, if it is higher."""
        bound = self.cost if solved.infeasible else solved.bound
        if bound is None:
            return
        if self.cost is not None:
            bound = min(bound, self.cost)
        if bound > self.bound:
            self.bound, self.model, self.witnesses = bound, model, witnesses
        if len(witnesses) > 1:
            self.checked = max(self.checked, bound)

    @property
    def open(self) -> bool:
        """True while plan and bound differ."""
        return self.cost is None or self.bound < self.cost


class Questioner(Protocol):
    """Gives the question: nominal or shrunk pieces, all stacks or one each, every line or every other."""

    def __call__(
        self, shrunk: bool, only: Mapping[str, Stack] | None = None, thinned: bool = False
    ) -> Decking: ...


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

    def tell() -> None:
        clock.tell(Progress(material, best.cost, best.bound))

    def first_plans(stacks: Mapping[str, Stack] | None) -> None:
        """Plan with one stack a surface, on all lines."""
        nominal, shrunk = decking(False, stacks), decking(True, stacks)
        pieces = sum(
            len(nominal.lines[label].arcs) * max((len(s.widths) for s in found), default=0)
            for label, found in nominal.stacks.items()
        )
        if best.open and all(nominal.stacks.values()) and pieces <= EASILY_JOINED:
            joint = build_joint(nominal)
            share = clock.share(clock.left() * 0.2)
            solved = run_highs(joint.linear, share, target=best.bound, below=best.cost, nodes=FIRST_NODES)
            best.take(nominal, joint, solved)
        unsettled.extend(_colour((nominal, shrunk), best, clock, FIRST_NODES))
        tell()

    unsettled: list[Decking] = []
    pairs = build_pairs(loosest)
    relaxed = _relax(pairs.linear, best, clock)
    chains = build_chains(loosest) if chain_columns(loosest) <= MOST_CHAINED else None
    easy = chains is not None and len(chains.linear.costs) <= EASILY_CHAINED
    if chains is not None and easy:
        _relax(chains.linear, best, clock)
        _relax_by_blocking(chains, loosest, best, clock)
    tell()
    leaning = None if relaxed is None else _leaning(pairs, relaxed.values)
    thinned = decking(False, leaning, thinned=True)
    if thinned.surfaces != loosest.surfaces:
        _colour((thinned,), best, clock, FIRST_NODES)
    if not easy:
        _relax_by_blocking(pairs, loosest, best, clock)
    early = best.open and best.cost is not None
    paired = _branch(pairs.linear, best, clock, 0.1) if early else None
    if paired is not None and paired.values is not None:
        first_plans(_leaning(pairs, paired.values))
    if best.open:
        first_plans(leaning)
    if best.open and (paired is None or not paired.optimal):
        paired = _branch(pairs.linear, best, clock, 0.2)
        if best.open and paired.values is not None:
            first_plans(_leaning(pairs, paired.values))
    if best.open and chains is not None:
        if not easy:
            _relax(chains.linear, best, clock)
        if best.open:
            _branch(chains.linear, best, clock, 0.2)
    tell()
    _colour((*unsettled, decking(shrunk=False), loosest), best, clock)
    tell()
    if best.open:
        _close(loosest, best, clock)
    if best.cost is not None and not best.open and best.model is not None and len(best.witnesses) < 2:
        best.witnesses += _second(best.model, best.cost, clock)
        if len(best.witnesses) < 2:
            best.bound = best.checked
    return best


def _colour(
    questions: Sequence[Decking], best: Best, clock: Clock, nodes: int | None = None
) -> tuple[Decking, ...]:
    """Plan by two colours, question after question, until the bound is met; give those not yet settled."""
    unsettled = []
    for question in questions:
        if not best.open or not all(question.stacks.values()):
            continue
        colours = build_colours(question)
        share = clock.share(clock.left() * 0.2)
        solved = run_highs(colours.linear, share, target=best.bound, below=best.cost, nodes=nodes)
        best.take(question, colours, solved)
        if not (solved.infeasible or solved.optimal):
            unsettled.append(question)
    return tuple(unsettled)


def _relax(model: LinearModel, best: Best, clock: Clock) -> Relaxed | None:
    """Take the bound that a relaxation shows, once by the solver and once checked in integers."""
    relaxed = solve_relaxed(model, clock.share(clock.left() * 0.3))
    if relaxed is None:
        return None
    least = dual_bound(model, relaxed.duals)
    if least is not None:
        best.lift(model, Solved(None, None, up_to_step(least, model.step())), ("HiGHS", CHECKED))
    return relaxed


def _relax_by_blocking(built: PairModel, decking: Decking, best: Best, clock: Clock) -> None:
    """
    Take the least of the bounds for every amount that may be spent on blocking.

    With that amount fixed, the rest of the cost is whole sheets, so that rounding up gains much more.
    """
    amounts = {0}
    for surface in decking.surfaces:
        edge = decking.blocking[surface.label]
        mine = {stack.blocked * edge for stack in decking.stacks[surface.label]}
        amounts = {amount + own for amount in amounts for own in mine}
    if len(amounts) == 1:
        return
    step = gcd(*decking.costs)
    lowest = None
    for amount in sorted(amounts):
        model = LinearModel(list(built.linear.costs), list(built.linear.uppers), list(built.linear.lines))
        model.row(
            [(column, model.costs[column]) for column in built.stacks.values()], lower=amount, upper=amount
        )
        relaxed = solve_relaxed(model, clock.share(clock.left() * 0.1))
        least = None if relaxed is None else dual_bound(model, relaxed.duals)
        if least is None:
            return
        bound = amount + up_to_step(least - amount, step)
        lowest = bound if lowest is None else min(lowest, bound)
        if lowest <= best.bound:
            return
    if lowest is not None:
        best.lift(built.linear, Solved(None, None, lowest), ("HiGHS", CHECKED))


def _branch(model: LinearModel, best: Best, clock: Clock, part: float) -> Solved:
    """Look for a bound below the cost of the plan at hand by branch and cut, for a part of the time left."""
    solved = run_highs(model, clock.share(clock.left() * part), below=best.cost)
    best.lift(model, solved, ("HiGHS",))
    return solved


def _leaning(pairs: PairModel, values: Sequence[float]) -> Mapping[str, Stack]:
    """Give, for every surface, the stack that a solution of the pairs leans to."""
    found: dict[str, tuple[float, Stack]] = {}
    for (label, stack), column in pairs.stacks.items():
        if label not in found or values[column] > found[label][0] + 1e-6:
            found[label] = (values[column], stack)
    return {label: stack for label, (_, stack) in found.items()}


def _close(decking: Decking, best: Best, clock: Clock) -> None:
    """Ask the whole model for something cheaper until there is nothing, or no time."""
    joint = build_joint(decking)
    while best.open and clock.left() > 0:
        solved = run_highs(joint.linear, clock, below=best.cost, target=best.bound)
        best.lift(joint.linear, solved, ("HiGHS",))
        if solved.values is None:
            return
        best.take(decking, joint, solved)


def _second(model: LinearModel, cost: int, clock: Clock) -> tuple[str, ...]:
    """Let a second witness show that `model` has nothing below `cost`."""
    if shows_at_least(model, cost, clock.share(clock.left() * 0.3)):
        return (OWN_BRANCHING,)
    if run_cpsat(model, clock, below=cost).infeasible:
        return ("CP-SAT",)
    return ()
