"""The roof's geometry: slopes, edges and rafters, by numbers that can be checked by hand."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_jobs import inches, job_of

from optimizer.errors import InputError
from optimizer.lengths import FOOT, INCH, MILLIMETRE
from takeoff.building import Building, building_of, slope_of
from takeoff.sizes import standard_book

BOOK = standard_book()


def building(**keys: Any) -> Building:
    return building_of(job_of(**keys), BOOK)


def test_a_3_4_5_roof_has_exact_slopes():
    """At 9 in 12 every 4 of run are 5 of slope: 60 + 12 in of run give 90 in."""
    roof = building(pitch=9)

    assert [plane.slope for plane in roof.planes] == [90 * INCH, 90 * INCH]
    assert (roof.run, roof.rise, roof.along, roof.span) == (60 * INCH, 45 * INCH, 192 * INCH, 120 * INCH)


def test_nine_foot_walls_and_twelve_foot_clear_are_7_2_in_12():
    """Common practice, no source: over a 10 ft span 36 in of rise are 7.2 in 12 and a 70 in slope."""
    roof = building(pitch=None, peak_height="12 ft", wall_height="9 ft", eave_overhang="0 in")

    assert roof.pitch * 12 == Fraction("7.2")
    # sqrt(60^2 + 36^2) = 69.97
    assert roof.planes[0].slope == pytest.approx(70 * INCH, abs=INCH / 16)


def test_heights_inside_are_measured_between_the_inner_faces():
    """Inside a 127 in wide building with 3-1/2 in walls the run is 60 in."""
    roof = building(pitch=None, width="127 in", peak_height="12 ft", wall_height="9 ft", heights_on="inside")
    slope = building(
        roof="single-slope",
        pitch=None,
        width="127 in",
        peak_height="12 ft",
        wall_height="9 ft",
        heights_on="inside",
    )

    assert roof.pitch == Fraction(36, 60)
    assert slope.pitch == Fraction(36, 120)


def test_a_single_slope_runs_from_eave_to_high_edge():
    """108 in of width, 12 in at the eave and, unless said, 12 in at the high edge: 132 in of run."""
    same = building(roof="single-slope", width="108 in", pitch=9)
    short = building(roof="single-slope", width="108 in", pitch=9, high_overhang="0 in")

    assert [plane.slope for plane in same.planes] == [165 * INCH]
    assert [plane.slope for plane in short.planes] == [150 * INCH]
    assert same.planes[0].name == "roof"
    assert same.roof == "single-slope"


def test_the_ridge_runs_along_the_longer_side_unless_said():
    """Length and width change places with `ridge_along`."""
    assert building(length="10 ft", width="16 ft").along == 16 * FOOT
    assert building(ridge_along="width").along == 10 * FOOT
    assert building(length="12 ft", width="12 ft", ridge_along="width").along == 12 * FOOT


def test_a_fascia_on_plumb_tails_shortens_the_deck_on_plan():
    """To the framing, 60 + 12 - 3/4 in of run at 9 in 12; to the fascia's face, all 72 in."""
    framing = building(pitch=9, fascia={}).planes[0]
    covering = building(pitch=9, fascia={}, deck_to="fascia").planes[0]

    assert framing.slope == slope_of(inches("71-1/4"), Fraction(3, 4)) == inches("71-1/4") * 5 // 4
    assert covering.slope == framing.finish_slope == 90 * INCH


def test_a_fascia_on_square_tails_shortens_the_deck_along_the_slope():
    """A board that leans with the tail takes its own thickness off the slope: 90 - 3/4 in."""
    plane = building(pitch=9, fascia={}, tails="square").planes[0]

    assert plane.slope == inches("89-1/4")
    assert plane.finish_slope == 90 * INCH


def test_rake_overhangs_are_measured_to_the_boards_face():
    """12 in to the face of a 3/4 in board: framing and deck reach 11-1/4 in, or the deck all 12."""
    framing = building(rake_overhang="12 in", rake_board={})
    covering = building(rake_overhang="12 in", rake_board={}, deck_to="fascia")

    assert framing.planes[0].length == 192 * INCH + 2 * inches("11-1/4")
    assert framing.planes[0].finish_length == covering.planes[0].length == 216 * INCH
    # The deck's edge lies 3/4 in farther out, so everything under it does from there.
    assert covering.planes[0].rafters[0].at == framing.planes[0].rafters[0].at + inches("3/4")


