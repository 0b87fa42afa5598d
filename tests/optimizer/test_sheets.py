"""Rectangles from sheets: proved plans, held against trying everything, kerf, and sheets cut apart."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from oracle import cheapest_cutting

from optimizer.audit import audit_plan
from optimizer.engine import Clock
from optimizer.errors import NoPlan
from optimizer.lengths import INCH
from optimizer.models.sheets import plan_sheets
from optimizer.plan import MaterialPlan
from optimizer.solve import cheapest_plan
from optimizer.words import Part, Problem, Saw, Stock

SHEETS = (
    Stock("ply 4x8", "ply", "sheet", 96 * INCH, 48 * INCH, 2840),
    Stock("ply 4x9", "ply", "sheet", 108 * INCH, 48 * INCH, 3300),
    Stock("ply 4x10", "ply", "sheet", 120 * INCH, 48 * INCH, 3750),
)
BOARDS = tuple(
    Stock(f"2x4 {feet} ft", "2x4", "board", feet * 12 * INCH, 7 * INCH // 2, price)
    for feet, price in ((8, 400), (10, 520), (12, 640))
)


def small(sizes: list[tuple[int, int, int]], price: int | None = None) -> tuple[Stock, ...]:
    """Give sheets of a few base units, so that trying everything stays possible."""
    return tuple(
        Stock(f"s{n}", "m", "sheet", length, width, cost if price is None else price)
        for n, (length, width, cost) in enumerate(sizes)
    )


def plan(stocks: tuple[Stock, ...], parts: tuple[Part, ...], kerf: int = INCH // 8) -> MaterialPlan:
    return plan_sheets(stocks[0].material, stocks, parts, Saw(sheet=kerf, board=kerf), Clock(30))


@st.composite
def shops(draw: st.DrawFn) -> tuple[tuple[Stock, ...], tuple[Part, ...], int]:
    """Draw one or two small sheet sizes, up to five parts that fit, and a kerf."""
    kerf = draw(st.integers(0, 1))
    sizes = draw(
        st.lists(st.tuples(st.integers(5, 9), st.integers(4, 7), st.integers(3, 9)), min_size=1, max_size=2)
    )
    length, width = max(x for x, _, _ in sizes), min(w for _, w, _ in sizes)
    parts = []
    for number in range(draw(st.integers(1, 4))):
        count = draw(st.integers(1, 2)) if number < 2 else 1
        parts.append(
            Part(
                f"P{number}",
                "m",
                draw(st.integers(1, length)),
                draw(st.sampled_from([*range(1, width + 1)])),
                count,
                draw(st.booleans()),
            )
        )
    return small(sizes), tuple(parts), kerf


@settings(max_examples=40)
@given(shops())
def test_a_proved_plan_costs_what_trying_everything_costs(shop):
    """Small shops: the plan is proved and as cheap as the cheapest cutting there is in three stages."""
    stocks, parts, kerf = shop
    made = plan(stocks, parts, kerf)
    pieces = [(p.length, p.width, p.may_turn) for p in parts for _ in range(p.count)]

    assert made.outcome.proved
    assert made.outcome.cost == cheapest_cutting(stocks, pieces, kerf)


@settings(max_examples=25)
@given(shops())
def test_every_plan_passes_the_audit(shop):
    """Small shops: the plan made of the cuts passes an audit that shares no code with the model."""
    stocks, parts, kerf = shop
    cheapest_plan(Problem(stocks, parts=parts, saw=Saw(sheet=kerf, board=kerf)), Clock(30))


@settings(max_examples=25)
@given(shops())
def test_kerf_is_the_same_as_larger_parts_and_sheets(shop):
    """Adding the kerf to every part and sheet gives a shop without kerf that costs the same."""
    stocks, parts, _ = shop
    wider = tuple(replace(s, length=s.length + 1, width=s.width + 1) for s in stocks)
    larger = tuple(replace(p, length=p.length + 1, width=p.width + 1) for p in parts)

    assert plan(wider, larger, 0).outcome.cost == plan(stocks, parts, 1).outcome.cost


def apart(draw: random.Random, length: int, width: int, stages: int, rip: bool) -> list[tuple[int, int]]:
    """Cut a sheet apart at random, all of it, in so many stages."""
    size = width if rip else length
    if stages == 0 or size < 8:
        return [(length, width)]
    places = sorted(draw.sample(range(2, size - 1), draw.randint(1, 2)))
    sizes = [b - a for a, b in zip([0, *places], [*places, size], strict=True)]
    pieces = []
    for one in sizes:
        rest = (length, one) if rip else (one, width)
        pieces += apart(draw, *rest, stages - 1, not rip)
    return pieces


@pytest.mark.parametrize("seed", range(6))
def test_sheets_cut_apart_go_back_together(seed):
    """Three whole sheets cut apart in two stages are planned back into three sheets, and proved."""
    draw = random.Random(seed)
    pieces = Counter(x for _ in range(3) for x in apart(draw, 60, 40, 2, draw.random() < 0.5))
    parts = tuple(Part(f"{x}x{w}", "m", x, w, n) for (x, w), n in sorted(pieces.items()))

    made = plan(small([(60, 40, 1)]), parts, 0)

    assert (made.outcome.cost, made.outcome.proved) == (3, True)


@pytest.mark.parametrize("seed", range(3))
def test_no_bound_denies_the_sheets_that_were_cut_apart(seed):
    """Eight sheets of two prices, cut apart in three stages with a kerf: the bound is at most their cost."""
    draw = random.Random(seed)
    stocks = small([(60, 40, 9), (80, 40, 13)])
    bought = [draw.choice(stocks) for _ in range(8)]
    pieces = Counter(
        x for s in bought for x in apart(draw, s.length + 1, s.width + 1, 3, draw.random() < 0.5)
    )
    # What is no wider than the kerf is dust.
    parts = tuple(
        Part(f"{x}x{w}", "m", x - 1, w - 1, n) for (x, w), n in sorted(pieces.items()) if min(x, w) > 1
    )

    made = plan_sheets("m", stocks, parts, Saw(sheet=1), Clock(4))

    known = sum(s.price for s in bought)
    assert made.outcome.bound <= known
    assert not made.outcome.proved or made.outcome.cost <= known


def test_a_board_ripped_in_half_gives_two_stops():
    """Common practice, no source: a 2x4 ripped in half with a 1/8 in kerf gives two 1-11/16 in stops."""
    stop = Part("stop", "2x4", 80 * INCH, 27 * INCH // 16, 2)

    made = plan(BOARDS, (stop,))

    assert (made.outcome.cost, made.outcome.proved) == (400, True)
    assert [c.tight for c in made.cuts] == [True]


def test_four_stops_of_a_door_take_two_boards():
    """Common practice, no source: a 3 x 7 ft opening with stops on four sides takes two 8 ft 2x4s."""
    legs = Part("leg", "2x4", 84 * INCH, 27 * INCH // 16, 2)
    heads = Part("head", "2x4", 36 * INCH, 27 * INCH // 16, 2)

    made = plan(BOARDS[:1], (legs, heads))

    assert (made.outcome.cost, made.outcome.proved) == (800, True)


def test_full_width_parts_and_ripped_parts_share_a_board():
    """A 10 ft board gives two 5 ft pieces less a kerf: one whole, one ripped into two strips."""
    parts = (Part("whole", "2x4", 59 * INCH), Part("strip", "2x4", 59 * INCH, 27 * INCH // 16, 2))

    made = plan(BOARDS, parts)

    assert made.outcome.cost == 520
    assert {p.width for c in made.cuts for p in c.pieces} == {7 * INCH // 2, 27 * INCH // 16}


def test_grain_is_kept_unless_a_part_may_turn():
    """A part 40 in along the grain and 60 in across fits a 48 in wide sheet only if it may turn."""
    part = Part("panel", "ply", 40 * INCH, 60 * INCH)
    with pytest.raises(NoPlan, match="panel"):
        plan(SHEETS, (part,))

    made = plan(SHEETS[:1], (replace(part, may_turn=True),))
    assert made.outcome.cost == 2840
    assert made.cuts[0].pieces[0].turned


def test_a_part_too_large_is_named_with_its_excess():
    """The sentence names the part, by how much it is too long, and the stock that comes nearest."""
    with pytest.raises(NoPlan, match=r"skin \(ply\) is 1-1/2 in too long for ply 4x10"):
        plan(SHEETS, (Part("skin", "ply", 243 * INCH // 2, 10 * INCH),))


def test_too_little_stock_is_said():
    """Three sheets' worth from a yard that has two is refused."""
    stocks = tuple(replace(s, available=2) for s in SHEETS[:1])
    with pytest.raises(NoPlan, match="too little"):
        plan(stocks, (Part("skin", "ply", 90 * INCH, 40 * INCH, 3),))


