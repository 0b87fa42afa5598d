import random
from functools import cache
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer.bounds import dual_bound, safe_duals, up_to_step
from optimizer.columns import Bars, PatternLp
from optimizer.engine import Clock, LinearModel, solve_relaxed
from optimizer.models.board_closing import close, covering
from optimizer.models.board_dives import best_fill, first_fit
from optimizer.models.cutting_stock import bars_from, cheapest_cutting


def solved(bars, seconds=20):
    """Solve, and check the plan piece by piece before giving it."""
    found = cheapest_cutting(bars, Clock(seconds))
    if found.uses is not None:
        assert cost_of(bars, found.uses) == found.cost
    return found


def cost_of(bars, uses):
    made, used = [0] * len(bars.sizes), [0] * len(bars.rooms)
    for pattern, times in uses:
        used[pattern.bar] += times
        assert sum(bars.sizes[place] * n for place, n in pattern.counts) <= bars.rooms[pattern.bar]
        for place, n in pattern.counts:
            made[place] += n * times
    assert all(m >= d for m, d in zip(made, bars.demands, strict=True))
    assert all(limit is None or n <= limit for n, limit in zip(used, bars.limits, strict=True))
    return sum(n * c for n, c in zip(used, bars.costs, strict=True))


def cheapest(bars):
    """Try every sequence of bars and fillings: the least cost, or None."""
    fillings = [
        [
            counts
            for counts in product(*(range(d + 1) for d in bars.demands))
            if any(counts) and sum(n * s for n, s in zip(counts, bars.sizes, strict=True)) <= room
        ]
        for room in bars.rooms
    ]
    endless = sum(bars.demands)
    limits = tuple(endless if limit is None else limit for limit in bars.limits)

    @cache
    def rest(left, stock):
        if not any(left):
            return 0
        best = None
        for kind, have in enumerate(stock):
            if not have:
                continue
            fewer = (*stock[:kind], have - 1, *stock[kind + 1 :])
            for counts in fillings[kind]:
                # The first piece still wanted is cut now: order does not matter.
                first = next(i for i, n in enumerate(left) if n)
                if counts[first] and all(n <= m for n, m in zip(counts, left, strict=True)):
                    cost = rest(tuple(m - n for m, n in zip(left, counts, strict=True)), fewer)
                    if cost is not None and (best is None or cost + bars.costs[kind] < best):
                        best = cost + bars.costs[kind]
        return best

    return rest(bars.demands, limits)


@st.composite
def questions(draw):
    sizes = sorted(draw(st.sets(st.integers(2, 12), min_size=1, max_size=4)), reverse=True)
    demands = [draw(st.integers(1, 3)) for _ in sizes]
    rooms = draw(st.lists(st.integers(sizes[0], 20), min_size=1, max_size=3, unique=True))
    limits = [draw(st.none() | st.integers(1, 4)) for _ in rooms]
    costs = [draw(st.integers(0, 12)) for _ in rooms]
    return Bars(tuple(sizes), tuple(demands), tuple(rooms), tuple(limits), tuple(costs))


@settings(max_examples=150, deadline=None)
@given(questions())
def test_costs_what_trying_everything_costs(bars):
    """The plan costs exactly what exhaustive search finds, and the bound says so."""
    expected = cheapest(bars)
    found = solved(bars)

    assert found.cost == expected
    if expected is not None:
        assert found.bound == expected


@settings(max_examples=150, deadline=None)
@given(questions(), st.randoms(use_true_random=False))
def test_safe_bound_is_never_above_a_feasible_cost(bars, draw):
    """Whatever duals come in, the bound made of them is true."""
    expected = cheapest(bars)
    if expected is None:
        return
    lp = PatternLp(bars)
    assert lp.generate(Clock(120))
    true = lp.lp.duals
    for noise in (0.0, 0.1, 2.0):
        lp.lp.duals = np.array([y + noise * draw.uniform(-1, 1) * max(bars.costs) for y in true])
        safe = safe_duals(lp)

        assert safe.bound <= expected * safe.scale
        if not noise and expected:
            # And made of the LP's own duals it is as good as the LP's value.
            assert safe.bound / safe.scale == pytest.approx(lp.lp.value, rel=1e-6, abs=1e-6)


