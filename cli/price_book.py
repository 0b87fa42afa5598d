"""The price book: a CSV table that a spreadsheet user keeps, read as text and parsed cell by cell."""

from __future__ import annotations

import csv
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from difflib import get_close_matches
from itertools import pairwise
from pathlib import Path
from typing import TypeVar, get_args

from cli.files import read_text
from optimizer.errors import InputError
from optimizer.lengths import as_number, parse_length
from optimizer.money import format_cents, parse_cents
from optimizer.words import Kind
from takeoff.book import Book, Item
from takeoff.yard_job import parse_grams

__all__ = ["COLUMNS", "PriceBook", "parse_price_book", "read_price_book", "row_of"]

COLUMNS = (
    "key",
    "kind",
    "size",
    "length",
    "width",
    "thickness",
    "span",
    "weight",
    "price",
    "breaks",
    "pack",
    "available",
    "returnable",
    "rack",
    "note",
)
_REQUIRED = ("key", "kind")
_KINDS = get_args(Kind)
_SIGNS = "$€£"
_YES, _NO = ("yes", "y", "true", "1", "x"), ("", "no", "n", "false", "0")

T = TypeVar("T")


@dataclass(frozen=True, slots=True)
class PriceBook:
    """A book, with what its first comment lines say of it."""

    book: Book
    remark: str


def read_price_book(path: str, rack: bool = False) -> PriceBook:
    """
    Read a price book from a CSV file, or from standard input for `-`.

    Raises
    ------
    InputError
        If the file can't be read or a row is broken; names line and column.
    """
    return parse_price_book(read_text(path), "standard input" if path == "-" else path, rack=rack)


def parse_price_book(text: str, name: str, rack: bool = False) -> PriceBook:
    """
    Parse a price book: a header line, then one line for every size of every material.

    Cells are parted by commas, semicolons or tabs. Lines that start with `#` are remarks; those above the
    header are what the book says of itself.

    Raises
    ------
    InputError
        With the line and the column of what can't be read.
    """
    rows = list(_rows(text, name))
    remarks = []
    while rows and rows[0][1][0].startswith("#"):
        remarks.append(", ".join(cell for cell in rows.pop(0)[1] if cell).lstrip("# "))
    if not rows:
        raise InputError("the price book has no header line", name)
    header = _header(*rows.pop(0), name)
    items: dict[tuple[str, bool], tuple[Item, int]] = {}
    signs: set[str] = set()
    for line, cells in rows:
        if cells[0].startswith("#"):
            continue
        row = _Row(name, line, header, cells, rack)
        item = row.item()
        prices = row.text("price") + row.text("breaks")
        signs |= {character for character in prices if character in _SIGNS}
        known = items.get((item.key, item.from_rack))
        if known is not None:
            raise InputError(
                f"{item.key!r} is listed already on line {known[1]}; give each size one line",
                f"{name}, line {line}",
            )
        items[item.key, item.from_rack] = (item, line)
    if not items and not rack:
        raise InputError("the price book has a header but no items", name)
    if len(signs) > 1:
        raise InputError(f"prices are in {' and '.join(sorted(signs))}; keep to one currency", name)
    _one_kind_each(items.values(), name)
    currency = next(iter(signs), "")
    book = Book(tuple(item for item, _ in items.values()), currency, Path(name).name)
    return PriceBook(book, " ".join(remarks))


def _one_kind_each(items: Iterable[tuple[Item, int]], name: str) -> None:
    kinds: dict[str, tuple[Kind, int]] = {}
    for item, line in items:
        kind, first = kinds.setdefault(item.material, (item.kind, line))
        if kind != item.kind:
            raise InputError(
                f"{item.material!r} is a {item.kind} here and a {kind} on line {first}; all sizes of one key "
                "are of one kind",
                f"{name}, line {line}, kind",
            )


