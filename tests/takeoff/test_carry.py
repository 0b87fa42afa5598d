"""What can't be carried: left out, told, and named where it leaves nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from optimizer.errors import InputError
from optimizer.lengths import FOOT, INCH
from optimizer.words import Part
from takeoff.book import Book, Item
from takeoff.carry import carried, carry_checks
from takeoff.collect import take_off
from takeoff.job import parse_job
from takeoff.needs import Needed
from takeoff.sizes import standard_book

BOOK = Book(
    (
        Item("2x4", "8 ft", "board", 8 * FOOT, 7 * INCH // 2, weight=4000),
        Item("2x4", "16 ft", "board", 16 * FOOT, 7 * INCH // 2, weight=8000),
        Item("2x4", "old", "board", 20 * FOOT, 7 * INCH // 2, from_rack=True),
        Item("ply", "4x8", "sheet", 8 * FOOT, 4 * FOOT, weight=25_000),
        Item("ply", "2x8", "sheet", 8 * FOOT, 2 * FOOT),
        Item("seal", "17 ft", "roll", 17 * FOOT),
        Item("nail", "box", "each", weight=30_000),
    )
)
DATA = {"length": "16 ft", "width": "10 ft", "pitch": 6}


def job(**carry):
    return parse_job({**DATA, "carry": carry}, "job.toml")


def left_out(**carry):
    return [item.key for item in carried(BOOK, job(**carry)).left_out]


def test_what_is_too_long_is_left_out():
    """A 16 ft board is too long for 12 ft; a roll is never long, and the rack is at home already."""
    book = carried(BOOK, job(longest="12 ft"))

    assert [item.key for item in book.left_out] == ["2x4 16 ft"]
    assert [item.key for item in book.items if item.material == "2x4"] == ["2x4 8 ft", "2x4 old"]


def test_what_just_fits_is_carried():
    """The limit itself is no longer than the limit."""
    assert left_out(longest="16 ft", widest="48 in") == []


def test_what_is_too_wide_or_too_heavy_is_left_out():
    """A 4 ft sheet for 30 in; a box of 30 kg and a sheet of 25 kg for trips of 20 kg."""
    assert left_out(widest="30 in") == ["ply 4x8"]
    assert left_out(load="20 kg") == ["ply 4x8", "nail box"]
    assert left_out(load="25 kg") == ["nail box"]


def test_check_names_the_sizes_and_the_reason_once_a_material():
    """Only what the job needs is told, whatever else is left out."""
    asked = job(longest="6 ft", widest="30 in")
    needs = (Needed(parts=(Part("leg", "2x4", 4 * FOOT), Part("arm", "2x4", 4 * FOOT))),)
    checks = list(carry_checks(asked, carried(BOOK, asked), needs))

    assert [(check.level, check.message) for check in checks] == [
        ("note", "2x4 8 ft, 16 ft can't be carried: longer than 6 ft.")
    ]


def test_a_metric_job_tells_millimetres():
    """On a metric tape the limit is in millimetres."""
    asked = parse_job({"length": "5 m", "width": "3 m", "pitch": 6, "carry": {"longest": "3 m"}}, "job.toml")
    needs = (Needed(parts=(Part("leg", "2x4", 4 * FOOT),)),)
    (check,) = carry_checks(asked, carried(BOOK, asked), needs)

    assert check.message == "2x4 16 ft can't be carried: longer than 3000 mm."


def test_a_material_that_can_t_be_carried_at_all_is_an_error():
    """Where every size is too long the sentence points to carry, and not to a missing line."""
    asked = job(longest="6 ft")
    with pytest.raises(InputError, match=r"no size of 'osb-7/16' can be carried; see \[carry\]"):
        take_off(asked, carried(standard_book(), asked))


def test_without_the_table_everything_can_be_carried():
    """No limit, nothing left out."""
    assert carried(BOOK, parse_job(DATA, "job.toml")) == BOOK


def test_the_rack_is_no_size_to_buy():
    """A trade asks for what can be bought; of a material that only the rack has, it gets that."""
    assert [item.size for item in BOOK.sizes("2x4")] == ["8 ft", "16 ft"]
    assert [item.size for item in BOOK.everything("2x4")] == ["8 ft", "16 ft", "old"]
    only = replace(BOOK, items=tuple(item for item in BOOK.items if item.from_rack))
    assert [item.size for item in only.sizes("2x4")] == ["old"]


@pytest.mark.parametrize(
    ("tables", "told"),
    [
        ({"carry": {"load": 800}}, "has no unit"),
        ({"carry": {"load": "0 lb"}}, "carries nothing"),
        ({"carry": {"load": "much"}}, "not a weight"),
        ({"carry": {"longest": "0 in"}}, "must be more than 0"),
        ({"yard": [{"name": "A", "prices": "a.csv", "trip": "a lot"}]}, "not an amount of money"),
        ({"yard": [{"name": "A", "prices": "a.csv", "trip": -2}]}, "not an amount of money"),
        ({"yard": [{"name": "A", "prices": "a.csv", "trip": True}]}, "amount of money"),
        ({"yard": [{"name": "A"}]}, "its price book"),
        ({"yard": [{"name": "A", "prices": "a.csv"}] * 2}, "two yards are named 'A'"),
        ({"yard": [{"name": str(n), "prices": "a.csv"} for n in range(6)]}, "5 at most"),
        ({"prices": "p.csv", "yard": [{"name": "A", "prices": "a.csv"}]}, "not both"),
    ],
)
def test_what_can_t_be_used_is_said(tables, told):
    """Every slip in these tables is named with what would be right."""
    with pytest.raises(InputError, match=told):
        parse_job({**DATA, **tables}, "job.toml")


def test_money_and_weights_are_read():
    """12.5 and "12.50" are 1250 cents; 800 lb are 362,874 g."""
    typed = [
        {"name": "A", "prices": "a.csv", "trip": 12.5},
        {"name": "B", "prices": "b.csv", "trip": "12.50"},
    ]
    read = parse_job({**DATA, "yard": typed, "carry": {"load": "800 lb"}}, "job.toml")

    assert [yard.trip for yard in read.yard] == [1250, 1250]
    assert read.carry.load == 362_874
