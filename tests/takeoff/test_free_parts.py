"""Parts that a job lists for itself."""

from __future__ import annotations

from typing import Any

import pytest
from small_jobs import job_of

from optimizer.errors import InputError
from optimizer.lengths import FOOT, INCH
from optimizer.words import Part, Run
from takeoff.free_parts import part_needs
from takeoff.needs import Needed
from takeoff.sizes import standard_book


def needs(**keys: Any) -> Needed:
    table = {"name": "shelf", "material": "2x4", "length": "4 ft"} | keys
    return part_needs(job_of(part=[table]), standard_book())


def test_a_length_is_cut_as_often_as_asked():
    """A plain part keeps the board's own width."""
    assert needs(count=3).parts == (Part("shelf", "2x4", 4 * FOOT, count=3, needed=90),)


def test_grain_that_is_free_lets_a_part_turn():
    """A rectangle from a sheet lies along the grain unless the job frees it."""
    sheet = {"material": "plywood-15/32", "width": "16 in"}

    assert not needs(**sheet).parts[0].may_turn
    assert needs(**sheet, grain="free").parts[0].may_turn
    assert needs(**sheet).parts[0].width == 16 * INCH


def test_parallel_ends_nest_and_opposed_ends_do_not():
    """Only ends that slant the same way can share a cut with the next piece."""
    assert needs(ends="parallel", slant="1 in").parts[0].slant == INCH
    assert needs(ends="opposed", slant="1 in").parts[0].slant == 0


def test_slanting_ends_are_told():
    """48 in between long points with 1 in of slant: opposed ends leave 46 in between short points."""
    alike, against = (needs(ends=ends, slant="1 in").checks for ends in ("parallel", "opposed"))

    assert "48 in from long point to long point; both ends slant the same way" in alike[0].message
    assert "each short point 1 in back" in alike[0].message
    assert "slant against each other, 46 in from short point to short point" in against[0].message
    assert needs().checks == ()


def test_a_jointed_part_is_a_run_of_its_own_for_each_copy():
    """Copies of a jointed length are pieced one by one, and each has its name."""
    assert needs(jointed=True).runs == (Run("shelf", "2x4", 4 * FOOT, mark="shelf", needed=90),)
    assert [run.label for run in needs(jointed=True, count=2).runs] == ["shelf 1", "shelf 2"]


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"material": "2x5"}, "part[1].material: the list of usual sizes has no '2x5'; did you mean '2x8'?"),
        ({"material": "panel-clip"}, "'panel-clip' is sold by number"),
        ({"material": "osb-7/16"}, "'shelf' is cut from a sheet; give its width"),
        ({"material": "2x4", "width": "4 in"}, "'shelf' is 1/2 in wider than the widest 2x4, 3-1/2 in"),
        ({"material": "drip-edge", "width": "1 in"}, "'drip-edge' is not ripped; leave out width"),
        ({"material": "foam-seal", "width": "1 in"}, "'foam-seal' is not ripped; leave out width"),
    ],
)
def test_a_part_must_be_possible_in_its_material(keys: dict[str, Any], said: str):
    """The message names the part, the material, and what would be right."""
    with pytest.raises(InputError) as caught:
        needs(**keys)

    assert said in str(caught.value)
