"""What rafters measure: published lengths, the framing tables in full, and what must be so of any roof."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from math import atan, degrees, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_jobs import job_of

from optimizer.lengths import FOOT, INCH
from takeoff.building import Building, building_of
from takeoff.rafter_cuts import (
    angle_text,
    common_length,
    gable_difference,
    plumb_slant,
    rafter_cut,
    stand,
)
from takeoff.sizes import standard_book

PITCHES = st.integers(1, 24).map(lambda rise: Fraction(rise, 12))


def hip_roof(feet: int, pitch: Fraction, spacing: int = 24) -> Building:
    """Build a hip roof without overhangs whose common rafters run so many feet, spaced so many inches."""
    job = job_of(
        roof="hip",
        length=f"{2 * feet + 10} ft",
        width=f"{2 * feet} ft",
        pitch=float(12 * pitch),
        eave_overhang="0 in",
        rafter_spacing=f"{spacing} in",
    )
    return building_of(job, standard_book())


def hip_length(feet: int, pitch: Fraction) -> int:
    """Give the length of a hip as the roof's geometry has it, from corner to ridge."""
    (length,) = {line.framing for line in hip_roof(feet, pitch).lines_of("hip")}
    return length


def test_the_navys_common_rafter():
    """A span of 16 ft at 7 in 12 takes 111-1/8 in, 9 ft 3-1/8 in."""
    # NAVEDTRA 14044, roof framing, figure 2-17, example 1: 13.89 in x 8, rounded to a sixteenth.
    length = common_length(8 * FOOT, Fraction(7, 12))

    assert round(length * 16 / INCH) == 111 * 16 + 2
    assert round(Fraction(1389, 100) * 8 * 16) == 111 * 16 + 2


def test_the_armys_common_rafter():
    """A building 20 ft 8 in wide, 13 in of rise a foot: 15 ft 3 in, 182.79 in by the printed unit length."""
    # US Army EN0069, frame structures: 17.69 in x 10-1/3 = 182.79 in, said to be 15 ft 3 in.
    length = common_length(Fraction(31, 3) * FOOT, Fraction(13, 12))

    assert length / INCH == pytest.approx(182.79, abs=0.05)
    assert round(length / INCH) == 15 * 12 + 3


def test_the_navys_hip_rafter():
    """A common run of 15 ft at 8 in 12 has a hip of 23.45 ft."""
    # NAVEDTRA 14044, roof framing: 16.97 is to 18.76 as 21.21 is to 23.45.
    assert hip_length(15, Fraction(8, 12)) / FOOT == pytest.approx(23.45, abs=0.005)


# Unit lengths a foot of common run. NAVEDTRA 14044 and EN0069 print 13.89, 17.69 and 18.76; the others
# are their square roots.
UNITS = {
    2: (12.17, 17.09, 9.46),
    3: (12.37, 17.23, 14.04),
    4: (12.65, 17.44, 18.43),
    5: (13.00, 17.69, 22.62),
    5.5: (13.20, 17.84, 24.62),
    6: (13.42, 18.00, 26.57),
    7: (13.89, 18.36, 30.26),
    8: (14.42, 18.76, 33.69),
    9: (15.00, 19.21, 36.87),
    10: (15.62, 19.70, 39.81),
    11: (16.28, 20.22, 42.51),
    12: (16.97, 20.78, 45.00),
    13: (17.69, 21.38, 47.29),
}


@pytest.mark.parametrize("rise", UNITS)
def test_the_framing_table_in_full(rise):
    """Every row of the table of unit lengths: common, hip, and the angle of the plumb cut."""
    pitch = Fraction(rise) / 12
    common, hip, angle = UNITS[rise]

    assert common_length(FOOT, pitch) / INCH == pytest.approx(common, abs=0.006)
    assert hip_length(10, pitch) / (10 * INCH) == pytest.approx(hip, abs=0.006)
    assert degrees(atan(pitch)) == pytest.approx(angle, abs=0.006)
    assert angle_text(pitch).endswith(f"{angle:.1f} deg")


# Trade journal field guide to asphalt shingles: slope factors 4 to 12 in 12, and hip factors, of which the
# one for 7 in 12 is a misprint (1.524 for 1.530): within the 0.006 that a rounded table is allowed.
PRINTED = {
    4: (1.054, 1.452),
    5: (1.083, 1.474),
    6: (1.118, 1.500),
    7: (1.157, 1.524),
    8: (1.202, 1.564),
    9: (1.250, 1.600),
    10: (1.302, 1.642),
    11: (1.356, 1.684),
    12: (1.414, 1.732),
}


@pytest.mark.parametrize("rise", PRINTED)
def test_a_printed_table_of_factors(rise):
    """Factors of a field guide, to its own rounding."""
    slope, hip = PRINTED[rise]

    assert common_length(FOOT, Fraction(rise, 12)) / FOOT == pytest.approx(slope, abs=0.006)
    assert hip_length(10, Fraction(rise, 12)) / (10 * FOOT) == pytest.approx(hip, abs=0.006)


@given(PITCHES, st.integers(2, 40), st.integers(2, 40))
def test_lengths_grow_with_the_run(pitch, first, second):
    """A longer run never has a shorter rafter, and a hip is longer than the common beside it."""
    shorter, longer = sorted((first, second))

    assert common_length(shorter * FOOT, pitch) <= common_length(longer * FOOT, pitch)
    assert hip_length(shorter, pitch) > common_length(shorter * FOOT, pitch)


@given(PITCHES, PITCHES)
def test_lengths_grow_with_the_pitch(first, second):
    """Over one run, the steeper rafter is the longer one."""
    flat, steep = sorted((first, second))

    assert common_length(10 * FOOT, flat) <= common_length(10 * FOOT, steep)


@given(PITCHES, st.sampled_from([12, 16, 24]))
def test_common_differences(pitch, spacing):
    """Jacks differ by spacing x slope factor, gable studs by spacing x pitch."""
    factor = sqrt(1 + pitch**2)
    roof = hip_roof(12, pitch, spacing)
    cuts = [rafter_cut(rafter, roof.planes[0], roof, "plumb", 0, 0) for rafter in roof.planes[0].rafters]
    jacks = sorted({cut.top for cut in cuts if cut.jack})

    assert len(jacks) > 1
    for shorter, longer in pairwise(jacks):
        assert longer - shorter == pytest.approx(spacing * INCH * factor, abs=2)
    assert gable_difference(spacing * INCH, pitch) == pytest.approx(spacing * INCH * pitch, abs=1)


def test_plumb_cut_and_stand():
    """At 12 in 12 a 5-1/2 in rafter: the cut slants 5-1/2 in; 7.78 in plumb less a 3-1/2 in heel is left."""
    pitch = Fraction(1)

    assert plumb_slant(INCH * 11 // 2, pitch) == INCH * 11 // 2
    assert stand(INCH * 11 // 2, INCH * 7 // 2, pitch) / INCH == pytest.approx(5.5 * sqrt(2) - 3.5, abs=1e-3)
