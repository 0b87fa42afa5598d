from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer.errors import NoPlan
from optimizer.models.purchase import plan_counts
from optimizer.words import Count, Stock


def box(pieces, price, available=None, key=None, breaks=()):
    return Stock(
        key or f"box of {pieces}",
        "nail",
        "each",
        price=price,
        pack=pieces,
        available=available,
        breaks=breaks,
    )


def needed(quantity):
    return [Count("nails", "nail", quantity)]


def test_two_small_boxes_beat_a_large_one():
    """Packs are chosen by what they cost together, not by the piece."""
    # 120 nails: two boxes of 60 at 4.00 are 8.00; one of 200 is 9.00, though cheaper by the nail.
    bought, outcome = plan_counts("nail", [box(60, 400), box(200, 900)], needed(120))

    assert [(line.stock, line.count, line.cost) for line in bought] == [("box of 60", 2, 800)]
    assert (outcome.cost, outcome.bound, outcome.proved) == (800, 800, True)
    assert len(set(outcome.witnesses)) == 2


def test_quantities_of_all_counts_add_up():
    """Two counts of one material share a pack."""
    bought, _ = plan_counts("nail", [box(100, 500)], [*needed(40), *needed(60)])

    assert [(line.count, line.needed) for line in bought] == [(1, 100)]


def test_yard_that_has_one_box_left():
    """What the yard has is a limit; the rest comes in another size."""
    # 3 x 100 would cost 3.00; with one of them only, 1.00 + 20 x 0.20 = 5.00 or 6 x 50 at 0.60 = 3.60 ...
    bought, outcome = plan_counts("nail", [box(100, 100, available=1), box(50, 60)], needed(300))

    assert [(line.stock, line.count) for line in bought] == [("box of 100", 1), ("box of 50", 4)]
    assert outcome.cost == 100 + 4 * 60


def test_too_few_in_the_yard_is_said():
    """Where all the packs there are hold too few, the sentence says how many are short."""
    with pytest.raises(NoPlan, match=r"300 of nail are needed.*hold only 150"):
        plan_counts("nail", [box(50, 60, available=3)], needed(300))


def test_without_a_price_the_fewest_pieces_are_bought():
    """One missing price turns the question into the least surplus, and no cost is invented."""
    bought, outcome = plan_counts("nail", [box(70, None), box(100, 1)], needed(140))

    assert [(line.stock, line.count, line.cost) for line in bought] == [("box of 70", 2, None)]
    assert outcome.cost == 140


def test_equal_money_takes_fewer_packs():
    """After money the plan with fewer packs is taken."""
    bought, _ = plan_counts("nail", [box(10, 100), box(20, 200)], needed(40))

    assert [(line.stock, line.count) for line in bought] == [("box of 20", 2)]


def test_buying_more_than_needed_may_cost_less():
    """Nine hinges at 5.00 are 45.00; from ten on each costs 4.00: ten are bought for 40.00, one too many."""
    bought, outcome = plan_counts("nail", [box(1, 500, breaks=((10, 400),))], needed(9))

    assert [(line.count, line.needed, line.unit_price, line.cost) for line in bought] == [(10, 9, 400, 4000)]
    assert (outcome.cost, outcome.proved) == (4000, True)


def test_a_break_out_of_reach_is_no_break():
    """The yard has nine: the price from ten on is nobody's."""
    bought, outcome = plan_counts("nail", [box(1, 500, 9, breaks=((10, 400),))], needed(9))

    assert [(line.count, line.unit_price) for line in bought] == [(9, 500)]
    assert outcome.cost == 4500


def test_a_break_may_change_the_size():
    """
    For 300, three boxes of 100 at 4.00 are 12.00, and one of 300 is 11.00.

    From three on each of 100 costs 3.50: 10.50, and that is the cheapest.
    """
    bought, outcome = plan_counts("nail", [box(300, 1100), box(100, 400, breaks=((3, 350),))], needed(300))

    assert [(line.stock, line.count) for line in bought] == [("box of 100", 3)]
    assert outcome.cost == 1050


@st.composite
def yards(draw):
    sizes = draw(st.lists(st.integers(1, 9), min_size=1, max_size=3))
    return [
        box(
            size,
            price := draw(st.integers(0, 9)),
            draw(st.none() | st.integers(0, 4)),
            f"{place}",
            draw(falling_prices(price)),
        )
        for place, size in enumerate(sizes)
    ]


@st.composite
def falling_prices(draw, price):
    lower = sorted(draw(st.sets(st.integers(0, max(price - 1, 0)), max_size=min(2, price))), reverse=True)
    least = sorted(draw(st.sets(st.integers(2, 8), min_size=len(lower), max_size=len(lower))))
    return tuple(zip(least, lower, strict=True))


def paid(stock, packs):
    """Give the price of each of so many: the lowest whose break they reach."""
    return min([stock.price, *(price for least, price in stock.breaks if packs >= least)])


@settings(max_examples=200, deadline=None)
@given(yards(), st.integers(1, 25))
def test_costs_what_trying_everything_costs(stocks, quantity):
    """The packs cost exactly what the best of all combinations costs."""
    ranges = [
        range((max(-(-quantity // s.pack), 8) if s.available is None else s.available) + 1) for s in stocks
    ]
    costs = [
        sum(n * paid(s, n) for n, s in zip(numbers, stocks, strict=True))
        for numbers in product(*ranges)
        if sum(n * s.pack for n, s in zip(numbers, stocks, strict=True)) >= quantity
    ]
    if not costs:
        with pytest.raises(NoPlan):
            plan_counts("nail", stocks, needed(quantity))
        return
    bought, outcome = plan_counts("nail", stocks, needed(quantity))

    assert outcome.proved
    assert outcome.cost == min(costs) == sum(line.cost for line in bought)
    packs = {stock.key: stock for stock in stocks}
    assert sum(line.count * packs[line.stock].pack for line in bought) >= quantity
    for line in bought:
        limit = packs[line.stock].available
        assert limit is None or line.count <= limit
