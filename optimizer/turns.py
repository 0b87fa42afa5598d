"""In which turn the materials of a question are planned, and what time each may take."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from optimizer.plan import MaterialPlan
from optimizer.words import Part, Problem, Run, Surface

__all__ = ["MOST", "QUICK", "WORTH", "better", "fair", "first_needed", "in_turn", "questions"]

QUICK = 0.1
"""Part of the time left that a question may take before the surfaces are asked."""

MOST = 0.8
"""Part that it may take at all, so that something is left for the others."""

WORTH = 0.5
"""Seconds that must be left for a question to be asked once more."""


def questions(problem: Problem) -> Iterator[tuple[str, tuple[Surface, ...]]]:
    """Give every material that is cut, once; surfaces first, since their courses may ask for blocking."""
    surfaces: dict[str, list[Surface]] = {}
    for surface in problem.surfaces:
        surfaces.setdefault(surface.material, []).append(surface)
    yield from ((material, tuple(group)) for material, group in surfaces.items())
    wanted: list[Part | Run] = [*problem.parts, *problem.runs]
    wanted += [part for surface in problem.surfaces for part in surface.blocking]
    for material in dict.fromkeys(need.material for need in wanted):
        if material not in surfaces:
            yield material, ()


def fair(waiting: int, more: bool) -> float:
    """
    Give the part of the time left that the next of so many questions may take.

    Parameters
    ----------
    more
        True where other questions come after these.

    Examples
    --------
    Twice an equal share, with one to spare: of four the first has two fifths, the last all that is left.

    >>> [fair(waiting, False) for waiting in (4, 3, 1)]
    [0.4, 0.5, 1.0]
    """
    if waiting == 1:
        return MOST if more else 1.0
    return min(MOST, 2 / (waiting + 1))


def first_needed(problem: Problem, material: str) -> int:
    """Give when the first piece of a material is wanted on site."""
    needs: list[Part | Run | Surface] = [*problem.parts, *problem.runs, *problem.surfaces]
    return min((need.needed for need in needs if need.material == material), default=0)


def in_turn(problem: Problem) -> tuple[list[str], list[tuple[str, tuple[Surface, ...]]]]:
    """
    Give what is asked first, a short time each, and what is asked then.

    What depends on nothing else goes first: mostly it takes a moment, and must not wait for a surface that
    takes all the time there is. Blocking is known only after the surfaces.
    """
    blocked = {part.material for surface in problem.surfaces for part in surface.blocking}
    asked = list(questions(problem))
    quick = [material for material, surfaces in asked if not surfaces and material not in blocked]
    slow = [question for question in asked if question[0] not in quick]
    # Surfaces that are no rectangles take longest: they get what the others leave.
    return quick, sorted(slow, key=lambda one: (not one[1], not all(surface.plain for surface in one[1])))


def better(found: MaterialPlan, other: MaterialPlan) -> MaterialPlan:
    """Choose between two plans of one question: the cheaper one, with the bound that is known of both."""
    best = min((other, found), key=lambda plan: plan.outcome.cost)
    closest = max((other, found), key=lambda plan: (plan.outcome.bound, len(plan.outcome.witnesses)))
    bound, witnesses = closest.outcome.bound, closest.outcome.witnesses
    proved = bound == best.outcome.cost and len(set(witnesses)) > 1
    return replace(best, outcome=replace(best.outcome, bound=bound, witnesses=witnesses, proved=proved))
