"""Where doors and windows lie in their walls."""

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
from takeoff.wall_openings import wall_openings, window_names

BOOK = standard_book()
DOOR = {"width": "36 in", "height": "80 in"}
WINDOW = {"width": "24 in", "height": "36 in"}


def openings(**keys):
    job = job_of(**{"walls": {}, **keys})
    return {opening.name: opening for opening in wall_openings(job, building_of(job, BOOK), BOOK)}


def test_a_door_without_a_place_stands_in_the_middle_of_the_first_side():
    """192 in of wall, 36 of door: 78 in from the left corner, from the floor up."""
    door = openings(door=[DOOR])["door"]

    assert (door.wall, door.left / INCH, door.sill, door.given) == ("door side", 78, 0, False)
    assert door.casing == INCH * 7 // 2
    assert door.head_metal


def test_a_window_is_as_high_as_the_doors():
    """Its head is level with theirs: 80 - 36 = 44 in above the floor; without doors 80 in all the same."""
    for doors in ([DOOR], []):
        window = openings(door=doors, window=[WINDOW])["window"]
        assert (window.wall, window.sill / INCH, window.head / INCH) == ("far side", 44, 80)


def test_what_has_no_place_takes_the_widest_stretch_left():
    """A window at 20 in leaves 148 in to its right: the next stands in their middle, at 44 + 62."""
    found = openings(window=[{**WINDOW, "from_corner": "20 in", "wall": "far side"}, WINDOW])

    assert found["window 2"].left / INCH == 106
    assert found["window 1"].given
    assert not found["window 2"].given


def test_a_lean_to_has_its_door_in_the_high_wall():
    """And its windows in the low one."""
    found = openings(roof="single-slope", door=[DOOR], window=[WINDOW])

    assert [opening.wall for opening in found.values()] == ["high wall", "low wall"]


@pytest.mark.parametrize(
    ("keys", "message"),
    [
        ({"door": [{**DOOR, "wall": "north"}]}, "no wall 'north'"),
        ({"door": [{**DOOR, "from_corner": "160 in"}]}, "reaches past the door side"),
        ({"door": [{"width": "36 in", "height": "95 in"}]}, "above the skin"),
        (
            {"door": [{**DOOR, "from_corner": "20 in"}, {**DOOR, "name": "other", "from_corner": "50 in"}]},
            "other overlaps door",
        ),
        ({"window": [{"width": "24 in", "height": "80 in"}]}, "needs its sill_height"),
        ({"window": [{**WINDOW, "width": "80 in"}] * 3}, "window 2 finds no room in the far side"),
    ],
)
def test_an_opening_that_does_not_fit_is_named(keys, message):
    """The sentence says which opening, and why."""
    with pytest.raises(InputError, match=message):
        openings(**keys)


def test_an_opening_may_stand_high_in_a_gable():
    """A window under the peak fits where the slope leaves room, and not in the corner."""
    high = {**WINDOW, "wall": "left end", "sill_height": "80 in"}
    assert openings(window=[{**high, "from_corner": "48 in"}])["window"].head == 116 * INCH
    with pytest.raises(InputError, match="above the skin"):
        openings(window=[{**high, "from_corner": "5 in"}])


def test_a_window_over_a_door_does_not_overlap_it():
    """They share a stretch of wall at different heights."""
    light = {
        "width": "36 in",
        "height": "10 in",
        "sill_height": "84 in",
        "wall": "door side",
        "from_corner": "78 in",
    }
    assert openings(door=[DOOR], window=[light])["window"].sill == 84 * INCH


def test_no_two_openings_share_a_name():
    """A window named like a door is numbered, and so are windows that share a name."""
    job = job_of(door=[{**DOOR, "name": "hatch"}], window=[{**WINDOW, "name": "hatch"}, WINDOW, WINDOW])

    assert window_names(job) == ("hatch 1", "window 1", "window 2")


@given(st.lists(st.integers(12, 40), min_size=1, max_size=4))
def test_openings_without_a_place_never_overlap_where_there_is_room(widths):
    """Up to four windows of 40 in find room in 40 ft of wall, apart from each other."""
    windows = [{"width": f"{width} in", "height": "36 in"} for width in widths]
    found = sorted(openings(length="40 ft", window=windows).values(), key=lambda opening: opening.left)

    assert all(before.right < after.left for before, after in pairwise(found))
