"""The bill: sums, tax, spares, and what has to be carried, each small enough to check by hand."""

from __future__ import annotations

from decimal import Decimal

import pytest

from cli.bill import add_up
from optimizer.plan import Bought, Course, Cut, CutPiece, LaidPiece, Plan
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
