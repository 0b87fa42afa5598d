"""The solvers behind one door: what a model says, what a run gives back, and that a stop is obeyed."""

from __future__ import annotations

import subprocess
import sys
import threading
from math import inf
from pathlib import Path

import pytest
from hypothesis import event, given, settings
from hypothesis import strategies as st
from small_models import covering, endless, least, small_models

from optimizer.engine import (
    Clock,
    LinearModel,
    Progress,
    Relaxation,
    Solved,
    run_cpsat,
    run_highs,
    solve_relaxed,
)

ROOT = Path(__file__).resolve().parents[2]
RUNS = pytest.mark.parametrize("run", [run_highs, run_cpsat])


def test_columns_and_rows_are_numbered_as_they_come():
    """Equal questions give equal models."""
    model = LinearModel()

    assert [model.column(7), model.column(), model.column(1, 4)] == [0, 1, 2]
    assert [model.row([(0, 1)], lower=2), model.row([(1, 1)], upper=3)] == [0, 1]
    assert (model.costs, model.uppers) == ([7, 0, 1], [None, None, 4])


def test_a_column_named_twice_in_a_row_adds_up():
    """2x + 3x is 5x, and x - x is nothing."""
    model = LinearModel()
    x, y = model.column(), model.column()
    model.row([(x, 2), (y, 1), (x, 3), (y, -1)], lower=0)

    assert model.lines[0].terms == {x: 5}


def test_the_cost_of_values_is_their_sum_in_integers():
    """Two small bars and a large one: 2 * 50 + 80 = 180."""
    assert covering().cost_of((2, 1)) == 180


@pytest.mark.parametrize(("costs", "step"), [((50, 80), 10), ((2840,), 2840), ((0, 0), 1), ((), 1)])
def test_costs_move_by_steps_of_what_divides_them_all(costs, step):
    """The greatest common divisor, and 1 where everything is free."""
    model = LinearModel()
    for cost in costs:
        model.column(cost)

    assert model.step() == step


@pytest.mark.parametrize(
    ("values", "broken"),
    [
        ((2, 1), ""),  # 3 * 2 + 5 = 11
        ((-1, 3), "column 0 = -1"),
        ((4, 0), "column 0 = 4"),  # no more than 3 of each
        ((2, 0), "row 0 = 6"),  # 11 are wanted
        ((3, 3), "row 1 = 6"),  # 5 in all
    ],
)
def test_every_kind_of_violation_is_named(values, broken):
    """A column below 0 or above its bound, a row below or above its side."""
    model = covering(upper=3)
    model.row([(0, 1), (1, 1)], upper=5)

    assert model.broken(values) == broken


@RUNS
def test_a_model_without_columns_is_settled_by_its_rows(run):
    """Nothing can be chosen: the rows hold of nothing, or there is no solution."""
    model = LinearModel()
    model.row([], upper=3)
    assert (run(model, Clock(10)).values, run(model, Clock(10)).cost) == ((), 0)

    model.row([], lower=1)
    assert run(model, Clock(10)).infeasible


@RUNS
def test_a_small_model_is_solved_to_its_optimum(run):
    """5 + 3 + 3 for 180 cents, with a bound that says so."""
    solved = run(covering(), Clock(20))

    assert (solved.values, solved.cost, solved.bound) == ((2, 1), 180, 180)
    assert solved.optimal


@RUNS
def test_nothing_is_cheaper_than_the_cheapest(run):
    """Asked for less than 180, a solver finds that there is nothing; below 181 it finds it again."""
    assert run(covering(), Clock(20), below=180).infeasible
    assert run(covering(), Clock(20), below=181).cost == 180


@RUNS
def test_bounds_of_columns_hold(run):
    """One bar of each at most make 8: nothing covers 11."""
    solved = run(covering(upper=1), Clock(20))

    assert solved.infeasible
    assert solved.values is None


@pytest.mark.parametrize("start", [(2, 1), (4, 0), (0, 0)])
def test_a_start_never_changes_the_answer(start):
    """The optimum, a dearer solution or no solution at all to begin from: the optimum comes out."""
    assert run_highs(covering(), Clock(20), start=start).cost == 180


def test_a_start_is_kept_where_there_is_no_time_to_search():
    """With no node of the tree allowed, the answer is no dearer than what was handed in."""
    model = endless()
    gaps = [line.lower - sum(line.terms[c] for c in range(20)) for line in model.lines]
    # The first twenty weights on one side; what is over or under makes up for the rest.
    start = [1] * 20 + [0] * 20 + [part for gap in gaps for part in (max(0, -gap), max(0, gap))]
    assert model.broken(start) == ""

    solved = run_highs(model, Clock(60), start=start, nodes=0)

    assert solved.cost is not None
    assert solved.cost <= model.cost_of(start)


def test_a_target_ends_the_search_at_the_first_answer_as_good():
    """Any solution of the endless model costs at most 20,000, and that is soon met."""
    clock = Clock(60)

    solved = run_highs(endless(), clock, target=20_000)

    assert solved.cost is not None
    assert solved.cost <= 20_000
    assert clock.left() > 0


