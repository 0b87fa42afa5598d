"""What is bought by number: what the price book has, and what it lacks, named in a warning."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from optimizer.words import Count
from takeoff.book import Book
from takeoff.needs import Check, Needed

__all__ = ["counted_with_waste", "spaced", "stocked"]


def spaced(length: int, spacing: int) -> int:
    """
    Count what stands along a line, both ends included, no farther apart than the spacing.

    Examples
    --------
    >>> spaced(96, 48), spaced(97, 48), spaced(0, 48)
    (3, 4, 1)
    """
    return -(-length // spacing) + 1


def counted_with_waste(label: str, material: str, number: int, percent: int) -> Count:
    """
    Count something with so many percent on top, rounded up.

    Examples
    --------
    Nails for a hundred tables, a fifth more for bent ones (US Army EN0069):

    >>> counted_with_waste("nails", "nail-10d-common", 6000, 20).quantity
    7200
    """
    return Count(label, material, -(-number * (100 + percent) // 100))


def stocked(needed: Needed, book: Book, more: Iterable[Count] = ()) -> Needed:
    """
    Keep the counts that the price book has; name the others, which are then in no total.

    Parameters
    ----------
    needed
        What a trade asks for; its own counts are looked at too.
    more
        Counts to add to it.
    """
    counts = [count for count in (*needed.counts, *more) if count.quantity]
    missing = (
        Check(
            "warn",
            "not in the price book",
            "this price book",
            f"The price book has no {count.material!r}: buy {count.quantity} for {count.label} besides; "
            "they are in no total.",
        )
        for count in counts
        if not book.sizes(count.material)
    )
    return replace(
        needed,
        counts=tuple(count for count in counts if book.sizes(count.material)),
        checks=(*needed.checks, *missing),
    )
