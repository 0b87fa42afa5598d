"""
Model 1, the plan: two colours of lines keep the courses staggered.

Every line is coloured for odd courses, for even ones, or for none, lines of different colour at least the
stagger apart. Then courses stagger by themselves, courses of one colour and width are exchangeable over all
surfaces with the same lines, and they share one integer flow. A strong heuristic: a staggered lay-out need
not be of two colours.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from optimizer.engine import LinearModel
from optimizer.models.decking import Decking, meet_demand
from optimizer.models.seams import Arc, Lines
from optimizer.models.stacks import Stack
from optimizer.patterns import Cuts, Size
from optimizer.words import Surface

__all__ = ["Choice", "ColourModel", "LayOut", "build_colours", "course_flow", "read_colours", "windows"]

LayOut = Mapping[str, tuple[Stack, tuple[tuple[Arc, ...], ...]]]
"""By surface label: the stack chosen, and the pieces of every course from the bottom up."""


@dataclass(frozen=True, slots=True)
class Choice:
    """A stack for a surface; `turn` says that its first course uses the second colour."""

    surface: str
    stack: Stack
    turn: bool


@dataclass(frozen=True, slots=True)
class ColourModel:
    """The model, and the handles `read_colours` needs."""

    linear: LinearModel
    cuts: Cuts
    choices: Mapping[Choice, int]
    flows: Mapping[tuple[Lines, int, int], Mapping[Arc, int]]
    turning: Mapping[int, tuple[int, int]]
    laid: tuple[tuple[int, int], ...]


def _widths(choice: Choice, colour: int) -> list[int]:
    first = colour ^ choice.turn
    return list(choice.stack.widths[first::2])


def build_colours(decking: Decking, slackest: int = 0) -> ColourModel:
    """Write the two-colour model; `slackest` leaves out ways to cut with less to spare."""
    linear = LinearModel()
    cuts = decking.cutting.build(linear, decking.costs, decking.most(), slackest)
    choices: dict[Choice, int] = {}
    flows: dict[tuple[Lines, int, int], dict[Arc, int]] = {}
    laid: dict[Size, list[tuple[int, int]]] = {}
    for lines, surfaces in decking.families():
        mine = _choose(linear, decking, surfaces)
        choices |= mine
        through: tuple[dict[int, list[int]], dict[int, list[int]]] = ({}, {})
        most = [0, 0]
        for colour in (0, 1):
            counts: dict[int, list[tuple[int, int]]] = {}
            for choice, column in mine.items():
                for width in _widths(choice, colour):
                    counts.setdefault(width, []).append((column, 1))
            most[colour] = sum(-(-max(len(s.widths) for s in decking.stacks[f.label]) // 2) for f in surfaces)
            for width, terms in sorted(counts.items()):
                flow = course_flow(linear, lines, decking.arcs(lines, width), terms, most[colour])
                flows[lines, colour, width] = flow
                for arc, column in flow.items():
                    laid.setdefault((arc.length, width), []).append((column, 1))
                    if arc.head != lines.last:
                        through[colour].setdefault(arc.head, []).append(column)
        _keep_apart(linear, lines, through, most)
    turning = meet_demand(linear, cuts, laid, decking.parts)
    taken = tuple(term for size in laid.values() for term in size)
    return ColourModel(linear, cuts, choices, flows, turning, taken)


def _choose(linear: LinearModel, decking: Decking, surfaces: tuple[Surface, ...]) -> dict[Choice, int]:
    """One stack a surface; which colour the first course has is free for all but the first surface."""
    chosen: dict[Choice, int] = {}
    for number, surface in enumerate(surfaces):
        columns = []
        for stack in decking.stacks[surface.label]:
            for turn in (False, True) if number else (False,):
                cost = stack.blocked * decking.blocking[surface.label]
                column = linear.column(cost, 1)
                chosen[Choice(surface.label, stack, turn)] = column
                columns.append((column, 1))
        linear.row(columns, lower=1, upper=1)
    return chosen


def course_flow(
    linear: LinearModel, lines: Lines, arcs: tuple[Arc, ...], entering: list[tuple[int, int]], most: int
) -> dict[Arc, int]:
    """One unit of flow from the left end to the right for every course counted by `entering`."""
    columns = {arc: linear.column(0, most) for arc in arcs}
    balance: dict[int, list[tuple[int, int]]] = {line: [] for line in range(lines.last + 1)}
    for arc, column in columns.items():
        balance[arc.tail].append((column, -1))
        balance[arc.head].append((column, 1))
    for line in lines.inner():
        linear.row(balance[line], lower=0, upper=0)
    linear.row(balance[0] + entering, lower=0, upper=0)
    return columns


def _keep_apart(
    linear: LinearModel,
    lines: Lines,
    through: tuple[Mapping[int, list[int]], Mapping[int, list[int]]],
    most: list[int],
) -> None:
    """Colour the lines: flow only through lines of its colour, colours at least the stagger apart."""
    coloured = [{line: linear.column(0, 1) for line in lines.inner()} for _ in (0, 1)]
    for colour in (0, 1):
        for line, columns in through[colour].items():
            linear.row(
                [*((column, 1) for column in columns), (coloured[colour][line], -most[colour])], upper=0
            )
    for window in windows(lines):
        for one in window:
            linear.row([(coloured[0][one], 1), (coloured[1][window[0]], 1)], upper=1)
            if one != window[0]:
                linear.row([(coloured[1][one], 1), (coloured[0][window[0]], 1)], upper=1)


def windows(lines: Lines) -> list[range]:
    """For every line that may take a seam: that line and those after it that are nearer than the stagger."""
    found: list[range] = []
    for first in lines.inner() if lines.stagger > 0 else ():
        last = first
        while last + 1 < lines.last and lines.at[last + 1] - lines.at[first] < lines.stagger:
            last += 1
        found.append(range(first, last + 1))
    return found


def read_colours(decking: Decking, model: ColourModel, values: tuple[int, ...]) -> LayOut:
    """Split the flows into courses and hand them to the surfaces in one canonical order."""
    paths: dict[tuple[Lines, int, int], list[tuple[Arc, ...]]] = {}
    for key, flow in model.flows.items():
        paths[key] = peel(key[0], {arc: values[column] for arc, column in flow.items()})
    found: dict[str, tuple[Stack, tuple[tuple[Arc, ...], ...]]] = {}
    chosen = {choice.surface: choice for choice, column in model.choices.items() if values[column]}
    for surface in decking.surfaces:
        choice = chosen[surface.label]
        courses = []
        for number, width in enumerate(choice.stack.widths):
            colour = (number % 2) ^ choice.turn
            courses.append(paths[decking.lines[surface.label], colour, width].pop(0))
        found[surface.label] = (choice.stack, tuple(courses))
    return found


def peel(lines: Lines, flow: dict[Arc, int]) -> list[tuple[Arc, ...]]:
    """Take one path after the other out of a flow, at every line the longest piece first."""
    leaving: dict[int, list[Arc]] = {}
    for arc in sorted(flow, key=lambda a: (a.tail, -a.head)):
        leaving.setdefault(arc.tail, []).append(arc)
    paths: list[tuple[Arc, ...]] = []
    while True:
        line = 0
        path: list[Arc] = []
        while line != lines.last:
            used = next((a for a in leaving.get(line, ()) if flow[a]), None)
            if used is None:
                return paths
            path.append(used)
            line = used.head
        for arc in path:
            flow[arc] -= 1
        paths.append(tuple(path))
