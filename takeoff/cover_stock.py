"""What a price book must say of rolls, strips and sections before courses can be cut from them."""

from __future__ import annotations

from optimizer.errors import InputError
from takeoff.book import Book, Item

__all__ = ["cut_to_length"]


def cut_to_length(material: str, key: str, book: Book) -> tuple[Item, ...]:
    """
    Give every size of a material that is cut to length with a knife or snips.

    Parameters
    ----------
    key
        The job's key that names the material, for the message.

    Raises
    ------
    InputError
        If the book lacks it or a length of it, or it is sold as something else.
    """
    sizes = book.require(material, key)
    for item in sizes:
        if item.kind not in ("stick", "roll"):
            raise InputError(
                f"the price book has {material!r} as {item.kind}; it is cut to length: make it stick or roll",
                key,
            )
        if not item.length:
            raise InputError(f"the price book gives no length for {item.key!r}", key)
    return sizes
