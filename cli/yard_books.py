"""Several yards' price books as one."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import replace

from cli.price_book import PriceBook, read_price_book
from optimizer.errors import InputError
from optimizer.words import Kind
from takeoff.book import Book, Item
from takeoff.yard_job import YardTable

__all__ = ["read_yards"]


def read_yards(
    yards: Sequence[YardTable], path: Callable[[str], str], where: Callable[[int], str]
) -> PriceBook:
    """
    Read every yard's price book and put them together.

    Parameters
    ----------
    path
        Gives the path of a price book as the job names it.
    where
        Names the place in the job, for messages, of the yard of that number.

    Raises
    ------
    InputError
        If a book can't be read, or they can't be compared: a line without a price where there are several
        yards, two currencies, one key for things of two kinds.
    """
    books = []
    for number, yard in enumerate(yards, 1):
        try:
            books.append(read_price_book(path(yard.prices)))
        except InputError as error:
            if error.where != path(yard.prices):
                raise
            raise InputError(f"the price book {error.where}: {error.message}", where(number)) from None
    items = [
        replace(item, yard="" if item.from_rack else yard.name)
        for yard, read in zip(yards, books, strict=True)
        for item in read.book.items
    ]
    if len(yards) > 1:
        _check(yards, books)
    sold = Counter(item.key for item in items if not item.from_rack)
    named = tuple(replace(item, elsewhere=not item.from_rack and sold[item.key] > 1) for item in items)
    book = Book(
        named,
        next((read.book.currency for read in books if read.book.currency), ""),
        ", ".join(dict.fromkeys(read.book.source for read in books)),
    )
    return PriceBook(book, " ".join(dict.fromkeys(read.remark for read in books if read.remark)))


def _check(yards: Sequence[YardTable], books: Sequence[PriceBook]) -> None:
    kinds: dict[str, tuple[Kind, str]] = {}
    signs: dict[str, str] = {}
    racked: dict[str, Item] = {}
    for yard, read in zip(yards, books, strict=True):
        if read.book.currency:
            signs[read.book.currency] = yard.prices
        for item in read.book.items:
            kind, other = kinds.setdefault(item.material, (item.kind, yard.prices))
            if kind != item.kind:
                raise InputError(
                    f"{item.material!r} is a {item.kind} here and a {kind} in {other}; all sizes of one key "
                    "are of one kind",
                    yard.prices,
                )
            if item.price is None and not item.from_rack:
                raise InputError(
                    f"{item.key!r} has no price; yards can be compared only where every line has one",
                    yard.prices,
                )
            if item.from_rack and racked.setdefault(item.key, item) is not item:
                raise InputError(
                    f"the offcut {item.key!r} is in another book, too; list the rack in one of them",
                    yard.prices,
                )
    if len(signs) > 1:
        raise InputError(f"prices are in {' and '.join(signs)}; keep to one currency", yards[0].prices)
