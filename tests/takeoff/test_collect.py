"""The whole takeoff of a job."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_jobs import inches, job_of

from optimizer.errors import InputError
from optimizer.lengths import INCH, floor_sqrt
from optimizer.words import Saw
from takeoff import Takeoff, take_off
from takeoff.book import Book
from takeoff.sizes import standard_book

BOOK = standard_book()
DOOR = {"width": "36 in", "height": "84 in"}


def takeoff(**keys: Any) -> Takeoff:
    return take_off(job_of(**keys), BOOK)


def test_three_numbers_give_a_whole_takeoff():
    """Two surfaces, edge metal, nails, and what to know on site."""
    found = takeoff()

    assert [surface.label for surface in found.surfaces] == ["door side", "far side"]
    assert {run.material for run in found.runs} == {"drip-edge"}
    assert "nail-8d-common" in {count.material for count in found.counts}
    assert found.spare == (("osb-7/16", 1),)
    assert found.saw == Saw()
    assert found.steps
    assert found.cautions
    assert all(source for _, source in found.cautions)


def test_the_saw_and_the_spare_follow_the_job():
    """`kerf` goes for sheets and boards, snips take nothing; without a spare there is none."""
    found = takeoff(kerf="1/16 in", spare=0)

    assert found.saw == Saw(sheet=INCH // 16, board=INCH // 16)
    assert found.spare == ()


def test_every_label_is_unique():
    """Fascia, rake boards, two doors and blocking together: no label twice."""
    found = takeoff(
        rules="lean", rake_overhang="12 in", fascia={}, rake_board={}, door=[DOOR, DOOR], ridge_slot={}
    )
    labels = [named.label for group in (found.surfaces, found.runs, found.parts) for named in group]

    assert len(set(labels)) == len(labels)


def test_a_part_may_not_take_the_name_of_something_else():
    """The message says which name to change."""
    part = {"name": "door side", "material": "2x4", "length": "1 ft"}

    with pytest.raises(InputError, match=r"part\[1\]\.name: 'door side' already names something else"):
        takeoff(part=[part])


def test_what_to_measure_before_the_first_cut():
    """Slopes at both ends, eave, ridge and both diagonals of each half, and the seam rafters by eye."""
    found = dict(takeoff(slope_length="90 in").measure)
    diagonal = floor_sqrt((90 * INCH) ** 2 + (192 * INCH) ** 2)

    assert len(found) == 14
    assert found["far side: slope at the right end"] == 90 * INCH
    assert found["door side: ridge"] == 192 * INCH
    assert found["door side: diagonal, lower left to upper right"] == diagonal
    assert found["door side: rafters that carry seams, each within 3/16 in of its line"] is None
    assert "door side: rafters that carry seams, each within 4 mm of its line" in dict(
        takeoff(unit="mm").measure
    )
    assert "roof: high edge" in dict(takeoff(roof="single-slope").measure)


def test_the_order_of_work_says_what_people_forget():
    """Brace, sawdust, lines overhead, wind and wet; and the slot with its line, depth and ends."""
    steps = " ".join(takeoff(ridge_slot={}, fascia={}, pitch=9).steps)

    for said in (
        "utility",
        "Sweep",
        "brace stays until both halves",
        "stop for wind",
        "Fasten fascia before",
    ):
        assert said in steps
    assert "a line 1-11/16 in down" in steps
    assert "the saw set to the deck's 7/16 in, and stop 12 in from each end" in steps
    assert "The deck stops 1-11/16 in short of the peak" in " ".join(
        takeoff(ridge_slot={"how": "deck held short"}, pitch=9).steps
    )


def test_a_single_slope_has_no_second_half():
    """Its steps, dimensions and surfaces speak of one plane."""
    found = takeoff(roof="single-slope")

    assert not [step for step in found.steps if "both halves" in step]
    assert dict(found.dimensions)["roof: deck along the ridge"] == 192 * INCH


def test_dimensions_name_run_rise_and_slopes():
    """60 in of run at 9 in 12 rise 45 in."""
    found = dict(takeoff(pitch=9, ridge_slot={}).dimensions)

    assert (found["run"], found["rise"]) == (60 * INCH, 45 * INCH)
    assert found["door side: slope of the deck"] == 90 * INCH
    assert found["ridge slot: edge down from the peak"] == inches("1-11/16")
    assert found["ridge slot: depth of the saw"] == inches("7/16")


def test_a_deck_held_short_is_not_sawn():
    """Where the deck stops at the slot's edge, only that edge is told: no saw depth, no stops."""
    found = takeoff(pitch=9, ridge_slot={"how": "deck held short"}).dimensions

    assert [name for name, _ in found if "slot" in name] == ["ridge slot: edge down from the peak"]


def assumed(**keys: Any) -> dict[str, object]:
    return {assumption.key: assumption.alternative for assumption in takeoff(**keys).assumptions}


