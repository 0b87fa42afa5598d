"""How steep a roof is, as people write it, kept as an exact rise over run."""

from __future__ import annotations

import math
import re
from fractions import Fraction
from typing import Annotated

from pydantic import PlainValidator

__all__ = ["Pitch", "read_pitch"]

_FORM = re.compile(
    r"(?P<whole>\d+(?:\.\d+)?|\.\d+)?(?:\s*[-\s]?\s*(?P<part>\d+\s*/\s*\d+))?"
    r"\s*(?:in|\"|″)?\s*(?:(?:in|:|to|per)\s*12\s*(?:in|\"|″)?)?"
)
_DEGREES = re.compile(r"(?P<degrees>\d+(?:\.\d+)?)\s*(?:deg|degrees|degree|°)")
_TANGENT_STEPS = 10**9
"""The tangent of an angle is taken to nine decimals: on a 30 ft run that is less than one base unit."""

_STEEPEST = Fraction(60, 12)


def _bad(value: object) -> ValueError:
    return ValueError(
        f"{value!r} is not a pitch; "
        'write the rise in 12 as 6, "6 in 12" or "7-1/4 in 12", or an angle as "30 deg"'
    )


def read_pitch(value: object) -> Fraction:
    """
    Read a pitch as rise over run.

    Parameters
    ----------
    value
        A number is the rise in 12; text may be ``6``, ``6 in 12``, ``7-1/4 in 12``, ``6:12`` or ``30 deg``.

    Raises
    ------
    ValueError
        If it isn't a pitch, isn't more than 0, or is steeper than 60 in 12.

    Examples
    --------
    >>> read_pitch("6 in 12"), read_pitch(7.25), read_pitch("45 deg")
    (Fraction(1, 2), Fraction(29, 48), Fraction(1, 1))
    """
    if isinstance(value, bool) or not isinstance(value, int | float | str):
        raise _bad(value)
    text = str(value).strip()
    if angle := _DEGREES.fullmatch(text):
        pitch = _tangent(float(angle["degrees"]), value)
    else:
        pitch = _rise(text, value) / 12
    if pitch <= 0:
        raise ValueError(f"{value!r} is flat; a roof here needs a pitch of more than 0")
    if pitch > _STEEPEST:
        raise ValueError(f"{value!r} is steeper than 60 in 12; check the pitch")
    return pitch


def _rise(text: str, value: object) -> Fraction:
    form = _FORM.fullmatch(text)
    if form is None or (form["whole"] is None and form["part"] is None):
        raise _bad(value)
    try:
        return Fraction(form["whole"] or 0) + Fraction((form["part"] or "0").replace(" ", ""))
    except ZeroDivisionError:
        raise _bad(value) from None


def _tangent(degrees: float, value: object) -> Fraction:
    if degrees >= 90:
        raise _bad(value)
    return Fraction(round(math.tan(math.radians(degrees)) * _TANGENT_STEPS), _TANGENT_STEPS)


Pitch = Annotated[Fraction, PlainValidator(read_pitch)]
"""A pitch in a typed table, rise over run once read."""
