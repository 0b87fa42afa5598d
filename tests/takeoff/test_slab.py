"""The slab of a door: its size, its skins' seams, its stiles and rails."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimizer.errors import InputError
from optimizer.lengths import INCH
from takeoff.sizes import standard_book
from takeoff.slab import Skin, Slab, hinges_for, leaf_size, slab_of
from takeoff.trim_job import DoorTable


def door(width, height, **keys):
    return DoorTable.model_validate({"width": f"{width} in", "height": f"{height} in", **keys})


def slab(width, height, **keys):
    return slab_of(door(width, height, **keys), "door[1]", "osb-7/16", standard_book(), "in")


def inches(*lengths):
    return [length / INCH for length in lengths]


def test_slab_is_half_an_inch_less_each_way():
    """A slab is 1/2 in narrower and shorter than its opening: the gap of 1/4 in on every side."""
    found = slab(36, 84)

    assert inches(found.width, found.height) == [35.5, 83.5]


def test_two_leaves_share_what_three_gaps_leave():
    """Leaves of a double door: (60 - 3 x 1/4) / 2 = 29-5/8."""
    assert inches(*leaf_size(door(60, 84, leaves=2), 2)) == [29.625, 83.5]


def test_small_slab_has_whole_skins():
    """No seam where a sheet covers the slab."""
    found = slab(36, 84)

    assert found.face.pieces() == found.backing.pieces() == ((found.width, found.height),)


def test_stack_is_skins_and_stile():
    """19/32 siding, 7/16 panel and a 3/4 board make 57/32 = 1-25/32 in."""
    assert slab(36, 84).stack == INCH * 57 // 32
    assert slab(36, 84, backing=False).stack == INCH * 43 // 32


def test_members_fill_the_slab():
    """Rails lie between stiles: 35.5 - 7 = 28.5; rows between rails: (83.5 - 3 x 3.5) / 2 = 36.5."""
    found = slab(36, 84)

    assert inches(found.rail_length, *found.rows()) == [28.5, 36.5, 36.5]


def test_brace_reaches_from_corner_to_corner():
    """A field 30 x 40 takes a brace of 50: the diagonal, exactly."""
    # 37 - 2 x 3.5 = 30 wide, 47 - 2 x 3.5 = 40 high
    face = Skin("siding-panel", INCH, 37 * INCH, 47 * INCH)
    found = Slab(37 * INCH, 47 * INCH, face, None, 7 * INCH // 2, INCH, rails=(), stiles=())

    assert inches(*found.fields()[0], *found.braces()) == [30, 40, 50]


def test_wide_slab_has_its_seams_under_a_stile_and_a_rail():
    """59.5 in outgrow a 48 in sheet: the face splits upright, the backing level, where members lie."""
    found = slab(60, 84)

    assert inches(*found.face.upright) == [29.75]
    assert found.face.level == ()
    assert inches(*found.backing.level) == [41.75]
    assert found.backing.upright == ()
    assert found.stiles == found.face.upright
    assert set(found.backing.level) <= set(found.rails)


@pytest.mark.parametrize(("width", "height"), [(36, 126), (60, 84), (60, 100), (90, 84), (60, 140)])
def test_skins_never_share_a_seam(width, height):
    """Every seam lies under a member of its own direction, and no line is a seam in both skins."""
    found = slab(width, height)

    assert not set(found.face.upright) & set(found.backing.upright)
    assert not set(found.face.level) & set(found.backing.level)
    assert {*found.face.upright, *found.backing.upright} <= set(found.stiles)
    assert {*found.face.level, *found.backing.level} <= set(found.rails)
    for skin in (found.face, found.backing):
        assert sum(w * h for w, h in skin.pieces()) == found.width * found.height


def test_face_never_lies_across_the_grain():
    """An opening 96.5 wide and 40 high: the face may not turn, so it is split; the backing turns whole."""
    found = slab(96, 40, middle_rail=False)

    assert len(found.face.pieces()) == 2
    assert len(found.backing.pieces()) == 1


def test_far_too_large_a_slab_is_refused():
    """More than one seam each way is no site-built slab: the message offers a double door."""
    with pytest.raises(InputError, match=r"door\[1\]\.face: .* 119-1/2 x 83-1/2 in .*leaves = 2"):
        slab(120, 84)


def test_too_small_an_opening_is_refused():
    """Two stiles of 3-1/2 in and no room between them."""
    with pytest.raises(InputError, match="7 x 84 in leaves no room between stiles and rails 3-1/2 in wide"):
        slab(7, 84)
    with pytest.raises(InputError, match="middle_rail = false"):
        slab(36, 10.5)


def test_hinges_by_height():
    """2 to 60 in, 3 to 90, 4 to 120 (trade pages repeating the door and hardware rule, secondary)."""
    assert [hinges_for(h * INCH) for h in (30, 60, 61, 90, 91, 120)] == [2, 2, 3, 3, 4, 4]


@given(
    width=st.integers(10, 150),
    height=st.integers(10, 250),
    leaves=st.sampled_from([1, 2]),
    middle_rail=st.booleans(),
    backing=st.sampled_from(["roof", "plywood-3/8", False]),
)
def test_any_slab_is_sound_or_refused(width, height, leaves, middle_rail, backing):
    """Any slab: pieces fit sheets and tile it, seams lie under members, or the opening is refused."""
    book = standard_book()
    try:
        found = slab(width, height, leaves=leaves, middle_rail=middle_rail, backing=backing)
    except InputError:
        return
    upright: list[int] = []
    level: list[int] = []
    for skin in filter(None, (found.face, found.backing)):
        sheets = [(item.width, item.length) for item in book.sizes(skin.material)]
        if skin is found.backing:
            sheets += [(long, wide) for wide, long in sheets]
        assert all(any(w <= wide and h <= long for wide, long in sheets) for w, h in skin.pieces())
        assert sum(w * h for w, h in skin.pieces()) == found.width * found.height
        upright += skin.upright
        level += skin.level
    assert sorted(upright) == list(found.stiles)
    assert len(set(level)) == len(level)
    assert set(level) <= set(found.rails)
    assert min(side for field in found.fields() for side in field) > 0
