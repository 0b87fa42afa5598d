"""Underlayment and ice barrier: courses, laps, two layers on a low slope, where a barrier is wanted."""

from __future__ import annotations

import pytest
from small_jobs import job_of, levels

from optimizer.errors import InputError
from optimizer.lengths import FOOT, INCH
from takeoff.building import building_of
from takeoff.sizes import standard_book
from takeoff.underlayment import underlayment_needs


def needs(**keys):
    """Take off 16 x 10 ft at 9 in 12, overhang 12 in: slope (60 + 12) x 5 / 4 = 90 in, eave 192 in."""
    job = job_of(**{"pitch": 9, "underlayment": {}} | keys)
    return underlayment_needs(job, building_of(job, standard_book()), standard_book())


def half(found, layer="door side underlayment"):
    return [run for run in found.runs if run.layer == layer]


def test_courses_lap_two_inches_up_the_slope_and_over_the_ridge():
    """90 in of slope and 6 in over the ridge: courses at 0, 34 and 68, the last reaching 104."""
    runs = half(needs())

    assert [run.bottom / INCH for run in runs] == [0, 34, 68]
    assert {run.length / INCH for run in runs} == {192}
    assert {run.lap / INCH for run in runs} == {4}


def test_end_laps_keep_six_feet_from_those_of_the_course_below():
    """Every course but the first names the one below, and 72 in."""
    runs = half(needs())

    assert [run.beside for run in runs] == ["", runs[0].label, runs[1].label]
    assert [run.stagger / INCH for run in runs] == [0, 72, 72]


def test_both_halves_share_the_rolls():
    """One material for both, laid one half after the other, between eave metal and rake metal."""
    found = needs()

    assert {run.material for run in found.runs} == {"felt-15"}
    assert [run.needed for run in found.runs] == [24, 24, 24, 25, 25, 25]


def test_felt_is_flush_at_the_rakes():
    """An overhang lengthens the deck and with it the felt: 192 + 2 x 12 in, no more."""
    assert {run.length / INCH for run in needs(rake_overhang="12 in").runs} == {216}


def test_felt_stops_at_a_slot():
    """A slot's edge at 90 - (3/4 x 5/4 + 3/4) = 88-5/16 in: the third course is still needed, no fourth."""
    runs = half(needs(ridge_slot={}))

    assert [run.bottom / INCH for run in runs] == [0, 34, 68]
    # 68 in of slope less the slot would be covered by two courses, which reach 70; without the slot it
    # would take three: 68 + 6 = 74.
    lower = {"slope_length": "68 in"}
    assert len(half(needs(**lower))) == 3
    assert len(half(needs(ridge_slot={}, **lower))) == 2


def test_low_slopes_get_two_layers():
    """At 3 in 12 felt of 36 in laps 19 in, 17 in show, on a starter strip; 74.2 + 6 in over the ridge."""
    found = needs(pitch=3)
    runs = half(found)

    # NAVEDTRA 14044: a 19 in starter strip, then 36 in sheets lapped 19 in.
    assert runs[0].label.endswith("starter strip")
    assert [run.bottom / INCH for run in runs] == [0, 0, 17, 34, 51, 68]
    assert levels(found, "underlayment layers") == ["pass", "pass"]
    assert "19 in" in next(c.message for c in found.checks if c.rule == "underlayment layers")


def test_every_spot_of_a_low_slope_is_covered_twice():
    """Two courses or strip and course lie over every inch, whatever the slope."""
    for inches in range(30, 200, 7):
        runs = half(needs(pitch=3, slope_length=f"{inches} in"))
        strip, courses = runs[0], runs[1:]
        for at in range(inches):
            over = sum(run.bottom <= at * INCH < run.bottom + 36 * INCH for run in courses)
            over += strip.bottom <= at * INCH < strip.bottom + 19 * INCH
            assert over >= 2, (inches, at)


def test_a_synthetic_sheet_of_four_feet_laps_25_inches_on_low_slopes():
    """One maker's sheet asks for 25 in between 2 and 4 in 12: half of 48 in and one more."""
    runs = half(needs(pitch=3, underlayment={"material": "synthetic-sheet"}))

    assert runs[2].bottom / INCH == 23


def test_one_layer_on_a_low_slope_is_a_warning():
    """A job may ask for it, and is told."""
    assert levels(needs(pitch=3, underlayment={"layers": 1}), "underlayment layers") == ["warn", "warn"]


