"""Walls that are not built: no skin, no studs, no plates, and what stands beside them runs to the corner."""

from __future__ import annotations

from typing import Any

import pytest
from small_jobs import inches, job_of, levels

from optimizer.errors import InputError
from takeoff.building import building_of
from takeoff.needs import Needed
from takeoff.siding import siding_needs
from takeoff.sizes import standard_book
from takeoff.wall_frame import wall_frame_needs
from takeoff.walls import wall_needs

BOOK = standard_book()


def skin(walls: dict[str, Any], **keys: Any) -> Needed:
    """Take off the skin of walls under a roof of 16 x 10 ft at 6 in 12."""
    job = job_of(walls=walls, **keys)
    return wall_needs(job, building_of(job, BOOK), BOOK)


def frame(walls: dict[str, Any], **keys: Any) -> Needed:
    """Take off their frame, without the studs of the gables."""
    framing = {"rafter": "2x6", "stud": "2x4", "plate": "2x4", "gable_studs": False}
    job = job_of(walls=walls, framing=framing, **keys)
    return wall_frame_needs(job, building_of(job, BOOK), BOOK)


def plates(found: Needed, kind: str) -> dict[str, int]:
    return {run.label.removesuffix(f" {kind}"): run.length for run in found.runs if run.label.endswith(kind)}


def test_an_open_wall_has_no_skin_and_no_corner_boards():
    """The other three keep theirs, one board on each side of each of their corners."""
    found = skin({"open": ["door side"]})

    assert {surface.label.split(" wall")[0].split(",")[0] for surface in found.surfaces} == {
        "far side",
        "left end",
        "right end",
    }
    boards = {part.label: part.count for part in found.parts if "corner board" in part.label}
    assert sum(boards.values()) == 6
    assert not any(label.startswith("door side") for label in boards)
    assert levels(found, "open walls") == ["warn"]


def test_walls_all_standing_say_nothing_of_open_ones():
    """Without the key there is no such check."""
    assert levels(skin({}), "open walls") == []


def test_studs_and_plates_beside_an_open_side_by_hand():
    """Without a side the end walls reach 116-1/2 in, from the other side to the corner."""
    found = frame({"open": ["door side"]})

    # Side: 13. End walls: 3-1/2 to 120 in, marks 16 to 112 in: 2 + 7. One more in each corner left.
    assert {part.label: part.count for part in found.parts} == {"stud": 13 + 2 * 9 + 2}
    assert plates(found, "bottom plate") == {
        "far side": inches("192"),
        "left end": inches("116-1/2"),
        "right end": inches("116-1/2"),
    }
    # The side's cap makes room for the ends' caps, which lap over it.
    assert plates(found, "cap plate") == {
        "far side": inches("185"),
        "left end": inches("120"),
        "right end": inches("120"),
    }


def test_a_side_beside_an_open_end_caps_to_the_corner():
    """No cap of an end wall laps over the sides there."""
    found = frame({"open": ["right end"]})

    assert plates(found, "cap plate") == {
        "door side": inches("188-1/2"),
        "far side": inches("188-1/2"),
        "left end": inches("120"),
    }


def test_lap_siding_leaves_an_open_wall_out():
    """No course is laid on it."""
    job = job_of(walls={"material": False, "open": ["far side"]}, siding={})
    found = siding_needs(job, building_of(job, BOOK), BOOK)

    assert {run.layer for run in found.runs if run.layer} == {
        "door side siding",
        "left end siding",
        "right end siding",
    }


@pytest.mark.parametrize(
    ("walls", "keys", "told"),
    [
        ({"open": ["front"]}, {}, "there is no wall 'front'; the walls are 'door side'"),
        ({"open": ["door side", "far side", "left end", "right end"]}, {}, "no wall is left"),
        (
            {"open": ["door side"]},
            {"door": [{"width": "36 in", "height": "78 in", "wall": "door side"}]},
            "door can't be in the door side, which walls.open leaves out; the walls are 'right end'",
        ),
    ],
)
def test_a_slip_is_named(walls, keys, told):
    """The key, the value and the walls there are."""
    with pytest.raises(InputError, match=told):
        skin(walls, **keys)


def test_an_opening_without_a_place_goes_into_a_wall_that_stands():
    """A window is usual in the far side, a door in the first; where they are open, in another."""
    found = skin(
        {"open": ["door side", "far side"]},
        door=[{"width": "36 in", "height": "78 in"}],
        window=[{"width": "24 in", "height": "36 in"}],
    )

    assert [
        a.message.split(" in the ")[1].split(",")[0] for a in found.assumptions if "from_corner" in a.key
    ] == [
        "right end",
        "left end",
    ]
