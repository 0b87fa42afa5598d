"""The second witness: bounds that hold in integers, whatever the solver did."""

from __future__ import annotations

import pytest
from hypothesis import assume, event, given, settings
from hypothesis import strategies as st
from small_models import covering, least, small_models

from optimizer.engine import Clock, LinearModel, Relaxation, run_highs, solve_relaxed
from optimizer.witness import SCALE, safe_bound, shows_at_least


def bound_of(model, multipliers):
    return safe_bound(model, multipliers, [0] * len(model.costs), model.uppers, model.costs)


def test_the_true_multiplier_gives_the_relaxation():
    """16 cents a unit: 11 * 16 = 176, and no column is worth more (3 * 16 = 48, 5 * 16 = 80)."""
    assert bound_of(covering(), (16.0,)) == 176 * SCALE


def test_a_multiplier_too_high_is_paid_for():
    """17 cents a unit: 187, less what columns make of it: 9 * (51 - 50) + 9 * (85 - 80) = 54."""
    assert bound_of(covering(), (17.0,)) == 133 * SCALE


def test_a_multiplier_on_a_side_that_is_open_counts_nothing():
    """The row has no upper side, so a negative multiplier bounds nothing: 0."""
    assert bound_of(covering(), (-5.0,)) == 0


def test_an_unbounded_column_spoils_a_multiplier_too_high():
    """At 17 cents a unit, endless small bars would gain a cent each: no bound."""
    assert safe_bound(covering(), (17.0,), [0, 0], [None, 9], [50, 80]) is None


def test_a_lower_bound_of_a_column_is_charged():
    """Three small bars at least: at 16 cents they cost 2 cents more than they are worth, 176 + 6."""
    assert safe_bound(covering(), (16.0,), [3, 0], [9, 9], [50, 80]) == 182 * SCALE


def test_no_cost_and_a_bound_above_zero_show_that_there_is_no_solution():
    """One bar of each makes 8 of 11: 11 - 3 - 5 = 3 are missing."""
    assert safe_bound(covering(), (1.0,), [0, 0], [1, 1], [0, 0]) == 3 * SCALE


@pytest.mark.parametrize(
    ("target", "shown"),
    [(180, True), (171, True), (181, False), (190, False)],
)
def test_the_least_cost_is_shown_and_not_a_cent_more(target, shown):
    """The relaxation says 176, costs come in tens, so 180 at once; 181 is not so."""
    assert shows_at_least(covering(), target, Clock(20)) is shown


def test_branching_closes_what_the_relaxation_leaves_open():
    """Cover 7 with bars of 5 for 10 cents: 1.4 bars for 14 in fractions, 2 for 20 in truth."""
    model = LinearModel()
    model.column(10, 9)
    model.column(1, 9)
    model.row([(0, 5)], lower=7)
    # The second column makes costs come in single cents, so 14 must be branched on.
    assert shows_at_least(model, 20, Clock(20))
    assert not shows_at_least(model, 20, Clock(20), leaves=1)


def test_nothing_is_shown_without_time():
    """A stopped clock gives no proof."""
    clock = Clock(20)
    clock.stop()

    assert not shows_at_least(covering(), 180, clock)


def test_where_nothing_can_be_done_every_target_is_shown():
    """One bar of each makes 8 of 11: no solution costs less than anything."""
    model = covering()
    model.uppers = [1, 1]

    assert shows_at_least(model, 10_000, Clock(20))


def test_a_free_solution_refutes_every_target():
    """Where nothing has a price, nothing costs at least 1."""
    model = LinearModel()
    model.column(0, 4)
    model.row([(0, 2)], lower=4)

    assert not shows_at_least(model, 1, Clock(20))
    assert shows_at_least(model, 0, Clock(20))


FLOATS = st.floats(-40, 40, allow_nan=False)


@settings(max_examples=150)
@given(small_models(), st.lists(FLOATS, min_size=4, max_size=4))
def test_a_safe_bound_is_never_above_the_relaxation(model, floats):
    """Whatever the multipliers: at most the LP's value, and at most every solution's cost exactly."""
    bound = bound_of(model, floats[: len(model.lines)])
    truth = least(model)
    relaxed = solve_relaxed(model, Clock(20))

    assert truth is None or bound <= SCALE * truth
    assert relaxed is None or bound <= SCALE * (relaxed.value + 1e-6)


@settings(max_examples=60)
@given(small_models())
def test_the_solver_multipliers_give_back_nearly_all_of_the_relaxation(model):
    """Nothing but rounding is lost on the way to integers."""
    relaxed = solve_relaxed(model, Clock(20))
    assume(relaxed is not None)

    assert bound_of(model, relaxed.duals) >= SCALE * (relaxed.value - 1e-6)


@settings(max_examples=60)
@given(small_models())
def test_a_ray_shows_in_integers_that_there_is_no_solution(model):
    """Where the relaxation is infeasible, its multipliers bound a free cost above 0."""
    relaxed = Relaxation(model).solve({}, Clock(20))
    assume(relaxed is not None and relaxed.infeasible)

    assert safe_bound(model, relaxed.duals, [0] * len(model.costs), model.uppers, [0] * len(model.costs)) > 0
    assert least(model) is None


@settings(max_examples=120)
@given(small_models(), st.integers(-5, 12))
def test_nothing_above_the_least_cost_is_ever_shown(model, more):
    """HiGHS finds the optimum; a target above it is never shown, one at or below it mostly is."""
    solved = run_highs(model, Clock(20))
    assume(solved.cost is not None)
    target = solved.cost + more
    shown = shows_at_least(model, target, Clock(20))
    event(f"{'above' if more > 0 else 'at or below'}: {shown}")

    assert shown <= (target <= solved.cost)