def _rows(text: str, name: str) -> Iterator[tuple[int, list[str]]]:
    """Give every line that isn't blank, with its number and stripped cells."""
    lines = text.splitlines(keepends=True)
    first = next((line for line in lines if line.strip() and not line.lstrip('"').startswith("#")), "")
    delimiter = max(",;\t", key=first.count)
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield reader.line_num, [cell.strip() for cell in cells]
    except csv.Error as error:
        raise InputError(
            f'the line is broken ({error}); a cell that holds quotes is written "like ""this"""',
            f"{name}, line {reader.line_num}",
        ) from None


def _header(line: int, cells: list[str], name: str) -> list[str]:
    header = [cell.lower() for cell in cells]
    while header and not header[-1]:
        header.pop()
    for cell in header:
        if cell not in COLUMNS:
            near = get_close_matches(cell, COLUMNS, n=1)
            hint = f"did you mean {near[0]!r}?" if near else f"the columns are {', '.join(COLUMNS)}"
            raise InputError(f"there is no column {cell!r}; {hint}", f"{name}, line {line}")
        if header.count(cell) > 1:
            raise InputError(f"the column {cell!r} is there twice", f"{name}, line {line}")
    for wanted in _REQUIRED:
        if wanted not in header:
            raise InputError(
                f"the column {wanted!r} is missing from the header; the columns are {', '.join(COLUMNS)}",
                f"{name}, line {line}",
            )
    return header


@dataclass(frozen=True, slots=True)
class _Row:
    """One line of the table, read cell by cell."""

    name: str
    line: int
    header: list[str]
    cells: list[str]
    rack: bool = False

    def item(self) -> Item:
        if any(self.cells[len(self.header) :]):
            raise InputError(
                f"there are {len(self.cells)} cells under {len(self.header)} columns; put a cell that holds "
                "the dividing mark in quotes",
                f"{self.name}, line {self.line}",
            )
        kind = self.read("kind", _kind)
        size = self.text("size")
        length = self.read("length", _length)
        if not length and size and kind in ("board", "stick", "roll"):
            length = self.read("size", _length)
        item = Item(
            material=self.read("key", _named),
            size=size,
            kind=kind,
            length=length,
            width=self.read("width", _length),
            thickness=self.read("thickness", _length),
            span=self.read("span", _span),
            weight=self.read("weight", _grams),
            price=self.read("price", _price),
            pack=self.read("pack", _pack),
            available=self.read("available", _available),
            returnable=self.read("returnable", _yes),
            note=self.text("note"),
            breaks=self.read("breaks", _breaks),
            from_rack=self.rack or self.read("rack", _yes),
        )
        self._check_breaks(item)
        if kind != "each" and not item.length:
            raise self.broken("length", f"a {kind} needs its length, like 8 ft or 2440 mm")
        if kind == "sheet" and not item.width:
            raise self.broken("width", "a sheet needs its width, like 47-7/8 in or 1220 mm")
        if kind == "sheet" and item.length < item.width and not item.from_rack:
            raise self.broken(
                "length",
                f"{item.key!r} is shorter ({self.text('length')}) than it is wide ({self.text('width')}); "
                "length is the long side, along the grain: swap the two",
            )
        return item

    def _check_breaks(self, item: Item) -> None:
        if not item.breaks:
            return
        if item.price is None or item.from_rack:
            what = "an offcut in the rack has" if item.from_rack else "without a price there are"
            raise self.broken("breaks", f"{what} no price breaks; leave the cell empty")
        for (fewer, dearer), (more, cheaper) in pairwise(((1, item.price), *item.breaks)):
            if more <= fewer or cheaper >= dearer:
                raise self.broken(
                    "breaks",
                    f"{self.text('breaks')!r} must rise in number from 2 up and fall in price below "
                    f"{format_cents(item.price)}, like 10=13.60 25=12.95",
                )

    def text(self, column: str) -> str:
        place = self.header.index(column) if column in self.header else len(self.cells)
        return self.cells[place] if place < len(self.cells) else ""

    def read(self, column: str, parse: Callable[[str], T]) -> T:
        try:
            return parse(self.text(column))
        except ValueError as error:
            raise self.broken(column, str(error)) from None

    def broken(self, column: str, message: str) -> InputError:
        return InputError(message, f"{self.name}, line {self.line}, {column}")


