"""Exact money: cents in, cents out; quantity price breaks; tax."""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction

__all__ = ["format_cents", "least_cost", "parse_cents", "price_at", "tax_on"]

_MONEY = re.compile(r"(?P<whole>\d+|\d{1,3}(?:,\d{3})+)(?:\.(?P<part>\d{1,2}))?")


def parse_cents(text: str) -> int:
    """
    Read an amount such as `28.40`, `1,250` or `0.5`.

    Raises
    ------
    ValueError
        If the text isn't an amount with at most two decimals.

    Examples
    --------
    >>> parse_cents("28.40"), parse_cents("0.5")
    (2840, 50)
    """
    match = _MONEY.fullmatch(text.strip())
    if match is None:
        raise ValueError(f"{text!r} is not an amount of money; write it like 28.40")
    return int(match["whole"].replace(",", "")) * 100 + int((match["part"] or "").ljust(2, "0"))


def format_cents(cents: int) -> str:
    """
    Write an amount with two decimals.

    Examples
    --------
    >>> format_cents(284000), format_cents(-5)
    ('2,840.00', '-0.05')
    """
    sign = "-" if cents < 0 else ""
    return f"{sign}{abs(cents) // 100:,}.{abs(cents) % 100:02d}"


def price_at(price: int, breaks: Sequence[tuple[int, int]], packs: int) -> int:
    """
    Give the price of each of so many packs: that of the last break they reach.

    Examples
    --------
    >>> [price_at(500, ((10, 450), (25, 400)), packs) for packs in (9, 10, 30)]
    [500, 450, 400]
    """
    return next((lower for least, lower in reversed(breaks) if packs >= least), price)


def least_cost(
    price: int, breaks: Sequence[tuple[int, int]], packs: int, available: int | None = None
) -> tuple[int, int]:
    """
    Give how many packs to buy where so many are needed, and their cost: up to a break it may be less.

    Of equal costs the fewest packs are taken; a break that the yard has too few for is out of reach.

    Examples
    --------
    >>> least_cost(500, ((10, 450),), 9), least_cost(500, ((10, 450),), 9, available=9)
    ((9, 4500), (9, 4500))
    >>> least_cost(500, ((10, 400),), 9), least_cost(500, ((10, 400),), 8), least_cost(500, ((10, 400),), 7)
    ((10, 4000), (8, 4000), (7, 3500))
    """
    if packs <= 0:
        return 0, 0
    counts = [packs, *(n for n, _ in breaks if n > packs and (available is None or n <= available))]
    cost, count = min((count * price_at(price, breaks, count), count) for count in counts)
    return count, cost


def tax_on(cents: int, tax: Fraction) -> int:
    """
    Give the tax on an amount, rounded once, half up to the cent.

    Examples
    --------
    >>> tax_on(460, Fraction(25, 1000)), tax_on(460, Fraction(24, 1000))
    (12, 11)
    """
    exact = cents * tax
    return (2 * exact.numerator + exact.denominator) // (2 * exact.denominator)
