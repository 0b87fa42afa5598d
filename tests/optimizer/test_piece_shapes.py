"""Shapes: bands of an outline, pieces between lines, corners, turning over, nesting head to tail."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimizer.shapes import Shape, area_of, band_of, nest, shape_of, slabs_of
from optimizer.words import Hole, SeamRule, Surface

RULE = SeamRule(gap=0, min_supports=0, shortest=0, stagger=0, narrowest=0)


def surface(*outline, length=100, height=40, holes=()):
    return Surface("s", "m", length, height, (), RULE, outline=outline, holes=holes)


HIP = surface((0, 0), (100, 0), (60, 40), (40, 40))
"""A trapezoid: every unit up takes a unit off either end."""


def area(shape: Shape) -> Fraction:
    """By the corners (Gauss's formula), openings taken out."""
    corners = shape.corners or ((0, 0), (shape.length, 0), (shape.length, shape.width), (0, shape.width))
    twice = sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(corners, (*corners[1:], corners[0]), strict=True))
    return Fraction(twice, 2) - sum(a * b for _, _, a, b in shape.openings)


def piece(of: Surface, low: int, high: int, start: int, end: int):
    return shape_of(band_of(slabs_of(of), low, high), start, end, of.holes)


def test_a_band_of_a_hip_has_slanting_ends():
    """The first ten units of the trapezoid: 100 long below, 80 above."""
    found = piece(HIP, 0, 10, -1, 101)

    assert found == (Shape(100, 10, ((0, 0), (100, 0), (90, 10), (10, 10))), 0, 0)


def test_a_piece_between_two_seams_is_a_rectangle():
    """Where no end slants the corners are left out."""
    assert piece(HIP, 10, 20, 30, 70) == (Shape(40, 10), 30, 10)


def test_a_seam_through_a_slanting_end_leaves_a_triangle():
    """Left of 6 the first ten units reach only 6 up: a triangle, no wider than that."""
    assert piece(HIP, 0, 10, -1, 6) == (Shape(6, 6, ((0, 0), (6, 0), (6, 6))), 0, 0)


def test_an_outline_that_is_met_twice_is_refused():
    """A surface with a notch from below has two stretches along its first course."""
    notched = surface((0, 0), (40, 0), (40, 20), (60, 20), (60, 0), (100, 0), (100, 40), (0, 40))

    with pytest.raises(ValueError, match="more than one stretch"):
        slabs_of(notched)


@pytest.mark.parametrize(
    ("hole", "expected"),
    [
        # Inside: cut out of the piece.
        (Hole("h", 10, 2, 5, 4), (Shape(20, 10, (), ((5, 2, 5, 4),)), 5, 0)),
        # Over an end, the whole width: the piece is shorter.
        (Hole("h", 0, 0, 10, 10), (Shape(15, 10), 10, 0)),
        # Along the bottom, the whole length: the piece is narrower.
        (Hole("h", 0, 0, 40, 4), (Shape(20, 6), 5, 4)),
        # All of it: nothing to cover.
        (Hole("h", 0, 0, 40, 40), "void"),
        # Across the middle: one piece can't be in two places.
        (Hole("h", 10, 0, 5, 10), None),
        # Elsewhere.
        (Hole("h", 60, 0, 5, 10), (Shape(20, 10), 5, 0)),
    ],
)
def test_what_a_hole_does_to_a_piece(hole, expected):
    """It is cut out, shortens, narrows, voids, or parts the piece from 5 to 25 of the first ten units."""
    assert piece(surface(holes=(hole,)), 0, 10, 5, 25) == expected


def test_a_shape_turned_twice_is_itself():
    """Turned end for end, or over, and again: the same."""
    shape = Shape(20, 10, ((0, 0), (20, 0), (12, 10), (0, 10)), ((2, 3, 4, 5),))

    assert shape.turned().turned() == shape
    assert shape.flipped().flipped() == shape
    assert shape.turned().openings == ((14, 2, 4, 5),)


def test_only_what_may_be_flipped_is_the_same_as_its_mirror():
    """A right-hand piece is no left-hand one while its face must be up."""
    right = Shape(20, 10, ((0, 0), (20, 0), (12, 10), (0, 10)))
    left = right.flipped()

    assert right.canonical(may_flip=True) == left.canonical(may_flip=True)
    assert right.canonical(may_flip=False) != left.canonical(may_flip=False)


def test_two_trapezoids_nest_head_to_tail():
    """20 and 12 long on its sides, and the same turned: the second begins at 12, the kerf of 0 between."""
    shape = Shape(20, 10, ((0, 0), (20, 0), (12, 10), (0, 10)))

    assert nest(shape, shape.turned(), 0) == 12


def test_a_nest_keeps_the_kerf_square_to_the_slant():
    """A slant of 3 along in 4 across takes 5/4 of the kerf along the strip, rounded up."""
    shape = Shape(2000, 1000, ((0, 0), (2000, 0), (1250, 1000), (0, 1000)))

    assert nest(shape, shape.turned(), 4) == 1250 + 5 + 1


@given(
    st.integers(0, 300),
    st.integers(0, 300),
    st.integers(10, 400),
    st.lists(st.integers(1, 999), max_size=4, unique=True),
    st.lists(st.integers(1, 399), max_size=3, unique=True),
)
def test_pieces_add_up_to_the_surface(left, right, height, seams, heights):
    """Cut any trapezoid along and across: the pieces' areas add up to its own."""
    whole = surface((0, 0), (1000, 0), (1000 - right, height), (left, height), length=1000, height=height)
    lines = (-1, *sorted(seams), 1001)
    levels = (0, *sorted(h for h in heights if h < height), height)
    found = [
        piece(whole, low, high, start, end)
        for low, high in pairwise(levels)
        for start, end in pairwise(lines)
    ]
    total = sum(area(one[0]) for one in found if one)

    # Every corner is rounded to a unit: half a unit of each edge at most.
    edges = 2 * (1000 + height) * len(found)
    assert abs(total - Fraction((2000 - left - right) * height, 2)) <= edges


def test_the_area_of_a_surface_leaves_out_its_holes():
    """The trapezoid: (100 + 20) / 2 x 40 = 2400; with a hole of 5 x 4, 20 less."""
    assert area_of(HIP) == 2400
    assert area_of(surface(holes=(Hole("h", 10, 10, 5, 4),))) == 100 * 40 - 20
