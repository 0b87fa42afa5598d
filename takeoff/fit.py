"""What can't be cut from any stock, found before anything is planned."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.errors import InputError
from optimizer.lengths import TapeUnit, size_text, tape_step
from optimizer.words import Part, Run
from takeoff.book import Book, Item
from takeoff.job import Job
from takeoff.needs import Takeoff

__all__ = ["check_fit"]


def check_fit(job: Job, book: Book, takeoff: Takeoff) -> None:
    """
    Hold every part, and every run that may have no seam, against the sizes of its material.

    Raises
    ------
    InputError
        If one is longer or wider than every size that the yard has; says by how much, beside which size.
    """
    for piece in _whole(takeoff):
        sizes = [item for item in book.everything(piece.material) if item.kind != "each"]
        here = [item for item in sizes if item.available != 0]
        if sizes and not here:
            raise InputError(
                f"the price book has no {piece.material} left for {piece.label!r}: its available is 0",
                _key(job, piece, "material"),
            )
        overs = [(*over, item) for item in here for over in _overs(piece, item)]
        if overs:
            long, wide, item = min(overs, key=lambda over: over[0] + over[1])
            if long or wide:
                key = _key(job, piece, "length" if long else "width")
                told = _told(piece, long, wide, item, job.tape)
                if any(out.material == piece.material for out in book.left_out):
                    told += "; larger sizes can't be carried, says [carry]"
                raise InputError(told, key)


def _whole(takeoff: Takeoff) -> Iterator[Part | Run]:
    yield from takeoff.parts
    yield from (run for run in takeoff.runs if run.seams == ())


def _overs(piece: Part | Run, item: Item) -> Iterator[tuple[int, int]]:
    """Give how much longer and wider a piece is than a size, for every way it may lie."""
    width = piece.width if isinstance(piece, Part) else 0
    yield max(piece.length - item.length, 0), max(width - item.width, 0)
    if isinstance(piece, Part) and piece.may_turn and width:
        yield max(width - item.length, 0), max(piece.length - item.width, 0)


def _told(piece: Part | Run, long: int, wide: int, item: Item, tape: TapeUnit) -> str:
    def text(over: int) -> str:
        step = tape_step(tape)
        return size_text(tape, -(-over // step) * step)

    more = [f"{text(over)} {what}" for over, what in ((long, "longer"), (wide, "wider")) if over]
    return f"{piece.label!r} fits no {piece.material}: it is {' and '.join(more)} than {item.key}"


def _key(job: Job, piece: Part | Run, key: str) -> str:
    """Name the key of the job that asks for a piece; empty where the building does."""
    for place, table in enumerate(job.part, start=1):
        if table.name == piece.label:
            return f"part[{place}].{key}"
    return ""
