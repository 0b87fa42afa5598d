"""The parts that a job lists for itself: fixed pieces, or lengths that may be jointed."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.errors import InputError
from optimizer.lengths import size_text
from optimizer.words import Part, Run
from takeoff.book import Book
from takeoff.job import Job, PartTable
from takeoff.needs import Check, Needed

__all__ = ["part_needs"]

_NEEDED = 90
"""They are cut after everything the building itself calls for."""


def part_needs(job: Job, book: Book) -> Needed:
    """
    Ask for the parts of a job's `[[part]]` tables.

    Raises
    ------
    InputError
        If the book lacks the material, or it can't be cut that way.
    """
    runs: list[Run] = []
    parts: list[Part] = []
    for place, table in enumerate(job.part, start=1):
        _check_material(table, book, f"part[{place}]", job)
        if table.jointed:
            runs += _runs(table)
        else:
            parts.append(_part(table))
    checks = tuple(_ends_check(table, job) for table in job.part if table.slant is not None)
    return Needed(runs=tuple(runs), parts=tuple(parts), checks=checks)


def _ends_check(table: PartTable, job: Job) -> Check:
    """Say how the ends of a part slant: a drawing shows the rectangle that it takes up."""
    slant = table.slant or 0
    back, short = size_text(job.tape, slant), size_text(job.tape, table.length - 2 * slant)
    ways = (
        f"both ends slant the same way, each short point {back} back"
        if table.ends == "parallel"
        else f"the ends slant against each other, {short} from short point to short point"
    )
    long = size_text(job.tape, table.length)
    return Check(
        "note", "end cuts", "this job", f"{table.name}: {long} from long point to long point; {ways}."
    )


def _check_material(table: PartTable, book: Book, where: str, job: Job) -> None:
    sizes = book.require(table.material, f"{where}.material")
    kind = sizes[0].kind
    match kind:
        case "each":
            raise InputError(
                f"{table.material!r} is sold by number; a part is cut from a sheet, board, stick or roll",
                f"{where}.material",
            )
        case "sheet":
            if table.width is None or table.jointed:
                raise InputError(
                    f"{table.name!r} is cut from a sheet; give its width, and jointed = false",
                    f"{where}.width",
                )
        case "board":
            widest = max(item.width for item in sizes)
            if table.width is not None and table.width > widest:
                raise InputError(
                    f"{table.name!r} is {size_text(job.tape, table.width - widest)} wider than the widest "
                    f"{table.material}, {size_text(job.tape, widest)}",
                    f"{where}.width",
                )
        case "stick" | "roll":
            if table.width is not None:
                raise InputError(f"{table.material!r} is not ripped; leave out width", f"{where}.width")


def _part(table: PartTable) -> Part:
    """Give a fixed part; only ends that slant the same way nest in one board."""
    return Part(
        label=table.name,
        material=table.material,
        length=table.length,
        width=table.width or 0,
        count=table.count,
        may_turn=table.grain == "free",
        slant=table.slant or 0 if table.ends == "parallel" else 0,
        needed=_NEEDED,
    )


def _runs(table: PartTable) -> Iterator[Run]:
    for copy in range(1, table.count + 1):
        name = table.name if table.count == 1 else f"{table.name} {copy}"
        yield Run(name, table.material, table.length, mark=name, needed=_NEEDED)
