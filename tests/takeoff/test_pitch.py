"""How a pitch is read."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from takeoff.pitch import read_pitch


@pytest.mark.parametrize(
    ("written", "rise"),
    [
        (6, "6"),
        (7.25, "29/4"),
        ("6", "6"),
        ("6 in 12", "6"),
        ("6:12", "6"),
        ('6" in 12"', "6"),
        ("7-1/4 in 12", "29/4"),
        ("7 1/4 in 12 in", "29/4"),
        ("1/2 in 12", "1/2"),
        ("12 in 12", "12"),
    ],
)
def test_a_pitch_is_read_as_rise_in_twelve(written: object, rise: str):
    """Numbers and the usual ways to write a pitch give its exact rise."""
    assert read_pitch(written) * 12 == Fraction(rise)


def test_45_degrees_are_12_in_12():
    """An angle is turned into rise over run."""
    assert read_pitch("45 deg") == read_pitch("45°") == 1


@given(st.integers(min_value=1, max_value=780))
def test_an_angle_comes_back_from_its_rise(tenths: int):
    """The rise taken for an angle is that angle to a millionth of a degree."""
    back = math.degrees(math.atan(float(read_pitch(f"{tenths / 10} deg"))))

    assert back == pytest.approx(tenths / 10, abs=1e-6)


@pytest.mark.parametrize(
    "written",
    [0, -6, "0 in 12", "6 in 10", "steep", "", True, None, "90 deg", "89 deg", "1/0", [6], "61 in 12"],
)
def test_what_is_no_pitch_is_refused(written: object):
    """Flat, negative, too steep or unreadable: refused with the ways to write it."""
    with pytest.raises(ValueError, match="pitch"):
        read_pitch(written)
