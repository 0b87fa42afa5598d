"""What a roof of another shape asks for: surfaces, edge metal, boards, nails, steps, forms and checks."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_jobs import inches, job_of

from optimizer.errors import InputError
from optimizer.lengths import INCH
from optimizer.words import Run, Stock, Surface
from takeoff.building import building_of
from takeoff.by_hand import lay_by_hand
from takeoff.collect import take_off
from takeoff.edges import edge_needs
from takeoff.needs import Takeoff
from takeoff.roof import roof_needs
from takeoff.rules import rules_of
from takeoff.shape_checks import shape_checks
from takeoff.sizes import standard_book

BOOK = standard_book()
GAMBREL: dict[str, Any] = {
    "roof": "gambrel",
    "pitch": 18,
    "gambrel": {"upper_pitch": 6, "break_at": "2 ft"},
}
HIP: dict[str, Any] = {"roof": "hip"}
PYRAMID: dict[str, Any] = {"roof": "pyramid", "length": "10 ft"}
L: dict[str, Any] = {"roof": "L", "length": "24 ft", "width": "12 ft", "wing": {"length": "8 ft"}}
PLANES: dict[str, Any] = {
    "roof": "planes",
    "plane": [{"name": "front", "corners": [["0 ft", "0 ft"], ["16 ft", "0 ft"], ["8 ft", "7 ft"]]}],
}
ALL = {"gable": {}, "single": {"roof": "single-slope"}, "gambrel": GAMBREL, "hip": HIP, "pyramid": PYRAMID}
ALL |= {"L": L, "planes": PLANES, "uneven": {"second_pitch": 4}}


def takeoff(**keys: Any) -> Takeoff:
    return take_off(job_of(**keys), BOOK)


def surfaces(**keys: Any) -> tuple[Surface, ...]:
    job = job_of(**keys)
    return roof_needs(job, building_of(job, BOOK), BOOK, rules_of(job)).surfaces


def runs(**keys: Any) -> dict[str, Run]:
    job = job_of(**keys)
    return {run.label: run for run in edge_needs(job, building_of(job, BOOK), BOOK).runs}


def messages(rule: str, **keys: Any) -> str:
    return " ".join(check.message for check in takeoff(**keys).checks if check.rule == rule)


def test_a_hips_planes_are_outlined_surfaces():
    """Outline and supports travel with the surface; a plain rectangle has no outline."""
    front, _, end, _ = surfaces(**HIP)

    assert front.outline[:2] == ((0, 0), (216 * INCH, 0))
    assert len(end.outline) == 3
    assert (front.length, front.height) == (216 * INCH, max(y for _, y in front.outline))
    assert all(surface.plain for surface in surfaces(**GAMBREL))


def test_seams_fall_on_jacks_but_not_on_tails():
    """The hip bears the slanting end; a gable end of an L keeps its own rule."""
    front = surfaces(**HIP)[0]
    assert [support.seam for support in front.supports] == [False, *[True] * 9, False]
    assert all(support.bears for support in front.supports)
    main = surfaces(**L, rake_overhang="12 in")[0]
    # Barge, gable, one bay in: no seam at the right; jacks of the valley at the left carry them.
    assert [support.seam for support in main.supports[:2]] == [True, True]
    assert [support.seam for support in main.supports[-3:]] == [False, False, False]


def test_the_deck_may_stop_short_of_a_break_no_farther_than_of_a_high_edge():
    """A ridge and a peak lie under a cap; a break lies under shingles only."""
    lower, upper, *_ = surfaces(**GAMBREL)

    assert (lower.rule.top_slack, upper.rule.top_slack) == (INCH // 4, INCH // 2)
    assert surfaces(**PYRAMID)[0].rule.top_slack == INCH // 2


def test_a_hip_deck_held_short_loses_its_top_strip():
    """3/4 in clear and half the ridge board, 3/4 in on plan: the outline is cut off there."""
    slot = {"how": "deck held short", "ridge_board": "0 in", "clear": "2 in"}
    whole, held = (surfaces(**HIP, **keys)[0] for keys in ({}, {"ridge_slot": slot}))
    ends = surfaces(**HIP, ridge_slot=slot)[2]

    assert held.height == whole.height - 2 * INCH
    assert max(y for _, y in held.outline) == held.height
    assert held.outline[:2] == whole.outline[:2]
    assert held.outline[2][0] > whole.outline[2][0]
    assert ends.outline == surfaces(**HIP)[2].outline
    with pytest.raises(InputError, match="cut in place"):
        surfaces(**L, ridge_slot=slot)


def test_edge_metal_of_a_hip_goes_round():
    """Four eaves, 3 in past each corner, and no rake."""
    found = runs(**HIP)

    assert {label: run.length for label, run in found.items()} == {
        "door side eave metal": 222 * INCH,
        "far side eave metal": 222 * INCH,
        "left end eave metal": 150 * INCH,
        "right end eave metal": 150 * INCH,
    }
    assert messages("edge metal", **HIP) == "Eaves have edge metal."
    assert messages("rake metal", **HIP) == ""


def test_upper_rake_metal_of_a_gambrel_laps_the_lower():
    """Lower rakes are as long as they are; upper ones 2 in longer, the first side's 3 in more to fold."""
    found = runs(**GAMBREL)
    roof = building_of(job_of(**GAMBREL), BOOK)
    lower, upper = (plane.finish_slope for plane in roof.planes[:2])

    assert found["door side lower left rake metal"].length == lower
    assert found["door side upper left rake metal"].length == upper + 5 * INCH
    assert found["far side upper right rake metal"].length == upper + 2 * INCH
    assert "laps the lower 2 in" in messages("rake metal", **GAMBREL)


