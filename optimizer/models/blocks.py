"""
Model 1, shortest paths: the cheapest pieces of a few neighbouring courses, staggered, at given prices.

A path leads through states (the line that every course has reached) and always extends the course that lags
most. A table goes from the right end to the left, many prices at once: a column for every choice of course
widths on the same lines. In floats it proposes lay-outs, in integers it proves.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Any

from optimizer.models.seams import Arc, Lines, too_near
from optimizer.patterns import Size

__all__ = ["FAR", "Paths", "Widths", "paths_of", "steps_of"]

FAR = 1 << 56
"""Costs of this and more stand for what is impossible."""

Widths = tuple[int, ...]
"""Of neighbouring courses."""

State = tuple[int, ...]
"""The line that every course has reached."""


@dataclass(frozen=True, slots=True)
class Step:
    """One piece added to the course that lags most, the lowest of those that do."""

    before: State
    after: State
    course: int
    arc: Arc


@lru_cache(maxsize=64)
def steps_of(lines: Lines, courses: int, most: int | None = None) -> tuple[Step, ...]:
    """List every step that `courses` neighbours can come to from the left end; none if over `most`."""
    near = [
        frozenset(other for other in lines.inner() if too_near(lines, line, other))
        for line in range(lines.last + 1)
    ]
    leaving: dict[int, list[Arc]] = {}
    for arc in lines.arcs:
        leaving.setdefault(arc.tail, []).append(arc)
    start = (0,) * courses
    seen, todo = {start}, [start]
    steps: list[Step] = []
    while todo:
        if most is not None and len(steps) > most:
            return ()
        state = todo.pop()
        course = state.index(min(state))
        beside = state[max(0, course - 1) : course] + state[course + 1 : course + 2]
        for arc in leaving.get(state[course], ()):
            if near[arc.head].isdisjoint(beside):
                after = (*state[:course], arc.head, *state[course + 1 :])
                steps.append(Step(state, after, course, arc))
                if after not in seen:
                    seen.add(after)
                    todo.append(after)
    return () if most is not None and len(steps) > most else tuple(steps)


@dataclass(frozen=True, slots=True)
class _Level:
    """Moves that leave states of one level, those of each state from its place in `firsts` on."""

    moves: slice
    states: Any
    firsts: Any


class Paths:
    """The steps of a number of neighbouring courses from end to end."""

    def __init__(self, lines: Lines, courses: int) -> None:
        import numpy as np

        self.moves = sorted(steps_of(lines, courses), key=lambda step: (_level(step.before), step.before))
        number: dict[State, int] = {(0,) * courses: 0, (lines.last,) * courses: 1}
        self._before = np.array([number.setdefault(m.before, len(number)) for m in self.moves], dtype=int)
        self._after = np.array([number.setdefault(m.after, len(number)) for m in self.moves], dtype=int)
        self._states = len(number)
        levels = [_level(move.before) for move in self.moves]
        ends = [i for i in range(1, len(levels)) if levels[i] != levels[i - 1]]
        self._levels: list[_Level] = []
        for first, end in zip([0, *ends], [*ends, len(levels)], strict=True) if levels else ():
            before = self._before[first:end]
            firsts = np.flatnonzero(np.diff(before, prepend=-1))
            self._levels.append(_Level(slice(first, end), before[firsts], firsts))
        begins = [*np.flatnonzero(np.diff(self._before, prepend=-1)).tolist(), len(self.moves)]
        self._leaving = {int(self._before[begin]): (begin, end) for begin, end in pairwise(begins)}

    def pieces(self, widths: Sequence[Widths], places: Mapping[Size, int], other: int) -> Any:
        """
        Number the piece that every move lays, in a column for each choice of widths.

        Parameters
        ----------
        places
            By size: its place among the prices.
        other
            The place of what can't be cut.
        """
        import numpy as np

        columns = [
            [places.get((move.arc.length, choice[move.course]), other) for move in self.moves]
            for choice in widths
        ]
        return np.array(columns, dtype=int).reshape(len(widths), len(self.moves)).T

    def to_go(self, costs: Any) -> Any:
        """Give the cost from every state to the right end; `costs` has a row for each move."""
        import numpy as np

        left = np.full((self._states, costs.shape[1]), FAR, dtype=costs.dtype)
        left[1] = 0
        for level in reversed(self._levels):
            through = costs[level.moves] + left[self._after[level.moves]]
            left[level.states] = np.minimum(np.minimum.reduceat(through, level.firsts, axis=0), FAR)
        return left

    def cheapest(self, costs: Any, left: Any, column: int) -> list[int]:
        """Give the moves of the cheapest path for one choice of widths, by their places."""
        found: list[int] = []
        state = 0
        while state != 1:
            begin, end = self._leaving[state]
            through = costs[begin:end, column] + left[self._after[begin:end], column]
            found.append(int(begin + through.argmin()))
            state = int(self._after[found[-1]])
        return found

    def through(self, costs: Any) -> Any:
        """Give the cost of the cheapest path over every move, in a column for each choice of widths."""
        import numpy as np

        left = self.to_go(costs)
        come = np.full_like(left, FAR)
        come[0] = 0
        for level in self._levels:
            before, after = self._before[level.moves], self._after[level.moves]
            np.minimum.at(come, after, np.minimum(come[before] + costs[level.moves], FAR))
        return come[self._before] + costs + left[self._after]

    def open_arcs(self, allowed: Any, course: int) -> set[Arc]:
        """Give the pieces of one of the courses that some allowed move lays."""
        return {
            move.arc for move, good in zip(self.moves, allowed, strict=True) if good and move.course == course
        }


@lru_cache(maxsize=64)
def paths_of(lines: Lines, courses: int) -> Paths:
    """Give the paths of so many neighbouring courses; the same lines are asked for again and again."""
    return Paths(lines, courses)


def _level(state: State) -> tuple[int, int]:
    """Order the states: steps lead to higher levels only."""
    least = min(state)
    return least, -state.count(least)
