"""What can't be brought home: left out of the price book before anything is taken off, and told in Check."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace

from optimizer.lengths import FOOT, TapeUnit, size_text
from optimizer.words import Count, Part, Run, Surface
from takeoff.book import POUND, Book, Item
from takeoff.job import Job
from takeoff.needs import Check, Needed

__all__ = ["LEFT_OUT", "carried", "carry_checks"]

LEFT_OUT = "left out"
"""The rule of a Check that tells what can't be carried."""


def carried(book: Book, job: Job) -> Book:
    """Leave out of a price book what is too long, too wide or too heavy for one trip; the rack is at home."""
    if job.carry is None:
        return book
    out = tuple(item for item in book.items if _why(item, job))
    return replace(book, items=tuple(item for item in book.items if item not in out), left_out=out)


def _why(item: Item, job: Job) -> str:
    """Say why an item can't be carried; "" if it can."""
    carry = job.carry
    if carry is None or item.from_rack:
        return ""
    if carry.longest is not None and item.kind != "roll" and item.length > carry.longest:
        return f"longer than {_long(carry.longest, job.tape)}"
    if carry.widest is not None and item.kind != "roll" and item.width > carry.widest:
        return f"wider than {_long(carry.widest, job.tape)}"
    if carry.load is not None and item.weight is not None and item.weight > carry.load:
        return f"heavier than {_weight(carry.load, job.tape)}"
    return ""


def _long(length: int, tape: TapeUnit) -> str:
    return f"{length // FOOT} ft" if tape == "in" and length % FOOT == 0 else size_text(tape, length)


def _weight(grams: int, tape: TapeUnit) -> str:
    return f"{grams / 1000:g} kg" if tape == "mm" else f"{round(grams / POUND):,} lb"


def carry_checks(job: Job, book: Book, needs: Iterable[Needed]) -> Iterator[Check]:
    """Tell, for every material that is needed, which of its sizes can't be carried, and why."""
    wanted = (each.material for need in needs for each in _wanted(need))
    for material in dict.fromkeys(wanted):
        reasons: dict[str, list[Item]] = {}
        for item in book.left_out:
            if item.material == material:
                reasons.setdefault(_why(item, job), []).append(item)
        for why, items in reasons.items():
            sizes = ", ".join(dict.fromkeys(item.size or _long(item.length, job.tape) for item in items))
            yield Check("note", LEFT_OUT, "the job's carry", f"{material} {sizes} can't be carried: {why}.")


def _wanted(need: Needed) -> Iterator[Surface | Run | Part | Count]:
    for group in (need.surfaces, need.runs, need.parts, need.counts):
        yield from group
    yield from (part for surface in need.surfaces for part in surface.blocking)
