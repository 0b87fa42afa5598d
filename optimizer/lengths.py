"""Exact lengths: the base unit, and the only place that parses, prints or rounds one."""

from __future__ import annotations

import re
from fractions import Fraction
from math import isqrt
from typing import Literal

__all__ = [
    "FOOT",
    "INCH",
    "MILLIMETRE",
    "TapeUnit",
    "as_number",
    "ceil_sqrt",
    "floor_sqrt",
    "format_length",
    "parse_length",
    "size_text",
    "tape_down",
    "tape_step",
]

MILLIMETRE = 1600
"""Base units in a millimetre; 1/1600 mm holds 1/64 in, 0.1 mm and 19.2 in without a remainder."""

INCH = 40640
FOOT = 12 * INCH

TapeUnit = Literal["in", "mm"]

_UNITS = {
    "mm": MILLIMETRE,
    "cm": 10 * MILLIMETRE,
    "m": 1000 * MILLIMETRE,
    "in": INCH,
    "inch": INCH,
    "inches": INCH,
    '"': INCH,
    "″": INCH,
    "ft": FOOT,
    "foot": FOOT,
    "feet": FOOT,
    "'": FOOT,
    "′": FOOT,
}
_NUMBER = r"(?:\d+\s*[-\s]\s*\d+\s*/\s*\d+|\d+\s*/\s*\d+|\d+(?:\.\d+)?|\.\d+)"
_TERM = re.compile(rf"\s*(?P<number>{_NUMBER})\s*(?P<unit>[a-zA-Z]+|[\"'″′])?\s*")


def _number(text: str) -> Fraction:
    whole, _, rest = re.sub(r"\s*/\s*", "/", text.strip()).replace("-", " ").partition(" ")
    return Fraction(whole) + (Fraction(rest.strip()) if rest.strip() else 0)


def parse_length(text: str, default: TapeUnit | None = None) -> int:
    r"""
    Read a length as people write it.

    Parameters
    ----------
    text
        Such as ``12' 4-1/2"``, ``12 ft 4 1/2 in``, ``148.5 in``, ``3771.9 mm``, ``2.44 m``.
    default
        Unit of a bare number; without it a bare number is refused.

    Returns
    -------
    int
        Base units; a value between two base units goes to the nearest one.

    Raises
    ------
    ValueError
        If the text isn't a length; the message says what would be right.

    Examples
    --------
    >>> parse_length("12' 4-1/2\"") == parse_length("148.5 in") == parse_length("3771.9 mm")
    True
    """
    hint = f"{text!r} is not a length; write it like 12 ft 4-1/2 in, 148.5 in, 3771.9 mm or 2.44 m"
    body = text.strip().replace("½", " 1/2").replace("¼", " 1/4").replace("¾", " 3/4")
    sign = 1
    if body.startswith(("-", "−")):
        sign, body = -1, body[1:]
    total, place, previous = Fraction(0), 0, None
    while place < len(body):
        match = _TERM.match(body, place)
        if match is None or match.end() == place:
            raise ValueError(hint)
        name = match["unit"]
        if name is None:
            if default is None or previous is not None or match.end() != len(body):
                raise ValueError(hint)
            scale = INCH if default == "in" else MILLIMETRE
        else:
            known = _UNITS.get(name if name in _UNITS else name.lower())
            if known is None or (previous is not None and known >= previous):
                raise ValueError(hint)
            scale = known
        try:
            total += _number(match["number"]) * scale
        except (ValueError, ZeroDivisionError):
            raise ValueError(hint) from None
        previous, place = scale, match.end()
    if previous is None:
        raise ValueError(hint)
    return sign * round(total)


def tape_step(unit: TapeUnit) -> int:
    """Give the finest mark a tape is read to: 1/16 in or 1 mm, in base units."""
    return INCH // 16 if unit == "in" else MILLIMETRE


def tape_down(length: int, unit: TapeUnit) -> int:
    """
    Round a length down to a mark of the tape, so that a piece is never too long for its place.

    This is the only rounding of a length in the project; reports say that it happened.
    """
    step = tape_step(unit)
    return length // step * step


def floor_sqrt(square: int) -> int:
    """Give the largest base-unit length whose square is at most `square`."""
    return isqrt(square)


def ceil_sqrt(square: int) -> int:
    """Give the smallest base-unit length whose square is at least `square`."""
    root = isqrt(square)
    return root if root * root == square else root + 1


def as_number(length: int, unit: TapeUnit) -> str:
    """
    Write a length as an exact decimal, or as an exact fraction where no short decimal is exact.

    Examples
    --------
    >>> as_number(parse_length("95-7/8 in"), "in"), as_number(parse_length("1 mm"), "in")
    ('95.875', '5/127')
    """
    value = Fraction(length, INCH if unit == "in" else MILLIMETRE)
    rest = value.denominator
    for prime in (2, 5):
        while rest % prime == 0:
            rest //= prime
    if rest != 1:
        return f"{value.numerator}/{value.denominator}"
    scaled, places = value, 0
    while scaled.denominator != 1:
        scaled, places = scaled * 10, places + 1
    digits = str(abs(scaled.numerator)).rjust(places + 1, "0")
    sign = "-" if value < 0 else ""
    return sign + (f"{digits[:-places]}.{digits[-places:]}" if places else digits)


def format_length(length: int, unit: TapeUnit) -> str:
    """
    Write a length for a person with a tape: sixteenths of an inch, or millimetres.

    Rounds down to the mark (see `tape_down`).

    Examples
    --------
    >>> format_length(parse_length("95-7/8 in"), "in"), format_length(parse_length("1.2 m"), "mm")
    ('95-7/8', '1200')
    """
    steps = tape_down(length, unit) // tape_step(unit)
    if unit == "mm":
        return str(steps)
    sign, steps = ("-" if steps < 0 else ""), abs(steps)
    whole, part = divmod(steps, 16)
    if not part:
        return f"{sign}{whole}"
    fraction = Fraction(part, 16)
    text = f"{fraction.numerator}/{fraction.denominator}"
    return f"{sign}{whole}-{text}" if whole else f"{sign}{text}"


def size_text(unit: TapeUnit, *lengths: int) -> str:
    """
    Write one length, or the sides of a rectangle, with its unit (`format_length` rounds down).

    Examples
    --------
    >>> size_text("in", parse_length("35-1/2 in"), parse_length("7 ft"))
    '35-1/2 x 84 in'
    """
    return f"{' x '.join(format_length(length, unit) for length in lengths)} {unit}"
