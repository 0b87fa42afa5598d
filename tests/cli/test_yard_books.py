"""Several price books as one: each thing keeps its yard, and what can't be compared is refused."""

from __future__ import annotations

import pytest

from cli.yard_books import read_yards
from optimizer.errors import InputError
from takeoff.yard_job import YardTable

HEAD = "key,kind,size,length,price,rack\n"
BOARD = "2x4,board,8 ft,8 ft,{},\n"


@pytest.fixture
def read(tmp_path):
    """Give a function that writes books, named by their yards, and reads them as one."""

    def reading(**texts):
        for name, text in texts.items():
            (tmp_path / f"{name}.csv").write_text(text, encoding="utf-8")
        yards = [YardTable(name=name, prices=f"{name}.csv") for name in texts]
        return read_yards(yards, lambda name: str(tmp_path / name), lambda number: f"yard {number}")

    return reading


def test_things_keep_their_yard(read):
    """What both sell bears the yard in its name, what one of them sells does not; the rack is no yard."""
    text = HEAD + BOARD.format(5) + "nail,each,box,,4,\n2x4,board,rest,5 ft,1,yes\n"
    book = read(near="# Near.\n" + text, far="# Far.\n" + HEAD + BOARD.format("4.50"))

    assert [(item.key, item.yard, item.price) for item in book.book.items] == [
        ("2x4 8 ft (near)", "near", 500),
        ("nail box", "near", 400),
        ("2x4 rest", "", 100),
        ("2x4 8 ft (far)", "far", 450),
    ]
    assert (book.remark, book.book.source) == ("Near. Far.", "near.csv, far.csv")


def test_one_yard_is_named_in_no_key(read):
    """With one yard there is nothing to tell apart, and a price may be missing."""
    (item,) = read(near=HEAD + BOARD.format("")).book.items

    assert (item.key, item.yard, item.price) == ("2x4 8 ft", "near", None)


@pytest.mark.parametrize(
    ("near", "far", "told"),
    [
        (BOARD.format(5), BOARD.format(""), "far.csv: '2x4 8 ft' has no price; yards can be compared only"),
        (
            BOARD.format(5),
            "2x4,stick,8 ft,8 ft,5,\n",
            "far.csv: '2x4' is a stick here and a board in near.csv",
        ),
        (BOARD.format("$5"), BOARD.format("€5"), r"prices are in \$ and €; keep to one currency"),
        (
            BOARD.format(5) + "2x4,board,rest,5 ft,1,yes\n",
            BOARD.format(5) + "2x4,board,rest,5 ft,1,yes\n",
            "far.csv: the offcut '2x4 rest' is in another book, too",
        ),
        (BOARD.format(5), BOARD.format("cheap"), "far.csv, line 2, price: 'cheap' is not an amount"),
    ],
)
def test_what_can_t_be_compared_is_refused(read, near, far, told):
    """One sentence that names the book and the line or key."""
    with pytest.raises(InputError, match=told):
        read(near=HEAD + near, far=HEAD + far)


def test_a_missing_book_names_the_place_in_the_job(read, tmp_path):
    """The yard whose book can't be read is named by its place in the job."""
    yards = [YardTable(name="near", prices="none.csv")]
    with pytest.raises(InputError, match=r"yard 1: the price book .*none.csv: there is no such file"):
        read_yards(yards, lambda name: str(tmp_path / name), lambda number: f"yard {number}")
