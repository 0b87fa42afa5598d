"""What the yard has and what lies in the rack: every model obeys it, and a shortage is told with numbers."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import RULES

from optimizer.engine import Clock
from optimizer.errors import NoPlan
from optimizer.lengths import FOOT, INCH
from optimizer.solve import cheapest_plan
from optimizer.words import Count, Hole, Part, Problem, Run, Saw, Stock, Support, Surface

RULE = RULES["usual"]
GAP = RULE.gap
NO_KERF = Saw(sheet=0, board=0)
LINES = tuple(Support(at * INCH) for at in range(0, 193, 24))
LONG, WIDE = 96 * INCH - GAP, 48 * INCH - GAP


def panel(price=2800, available=None, length=LONG, key="panel 4x8", **more):
    return Stock(key, "panel", "sheet", length, WIDE, price, available, **more)


def ply(price, available=None, feet=8, key=None, **more):
    return Stock(key or f"ply 4x{feet}", "ply", "sheet", feet * FOOT, 4 * FOOT, price, available, **more)


def board(feet, price, available=None, key=None, width=7 * INCH // 2, **more):
    return Stock(key or f"2x4 {feet} ft", "2x4", "board", feet * FOOT, width, price, available, **more)


def stick(feet, price, available=None):
    return Stock(f"metal {feet} ft", "metal", "stick", feet * FOOT, 0, price, available)


def half(mark):
    return Surface(mark, "panel", 192 * INCH, 84 * INCH, LINES, RULE, mark=mark)


SHELVES = Part("shelf", "ply", 8 * FOOT, 23 * INCH, 4)
"""Two from a 4x8 sheet."""

LEGS = Part("leg", "2x4", 8 * FOOT, count=4)
LATHS = Part("lath", "2x4", 8 * FOOT, 3 * INCH // 2, 4)
"""Two lanes from a 2x4: 1-1/2 + 1/8 + 1-1/2 of 3-1/2 in."""

SKYLIGHT = Hole("skylight", 100 * INCH, 20 * INCH, 20 * INCH, 20 * INCH)

EAVE = Run("eave", "metal", 30 * FOOT, mark="E")

QUESTIONS = {
    "sheets": ((ply(3000),), {"parts": (SHELVES,)}),
    "boards": ((board(8, 400),), {"parts": (LEGS,)}),
    "ripped boards": ((board(8, 400),), {"parts": (LATHS,)}),
    "runs": ((stick(10, 700),), {"runs": (EAVE,)}),
    "seamed runs": ((stick(10, 700),), {"runs": (replace(EAVE, seams=(10 * FOOT, 20 * FOOT)),)}),
    "a deck": ((panel(),), {"surfaces": (half("A"),)}),
    "a deck with a hole": ((panel(),), {"surfaces": (replace(half("A"), holes=(SKYLIGHT,)),)}),
    "counts": ((Stock("box", "nail", "each", price=500, pack=100),), {"counts": (Count("n", "nail", 300),)}),
}
TAKES = {
    "sheets": 2,
    "boards": 4,
    "ripped boards": 2,
    "runs": 3,
    "seamed runs": 3,
    "a deck": 4,
    "a deck with a hole": 4,
    "counts": 3,
}


def plan(stocks, seconds=20, **needs):
    return cheapest_plan(Problem(tuple(stocks), saw=Saw(stick=0), **needs), Clock(seconds))


def bought(answer):
    return {(line.stock, line.from_rack): line.count for line in answer.buy}


@pytest.mark.parametrize("name", QUESTIONS)
def test_as_many_as_are_needed_are_enough(name):
    """With exactly as many as it takes, the plan is the one without a limit."""
    (stock,), needs = QUESTIONS[name]
    answer = plan([replace(stock, available=TAKES[name])], **needs)

    assert bought(answer) == {(stock.key, False): TAKES[name]}
    assert answer.proved


@pytest.mark.parametrize("name", QUESTIONS)
def test_one_too_few_is_told_with_numbers(name):
    """With one fewer the sentence names the material, how many there are, and how many it would take."""
    (stock,), needs = QUESTIONS[name]
    few, many = TAKES[name] - 1, TAKES[name]
    told = f"{many * 100}.*hold only {few * 100}" if name == "counts" else f"{few} x .*would take {many} x "

    with pytest.raises(NoPlan, match=told) as found:
        plan([replace(stock, available=few)], **needs)
    assert stock.material in str(found.value)


@pytest.mark.parametrize("name", QUESTIONS)
def test_another_size_serves(name):
    """What is short of one size comes in another, which costs more, and only as much of it as is short."""
    (stock,), needs = QUESTIONS[name]
    other = replace(stock, key=f"{stock.key} dear", price=(stock.price or 0) * 2)
    answer = plan([replace(stock, available=1), other], **needs)

    assert bought(answer) == {(stock.key, False): 1, (other.key, False): TAKES[name] - 1}
    assert answer.proved


@pytest.mark.parametrize("name", QUESTIONS)
def test_an_offcut_of_the_rack_is_one_piece(name):
    """Where nothing is said an offcut is there once, however cheap, and the rest is bought."""
    (stock,), needs = QUESTIONS[name]
    rack = replace(stock, key="rest", price=1, from_rack=True)
    assert rack.available == 1
    answer = plan([rack, stock], **needs)

    assert bought(answer) == {("rest", True): 1, (stock.key, False): TAKES[name] - 1}
    assert answer.total == 1 + (TAKES[name] - 1) * (stock.price or 0)
    assert answer.proved


@pytest.mark.parametrize("name", QUESTIONS)
def test_an_offcut_stated_too_high_stays_in_the_rack(name):
    """What is worth more than a new one is left where it is."""
    (stock,), needs = QUESTIONS[name]
    rack = replace(stock, key="rest", price=(stock.price or 0) + 1, from_rack=True)

    assert bought(plan([rack, stock], **needs)) == {(stock.key, False): TAKES[name]}


@pytest.mark.parametrize("name", QUESTIONS)
def test_without_prices_the_rack_is_used_first(name):
    """The fewest pieces are to be bought, and what lies in the rack is not."""
    (stock,), needs = QUESTIONS[name]
    rack = replace(stock, key="rest", price=0, from_rack=True)
    answer = plan([replace(stock, price=None), rack], **needs)

    assert bought(answer) == {(stock.key, False): TAKES[name] - 1, ("rest", True): 1}
    assert answer.total is None
    assert answer.outcomes[0].cost == (TAKES[name] - 1) * stock.pack


def test_boards_cut_two_ways_don_t_use_what_there_is_twice():
    """Two laths ripped from one of three boards leave two for legs and a run of the same boards."""
    run = Run("rail", "2x4", 8 * FOOT, mark="R")
    needs = {"parts": (replace(LATHS, count=2), replace(LEGS, count=1)), "runs": (run,)}

    assert bought(plan([board(8, 400, available=3)], **needs)) == {("2x4 8 ft", False): 3}
    with pytest.raises(NoPlan, match=r"2 x 2x4 8 ft.*3 x 2x4 8 ft"):
        plan([board(8, 400, available=2)], **needs)


def test_a_deck_of_two_sizes_is_helped_out_by_the_longer():
    """Two 4x8 sheets are left; the rest of the half comes from 4x12."""
    long = panel(4200, None, 144 * INCH - GAP, "panel 4x12")
    answer = plan([panel(available=2), long], surfaces=(half("A"),))

    assert bought(answer)["panel 4x8", False] <= 2
    assert bought(answer)["panel 4x12", False] >= 1


def test_a_size_that_is_no_use_does_not_hide_a_shortage():
    """Three strips as long as one size is wide: of the other size, too narrow for them, there is plenty."""
    strips = Part("strip", "ply", 1 * FOOT, 4 * FOOT, 3)
    narrow = ply(100, feet=4, key="ply narrow")
    stocks = (replace(narrow, width=3 * FOOT), ply(200, 1, 4))

    with pytest.raises(
        NoPlan, match="the yard has 1 x ply 4x4, and with enough of it this would take 2 x ply"
    ):
        cheapest_plan(Problem(stocks, parts=(strips,), saw=Saw(sheet=FOOT)), Clock(20))


def test_a_sheet_that_holds_nothing_of_use_is_ruled_out():
    """One sheet of 7 x 5 ft holds all three; of 8 x 3 ft it takes two: one has no way to hold them."""
    stocks = (ply(197, 1), ply(146, key="ply 8x3"))
    stocks = (
        replace(stocks[0], length=7 * FOOT, width=5 * FOOT),
        replace(stocks[1], length=8 * FOOT, width=3 * FOOT),
    )
    sizes = ((3, 2, True), (1, 1, False), (6, 1, False))
    parts = tuple(Part(f"p{x}", "ply", x * FOOT, w * FOOT, 1, turn) for x, w, turn in sizes)
    answer = cheapest_plan(Problem(stocks, parts=parts, saw=Saw(sheet=FOOT)), Clock(20))

    assert (answer.total, answer.proved) == (197, True)


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.tuples(st.integers(3, 9), st.integers(1, 9), st.integers(0, 3)), min_size=1, max_size=3),
    st.lists(st.integers(2, 6), min_size=1, max_size=6),
)
def test_no_more_is_bought_than_there_is(yard, feet):
    """Whatever there is, a plan keeps within it."""
    stocks = [board(long, price, here, f"2x4 no {n}") for n, (long, price, here) in enumerate(yard)]
    parts = tuple(Part(f"p{n}", "2x4", length * FOOT) for n, length in enumerate(feet))
    try:
        answer = cheapest_plan(Problem(tuple(stocks), parts=parts, saw=NO_KERF), Clock(20))
    except NoPlan:
        return
    limits = {stock.key: stock.available for stock in stocks}
    assert all(line.count <= limits[line.stock] for line in answer.buy)
