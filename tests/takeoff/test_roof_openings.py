"""Skylights and chimneys: holes in their plane, trimmers beside them, and what can't be."""

from __future__ import annotations

import pytest

from optimizer.errors import InputError
from optimizer.lengths import INCH
from takeoff.collect import take_off
from takeoff.job import parse_job
from takeoff.sizes import standard_book

SKYLIGHT = {
    "side": "door side",
    "from_left": "73-1/2 in",
    "from_eave": "30 in",
    "width": "22-1/2 in",
    "height": "46 in",
}
CHIMNEY = {
    "kind": "chimney",
    "side": "far side",
    "from_left": "100 in",
    "from_eave": "40 in",
    "width": "20 in",
    "height": "20 in",
}


def taken_off(*openings, **keys):
    data = {"length": "20 ft", "width": "14 ft", "pitch": 6, "roof_opening": list(openings), **keys}
    return take_off(parse_job(data, "job.toml"), standard_book())


def planes(*openings, **keys):
    return {surface.label: surface for surface in taken_off(*openings, **keys).surfaces}


def test_a_skylight_is_a_hole_of_its_size():
    """Where it is measured, as large as its frame, in its own plane only."""
    found = planes(SKYLIGHT)
    (hole,) = found["door side"].holes

    assert (hole.x, hole.y) == (147 * INCH // 2, 30 * INCH)
    assert (hole.length, hole.height) == (45 * INCH // 2, 46 * INCH)
    assert found["far side"].holes == ()


def test_the_deck_keeps_off_a_chimney():
    """3/4 in all round (NAVEDTRA 14044, page seen): 20 in of masonry leave 21-1/2 in open."""
    (hole,) = planes(CHIMNEY)["far side"].holes

    assert (hole.x, hole.y) == (100 * INCH - 3 * INCH // 4, 40 * INCH - 3 * INCH // 4)
    assert (hole.length, hole.height) == (43 * INCH // 2, 43 * INCH // 2)


def test_trimmers_stand_beside_an_opening():
    """A rafter's half thickness outside each side, unless a rafter stands there already."""
    before = {support.at for support in planes()["door side"].supports}

    def new(left: str) -> set[int]:
        supports = planes({**SKYLIGHT, "from_left": left})["door side"].supports
        return {support.at for support in supports} - before

    # Between the rafters at 72 and 96 in, 1-1/2 in thick: they are the trimmers.
    assert new("72-3/4 in") == set()
    assert new("80 in") == {80 * INCH - 3 * INCH // 4, 205 * INCH // 2 + 3 * INCH // 4}


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"side": "north"}, "no plane of this roof"),
        ({"from_eave": "80 in"}, "over the edge"),
        ({"from_left": "230 in"}, "over the edge"),
    ],
)
def test_what_can_not_be_is_named(changed, told):
    """An opening in no plane, or over its edge."""
    with pytest.raises(InputError, match=told):
        taken_off({**SKYLIGHT, **changed})


def test_two_openings_may_not_meet():
    """The second reaches into the first."""
    with pytest.raises(InputError, match="reaches into skylight 1"):
        taken_off(SKYLIGHT, {**SKYLIGHT, "from_left": "80 in"})


def test_an_opening_does_not_cross_a_hip():
    """On a hipped plane its corners must lie inside."""
    with pytest.raises(InputError, match="over a hip"):
        taken_off({**SKYLIGHT, "from_left": "2 in", "from_eave": "4 in"}, roof="hip")


def test_checks_say_what_the_frame_needs():
    """Trimmers and headers; a clearance under 3/4 in is warned of."""
    checks = taken_off(SKYLIGHT, {**CHIMNEY, "clear": "1/2 in"}).checks

    assert any(check.rule == "roof opening" and "trimmers" in check.message for check in checks)
    assert any(check.rule == "chimney clearance" and check.level == "warn" for check in checks)
