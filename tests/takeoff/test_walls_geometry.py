"""The walls: how long they are, and where their skin ends at the roof."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_jobs import job_of

from optimizer.errors import InputError
from optimizer.lengths import INCH
from takeoff.building import building_of
from takeoff.sizes import standard_book
from takeoff.walls_geometry import frame_sizes, height_at, walls_of

BOOK = standard_book()
BARE = {"eave_top": "plate", "gable_top": "rafter undersides", "seat": "0 in"}


def walls(**keys):
    job = job_of(**keys)
    return {wall.name: wall for wall in walls_of(job, building_of(job, BOOK), BOOK)}


def tops(wall):
    return [(round(x / INCH, 2), round(up / INCH, 2)) for x, up in wall.top]


def test_gable_walls_rise_with_the_roof():
    """10 ft wide at 6 in 12: half of 120 in rises 30 in above walls of 96."""
    found = walls(walls=BARE)

    assert tops(found["right end"]) == [(0, 96), (60, 126), (120, 96)]
    assert tops(found["door side"]) == [(0, 96), (192, 96)]


def test_the_seat_lowers_the_heel_and_the_rafter_lifts_the_gable():
    """Seat 3-1/2 in at 6 in 12: heel 1.75 in below the plate; the rafter's top 5-1/2 x 1.118 over that."""
    found = walls(walls={})

    assert tops(found["far side"]) == [(0, 94.25), (192, 94.25)]
    assert tops(found["left end"])[0] == (0, 100.4)


def test_a_single_slope_has_a_low_and_a_high_wall():
    """120 in at 6 in 12 rise 60 in; from outside, the right end rises to the right, the left end falls."""
    found = walls(roof="single-slope", walls=BARE)

    assert tops(found["low wall"]) == [(0, 96), (192, 96)]
    assert tops(found["high wall"]) == [(0, 156), (192, 156)]
    assert tops(found["right end"]) == [(0, 96), (120, 156)]
    assert tops(found["left end"]) == [(0, 156), (120, 96)]


def test_the_seat_on_the_high_wall_is_level_with_its_outer_face():
    """The high plate takes the rafter where its underside passes the outer face: 96 - 1.75 + 60."""
    assert walls(roof="single-slope", walls={})["high wall"].plate / INCH == 154.25


def test_a_gambrel_breaks():
    """24 in at 12 in 12, then 36 at 4 in 12: 24 up, then 12."""
    found = walls(pitch=12, roof="gambrel", gambrel={"break_at": "24 in", "upper_pitch": 4}, walls=BARE)

    assert tops(found["left end"]) == [(0, 96), (24, 120), (60, 132), (96, 120), (120, 96)]


def test_hips_stand_on_level_walls():
    """Four walls as high as one another."""
    found = walls(roof="hip", walls=BARE)

    assert [tops(wall) for wall in found.values()] == [
        [(0, 96), (192, 96)],
        [(0, 96), (120, 96)],
    ] * 2


@pytest.mark.parametrize(("end", "inner"), [("left", (True, False)), ("right", (False, True))])
def test_an_l_has_six_walls(end, inner):
    """24 x 12 ft with a wing 8 ft wide, 6 ft out: first side 16 ft, outer side 18, two gables."""
    wing = {"length": "6 ft", "width": "8 ft", "end": end}
    found = walls(length="24 ft", width="12 ft", roof="L", wing=wing, walls=BARE)

    widths = {name: wall.width // (12 * INCH) for name, wall in found.items()}
    gable = "right end" if end == "left" else "left end"
    assert widths == {
        "door side": 16,
        gable: 12,
        "far side": 24,
        "outer side": 18,
        "wing end": 8,
        "inner side": 6,
    }
    assert found["door side"].inside == inner
    assert found["inner side"].inside == inner[::-1]
    assert tops(found["wing end"]) == [(0, 96), (48, 120), (96, 96)]


def test_going_round_every_wall_has_its_letter():
    """Labels of panels begin with it."""
    assert [wall.mark for wall in walls(walls={}).values()] == ["A", "B", "C", "D"]


def test_a_ridge_off_the_middle_leaves_the_far_wall_lower():
    """Ridge 4 ft in of 10, one pitch 6 in 12: up 24, down 36."""
    found = walls(ridge_from="4 ft", walls=BARE)

    assert tops(found["right end"]) == [(0, 96), (48, 120), (120, 84)]
    assert tops(found["far side"]) == [(0, 84), (192, 84)]


def test_the_frame_says_what_the_walls_do_not():
    """Rafters 2x8 with a 4 in seat, studs 24 in apart, from the frame's own table."""
    job = job_of(framing={"rafter": "2x8", "seat": "4 in", "stud_spacing": "24 in"}, walls={})
    sizes = frame_sizes(job, BOOK)

    assert (sizes.depth / INCH, sizes.seat / INCH, sizes.stud_spacing / INCH) == (7.25, 4, 24)
    job = job_of(framing={"rafter": "2x8"}, walls={"rafter_depth": "6 in", "stud_spacing": "12 in"})
    assert frame_sizes(job, BOOK).depth == 6 * INCH
    assert frame_sizes(job, BOOK).stud_spacing == 12 * INCH


def test_free_planes_have_no_known_walls():
    """A roof given by its planes says nothing of walls."""
    plane = {
        "name": "front",
        "corners": [["0 ft", "0 ft"], ["16 ft", "0 ft"], ["16 ft", "7 ft"], ["0 ft", "7 ft"]],
    }
    with pytest.raises(InputError, match="free planes"):
        walls(roof="planes", plane=[plane], walls={})


@given(
    width=st.integers(60, 400),
    rise=st.integers(1, 24),
    depth=st.integers(0, 12),
    roof=st.sampled_from(["gable", "single-slope"]),
)
def test_end_walls_are_mirror_pairs(width, rise, depth, roof):
    """What is left of one end wall is right of the other, and every height between follows the slope."""
    table = {"rafter_depth": f"{depth + 1} in"}
    found = walls(width=f"{width} in", length="500 in", pitch=rise, roof=roof, walls=table)
    left, right = found["left end"], found["right end"]

    assert left.top == tuple((left.width - x, up) for x, up in reversed(right.top))
    assert left.twice_area == right.twice_area
    for (x0, up0), (x1, up1) in pairwise(right.top):
        middle = (x0 + x1) // 2
        assert abs(height_at(right, middle) - (up0 + up1) / 2) <= 1 + abs(up1 - up0) / (x1 - x0)
