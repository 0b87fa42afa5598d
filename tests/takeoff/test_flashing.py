"""Metal where a roof meets a wall or another roof."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_jobs import inches, job_of, levels

from optimizer.errors import InputError
from optimizer.lengths import INCH
from takeoff.building import building_of
from takeoff.flashing import flashing_needs, step_pieces
from takeoff.needs import Needed
from takeoff.sizes import standard_book

BOOK = standard_book()


def flashing(table: dict[str, Any], **keys: Any) -> Needed:
    job = job_of(flashing=table, **keys)
    return flashing_needs(job, building_of(job, BOOK), BOOK)


def counts(found: Needed) -> dict[str, int]:
    return {count.label: count.quantity for count in found.counts}


def test_without_a_table_there_is_none():
    """A job that names no flashing asks for none."""
    job = job_of()

    assert flashing_needs(job, building_of(job, BOOK), BOOK) == Needed()


def test_a_high_edge_that_meets_a_wall():
    """16 ft and 2 in past each end, lapped 4 in; edge metal there as well is warned of."""
    both = flashing({"high_wall": "wall-flashing"}, roof="single-slope")
    alone = flashing({"high_wall": "wall-flashing"}, roof="single-slope", drip_edge={"high": False})
    (run,) = both.runs

    assert (run.length, run.lap, run.material) == (inches("196"), inches("4"), "wall-flashing")
    assert levels(both, "wall flashing") == ["note", "warn"]
    assert levels(alone, "wall flashing") == ["note"]


def test_a_gable_has_no_high_edge():
    """Wall flashing along it is refused, with the key that asks for it."""
    with pytest.raises(InputError, match=r"flashing\.high_wall"):
        flashing({"high_wall": "wall-flashing"})


def test_step_pieces_one_a_course():
    """Slope 134.16 in at 5 in: 27 courses and one at the top, on one side or both; a kick-out at a foot."""
    one = flashing({"side_walls": "left"}, roof="single-slope", high_overhang="0 in", eave_overhang="0 in")
    both = flashing({"side_walls": "both"}, roof="single-slope", high_overhang="0 in", eave_overhang="0 in")

    assert counts(one)["step flashing"] == 28
    assert counts(one)["kick-out flashing"] == 1
    assert counts(both)["step flashing"] == 56
    # Two nails in each piece, a fifth more.
    assert counts(one)["flashing nails"] == -(-56 * 6 // 5)


@pytest.mark.parametrize(("length", "level"), [("8 in", "pass"), ("7 in", "pass"), ("6 in", "warn")])
def test_step_pieces_lap_two_inches(length, level):
    """A piece as long as the exposure and 2 in laps enough, a shorter one does not."""
    found = flashing({"side_walls": "left", "step_length": length})

    assert levels(found, "step flashing")[0] == level


def test_a_hip_roof_has_no_rake_to_meet_a_wall():
    """Step flashing needs a rake."""
    with pytest.raises(InputError, match=r"flashing\.side_walls"):
        flashing({"side_walls": "left"}, roof="hip")


def test_valleys_are_lined():
    """The valley of an L with a lap more at each end; left out it is warned of."""
    wing = {"length": "8 ft", "width": "8 ft"}
    job = job_of(roof="L", wing=wing)
    (valley,) = building_of(job, BOOK).lines_of("valley")
    (run,) = flashing({}, roof="L", wing=wing).runs

    assert run.length == valley.finish + inches("8")
    assert levels(flashing({}, roof="L", wing=wing), "valley") == ["note"]
    assert levels(flashing({"valley": False}, roof="L", wing=wing), "valley") == ["warn"]


def test_a_lap_as_long_as_a_stick_is_refused():
    """Nothing is left of a stick that laps all of it."""
    with pytest.raises(InputError, match=r"flashing\.lap"):
        flashing({"high_wall": "wall-flashing", "lap": "10 ft"}, roof="single-slope")


@given(st.integers(1, 400), st.integers(3, 9))
def test_steps_cover_the_slope(slope, exposure):
    """However long the slope, its courses each have a piece and none is left over."""
    number = step_pieces(slope * INCH, exposure * INCH)

    assert (number - 1) * exposure >= slope
    assert (number - 2) * exposure < slope
