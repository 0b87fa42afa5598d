"""Roof geometry against values that others have printed."""

from __future__ import annotations

from fractions import Fraction

import pytest
from small_jobs import inches, job_of

from optimizer.lengths import FOOT, INCH
from takeoff.building import building_of, slope_of
from takeoff.sizes import LUMBER, standard_book
from takeoff.spans import RATINGS

# Slope factor and length of a common rafter in inches per foot of run, exact roots to four and two places.
FACTORS = [
    (2, 1.0138, 12.17), (3, 1.0308, 12.37), (4, 1.0541, 12.65), (5, 1.0833, 13.00), (5.5, 1.1000, 13.20),
    (6, 1.1180, 13.42), (7, 1.1577, 13.89), (8, 1.2019, 14.42), (9, 1.2500, 15.00), (10, 1.3017, 15.62),
    (11, 1.3566, 16.28), (12, 1.4142, 16.97), (13, 1.4743, 17.69),
]  # fmt: skip

# Trade-journal field guide to asphalt shingles, 4 to 12 in 12, printed to three places.
PRINTED = [(4, 1.054), (5, 1.083), (6, 1.118), (7, 1.157), (8, 1.202), (9, 1.250), (10, 1.302), (11, 1.356),
           (12, 1.414)]  # fmt: skip


@pytest.mark.parametrize(("rise", "factor", "per_foot"), FACTORS)
def test_slope_factors(rise: float, factor: float, per_foot: float):
    """The slope over one foot of run is the square root of 144 + rise squared, over 12."""
    slope = slope_of(FOOT, Fraction(rise) / 12)

    # Half of the last printed place, and a hair for the base unit: 8 in 12 is 1.20185.
    assert slope / FOOT == pytest.approx(factor, abs=0.00006)
    assert slope / INCH == pytest.approx(per_foot, abs=0.006)


@pytest.mark.parametrize(("rise", "printed"), PRINTED)
def test_printed_slope_factors(rise: int, printed: float):
    """Printed tables are met within their rounding."""
    assert slope_of(FOOT, Fraction(rise, 12)) / FOOT == pytest.approx(printed, abs=0.006)


def test_common_rafter_at_7_in_12_over_16_feet():
    """NAVEDTRA 14044, rafter example 1: 8 ft of run at 7 in 12 are 111-1/8 in, to the nearest sixteenth."""
    plane = building_of(
        job_of(width="16 ft", length="20 ft", pitch=7, eave_overhang="0 in"), standard_book()
    ).planes[0]

    assert round(plane.slope / INCH * 16) == 111 * 16 + 2


def test_common_rafter_at_13_in_12_over_20_feet_8():
    """US Army EN0069: 10 ft 4 in of run at 13 in 12 are printed as 182.79 in, said to be 15 ft 3 in."""
    job = job_of(width="20 ft 8 in", length="24 ft", pitch=13, eave_overhang="0 in")
    slope = building_of(job, standard_book()).planes[0].slope

    # The manual multiplies the rounded 17.69 in a foot: 182.797. The root itself gives 182.815.
    assert slope / INCH == pytest.approx(182.797, abs=0.006 * 31 / 3)
    assert slope / FOOT == pytest.approx(15.25, abs=0.02)


def test_roof_area_of_70_by_30_feet():
    """NAVEDTRA 14044, Table 3-2: a 70 x 30 ft plan, overhang included, at 5-1/2 in 12 is 2,310 sq ft."""
    job = job_of(length="70 ft", width="30 ft", pitch=5.5, eave_overhang="0 in")
    planes = building_of(job, standard_book()).planes
    area = sum(plane.length * plane.slope for plane in planes) / FOOT**2

    assert area == pytest.approx(2310, abs=1)
    # Same page: 6.25 decking panels of 2 x 8 ft a square make 144.4, so 145.
    assert -(-area * 6.25 // 100) == 145


def test_half_a_25_foot_span_at_6_in_12():
    """NAVEDTRA 14044, rafter example 2 (answer not printed; arithmetic): 12-1/2 ft of run make 167.7 in."""
    assert slope_of(Fraction(25 * FOOT, 2), Fraction(1, 2)) / INCH == pytest.approx(167.7, abs=0.01)


# IRC Table R503.2.1.1(1), from memory (not re-checked): rating, span with and without edge support, in.
SPANS = [
    ((16, 0), 16, 16), ((20, 0), 20, 20), ((24, 0), 24, 20), ((24, 16), 24, 24), ((32, 16), 32, 28),
    ((40, 20), 40, 32), ((48, 24), 48, 36), ((60, 32), 60, 40),
]  # fmt: skip


@pytest.mark.parametrize(("rating", "supported", "unsupported"), SPANS)
def test_span_table(rating: tuple[int, int], supported: int, unsupported: int):
    """The span table as remembered, the smaller of two values for 60/32; every row names its source."""
    row = RATINGS[rating]

    assert (row.supported, row.unsupported) == (supported, unsupported)
    assert "IRC Table R503.2.1.1(1)" in row.source


# Table of PS 20 softwood sizes on an engineering reference site: nominal, dressed thickness and width, in.
DRESSED = [
    ("1x2", "3/4", "1-1/2"), ("1x3", "3/4", "2-1/2"), ("1x4", "3/4", "3-1/2"), ("1x6", "3/4", "5-1/2"),
    ("1x8", "3/4", "7-1/4"), ("1x10", "3/4", "9-1/4"), ("1x12", "3/4", "11-1/4"), ("2x2", "1-1/2", "1-1/2"),
    ("2x3", "1-1/2", "2-1/2"), ("2x4", "1-1/2", "3-1/2"), ("2x6", "1-1/2", "5-1/2"),
    ("2x8", "1-1/2", "7-1/4"), ("2x10", "1-1/2", "9-1/4"), ("2x12", "1-1/2", "11-1/4"),
    ("4x4", "3-1/2", "3-1/2"),
]  # fmt: skip


@pytest.mark.parametrize(("nominal", "thickness", "width"), DRESSED)
def test_dressed_sizes(nominal: str, thickness: str, width: str):
    """The usual sizes hold dry dressed lumber as PS 20 has it."""
    assert LUMBER[nominal] == (inches(thickness), inches(width))


# The same site: pounds per foot at 35 lb per cubic foot.
@pytest.mark.parametrize(("nominal", "pounds"), [("2x4", 1.28), ("2x6", 2.00), ("1x6", 1.00)])
def test_lumber_weights(nominal: str, pounds: float):
    """A board weighs its dressed volume at 35 lb per cubic foot."""
    board = standard_book().sizes(nominal)[0]

    assert board.weight is not None
    assert board.weight / 453.59237 / 8 == pytest.approx(pounds, abs=0.006)