def test_what_the_job_leaves_out_is_assumed():
    """The defaults a roof stands on are all listed, each but the plainest with something to try."""
    found = assumed()

    assert {
        "roof", "ridge_along", "eave_overhang", "rake_overhang", "rafter_spacing", "panel", "drip_edge.lap",
        "door", "rules", "slope_length", "ridge_length",
    } <= found.keys()  # fmt: skip
    assert found["rake_overhang"] == "12 in"
    assert found["ridge_along"] == "width"


def test_the_other_panel_to_try_is_the_next_stronger_one():
    """24/16 is followed by 32/16; without those 40/20, and in a lone panel's book nothing."""
    assert assumed()["panel"] == "osb-15/32"
    strongest = Book(
        tuple(item for item in BOOK.items if item.material not in ("osb-15/32", "plywood-15/32"))
    )
    lone = Book(tuple(item for item in strongest.items if item.span is None or item.material == "osb-7/16"))
    other = {a.key: a.alternative for a in take_off(job_of(), strongest).assumptions}
    none = {a.key: a.alternative for a in take_off(job_of(), lone).assumptions}

    assert other["panel"] == "osb-19/32"
    assert none["panel"] is None


def test_what_the_job_says_is_not_assumed():
    """A key that is written is no assumption, even at its default value."""
    said = {
        "roof": "gable",
        "rake_overhang": "0 in",
        "rules": "usual",
        "slope_length": "84 in",
        "panel": "osb-7/16",
    }

    assert not said.keys() & assumed(**said).keys()


def test_assumptions_fit_the_roof_at_hand():
    """A single slope assumes its high edge; measured rafters leave nothing to assume about them."""
    lines = [f"{24 * k} in" for k in range(9)]

    assert "high_overhang" in assumed(roof="single-slope")
    assert "rafter_spacing" not in assumed(rafters=lines)
    assert "ridge_along" not in assumed(length="10 ft")
    assert "heights_on" in assumed(pitch=None, peak_height="12 ft", wall_height="9 ft")
    assert {"deck_to", "tails"} <= assumed(fascia={}).keys()


def _with(keys: dict[str, Any], place: list[str], value: object) -> dict[str, Any]:
    if len(place) == 1:
        return keys | {place[0]: value}
    return keys | {place[0]: _with(keys.get(place[0], {}), place[1:], value)}


def test_a_roof_that_must_be_a_gable_has_no_other_roof_to_try():
    """A ridge slot, or a length for each half, speaks of two halves."""
    assert assumed()["roof"] == "single-slope"
    assert assumed(ridge_slot={})["roof"] is None
    assert assumed(slope_length=["84 in", "85 in"])["roof"] is None


@pytest.mark.parametrize("roof", ["gable", "single-slope"])
def test_every_alternative_can_be_written_in_the_job(roof: str):
    """Putting an alternative in its key's place gives a job that can be taken off."""
    keys = {"roof": roof, "fascia": {}}
    for assumption in takeoff(**keys).assumptions:
        if assumption.alternative is not None:
            takeoff(**_with(keys, assumption.key.split("."), assumption.alternative))


@given(
    length=st.integers(min_value=6, max_value=60),
    width=st.integers(min_value=6, max_value=40),
    pitch=st.integers(min_value=1, max_value=18),
    roof=st.sampled_from(["gable", "single-slope"]),
    rules=st.sampled_from(["usual", "lean", "windy"]),
    spacing=st.sampled_from(["12 in", "16 in", "19.2 in", "24 in", "610 mm"]),
    overhang=st.sampled_from(["0 in", "6 in", "12 in", "16 in"]),
    boards=st.booleans(),
)
def test_any_roof_gives_a_takeoff_that_makes_sense(
    length: int, width: int, pitch: int, roof: str, rules: str, spacing: str, overhang: str, boards: bool
):
    """Supports lie on their surface from left to right, seams only where a panel bears, no size is 0."""
    keys: dict[str, Any] = {
        "length": f"{length} ft", "width": f"{width} ft", "pitch": pitch, "roof": roof, "rules": rules,
        "rafter_spacing": spacing, "rake_overhang": overhang,
    }  # fmt: skip
    if boards:
        keys |= {"fascia": {}, "rake_board": {}, "deck_to": "fascia"}
    found = takeoff(**keys)

    for surface in found.surfaces:
        at = [support.at for support in surface.supports]
        assert at == sorted(set(at))
        assert 0 < at[0] < at[-1] < surface.length
        assert surface.height > 0
        assert all(support.bears for support in surface.supports if support.seam)
    assert all(part.length > 0 and part.count > 0 for part in found.parts)
    assert all(run.length > 0 for run in found.runs)
    assert all(count.quantity > 0 for count in found.counts)
