"""Wall skin as a trade: what goes on with the panels, its checks, its assumptions, its nails."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_jobs import job_of, levels

from optimizer.lengths import INCH
from takeoff.building import building_of
from takeoff.collect import take_off
from takeoff.panelling import panelling_of
from takeoff.sizes import standard_book
from takeoff.skin import skin_parts, skins_of
from takeoff.wall_nails import panel_nails
from takeoff.walls import wall_needs

BOOK = standard_book()
BARE = {"eave_top": "plate", "gable_top": "rafter undersides", "seat": "0 in", "below": "0 in"}
DOOR = {"width": "36 in", "height": "80 in"}


def needs(book=BOOK, **keys):
    job = job_of(**{"walls": BARE, **keys})
    return wall_needs(job, building_of(job, book), book)


def test_without_a_table_nothing_is_asked_for():
    """A job that says nothing of walls gets none, wherever its door stands."""
    assert needs(walls=None, door=[DOOR]) == type(needs())()


def test_metal_lies_along_every_level_joint():
    """Both gables are split: 119-7/8 in of metal each, pieces lapped 2 in."""
    found = needs()

    metal = [run for run in found.runs if run.material == "z-flashing"]
    assert [run.length / INCH for run in metal] == [119.875, 119.875]
    assert {run.lap / INCH for run in metal} == {2}
    assert levels(found, "level joint in wall panels") == ["pass", "pass"]


def test_metal_stops_at_a_door_that_crosses_the_joint():
    """A joint at 48 in is broken by a door from 78 to 114 in: 78 and 192 - 114."""
    found = needs(walls={**BARE, "joints": ["48 in"]}, door=[DOOR])

    door_side = [run.length / INCH for run in found.runs if run.label.startswith("door side wall")]
    assert door_side == [78, 78]


def test_a_joint_off_the_plates_is_blocked():
    """Walls of 192 in: twelve bays of 14-1/2 in clear; ends of 120 - 1/8: seven, and one of 6-3/8."""
    found = needs(walls={**BARE, "joints": ["48 in"], "corner_board": False, "past": "none"})

    blocks = {part.length / INCH: part.count for part in found.parts if "blocking" in part.label}
    assert blocks == {14.5: 2 * 12 + 2 * 7, 6.375: 2}


def test_without_metal_a_level_joint_is_warned_of():
    """It must lap or be ship-lapped then."""
    assert levels(needs(walls={**BARE, "z_flashing": False}), "level joint in wall panels") == [
        "warn",
        "warn",
    ]


def test_two_boards_go_up_every_corner():
    """Four walls, a board at either end of each: 96 in up the sides, and as high up the ends."""
    boards = [part for part in needs().parts if "corner board" in part.label]

    assert sum(part.count for part in boards) == 8
    assert [part.length / INCH for part in boards] == [96] * 4


def test_inner_corners_have_boards_too():
    """Six walls of an L: twelve boards."""
    wing = {"length": "6 ft", "width": "8 ft"}
    boards = [
        p for p in needs(length="24 ft", width="12 ft", roof="L", wing=wing).parts if "corner" in p.label
    ]

    assert sum(part.count for part in boards) == 12


def test_boards_that_outgrow_the_stock_are_jointed():
    """A high wall of 24 ft takes runs of 1x4, pieces of 4 ft or more."""
    found = needs(roof="single-slope", width="16 ft", pitch=12)

    runs = [run for run in found.runs if "corner board" in run.label]
    assert {run.label.rpartition(":")[0] for run in runs} == {
        "high wall",
        "right end wall",
        "left end wall",
    }
    assert {run.shortest / INCH for run in runs} == {48}


def test_nails_of_one_panel_wide():
    """
    A wall 48 x 96 in on studs 24 in apart, two strips of 24 at most.

    Seam 2 x 17, corners 2 x 17, foot and top 2 x (9 + 2): 90; no stud is left without a seam.
    """
    keys = {"length": "49 in", "width": "48 in", "roof": "hip", "pitch": 1, "ridge_along": "length"}
    table = {**BARE, "stud_spacing": "24 in"}
    job = job_of(**keys, walls=table)
    panels = panelling_of(job, BOOK)
    skins = skins_of(job, building_of(job, BOOK), BOOK, panels)
    parts = [part for skin in skins for part in skin_parts(skin, panels, "in")]
    end = [part for part in parts if part.skin.wall.name == "left end"]

    assert panel_nails(end, panels).quantity == 90


@settings(deadline=None, max_examples=30)
@given(field=st.integers(6, 16), edge=st.integers(3, 6), pitch=st.integers(2, 12))
def test_closer_nails_are_never_fewer(field, edge, pitch):
    """Halving either spacing never takes fewer nails."""

    def nails(edge_inches, field_inches):
        table = {**BARE, "edge_nails": f"{edge_inches} in", "field_nails": f"{field_inches} in"}
        return next(
            c.quantity for c in needs(pitch=pitch, walls=table).counts if c.label == "wall panel nails"
        )

    assert nails(edge, field) <= min(nails(edge / 2, field), nails(edge, field / 2))


@pytest.mark.parametrize(
    ("rule", "table", "level"),
    [
        ("stud spacing", {}, "pass"),
        ("stud spacing", {"stud_rating": "16 in", "stud_spacing": "24 in"}, "warn"),
        ("clearance to the ground", {}, "pass"),
        ("clearance to the ground", {"clearance": "4 in"}, "warn"),
        ("foot of the skin", {"below": "1/2 in"}, "warn"),
        ("wall nail spacing", {}, "pass"),
        ("wall nail spacing", {"field_nails": "16 in"}, "warn"),
        ("wall nail", {}, "pass"),
        ("wall nail", {"nail": {"material": "siding-nail", "length": "2 in"}}, "warn"),
        ("gap between wall panels", {"gap": "1/8 in"}, "pass"),
        ("gap between wall panels", {}, "note"),
        ("panels turned end for end", {}, "note"),
        ("corners", {"corner_board": False, "past": "none"}, "warn"),
        ("corner boards", {}, "note"),
        ("studs behind a skin that runs past", {"past": "ends"}, "note"),
    ],
)
def test_rules_are_held_against_the_walls(rule, table, level):
    """Each rule passes the usual wall and warns of what breaks it, with its source."""
    found = needs(walls={**BARE, **table})

    assert levels(found, rule) == [level]
    assert all(check.source for check in found.checks)


def test_thin_panels_want_closer_studs():
    """3/8 in panels are stamped for 16 in."""
    thin = {**BARE, "material": "plywood-3/8", "stud_spacing": "24 in"}
    assert levels(needs(walls=thin), "stud spacing") == ["warn"]


def test_a_sliver_above_a_joint_is_warned_of():
    """A wall of 97 in under 8 ft panels leaves 7/8 in above its joint."""
    sheets = tuple(item for item in BOOK.items if item.key not in ("siding-panel 4x9", "siding-panel 4x10"))
    found = needs(replace(BOOK, items=sheets), walls={**BARE, "height": "97 in"})

    assert "warn" in levels(found, "level joint in wall panels")


def test_every_guess_is_named():
    """What the table leaves out stands among the assumptions, and what it says does not."""
    found = {assumption.key for assumption in needs(walls={}, door=[DOOR]).assumptions}
    assert {
        "walls.height",
        "walls.below",
        "walls.seat",
        "walls.gap",
        "walls.past",
        "door.0.from_corner",
    } <= found

    said = {"height": "8 ft", "below": "0 in", "seat": "0 in", "gap": "0 in", "past": "none"}
    placed = {**DOOR, "wall": "door side", "from_corner": "20 in"}
    found = {assumption.key for assumption in needs(walls=said, door=[placed]).assumptions}
    assert not found & {
        "walls.height",
        "walls.below",
        "walls.seat",
        "walls.gap",
        "walls.past",
        "door.0.from_corner",
    }


def test_the_whole_takeoff_holds_the_walls():
    """Surfaces, metal, boards and nails of the walls stand in the takeoff, nails with their waste."""
    takeoff = take_off(job_of(walls=BARE), BOOK)
    own = needs()

    assert set(own.surfaces) <= set(takeoff.surfaces)
    nails = next(count for count in own.counts if count.label == "wall panel nails")
    wasted = next(count for count in takeoff.counts if count.label == "wall panel nails")
    assert wasted.quantity == -(-nails.quantity * 120 // 100)


def test_nails_that_the_book_lacks_are_named():
    """They are left out of the purchase, and a warning says how many."""
    takeoff = take_off(job_of(walls={**BARE, "nail": {"material": "brass-nail", "length": "3 in"}}), BOOK)

    assert not any(count.material == "brass-nail" for count in takeoff.counts)
    assert any(check.level == "warn" and "brass-nail" in check.message for check in takeoff.checks)


def test_a_count_by_area_takes_a_tenth_more():
    """Walls of 416 sq ft and gables of 25: 441 less the joints' gaps, x 1.1 / 32 is 15.2 sheets of 4x8."""
    (rough,) = needs().by_area

    assert dict(rough.pieces)["siding-panel 4x8"] == 16


