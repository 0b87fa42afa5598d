"""Price limits: exact to the cent, checked against every price around them."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from cli.price_limits import price_limits
from cli.variants import Variants
from optimizer.engine import Clock
from optimizer.lengths import FOOT
from optimizer.solve import cheapest_plan
from optimizer.words import Count, Part, Problem, Saw, Stock
from takeoff.book import Book


def board(feet, price, **more):
    return Stock(f"2x4 {feet} ft", "2x4", "board", feet * FOOT, 0, price, **more)


def problem(stocks, parts=(), counts=()):
    return Problem(tuple(stocks), parts=tuple(parts), counts=tuple(counts), saw=Saw(board=0))


def limits(asked, seconds=60.0):
    plan = cheapest_plan(asked, Clock(30))
    variants = Variants({}, "job.toml", Book(()), Clock(seconds), 30)
    return plan, price_limits(asked, plan, variants)


def test_a_board_and_two_halves():
    """
    Four legs of 8 ft from 8 ft boards at 4.00; a 16 ft board, two legs, is 9.00.

    From 4.51 on two of 16 ft, 18.00, are cheaper than four of 8 ft, 18.04; at 4.50 they cost as much. However
    cheap the 8 ft boards get, more than four are of no use.
    """
    leg = Part("leg", "2x4", 8 * FOOT, count=4)
    _, (limit,) = limits(problem([board(8, 400), board(16, 900)], [leg]))

    assert (limit.item, limit.price, limit.below, limit.above) == ("2x4 8 ft", 400, None, 451)


def test_the_price_at_which_more_would_be_bought():
    """
    Two legs of 8 ft from one board of 16 ft at 7.00; two of 8 ft are 8.00.

    From 8.01 on the two of 8 ft are cheaper. A 16 ft board at any lower price is still the one.
    """
    leg = Part("leg", "2x4", 8 * FOOT, count=2)
    _, (limit,) = limits(problem([board(8, 400), board(16, 700)], [leg]))

    assert (limit.item, limit.below, limit.above) == ("2x4 16 ft", None, 801)


def test_boxes_of_two_sizes():
    """
    600 nails: a box of 500 at 17.40 and one of 100 at 4.60 are 22.00.

    A large one at 23.00 costs as much as five small ones; two large ones cost 34.80, as much as one and a
    small one at 17.40; five small ones at 3.48 cost as much as the large one; a large one at 4.60 or less
    takes the place of the small one.
    """
    boxes = [
        Stock("1 lb", "nail", "each", price=460, pack=100),
        Stock("5 lb", "nail", "each", price=1740, pack=500),
    ]
    _, found = limits(problem(boxes, counts=[Count("nails", "nail", 600)]))

    assert [(limit.item, limit.below, limit.above) for limit in found] == [
        ("1 lb", 347, 1741),
        ("5 lb", 459, 2301),
    ]


def test_with_one_size_there_is_nothing_else_to_buy():
    """Whatever it costs, it has to be bought."""
    assert limits(problem([board(8, 400)], [Part("leg", "2x4", 8 * FOOT)]))[1] == ()


def test_a_material_with_price_breaks_is_left_out():
    """A price that is several prices has no one limit."""
    stocks = [board(8, 400, breaks=((10, 300),)), board(16, 900)]

    assert limits(problem(stocks, [Part("leg", "2x4", 8 * FOOT)]))[1] == ()


def test_without_time_nothing_is_claimed():
    """What was not shown in time is left out."""
    leg = Part("leg", "2x4", 8 * FOOT, count=4)

    assert limits(problem([board(8, 400), board(16, 900)], [leg]), seconds=0.0)[1] == ()


def test_a_spare_is_no_part_of_it():
    """The spare board has no say in which boards the legs are cut from."""
    leg = Part("leg", "2x4", 8 * FOOT, count=4)
    asked = replace(problem([board(8, 400), board(16, 900)], [leg]), spare=(("2x4", 1),))
    _, (limit,) = limits(asked)

    assert limit.above == 451


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.integers(20, 80), min_size=2, max_size=3),
    st.lists(st.integers(2, 8), min_size=1, max_size=6),
)
def test_one_cent_further_another_plan_is_cheaper(prices, feet):
    """At the last cent within a limit the plan is among the cheapest, and at the limit it no longer is."""
    stocks = [board(long, price) for long, price in zip((8, 12, 16), prices, strict=False)]
    asked = problem(stocks, [Part(f"p{n}", "2x4", length * FOOT) for n, length in enumerate(feet)])
    plan, found = limits(asked)
    count = {line.stock: line.count for line in plan.buy}

    def excess(limit, price):
        """Give how much more the plan costs than the cheapest at another price of the item."""
        other = tuple(replace(s, price=price) if s.key == limit.item else s for s in asked.stocks)
        cheapest = cheapest_plan(replace(asked, stocks=other), Clock(30)).total
        return plan.total + count[limit.item] * (price - limit.price) - cheapest

    for limit in found:
        if limit.above is not None:
            assert (excess(limit, limit.above - 1), excess(limit, limit.above) > 0) == (0, True)
        if limit.below is not None:
            assert (excess(limit, limit.below + 1), excess(limit, limit.below) > 0) == (0, True)
    for key in count.keys() - {limit.item for limit in found if limit.above is not None}:
        dear = replace(next(s for s in stocks if s.key == key), price=100 * plan.total)
        others = tuple(dear if s.key == key else s for s in asked.stocks)
        # Nothing else can take its place: however dear it is, as many are bought.
        again = cheapest_plan(replace(asked, stocks=others), Clock(30))
        assert {line.stock: line.count for line in again.buy}[key] == count[key]


# -- against everything that could be bought


def buys(stocks, feet):
    """List the packs of every stock with which all pieces can be cut, none of them to spare."""
    found = set()

    def place(rest, rooms, used):
        if not rest:
            found.add(tuple(-(-n // s.pack) for n, s in zip(used, stocks, strict=True)))
            return
        piece = rest[0]
        for at in sorted({rooms.index(room) for room in rooms if room >= piece}):
            place(rest[1:], (*rooms[:at], rooms[at] - piece, *rooms[at + 1 :]), used)
        for number, stock in enumerate(stocks):
            more = (*used[:number], used[number] + 1, *used[number + 1 :])
            few = stock.available is None or more[number] <= stock.available * stock.pack
            if few and stock.length // FOOT >= piece:
                place(rest[1:], (*rooms, stock.length // FOOT - piece), more)

    place(tuple(sorted(feet, reverse=True)), (), (0,) * len(stocks))
    return found


def switches(stocks, mine, item, every):
    """Give the first price below and above that of an item at which something else costs less than `mine`."""

    def least(price):
        prices = [price if s is item else s.price for s in stocks]
        costs = {other: sum(n * p for n, p in zip(other, prices, strict=True)) for other in every}
        return costs[mine] > min(costs.values())

    rising = range(item.price + 1, 1200)
    falling = range(item.price - 1, -1, -1)
    return next(filter(least, falling), None), next(filter(least, rising), None)


def both_ways(stocks, feet):
    """Give the limits that are printed and those found by trying every purchase at every price."""
    asked = problem(stocks, [Part(f"p{n}", "2x4", length * FOOT) for n, length in enumerate(feet)])
    plan, found = limits(asked)
    every = buys(stocks, feet)
    counts = {(line.stock, line.from_rack): line.count for line in plan.buy}
    mine = tuple(counts.get((s.key, s.from_rack), 0) for s in stocks)
    truth = {}
    for item in stocks:
        if not item.from_rack and counts.get((item.key, False)):
            below, above = switches(stocks, mine, item, every)
            if below is not None or above is not None:
                truth[item.key] = below, above
    assert plan.proved
    assert mine in every
    return {limit.item: (limit.below, limit.above) for limit in found}, truth


STOCKS = st.tuples(
    st.tuples(st.integers(20, 60), st.sampled_from([1, 1, 2])),
    st.tuples(st.integers(30, 80), st.sampled_from([1, 1, 3])),
    st.tuples(st.integers(40, 99), st.sampled_from([None, 1])),
    st.sampled_from([None, 5, 15, 30]),
)


@settings(max_examples=40, deadline=None)
@given(STOCKS, st.lists(st.integers(3, 9), min_size=1, max_size=5))
def test_limits_are_where_trying_every_purchase_says(drawn, feet):
    """Three sizes, packs, one board in the yard, an offcut at a stated value: to the cent, or not at all."""
    (first, pack), (second, other_pack), (third, few), value = drawn
    stocks = [board(8, first, pack=pack), board(10, second, pack=other_pack), board(16, third, available=few)]
    if value is not None:
        stocks.append(Stock("2x4 9 ft", "2x4", "board", 9 * FOOT, 0, value, available=1, from_rack=True))
    printed, truth = both_ways(stocks, feet)

    assert printed == truth


def test_what_lies_in_the_rack_holds_a_price_down():
    """
    A piece of 6 ft from a board of 8 ft at 0.40; the rack has one of 9 ft at a stated 0.55.

    At 0.55 both are as cheap; from 0.56 on the one on the rack is taken.
    """
    rack = Stock("2x4 9 ft", "2x4", "board", 9 * FOOT, 0, 55, available=1, from_rack=True)

    assert both_ways([board(8, 40), rack], [6]) == ({"2x4 8 ft": (None, 56)},) * 2


def test_a_pack_is_weighed_as_a_whole():
    """
    Three pieces of 8 ft: two packs of two at 0.70 are 1.40; three single boards of 10 ft at 0.50 are 1.50.

    One pack and one single board, 1.20, is the plan. From 1.01 on for the pack three single ones cost less;
    at 0.49 for the pack two of them do.
    """
    stocks = [board(8, 70, pack=2), board(10, 50)]

    assert both_ways(stocks, [8, 8, 8]) == ({"2x4 8 ft": (49, 101), "2x4 10 ft": (34, 71)},) * 2
