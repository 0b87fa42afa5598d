"""Where solvers are called: integer linear models, seeds, workers, the clock, Ctrl-C (see also `growing`)."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import ceil, gcd, inf, isinf
from typing import Any, Literal

from optimizer.clock import Clock, Progress

__all__ = [
    "Clock",
    "Line",
    "LinearModel",
    "Progress",
    "Relaxation",
    "Relaxed",
    "Solved",
    "run_cpsat",
    "run_highs",
    "run_lp",
    "solve_relaxed",
]

SEED = 1
LARGE_LP = 3_000
"""Relaxations of more columns, solved once, go to the interior point method: 3 to 5 times faster."""

SMALL_MIP = 1_000
"""Of models with fewer columns no first solution is sought by jumping: that costs more than all the rest."""

CPSAT_LOADS = 0.5
"""Seconds that importing CP-SAT takes; a clock with less left does without it, imported already or not."""

CPSAT_WORKERS = 2
"""They take turns in a fixed order, so that what they find does not depend on who is quicker."""

HIGHS_THREADS = 1
"""One value for every HiGHS object of the process: mixing them makes a run return nothing."""

SPARSIFY = 1 << 12
"""A rule of presolve that takes ten times as long as a linear program of slanting pieces does without it."""

NO_LIMIT = (1 << 31) - 1
"""As HiGHS writes it."""

BUILT = 8e-6
"""Seconds of work for a coefficient to be written down and presolved, as all these on a usual machine."""

LOOK, LOOKED = 5e-5, 1.5e-6
"""Seconds for a round of branch and cut, and for each coefficient in it."""

ITERATION, ITERATED = 3e-6, 2e-8
"""Seconds for an iteration of the simplex method, and for each column."""

SOLVED, HANDLED = 3e-4, 1e-6
"""Seconds for a linear program to be set up and read, and for each coefficient of it."""

INTERIOR, FACTORED = 1.4e-7, 1e-9
"""Seconds for an iteration of the interior point method and a coefficient, and for two rows that may meet."""

CPSAT_SECOND = 1.3
"""Seconds of work for one of those that CP-SAT counts itself."""


@dataclass(slots=True)
class Line:
    """A row of a `LinearModel`: lower <= sum of coefficient * column <= upper; None is unbounded."""

    lower: int | None
    upper: int | None
    terms: dict[int, int]


@dataclass(slots=True)
class LinearModel:
    """
    Minimise an integer combination of non-negative integer columns under linear rows with integer data.

    Columns and rows are numbered in the order they are added, so that equal questions give equal models.
    """

    costs: list[int] = field(default_factory=list)
    uppers: list[int | None] = field(default_factory=list)
    lines: list[Line] = field(default_factory=list)

    def column(self, cost: int = 0, upper: int | None = None) -> int:
        """Add a column with bounds 0 and `upper`; give its number."""
        self.costs.append(cost)
        self.uppers.append(upper)
        return len(self.costs) - 1

    def row(
        self, terms: Iterable[tuple[int, int]], lower: int | None = None, upper: int | None = None
    ) -> int:
        """Add a row over (column, coefficient) pairs; repeated columns add up. Give its number."""
        summed: dict[int, int] = {}
        for column, coefficient in terms:
            summed[column] = summed.get(column, 0) + coefficient
        self.lines.append(Line(lower, upper, {c: a for c, a in summed.items() if a}))
        return len(self.lines) - 1

    def cost_of(self, values: Sequence[int]) -> int:
        """Give the exact cost of integer column values."""
        return sum(c * v for c, v in zip(self.costs, values, strict=True))

    def broken(self, values: Sequence[int]) -> str:
        """Say which bound or row integer values break, or "" if none."""
        for column, value in enumerate(values):
            upper = self.uppers[column]
            if value < 0 or (upper is not None and value > upper):
                return f"column {column} = {value}"
        for number, line in enumerate(self.lines):
            total = sum(a * values[c] for c, a in line.terms.items())
            if (line.lower is not None and total < line.lower) or (
                line.upper is not None and total > line.upper
            ):
                return f"row {number} = {total}"
        return ""

    def size(self) -> int:
        """Give how many coefficients there are, columns counted too."""
        return len(self.costs) + sum(len(line.terms) for line in self.lines)

    def step(self) -> int:
        """Give a number that divides every possible cost."""
        return gcd(*self.costs) or 1


@dataclass(frozen=True, slots=True)
class Solved:
    """
    What a solver run came to.

    `values` are exact integers that were checked against every row, None if no solution was found; `bound`
    is a lower bound on the cost (None: nothing known); `infeasible` is True where the solver showed that
    there is no solution at all.
    """

    values: tuple[int, ...] | None
    cost: int | None
    bound: int | None
    infeasible: bool = False
    solver: Literal["HiGHS", "CP-SAT"] = "HiGHS"

    @property
    def optimal(self) -> bool:
        """True if the solver itself says that nothing is cheaper."""
        return self.cost is not None and self.bound is not None and self.bound >= self.cost


@dataclass(frozen=True, slots=True)
class Relaxed:
    """
    An LP in floats: the value, one multiplier a row, the columns' values. Trust none of it unchecked.

    Where the LP is `infeasible`, the multipliers are a ray that shows it.
    """

    value: float
    duals: tuple[float, ...]
    values: tuple[float, ...]
    infeasible: bool = False


class _Interrupt:
    """Answers HiGHS when it asks, while it works, whether to go on."""

    def __init__(self) -> None:
        self.wanted = False
        self.looked = 0
        self.looks: float = inf

    def want(self) -> None:
        self.wanted = True

    def __call__(self, kind: object, message: str, news: Any, answer: Any, data: object) -> None:
        self.looked += 1
        if self.wanted or self.looked > self.looks:
            answer.user_interrupt = True


def _load(model: LinearModel, clock: Clock, integer: bool) -> tuple[Any, _Interrupt]:
    # The core class: the wrapper around it prints a banner before it can be told to be quiet.
    from highspy import _Highs, cb  # type: ignore[attr-defined]

    h = _Highs()
    h.setOptionValue("output_flag", False)
    h.setOptionValue("threads", HIGHS_THREADS)
    h.setOptionValue("random_seed", SEED)
    h.setOptionValue("time_limit", clock.wait())
    h.setOptionValue("mip_rel_gap", 0.0)
    h.setOptionValue("mip_abs_gap", 0.999 * model.step())
    h.setOptionValue("mip_heuristic_run_feasibility_jump", len(model.costs) >= SMALL_MIP)
    interrupt = _Interrupt()
    h.setCallback(interrupt, None)
    for kind in ("kCallbackMipInterrupt", "kCallbackSimplexInterrupt", "kCallbackIpmInterrupt"):
        h.startCallback(getattr(cb.HighsCallbackType, kind))
    h.passModel(_as_highs(model, integer))
    return h, interrupt


def _as_highs(model: LinearModel, integer: bool) -> Any:
    import highspy
    import numpy as np

    lp = highspy.HighsLp()
    lp.num_col_, lp.num_row_ = len(model.costs), len(model.lines)
    lp.col_cost_ = np.array(model.costs, dtype=float)
    lp.col_lower_ = np.zeros(len(model.costs))
    lp.col_upper_ = np.array([inf if u is None else u for u in model.uppers], dtype=float)
    lp.row_lower_ = np.array([-inf if r.lower is None else r.lower for r in model.lines], dtype=float)
    lp.row_upper_ = np.array([inf if r.upper is None else r.upper for r in model.lines], dtype=float)
    starts = [0]
    for line in model.lines:
        starts.append(starts[-1] + len(line.terms))
    lp.a_matrix_.format_ = highspy.MatrixFormat.kRowwise
    lp.a_matrix_.start_ = np.array(starts)
    lp.a_matrix_.index_ = np.array([c for line in model.lines for c in line.terms], dtype=np.int32)
    lp.a_matrix_.value_ = np.array([a for line in model.lines for a in line.terms.values()], dtype=float)
    if integer:
        lp.integrality_ = [highspy.HighsVarType.kInteger] * len(model.costs)
    return lp


def _checked(
    model: LinearModel, values: Sequence[float], bound: int | None, solver: Literal["HiGHS", "CP-SAT"]
) -> Solved:
    """Round a solver's columns to integers and believe them only if every row holds exactly."""
    exact = tuple(round(v) for v in values)
    if model.broken(exact):
        return Solved(None, None, bound, solver=solver)
    return Solved(exact, model.cost_of(exact), bound, solver=solver)


