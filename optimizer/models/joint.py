"""
Model 1, whole: every course of every surface with its own pieces, staggered to its neighbours.

Exact, and larger than the plan by two colours; it closes what that and the bound by blocks leave open.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from optimizer.engine import LinearModel
from optimizer.models.colours import LayOut, course_flow, windows
from optimizer.models.decking import Decking, meet_demand
from optimizer.models.seams import Arc, Lines
from optimizer.models.stacks import Stack
from optimizer.patterns import Cuts, Size
from optimizer.words import Surface

__all__ = ["JointModel", "build_joint", "read_joint"]

_Flows = dict[tuple[str, int, int], dict[Arc, int]]
"""By surface, course and width: the column of every piece."""


@dataclass(frozen=True, slots=True)
class JointModel:
    """The model, and the handles `read_joint` needs."""

    linear: LinearModel
    cuts: Cuts
    stacks: Mapping[tuple[str, Stack], int]
    flows: Mapping[tuple[str, int, int], Mapping[Arc, int]]
    turning: Mapping[int, tuple[int, int]]
    laid: tuple[tuple[int, int], ...]


def build_joint(decking: Decking, slackest: int = 0) -> JointModel:
    """Write the whole model; `slackest` leaves out ways to cut with less to spare."""
    linear = LinearModel()
    cuts = decking.cutting.build(linear, decking.costs, decking.most(), slackest)
    chosen: dict[tuple[str, Stack], int] = {}
    flows: _Flows = {}
    laid: dict[Size, list[tuple[int, int]]] = {}
    for surface in decking.surfaces:
        lines = decking.lines[surface.label]
        mine: dict[Stack, int] = {}
        for stack in decking.stacks[surface.label]:
            mine[stack] = linear.column(stack.blocked * decking.blocking[surface.label], 1)
        linear.row([(column, 1) for column in mine.values()], lower=1, upper=1)
        chosen |= {(surface.label, stack): column for stack, column in mine.items()}
        seams = _courses(linear, decking, surface, mine, flows, laid)
        _stagger(linear, lines, seams)
    turning = meet_demand(linear, cuts, laid, decking.parts)
    terms = tuple(term for size in laid.values() for term in size)
    return JointModel(linear, cuts, chosen, flows, turning, terms)


def _courses(
    linear: LinearModel,
    decking: Decking,
    surface: Surface,
    stacks: Mapping[Stack, int],
    flows: _Flows,
    laid: dict[Size, list[tuple[int, int]]],
) -> list[dict[int, list[int]]]:
    """One path a course; give, for every course, the columns of the pieces that end on each line."""
    seams: list[dict[int, list[int]]] = []
    lines = decking.lines[surface.label]
    for course in range(max(len(stack.widths) for stack in stacks)):
        ending: dict[int, list[int]] = {}
        widths: dict[int, list[tuple[int, int]]] = {}
        for stack, column in stacks.items():
            if course < len(stack.widths):
                widths.setdefault(stack.widths[course], []).append((column, 1))
        for width, entering in sorted(widths.items()):
            columns = course_flow(linear, lines, decking.arcs(lines, width), entering, 1)
            flows[surface.label, course, width] = columns
            for arc, column in columns.items():
                laid.setdefault((arc.length, width), []).append((column, 1))
                if arc.head != lines.last:
                    ending.setdefault(arc.head, []).append(column)
        seams.append(ending)
    return seams


def _stagger(linear: LinearModel, lines: Lines, seams: Sequence[Mapping[int, list[int]]]) -> None:
    """Of neighbouring courses' seams nearer than the stagger, at most one."""
    shortest = min((lines.at[a.head] - lines.at[a.tail] for a in lines.arcs), default=0)
    for below, above in pairwise(seams):
        if shortest >= lines.stagger:
            # No course has two seams in a window, so one row serves all its pairs.
            for window in windows(lines):
                columns = [c for course in (below, above) for line in window for c in course.get(line, ())]
                linear.row([(column, 1) for column in columns], upper=1)
            continue
        for window in windows(lines):
            for one in window:
                for low, high in {(window[0], one), (one, window[0])}:
                    columns = [*below.get(low, ()), *above.get(high, ())]
                    linear.row([(column, 1) for column in columns], upper=1)


def read_joint(decking: Decking, model: JointModel, values: tuple[int, ...]) -> LayOut:
    """Read the stack and the courses of every surface."""
    found: dict[str, tuple[Stack, tuple[tuple[Arc, ...], ...]]] = {}
    for surface in decking.surfaces:
        stack = next(
            s for (label, s), column in model.stacks.items() if label == surface.label and values[column]
        )
        courses = []
        for course, width in enumerate(stack.widths):
            arcs = [a for a, c in model.flows[surface.label, course, width].items() if values[c]]
            courses.append(tuple(sorted(arcs, key=lambda a: a.tail)))
        found[surface.label] = (stack, tuple(courses))
    return found
