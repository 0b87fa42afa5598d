"""Studs, plates and headers of the walls, counted by hand; plates whose joints keep apart."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_jobs import inches, job_of, levels

from optimizer.engine import Clock
from optimizer.lengths import FOOT, INCH
from optimizer.solve import cheapest_plan
from optimizer.words import Problem, Stock
from takeoff.building import building_of
from takeoff.framed_walls import stud_lines
from takeoff.needs import Needed
from takeoff.plate_joints import plate_seams
from takeoff.sizes import standard_book
from takeoff.wall_frame import wall_frame_needs

BOOK = standard_book()
FRAME = {"rafter": "2x6", "stud": "2x4"}


def frame(framing: dict[str, Any] | None = None, **keys: Any) -> Needed:
    """Take off the walls under a roof of 16 x 10 ft at 6 in 12."""
    job = job_of(framing={**FRAME, **(framing or {})}, **keys)
    return wall_frame_needs(job, building_of(job, BOOK), BOOK)


def counts(found: Needed) -> dict[str, int]:
    return {part.label: part.count for part in found.parts}


def lengths(found: Needed) -> dict[str, int]:
    return {part.label: part.length for part in found.parts}


def test_without_studs_no_wall_is_framed():
    """A frame of a roof alone lists no wall."""
    job = job_of(framing={"rafter": "2x6"})

    assert wall_frame_needs(job, building_of(job, BOOK), BOOK) == Needed()


def test_studs_by_hand():
    """16 ft walls have 13 studs; end walls of 120 - 7 in have 9; each corner one more."""
    # Marks at 16 to 176 in between end studs: 2 + 11. End walls: 3-1/2 to 116-1/2 in, marks 16 to 112: 2 + 7.
    found = frame({"gable_studs": False})

    assert counts(found) == {"stud": 2 * 13 + 2 * 9 + 4}
    assert lengths(found) == {"stud": inches("92-5/8")}


def test_corner_studs_and_spacing_may_change():
    """Two studs in a corner are the walls' own end studs; 24 in apart there are fewer between."""
    found = frame({"gable_studs": False, "corner_studs": 2, "stud_spacing": "24 in"})

    # Marks 24 to 168: 2 + 7. End walls: marks 24 to 96: 2 + 4.
    assert counts(found) == {"stud": 2 * 9 + 2 * 6}


def test_a_door_takes_studs_and_gives_kings_trimmers_and_cripples():
    """36 in in the middle of 16 ft, 78 to 114 in: marks 80, 96, 112 go; kings, trimmers, header come."""
    found = frame({"gable_studs": False, "header": "2x6"}, door=[{"width": "36 in", "height": "80 in"}])

    assert counts(found) == {"stud": 48 - 3 + 2, "trimmer": 2, "header": 2, "cripple": 3}
    # 80 in less the bottom plate; 36 in and a trimmer on each side; 94-1/8 - 80 - 5-1/2 in above the header.
    assert lengths(found) == {
        "stud": inches("92-5/8"),
        "trimmer": inches("78-1/2"),
        "header": inches("39"),
        "cripple": inches("8-5/8"),
    }


def test_a_window_has_a_sill_with_cripples_under_it():
    """24 in at 84 to 108 in, sill 44 in up: one stud inside: one cripple above, one and two ends below."""
    found = frame({"gable_studs": False, "header": "2x6"}, window=[{"width": "24 in", "height": "36 in"}])

    assert counts(found)["sill"] == 1
    assert lengths(found)["sill"] == inches("24")
    assert counts(found)["cripple 1"] == 3
    assert lengths(found)["cripple 1"] == inches("41")
    assert counts(found)["cripple 2"] == 1


@pytest.mark.parametrize(
    ("framing", "height", "level"),
    [({"header": "2x6"}, "80 in", []), ({}, "80 in", ["warn"]), ({"header": "2x12"}, "84 in", ["fail"])],
)
def test_a_header_must_fit_under_the_plates(framing, height, level):
    """None named is a warning, one too deep for the wall fails, and neither is silent."""
    found = frame(framing, door=[{"width": "36 in", "height": height}])

    assert levels(found, "header") == level