def run_highs(
    model: LinearModel,
    clock: Clock,
    *,
    start: Sequence[int] | None = None,
    below: int | None = None,
    nodes: int | None = None,
    looks: int | None = None,
    target: int | None = None,
) -> Solved:
    """
    Solve a model with HiGHS's branch and cut.

    Parameters
    ----------
    start
        Column values to begin from.
    below
        Look only for solutions that cost less than this.
    nodes
        A deterministic limit on the tree; the clock still holds.
    looks
        A finer one, which holds before the first branching, too: how often the solver may ask whether to go
        on. It asks at fixed points of its work, once a round of cuts.
    target
        Stop at the first solution that costs no more than this.

    Returns
    -------
    Solved
        Values are recomputed from the returned columns, the bound is rounded up to the cost's step. With
        `below`, `infeasible` means that nothing costs less.
    """
    import highspy

    if clock.left() <= 0:
        return Solved(None, None, None)
    if not model.costs:
        return _without_columns(model, "HiGHS")
    size = model.size()
    clock.spend(BUILT * size)
    h, interrupt = _load(model, clock, integer=True)
    interrupt.looks = min(inf if looks is None else looks, clock.left() // (LOOK + LOOKED * size))
    if nodes is not None:
        h.setOptionValue("mip_max_nodes", nodes)
    if target is not None:
        h.setOptionValue("objective_target", target + 0.5)
    if below is not None:
        step = model.step()
        columns = [c for c, cost in enumerate(model.costs) if cost]
        h.addRow(
            -inf,
            float((below - 1) // step * step),
            len(columns),
            columns,
            [float(model.costs[c]) for c in columns],
        )
    if start is not None:
        solution = highspy.HighsSolution()
        solution.col_value = [float(v) for v in start]
        h.setSolution(solution)
    with clock.holding(interrupt.want):
        h.run()
        if _contradicts_itself(h):
            # Seen with 1.16.0: presolve lost the solutions of a model that has some.
            h.clearSolver()
            h.setOptionValue("presolve", "off")
            h.setOptionValue("time_limit", h.getRunTime() + clock.wait())
            h.run()
    info = h.getInfo()
    clock.spend(interrupt.looked * (LOOK + LOOKED * size))
    if h.getModelStatus() == highspy.HighsModelStatus.kTimeLimit:
        clock.late()
    if h.getModelStatus() in (
        highspy.HighsModelStatus.kInfeasible,
        highspy.HighsModelStatus.kUnboundedOrInfeasible,
    ):
        return Solved(None, None, None, infeasible=True)
    bound = None if isinf(info.mip_dual_bound) else _rounded_up(info.mip_dual_bound, model.step())
    if info.primal_solution_status != highspy.SolutionStatus.kSolutionStatusFeasible:
        return Solved(None, None, bound)
    return _checked(model, h.getSolution().col_value, bound, "HiGHS")


def _without_columns(model: LinearModel, solver: Literal["HiGHS", "CP-SAT"]) -> Solved:
    """Settle what HiGHS calls empty, without a look at its rows."""
    broken = bool(model.broken(()))
    return (
        Solved(None, None, None, infeasible=True, solver=solver)
        if broken
        else Solved((), 0, 0, solver=solver)
    )


def _contradicts_itself(h: Any) -> bool:
    """Tell whether HiGHS ends with a solution that it calls infeasible itself."""
    from highspy import SolutionStatus

    return bool(h.getInfo().primal_solution_status == SolutionStatus.kSolutionStatusInfeasible)


def _rounded_up(bound: float, step: int) -> int:
    """Round a float bound up to a multiple of `step`, forgiving the solver's tolerance."""
    return ceil(bound / step - 1e-6 * max(1.0, abs(bound / step) * 1e-3)) * step


class Relaxation:
    """
    The LP relaxation of a model, kept in one HiGHS object so that a changed bound costs little.

    Parameters
    ----------
    once
        True if it is solved once: faster then, but an infeasible one comes without the ray that shows it.
    """

    def __init__(self, model: LinearModel, once: bool = False) -> None:
        self._model = model
        self._highs, self._interrupt = _load(model, Clock(inf), integer=False)
        # Presolve finds a model infeasible without a ray.
        self._highs.setOptionValue("presolve", "on" if once else "off")
        self._highs.setOptionValue("presolve_rule_off", SPARSIFY)
        if once and len(model.costs) > LARGE_LP:
            self._highs.setOptionValue("solver", "ipm")
        self._changed: set[int] = set()

    def solve(self, changed: Mapping[int, tuple[int, int | None]], clock: Clock) -> Relaxed | None:
        """
        Solve with other bounds for some columns; None if there was no answer in time.

        Parameters
        ----------
        changed
            Lower and upper bound by column; every other column has the model's own.
        """
        from highspy import HighsModelStatus

        if clock.left() <= 0:
            return None
        h = self._highs
        for column in sorted(self._changed | set(changed)):
            low, high = changed.get(column, (0, self._model.uppers[column]))
            h.changeColBounds(column, float(low), inf if high is None else float(high))
        self._changed = set(changed)
        with clock.holding(self._interrupt.want):
            run_lp(h, clock)
        solution = h.getSolution()
        match h.getModelStatus():
            case HighsModelStatus.kOptimal:
                value = h.getInfo().objective_function_value
                return Relaxed(value, tuple(solution.row_dual), tuple(solution.col_value))
            case HighsModelStatus.kInfeasible:
                _, has_ray, ray = h.getDualRay()
                return Relaxed(inf, tuple(ray), (), infeasible=True) if has_ray else None
            case _:
                return None


def run_lp(h: Any, clock: Clock) -> None:
    """Let HiGHS solve the linear program it holds, as far as a clock allows, and count the work."""
    from highspy import HighsModelStatus

    simplex = ITERATION + ITERATED * h.getNumCol()
    interior = ITERATION + INTERIOR * h.getNumNz() + FACTORED * h.getNumRow() ** 2
    h.setOptionValue("simplex_iteration_limit", int(min(NO_LIMIT, 1 + clock.left() / simplex)))
    h.setOptionValue("ipm_iteration_limit", int(min(NO_LIMIT, 1 + clock.left() / interior)))
    # HiGHS counts the seconds of all its runs together.
    h.setOptionValue("time_limit", h.getRunTime() + clock.wait())
    h.run()
    info = h.getInfo()
    clock.spend(SOLVED + HANDLED * h.getNumNz())
    clock.spend(max(0, info.simplex_iteration_count) * simplex)
    clock.spend(max(0, info.ipm_iteration_count) * interior)
    if h.getModelStatus() == HighsModelStatus.kTimeLimit:
        clock.late()


def solve_relaxed(model: LinearModel, clock: Clock) -> Relaxed | None:
    """Solve the LP relaxation with HiGHS; None if there was no optimum in time."""
    relaxed = Relaxation(model, once=True).solve({}, clock)
    return None if relaxed is None or relaxed.infeasible else relaxed


def run_cpsat(
    model: LinearModel,
    clock: Clock,
    *,
    below: int | None = None,
    workers: int | None = None,
    work: float | None = None,
) -> Solved:
    """
    Solve a model with CP-SAT; parameters as in `run_highs`.

    Parameters
    ----------
    workers
        `CPSAT_WORKERS` if left out.
    work
        Seconds of work at most, where that is less than the clock allows.
    """
    allowed = clock.left() if work is None else min(work, clock.left())
    if clock.left() <= CPSAT_LOADS:
        return Solved(None, None, None, solver="CP-SAT")
    if not model.costs:
        return _without_columns(model, "CP-SAT")
    from ortools.sat.python import cp_model

    cp = cp_model.CpModel()
    highest = _highest(model)
    columns = [cp.new_int_var(0, high, "") for high in highest]
    for line in model.lines:
        total = sum(a * columns[c] for c, a in line.terms.items())
        low = cp_model.INT_MIN if line.lower is None else line.lower
        high = cp_model.INT_MAX if line.upper is None else line.upper
        cp.add_linear_constraint(total, low, high)
    step = model.step()
    cost = sum(c // step * columns[i] for i, c in enumerate(model.costs) if c)
    if below is not None:
        cp.add(cost <= (below - 1) // step)
    cp.minimize(cost)
    solver = cp_model.CpSolver()
    solver.parameters.random_seed = SEED
    solver.parameters.num_workers = CPSAT_WORKERS if workers is None else workers
    solver.parameters.interleave_search = solver.parameters.num_workers > 1
    solver.parameters.max_time_in_seconds = clock.wait()
    solver.parameters.max_deterministic_time = allowed / CPSAT_SECOND
    # Its own handler of Ctrl-C ends the whole program where another thread than the main one solves.
    solver.parameters.catch_sigint_signal = False
    with clock.holding(solver.stop_search):
        status = solver.solve(cp)
    used = solver.response_proto.deterministic_time
    clock.spend(BUILT * model.size() + CPSAT_SECOND * used)
    undone = status not in (cp_model.OPTIMAL, cp_model.INFEASIBLE)
    if undone and solver.wall_time >= 0.99 * solver.parameters.max_time_in_seconds:
        clock.late()
    if status == cp_model.INFEASIBLE:
        return Solved(None, None, None, infeasible=True, solver="CP-SAT")
    bound = ceil(solver.best_objective_bound - 1e-6) * step
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Solved(None, None, bound, solver="CP-SAT")
    return _checked(model, [solver.value(c) for c in columns], bound, "CP-SAT")


def _highest(model: LinearModel) -> list[int]:
    """Give every column a finite upper bound: its own, or what its rows with positive data allow."""
    highest: list[int | None] = list(model.uppers)
    for line in model.lines:
        if line.upper is None or any(a < 0 for a in line.terms.values()):
            continue
        for column, a in line.terms.items():
            room = line.upper // a
            known = highest[column]
            highest[column] = room if known is None else min(known, room)
    return [1_000_000 if h is None else max(h, 0) for h in highest]
