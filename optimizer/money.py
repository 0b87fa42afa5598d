"""Exact money: cents in, cents out."""

from __future__ import annotations

import re

__all__ = ["format_cents", "parse_cents"]

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