def test_flush_rakes_carry_their_board_outside():
    """With no overhang the framing is flush with the wall, the board on its outside."""
    roof = building(rake_board={})

    assert (roof.rake.framing, roof.rake.finish, roof.rake.deck) == (0, inches("3/4"), 0)
    assert roof.planes[0].length == 192 * INCH
    assert roof.planes[0].finish_length == inches("193-1/2")


def test_rafters_start_flush_and_the_next_is_one_spacing_from_the_corner():
    """On 16 ft: 3/4, 24, 48 ... 168, and the last flush at 191-1/4."""
    at = [rafter.at for rafter in building().planes[0].rafters]

    assert at == [inches("3/4"), *(24 * INCH * k for k in range(1, 8)), inches("191-1/4")]


def test_the_last_bay_takes_what_remains_and_the_far_side_sees_it_first():
    """On 197 in, 16 in on centre: the last bay is 4-1/4 in; from the far side it stands on the left."""
    near, far = building(length="197 in", rafter_spacing="16 in").planes

    assert [rafter.at for rafter in near.rafters][-2:] == [192 * INCH, inches("196-1/4")]
    assert [rafter.at for rafter in far.rafters][:2] == [inches("3/4"), 5 * INCH]


def test_a_rafter_that_would_run_into_the_last_stands_against_it():
    """On 121 in the line at 120 in would overlap the last rafter at 120-1/4: it slides to 118-3/4."""
    at = [rafter.at for rafter in building(length="121 in", width="8 ft").planes[0].rafters]

    assert at[-3:] == [96 * INCH, inches("118-3/4"), inches("120-1/4")]


def test_a_named_first_rafter_carries_the_spacing_on():
    """With the first centre at 3/4 in every next one is 24 in farther."""
    at = [rafter.at for rafter in building(first_rafter="3/4 in").planes[0].rafters]

    assert at[:3] == [inches("3/4"), inches("24-3/4"), inches("48-3/4")]


def test_overhanging_rakes_have_barge_rafters_outside_the_gable_wall():
    """12 in out: barge at 3/4, gable wall at 12-3/4, then 36, 60 and so on."""
    rafters = building(rake_overhang="12 in").planes[0].rafters

    assert [rafter.role for rafter in rafters[:3]] == ["barge", "gable", "common"]
    assert [rafter.at for rafter in rafters[:3]] == [inches("3/4"), inches("12-3/4"), 36 * INCH]
    assert rafters[-1].at == inches("215-1/4")


def test_an_overhang_thinner_than_a_rafter_has_no_barge():
    """One inch of overhang leaves no room for a rafter outside the wall."""
    assert not building(rake_overhang="1 in").has_barges


def test_measured_lengths_win_half_by_half():
    """A measured slope and ridge replace what the plan gives; the last bay follows."""
    near, far = building(slope_length=["84 in", "84-1/4 in"], ridge_length=["192 in", "192-1/2 in"]).planes

    assert (near.slope, far.slope) == (84 * INCH, inches("84-1/4"))
    assert (near.length, far.length) == (192 * INCH, inches("192-1/2"))
    assert far.rafters[1].at == inches("192-1/2") - 168 * INCH


def test_measured_rafters_are_taken_as_they_stand():
    """The reference roofs: rafters from 12 in inside each edge of a 216 in deck."""
    lines = [f"{24 * k} in" for k in range(9)]
    rafters = building(rafters=lines, rake_overhang="12 in").planes[1].rafters

    assert [rafter.at for rafter in rafters[1:-1]] == [(12 + 24 * k) * INCH for k in range(9)]


