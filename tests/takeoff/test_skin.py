"""Wall skin: where panels may meet, where level joints lie, what stays open."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_jobs import job_of

from optimizer.errors import InputError
from optimizer.lengths import FOOT, INCH, MILLIMETRE
from takeoff.book import Book, Item
from takeoff.building import building_of
from takeoff.panelling import panelling_of
from takeoff.sizes import standard_book
from takeoff.skin import narrowest_of, on_plates, skin_parts, skins_of, surface_of

BOOK = standard_book()
BARE = {"eave_top": "plate", "gable_top": "rafter undersides", "seat": "0 in", "below": "0 in"}
DOOR = {"width": "36 in", "height": "80 in"}


def only(*feet: int) -> Book:
    """Give the usual sizes with siding panels of these lengths alone."""
    other = tuple(item for item in BOOK.items if item.material != "siding-panel")
    sheets = tuple(
        Item("siding-panel", f"4x{long}", "sheet", long * FOOT, 4 * FOOT, INCH * 19 // 32) for long in feet
    )
    return replace(BOOK, items=(*other, *sheets))


def laid(book=BOOK, **keys):
    job = job_of(**{"walls": {}, **keys})
    panels = panelling_of(job, book)
    skins = skins_of(job, building_of(job, book), book, panels)
    return panels, [part for skin in skins for part in skin_parts(skin, panels, job.tape)]


def surfaces(book=BOOK, **keys):
    panels, parts = laid(book, **keys)
    return {part.label: surface_of(part, panels) for part in parts}


def ring(part):
    return [(round(x / INCH, 2), round(up / INCH, 2)) for x, up in part.corners]


def test_a_level_wall_is_a_plain_strip_of_courses_standing_up():
    """Its length is the height, its height runs along the floor, panels meet on studs 16 in apart."""
    wall = surfaces(walls=BARE)["door side wall"]

    assert (wall.length / INCH, wall.height / INCH, wall.outline, wall.upright) == (96, 192, (), True)
    assert wall.edges == tuple(range(16 * INCH, 192 * INCH, 16 * INCH))
    assert wall.mark == "WA"


def test_a_gable_within_reach_of_a_panel_is_one_pentagon():
    """96 in at the corners, 111 at the peak 60 in along: one 10 ft panel reaches; up first, then along."""
    wall = surfaces(pitch=3, walls=BARE)["right end wall"]

    # Its last panel is ripped: the skin stops 1/8 in short of the right corner.
    assert [(round(up / INCH, 2), along / INCH) for up, along in wall.outline] == [
        (96, 0),
        (111, 60),
        (96.03, 119.875),
        (0, 119.875),
        (0, 0),
    ]


def anticlockwise(corners):
    return sum(x * b - a * y for (x, y), (a, b) in pairwise((*corners, corners[0]))) > 0


def test_outlines_run_anticlockwise():
    """As a surface wants them, also for both ends of a single slope."""
    found = surfaces(roof="single-slope", walls={})

    outlines = [surface.outline for surface in found.values() if surface.outline]
    assert len(outlines) >= 2
    assert all(anticlockwise(outline) for outline in outlines)


def test_a_high_gable_is_split_on_its_top_plates():
    """126 in to the peak: joint in the middle of two plates under 96, a gap of 1/8 in, then the rest."""
    panels, parts = laid(walls=BARE)
    low, high = (part for part in parts if part.skin.wall.name == "left end")

    assert low.height / INCH == 94.5
    assert high.low / INCH == 94.625
    assert ring(high) == [(0, 0), (119.88, 0), (119.88, 1.44), (60, 31.38), (0, 1.38)]
    assert on_plates(low.skin, low.skin.joints[0], panels.table)


def test_a_tall_wall_is_split_a_panel_up():
    """A wall of 11 ft under 10 ft panels: joint at 120 in, over blocking."""
    panels, parts = laid(walls={**BARE, "height": "11 ft"})
    low, high = (part for part in parts if part.skin.wall.name == "far side")

    assert (low.height / INCH, high.height / INCH) == (120, 11.875)
    assert not on_plates(low.skin, low.skin.joints[0], panels.table)


def test_short_panels_split_a_gable_again():
    """Under 8 ft panels a gable 35 ft wide at 12 in 12 is split on its plates and twice above them."""
    _, parts = laid(only(8), length="40 ft", width="35 ft", pitch=12, walls=BARE)
    gable = [part for part in parts if part.skin.wall.name == "right end"]

    assert [part.level for part in gable] == [0, 1, 2, 3]
    assert all(part.height <= 96 * INCH for part in gable)
    assert gable[-1].left > 0
    assert gable[-1].edges[0] < 16 * INCH


def test_named_joints_win():
    """Joints where the job says, and a part that no panel reaches over is refused."""
    _, parts = laid(walls={**BARE, "joints": ["48 in"]})

    assert [part.height / INCH for part in parts][:2] == [48, 47.875]
    with pytest.raises(InputError, match="longest siding-panel is 96 in; add a level joint"):
        laid(only(8), walls={**BARE, "height": "13 ft", "joints": ["48 in"]})


def test_a_door_is_open_down_to_the_foot():
    """The skin reaches 1 in below the floor: the hole is 81 in high and begins at the foot."""
    wall = surfaces(door=[DOOR])["door side wall"]
    (hole,) = wall.holes

    assert (hole.x, hole.y / INCH, hole.length / INCH, hole.height / INCH) == (0, 78, 81, 36)
    assert {78 * INCH, 114 * INCH} <= set(wall.edges)


def test_a_hole_that_a_joint_crosses_opens_both_parts():
    """A door of 80 in under a joint at 48: what lies above it begins at that part's foot."""
    found = surfaces(door=[DOOR], walls={**BARE, "joints": ["48 in"]})
    low, high = found["door side wall"].holes[0], found["door side wall, above its joint"].holes[0]

    assert (low.length / INCH, high.x, high.length / INCH) == (48, 0, 80 - 48.125)


