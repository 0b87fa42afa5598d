"""A linear program solved again and again while columns are added: the engine of column generation."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import inf
from typing import Any

from optimizer.engine import HIGHS_THREADS, SEED, Clock, run_lp

__all__ = ["GrowingLp"]

DUAL_SIMPLEX, PRIMAL_SIMPLEX = 1, 4
"""Changed rows leave the last basis fit for the dual simplex, added columns for the primal."""


class GrowingLp:
    """
    A minimisation over rows `lower <= a x <= upper`, kept in one HiGHS object.

    Floats throughout: nothing it says is proof of anything.

    Parameters
    ----------
    lowers, uppers
        Of the rows.
    """

    def __init__(self, lowers: Sequence[float], uppers: Sequence[float]) -> None:
        import numpy as np
        from highspy import _Highs  # type: ignore[attr-defined]

        self._highs = _Highs()
        options = {
            "output_flag": False,
            "threads": HIGHS_THREADS,
            "random_seed": SEED,
            "presolve": "off",
            "simplex_strategy": PRIMAL_SIMPLEX,
        }
        for name, value in options.items():
            self._highs.setOptionValue(name, value)
        none = np.zeros(0, dtype=np.int32)
        self._highs.addRows(
            len(lowers),
            np.array(lowers, dtype=float),
            np.array(uppers, dtype=float),
            0,
            none,
            none,
            np.zeros(0),
        )
        self.columns = 0
        self.value = inf
        self.duals: Any = None
        self.values: Any = None

    def add(self, costs: Sequence[float], columns: Sequence[Mapping[int, float]]) -> None:
        """Add columns: what each costs, and its entries by row."""
        import numpy as np

        starts: list[int] = []
        rows: list[int] = []
        entries: list[float] = []
        for column in columns:
            starts.append(len(rows))
            rows += column.keys()
            entries += column.values()
        count = len(columns)
        if not count:
            return
        self._highs.addCols(
            count,
            np.array(costs, dtype=float),
            np.zeros(count),
            np.full(count, inf),
            len(rows),
            np.array(starts, dtype=np.int32),
            np.array(rows, dtype=np.int32),
            np.array(entries, dtype=float),
        )
        self.columns += count
        self._highs.setOptionValue("simplex_strategy", PRIMAL_SIMPLEX)

    def bound_rows(self, rows: Sequence[int], lowers: Sequence[float], uppers: Sequence[float]) -> None:
        """Change what rows must hold."""
        import numpy as np

        index = np.array(rows, dtype=np.int32)
        self._highs.changeRowsBounds(
            len(index), index, np.array(lowers, dtype=float), np.array(uppers, dtype=float)
        )
        self._highs.setOptionValue("simplex_strategy", DUAL_SIMPLEX)

    def bound_columns(self, columns: Sequence[int], uppers: Sequence[float]) -> None:
        """Change how large columns may be; 0 shuts them out."""
        import numpy as np

        index = np.array(columns, dtype=np.int32)
        self._highs.changeColsBounds(len(index), index, np.zeros(len(index)), np.array(uppers, dtype=float))

    def price_columns(self, columns: Sequence[int], costs: Sequence[float]) -> None:
        """Change what columns cost."""
        import numpy as np

        index = np.array(columns, dtype=np.int32)
        self._highs.changeColsCost(len(index), index, np.array(costs, dtype=float))

    def solve(self, clock: Clock) -> bool:
        """Solve from the last basis; tell whether `value`, `duals` and `values` are an optimum's."""
        import numpy as np
        from highspy import HighsModelStatus

        if clock.left() <= 0:
            return False
        run_lp(self._highs, clock)
        if self._highs.getModelStatus() != HighsModelStatus.kOptimal:
            return False
        solution = self._highs.getSolution()
        self.value = float(self._highs.getInfo().objective_function_value)
        self.duals = np.array(solution.row_dual)
        self.values = np.array(solution.col_value)
        return True