def _named(text: str) -> str:
    if not text:
        raise ValueError("the key is empty; write the material's name, like osb-7/16")
    return text


def _kind(text: str) -> Kind:
    for kind in _KINDS:
        if text.lower() == kind:
            found: Kind = kind
            return found
    raise ValueError(f"{text!r} is not a kind; write one of {', '.join(_KINDS)}")


def _length(text: str) -> int:
    length = parse_length(text) if text else 0
    if text and length <= 0:
        raise ValueError(f"{text!r} is not more than 0; leave the cell empty where there is no such size")
    return length


def _span(text: str) -> tuple[int, int] | None:
    found = re.fullmatch(r"(\d+)\s*/\s*(\d+)", text)
    if text and not found:
        raise ValueError(f"{text!r} is not a span rating; write it as on the panel's stamp, like 24/16")
    return (int(found[1]), int(found[2])) if found else None


def _grams(text: str) -> int | None:
    return parse_grams(text) if text else None


def _price(text: str) -> int | None:
    bare = text.strip(f"{_SIGNS} \u00a0")
    # A decimal comma: what spreadsheets write where they part cells by semicolons.
    comma = re.fullmatch(r"(\d+|\d{1,3}(?:\.\d{3})+),(\d{1,2})", bare)
    if comma:
        bare = f"{comma[1].replace('.', '')}.{comma[2]}"
    return parse_cents(bare) if text else None


def _breaks(text: str) -> tuple[tuple[int, int], ...]:
    """Read price breaks such as `10=13.60 25=12.95`: from so many packs on each costs so much."""
    breaks = []
    for entry in text.split():
        count, sign, price = entry.partition("=")
        cents = _price(price) if sign and re.fullmatch(r"[1-9]\d{0,8}", count) else None
        if not cents:
            raise ValueError(
                f"{entry!r} is not a price break; write from how many on each costs what, like 10=13.60"
            )
        breaks.append((int(count), cents))
    return tuple(breaks)


def _pack(text: str) -> int:
    if not re.fullmatch(r"\d*", text) or text.strip("0") == "" != text:
        raise ValueError(f"{text!r} is not a number of pieces; write how many one price buys, like 25")
    return int(text or 1)


def _available(text: str) -> int | None:
    if not re.fullmatch(r"\d*", text):
        raise ValueError(f"{text!r} is not a number; write how many the yard has, or leave the cell empty")
    return int(text) if text else None


def _yes(text: str) -> bool:
    if text.lower() not in _YES + _NO:
        raise ValueError(f"{text!r} is neither yes nor no")
    return text.lower() in _YES


def row_of(item: Item) -> tuple[str, ...]:
    """Write an item as the cells of a line, in the order of `COLUMNS`, exactly."""

    def inches(length: int) -> str:
        return f"{as_number(length, 'in')} in" if length else ""

    return (
        item.material,
        item.kind,
        item.size,
        inches(item.length),
        inches(item.width),
        inches(item.thickness),
        f"{item.span[0]}/{item.span[1]}" if item.span else "",
        f"{item.weight} g" if item.weight is not None else "",
        "" if item.price is None else _plain(item.price),
        " ".join(f"{count}={_plain(price)}" for count, price in item.breaks),
        str(item.pack),
        "" if item.available is None else str(item.available),
        "yes" if item.returnable else "no",
        "yes" if item.from_rack else "no",
        item.note,
    )


def _plain(cents: int) -> str:
    return f"{cents // 100}.{cents % 100:02d}"
