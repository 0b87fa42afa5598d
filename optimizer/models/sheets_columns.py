"""The pattern LP over cuts in any number of stages: bounds that hold in integers, patterns to round."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from optimizer.engine import Clock, LinearModel, run_highs
from optimizer.growing import GrowingLp
from optimizer.models.sheets_grid import Grid
from optimizer.models.sheets_master import Cover, least_cost, whole_values
from optimizer.models.sheets_pricing import sums
from optimizer.models.sheets_question import Question, Shape
from optimizer.models.sheets_trees import Pattern, join

__all__ = ["Columns"]

PATTERNS_A_ROUND = 8

CUT = 2e-10
"""Seconds of work for a rectangle and a place to cut it at."""


Floats = npt.NDArray[np.float64]


def _multiples(sizes: set[int], room: int) -> list[int]:
    """List the places that equal pieces in a row, from either end of the room, divide it at."""
    rows = {n * size for size in sizes for n in range(1, room // size + 1)} | {0}
    return sorted(rows | {room - place for place in rows})


class Columns:
    """Patterns of a question, in one growing LP without limits on sheets."""

    def __init__(self, question: Question, patterns: Sequence[Pattern]) -> None:
        sheets = question.sheets
        self.question = question
        self.shapes = sorted({x for s in sheets for x in question.shapes(s)})
        length, width = max(s.length for s in sheets), max(s.width for s in sheets)
        counts = question.counts
        self.xs = sorted(sums([(x.along, counts[x.item]) for x in self.shapes], length))
        self.ys = sorted(sums([(x.across, counts[x.item]) for x in self.shapes], width))
        few = (
            _multiples({x.along for x in self.shapes}, length),
            _multiples({x.across for x in self.shapes}, width),
        )
        worthwhile = 4 * len(few[0]) * len(few[1]) < len(self.xs) * len(self.ys)
        self.few = few if worthwhile else None
        self.patterns: dict[Pattern, tuple[int, ...]] = {}
        self.lp = GrowingLp([float(n) for n in question.counts], [np.inf] * len(question.items))
        self.add([self._alone(x) for x in self.shapes])
        self.add(patterns)

    def _alone(self, shape: Shape) -> Pattern:
        """Fill the cheapest sheet that holds a shape with it, as far as it is wanted."""
        sheets = self.question.sheets
        fit = [s for s, sheet in enumerate(sheets) if shape in self.question.shapes(sheet)]
        best = min(fit, key=lambda s: (sheets[s].cost, s))
        wanted = self.question.counts[shape.item]
        behind = min(wanted, sheets[best].length // shape.along)
        beside = min(wanted // behind, sheets[best].width // shape.across)
        return Pattern(best, join("rip", [join("crosscut", [shape] * behind)] * beside))

    def add(self, patterns: Sequence[Pattern]) -> bool:
        """Add patterns that are not there yet; say whether there were any."""
        costs: list[float] = []
        columns: list[dict[int, float]] = []
        for pattern in patterns:
            if pattern in self.patterns:
                continue
            made = self.patterns[pattern] = pattern.yields(len(self.question.items))
            costs.append(float(self.question.sheets[pattern.sheet].cost))
            columns.append({item: float(n) for item, n in enumerate(made) if n})
        self.lp.add(costs, columns)
        return bool(costs)

    def generate(self, clock: Clock, enough: int | None) -> int:
        """
        Generate patterns until none is worth more than its sheet, and give the best bound on the way.

        Where places to cut at are many, patterns are sought at a few of them for as long as there are any.
        `enough` is a bound that need not be passed.
        """
        bound = 0
        sheets = self.question.sheets
        while self.lp.solve(clock):
            duals = np.maximum(self.lp.duals, 0.0)
            if self.few and self.add(self._dear(self._grid(duals, *self.few, clock), duals)):
                continue
            grid = self._grid(duals, self.xs, self.ys, clock)
            worth = tuple(int(grid.value(s.length, s.width)) for s in sheets)
            values = tuple(int(v) for v in grid.values)
            wanted = sum(v * n for v, n in zip(values, self.question.counts, strict=True))
            bound = max(bound, least_cost(self.question, [Cover(values, worth, wanted)]))
            if enough is not None and bound >= enough:
                break
            if not self.add(self._dear(grid, duals)):
                break
        return bound

    def _grid(self, duals: Floats, xs: Sequence[int], ys: Sequence[int], clock: Clock) -> Grid:
        """Price by cuts at these places."""
        clock.spend(CUT * len(xs) * len(ys) * (len(xs) + len(ys)))
        return Grid(self.shapes, xs, ys, whole_values(duals))

    def _dear(self, grid: Grid, duals: Floats) -> list[Pattern]:
        """Give patterns that are worth more than their sheets cost."""
        scale = float(duals.max()) / 1_000_000
        return [
            Pattern(s, tree)
            for s, sheet in enumerate(self.question.sheets)
            if int(grid.value(sheet.length, sheet.width)) * scale > sheet.cost * (1 + 1e-6)
            for tree in grid.trees(sheet.length, sheet.width, PATTERNS_A_ROUND)
        ]

    def whole_part(self) -> list[tuple[Pattern, float]]:
        """Give the patterns the LP uses, with how often."""
        if self.lp.values is None:
            return []
        return [(p, float(x)) for p, x in zip(self.patterns, self.lp.values, strict=False) if x > 1e-6]

    def best_mix(self, clock: Clock, below: int | None) -> list[Pattern]:
        """Choose whole numbers of the patterns by branch and cut; nothing if none came up."""
        sheets = self.question.sheets
        model = LinearModel()
        rows: list[list[tuple[int, int]]] = [[] for _ in self.question.items]
        used: list[list[tuple[int, int]]] = [[] for _ in sheets]
        for pattern, made in self.patterns.items():
            column = model.column(sheets[pattern.sheet].cost)
            used[pattern.sheet].append((column, 1))
            for item, n in enumerate(made):
                if n:
                    rows[item].append((column, n))
        for row, count in zip(rows, self.question.counts, strict=True):
            model.row(row, lower=count)
        for sheet, columns in zip(sheets, used, strict=True):
            if sheet.limit is not None:
                model.row(columns, upper=sheet.limit)
        solved = run_highs(model, clock, below=below)
        if solved.values is None:
            return []
        return [p for p, n in zip(self.patterns, solved.values, strict=True) for _ in range(n)]