def test_gable_studs_differ_by_spacing_times_pitch():
    """At 6 in 12 and 16 in apart each is 8 in longer than the one before; both ends are alike."""
    studs = [p for p in frame().parts if p.label.startswith("gable stud")]
    # (mark + 3/4 - 3-1/2) / 2 in, by the nearer wall: of the marks 16 to 112 in, 64 is 56 from the other one.
    rises = sorted((inches(str(x)) + INCH * 3 // 4 - INCH * 7 // 2) // 2 for x in (16, 32, 48, 56, 40, 24, 8))

    assert [p.length for p in studs] == list(reversed(rises))
    assert all(p.count == 2 for p in studs)


def test_single_slope_has_a_high_wall():
    """Its studs are longer by the rise from seat to seat, and the gable studs climb all the way."""
    found = frame(roof="single-slope")
    studs = sorted((p.length for p in found.parts if p.label.startswith("stud")), reverse=True)

    assert (studs[0] - studs[1]) / INCH == pytest.approx((120 - 3.5) / 2, abs=1e-2)
    assert len([p for p in found.parts if p.label.startswith("gable stud")]) > 6


def test_walls_table_and_frame_agree_on_the_height():
    """Without a stud length the walls' height less three plates is the stud; another one is told."""
    follows = frame(walls={"height": "9 ft"})
    differs = frame({"stud_length": "92-5/8 in"}, walls={"height": "9 ft"})

    assert lengths(follows)["stud"] == 9 * FOOT - inches("4-1/2")
    assert "warn" not in levels(follows, "wall height")
    assert "warn" in levels(differs, "wall height")


def test_precut_studs_need_no_cut():
    """A stud as long as it is sold is told as bought precut; with three plates the wall is 97-1/8 in."""
    # Trade journal page on precut studs: 92-5/8 in studs make a wall of 97-1/8 in.
    (note,) = (
        c.message for c in frame({"stud": "stud-2x4", "plate": "2x4"}).checks if c.rule == "wall height"
    )

    assert "bought precut" in note
    assert "97-1/8 in high" in note


def test_plates_go_round():
    """Four bottom plates, four top plates, four caps; the end walls' caps lap over the corners."""
    runs = {run.label: run for run in frame().runs}

    assert len(runs) == 12
    assert runs["door side top plate"].length == inches("192")
    assert runs["door side cap plate"].length == inches("185")
    assert runs["left end top plate"].length == inches("113")
    assert runs["left end cap plate"].length == inches("120")
    assert runs["left end cap plate"].beside == "left end top plate"
    assert levels(frame(), "top plates") == ["pass"]


def test_plates_are_jointed_where_needed_or_where_it_saves():
    """In one piece where a board is long enough; longer ones, or all if the job says so, on studs."""
    assert {run.seams for run in frame().runs} == {()}
    assert all(run.seams for run in frame({"plate_joints": "on studs"}).runs)
    assert any(run.seams for run in frame(length="24 ft").runs if "door side" in run.label)


def test_one_top_plate_is_warned_of():
    """A single plate needs ties at its joints; no cap is listed."""
    found = frame({"top_plates": 1})

    assert levels(found, "top plates") == ["warn"]
    assert not [run for run in found.runs if "cap" in run.label]


def test_other_materials_for_plates():
    """The bottom plate may be treated, and plates may be left out."""
    treated = {run.material for run in frame({"bottom_plate": "2x6"}).runs if "bottom" in run.label}

    assert treated == {"2x6"}
    assert frame({"plate": False}).runs == ()


def test_the_six_walls_of_an_l_fill_its_plan():
    """
    Plates of each kind lie end to end round 16 x 10 ft with a wing of 8 x 8 ft, each corner counted once.

    Its walls measure 8, 10, 16, 18, 8 and 8 ft. At five corners one wall stops 3-1/2 in short of the
    other's face, at the inner one a wall reaches 3-1/2 in past it.
    """
    for end in ("left", "right"):
        found = frame(roof="L", wing={"length": "8 ft", "width": "8 ft", "end": end})
        plates = {run.label: run.length for run in found.runs}

        for kind in ("bottom", "top", "cap"):
            own = [length for label, length in plates.items() if f" {kind} plate" in label]
            assert len(own) == 6
            assert sum(own) == inches("816") - 4 * inches("3-1/2")
        assert levels(found, "walls under other roofs") == []


def test_walls_under_free_planes_are_not_guessed():
    """Where the walls aren't known nothing is listed, and that is said."""
    corners = [["0 ft", "0 ft"], ["16 ft", "0 ft"], ["16 ft", "7 ft"], ["0 ft", "7 ft"]]
    found = frame(roof="planes", plane=[{"name": "front", "corners": corners}])

    assert found.parts == ()
    assert levels(found, "walls under other roofs") == ["warn"]


def test_the_walls_of_an_l_can_be_planned():
    """Plates, studs and gable studs of the six walls are cut from boards, and the plan passes its audit."""
    found = frame(roof="L", wing={"length": "8 ft", "width": "8 ft"})
    stocks = tuple(stock for stock in BOOK.stocks() if stock.material == "2x4")
    plan = cheapest_plan(Problem(stocks, parts=found.parts, runs=found.runs), Clock(20))

    assert {piece.label.partition(".")[0] for course in plan.lay for piece in course.pieces} == {
        run.mark for run in found.runs
    }


def test_an_opening_without_a_place_is_told():
    """Where the job gives an opening no place, the list says which one was chosen."""
    door = {"width": "36 in", "height": "80 in"}

    assert levels(frame(door=[door]), "openings in the frame") == ["note"]
    placed = frame(door=[{**door, "wall": "door side", "from_corner": "40 in"}])
    assert levels(placed, "openings in the frame") == []


@given(st.integers(40, 480), st.sampled_from([12, 16, 24]))
def test_studs_are_never_farther_apart_than_asked(wide, spacing):
    """Whatever the wall, no bay between studs is wider than the spacing, and none overlap."""
    lines = stud_lines(0, wide * INCH, spacing * INCH, INCH * 3 // 2)
    bays = [after - before for before, after in pairwise(lines)]

    assert min(bays) >= INCH * 3 // 2
    assert max(bays) <= spacing * INCH


@given(st.integers(8, 60), st.sampled_from([12, 16, 24]), st.sampled_from([8, 12, 16, 20]))
def test_joints_of_two_plates_keep_apart(feet, spacing, longest):
    """Where the two plates are said to keep apart, every joint of one is 24 in or more from the other's."""
    wide = feet * FOOT
    studs = stud_lines(0, wide, spacing * INCH, INCH * 3 // 2)
    deep = INCH * 7 // 2
    lower, cap, apart = plate_seams(studs, (0, wide), (deep, wide - deep), longest * FOOT, 4 * FOOT)

    assert all(0 < line < wide for line in lower)
    if apart:
        assert all(abs(here - deep - there) >= 24 * INCH for here in lower for there in cap)


@given(st.sampled_from([14, 22, 30, 38]))
def test_plates_plan_and_pass_their_audit(feet):
    """Plates longer than every board are pieced, joints on studs and apart, and the audit agrees."""
    framing = {"gable_studs": False, "plate_joints": "on studs"}
    found = frame(framing, length=f"{feet} ft", width="12 ft")
    stocks = tuple(Stock(f"2x4 {n}", "2x4", "board", n * FOOT, inches("3-1/2"), 40 * n) for n in (8, 12, 16))
    plan = cheapest_plan(Problem(stocks, (), found.runs), Clock(20))
    laid = {course.run: course for course in plan.lay}

    for run in found.runs:
        if run.beside:
            here = [seam + run.begins for seam in laid[run.label].seams]
            there = [seam + laid[run.beside].begins for seam in laid[run.beside].seams]
            assert all(abs(a - b) >= 24 * INCH for a in here for b in there)


def test_what_is_too_short_to_nail_is_packed():
    """A header that ends less than 3 in under the plates gets no cripples; the list says what goes there."""
    door = {"width": "36 in", "height": "86 in"}
    # Between a head at 86 in and the plates at 92-5/8 + 1-1/2 lie 8-1/8 in, of which a 2x6 takes 5-1/2.
    low, high = (frame({"header": lumber}, door=[door]) for lumber in ("2x6", "2x4"))

    assert "cripple" not in counts(low)
    assert levels(low, "header") == ["note"]
    assert "cripple" in counts(high)
    assert levels(high, "header") == []
