"""SCIP as a witness: it vouches for what is so, and for nothing else."""

from __future__ import annotations

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from optimizer.engine import Clock, LinearModel, run_highs
from optimizer.scip import none_below


def knapsack(demands, yields, costs):
    """Cover demands by columns that yield so much of each and cost so much."""
    model = LinearModel()
    columns = [model.column(cost, 20) for cost in costs]
    for place, demand in enumerate(demands):
        model.row([(c, some[place]) for c, some in zip(columns, yields, strict=True)], lower=demand)
    return model


def test_nothing_costs_less_than_the_least():
    """Five of threes and sevens for 31: 7 + 7 + 7 + 7 + 3, at 1 each, are five."""
    model = knapsack([31], [(7,), (3,)], [1, 1])

    assert none_below(model, 5, Clock(20))
    assert not none_below(model, 6, Clock(20))


def test_without_time_it_vouches_for_nothing():
    """Not even for what is so."""
    assert not none_below(knapsack([31], [(7,), (3,)], [1, 1]), 5, Clock(0))


def test_a_model_without_columns_is_left_to_others():
    """There is nothing to search."""
    assert not none_below(LinearModel(), 1, Clock(20))


pair = st.tuples(st.integers(0, 5), st.integers(0, 5))


@settings(max_examples=30)
@given(st.lists(pair, min_size=2, max_size=5), st.lists(st.integers(1, 9), min_size=5, max_size=5), pair)
def test_it_agrees_with_the_other_solver(yields, costs, demands):
    """The least cost that one finds is what the other says nothing lies below, and one more is not."""
    model = knapsack(demands, yields, costs[: len(yields)])
    solved = run_highs(model, Clock(20))
    assume(solved.optimal)

    assert none_below(model, solved.cost, Clock(20))
    assert not none_below(model, solved.cost + model.step(), Clock(20))
