"""The bill: sums, tax, spares, and what has to be carried, each small enough to check by hand."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from cli.bill import add_up
from optimizer.plan import Bought, Course, Cut, CutPiece, LaidPiece, Plan, Trip
from takeoff.book import Book, Item

BOOK = Book(
    (
        Item("osb", "4x8", "sheet", 96, 48, weight=20_000, price=1435, returnable=True),
        Item("2x4", "16 ft", "board", 192, weight=8_000, price=920),
        Item("seal", "17 ft", "roll", 204, weight=90, price=525),
        Item("nail", "box", "each", weight=400, price=460, pack=100, returnable=True),
        Item("hinge", "", "each", price=None),
    )
)


def bought(stock, count, needed, price, spare=0):
    cost = None if price is None else count * price
    return Bought(stock, count, needed, price, cost, spare=spare)


def plan(*lines, cut=(), lay=()):
    return Plan(lines, cut, lay, (), (), None, None, 0)


def test_sums_and_tax():
    """3 x 14.35 + 2 x 9.20 = 61.45; 8.25 % of that is 5.069625, so 5.07; together 66.52."""
    bill = add_up(
        plan(bought("osb 4x8", 3, 2, 1435, 1), bought("2x4 16 ft", 2, 2, 920)), BOOK, Decimal("8.250")
    )

    assert (bill.subtotal, bill.tax, bill.total, bill.tax_percent) == (6145, 507, 6652, "8.25")


@pytest.mark.parametrize(("spares", "told"), [(2, ()), (1, (("osb", 1, 2),)), (0, (("osb", 0, 2),))])
def test_spares_that_the_yard_does_not_have_are_named(spares, told):
    """Of two spares asked for, those the yard has are bought, and those it lacks are told."""
    bill = add_up(plan(bought("osb 4x8", 2 + spares, 2, 1435, spares)), BOOK, None, (("osb", 2),))

    assert bill.short_of_spares == told


def test_a_material_that_is_not_bought_needs_no_spare():
    """Where no panel is cut there is nothing to spoil."""
    assert add_up(plan(bought("nail box", 1, 80, 460)), BOOK, None, (("osb", 2),)).short_of_spares == ()


@pytest.mark.parametrize(("percent", "tax"), [("5", 23), ("0", 0), ("2.5", 12), ("10", 46), ("100", 460)])
def test_tax_rounds_half_up(percent, tax):
    """Of 4.60: 5 % is 0.23; 2.5 % is 0.115, rounded up to 0.12."""
    assert add_up(plan(bought("nail box", 1, 80, 460)), BOOK, Decimal(percent)).tax == tax


def test_no_tax_key_no_tax():
    """Where the job names no tax there is none, and the total is the subtotal."""
    bill = add_up(plan(bought("nail box", 1, 80, 460)), BOOK, None)

    assert (bill.tax_percent, bill.tax, bill.total) == ("", 0, 460)


def test_a_spare_has_a_line_of_its_own():
    """Two sheets and a spare are two lines, and their costs add up to three sheets."""
    lines = add_up(plan(bought("osb 4x8", 3, 2, 1435, 1)), BOOK, None).lines

    assert [(line.count, line.spare, line.cost) for line in lines] == [(2, False, 2870), (1, True, 1435)]


def test_one_missing_price_leaves_the_sums_open():
    """No total is made up where something has no price; the item is named."""
    bill = add_up(plan(bought("osb 4x8", 1, 1, 1435), bought("hinge", 3, 3, None)), BOOK, Decimal(5))

    assert (bill.subtotal, bill.tax, bill.total, bill.unpriced) == (None, None, None, ("hinge",))


def test_weight():
    """2 x 20 kg + 2 boxes of 400 g = 40.8 kg; what the book can't weigh is named."""
    lines = (bought("osb 4x8", 2, 2, 1435), bought("nail box", 2, 150, 460), bought("hinge", 3, 3, None))
    bill = add_up(plan(*lines), BOOK, None)

    assert (bill.weight, bill.unweighed) == (40_800, ("hinge",))


