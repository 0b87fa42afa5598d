"""Doors as parts, and the checks made on them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_jobs import levels

from optimizer.errors import InputError
from optimizer.lengths import INCH
from takeoff.job import parse_job
from takeoff.needs import Needed
from takeoff.openings import door_needs, openings_of
from takeoff.sizes import standard_book


def job(*doors, **keys):
    tables = [{"width": "36 in", "height": "84 in", **door} for door in doors]
    return parse_job({"length": "16 ft", "width": "10 ft", "pitch": 6, "door": tables, **keys}, "job.toml")


def needs(*doors, **keys):
    return door_needs(job(*doors, **keys), standard_book())


def sizes(found, ending):
    """Give length and width in inches and the count of the parts whose label ends so."""
    return [(p.length / INCH, p.width / INCH, p.count) for p in found.parts if p.label.endswith(ending)]


def message(found, rule):
    (check,) = (check for check in found.checks if check.rule == rule)
    return check.message


def test_no_door_needs_nothing():
    """Without doors there is nothing to cut, check or assume."""
    found = needs()

    assert found == Needed()


def test_half_a_two_by_four_is_a_stop():
    """A 2x4 ripped in half gives two stops: (3-1/2 - 1/8) / 2 = 1-11/16 in."""
    # common practice, no source
    assert sizes(needs({}), "stop leg") == [(84, 1.6875, 2)]


def test_four_stops_of_a_three_by_seven_opening_come_from_two_boards():
    """Stops on four sides of a 3 x 7 ft opening take two 8 ft 2x4s: three of their four lanes."""
    # common practice, no source
    found = needs({"stop_sides": 4})
    lengths = sorted(
        (p.length for p in found.parts if p.material == "2x4" for _ in range(p.count)), reverse=True
    )
    lanes = [0, 0, 0, 0]
    for length in lengths:  # first fit, a kerf after every piece but where the lane ends
        lane = next(i for i, used in enumerate(lanes) if used + length <= 96 * INCH)
        lanes[lane] += length + INCH // 8

    assert [length / INCH for length in lengths] == [84, 84, 32.625, 32.625]
    assert sum(used > 0 for used in lanes) == 3


def test_stops_are_narrower_with_a_wider_kerf():
    """The width of a stop is what the saw leaves: (3-1/2 - 1/4) / 2 = 1-5/8; uncut it is the board's own."""
    assert sizes(needs({}, kerf="1/4 in"), "stop leg") == [(84, 1.625, 2)]
    assert sizes(needs({"stop_lanes": 1}), "stop leg") == [(84, 0, 2)]
    assert sizes(needs({"stop_lanes": 1}), "stop head") == [(36 - 2 * 3.5, 0, 1)]


def test_face_keeps_its_grain_and_backing_may_turn():
    """Grooves stand upright; the backing is cut from the roof's own panel and may lie either way."""
    parts = {part.label: part for part in needs({}).parts}

    face, backing = parts["door face"], parts["door backing"]
    assert (face.length, face.width, face.may_turn) == (83.5 * INCH, 35.5 * INCH, False)
    assert (backing.material, backing.may_turn) == ("osb-7/16", True)


def test_casing_head_lies_over_the_legs():
    """Legs as high as the opening, head over both: 36 + 2 x 3-1/2 = 43; head metal 1/4 in past each end."""
    found = needs({})

    assert sizes(found, "casing leg") == [(84, 0, 2)]
    assert sizes(found, "casing head") == [(43, 0, 1)]
    assert sizes(found, "head metal") == [(43.5, 0, 1)]
    legs, head = (
        next(p for p in found.parts if p.label.endswith(end)) for end in ("casing leg", "casing head")
    )
    assert legs.needed < head.needed


def test_seal_follows_the_stops():
    """Two heights and a width in three pieces (arithmetic); a fourth side adds a width."""
    assert sizes(needs({}), "seal leg") + sizes(needs({}), "seal head") == [(84, 0, 2), (36, 0, 1)]
    assert sizes(needs({"stop_sides": 4}), "seal head and sill") == [(36, 0, 2)]
    assert sizes(needs({"stop": False}), "seal leg") == []


def test_bottom_piece_hangs_half_an_inch_below():
    """It overlaps the slab by 3-1/2 - 1/2 = 3 in and hangs 1/2 in below: 1/4 in past the opening's foot."""
    # common practice, no source
    found = needs({})

    assert sizes(found, "bottom piece") == [(35.5, 0, 1)]
    assert "hangs 1/2 in below the slab, 1/4 in past the foot" in message(found, "bottom piece")
    assert "overlaps the slab by 3 in" in message(found, "bottom piece")


@pytest.mark.parametrize("hang", ["0 in", "1/4 in", "2-5/8 in"])
def test_bottom_piece_that_cannot_work_warns(hang):
    """Hanging no farther than the gap, or with less than 1 in on the slab, it doesn't do its work."""
    assert levels(needs({"hang": hang}), "bottom piece") == ["warn"]