def test_limited_offcuts_are_used_first_when_cheap():
    """An offcut at no value takes the part that fits it; the rest comes from the yard."""
    rack = Stock("rack 1", "ply", "sheet", 50 * INCH, 30 * INCH, 0, 1, from_rack=True)
    parts = (Part("big", "ply", 90 * INCH, 40 * INCH, 1), Part("little", "ply", 48 * INCH, 28 * INCH, 1))

    made = plan((*SHEETS, rack), parts)

    assert (made.outcome.cost, made.outcome.proved) == (2840, True)
    assert {c.stock for c in made.cuts} == {"ply 4x8", "rack 1"}


def test_without_a_price_the_fewest_pieces_are_sought():
    """Unpriced: one long sheet instead of two short ones, cost counted in pieces."""
    stocks = tuple(replace(s, price=None) for s in SHEETS)

    made = plan(stocks, (Part("half", "ply", 59 * INCH, 40 * INCH, 2),))

    assert (made.outcome.cost, made.outcome.proved) == (1, True)


def test_packs_are_bought_whole():
    """Three sheets wanted, packs of two at 50.00: two packs."""
    stocks = (replace(SHEETS[0], price=5000, pack=2),)

    made = plan(stocks, (Part("skin", "ply", 90 * INCH, 40 * INCH, 3),))

    assert (made.outcome.cost, made.outcome.bound) == (10000, 10000)


