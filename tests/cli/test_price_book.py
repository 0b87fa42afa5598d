"""The price book: what spreadsheets write is read, what is broken is named by line and column."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from cli.files import csv_text
from cli.price_book import COLUMNS, parse_price_book, row_of
from cli.starter import starter_prices
from optimizer.errors import InputError
from optimizer.lengths import INCH, parse_length
from takeoff.book import Item

HEADER = "key,kind,size,length,width,price,pack,available,returnable,span,weight\n"
SHEET = "osb,sheet,4x8,95-7/8 in,47-7/8 in,14.35,,,,24/16,45 lb\n"


def test_reads_a_row():
    """Every cell of a row lands in its place: a pound is 453.59237 g, so 45 lb are 20,412 g."""
    (item,) = parse_price_book(HEADER + SHEET, "book.csv").book.items

    assert (item.key, item.kind, item.price, item.pack, item.available) == ("osb 4x8", "sheet", 1435, 1, None)
    assert (item.length, item.width) == (parse_length("95-7/8 in"), parse_length("47-7/8 in"))
    assert (item.span, item.weight, item.returnable) == ((24, 16), 20412, False)


def test_reads_semicolons_and_decimal_commas():
    """A table with semicolons writes 14,35 for 14.35 and 1.014,35 for a thousand and fourteen."""
    text = (
        "key;kind;size;length;width;price\nosb;sheet;4x8;2440 mm;1220 mm;14,35\nosb;sheet;xl;3 m;2 m;1.014,35"
    )

    assert [item.price for item in parse_price_book(text, "book.csv").book.items] == [1435, 101435]


def test_reads_tabs_blank_lines_and_trailing_cells():
    """Tabs part cells too; blank lines, empty trailing cells and remarks are passed over."""
    text = "key\tkind\tsize\t\t\n\n2x4\tboard\t8 ft\t\t\n# gone\t\t\n\t\t\n2x4\tboard\t10 ft\n"

    assert [item.length for item in parse_price_book(text, "b.csv").book.items] == [96 * INCH, 120 * INCH]


def test_a_remark_above_the_header_speaks_for_the_book():
    """What stands above the header is what the book says of itself, quoted by a spreadsheet or not."""
    assert (
        parse_price_book("# Invented, all of it\n" + HEADER + SHEET, "b.csv").remark == "Invented, all of it"
    )
    assert parse_price_book('"# Made up, I say",,\n' + HEADER + SHEET, "b.csv").remark == "Made up, I say"


def test_the_size_of_a_board_is_its_length():
    """A board whose length is left out takes it from its size."""
    (item,) = parse_price_book("key,kind,size\n2x4,board,12 ft\n", "b.csv").book.items

    assert item.length == 144 * INCH


def test_reads_price_breaks():
    """From ten on each costs 13.60, from 25 on 12.95; with semicolons a comma parts the cents."""
    text = "key,kind,price,breaks\nosb,each,14.35,10=13.60 25=12.95\n"
    (item,) = parse_price_book(text, "b.csv").book.items
    (other,) = parse_price_book("key;kind;price;breaks\nosb;each;14,35;10=13,60\n", "b.csv").book.items

    assert item.breaks == item.stock().breaks == ((10, 1360), (25, 1295))
    assert other.breaks == ((10, 1360),)


def test_an_offcut_may_bear_the_name_of_what_it_was_cut_from():
    """A line of the rack is a stock of its own, there once, and worth nothing where nothing is stated."""
    text = "key,kind,size,length,price,rack\n2x4,board,8 ft,8 ft,4,\n2x4,board,8 ft,6 ft,,yes\n"
    new, rest = parse_price_book(text, "b.csv").book.stocks()

    assert (new.key, new.from_rack, new.available) == ("2x4 8 ft", False, None)
    assert (rest.key, rest.from_rack, rest.available, rest.price) == ("2x4 8 ft", True, 1, 0)


def test_a_currency_sign_names_the_currency():
    """A sign beside the prices is read past, and kept."""
    book = parse_price_book("key,kind,size,price\nnail,each,box,$4.60\n", "b.csv").book

    assert (book.currency, book.items[0].price) == ("$", 460)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("key,kind,size,lenght\n", "line 1: there is no column 'lenght'; did you mean 'length'"),
        ("key,kind,key\n", "line 1: the column 'key' is there twice"),
        ("key,size\n2x4,8 ft\n", "line 1: the column 'kind' is missing"),
        ("key,kind\n", "no items"),
        ("# just this\n", "no header"),
        (
            HEADER + SHEET + "osb,plank,4x9\n",
            "line 3, kind: 'plank' is not a kind; write one of sheet, board",
        ),
        (HEADER + SHEET + SHEET, "line 3: 'osb 4x8' is listed already on line 2"),
        (HEADER + SHEET.replace("45 lb", "45"), "line 2, weight: '45' is not a weight"),
        (HEADER + SHEET.replace("24/16", "24"), "line 2, span: '24' is not a span rating"),
        (HEADER + SHEET.replace("14.35", "cheap"), "line 2, price: 'cheap' is not an amount"),
        (HEADER + SHEET.replace("14.35", "-3"), "line 2, price: '-3' is not an amount"),
        (HEADER + SHEET.replace("14.35", "1.005"), "line 2, price: '1.005' is not an amount"),
        (HEADER + SHEET.replace("47-7/8 in", ""), "line 2, width: a sheet needs its width"),
        (HEADER + SHEET.replace("95-7/8 in", ""), "line 2, length: a sheet needs its length"),
        (HEADER + SHEET.replace("95-7/8 in", "8 cubits"), "line 2, length: '8 cubits' is not a length"),
        (HEADER + SHEET.replace("95-7/8 in", "-8 ft"), "line 2, length: '-8 ft' is not more than 0"),
        (HEADER + SHEET.replace("95-7/8 in", "0 in"), "line 2, length: '0 in' is not more than 0"),
        (
            HEADER + SHEET + "osb,sheet,4x9,48 in,108 in\n",
            "line 3, length: 'osb 4x9' is shorter (48 in) than it is wide (108 in); length is the long side",
        ),
        ("key,kind,size,pack\nnail,each,box,0\n", "line 2, pack: '0' is not a number of pieces"),
        ("key,kind,size,pack\nnail,each,box,2.5\n", "line 2, pack: '2.5' is not a number of pieces"),
        ("key,kind,size,available\nnail,each,box,many\n", "line 2, available: 'many' is not a number"),
        ("key,kind,size,returnable\nnail,each,box,perhaps\n", "line 2, returnable: 'perhaps' is neither"),
        ("key,kind\n,each\n", "line 2, key: the key is empty"),
        ("key,kind\nnail,each,extra\n", "line 2: there are 3 cells under 2 columns"),
        ('key,kind\n"nail,each\n', "line 2: the line is broken"),
        (HEADER + SHEET + "osb,board,8 ft\n", "line 3, kind: 'osb' is a board here and a sheet on line 2"),
        ("key,kind,size,price\na,each,x,$1\nb,each,x,€1\n", "one currency"),
        ("key,kind,price,breaks\na,each,5,ten=4\n", "line 2, breaks: 'ten=4' is not a price break"),
        ("key,kind,price,breaks\na,each,5,10:4\n", "line 2, breaks: '10:4' is not a price break"),
        ("key,kind,price,breaks\na,each,5,10=0\n", "line 2, breaks: '10=0' is not a price break"),
        ("key,kind,price,breaks\na,each,5,10=\n", "line 2, breaks: '10=' is not a price break"),
        ("key,kind,price,breaks\na,each,5,10=cheap\n", "line 2, breaks: 'cheap' is not an amount"),
        (
            "key,kind,price,breaks\na,each,5,10=5\n",
            "must rise in number from 2 up and fall in price below 5.00",
        ),
        ("key,kind,price,breaks\na,each,5,1=4\n", "must rise in number"),
        ("key,kind,price,breaks\na,each,5,20=4 10=3\n", "must rise in number"),
        ("key,kind,price,breaks\na,each,,10=4\n", "without a price there are no price breaks"),
        ("key,kind,price,breaks,rack\na,each,5,10=4,yes\n", "in the rack has no price breaks"),
        ("key,kind,price,rack\na,each,5,maybe\n", "line 2, rack: 'maybe' is neither yes nor no"),
        ("key,kind,size,rack\na,each,x,yes\na,each,x,yes\n", "is listed already on line 2"),
    ],
)
def test_names_what_is_broken(text, says):
    """A broken row is one sentence that names the line, the column, the value and what would be right."""
    with pytest.raises(InputError) as caught:
        parse_price_book(text, "book.csv")

    assert says in str(caught.value)
    assert str(caught.value).startswith("book.csv")


@given(
    st.builds(
        Item,
        material=st.sampled_from(["osb-7/16", "2x4", "nail, long"]),
        size=st.sampled_from(["", "4x8", 'the "long" one']),
        kind=st.just("sheet"),
        length=st.integers(1, 10**8),
        width=st.integers(1, 10**8),
        thickness=st.integers(0, 10**5),
        span=st.none() | st.tuples(st.integers(0, 60), st.integers(0, 60)),
        weight=st.none() | st.integers(0, 10**6),
        price=st.none() | st.integers(0, 10**7),
        pack=st.integers(1, 1000),
        available=st.none() | st.integers(0, 1000),
        returnable=st.booleans(),
        note=st.sampled_from(["", "a, b", "semi; colon"]),
        from_rack=st.booleans(),
    )
)
def test_a_written_row_reads_back_the_same(item):
    """Writing an item and reading it again changes nothing, to the last base unit and cent."""
    assume(item.length >= item.width)  # a sheet's length is its long side
    if item.price is not None and item.price > 2 and not item.from_rack:
        item = replace(item, breaks=((10, item.price - 1), (25, item.price - 2)))
    text = csv_text(COLUMNS, [row_of(item)])

    assert parse_price_book(text, "book.csv").book.items == (item,)


def test_the_starter_price_book_says_its_prices_are_invented():
    """The example's book is whole, priced throughout, and says that its prices are made up."""
    found = parse_price_book(starter_prices(), "prices.csv")

    assert "invented" in found.remark
    assert all(item.price is not None for item in found.book.items)


def test_a_box_of_the_starter_price_book_weighs_what_it_says():
    """A price buys a pack and a weight is that of the pack, so a 1 lb box weighs 1 lb."""
    boxes = {
        item.size: item.weight
        for item in parse_price_book(starter_prices(), "prices.csv").book.items
        if item.size.endswith("lb box")
    }

    assert boxes == {"1 lb box": 454, "5 lb box": 2268}