@settings(max_examples=100, deadline=None)
@given(questions())
def test_greedy_plans_hold(bars):
    """A greedy plan that is finished cuts every piece and keeps to what there is."""
    for plan in (list(first_fit(bars, range(len(bars.rooms)))), list(best_fill(bars, Clock(120)))):
        made = [0] * len(bars.sizes)
        for pattern in plan:
            for place, n in pattern.counts:
                made[place] += n
        if all(m >= d for m, d in zip(made, bars.demands, strict=True)):
            cost_of(bars, [(pattern, 1) for pattern in plan])


@settings(max_examples=60, deadline=None)
@given(questions())
def test_nothing_is_ruled_out_that_a_plan_could_use(bars):
    """Closing finds a plan at the true cost, and proves that there is none below it."""
    expected = cheapest(bars)
    if expected is None:
        return
    lp = PatternLp(bars)
    assert lp.generate(Clock(120))
    at = close(lp, expected, Clock(120))
    assert lp.generate(Clock(120))
    below = close(lp, expected - bars.step, Clock(120))

    assert at.patterns is not None
    assert cost_of(bars, [(pattern, 1) for pattern in at.patterns]) <= expected
    assert below.patterns is None
    assert below.bound == expected


def cut_apart(seed, bars, room, least):
    """Cut so many bars at random into pieces, nothing left over: then so many bars are the fewest."""
    draw = random.Random(seed)
    pieces = []
    for _ in range(bars):
        left = room
        while left >= 2 * least:
            size = draw.randint(least, left - least)
            pieces.append(size)
            left -= size
        pieces.append(left)
    return pieces


@pytest.mark.parametrize("seed", range(4))
def test_bars_cut_apart_are_put_together_again(seed):
    """Pieces cut from n whole bars without waste need n bars again."""
    pieces = cut_apart(seed, 15, 200, 21)
    bars, _ = bars_from([(piece, 1) for piece in pieces], [(200, None, 1)])
    found = solved(bars)

    assert (found.cost, found.bound) == (15, 15)


