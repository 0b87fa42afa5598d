"""What a person may type about yards and the way home: the tables `[[yard]]` and `[carry]`."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Annotated

from pydantic import BeforeValidator, Field

from optimizer.money import parse_cents
from takeoff.book import POUND
from takeoff.fields import Length, Table

__all__ = ["CarryTable", "Cents", "Weight", "YardTable", "check_yards", "parse_grams"]

_GRAMS = {"lb": POUND, "lbs": POUND, "oz": POUND / 16, "kg": 1000.0, "g": 1.0}

_MOST_YARDS = 5
"""Of so many there are 31 choices, each of which may have to be planned."""


def parse_grams(text: str) -> int:
    """
    Read a weight such as `45 lb` or `20,4 kg`, to the gram.

    Raises
    ------
    ValueError
        If the text isn't a number with a unit of weight.

    Examples
    --------
    >>> parse_grams("45 lb"), parse_grams("20.4 kg")
    (20412, 20400)
    """
    found = re.fullmatch(r"(\d+(?:[.,]\d+)?)\s*([a-z]+)\.?", text.strip().lower())
    if not found or found[2] not in _GRAMS:
        raise ValueError(f"{text!r} is not a weight; write it like 45 lb or 20.4 kg")
    return round(float(found[1].replace(",", ".")) * _GRAMS[found[2]])


def _grams(value: object) -> int:
    if not isinstance(value, str):
        raise ValueError(f'{value} has no unit; write it in quotes, like "800 lb" or "360 kg"')
    grams = parse_grams(value)
    if grams == 0:
        raise ValueError(f"{value!r} carries nothing; leave the key out where there is no limit")
    return grams


def _cents(value: object) -> int:
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise ValueError("write an amount of money, like 12.50")
    return parse_cents(value if isinstance(value, str) else repr(value))


Weight = Annotated[int, BeforeValidator(_grams)]
"""A weight of more than nothing, in grams once read."""

Cents = Annotated[int, BeforeValidator(_cents)]
"""An amount of money, in cents once read."""


class YardTable(Table):
    """`[[yard]]`: a yard with its own price book; which of them to go to is part of the plan."""

    name: str = Field(
        min_length=1,
        max_length=24,
        description="what it is called in the report",
        examples=['"Mill Lane yard"'],
    )
    prices: str = Field(
        min_length=1,
        description="its price book (CSV), looked for beside this file; instead of prices at the top",
        examples=['"mill-lane.csv"'],
    )
    trip: Cents = Field(0, description="what one trip there and back costs; no tax is added")


class CarryTable(Table):
    """`[carry]`: what can be brought home."""

    longest: Length | None = Field(
        None, description="longest piece that can be carried, rolls left out", examples=['"12 ft"']
    )
    widest: Length | None = Field(None, description="widest sheet that can be carried", examples=['"48 in"'])
    load: Weight | None = Field(
        None,
        description="weight that one trip carries; what is bought may take several",
        examples=['"800 lb"'],
    )


def check_yards(prices: str | None, yards: Sequence[YardTable]) -> None:
    """
    Refuse prices in two places, two yards of one name, and more yards than can be compared.

    Raises
    ------
    ValueError
        With what is wrong.
    """
    if prices is not None and yards:
        raise ValueError("give prices at the top, or a [[yard]] with prices of its own, not both")
    names = [yard.name for yard in yards]
    twice = next((name for name in names if names.count(name) > 1), None)
    if twice is not None:
        raise ValueError(f"yard: two yards are named {twice!r}; every name must be different")
    if len(yards) > _MOST_YARDS:
        raise ValueError(f"yard: there are {len(yards)} yards; {_MOST_YARDS} at most can be compared")
