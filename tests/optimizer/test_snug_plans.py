import random
from itertools import combinations

import numpy as np

from optimizer.bounds import safe_duals
from optimizer.clock import Clock
from optimizer.columns import Bars, Pattern, PatternLp
from optimizer.models.board_closing import close
from optimizer.models.board_grid import cheapest_boards
from optimizer.models.board_snug import snug, snug_dive, threes
from optimizer.models.cutting_stock import bars_from, cheapest_cutting


def triplets(number, room, seed):
    """Cut bars in three at random, so that all of them can be put together again without waste."""
    draw = random.Random(seed)
    pieces = []
    for _ in range(number):
        first = draw.randint(room // 5, room // 2)
        second = draw.randint(room // 6, room - first - room // 6)
        pieces += [first, second, room - first - second]
    bars, _ = bars_from([(piece, 1) for piece in pieces], [(room, None, 1)])
    return bars


def test_lists_every_filling_of_three_without_waste():
    """Where few fillings of three pieces leave no waste, each of them is listed once."""
    bars = triplets(12, 1000, 3)
    pieces = [(size, n) for size, demand in zip(bars.sizes, bars.demands, strict=True) for n in range(demand)]
    expected = {
        tuple(size for size, _ in three)
        for three in combinations(pieces, 3)
        if sum(size for size, _ in three) == bars.rooms[0]
    }

    found = [
        tuple(bars.sizes[place] for place, count in pattern.counts for _ in range(count))
        for pattern in threes(bars)
    ]

    assert sorted(found) == sorted(expected)


def test_lists_no_fillings_of_three_where_they_are_many():
    """Where nearly any two pieces find a third, three pieces are nothing special and none is listed."""
    sizes = tuple(range(250, 50, -1))
    assert threes(Bars(sizes, (3,) * len(sizes), (450,), (None,), (1,))) == []


def test_is_snug_only_without_waste():
    """Bars are snug if they are of one kind and as long together as the pieces."""
    assert snug(Bars((6, 4), (2, 2), (10,), (None,), (3,)), 6)
    assert not snug(Bars((6, 4), (2, 1), (10,), (None,), (3,)), 6)
    assert not snug(Bars((6, 4), (2, 2), (10, 20), (None, None), (3, 6)), 6)


def test_dives_put_bars_together_again():
    """What was cut from whole bars is fitted into as many again, every piece once."""
    for seed in range(4):
        bars = triplets(30, 6000, seed)
        lp = PatternLp(bars)
        lp.add(threes(bars))
        assert lp.generate(Clock(20))
        plan = next(
            plan for number in range(20) if (plan := snug_dive(lp, bars, number, 30, Clock(20))) is not None
        )

        made = [0] * len(bars.sizes)
        for pattern in plan:
            assert sum(bars.sizes[place] * count for place, count in pattern.counts) <= bars.rooms[0]
            for place, count in pattern.counts:
                made[place] += count
        assert len(plan) == 30
        assert tuple(made) == bars.demands
        # The LP is left as it was found: it asks for all pieces again.
        assert lp.generate(Clock(20))
        assert round(lp.lp.value, 6) == 30


def test_plans_without_waste_are_proved():
    """The whole search ends with a plan that meets the bound."""
    bars = triplets(40, 20000, 8)
    found = cheapest_cutting(bars, Clock(60))

    assert found.cost == found.bound == 40


def test_duals_far_off_rule_nothing_out():
    """Duals that come from makeshifts, orders of magnitude too high, give a poor bound, never a false one."""
    bars = Bars((7, 5, 3), (4, 3, 6), (10, 12), (None, 6), (9, 11))
    expected = cheapest_cutting(bars, Clock(20)).cost
    lp = PatternLp(bars)
    assert lp.generate(Clock(20))
    lp.lp.duals = np.array([1e5, 1e5, 1e5] + [-1e5] * len(bars.groups))
    safe = safe_duals(lp)
    assert safe.bound <= expected * safe.scale

    verdict = close(lp, expected, Clock(20))
    assert verdict.patterns is not None


def test_a_grid_is_made_finer_until_plan_and_bound_meet():
    """Lengths without a common step, where the first grid is too coarse to tell, still end proved."""
    draw = random.Random(5)
    pieces = [(draw.randint(66_000, 330_000), draw.randint(1, 3)) for _ in range(60)]
    found = cheapest_boards(pieces, [(499_979, None, 1)], Clock(60))

    assert found.cost == found.bound
    assert sorted(length for _, lengths in found.boards for length in lengths) == sorted(
        length for length, count in pieces for _ in range(count)
    )
    assert all(sum(lengths) <= 499_979 for _, lengths in found.boards)


def test_knows_the_patterns_it_is_given():
    """A pattern that is added twice is one column."""
    bars = Bars((6, 4), (2, 2), (10,), (None,), (1,))
    lp = PatternLp(bars)
    pattern = Pattern(0, ((0, 1), (1, 1)))
    assert lp.add([pattern, pattern]) == 1
    assert lp.add(threes(bars)) == 0
