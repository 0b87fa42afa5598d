"""`seamwise rack`: list the offcuts, add some, take some, or do as a plan did."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path

from rich.console import Console

from cli.earlier_plan import read_plan
from cli.files import print_out, standard_output
from cli.paper import Column, paper_for
from cli.rack import change_rack, deed, given_back, offcut, put_in, read_rack, taken, taken_by
from optimizer.errors import InputError
from optimizer.lengths import parse_length
from optimizer.money import parse_cents
from takeoff.book import Item

__all__ = ["run"]


def run(arguments: Namespace) -> None:
    """Do what the second word says."""
    path = Path(arguments.rack)
    match arguments.action:
        case "list":
            _list(read_rack(path))
        case "add":
            rack = change_rack(
                path, lambda rack: _added(rack, arguments), _once(arguments, "put in what is left of")
            )
            print_out(f"{path}: {_count(rack)}\n")
        case "take":
            rack = change_rack(
                path, lambda rack: _taken(rack, arguments), _once(arguments, "took out what goes into")
            )
            print_out(f"{path}: {_count(rack)}\n")


def _once(arguments: Namespace, what: str) -> str:
    """Name what is done for a plan, so that it is not done twice; "" where there is none."""
    return "" if arguments.plan is None else deed(read_plan(arguments.plan), what)


def _count(rack: tuple[Item, ...]) -> str:
    pieces = sum(item.available or 1 for item in rack)
    return f"{pieces:,} offcut{'s' * (pieces != 1)} of {len(rack):,} size{'s' * (len(rack) != 1)}"


def _added(rack: tuple[Item, ...], arguments: Namespace) -> tuple[Item, ...]:
    if arguments.plan is not None:
        if arguments.material is not None:
            raise InputError("give --plan, or a material and its size, not both", "command line")
        return given_back(rack, read_plan(arguments.plan))
    if arguments.material is None or arguments.length is None:
        raise InputError("give a material and its length, or --plan", "command line")
    length, width = _length(arguments.length, "LENGTH"), 0
    if arguments.width is not None:
        width = _length(arguments.width, "WIDTH")
    alike = next((item.kind for item in rack if item.material == arguments.material), None)
    kind = alike or ("sheet" if width else "board")
    new = offcut(arguments.material, kind, length, width, "in", _value(arguments.value))
    return put_in(rack, new, arguments.count)


def _taken(rack: tuple[Item, ...], arguments: Namespace) -> tuple[Item, ...]:
    if arguments.plan is not None:
        if arguments.offcut is not None:
            raise InputError("give --plan, or an offcut, not both", "command line")
        return taken_by(rack, read_plan(arguments.plan), arguments.plan)
    if arguments.offcut is None:
        raise InputError("name an offcut as `seamwise rack list` does, or give --plan", "command line")
    return taken(rack, arguments.offcut, arguments.count, arguments.rack)


def _length(text: str, what: str) -> int:
    try:
        length = parse_length(text, "in")
    except ValueError as error:
        raise InputError(str(error), what) from None
    if length <= 0:
        raise InputError(f"{text!r} is not more than 0", what)
    return length


def _value(text: str | None) -> int | None:
    if text is None:
        return None
    try:
        return parse_cents(text)
    except ValueError as error:
        raise InputError(str(error), "--value") from None


def _list(rack: tuple[Item, ...]) -> None:
    console = Console(highlight=False)
    with standard_output(), console.capture() as printed:
        paper = paper_for(console, "in")
        paper.table(
            [
                Column("Offcut", breaks=True),
                Column("Kind"),
                Column("Count", right=True),
                Column("Value", right=True),
                Column("Note", breaks=True),
            ],
            [
                (i.key, i.kind, f"{i.available or 1:,}", paper.money(i.price), i.note)
                for i in sorted(rack, key=lambda i: (i.material, -i.length, -i.width))
            ],
        )
    print_out(printed.get())
