"""Models settled purchase by purchase: what comes out is the optimum, and what it bounds is true."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from optimizer.bounds import dual_bound, up_to_step
from optimizer.engine import Clock, LinearModel, run_highs, solve_relaxed
from optimizer.purchases import settle_purchases

ROWS = st.lists(
    st.tuples(st.lists(st.integers(0, 4), min_size=4, max_size=4), st.integers(1, 17)), min_size=1, max_size=4
)
COSTS = st.lists(st.integers(1, 9), min_size=2, max_size=3)


def covering(costs: list[int], rows: list[tuple[list[int], int]], step: int) -> LinearModel:
    """
    Sheets that are bought, cut in one of two ways each, to yield what is asked for.

    Every kind of sheet yields one of each piece besides, so that there always is a solution.
    """
    model = LinearModel()
    bought = [model.column(cost * step, 40) for cost in costs]
    ways = [(model.column(upper=40), model.column(upper=40)) for _ in costs]
    for sheet, pair in zip(bought, ways, strict=True):
        model.row([(sheet, -1), *((way, 1) for way in pair)], upper=0)
    for counts, demand in rows:
        terms = [
            (way, 1 + counts[(2 * kind + place) % 4])
            for kind, pair in enumerate(ways)
            for place, way in enumerate(pair)
        ]
        model.row(terms, lower=demand)
    return model


@given(COSTS, ROWS, st.sampled_from([1, 10, 440]), st.booleans())
def test_purchases_come_to_the_optimum(costs, rows, step, known):
    """Plan and bound are what branch and cut finds; nothing is found where only what is cheaper is asked."""
    model = covering(costs, rows, step)
    cost = run_highs(model, Clock(30)).cost
    assert cost is not None
    relaxed = solve_relaxed(model, Clock(30))
    assert relaxed is not None
    least = dual_bound(model, relaxed.duals)
    assert least is not None
    found = settle_purchases(
        model, relaxed, up_to_step(least, model.step()), cost if known else None, Clock(30)
    )

    assert found is not None
    assert found.bound == cost
    assert len(found.witnesses) > 1
    if known:
        assert found.values is None
    else:
        assert found.values is not None
        assert not model.broken(found.values)
        assert model.cost_of(found.values) == cost


def test_many_prices_are_left_to_others():
    """Where nine things have a price, purchases are too many to go through."""
    model = covering([3] * 9, [([1, 0, 2, 1], 5)], 1)
    relaxed = solve_relaxed(model, Clock(30))

    assert relaxed is not None
    assert settle_purchases(model, relaxed, 0, None, Clock(30)) is None


def test_without_time_nothing_is_claimed():
    """The bound stays what it was."""
    model = covering([3, 5], [([1, 0, 2, 1], 5)], 1)
    relaxed = solve_relaxed(model, Clock(30))
    assert relaxed is not None
    found = settle_purchases(model, relaxed, 3, None, Clock(0))

    assert found is not None
    assert (found.values, found.bound) == (None, 3)