def test_double_door_has_all_of_two_leaves():
    """Two leaves: twice the skins and stiles, one meeting strip."""
    found = needs({"width": "60 in", "leaves": 2})

    assert sizes(found, "face") == [(83.5, 29.625, 2)]
    assert sizes(found, "door stile") == [(83.5, 0, 4)]
    assert sizes(found, "meeting strip") == [(83.5, 0, 1)]
    assert levels(found, "double door") == []


def test_wide_slab_is_offered_as_a_double_door():
    """A slab that outgrows the sheet gets seams, and the offer of two leaves with their size."""
    found = needs({"width": "60 in"})

    assert sizes(found, "face") == [(83.5, 29.75, 2)]
    assert levels(found, "seam in a skin") == ["note", "note"]
    assert "leaves = 2" in message(found, "double door")
    assert "29-5/8 x 83-1/2 in" in message(found, "double door")


def test_level_seam_in_siding_warns():
    """A door higher than the longest siding sheet has a level joint, which needs flashing."""
    assert levels(needs({"height": "126 in"}), "level joint in siding") == ["warn"]


@pytest.mark.parametrize(
    ("thickness", "level"), [("1/4 in", "pass"), ("1/8 in", "warn"), ("1/16 in", "warn")]
)
def test_seal_must_be_thicker_than_its_space(thickness, level):
    """Stops lie 1/8 in behind the closed slab: a seal no thicker than that is never pressed."""
    assert levels(needs({"seal_thickness": thickness}), "seal") == [level]


@pytest.mark.parametrize(("gap", "level"), [("1/4 in", "pass"), ("3/16 in", "warn")])
def test_tight_gap_warns(gap, level):
    """Less than 1/4 in around a slab that swells outdoors may bind."""
    assert levels(needs({"gap": gap}), "gap around the slab") == [level]


def test_stops_too_narrow_to_hold_a_slab_warn():
    """Six lanes of a 2x4 are (3-1/2 - 5/8) / 6 = 23/48 in wide: 1/4 in of overlap is lost to the gap."""
    found = needs({"stop_lanes": 6})

    assert levels(found, "stop overlap") == ["warn"]
    assert levels(found, "ripping strips") == ["warn"]


def test_few_hinges_warn():
    """Two hinges on a slab 83-1/2 in high: the rule asks for three."""
    assert levels(needs({"hinges": 2}), "hinges") == ["warn"]
    assert levels(needs({}), "hinges") == ["pass"]


def test_equal_names_are_told_apart():
    """Two doors without names are numbered, so that no two parts share a label."""
    found = needs({}, {"width": "30 in"})

    assert [o.name for o in openings_of(job({}, {}), standard_book())] == ["door 1", "door 2"]
    assert [o.name for o in openings_of(job({}, {}, {"name": "door 1"}), standard_book())] == [
        "door 2",
        "door 3",
        "door 1",
    ]
    labels = [part.label for part in found.parts]
    assert len(set(labels)) == len(labels)


def test_given_stop_sides_are_not_assumed():
    """Only a key left out is an assumption."""
    assert [a.key for a in needs({}, {"stop_sides": 3}).assumptions] == ["door.0.stop_sides"]


def test_missing_material_names_its_key():
    """A price book without the stile's lumber: the message names the door's key."""
    with pytest.raises(InputError, match=r"door\[1\]\.stile.*1x5"):
        needs({"stile": "1x5"})


def test_boards_of_two_sections_under_one_key_are_refused():
    """A width that depends on which line is read would decide a cut by chance."""
    book = standard_book()
    odd = replace(book.sizes("1x4")[0], size="odd", width=4 * INCH)

    with pytest.raises(InputError, match="several sections"):
        door_needs(job({}), replace(book, items=(*book.items, odd)))


def test_a_bare_door_is_only_its_slab():
    """Everything but the face and its members can be left out."""
    off = dict.fromkeys(("backing", "bottom_piece", "casing", "stop", "seal", "head_metal", "hinge"), False)
    found = needs({**off, "middle_rail": False, "brace": False})

    assert [part.label for part in found.parts] == ["door face", "door stile", "door rail"]
    assert [check.rule for check in found.checks] == ["gap around the slab"]


def test_metal_over_a_wide_opening_is_lapped():
    """Over 16 ft no length of head metal is long enough: pieces of 12 in or more lap by 2 in."""
    wide, narrow = needs({"width": "192 in", "leaves": 2}), needs({})
    (run,) = wide.runs

    assert run.label == "door head metal"
    assert (run.length / INCH, run.lap / INCH, run.shortest / INCH) == (192 + 7 + 0.5, 2, 12)
    assert not sizes(wide, "head metal")
    assert (narrow.runs, sizes(narrow, "head metal")) == ((), [(43.5, 0, 1)])
