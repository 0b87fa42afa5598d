"""Nails of the frame by the joint, and board feet, held against published examples."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_jobs import job_of

from optimizer.lengths import FOOT, INCH
from takeoff import take_off
from takeoff.counted import counted_with_waste
from takeoff.frame_nails import board_feet, nail_pounds, nominal
from takeoff.sizes import LUMBER, standard_book


@pytest.mark.parametrize(
    ("thick", "wide", "feet", "count", "expected"),
    [
        # NAVEDTRA 14044, roof framing: 8-4/12; 19-3/12, which the page also prints as 19.26.
        (1, 10, 10, 1, Fraction(100, 12)),
        (1, 7, 33, 1, Fraction(77, 4)),
        # US Army EN5155.
        (1, 4, 8, 14, Fraction(112, 3)),
        # Griffith, Carpentry (1916), 77.
        (6, 8, 16, 1, Fraction(64)),
    ],
)
def test_board_feet(thick, wide, feet, count, expected):
    """Published measures of lumber."""
    assert board_feet(thick, wide, feet * FOOT, count) == expected


def test_thin_lumber_counts_as_an_inch():
    """Griffith, Carpentry 77: stock under 1 in is measured as 1 in."""
    assert board_feet(0, 6, 12 * FOOT) == board_feet(1, 6, 12 * FOOT) == 6


def test_nails_for_a_hundred_tables():
    """30 joints, 2 nails each, a fifth more: 7,200; the rule of thumb: 105 lb of 10d in 6.3 thousand feet."""
    # US Army EN0069, para. 4-9 and p. 4-10.
    assert counted_with_waste("nails", "10d", 100 * 30 * 2, 20).quantity == 7200
    assert float(nail_pounds(10, Fraction(6300))) == pytest.approx(105.21)
    assert round(Fraction(7200, 74), 1) == Fraction(973, 10)


@pytest.mark.parametrize("key", LUMBER)
def test_nominal_sizes(key):
    """Every dressed size of the usual lumber goes back to what it is sold as."""
    thick, wide = LUMBER[key]

    assert f"{nominal(thick)}x{nominal(wide)}" == key


def counted(**framing):
    found = take_off(job_of(framing={"rafter": "2x6", "ridge": "2x8", **framing}), standard_book())
    return {count.label: count.quantity for count in found.counts}


def test_rafter_nails_by_hand():
    """18 rafters: 3 toe nails at the plate, 3 at the ridge; the ridge nailed like a plate; a fifth more."""
    found = counted()

    assert found["toe nails of the frame"] == -(-18 * 3 * 6 // 5)
    # The ridge board: its ends and every 16 in.
    assert found["framing nails"] == -(-(18 * 3 + 192 // 16 + 1) * 6 // 5)


@given(st.sampled_from([12, 16, 24]), st.sampled_from([12, 16, 24]))
def test_closer_studs_take_more_nails(first, second):
    """Closer studs never take fewer nails."""
    close, wide = sorted((first, second))

    assert (
        counted(stud="2x4", stud_spacing=f"{close} in")["framing nails"]
        >= counted(stud="2x4", stud_spacing=f"{wide} in")["framing nails"]
    )


def test_what_the_book_lacks_is_named():
    """A nail that the price book doesn't have is in no total and in a warning."""
    nail = {"material": "nail-of-my-own", "length": "3-1/2 in"}
    found = take_off(job_of(framing={"rafter": "2x6", "nail": nail}), standard_book())

    assert any("nail-of-my-own" in check.message for check in found.checks if check.level == "warn")
    assert "framing nails" not in {count.label for count in found.counts}


def test_a_short_framing_nail_is_warned_of():
    """A 2-1/2 in nail does not hold a plate to end grain."""
    nail = {"material": "nail-8d-common", "length": "2-1/2 in"}
    found = take_off(job_of(framing={"rafter": "2x6", "nail": nail}), standard_book())

    assert [c.level for c in found.checks if c.rule == "framing nails"] == ["note", "warn"]
    assert INCH * 5 // 2 < 3 * INCH
