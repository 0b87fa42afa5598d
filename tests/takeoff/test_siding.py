"""Lap siding: courses up the wall, broken by openings, jointed on studs."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_jobs import job_of

from optimizer.errors import InputError
from optimizer.lengths import FOOT, INCH
from takeoff.building import building_of
from takeoff.siding import siding_needs
from takeoff.sizes import standard_book

BOOK = standard_book()
BARE = {
    "material": False,
    "eave_top": "plate",
    "gable_top": "rafter undersides",
    "seat": "0 in",
    "below": "0 in",
    "corner_board": False,
}


def needs(**keys):
    job = job_of(**{"siding": {}, "walls": BARE, **keys})
    return siding_needs(job, building_of(job, BOOK), BOOK)


def courses(found, wall):
    return [run for run in found.runs if run.layer == f"{wall} siding"]


def test_courses_are_evened_out_below_the_exposure():
    """96 in at 7 in at most: fourteen courses of 6-6/7 in, each as long as the wall."""
    found = courses(needs(), "door side")

    assert len(found) == 14
    assert {run.length for run in found} == {192 * INCH}


def test_courses_of_a_gable_grow_shorter():
    """96 in of wall and 30 of gable at 6-6/7 in: 19 courses; course 15 begins at 96 in and is still whole."""
    found = courses(needs(), "left end")

    assert len(found) == 19
    lengths = [run.length / INCH for run in found]
    assert lengths[14] == pytest.approx(120, abs=0.001)
    # Course 16 begins 6-6/7 in above the plate: at 6 in 12 that is 13-5/7 in off either end.
    assert lengths[15] == pytest.approx(120 - 2 * 96 / 7, abs=0.01)


def test_a_door_breaks_the_courses_beside_it():
    """36 in of door, 3-1/2 in of casing and 1/8 in of gap on either side: 192 - 43.25 in two halves."""
    found = needs(door=[{"width": "36 in", "height": "80 in"}])
    beside = [run for run in courses(found, "door side") if run.label.endswith("part 2")]

    # Whole courses end below 83-1/2 in, head and casing: twelve of 6-6/7 in are 82-2/7.
    assert len(beside) == 12
    assert {run.length / INCH for run in beside} == {(192 - 43.25) / 2}


def test_a_course_that_a_window_takes_in_part_runs_on():
    """44 to 83-1/2 in with casing: courses from 48 to 82-2/7 are broken, the one from 41-1/7 is notched."""
    found = courses(needs(window=[{"width": "24 in", "height": "36 in"}]), "far side")

    assert [run.label for run in found if run.label.endswith("part 2")] == [
        f"far side siding, course {number}, part 2" for number in range(8, 13)
    ]


def test_courses_end_at_corner_boards():
    """On a side 3-1/2 in of board and 1/8 in of gap, on an end the board laps the other: 2-3/4 and 1/8."""
    found = needs(walls={**BARE, "corner_board": "1x4"})

    assert courses(found, "door side")[0].length / INCH == 192 - 2 * 3.625
    assert courses(found, "right end")[0].length / INCH == 120 - 2 * 2.875


def test_a_course_within_a_board_has_no_joint():
    """16 ft boards cover 192 in; 24 ft need joints, on studs 16 in apart."""
    assert all(run.seams == () for run in courses(needs(), "door side"))

    (first, second, third, fourth) = courses(needs(length="24 ft"), "door side")[:4]
    assert all(seam % (16 * INCH) == 0 for seam in (*first.seams, *second.seams, *third.seams))
    assert not set(first.seams) & set(second.seams)
    assert not set(second.seams) & set(third.seams)
    assert not set(first.seams) & set(third.seams)
    assert first.seams == fourth.seams


def test_joints_on_studs_are_offered_everywhere_if_asked():
    """Then offcuts may be used up."""
    found = needs(siding={"joints": "on studs"})
    assert all(run.seams for run in courses(found, "door side"))


def test_a_starter_runs_along_the_foot_but_not_through_doors():
    """Sides 192 in, the first parted by a door of 36, ends 120 in."""
    found = needs(door=[{"width": "36 in", "height": "80 in"}])
    starters = [run for run in found.runs if "starter" in run.label]

    assert [run.length / INCH for run in starters] == [78, 78, 120, 192, 120]
    assert {run.material for run in starters} == {"1x2"}


def test_no_headlap_is_refused():
    """An exposure as wide as the board laps nothing."""
    with pytest.raises(InputError, match="leaves no headlap"):
        needs(siding={"exposure": "9 in"})


@pytest.mark.parametrize(("exposure", "level"), [("7 in", "pass"), ("7-3/4 in", "warn")])
def test_headlap_is_held_to_an_inch(exposure, level):
    """Boards of 8-1/4 in: evened out to 6-6/7 they lap 1.39 in, at 7.385 in only 0.87."""
    found = needs(siding={"exposure": exposure})
    assert [check.level for check in found.checks if check.rule == "headlap of siding"] == [level]


@settings(deadline=None, max_examples=40)
@given(length=st.integers(100, 400), pitch=st.integers(1, 12), exposure=st.integers(4, 7))
def test_courses_cover_the_wall(length, pitch, exposure):
    """What shows of all courses is at least the wall, and no more than a course of every slope beyond it."""
    keys = {"length": f"{length} in", "width": "100 in", "ridge_along": "length", "pitch": pitch}
    found = needs(**keys, siding={"exposure": f"{exposure} in"})
    shown = FOOT * 8 // -(-FOOT * 8 // (exposure * INCH))
    for wall, across in (("door side", length), ("left end", 100)):
        covered = sum(run.length for run in courses(found, wall)) * shown
        area = across * INCH * FOOT * 8 + (100 * INCH) ** 2 * pitch // 48 * (wall == "left end")
        assert area - across * INCH * 20 <= covered <= area + across * INCH * shown + across * INCH * 20


def test_a_count_by_area_takes_a_tenth_more():
    """441 sq ft of wall, 16 ft boards that show 6-6/7 in: 441 x 1.1 / 9.143 is 53.06."""
    (rough,) = needs().by_area

    assert dict(rough.pieces)["lap-siding 16 ft"] == 54