def test_a_wall_is_measured_before_it_is_cut():
    """Framing and heights of every wall, the peak of a gable, and where a door stands in it."""
    found = dict(needs(walls={**BARE, "below": "1 in"}, door=[DOOR]).measure)

    assert found["door side wall: framing, corner to corner"] == 192 * INCH
    assert found["left end wall: foot to top at the peak"] == 127 * INCH
    assert found["door side wall: door, from the left corner"] == 78 * INCH
    assert found["door side wall: door, head above the foot"] == 81 * INCH
    assert "door side wall: foot to top at the peak" not in found


def test_siding_alone_has_corner_boards_and_no_panels():
    """Without a table of walls, or with none of panels: eight boards, no surface, guesses named."""
    for walls in (None, {**BARE, "material": False}):
        found = needs(walls=walls, siding={}, door=[DOOR])
        boards = [part for part in found.parts if "corner board" in part.label]

        assert sum(part.count for part in boards) == 8
        assert found.surfaces == ()
        assert "door.0.from_corner" in {assumption.key for assumption in found.assumptions}
    assert needs(walls={**BARE, "material": False}).parts == ()
    assert {assumption.alternative for assumption in needs(walls=None, siding={}).assumptions} == {None}


@pytest.mark.parametrize("roof", ["gable", "hip"])
def test_a_roof_without_gables_assumes_nothing_of_them(roof):
    """Where the skin ends at a gable is asked of a gable roof, not of a hip."""
    assumed = {assumption.key for assumption in needs(walls={}, roof=roof).assumptions}

    assert ("walls.gable_top" in assumed) == (roof == "gable")
    assert "walls.eave_top" in assumed


def test_a_wall_is_called_so_once():
    """A single slope's sides are walls by name; others get the word."""
    labels = [surface.label for surface in needs(walls={}, roof="single-slope").surfaces]

    assert "low wall" in labels
    assert "right end wall" in labels
    assert not any("wall wall" in label for label in labels)
