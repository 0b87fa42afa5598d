"""The book of usual sizes that stands in without a price book."""

from __future__ import annotations

import tomllib

from small_jobs import inches

from takeoff.keys import job_keys
from takeoff.sizes import standard_book

BOOK = standard_book()
MATERIAL_KEYS = {
    "": ("panel", "blocking"),
    "fascia": ("material",),
    "rake_board": ("material",),
    "drip_edge": ("eave",),
    "fastener": ("clip",),
    "door": ("face", "stile", "bottom_piece", "casing", "stop", "seal", "head_metal", "hinge"),
}
"""Keys whose default is a material, by table."""


def test_nothing_has_a_price():
    """A made-up price would pass for a real one."""
    assert {item.price for item in BOOK.items} == {None}


def test_every_default_material_is_in_the_book():
    """A job that names no material finds what the defaults name."""
    known = {item.material for item in BOOK.items}
    wanted = set()
    for key in job_keys():
        value = tomllib.loads(f"value = {key.default or 'false'}")["value"]
        if isinstance(value, dict):
            wanted.add(value["material"])
        elif key.name in MATERIAL_KEYS.get(key.table, ()):
            wanted.add(value)

    assert wanted <= known
    assert {"osb-7/16", "2x4", "1x6", "drip-edge", "siding-panel", "panel-clip", "strap-hinge"} <= wanted


def test_panels_are_sized_for_spacing():
    """With a 1/8 in gap they keep a 48 x 96 in module."""
    panel = BOOK.sizes("osb-7/16")[0]

    assert (panel.length, panel.width) == (inches("95-7/8"), inches("47-7/8"))
    assert panel.span == (24, 16)


def test_every_size_has_its_own_key():
    """Two lines of one name could not be told apart in Buy."""
    keys = [item.key for item in BOOK.items]

    assert len(set(keys)) == len(keys)


def test_boards_come_in_every_even_foot_from_8_to_20():
    """US Army EN0069: standard lengths are 8 to 20 ft in 2 ft steps."""
    assert [item.size for item in BOOK.sizes("2x6")] == [f"{feet} ft" for feet in range(8, 21, 2)]


def test_a_4_by_8_panel_of_7_16_osb_weighs_about_45_pounds():
    """A retail chart, page seen (secondary): 45 lb."""
    weight = BOOK.sizes("osb-7/16")[0].weight

    assert weight is not None
    assert round(weight / 453.59237) == 45
