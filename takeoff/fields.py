"""What every table a person types has in common: its base, and how a length is read."""

from __future__ import annotations

from math import isfinite
from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, ValidationInfo

from optimizer.lengths import TapeUnit, parse_length

__all__ = ["Length", "LengthOrZero", "Table", "Whole", "typed"]


class Table(BaseModel):
    """
    Base of everything a person types: no unknown keys, no later changes.

    Lengths are read when a table is validated with `context={"unit": None | "in" | "mm"}`; the defaults of
    a table are written as a person would type them, so that a starter file can quote them.
    """

    model_config = ConfigDict(extra="forbid", frozen=True, validate_default=True)


def _read(value: object, unit: TapeUnit | None) -> int:
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise ValueError('write a length in quotes with its unit, like "12 ft 4-1/2 in" or "3771.9 mm"')
    if isinstance(value, str):
        return parse_length(value, unit)
    if value == 0:
        return 0
    if not isfinite(value):
        raise ValueError(f"{value} is not a length")
    if unit is None:
        raise ValueError(
            f'{value} has no unit; write "{value} in" or "{value} mm", or give the job unit = "in" or "mm"'
        )
    return parse_length(repr(value), unit)


def _length_or_zero(value: object, info: ValidationInfo) -> int:
    context: dict[str, Any] = info.context or {}
    length = _read(value, context.get("unit"))
    if length < 0:
        raise ValueError(f"{value!r} is negative; a length counts from 0 up")
    return length


def _length(value: object, info: ValidationInfo) -> int:
    length = _length_or_zero(value, info)
    if length == 0:
        raise ValueError(f"{value!r} is no length; it must be more than 0")
    return length


Length = Annotated[int, BeforeValidator(_length)]
"""A length of more than nothing, in base units once read."""

LengthOrZero = Annotated[int, BeforeValidator(_length_or_zero)]
"""A length or 0, in base units once read."""


def _no_truth(value: object) -> object:
    if isinstance(value, bool):
        raise ValueError(f"{str(value).lower()} is not a number")
    return value


Whole = Annotated[int, BeforeValidator(_no_truth)]
"""How many; `true` is not taken for 1."""


def typed(default: object, description: str) -> Any:
    """Declare a key by its default as a person would type it; it is read when the table is validated."""
    return Field(default=default, description=description)
