"""What may be typed about trim: defaults, `false` for none, and what is refused."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from optimizer.lengths import INCH
from takeoff.trim_job import DoorTable, DripEdgeTable, FastenerTable, NailTable


def test_a_door_needs_only_its_opening():
    """Width and height are enough; everything else has the usual value."""
    door = DoorTable.model_validate({"width": "36 in", "height": "84 in"})

    assert (door.gap, door.hang, door.set_back) == (INCH // 4, INCH // 2, INCH // 8)
    assert (door.leaves, door.stop_sides, door.stop_lanes) == (1, 3, 2)


def test_false_leaves_a_thing_out():
    """`false` stands for none where a material could stand."""
    assert DripEdgeTable.model_validate({"rake": False}).rake is None
    assert DoorTable.model_validate({"width": "3 ft", "height": "7 ft", "casing": False}).casing is None


def test_true_is_no_material():
    """`true` would have to guess a material, so it is refused."""
    with pytest.raises(ValidationError, match="key of a material"):
        DripEdgeTable.model_validate({"eave": True})


@pytest.mark.parametrize(
    "keys",
    [
        {"width": "0 in"},
        {"width": "-36 in"},
        {"leaves": 3},
        {"stop_sides": 2},
        {"colour": "red"},
        {"gap": "-1 in"},
    ],
)
def test_what_no_door_can_be(keys):
    """Sizes of nothing or less, counts no door has, and unknown keys are refused."""
    with pytest.raises(ValidationError):
        DoorTable.model_validate({"width": "36 in", "height": "84 in", **keys})


def test_a_nail_may_be_replaced_whole():
    """A job names another nail with its length; the others stay."""
    table = FastenerTable.model_validate({"deck": {"material": "ring-nail", "length": "2-3/8 in"}})

    assert table.deck == NailTable.model_validate({"material": "ring-nail", "length": "2-3/8 in"})
    assert table.edge_metal.length == INCH * 5 // 4