def test_no_sheet_is_tight_where_that_costs_nothing():
    """Strips of 12 and 20 in: four 12s fill a 48-1/2 in sheet to 1/8 in, yet 2 and 1 a sheet cost no more."""
    wide = (replace(SHEETS[0], width=97 * INCH // 2),)
    parts = (Part("a", "ply", 94 * INCH, 12 * INCH, 4), Part("b", "ply", 94 * INCH, 20 * INCH, 2))

    made = plan(wide, parts)

    assert made.outcome.cost == 2 * 2840
    assert not any(c.tight for c in made.cuts)


def test_alike_sheets_are_cut_alike():
    """Six door skins of one kind on six sheets are one cut, repeated six times."""
    made = plan(SHEETS, (Part("skin", "ply", 159 * INCH // 2, 71 * INCH // 2, 6),))

    assert [(c.repeat, c.stock) for c in made.cuts] == [(6, "ply 4x8")]


def test_what_is_needed_first_is_cut_first():
    """The cut that holds the part needed first comes first."""
    parts = (
        Part("late", "ply", 90 * INCH, 40 * INCH, 1, needed=2),
        Part("early", "ply", 90 * INCH, 30 * INCH, 1, needed=1),
    )

    made = plan(SHEETS[:1], parts)

    assert [c.pieces[0].label for c in made.cuts] == ["early", "late"]


def test_the_same_question_gives_the_same_cuts():
    """Asked twice, a mixed job gives equal plans, piece for piece."""
    draw = random.Random(3)
    parts = tuple(
        Part(f"P{n}", "ply", draw.randint(20, 60) * INCH, draw.randint(10, 40) * INCH, draw.randint(1, 4))
        for n in range(6)
    )

    assert plan(SHEETS, parts).cuts == plan(SHEETS, parts).cuts


@pytest.mark.parametrize("seed", range(4))
def test_a_workshop_job_is_proved(seed):
    """Some 25 parts of six sizes from three sheet sizes: proved with two witnesses, and the audit agrees."""
    draw = random.Random(seed)
    parts = tuple(
        Part(
            f"P{n}",
            "ply",
            draw.randint(20, 120) * INCH // 2,
            draw.randint(20, 90) * INCH // 2,
            draw.randint(2, 6),
            draw.random() < 0.5,
        )
        for n in range(6)
    )
    problem = Problem(SHEETS, parts=parts)

    made = cheapest_plan(problem, Clock(60))

    assert made.proved
    assert all(len(o.witnesses) == 2 for o in made.outcomes)
    assert not audit_plan(problem, made)


@pytest.mark.parametrize("seconds", [0.0, 0.02, 0.3])
def test_a_plan_in_a_hurry_holds_everything(seconds):
    """However short the time: every part is cut, the bound holds, nothing unproved is claimed."""
    draw = random.Random(5)
    parts = tuple(
        Part(f"P{n}", "ply", draw.randint(20, 190) * INCH // 2, draw.randint(20, 90) * INCH // 2, 6)
        for n in range(20)
    )

    made = plan_sheets("ply", SHEETS, parts, Saw(), Clock(seconds))

    held = Counter()
    for cut in made.cuts:
        for piece in cut.pieces:
            held[piece.label] += cut.repeat
    assert held == {p.label: 6 for p in parts}
    assert made.outcome.bound <= made.outcome.cost
    assert made.outcome.proved == (len(made.outcome.witnesses) == 2)


def test_of_equal_money_no_cut_is_tight():
    """Six strips on two sheets: four on one leave 1/8 in, three and three leave room, at the same money."""
    made = plan((replace(SHEETS[0], width=97 * INCH // 2),), (Part("a", "ply", 94 * INCH, 12 * INCH, 6),))

    assert not any(c.tight for c in made.cuts)
    assert dict(made.outcome.levels)["slack"] == "proved"


def test_where_a_cut_must_be_tight_that_is_settled():
    """A part that leaves 1/8 in of the only sheet: tight, and no looser plan is claimed."""
    made = plan(SHEETS[:1], (Part("a", "ply", 767 * INCH // 8, 40 * INCH),))

    assert [c.tight for c in made.cuts] == [True]
    assert dict(made.outcome.levels)["slack"] == "best found"


def test_of_equal_money_the_fewest_sheets_are_bought():
    """Two parts from two sheets at 10.00 or from one of twice the width at 20.00: one sheet."""
    stocks = (
        Stock("narrow", "ply", "sheet", 96 * INCH, 48 * INCH, 1000),
        Stock("wide", "ply", "sheet", 96 * INCH, 96 * INCH, 2000),
    )

    made = plan(stocks, (Part("a", "ply", 90 * INCH, 40 * INCH, 2),))

    assert [(c.stock, c.repeat) for c in made.cuts] == [("wide", 1)]
    assert dict(made.outcome.levels)["pieces"] == "proved"


def test_of_equal_money_alike_sheets_save_set_ups():
    """Two wide and two narrow strips on two sheets: each sheet takes one of both, so both are cut alike."""
    parts = (Part("wide", "ply", 90 * INCH, 22 * INCH, 2), Part("narrow", "ply", 90 * INCH, 18 * INCH, 2))

    made = plan(SHEETS[:1], parts)

    assert [c.repeat for c in made.cuts] == [2]
    assert dict(made.outcome.levels)["set-ups"] == "proved"


def test_of_equal_money_and_set_ups_the_largest_leftover_is_kept():
    """Strips of 20, 18, 12 and 8 in on two sheets: all but the 12 on one leave 36 in of the other."""
    widths = (20, 18, 12, 8)
    parts = tuple(Part(f"{w}", "ply", 90 * INCH, w * INCH) for w in widths)

    made = plan(SHEETS[:1], parts)

    held = sorted(tuple(sorted(int(p.label) for p in c.pieces)) for c in made.cuts)
    assert held == [(8, 18, 20), (12,)]