@pytest.mark.parametrize(
    ("sides", "marks"),
    [
        (["door side", "far side"], ("D", "F")),
        (["north", "nether"], ("A", "B")),
        (["1st", "2nd"], ("A", "B")),
    ],
)
def test_marks_tell_the_sides_apart(sides: list[str], marks: tuple[str, str]):
    """First letters where they differ, else A and B."""
    assert tuple(plane.mark for plane in building(sides=sides).planes) == marks


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"rafters": ["0 in", "24 in", "20 ft"]}, "rafters: the last rafter lies 48 in beyond the 192 in of"),
        ({"rafters": ["0 in", "168 in"]}, "nearest the right corner is 24 in from it"),
        ({"first_rafter": "12 in"}, "the left corner is 12 in from it, more than 6 in; a rafter st"),
        ({"length": "2 in", "width": "8 ft", "ridge_along": "length"}, "no room for two rafters on 2 in"),
        ({"length": "900 ft", "rafter_spacing": "2 in"}, "more than 2000 rafters"),
        ({"fascia": {}, "eave_overhang": "1/2 in"}, "eave_overhang: 1/2 in is less than the board's 3/4 in"),
        ({"fascia": {"material": "1x7"}}, "fascia.material: the list of usual sizes has no '1x7'"),
        ({"rake_overhang": "12 in", "ridge_length": "24 in"}, "24 in is no more than the two rake overhangs"),
        (
            {"pitch": None, "peak_height": "90 ft", "wall_height": "9 ft"},
            "peak_height: these heights make a roof steeper than 60 in 12",
        ),
        (
            {"pitch": None, "peak_height": "12 ft", "wall_height": "9 ft", "heights_on": "inside",
             "wall_thickness": "5 ft"},
            "wall_thickness: the walls leave no room between them",
        ),
    ],
)  # fmt: skip
def test_dimensions_that_contradict_each_other_are_refused(keys: dict[str, Any], said: str):
    """The message names the key and the sizes."""
    with pytest.raises(InputError) as caught:
        building(**keys)

    assert said in str(caught.value)


sizes = st.integers(min_value=60, max_value=600).map(lambda half: f"{half / 2} in")


@given(
    length=sizes,
    width=sizes,
    pitch=st.integers(min_value=1, max_value=24),
    spacing=st.sampled_from(["12 in", "16 in", "19.2 in", "24 in", "600 mm"]),
    overhang=st.sampled_from(["0 in", "1 in", "8 in", "12 in", "350 mm"]),
    roof=st.sampled_from(["gable", "single-slope"]),
)
def test_rafters_stand_in_order_inside_the_deck_no_bay_wider_than_the_spacing(
    length: str, width: str, pitch: int, spacing: str, overhang: str, roof: str
):
    """For any roof: rafters grow from left to right, stay on the deck, and no bay passes the spacing."""
    job = job_of(
        length=length, width=width, pitch=pitch, rafter_spacing=spacing, rake_overhang=overhang, roof=roof
    )
    for plane in building_of(job, BOOK).planes:
        at = [rafter.at for rafter in plane.rafters]
        inner = [rafter.at for rafter in plane.rafters if rafter.role != "barge"]
        bays = [after - before for before, after in pairwise(inner)]

        assert at[0] >= job.rafter_thickness // 2
        assert at[-1] <= plane.length - job.rafter_thickness // 2
        assert all(job.rafter_thickness <= bay <= job.rafter_spacing for bay in bays)
        assert sum(rafter.role == "gable" for rafter in plane.rafters) == 2


@given(
    plan=st.integers(min_value=1, max_value=40 * FOOT),
    rise=st.integers(min_value=1, max_value=288),
)
def test_a_slope_is_the_root_rounded_down(plan: int, rise: int):
    """The slope squared is at most the exact square, and one base unit more is past it."""
    pitch = Fraction(rise, 144)
    square = plan**2 * (1 + pitch**2)

    assert slope_of(plan, pitch) ** 2 <= square < (slope_of(plan, pitch) + 1) ** 2


def test_halves_of_an_odd_width_are_equal():
    """A width that doesn't halve evenly still gives two equal slopes."""
    near, far = building(width="3000.0006 mm").planes

    assert near.slope == far.slope
    assert building(width="3000.0006 mm").span > 3000 * MILLIMETRE