def test_a_roll_is_not_long():
    """A 17 ft roll fits in a pocket; the longest thing to carry is the 16 ft board."""
    bill = add_up(plan(bought("seal 17 ft", 1, 1, 525), bought("2x4 16 ft", 1, 1, 920)), BOOK, None)

    assert bill.longest == ("2x4 16 ft", 192)


def test_what_may_go_back_unopened():
    """One spare sheet, and one box of three when 150 nails take two; boards aren't taken back."""
    lines = (
        bought("osb 4x8", 3, 2, 1435, 1),
        bought("nail box", 3, 150, 460),
        bought("2x4 16 ft", 2, 1, 920),
    )

    assert add_up(plan(*lines), BOOK, None).unopened == (("osb 4x8", 1), ("nail box", 1))


def test_the_heaviest_piece_is_one_that_is_laid():
    """Half of a 20 kg sheet weighs 10 kg; the whole sheet beside it is no roof piece."""
    cuts = (
        Cut("S1", "osb 4x8", 96, 48, 0, (CutPiece("A1.1", 0, 0, 48, 48),), ()),
        Cut("S2", "osb 4x8", 96, 48, 0, (CutPiece("door", 0, 0, 96, 48),), ()),
    )
    lay = (Course("half", "half", 1, 48, 48, 0, (), (), (LaidPiece("A1.1", 0, 48),)),)

    assert add_up(plan(cut=cuts, lay=lay), BOOK, None).heaviest == ("A1.1", "osb 4x8", 10_000)


BREAK = Book((Item("hinge", "", "each", price=610, breaks=((10, 480),), returnable=True),))


def test_a_price_break_is_told():
    """Eight hinges at 6.10 are 48.80; ten at 4.80 are 48.00: two more, and 80 cents less."""
    (line,) = add_up(plan(bought("hinge", 10, 8, 480)), BREAK, None).lines

    assert (line.count, line.more, line.least, line.dearer, line.cost) == (10, 2, 10, 80, 4800)
    # Sent back, the eight would cost 6.10 each again.
    assert add_up(plan(bought("hinge", 10, 8, 480)), BREAK, None).unopened == ()


def test_a_spare_that_reaches_the_break_is_still_a_spare():
    """Nine are needed and one is spare: nothing is bought for the break's sake, and the spare may go back."""
    bill = add_up(plan(bought("hinge", 10, 9, 480, 1)), BREAK, None)

    assert [(line.count, line.spare, line.more) for line in bill.lines] == [(9, False, 0), (1, True, 0)]
    assert bill.unopened == (("hinge", 1),)


def test_the_rack_is_not_paid_nor_carried():
    """A stated value is no part of subtotal, tax and weight."""
    book = Book((*BOOK.items, Item("2x4", "rest", "board", 300, weight=5_000, price=200, from_rack=True)))
    rest = Bought("2x4 rest", 1, 1, 200, 200, from_rack=True)
    bill = add_up(plan(rest, bought("2x4 16 ft", 2, 2, 920)), book, Decimal(10))

    assert (bill.subtotal, bill.tax, bill.total, bill.rack_value) == (1840, 184, 2024, 200)
    assert (bill.weight, bill.longest) == (16_000, ("2x4 16 ft", 192))


def test_trips_are_added_after_the_tax():
    """18.40 and 10 % are 20.24; two trips of 5.00 make it 30.24. Lines follow the trips, the rack last."""
    items = (
        Item("2x4", "16 ft", "board", 192, price=920, yard="B"),
        Item("nail", "box", "each", price=460, pack=100, yard="A"),
        Item("2x4", "rest", "board", 60, from_rack=True),
    )
    lines = (
        Bought("2x4 rest", 1, 1, 0, 0, from_rack=True),
        bought("2x4 16 ft", 1, 1, 920),
        bought("nail box", 2, 150, 460),
    )
    trips = (Trip("A", 1, 500, 0), Trip("B", 1, 500, 0))
    bill = add_up(replace(plan(*lines), trips=trips), Book(items), Decimal(10))

    assert (bill.subtotal, bill.tax, bill.total) == (1840, 184, 3024)
    assert [(line.item, line.yard) for line in bill.lines] == [
        ("nail box", "A"),
        ("2x4 16 ft", "B"),
        ("2x4 rest", ""),
    ]
