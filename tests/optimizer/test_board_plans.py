import random
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer.bounds import safe_duals
from optimizer.columns import Bars, PatternLp
from optimizer.engine import Clock, LinearModel, run_highs
from optimizer.models.board_area import area_bound
from optimizer.models.board_counting import count_bars
from optimizer.models.board_dives import dive
from optimizer.models.board_fillings import fill
from optimizer.models.board_grid import cheapest_boards
from optimizer.models.board_packing import pack, packings
from optimizer.models.cutting_stock import bars_from, cheapest_cutting
from optimizer.solve import _plan_apart, cheapest_plan
from optimizer.words import Part, Problem, Run, Saw, Stock

OPEN = np.zeros((0, 0), dtype=np.bool_)


def cost_of(bars, plan):
    """Add up a plan, pattern by pattern, after holding it against the question."""
    made, used = [0] * len(bars.sizes), [0] * len(bars.rooms)
    for pattern in plan:
        used[pattern.bar] += 1
        assert sum(bars.sizes[place] * n for place, n in pattern.counts) <= bars.rooms[pattern.bar]
        for place, n in pattern.counts:
            made[place] += n
    assert all(m >= d for m, d in zip(made, bars.demands, strict=True))
    assert all(limit is None or n <= limit for n, limit in zip(used, bars.limits, strict=True))
    return sum(n * c for n, c in zip(used, bars.costs, strict=True))


pieces = st.lists(
    st.tuples(st.integers(1, 9), st.integers(1, 5), st.integers(0, 12)),
    min_size=1,
    max_size=4,
    unique_by=lambda piece: piece[0],
)


@settings(max_examples=200, deadline=None)
@given(pieces, st.lists(st.integers(1, 25), min_size=1, max_size=3, unique=True))
def test_best_fillings_gain_what_trying_everything_gains(kinds, rooms):
    """Both ways to fill bars, by bundles and by positions, gain the most there is from pieces that fit."""
    sizes, most, gains = (np.array(column) for column in zip(*sorted(kinds, reverse=True), strict=True))
    room = np.array(rooms)
    quick = fill(gains, sizes, most, room, OPEN, [])
    slow = fill(gains, sizes, most, room, np.ones((len(sizes), max(rooms) + 1), dtype=np.bool_), [])
    for kind, limit in enumerate(rooms):
        best = max(
            sum(n * g for n, g in zip(counts, gains, strict=True))
            for counts in product(*(range(d + 1) for d in most))
            if sum(n * s for n, s in zip(counts, sizes, strict=True)) <= limit
        )
        assert max(0, *quick.best[:, kind], 0) == best
        assert max(0, *slow.best[:, kind]) == best
        counts = quick.all(kind)
        assert counts @ gains == best
        assert counts @ sizes <= limit
        assert (counts <= most).all()


def random_bars(seed, kinds):
    """A question of a few dozen pieces, with prices that nearly follow the length."""
    draw = random.Random(seed)
    stocks = [
        (room, draw.choice((None, 9)), round(room * draw.uniform(0.9, 1.1)))
        for room in draw.sample(range(90, 160), kinds)
    ]
    wanted = [(draw.randint(11, 80), draw.randint(1, 3)) for _ in range(12)]
    return bars_from(wanted, stocks)[0]


@pytest.mark.parametrize("seed", range(8))
def test_dives_end_in_plans_that_hold(seed):
    """A dive gives a plan that cuts every piece, or none, and leaves the LP as it was."""
    bars = random_bars(seed, 3)
    lp = PatternLp(bars)
    assert lp.generate(Clock(20))
    value = lp.lp.value
    for number in range(4):
        plan = dive(lp, bars, number, float("inf"), Clock(20))
        if plan is not None:
            assert cost_of(bars, plan) >= value - 1e-6
    assert lp.generate(Clock(20))

    assert lp.lp.value == pytest.approx(value)


