"""The offcut rack: a price book of what is owned already, kept in a CSV file that a person can edit."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from hashlib import sha256
from pathlib import Path

from cli.files import csv_text, write_files
from cli.price_book import COLUMNS, read_price_book, row_of
from cli.schema import PlanFile
from optimizer.errors import InputError
from optimizer.lengths import TapeUnit, parse_length, size_text
from optimizer.words import Kind
from takeoff.book import Book, Item

__all__ = [
    "change_rack",
    "deed",
    "given_back",
    "offcut",
    "put_in",
    "read_rack",
    "taken",
    "taken_by",
    "with_rack",
]

_HEADER = "# Offcuts on the rack. price: the value each is stated at; available: how many are alike."
_DONE = "# done: "
"""A line of the rack that begins so names a plan that was carried out, and what was done for it."""

_LOCK_SECONDS = 10


def read_rack(path: Path) -> tuple[Item, ...]:
    """
    Read a rack; every line of it is an offcut, whether its `rack` cell says so or not.

    Raises
    ------
    InputError
        If the file can't be read or a row is broken; names line and column.
    """
    book = read_price_book(str(path), rack=True).book
    return tuple(replace(item, from_rack=True, available=item.available or 1) for item in book.items)


def with_rack(book: Book, rack: Sequence[Item]) -> Book:
    """
    Add a rack's offcuts to a price book.

    What the book knows of a material, its kind, thickness and, where it is not ripped, width, holds for its
    offcuts too. Offcuts of materials that the book does not have are left out.
    """
    added = []
    for item in rack:
        alike = next((other for other in book.items if other.material == item.material), None)
        if alike is None:
            continue
        width = item.width if alike.kind == "sheet" or item.width else alike.width
        added.append(
            replace(
                item, kind=alike.kind, width=width, thickness=alike.thickness, span=alike.span, weight=None
            )
        )
    return replace(book, items=(*book.items, *added))


def deed(plan: PlanFile, what: str) -> str:
    """Name in a few words what is done to a rack once for a plan: another plan has another name."""
    digest = sha256(plan.model_dump_json().encode()).hexdigest()[:12]
    return f"{what} plan {digest} ({' '.join(plan.title.split())})"


def _deeds(path: Path) -> list[tuple[int, str]]:
    """Give what was done to a rack for plans, with the lines that say so."""
    lines = enumerate(path.read_text(encoding="utf-8-sig").splitlines(), 1)
    return [
        (n, line.strip(' ",;').removeprefix(_DONE))
        for n, line in lines
        if line.lstrip(' "').startswith(_DONE)
    ]


def change_rack(
    path: Path, change: Callable[[tuple[Item, ...]], tuple[Item, ...]], once: str = ""
) -> tuple[Item, ...]:
    """
    Read a rack, change it and write it back, with no other command between.

    Parameters
    ----------
    once
        What is done, if it may be done once only; the rack remembers it.

    A rack that does not exist is begun. The new file is written beside the old one and then takes its place,
    so that a crash leaves one of the two whole.

    Raises
    ------
    InputError
        If it can't be read, changed or written, another command holds it for too long, or what may be done
        once only was done before.
    """
    from filelock import FileLock, Timeout

    if not path.parent.is_dir():
        raise InputError("there is no such directory to keep a rack in", str(path.parent))
    try:
        with FileLock(path.with_name(f".{path.name}.lock"), timeout=_LOCK_SECONDS):
            before, deeds = (read_rack(path), _deeds(path)) if path.exists() else ((), [])
            again = next((line for line, done in deeds if once and done == once), None)
            if again is not None:
                raise InputError(
                    f"done already: {once}. Nothing is changed; to do it once more, delete this line first",
                    f"{path}, line {again}",
                )
            after = change(before)
            done = [*(done for _, done in deeds), *([once] if once else [])]
            head = "".join(f"{_DONE}{each}\n" for each in done)
            rows = (row_of(item) for item in after)
            write_files(path.parent, {path.name: f"{_HEADER}\n{head}{csv_text(COLUMNS, rows)}"})
            return after
    except Timeout:
        raise InputError(
            f"another program holds this rack for more than {_LOCK_SECONDS} s; try again when it is done",
            str(path),
        ) from None
    except OSError as error:
        raise InputError(f"the rack can't be locked ({error.strerror or error})", str(path)) from None


def offcut(
    material: str, kind: Kind, length: int, width: int, unit: TapeUnit, value: int | None = None
) -> Item:
    """Give one offcut; its size is its name within the material."""
    size = size_text(unit, length, width) if width and kind == "sheet" else size_text(unit, length)
    return Item(material, size, kind, length, width, price=value, available=1, from_rack=True)


def put_in(rack: tuple[Item, ...], new: Item, count: int = 1) -> tuple[Item, ...]:
    """Put offcuts in; those of the same material and size are counted together, at the first one's value."""
    for number, item in enumerate(rack):
        if (item.key, item.length, item.width) == (new.key, new.length, new.width):
            more = replace(item, available=(item.available or 1) + count)
            return (*rack[:number], more, *rack[number + 1 :])
    return (*rack, replace(new, available=count))


def taken(rack: tuple[Item, ...], key: str, count: int, where: str) -> tuple[Item, ...]:
    """
    Take offcuts out.

    Raises
    ------
    InputError
        If there is none of that name, or fewer than that.
    """
    item = next((item for item in rack if item.key == key), None)
    if item is None:
        names = ", ".join(item.key for item in rack[:8]) or "nothing"
        raise InputError(f"the rack has no {key!r}; it has {names}", where)
    there = item.available or 1
    if count > there:
        raise InputError(f"the rack has {there} of {key!r}, not {count}", where)
    if count == there:
        return tuple(other for other in rack if other is not item)
    left = replace(item, available=there - count)
    return tuple(left if other is item else other for other in rack)


def taken_by(rack: tuple[Item, ...], plan: PlanFile, where: str) -> tuple[Item, ...]:
    """Take out what a plan draws from the rack."""
    for line in plan.buy:
        if line.from_rack:
            rack = taken(rack, line.stock, line.count, where)
    return rack


def given_back(rack: tuple[Item, ...], plan: PlanFile) -> tuple[Item, ...]:
    """Put in what a plan keeps of its leftovers; a plan knows better than a rack what kind a material is."""
    for left in plan.keep:
        rack = tuple(replace(i, kind=left.kind) if i.material == left.material else i for i in rack)
        length, width = (parse_length(f"{size} {plan.unit}") for size in (left.length, left.width))
        rack = put_in(rack, offcut(left.material, left.kind, length, width, plan.unit), left.repeat)
    return rack
