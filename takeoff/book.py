"""The price book as the rest of the project sees it: items with sizes, prices and span ratings."""

from __future__ import annotations

from dataclasses import dataclass

from optimizer.errors import InputError
from optimizer.words import Kind, Stock
from takeoff.complaints import nearest

__all__ = ["POUND", "Book", "Item"]

POUND = 453.59237
"""Grams."""


@dataclass(frozen=True, slots=True)
class Item:
    """
    One line of a price book: one size of one material.

    Parameters
    ----------
    material
        The line's `key`, shared by all sizes of a material, as `osb-7/16` or `2x4`.
    size
        The size as the yard calls it, as `4x8` or `10 ft`; unique within the material.
    length, width, thickness
        Actual size in base units; 0 where it does not apply.
    span
        Roof span rating of a panel in inches, as (24, 16) for 24/16; None for anything else.
    weight
        Grams for one pack, as the box says; None where unknown.
    price
        Cents for one pack; None where unknown.
    pack
        Pieces in one pack.
    available
        Packs the yard has; None for no limit.
    returnable
        True if unopened packs may go back.
    breaks
        (packs, cents) of every quantity price break, rising and falling: from so many on each costs so much.
    from_rack
        True for an offcut, or a rest, that is owned already; `price` is then the value it is stated at, and
        there is one unless `available` says more.
    yard
        Name of the yard whose book it is; "" where there is only one book.
    elsewhere
        True where another yard sells a size of the same name.
    """

    material: str
    size: str
    kind: Kind
    length: int = 0
    width: int = 0
    thickness: int = 0
    span: tuple[int, int] | None = None
    weight: int | None = None
    price: int | None = None
    pack: int = 1
    available: int | None = None
    returnable: bool = False
    note: str = ""
    breaks: tuple[tuple[int, int], ...] = ()
    from_rack: bool = False
    yard: str = ""
    elsewhere: bool = False

    @property
    def key(self) -> str:
        """Name this size alone; the yard is told only where another has the like."""
        return f"{self.material} {self.size}".strip() + (f" ({self.yard})" if self.elsewhere else "")

    def stock(self) -> Stock:
        """Give the line as the optimizer sees it; an offcut that is stated at nothing costs nothing."""
        return Stock(
            self.key,
            self.material,
            self.kind,
            self.length,
            self.width,
            0 if self.from_rack and self.price is None else self.price,
            self.available,
            self.pack,
            self.from_rack,
            self.breaks,
            self.yard,
            self.weight,
        )


@dataclass(frozen=True, slots=True)
class Book:
    """
    All lines of a price book, or of several yards' books, with the currency and where they come from.

    `left_out` are lines that can't be carried: they are no part of `items`.
    """

    items: tuple[Item, ...]
    currency: str = ""
    source: str = ""
    left_out: tuple[Item, ...] = ()

    def sizes(self, material: str) -> tuple[Item, ...]:
        """
        Give every size of a material that can be bought, in the book's order; empty if the book has none.

        Of a material that only the rack has, the offcuts are given instead.
        """
        all_of_it = self.everything(material)
        return tuple(item for item in all_of_it if not item.from_rack) or all_of_it

    def everything(self, material: str) -> tuple[Item, ...]:
        """Give every size of a material, offcuts in the rack included."""
        return tuple(item for item in self.items if item.material == material)

    def one(self, material: str, key: str) -> Item:
        """
        Give a line of a material, for the width and thickness that all its sizes share.

        Parameters
        ----------
        key
            The job's key that names the material, as `door.stile`, for the message.

        Raises
        ------
        InputError
            If the book has no such material, or its width or thickness isn't known.
        """
        sizes = self.require(material, key)
        if any(not item.width or not item.thickness for item in sizes):
            raise InputError(f"the price book lacks a width or thickness for {material!r}", key)
        sections = {(item.thickness, item.width if item.kind == "board" else 0) for item in sizes}
        if len(sections) > 1:
            raise InputError(
                f"the price book gives {material!r} in several sections; each needs its own key", key
            )
        return sizes[0]

    def require(self, material: str, key: str) -> tuple[Item, ...]:
        """
        Give every size of a material that the job asks for under `key`.

        Raises
        ------
        InputError
            If the book has none; the message names the nearest material it does have.
        """
        sizes = self.sizes(material)
        if sizes:
            return sizes
        if any(item.material == material for item in self.left_out):
            raise InputError(
                f"no size of {material!r} can be carried; see [carry], or add a smaller size to "
                f"{self.source or 'the price book'}",
                key,
            )
        known = tuple(dict.fromkeys(item.material for item in self.items))
        guess = nearest(material, known)
        hint = f"did you mean {guess!r}?" if guess else f"it has {', '.join(known) or 'no lines at all'}"
        raise InputError(f"{self.source or 'the price book'} has no {material!r}; {hint}", key)

    def stocks(self) -> tuple[Stock, ...]:
        """Give every line as the optimizer sees it."""
        return tuple(item.stock() for item in self.items)
