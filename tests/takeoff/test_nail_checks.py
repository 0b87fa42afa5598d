"""Nails and screws held against what they go through and into."""

from __future__ import annotations

import pytest

from takeoff.building import building_of
from takeoff.fasteners import fastener_needs
from takeoff.job import parse_job
from takeoff.sizes import standard_book

DOOR = {"width": "36 in", "height": "84 in"}


def levels(name, **keys):
    """Give the levels of one rule's checks on a roof 16 x 10 ft with fascia, rake boards and a door."""
    table = {"length": "16 ft", "width": "10 ft", "pitch": 6, "fascia": {}, "rake_board": {}, "door": [DOOR]}
    job = parse_job({**table, **keys}, "job.toml")
    found = fastener_needs(job, building_of(job, standard_book()), standard_book())
    return [check.level for check in found.checks if check.rule == name]


def nail(what, length):
    return {"fastener": {what: {"material": "slab-screw", "length": length}}}


def test_all_defaults_pass():
    """The default nails and screws suit the default stacks."""
    table = {"length": "16 ft", "width": "10 ft", "pitch": 6, "fascia": {}, "rake_board": {}, "door": [DOOR]}
    job = parse_job(table, "job.toml")
    found = fastener_needs(job, building_of(job, standard_book()), standard_book())

    assert {check.level for check in found.checks} <= {"pass", "note"}
    assert all(check.source for check in found.checks)


@pytest.mark.parametrize(
    ("rule", "expected"),
    [
        ({}, ["pass"]),
        ({"field_nails": "13 in"}, ["warn"]),
        ({"edge_nails": "7 in"}, ["warn"]),
        ({"field_nails": "2-1/2 in"}, ["pass", "warn"]),
    ],
)
def test_deck_nail_spacing(rule, expected):
    """6 in at panel ends, 12 in between at most (FEMA P-55); under 3 in splits framing (FEMA P-499)."""
    assert levels("deck nail spacing", rule=rule) == expected


def test_supports_four_feet_apart_are_nailed_every_six_inches():
    """With supports 48 in apart every support is nailed at 6 in (APA E30V Table 37, for soffits)."""
    wide = {"rafter_spacing": "48 in", "panel": "osb-23/32"}

    assert levels("deck nail spacing", **wide) == ["warn"]
    assert levels("deck nail spacing", **wide, rule={"field_nails": "6 in"}) == ["pass"]


@pytest.mark.parametrize(("length", "level"), [("2-1/2 in", "pass"), ("2-3/8 in", "warn")])
def test_deck_nail(length, level):
    """8d common, 2-1/2 in, for panels up to 1 in thick (IRC Table R602.3(1), scan partly legible)."""
    assert levels("deck nail", **nail("deck", length)) == [level]


@pytest.mark.parametrize(
    ("panel", "length", "expected"),
    [
        ("osb-7/16", "9/16 in", ["pass", "note"]),
        ("osb-7/16", "1/2 in", ["warn"]),
        ("osb-23/32", "27/32 in", ["pass", "note"]),
        ("osb-23/32", "3/4 in", ["warn"]),
    ],
)
def test_edge_metal_nail(panel, length, expected):
    """Decks under 3/4 in: 1/8 in through them: 7/16 + 1/8 = 9/16, 23/32 + 1/8 = 27/32."""
    assert levels("edge metal nail", panel=panel, **nail("edge_metal", length)) == expected


@pytest.mark.parametrize(("spacing", "level"), [("12 in", "pass"), ("12-1/16 in", "warn")])
def test_edge_metal_nail_spacing(spacing, level):
    """At most 12 in apart (IRC R905.2.8.5, secondary)."""
    assert levels("edge metal nail spacing", fastener={"edge_metal_spacing": spacing}) == [level]


def test_no_metal_needs_no_nails():
    """Without edge metal its nails aren't looked at."""
    assert levels("edge metal nail", drip_edge={"eave": False}) == []


@pytest.mark.parametrize(("length", "level"), [("2-1/4 in", "pass"), ("2 in", "warn")])
def test_fascia_nail(length, level):
    """Into end grain three times what it holds: 3 x 3/4 = 2-1/4 in (US Army EN0069)."""
    assert levels("fascia nail", **nail("fascia", length)) == [level]


@pytest.mark.parametrize(
    ("length", "level"), [("1-1/8 in", "pass"), ("1 in", "warn"), ("2-1/4 in", "pass"), ("2-5/16 in", "warn")]
)
def test_rake_board_nail(length, level):
    """1-1/2 times the board or more (EN0069), and not through board and rafter: 3/4 + 1-1/2 in."""
    assert levels("rake board nail", **nail("rake_board", length)) == [level]


@pytest.mark.parametrize(
    ("length", "level"),
    [("1-1/2 in", "warn"), ("1-5/8 in", "pass"), ("1-3/4 in", "pass"), ("1-13/16 in", "warn")],
)
def test_slab_screw(length, level):
    """Skins 19/32 + 7/16 = 1-1/32, half an inch into the stile 1-17/32, whole stack 1-25/32."""
    assert levels("slab screw", **nail("slab", length)) == [level]


@pytest.mark.parametrize(("length", "level"), [("1/2 in", "warn"), ("1-1/2 in", "pass"), ("2 in", "warn")])
def test_hinge_screw(length, level):
    """Through the stile's 3/4 in, and no longer than the slab's 1-25/32 in."""
    assert levels("hinge screw", **nail("hinge", length)) == [level]


@pytest.mark.parametrize(
    ("length", "level"), [("2-3/8 in", "warn"), ("2-1/2 in", "pass"), ("3-1/4 in", "warn")]
)
def test_stop_screw(length, level):
    """Stop 1-11/16 in: at least 2-7/16 in, at most 3-3/16 in with framing 1-1/2 in thick."""
    assert levels("stop screw", **nail("stop", length)) == [level]


@pytest.mark.parametrize(("length", "level"), [("1 in", "warn"), ("2-1/2 in", "pass"), ("4-1/2 in", "warn")])
def test_casing_nail(length, level):
    """Casing 3/4 in on walls 3-1/2 in deep: from 1-1/8 to 4-1/4 in."""
    assert levels("casing nail", **nail("casing", length)) == [level]
