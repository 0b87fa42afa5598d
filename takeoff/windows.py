"""Trim around bought windows: casing, sill and the metal over the head, as parts."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.lengths import size_text
from optimizer.words import Count, Part, Run
from takeoff.book import Book
from takeoff.job import Job
from takeoff.needs import Check, Needed
from takeoff.openings import head_metal
from takeoff.wall_job import WindowTable
from takeoff.wall_openings import window_names
from takeoff.walls_geometry import wall_table

__all__ = ["window_needs"]

_PRACTICE = "common practice, no source"
_NEEDED = 46
"""Windows are set when the skin hangs, before the doors are built."""


def window_needs(job: Job, book: Book) -> Needed:
    """
    Ask for the trim of every window; the windows themselves are bought by name.

    Raises
    ------
    InputError
        If the book lacks a material of it.
    """
    parts: list[Part] = []
    runs: list[Run] = []
    counts: list[Count] = []
    checks: list[Check] = []
    for place, (name, window) in enumerate(zip(window_names(job), job.window, strict=True), start=1):
        key = f"window[{place}]"
        casing = book.one(window.casing, f"{key}.casing").width if window.casing else 0
        own = tuple(_trim(name, window, casing, key, book))
        parts += own
        counts += _nails(name, own, job)
        checks += _checks(name, window, job)
        if window.head_metal:
            long = window.width + 2 * (casing + window.head_metal_past)
            mark, item = f"HW{place}", (window.head_metal, f"{key}.head_metal")
            whole, lapped = head_metal(name, mark, item, long, _NEEDED + 3, book)
            parts += whole
            runs += lapped
    return Needed(runs=tuple(runs), parts=tuple(parts), counts=tuple(counts), checks=tuple(checks))


def _trim(name: str, window: WindowTable, casing: int, key: str, book: Book) -> Iterator[Part]:
    head = window.width + 2 * casing
    if window.sill:
        book.one(window.sill, f"{key}.sill")
        yield Part(f"{name} sill", window.sill, head + 2 * window.horn, needed=_NEEDED)
    if window.casing:
        # With a sill the legs stand on it; without one a fourth board closes the foot.
        legs, across = window.height, 1 if window.sill else 2
        yield Part(f"{name} casing leg", window.casing, legs, count=2, needed=_NEEDED + 1)
        what = "head" if across == 1 else "head and foot"
        yield Part(f"{name} casing {what}", window.casing, head, count=across, needed=_NEEDED + 2)


def _nails(name: str, trim: tuple[Part, ...], job: Job) -> Iterator[Count]:
    """Count nails in pairs along casing and sill, as far apart as along a door's casing."""
    spacing = job.fastener.board_spacing
    pairs = sum(part.count * (-(-part.length // spacing) + 1) for part in trim)
    if pairs:
        yield Count(f"{name} trim nails", wall_table(job).board_nail.material, 2 * pairs)


def _checks(name: str, window: WindowTable, job: Job) -> Iterator[Check]:
    size = size_text(job.tape, window.width, window.height)
    yield Check(
        "note",
        "window",
        _PRACTICE,
        f"{name}: buy it for a rough opening {size}, and hold the opening against the maker's sheet before "
        "cutting the skin.",
    )
    yield Check(
        "note",
        "flashing a window",
        _PRACTICE,
        f"{name}: flash sill, then sides, then head, each over the one before; the head metal's upper leg "
        "goes behind the skin or into a sealed kerf.",
    )
    if not window.head_metal:
        yield Check(
            "warn", "head metal", _PRACTICE, f"{name}: no metal over the head; water runs behind the casing."
        )
