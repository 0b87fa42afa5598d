"""A second solver of integer linear models: SCIP, where HiGHS's word needs a witness that is no kin of it."""

from __future__ import annotations

from math import inf
from typing import Any

from optimizer.engine import BUILT, ITERATED, ITERATION, Clock, LinearModel

__all__ = ["SCIP", "none_below"]

SCIP = "SCIP"

MOST_NODES = 3_000
"""Of its tree: a limit that ends it at the same point on every machine."""

SETTINGS = f"limits/totalnodes = {MOST_NODES}\nrandomization/randomseedshift = 1\nmisc/catchctrlc = FALSE\n"
"""Ctrl-C is left to whoever waits for the search; SCIP would take it for its own and say so in the output."""


def none_below(model: LinearModel, cost: int, clock: Clock) -> bool:
    """
    Tell whether SCIP shows that no solution of a model costs less than `cost`.

    It counts in floats, as HiGHS does: its word is one of two, and shows nothing alone.
    """
    if clock.left() <= 0 or not model.costs:
        return False
    from ortools.linear_solver import pywraplp  # type: ignore[import-untyped]

    solver = pywraplp.Solver.CreateSolver("SCIP")
    if solver is None:
        return False
    _fill(solver, model, cost)
    solver.SetSolverSpecificParametersAsString(SETTINGS)
    solver.SetTimeLimit(max(1, int(1000 * clock.wait())))
    with clock.holding(solver.InterruptSolve):
        status = solver.Solve()
    clock.spend(BUILT * model.size() + solver.iterations() * (ITERATION + ITERATED * len(model.costs)))
    return bool(status == pywraplp.Solver.INFEASIBLE)


def _fill(solver: Any, model: LinearModel, cost: int) -> None:
    """Write a model down, and that it costs less than `cost`: any solution will do."""
    highest = [inf if upper is None else float(upper) for upper in model.uppers]
    columns = [solver.IntVar(0, high, "") for high in highest]
    for line in model.lines:
        row = solver.Constraint(
            -inf if line.lower is None else line.lower, inf if line.upper is None else line.upper
        )
        for column, amount in line.terms.items():
            row.SetCoefficient(columns[column], amount)
    step = model.step()
    row = solver.Constraint(-inf, (cost - 1) // step * step)
    for column, price in zip(columns, model.costs, strict=True):
        if price:
            row.SetCoefficient(column, price)
            solver.Objective().SetCoefficient(column, price)
    solver.Objective().SetMinimization()
