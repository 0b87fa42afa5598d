"""Model 1 for surfaces that are no plain rectangles: its search, ever wider, then purchase by purchase."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from optimizer.bounds import dual_bound, up_to_step
from optimizer.engine import Clock, LinearModel, Progress, Relaxed, run_cpsat, run_highs, solve_relaxed
from optimizer.errors import NoPlan, TimeUp
from optimizer.fixing import narrowed
from optimizer.models.shaped import ShapedModel, ShapedQuestion, build_shaped
from optimizer.models.shaped_first import first_values
from optimizer.purchases import settle_purchases
from optimizer.witness import CHECKED, OWN_BRANCHING, shows_at_least

__all__ = ["Best", "search_shaped"]

A_LOOK = 0.5
"""Part of the time left for a look into a question, before wider ones."""

FIRST_NODES = 100
"""Of the tree for a plan with long pieces only."""

LISTED = 8e-5
"""Seconds of work for a way to cut that is listed."""

WITNESS_SECONDS = 10.0
"""A second witness has so long to agree with the first; without it the weaker bound is told."""


@dataclass(slots=True)
class Best:
    """The best solution so far, of which question it is, and the bound for the widest question."""

    question: ShapedQuestion
    model: ShapedModel
    values: tuple[int, ...]
    cost: int
    bound: int = 0
    witnesses: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Looked:
    """
    A question with its model, its relaxation, and a bound that two vouch for (0 if there is none).

    `least` is the least length of a piece between seams that it goes by.
    """

    question: ShapedQuestion
    least: int
    model: ShapedModel
    relaxed: Relaxed | None
    bound: int = 0
    witnesses: tuple[str, ...] = ()


def search_shaped(
    material: str, questions: Iterator[tuple[ShapedQuestion, int]], clock: Clock
) -> tuple[Best, tuple[ShapedQuestion, int]]:
    """
    Look for the cheapest solution, in ever wider questions, and for a bound with two witnesses.

    Returns
    -------
    tuple
        The best solution, and the widest question with its least length: what the bound is for.

    Raises
    ------
    NoPlan
        If there is no solution, or none was found in time.
    """
    best: Best | None = None
    looked: _Looked | None = None
    try:
        for question, least in questions:
            clock.spend(LISTED * len(question.cutting.ways))
            best, looked = _look(best, question, least, clock.share(clock.left() * A_LOOK))
            if best is not None:
                clock.tell(Progress(material, best.cost, None))
    except TimeUp:
        # What there is besides was not listed, so nothing is known to bound it.
        if best is None or looked is None:
            raise
        return best, (looked.question, looked.least)
    assert looked is not None, "there is a question, or it has been refused"
    best = _settle(best, looked, clock)
    clock.tell(Progress(material, best.cost, best.bound))
    return best, (looked.question, looked.least)


def _look(
    best: Best | None, question: ShapedQuestion, least: int, clock: Clock
) -> tuple[Best | None, _Looked]:
    """Look for a cheaper solution in a question: purchase by purchase, or else all at once for a while."""
    model = build_shaped(question)
    if best is None:
        best = _better(None, question, model, first_values(question, model, clock.share(clock.left() / 3)))
    relaxed = solve_relaxed(model.linear, clock)
    safe = None if relaxed is None or relaxed.infeasible else dual_bound(model.linear, relaxed.duals)
    if relaxed is None or safe is None:
        return best, _Looked(question, least, model, relaxed)
    bound = up_to_step(safe, model.linear.step())
    looked = _Looked(question, least, model, relaxed, bound, ("HiGHS", CHECKED))
    if best is not None and best.cost <= bound:
        return best, looked
    cost = None if best is None else best.cost
    found = settle_purchases(model.linear, relaxed, bound, cost, clock, model.deciding(), vouched=False)
    if found is not None and len(found.witnesses) > 1:
        looked = replace(looked, bound=found.bound, witnesses=found.witnesses)
    if found is None or (best is None and found.values is None):
        solved = run_highs(model.linear, clock, below=cost, target=bound, nodes=FIRST_NODES)
        return _better(best, question, model, solved.values), looked
    return _better(best, question, model, found.values), looked


def _settle(best: Best | None, looked: _Looked, clock: Clock) -> Best:
    """Settle the widest question, as far as the clock allows."""
    if looked.relaxed is None:
        best, looked = _look(best, looked.question, looked.least, clock.share(clock.left() * 0.8))
    question, model, relaxed = looked.question, looked.model, looked.relaxed
    bound, witnesses = looked.bound, looked.witnesses
    if relaxed is not None and bound and (best is None or bound < best.cost):
        cost, share = None if best is None else best.cost, clock.share(clock.left() * 0.7)
        found = settle_purchases(model.linear, relaxed, bound, cost, share, model.deciding())
        if found is not None:
            best = _better(best, question, model, found.values)
            if len(found.witnesses) > 1:
                bound, witnesses = found.bound, found.witnesses
    closed = False
    if best is None or best.cost > bound:
        linear: LinearModel | None = model.linear
        if best is not None and relaxed is not None and looked.bound:
            linear = narrowed(model.linear, relaxed.duals, best.cost)
        if linear is not None:
            cost = None if best is None else best.cost
            solved = run_highs(linear, clock.share(clock.left() * 0.6), below=cost, target=bound or None)
            closed = solved.optimal or solved.infeasible
            if best is None and solved.values is None:
                raise _none(solved.infeasible)
            best = _better(best, question, model, solved.values)
    assert best is not None, "the widest question has a solution or has been refused"
    best.bound, best.witnesses = min(bound, best.cost), witnesses
    if best.bound < best.cost and closed and relaxed is not None:
        best.witnesses = _second(model, relaxed.duals, best.cost, clock) or witnesses
        if best.witnesses != witnesses:
            best.bound = best.cost
    return best


def _better(
    best: Best | None, question: ShapedQuestion, model: ShapedModel, values: tuple[int, ...] | None
) -> Best | None:
    """Keep what is cheaper."""
    if values is None:
        return best
    cost = model.linear.cost_of(values)
    return best if best is not None and best.cost <= cost else Best(question, model, values, cost)


def _none(infeasible: bool) -> NoPlan:
    if not infeasible:
        return TimeUp("no lay-out was found in the time given; give it more with --seconds")
    return NoPlan(
        "no lay-out keeps the seams of neighbouring courses far enough apart, or the yard has too few "
        "sheets (relax the stagger or the supports under a piece)"
    )


def _second(model: ShapedModel, duals: Sequence[float], cost: int, clock: Clock) -> tuple[str, ...]:
    """Let a second witness show that nothing costs less, once columns too dear for that are closed."""
    left = narrowed(model.linear, duals, cost)
    if left is None:
        return ("HiGHS", CHECKED)
    share = clock.share(min(WITNESS_SECONDS, clock.left() * 0.7))
    if shows_at_least(left, cost, share, first=model.deciding()):
        return ("HiGHS", OWN_BRANCHING)
    if run_cpsat(left, clock.share(min(WITNESS_SECONDS, clock.left())), below=cost).infeasible:
        return ("HiGHS", "CP-SAT")
    return ()