@pytest.mark.parametrize("seed", range(3))
def test_triplets(seed):
    """Triplets, three pieces to a bar and no waste, are put together again."""
    draw = random.Random(seed)
    pieces = []
    for _ in range(12):
        first = draw.randint(34, 48)
        second = draw.randint(26, (100 - first) // 2)
        pieces += [first, second, 100 - first - second]
    bars, _ = bars_from([(piece, 1) for piece in pieces], [(100, None, 1)])
    found = solved(bars)

    assert (found.cost, found.bound) == (12, 12)


def test_gap_of_a_whole_bar_is_proved():
    """Where rounding the LP up promises two bars, the proof still finds that three are needed."""
    # Fieldhouse's instance, from memory: 2/3 + 3/4 + 6/11 = 1.96 bars in the LP.
    bars = Bars((44, 33, 12), (2, 3, 6), (132,), (None,), (1,))
    found = solved(bars)

    assert (found.cost, found.bound) == (3, 3)


def test_counting_bars_lifts_the_bound():
    """Prices leave no sum between bound and plan: numbers of bars alone are the proof."""
    # 5 pieces of 6 from bars of 7 (cost 5) or 13 (cost 9): the LP pays 5 x 4.5 = 22.5, whole bars 9 + 9 + 5.
    bars = Bars((6,), (5,), (13, 7), (None, None), (9, 5))
    found = solved(bars)

    assert (found.cost, found.bound) == (23, 23)
    assert found.witnesses == ("HiGHS", "LP duals checked in integers")


def test_too_little_stock_is_noticed():
    """Where the bars there are can't yield the pieces, the bound says that no plan exists."""
    bars = Bars((6,), (5,), (13,), (2,), (9,))
    found = solved(bars)

    assert found.uses is None
    assert found.impossible


def test_bars_that_others_replace_are_dropped():
    """A bar is dropped if an unlimited one is as long and no dearer, and only then."""
    _, kept = bars_from([(3, 1)], [(8, None, 5), (9, None, 5), (10, 3, 4), (7, None, 4), (2, None, 1)])

    # 8 is no longer than 9 at the same price; 10 is limited, so it replaces nothing; 2 is too short.
    assert kept == (1, 2, 3)


@pytest.mark.parametrize("stocks", [[(240, None, 9), (120, None, 5)], [(200, 3, 7), (160, None, 6)]])
def test_larger_questions_agree_with_the_listed_model(stocks):
    """Column generation and the model over all listed patterns come to the same cost."""
    from optimizer.engine import run_cpsat

    draw = random.Random(7)
    bars, _ = bars_from([(draw.randint(31, 110), draw.randint(1, 4)) for _ in range(9)], stocks)
    found = solved(bars)
    lp = PatternLp(bars)
    assert lp.generate(Clock(120))
    # Everything within a generous target is listed, and given to a solver of another kind.
    from optimizer.models.board_closing import _Graph

    graph = _Graph(lp, Clock(120), False)
    safe = safe_duals(lp)
    listed = graph.listed(safe, *graph.narrow(safe, (found.cost or 0) + bars.step))
    assert listed is not None
    model, _ = covering(bars, listed)

    assert found.cost == found.bound == run_cpsat(model, Clock(120)).cost


@settings(max_examples=100, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 5), st.integers(1, 3)), min_size=1, max_size=3),
    st.lists(st.tuples(st.lists(st.integers(0, 3), min_size=3, max_size=3), st.integers(0, 4)), max_size=3),
    st.lists(st.floats(-5, 5), min_size=3, max_size=3),
)
def test_dual_bound_is_never_above_a_feasible_cost(columns, rows, wild):
    """Weak duality in exact arithmetic: true for the LP's duals and for any others."""
    model = LinearModel()
    for cost, upper in columns:
        model.column(cost, upper)
    for coefficients, lower in rows:
        model.row([(c, a) for c, a in enumerate(coefficients[: len(columns)])], lower=lower)
    every = [v for v in product(*(range(u + 1) for _, u in columns)) if not model.broken(v)]
    if not every:
        return
    best = min(model.cost_of(values) for values in every)
    relaxed = solve_relaxed(model, Clock(5))
    assert relaxed is not None
    safe = dual_bound(model, relaxed.duals)
    other = dual_bound(model, wild[: len(rows)])

    assert safe is not None
    assert other is not None
    assert max(safe, other) <= best
    assert float(safe) == pytest.approx(relaxed.value, abs=1e-6)
    assert up_to_step(safe, model.step()) % model.step() == 0


@settings(max_examples=60, deadline=None)
@given(questions(), st.integers(0, 2))
def test_graphs_split_in_parts_say_the_same(bars, above):
    """Where lists are cut short and graphs are split, no false bound is given and no false plan."""
    expected = cheapest(bars)
    if expected is None:
        return
    lp = PatternLp(bars)
    assert lp.generate(Clock(120))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("optimizer.models.board_closing.MOST_LISTED", 3)
        patch.setattr("optimizer.models.board_closing.MANY_STALLS", 1)
        patch.setattr("optimizer.models.board_closing.FEW_STALLS", 1)
        verdict = close(lp, expected + (above - 1) * bars.step, Clock(120))

    # A bound is one on all plans, whichever part of the graph a plan was found in.
    assert verdict.bound <= expected
    if verdict.patterns is not None:
        assert cost_of(bars, [(pattern, 1) for pattern in verdict.patterns]) >= expected
