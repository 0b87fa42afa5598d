"""Price breaks: what is bought costs what the best of all purchases costs, however the breaks fall."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from oracle import cheapest as cheapest_of
from strategies import RULES, tiny_decks, tiny_lengths, tiny_sheets

from optimizer.engine import Clock
from optimizer.errors import NoPlan
from optimizer.lengths import FOOT, INCH
from optimizer.solve import cheapest_plan
from optimizer.words import Part, Problem, Saw, Stock, Support, Surface

SAW = Saw(sheet=0, board=0)
RULE = RULES["usual"]
GAP = RULE.gap


def board(feet, price, breaks=(), available=None, pack=1):
    return Stock(
        f"2x4 {feet} ft", "2x4", "board", feet * FOOT, 0, price, available, pack, breaks=tuple(breaks)
    )


def plan(stocks, *parts):
    return cheapest_plan(Problem(tuple(stocks), parts=parts, saw=SAW), Clock(20))


def lines(answer):
    return [(line.stock, line.count, line.needed, line.unit_price, line.cost) for line in answer.buy]


def test_three_more_are_bought_where_each_then_costs_less():
    """Seven boards at 6.00 are 42.00; from ten on each costs 4.00, and ten are 40.00."""
    answer = plan([board(8, 600, [(10, 400)])], Part("leg", "2x4", 8 * FOOT, count=7))

    assert lines(answer) == [("2x4 8 ft", 10, 7, 400, 4000)]
    assert (answer.total, answer.bound, answer.proved) == (4000, 4000, True)
    assert "price break" in answer.outcomes[0].family


def test_six_are_bought_as_they_are():
    """Six at 6.00 are 36.00, less than ten at 4.00."""
    assert lines(plan([board(8, 600, [(10, 400)])], Part("leg", "2x4", 8 * FOOT, count=6))) == [
        ("2x4 8 ft", 6, 6, 600, 3600)
    ]


def test_a_break_moves_the_purchase_to_another_size():
    """
    Sixteen legs of 4 ft: eight boards of 8 ft at 5.00 are 40.00, six of 12 ft at 7.00 are 42.00.

    From six on a 12 ft board costs 6.50: 39.00. Mixing loses the break: two of 8 ft and four of 12 ft 38.00.
    So 8 ft boards get dearer, 6.00 each: four of 12 ft and two of 8 ft are 40.00, six of 12 ft still 39.00.
    """
    leg = Part("leg", "2x4", 4 * FOOT, count=16)

    assert plan([board(8, 500), board(12, 700, [(6, 650)])], leg).total == 3800
    answer = plan([board(8, 600), board(12, 700, [(6, 650)])], leg)
    assert lines(answer) == [("2x4 12 ft", 6, 6, 650, 3900)]
    assert answer.proved


def test_a_spare_counts_towards_a_break():
    """Eight sheets and a spare: nine reach the break of nine."""
    panel = Stock("panel 4x8", "panel", "sheet", 96 * INCH - GAP, 48 * INCH - GAP, 2800, breaks=((9, 2000),))
    lines_ = tuple(Support(at * INCH) for at in range(0, 193, 24))
    halves = [Surface(m, "panel", 192 * INCH, 84 * INCH, lines_, RULE, mark=m) for m in "AB"]
    answer = cheapest_plan(Problem((panel,), tuple(halves), spare=(("panel", 1),)), Clock(20))

    (line,) = answer.buy
    assert (line.count, line.needed, line.spare, line.unit_price) == (9, 8, 1, 2000)
    # Without the spare nine are bought all the same: eight cost 224.00.
    assert answer.outcomes[0].cost == 18_000
    assert answer.proved


def test_sheets_of_two_sizes_at_their_breaks():
    """
    Twelve shelves of 4 x 2 ft: three 4x8 sheets hold four each; 4x10 sheets hold five, three are needed.

    At 20.00 and 24.00 three 4x8 cost 60.00; from three on a 4x10 costs 19.00: 57.00.
    """
    sheets = [
        Stock("ply 4x8", "ply", "sheet", 8 * FOOT, 4 * FOOT, 2000),
        Stock("ply 4x10", "ply", "sheet", 10 * FOOT, 4 * FOOT, 2400, breaks=((3, 1900),)),
    ]
    answer = plan(sheets, Part("shelf", "ply", 4 * FOOT, 2 * FOOT, 12))

    assert lines(answer) == [("ply 4x10", 3, 3, 1900, 5700)]
    assert answer.proved


@st.composite
def priced_boards(draw):
    """Boards of up to three lengths with up to two breaks each, some of which the yard may lack."""
    stocks = []
    for feet in draw(st.lists(st.sampled_from((6, 8, 10, 12)), min_size=1, max_size=3, unique=True)):
        price = draw(st.integers(4, 12)) * feet
        lower = sorted(draw(st.sets(st.integers(1, price - 1), max_size=2)), reverse=True)
        least = sorted(draw(st.sets(st.integers(2, 6), min_size=len(lower), max_size=len(lower))))
        available = draw(st.none() | st.integers(0, 6))
        pack = draw(st.sampled_from((1, 1, 2)))
        stocks.append(board(feet, price, tuple(zip(least, lower, strict=True)), available, pack))
    return stocks


def cheapest(stocks, pieces):
    """Try every purchase of up to eight packs of a size, each at the price it gets."""
    best = None
    for packs in product(*(range((8 if s.available is None else s.available) + 1) for s in stocks)):
        cost = sum(
            n * min([s.price, *(p for least, p in s.breaks if n >= least)])
            for n, s in zip(packs, stocks, strict=True)
        )
        rooms = sorted((s.length for n, s in zip(packs, stocks, strict=True) for _ in range(n * s.pack)))
        if (best is None or cost < best) and holds(rooms, sorted(pieces, reverse=True)):
            best = cost
    return best


def holds(rooms, pieces):
    """Tell whether boards hold all pieces, by trying every board for the longest."""
    if not pieces:
        return True
    if sum(rooms) < sum(pieces):
        return False
    for place, room in enumerate(rooms):
        if room >= pieces[0] and room not in rooms[:place]:
            rest = sorted([*rooms[:place], room - pieces[0], *rooms[place + 1 :]])
            if holds(rest, pieces[1:]):
                return True
    return False


@settings(max_examples=60, deadline=None)
@given(priced_boards(), st.lists(st.integers(2, 6), min_size=1, max_size=6))
def test_costs_what_the_best_purchase_costs(stocks, feet):
    """Over random sizes, breaks, limits and packs the plan costs what trying everything costs, proved."""
    best = cheapest(stocks, [length * FOOT for length in feet])
    parts = [Part(f"p{n}", "2x4", length * FOOT) for n, length in enumerate(feet)]
    if best is None:
        with pytest.raises(Exception, match="2x4"):
            plan(stocks, *parts)
        return
    answer = plan(stocks, *parts)

    assert answer.total == best
    assert answer.proved


@st.composite
def with_breaks(draw, problems):
    """Give the stock of a problem a price break or two where its price leaves room."""
    problem = draw(problems)
    stocks = []
    for stock in problem.stocks:
        lower = draw(st.sets(st.integers(1, max(stock.price - 1, 1)), max_size=2))
        lower = sorted((price for price in lower if price < stock.price), reverse=True)
        least = sorted(draw(st.sets(st.integers(2, 4), min_size=len(lower), max_size=len(lower))))
        stocks.append(replace(stock, breaks=tuple(zip(least, lower, strict=True))))
    return replace(problem, stocks=tuple(stocks))


def truth(problem, plain=False):
    """Give the least total over all choices of a price for each stock, the packs it asks for paid at once."""
    best = None
    for tiers in product(*(((0, s.price), *s.breaks) for s in problem.stocks)):
        paid, stocks = 0, []
        for stock, (least, price) in zip(problem.stocks, tiers, strict=True):
            if stock.available is not None and least > stock.available:
                break
            paid += least * price
            rest = None if stock.available is None else stock.available - least
            if least:
                stocks.append(replace(stock, key=f"{stock.key} first", price=0, available=least, breaks=()))
            stocks.append(replace(stock, price=price, available=rest, breaks=()))
        else:
            rest = cheapest_of(replace(problem, stocks=tuple(stocks)), plain)
            if rest is not None and (best is None or paid + rest < best):
                best = paid + rest
    return best


@settings(max_examples=25, deadline=None)
@given(with_breaks(st.one_of(tiny_lengths(), tiny_sheets())))
def test_a_tiny_cutting_costs_what_trying_everything_costs(problem):
    """Boards, ripped boards, runs and sheets at their breaks cost what the best of all cuttings costs."""
    best = truth(problem)
    if best is None:
        with pytest.raises(NoPlan):
            cheapest_plan(problem, Clock(10))
        return
    answer = cheapest_plan(problem, Clock(10))

    assert answer.bound <= best <= answer.total
    assert answer.total == best or not answer.proved


@settings(max_examples=15, deadline=None)
@given(with_breaks(tiny_decks()))
def test_a_tiny_deck_costs_what_trying_everything_costs(problem):
    """A deck at price breaks lies between the best stack whatever and the best plain one."""
    any_stack, plain_stack = truth(problem), truth(problem, plain=True)
    if plain_stack is None:
        return
    answer = cheapest_plan(problem, Clock(10))

    assert any_stack is not None
    assert any_stack <= answer.total
    assert answer.bound <= plain_stack
    assert answer.total <= plain_stack or not answer.proved