def test_fascia_of_a_hip_is_mitred():
    """It runs from outer corner to outer corner; its joints lie on tails, measured from there."""
    found = runs(**HIP, fascia={})
    long = runs(**HIP | {"length": "24 ft"}, fascia={})["door side eave fascia"]

    assert found["left end eave fascia"].length == 144 * INCH
    assert found["left end eave fascia"].seams == ()
    # The first tail stands at the corner of the walls, 12 in inside the fascia's long point.
    assert long.seams is not None
    assert long.seams[:2] == (12 * INCH, 36 * INCH)
    assert "mitred at hips and valleys" in messages("fascia joints", **HIP, fascia={})


def test_fascia_in_the_corner_of_an_l():
    """The inner eave is short by an overhang at the valley and by nothing at the gable."""
    found = runs(**L, fascia={})

    assert found["inner side eave fascia"].length == 84 * INCH
    assert found["door side eave fascia"].length == (288 - 144 - 12) * INCH


def test_rake_boards_of_a_gambrel_are_mitred_at_the_break():
    """Their ends are not parallel, so they don't nest; one foot is plumb, two of a kind are one part."""
    job = job_of(**GAMBREL, rake_board={})
    parts = edge_needs(job, building_of(job, BOOK), BOOK).parts
    roof = building_of(job, BOOK)

    assert [(part.label, part.count, part.slant) for part in parts] == [
        (f"{plane.name} rake board", 2, 0) for plane in roof.planes
    ]
    # 5-1/2 in x 18/12 more at the plumb foot.
    assert parts[0].length == roof.planes[0].finish_slope + inches("8-1/4")
    assert parts[1].length == roof.planes[1].finish_slope


@pytest.mark.parametrize("shape", ALL)
def test_every_shape_is_taken_off_whole(shape):
    """Surfaces, nails, steps, a form for every plane: for every shape, with every board and metal."""
    found = takeoff(**ALL[shape], fascia={}, rake_board={})
    planes = {surface.label for surface in found.surfaces}

    assert planes == {view.surface for view in found.planes}
    assert next(count for count in found.counts if count.label == "deck nails").quantity > 100
    for plane in planes:
        assert any(name.startswith(f"{plane}: ") for name, _ in found.measure)
        assert any(plane in step for step in found.steps) or len(planes) == 1
    assert len({run.label for run in found.runs}) == len(found.runs)
    assert len({run.mark for run in found.runs}) == len(found.runs)


def test_the_form_of_a_hip_names_its_corners():
    """Sides in order, and the two diagonals that tell whether four corners are where they should be."""
    form = dict(takeoff(**HIP).measure)

    assert form["door side: corner 1 to corner 2"] == 216 * INCH
    assert form["door side: corner 2 to corner 3"] == 108 * INCH
    assert form["left end: corner 3 to corner 1"] == 108 * INCH
    assert (
        form["door side: diagonal, corner 1 to corner 3"] == form["door side: diagonal, corner 2 to corner 4"]
    )
    assert not any("left end: diagonal" in name for name in form)


def test_an_outline_of_five_corners_has_two_diagonals():
    """Those from the first corner fix all five."""
    form = [
        name
        for name, _ in takeoff(**L | {"wing": {"length": "8 ft", "width": "8 ft"}}).measure
        if name.startswith("door side: diagonal")
    ]

    assert form == [f"door side: diagonal, corner 1 to corner {n}" for n in (3, 4)]


def test_the_upper_plane_of_a_gambrel_is_measured_along_its_break():
    """It begins at the break and ends at the ridge; the lower one begins at the eave."""
    form = dict(takeoff(**GAMBREL).measure)

    assert {"door side lower: eave", "door side lower: break"} <= form.keys()
    assert {"door side upper: break", "door side upper: ridge"} <= form.keys()
    assert "door side upper: eave" not in form