def test_an_ice_barrier_reaches_two_feet_inside_the_wall():
    """(12 + 3-1/2 + 24) x 5 / 4 = 49.4 in up the slope: courses at 0 and 32-1/2 in, lapped by felt 4 in."""
    found = needs(ice_barrier={})
    barrier = half(found, "door side ice barrier")

    assert [run.bottom / INCH for run in barrier] == [0, 32.5]
    # The barrier ends at 32-1/2 + 36 = 68-1/2.
    assert half(found)[0].bottom / INCH == 64.5
    assert [c.level for c in found.checks if c.rule == "ice barrier"] == ["pass", "pass"]


def test_steep_roofs_without_an_overhang_keep_three_feet_of_barrier():
    """At 12 in 12 (3-1/2 + 24) x 1.414 = 38.9 in; at 8 in 12 it is 33.05, so 36 in of older codes rule."""

    def reach(pitch):
        found = needs(ice_barrier={}, pitch=pitch, eave_overhang="0 in")
        return next(c.message for c in found.checks if c.rule == "ice barrier")

    assert "38-7/8 in up the slope" in reach(12)
    assert "36 in up the slope" in reach(8)
    assert "32-1/2 in" not in reach(8)


def test_detached_buildings_without_a_heated_floor_need_no_barrier():
    """The exception leaves the barrier out and says so."""
    found = needs(ice_barrier={"unheated_detached": True})

    assert half(found, "door side ice barrier") == []
    assert half(found)[0].bottom == 0
    assert levels(found, "ice barrier") == ["pass"]


def test_cap_nails_by_spacing():
    """Three courses of 192 in a half, rows 14 in apart: three rows of 192 / 12 + 1 = 17 in every course."""
    (nails,) = needs().counts

    assert nails.quantity == 2 * 3 * 3 * 17


def test_high_wind_closes_up_the_laps():
    """Rules "windy": 6 in along the lap make 33 there, 17 in each of the other two rows."""
    (nails,) = needs(rules="windy").counts

    assert nails.quantity == 2 * 3 * (33 + 2 * 17)


def test_a_single_slope_stops_at_its_high_edge():
    """Slope (120 + 24) x 5 / 4 = 180 in: courses at 0, 34, 68, 102, 136, and none that would begin at 178."""
    runs = needs(roof="single-slope").runs

    assert [run.bottom / INCH for run in runs] == [0, 34, 68, 102, 136, 170]


def test_a_valley_gets_a_sheet_of_its_own():
    """Its true length and 6 in over the ridge, before the courses."""
    job = job_of(roof="L", wing={"length": "8 ft"}, underlayment={}, rake_overhang="12 in")
    building = building_of(job, standard_book())
    (line,) = building.lines_of("valley")
    found = underlayment_needs(job, building, standard_book())

    assert [run.length for run in half(found, "valley underlayment")] == [line.length + 6 * INCH]
    assert levels(found, "underlayment in valleys") == ["note"]


def test_rolls_by_area():
    """Six courses of 16 ft and a tenth are 105.6 ft: one roll of 144 ft."""
    assert needs().by_area[0].pieces == (("felt-15 3x144 ft", 1),)


@pytest.mark.parametrize(
    ("table", "told"),
    [({"material": "felt-16"}, "did you mean"), ({"side_lap": "3 ft"}, "leaves nothing")],
)
def test_what_can_not_be_laid_is_refused(table, told):
    """A material the book lacks, and a lap as wide as the roll."""
    with pytest.raises(InputError, match=told):
        needs(underlayment=table)


@pytest.mark.parametrize(
    ("roll", "exposure", "squares"), [(144, 34, 4), (72, 34, 2), (144, 17, 2), (72, 17, 1)]
)
def test_rolls_cover_the_squares_printed(roll, exposure, squares):
    """No. 15 felt covers 4 squares in one layer and 2 in two, No. 30 half of that, before end laps."""
    # Trade-journal field guide to asphalt shingles: 432 and 216 sq ft a roll.
    feet = {item.material: item.length / FOOT for item in standard_book().items if "felt" in item.material}
    assert roll in feet.values()
    assert roll * exposure / 12 // 100 == squares


def test_an_ice_barrier_laps_over_the_hips():
    """6 in past each hip, as one roll laps the next: the courses of two planes don't meet in a butt joint."""
    table, layer = {"end_lap": "6 in"}, "door side ice barrier"
    # The deck reaches 12 in past each corner of 192 in.
    assert half(needs(roof="hip", ice_barrier=table), layer)[0].length / INCH == 192 + 24 + 2 * 6
    assert (
        half(needs(roof="hip", ice_barrier={"end_lap": "3 in"}), layer)[0].length / INCH == 192 + 24 + 2 * 3
    )
    assert {run.length / INCH for run in half(needs(ice_barrier=table), layer)} == {192}