@pytest.mark.parametrize("seed", range(8))
def test_numbers_of_bars_bound_like_the_whole_search(seed):
    """Counting bars by groups never bounds above what the search proves, nor below the LP."""
    bars = random_bars(seed, 4)
    whole = cheapest_cutting(bars, Clock(30))
    lp = PatternLp(bars)
    assert lp.generate(Clock(20))
    safe = safe_duals(lp)

    class Settled:
        def goal(self):
            return whole.cost

        def look(self):
            pass

        def settle(self, cost):
            return False

    counted = count_bars(lp, -(-safe.bound // safe.scale), Settled(), Clock(20))

    assert whole.cost == whole.bound
    assert safe.bound / safe.scale <= counted.bound <= whole.cost


@settings(max_examples=60, deadline=None)
@given(st.randoms(use_true_random=False))
def test_safe_bound_holds_whatever_groups_are_charged(draw):
    """Whatever is charged for groups of bars, no plan within their limits costs less than the bound."""
    bars = random_bars(draw.randint(0, 9), 4)
    plan = cheapest_cutting(bars, Clock(20))
    used = [sum(times for pattern, times in plan.uses if pattern.bar == k) for k in range(len(bars.rooms))]
    counts = [sum(used[k] for k in group) for group in bars.groups]
    lows, highs = bars.free_counts
    lp = PatternLp(bars)
    tight = [draw.random() < 0.3 for _ in counts]
    lp.ask(
        bars.demands,
        [float(n) if t else low for n, t, low in zip(counts, tight, lows, strict=True)],
        [float(n) if t else high for n, t, high in zip(counts, tight, highs, strict=True)],
    )
    assert lp.generate(Clock(20))
    true = lp.lp.duals
    for noise in (0.0, 0.1, 3.0):
        lp.lp.duals = np.array([y + noise * draw.uniform(-1, 1) * max(bars.costs) for y in true])
        safe = safe_duals(lp)

        assert safe.bound <= plan.cost * safe.scale


def listed(bars):
    """List every way to cut a bar of every kind, by trying all."""

    def fill(place, room):
        if place == len(bars.sizes):
            yield ()
            return
        for count in range(min(bars.demands[place], room // bars.sizes[place]) + 1):
            for rest in fill(place + 1, room - count * bars.sizes[place]):
                yield (count, *rest)

    return [(kind, counts) for kind, room in enumerate(bars.rooms) for counts in fill(0, room)]


@pytest.mark.parametrize("seed", range(120))
def test_agrees_with_all_patterns_given_to_a_solver(seed):
    """Column generation, packing, counting and closing cost what a solver finds among all patterns."""
    draw = random.Random(seed)
    stocks = [
        (room, draw.choice((None, None, 6, 3)), draw.choice((1, round(room * draw.uniform(0.8, 1.2)), room)))
        for room in draw.sample(range(70, 140), draw.randint(1, 4))
    ]
    wanted = [(draw.randint(22, 70), draw.randint(1, 4)) for _ in range(draw.randint(3, 9))]
    bars, _ = bars_from(wanted, stocks)
    model = LinearModel()
    made, used = [[] for _ in bars.sizes], [[] for _ in bars.rooms]
    for kind, counts in listed(bars):
        column = model.column(bars.costs[kind], sum(bars.demands))
        used[kind].append((column, 1))
        for place, count in enumerate(counts):
            if count:
                made[place].append((column, count))
    for terms, demand in zip(made, bars.demands, strict=True):
        model.row(terms, lower=demand)
    for terms, limit in zip(used, bars.limits, strict=True):
        model.row(terms, upper=limit)
    expected = run_highs(model, Clock(30))
    found = cheapest_cutting(bars, Clock(30))

    assert found.impossible == expected.infeasible
    assert found.cost == expected.cost
    if found.cost is not None:
        assert found.bound == found.cost
        assert cost_of(bars, [pattern for pattern, times in found.uses for _ in range(times)]) == found.cost


def cut_up(seed, bars, rooms, pieces_a_bar):
    """Cut bars of some lengths at random into so many pieces each, nothing left over."""
    draw = random.Random(seed)
    pieces, kinds = [], []
    for _ in range(bars):
        kind = draw.randrange(len(rooms))
        marks = sorted(draw.sample(range(1, rooms[kind]), pieces_a_bar - 1))
        pieces += [b - a for a, b in zip([0, *marks], [*marks, rooms[kind]], strict=True)]
        kinds.append(kind)
    return pieces, kinds


@pytest.mark.parametrize("seed", range(5))
def test_bars_cut_up_are_filled_again(seed):
    """Five pieces a bar, cut without waste: the same bars are filled again, in one way or the next."""
    rooms = (1500, 1321, 1203)
    pieces, kinds = cut_up(seed, 14, rooms, 5)
    bars, kept = bars_from([(piece, 1) for piece in pieces], [(room, None, room) for room in rooms])
    plans = [pack(bars, [kept.index(kind) for kind in kinds], number) for number in range(8)]
    found = next(plan for plan in plans if plan is not None)

    cost_of(bars, found)
    assert sorted(kept[pattern.bar] for pattern in found) == sorted(kinds)


def test_bars_too_few_are_not_filled():
    """Where the bars are shorter than the pieces together there is no packing."""
    bars = Bars((6, 5), (2, 2), (11,), (None,), (1,))

    assert pack(bars, [0], 0) is None
    assert pack(bars, [0, 0], 0) is not None


@pytest.mark.parametrize("seed", range(4))
def test_bars_are_chosen_for_a_price(seed):
    """A packing costs no more than the last target, and cuts every piece."""
    rooms = (1500, 1321, 1203)
    pieces, _ = cut_up(seed, 14, rooms, 5)
    bars, _ = bars_from([(piece, 1) for piece in pieces], [(room, 9, room) for room in rooms])
    total = sum(s * d for s, d in zip(bars.sizes, bars.demands, strict=True))
    targets = [total, total + 2, total + 200, 2 * total]
    plans = list(packings(bars, [float(room) for room in bars.rooms], targets))

    assert len(plans) == 1
    assert total <= cost_of(bars, plans[0]) <= targets[-1]


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.integers(7, 60), st.integers(1, 3)), min_size=2, max_size=8),
    st.integers(1, 5),
)
def test_kerf_never_makes_cutting_cheaper(wanted, kerf):
    """A kerf added to every piece and every bar makes no plan cheaper, and both are proved."""
    stocks = [(120, None, 11), (97, 4, 8)]
    plain = cheapest_boards(wanted, stocks, Clock(20))
    sawn = cheapest_boards(
        [(length + kerf, n) for length, n in wanted],
        [(length + kerf, limit, cost) for length, limit, cost in stocks],
        Clock(20),
    )

    assert plain.cost == plain.bound
    assert sawn.cost == sawn.bound
    # One kerf a bar is free, all others cost: no plan with kerf is cheaper than the best without.
    assert plain.cost <= sawn.cost


@pytest.mark.parametrize("seed", range(3))
def test_fine_lengths_are_bounded_below_what_they_cost(seed):
    """On a grid the bound is for pieces rounded down, the plan for true ones; scaled up nothing changes."""
    draw = random.Random(seed)
    wanted = [(draw.randint(150_001, 449_999), draw.randint(1, 3)) for _ in range(15)]
    coarse = cheapest_boards(wanted, [(1_000_003, None, 1)], Clock(20))

    assert coarse.boards is not None
    assert all(sum(lengths) <= 1_000_003 for _, lengths in coarse.boards)
    assert sorted(x for _, lengths in coarse.boards for x in lengths) == sorted(
        length for length, n in wanted for _ in range(n)
    )
    assert coarse.bound <= coarse.cost == len(coarse.boards)


def test_a_piece_far_shorter_than_a_board_still_takes_room():
    """Lengths are looked at in steps no longer than the shortest piece: none comes out as nothing."""
    # 600,001 and 400,001 and 7 are 6 more than a board: with two of each long one it takes three boards.
    found = cheapest_boards([(7, 2), (600_001, 2), (400_001, 2)], [(1_000_003, None, 1)], Clock(20))

    assert (found.cost, found.bound) == (3, 3)


def test_what_is_used_up_bounds_no_other_plan():
    """Where ripped parts may take the only cheap board, the dear one left is no bound on both together."""
    # Ripped parts from the short board at 2, the run from the cheap one at 1: 3 in all. A plan that takes the
    # cheap board for the ripped parts pays 100 for the run.
    stocks = (
        Stock("cheap", "pine", "board", 10, 6, 1, available=1),
        Stock("short", "pine", "board", 6, 6, 2),
        Stock("dear", "pine", "board", 12, 6, 100),
    )
    parts = (Part("ripped", "pine", 6, 3, count=2),)
    runs = (Run("run", "pine", 10, seams=(), mark="R"),)
    problem = Problem(stocks, runs=runs, parts=parts, saw=Saw(board=0))
    apart = _plan_apart("pine", stocks, parts, (), runs, problem, Clock(20)).outcome

    assert apart.bound <= 3 <= apart.cost
    assert not apart.proved


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(st.integers(2, 10), st.integers(1, 5), st.integers(1, 3)), min_size=1, max_size=4),
    st.lists(st.integers(2, 10), max_size=2),
    st.integers(0, 1),
)
def test_area_is_never_dearer_than_a_plan(rectangles, lengths, kerf):
    """The area of all pieces at the best rate costs no more than a plan that cuts them."""
    stocks = (Stock("a", "pine", "board", 10, 5, 9), Stock("b", "pine", "board", 17, 5, 14, pack=2))
    parts = tuple(
        Part(f"p{n}", "pine", length, width, count=count)
        for n, (length, width, count) in enumerate(rectangles)
    )
    runs = tuple(Run(f"r{n}", "pine", length, seams=(), mark=f"R{n}") for n, length in enumerate(lengths))
    problem = Problem(stocks, runs=runs, parts=parts, saw=Saw(board=kerf))
    total = cheapest_plan(problem, Clock(20)).total

    assert area_bound(stocks, parts, runs, problem.saw) <= total