def test_dimensions_name_hips_of_one_length_once():
    """Four hips alike are one line, a single valley is named by its planes."""
    assert ("hips, 4 alike, each", 108 * INCH) in takeoff(**HIP).dimensions
    assert any(name == "valley between door side and inner side" for name, _ in takeoff(**L).dimensions)


def test_a_gambrels_steps_go_up_one_side_first():
    """The steep plane, then the flat one above it; the covering order is told for hips too."""
    steps = " ".join(takeoff(**GAMBREL).steps)
    assert steps.index("deck the door side lower") < steps.index("Go on with the door side upper")
    assert "along every hip and valley" in " ".join(takeoff(**HIP).steps)
    assert "along every hip and valley" not in " ".join(takeoff().steps)


def test_each_pitch_is_checked():
    """A flat upper plane is named; a roof of one pitch names no plane."""
    table = {"upper_pitch": 1, "break_at": "4 ft"}
    flat = messages("pitch for shingles", **GAMBREL | {"gambrel": table})

    assert "door side upper, far side upper: 1 in 12 is below 2 in 12" in flat
    assert "door side lower, far side lower: 18 in 12 carries" in flat
    assert messages("pitch for shingles", **HIP) == "6 in 12 carries asphalt shingles."


@pytest.mark.parametrize(
    ("keys", "rule", "words"),
    [
        (HIP, "hips", "None is sized here"),
        (HIP, "slanting pieces", "snap the line"),
        (HIP | {"eave_overhang": "2 in"}, "eave at the hips", "too little for a tail"),
        (L, "valleys", "span rating alone is not enough"),
        (L, "L", "ridges meet"),
        (GAMBREL, "gambrel", "design professional"),
        (PLANES, "planes", "was not checked"),
        ({"ridge_from": "4 ft"}, "walls of two heights", "far side 12 in lower"),
    ],
)
def test_what_is_not_decided_is_said(keys, rule, words):
    """Each shape says what was worked out and who decides the rest."""
    assert words in messages(rule, **keys)


def test_an_even_gable_says_nothing_more():
    """Two halves alike, or two pitches over walls of one height, ask for no check of their own."""
    for keys in ({}, {"second_pitch": 4}, {"roof": "single-slope"}):
        job = job_of(**keys)
        assert shape_checks(job, building_of(job, BOOK)) == ()


def test_no_hand_lays_a_hip_by_habit():
    """The yardstick of a lay-out by hand is for rectangles."""
    (sheet,) = (item for item in BOOK.sizes("osb-7/16"))

    stock = Stock(sheet.key, sheet.material, "sheet", sheet.length, sheet.width)
    assert lay_by_hand(surfaces(**HIP), stock, INCH // 8) is None
    assert lay_by_hand(surfaces(), stock, INCH // 8) is not None


def test_assumptions_fit_the_shape():
    """A hip has no rakes to overhang and no first rafter to move; its slopes are not one measured length."""
    keys = {assumption.key for assumption in takeoff(**HIP).assumptions}

    assert not keys & {"rake_overhang", "first_rafter", "slope_length", "ridge_along", "roof"}
    uneven = {a.key: a.alternative for a in takeoff(ridge_from="4 ft").assumptions}
    assert uneven["roof"] is None


@given(st.sampled_from(sorted(ALL)), st.integers(8, 20), st.sampled_from(["16 in", "24 in"]))
def test_clips_and_nails_grow_with_the_roof(shape, width, spacing):
    """No shape is counted with fewer nails on a larger plan."""
    if shape in ("L", "planes", "pyramid"):
        return
    small, large = (
        takeoff(
            **{**ALL[shape], "width": f"{wide} ft", "length": f"{2 * wide} ft", "rafter_spacing": spacing}
        )
        for wide in (width, width + 2)
    )
    nails = [next(c.quantity for c in found.counts if c.label == "deck nails") for found in (small, large)]
    assert nails[0] < nails[1]


def test_a_wings_rafters_are_of_one_length_on_both_sides():
    """On the outer side of a narrow wing they end at its ridge, as on the inner one, not at a hip."""
    keys = {"wing": {"length": "8 ft", "width": "8 ft"}, "framing": {"rafter": "2x6"}}
    counts = {part.label: part.count for part in takeoff(**L | keys).parts}

    # From the wing's gable end 7 on the outer side, to where its ridge ends, and 4 on the inner one, to the
    # corner of the eaves; beside the long hip one jack of each length on either side.
    assert counts["common rafter 2"] == 11
    assert counts["hip jack 1"] == 2
