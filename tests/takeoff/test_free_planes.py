"""Planes by their corners: within the plane, in space, and what is refused."""

from __future__ import annotations

from fractions import Fraction
from math import cos, radians, sin, sqrt
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_jobs import job_of

from optimizer.errors import InputError
from optimizer.lengths import FOOT, INCH
from takeoff.building import Building, building_of
from takeoff.sizes import standard_book

BOOK = standard_book()


def feet(*points: tuple[float, ...]) -> list[list[str]]:
    return [[f"{number} ft" for number in point] for point in points]


def roof(*planes: dict[str, Any], **keys: Any) -> Building:
    return building_of(job_of(roof="planes", plane=list(planes), **keys), BOOK)


RECTANGLE = feet((0, 0), (16, 0), (16, 7), (0, 7))


def test_corners_within_a_plane():
    """A rectangle stays one, whichever corner is named first and whichever way round."""
    plain = roof({"name": "front", "corners": RECTANGLE}).planes[0]

    assert (plain.length, plain.slope, plain.outline, plain.top) == (16 * FOOT, 7 * FOOT, (), "high edge")
    for turned in (RECTANGLE[1:] + RECTANGLE[:1], RECTANGLE[::-1]):
        assert roof({"name": "front", "corners": turned}).planes[0] == plain
    # The first rafter's face is flush, the next one spacing from the end, the last flush again.
    assert [rafter.at for rafter in plain.rafters[:2]] == [INCH * 3 // 4, 24 * INCH]
    assert plain.rafters[-1].at == 16 * FOOT - INCH * 3 // 4
    assert [rafter.role for rafter in plain.rafters[::7]] == ["gable", "common"]


def test_sides_are_named_by_how_they_lie():
    """Below an eave, above a high edge, at the ends rakes."""
    lines = roof({"name": "front", "corners": RECTANGLE}).lines

    assert [(line.kind, line.side, line.length) for line in lines] == [
        ("eave", "", 16 * FOOT),
        ("rake", "right", 7 * FOOT),
        ("high edge", "", 16 * FOOT),
        ("rake", "left", 7 * FOOT),
    ]
    assert lines[1].rise == round(7 * FOOT * 0.5 / sqrt(1.25))


def test_sides_are_named_as_typed():
    """Names follow their corners when those are turned round, and "none" is no line."""
    edges = ["eave", "hip", "ridge", "none"]
    lines = roof({"name": "front", "corners": RECTANGLE, "edges": edges}).lines
    # Seen backwards from the last corner: ridge, hip, eave, none.
    turned = roof({"name": "front", "corners": RECTANGLE[::-1], "edges": ["ridge", "hip", "eave", "none"]})

    assert [line.kind for line in lines] == ["eave", "hip", "ridge"]
    assert turned.lines == lines
    assert turned.planes[0].top == "ridge"


SKEW = feet((0, 0, 8), (16, 0, 8), (10, 6, 12), (6, 6, 12))


def test_points_in_space_give_the_pitch():
    """4 ft up over 6 ft is 8 in 12; the deck runs up sqrt(6^2 + 4^2) ft."""
    plane = roof({"name": "front", "points": SKEW}, pitch=None).planes[0]

    up = round(sqrt(52) * FOOT)
    assert plane.pitch == Fraction(2, 3)
    assert plane.outline == ((0, 0), (16 * FOOT, 0), (10 * FOOT, up), (6 * FOOT, up))


def test_planes_that_share_points_meet():
    """A hip roof by its points is a hip roof."""
    right = feet((16, 0, 8), (16, 12, 8), (10, 6, 12))
    back = feet((16, 12, 8), (0, 12, 8), (6, 6, 12), (10, 6, 12))
    left = feet((0, 12, 8), (0, 0, 8), (6, 6, 12))
    named = [("front", SKEW), ("right", right), ("back", back), ("left", left)]
    found = roof(*({"name": name, "points": points} for name, points in named), pitch=None)
    same = building_of(job_of(roof="hip", length="16 ft", width="12 ft", pitch=8, eave_overhang="0 in"), BOOK)

    assert sorted((line.kind, line.length) for line in found.lines) == sorted(
        (line.kind, line.length) for line in same.lines
    )
    assert sorted(plane.outline for plane in found.planes) == sorted(plane.outline for plane in same.planes)


def test_valleys_and_breaks_are_told_from_hips_and_ridges():
    """Two planes that rise from their line meet in a valley; where the same way gets flatter, at a break."""
    steep = feet((0, 0, 0), (8, 0, 0), (8, 3, 3), (0, 3, 3))
    flat = feet((0, 3, 3), (8, 3, 3), (8, 7, 4), (0, 7, 4))
    over = feet((0, 11, 3), (0, 7, 4), (8, 7, 4), (8, 11, 3))
    across = feet((8, 0, 0), (12, 0, 4), (12, 3, 7), (8, 3, 3))
    found = roof(
        *(
            {"name": name, "points": points}
            for name, points in (("steep", steep), ("flat", flat), ("over", over), ("across", across))
        ),
        pitch=None,
    )

    assert {line.planes: line.kind for line in found.lines if len(line.planes) > 1} == {
        ("steep", "flat"): "break",
        ("flat", "over"): "ridge",
        ("steep", "across"): "valley",
    }
    assert [plane.top for plane in found.planes][:3] == ["break", "ridge", "ridge"]


def test_rafters_as_measured_on_a_plane():
    """Measured centres are taken; one beyond the plane is refused."""
    measured = {"name": "front", "corners": RECTANGLE, "rafters": ["1 in", "25 in", "49 in"]}
    assert [rafter.at for rafter in roof(measured).planes[0].rafters] == [INCH, 25 * INCH, 49 * INCH]
    first = {"name": "front", "corners": RECTANGLE, "first_rafter": "10 in"}
    assert [rafter.at for rafter in roof(first).planes[0].rafters[:2]] == [10 * INCH, 34 * INCH]
    with pytest.raises(InputError, match="beyond the plane"):
        roof({**measured, "rafters": ["1 in", "17 ft"]})


@pytest.mark.parametrize(
    ("plane", "message"),
    [
        ({"corners": feet((0, 0), (8, 0), (4, 0))}, "enclose nothing"),
        ({"corners": feet((0, 0), (8, 0), (8, 0), (0, 4))}, "the same"),
        ({"corners": feet((0, 0), (8, 0), (8, 4), (4, 2), (0, 4))}, "course would be parted"),
        (
            {"corners": feet((0, 0), (0, 4), (8, 4), (8, 3), (-0, 2), (8, 1), (8, 0))},
            "course would be parted",
        ),
        ({"points": feet((0, 0, 8), (8, 0, 8), (8, 8, 8))}, "is level"),
        ({"points": feet((0, 0, 8), (8, 0, 8), (8, 0, 12))}, "is upright"),
        ({"points": feet((0, 0, 8), (8, 0, 8), (8, 8, 12), (0, 8, 13))}, "lie in one plane"),
        ({"corners": feet((0, 0), (1, 0), (0, 4))}, "fewer than two rafters"),
        ({"corners": feet((0, 0), (8, 0), (1, 4), (7, 4))}, "sides cross"),
    ],
)
def test_planes_that_can_not_be_covered(plane, message):
    """What no deck can be laid on in courses is refused, in words."""
    with pytest.raises(InputError, match=message):
        roof({"name": "front", **plane})


@pytest.mark.parametrize(
    ("plane", "message"),
    [
        ({}, "give corners or points"),
        ({"points": SKEW, "pitch": 6}, "give the pitch themselves"),
        ({"corners": RECTANGLE, "edges": ["eave", "rake"]}, "4 corners make 4 sides"),
        ({"corners": RECTANGLE, "rafters": ["1 in", "2 in"], "first_rafter": "1 in"}, "not both"),
        ({"corners": RECTANGLE, "rafters": ["3 in", "2 in"]}, "grow from left to right"),
    ],
)
def test_what_a_plane_may_not_say(plane, message):
    """Keys that contradict each other are named."""
    with pytest.raises(InputError, match=message):
        job_of(roof="planes", plane=[{"name": "front", **plane}])


def test_corners_need_a_pitch():
    """Points in space give it; corners within a plane do not."""
    with pytest.raises(InputError, match="give pitch"):
        roof({"name": "front", "corners": RECTANGLE}, pitch=None)
    assert roof({"name": "front", "corners": RECTANGLE, "pitch": 3}, pitch=None).pitch == Fraction(1, 4)


@given(st.integers(0, 359), st.integers(1, 40), st.integers(60, 200), st.integers(40, 120))
def test_a_turned_rectangle_is_still_one(degrees, rise, wide, deep):
    """However a rectangle lies in space, its deck is as long and as high as it is."""

    c, s = cos(radians(degrees)), sin(radians(degrees))
    corners = [(0, 0, 0), (wide, 0, 0), (wide, deep, rise), (0, deep, rise)]
    points = [
        [f"{round(300 + c * x - s * y, 6)} in", f"{round(300 + s * x + c * y, 6)} in", f"{z} in"]
        for x, y, z in corners
    ]
    plane = roof({"name": "front", "points": points}, pitch=None).planes[0]

    assert plane.length == pytest.approx(wide * INCH, abs=8)
    assert plane.slope == pytest.approx(sqrt(deep**2 + rise**2) * INCH, abs=8)
    assert float(plane.pitch) == pytest.approx(rise / deep, abs=1e-4)