@RUNS
def test_a_stop_from_another_thread_ends_a_running_solve(run):
    """What could run for minutes ends before its clock does, and claims nothing that isn't so."""
    clock = Clock(60)
    model = endless()
    timer = threading.Timer(0.5, clock.stop)
    timer.start()

    solved = run(model, clock)

    timer.join()
    assert clock.spent() < 60
    assert not solved.optimal
    assert not solved.infeasible


@RUNS
def test_a_stopped_clock_starts_nothing(run):
    """No values, no bound, no claim."""
    clock = Clock(20)
    clock.stop()

    solved = run(covering(), clock)

    assert (solved.values, solved.cost, solved.bound, solved.infeasible) == (None, None, None, False)
    assert solve_relaxed(covering(), clock) is None


def test_a_stop_that_comes_too_early_is_not_lost():
    """Stopped between asking for the time and holding the clock, a solve is cancelled all the same."""
    clock, cancelled = Clock(20), []
    clock.stop()

    with clock.holding(lambda: cancelled.append(True)):
        pass

    assert cancelled == [True]


def test_a_stop_reaches_what_runs_under_a_share_and_no_more():
    """While held, a cancel is called once; after that never again."""
    clock, cancelled = Clock(20), []
    with clock.share(10).holding(lambda: cancelled.append("running")):
        clock.stop()
    clock.stop()

    assert cancelled == ["running"]


def test_a_share_takes_no_more_than_is_left():
    """A share of a minute out of ten seconds is ten seconds at most, and ends with the whole."""
    clock = Clock(10)
    share, small = clock.share(60), clock.share(2)

    assert share.left() <= 10
    assert small.left() <= 2
    clock.stop()
    assert (clock.left(), share.left(), small.left()) == (0, 0, 0)


def test_progress_goes_to_whoever_watches():
    """A clock passes it on, a share too; without a watch it goes nowhere."""
    seen = []
    clock = Clock(10, seen.append)
    news = Progress("panel", 2840, 1420)

    clock.share(5).tell(news)
    Clock(10).tell(news)

    assert seen == [news]


@pytest.mark.parametrize(
    ("cost", "bound", "optimal"),
    [(180, 180, True), (180, 170, False), (None, 180, False), (180, None, False)],
)
def test_optimal_means_that_the_bound_meets_the_cost(cost, bound, optimal):
    """Neither a bound without a cost nor a cost without a bound is an optimum."""
    assert Solved(None, cost, bound).optimal is optimal


def test_the_relaxation_is_solved_in_fractions():
    """11/5 large bars at 80 cents: 176."""
    relaxed = solve_relaxed(covering(), Clock(20))

    assert relaxed is not None
    assert relaxed.value == pytest.approx(176)
    # The row's multiplier is what one unit more would cost: 80/5 cents.
    assert relaxed.duals == pytest.approx((16,))


def test_a_bound_that_was_changed_is_put_back():
    """No large bar: 11/3 small ones for 550/3; then as before, 176."""
    relaxation = Relaxation(covering())

    without = relaxation.solve({1: (0, 0)}, Clock(20))
    again = relaxation.solve({}, Clock(20))

    assert without.value == pytest.approx(550 / 3)
    assert again.value == pytest.approx(176)


def test_an_infeasible_relaxation_gives_a_ray():
    """With one bar of each, 8 < 11: the multipliers show it, and there is no value."""
    relaxed = Relaxation(covering(upper=1)).solve({}, Clock(20))

    assert relaxed.infeasible
    assert relaxed.value == inf
    # y * 11 > y * (3 + 5) for the row's multiplier y > 0.
    assert relaxed.duals[0] > 0
    assert solve_relaxed(covering(upper=1), Clock(20)) is None


@settings(max_examples=60)
@given(small_models())
def test_both_solvers_find_what_trying_everything_finds(model):
    """Optimum and infeasibility alike, with a bound that meets the cost."""
    truth = least(model)
    event("infeasible" if truth is None else "feasible")
    for solved in (run_highs(model, Clock(20)), run_cpsat(model, Clock(20), workers=1)):
        assert solved.cost == truth
        assert solved.infeasible == (truth is None)
        assert solved.optimal == (truth is not None)


@settings(max_examples=40)
@given(small_models(), st.integers(0, 40))
def test_below_finds_what_is_cheaper_or_that_nothing_is(model, below):
    """Values are found exactly where the least cost is less than asked."""
    truth = least(model)
    cheaper = truth is not None and truth < below
    for solved in (run_highs(model, Clock(20), below=below), run_cpsat(model, Clock(20), below=below)):
        assert solved.cost == (truth if cheaper else None)
        assert solved.infeasible == (not cheaper)


def test_a_short_clock_does_not_load_cpsat():
    """What takes longer to load than there is time is not loaded, and nothing is claimed."""
    script = (
        "import sys\n"
        "from optimizer.engine import Clock, LinearModel, run_cpsat\n"
        "model = LinearModel()\n"
        "model.row([(model.column(1), 1)], lower=1)\n"
        "print(run_cpsat(model, Clock(0.1)).bound, 'ortools' in sys.modules)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, timeout=60
    )

    assert (done.stdout, done.stderr) == ("None False\n", "")