def test_panels_as_wide_as_their_bays_are_planned_without_a_gap():
    """48 in panels lap at their edges; 47-7/8 in ones leave 1/8 in; 1217 mm ones 3 mm over metric studs."""
    assert laid()[0].gap == 0
    assert laid(walls={"material": "osb-7/16"})[0].gap == INCH // 8
    metric = Item("board", "1217x2440", "sheet", 2440 * MILLIMETRE, 1217 * MILLIMETRE, 9 * MILLIMETRE)
    book = replace(BOOK, items=(*BOOK.items, metric))
    keys = {"length": "4.88 m", "width": "3.66 m", "walls": {"material": "board", "stud_spacing": "610 mm"}}
    assert laid(book, **keys)[0].gap == 3 * MILLIMETRE


def test_the_skin_runs_past_at_the_ends():
    """Without corner boards the ends' skin covers the edges of the sides': 120 + 2 x 19/32 in."""
    found = surfaces(walls={**BARE, "corner_board": False})

    assert found["right end wall"].height == 120 * INCH + INCH * 38 // 32
    assert found["door side wall"].height == 192 * INCH
    # Studs behind it are laid out from its own edge.
    assert found["right end wall"].edges[0] == 16 * INCH


def test_the_narrowest_strip_gives_way_where_it_must():
    """49 in of wall on studs 16 in apart: 48 + 1 or 16 + 33 or 32 + 17; 17 is the best there is."""
    panels, parts = laid(length="20 ft", width="49 in", walls={**BARE, "corner_gap": "0 in"})
    end = next(part for part in parts if part.skin.wall.name == "right end")

    assert narrowest_of(end, panels) == 17 * INCH
    assert narrowest_of(parts[0], panels) == 24 * INCH


def test_studs_wider_apart_than_a_panel_are_refused():
    """No 4 ft panel reaches over studs 50 in apart."""
    with pytest.raises(InputError, match="no panel of siding-panel is wide enough"):
        surfaces(walls={"stud_spacing": "50 in"})


def test_a_board_covers_no_wall():
    """Walls are laid in sheets."""
    with pytest.raises(InputError, match="not a sheet"):
        laid(walls={"material": "1x6"})


@settings(deadline=None, max_examples=60)
@given(
    length=st.integers(200, 500),
    width=st.integers(60, 190),
    pitch=st.integers(1, 14),
    height=st.integers(70, 190),
    roof=st.sampled_from(["gable", "single-slope", "hip"]),
    spacing=st.sampled_from([12, 16, 24]),
)
def test_parts_and_joints_add_up_to_the_wall(length, width, pitch, height, roof, spacing):
    """Between the parts of a wall lies only the gap of each joint; edges lie between its ends."""
    keys = {"length": f"{length} in", "width": f"{width} in", "pitch": pitch, "roof": roof}
    table = {"height": f"{height} in", "corner_gap": "0 in", "stud_spacing": f"{spacing} in", "below": "0 in"}
    panels, parts = laid(**keys, walls=table)
    for skin in {part.skin for part in parts}:
        own = [part for part in parts if part.skin == skin]
        covered = sum(part.twice_area for part in own)
        most = skin.wall.twice_area
        # Of each gap, at most its height over the width; every corner is rounded to the unit.
        gaps = 2 * panels.end_gap * skin.width * (len(own) - 1)
        rounding = 8 * (skin.width + skin.peak) * len(own)
        assert most - gaps - rounding <= covered <= most + rounding
        for part in own:
            assert all(0 < edge < part.width for edge in part.edges)
            assert anticlockwise(part.corners)
            assert min(x for x, _ in part.corners) == min(up for _, up in part.corners) == 0
            surface = surface_of(part, panels)
            assert (surface.length, surface.height) == (part.height, part.width)
