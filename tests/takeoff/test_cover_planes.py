"""Planes as their cover sees them: how far each course reaches, on rectangles and on planes that are none."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_jobs import job_of

from optimizer.lengths import INCH
from takeoff.building import building_of
from takeoff.cover_planes import Face, eave_past, rows_up, sides, top_past
from takeoff.planes import Plane
from takeoff.rafters import Rafter
from takeoff.sizes import standard_book


def plane(*corners):
    """Give a plane by the corners of its deck."""
    length, slope = max(x for x, _ in corners), max(y for _, y in corners)
    return Plane(
        "A", "A", length, slope, length, slope, (Rafter(0, "common"),), Fraction(1), outline=tuple(corners)
    )


TRAPEZOID = plane((0, 0), (100, 0), (70, 30), (30, 30))
WIDENING = plane((20, 0), (60, 0), (100, 40), (20, 40))


def test_a_course_is_as_long_as_it_is_at_its_widest():
    """On a hip plane that is at its lower edge: from 0 to 10 up 100 long, from 10 to 20 up 80."""
    face = Face(TRAPEZOID, 0, 0, 0, 30)

    assert face.stretch(0, 10) == (0, 100)
    assert face.stretch(10, 20) == (10, 90)


def test_beside_a_valley_that_is_its_upper_edge():
    """From 0 to 10 up it reaches from 20 to 70; the layer begins at 20."""
    face = Face(WIDENING, 0, 0, 0, 40)

    assert face.stretch(0, 10) == (0, 50)
    assert face.stretch(10, 20) == (0, 60)


def test_a_layer_reaches_past_its_ends():
    """3 past the left end, 5 past the right one, 2 below the edge: measured from the layer's own corner."""
    face = Face(TRAPEZOID, 3, 5, 2, 34)

    # Up to 2 lie below the deck, which is 100 long at its edge.
    assert face.stretch(0, 2) == (0, 108)
    assert face.stretch(12, 22) == (10, 98)


def test_the_area_of_a_rectangle_with_what_is_past_it():
    """100 x 50 and 2 + 4 along, 3 below and 1 above: 106 x 54."""
    assert Face(plane((0, 0), (100, 0), (100, 50), (0, 50)), 2, 4, 3, 54).area == 106 * 54


def test_rows_stop_where_the_layer_is_complete():
    """Height 12, exposure 5, 18 in to cover: 0, 5, 10 and 15, the last cut off at the top."""
    face = Face(plane((0, 0), (100, 0), (100, 18), (0, 18)), 0, 0, 0, 18)

    assert [(row.number, row.bottom, row.length) for row in rows_up(face, 12, 5, 18)] == [
        (1, 0, 100), (2, 5, 100), (3, 10, 100), (4, 15, 100),
    ]  # fmt: skip
    assert [row.bottom for row in rows_up(face, 12, 5, 18, start=9)] == [9, 14]


@given(
    st.integers(20, 300),
    st.integers(10, 200),
    st.integers(0, 200),
    st.integers(0, 200),
    st.integers(3, 20),
    st.booleans(),
)
def test_courses_cover_every_plane(base, slope, left, right, exposure, upside_down):
    """Length by exposure, added up over the courses, is no less than the plane, whatever its ends slant."""
    left, right = left % (base // 2), right % (base // 2)
    low, high = ((0, 0), (base, 0)), ((base - right, slope), (left, slope))
    if upside_down:
        low, high = ((left, 0), (base - right, 0)), ((base, slope), (0, slope))
    own = plane(*low, *high)
    rows = rows_up(Face(own, 0, 0, 0, slope), 2 * exposure, exposure, slope)

    # Where a slanting end meets a course is rounded inwards, by less than a base unit at each end.
    assert 2 * sum((row.length + 2) * exposure for row in rows) >= own.twice_area
    assert len(rows) == -(-slope // exposure)
    for row in rows:
        for up in (row.bottom, min(row.bottom + 2 * exposure, slope)):
            begins, ends = own.stretch(up)
            offset = min(x for x, _ in own.corners)
            assert row.begins <= begins - offset <= ends - offset <= row.ends


def built(**keys):
    job = job_of(**keys)
    return job, building_of(job, standard_book())


@pytest.mark.parametrize(
    ("keys", "past"),
    # Boards 3/4 in thick in front of tails; at 9 in 12 plumb ones are 3/4 x 5/4 = 15/16 in up the slope.
    [({}, 0), ({"fascia": {}}, 0.9375), ({"fascia": {}, "tails": "square"}, 0.75)],
)
def test_the_finished_face_past_the_deck_at_the_eave(keys, past):
    """Nothing without a board; its thickness, along the slope, with one."""
    job, building = built(pitch=9, **keys)

    assert eave_past(job, building, building.planes[0]) / INCH == pytest.approx(past, abs=1e-4)


def test_where_the_roofing_ends_at_the_top():
    """At the ridge; a slot's width short of it; at the face of a single slope's high edge."""
    job, building = built(pitch=9)
    assert top_past(job, building, building.planes[0]) == 0

    job, building = built(pitch=9, ridge_slot={})
    assert top_past(job, building, building.planes[0]) / INCH == pytest.approx(-1.6875, abs=1e-4)

    job, building = built(pitch=9, roof="single-slope", fascia={})
    assert top_past(job, building, building.planes[0]) / INCH == pytest.approx(0.9375, abs=1e-4)


def test_sides_by_what_is_there():
    """Rakes on a gable, hips on a hip roof, a valley at one end of the planes of an L that meet there."""
    _, gable = built()
    assert sides(gable, gable.planes[0], 1, 2, 4) == (1, 1)

    _, hip = built(roof="hip", rake_overhang=None)
    assert {sides(hip, own, 1, 2, 4) for own in hip.planes} == {(2, 2)}
