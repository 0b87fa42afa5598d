"""Nails, clips, screws and hinges by number."""

from __future__ import annotations

from dataclasses import replace

import pytest

from optimizer.lengths import INCH
from takeoff.building import Plane, building_of
from takeoff.fasteners import deck_nails, fastener_needs, most_courses, most_seams
from takeoff.job import parse_job
from takeoff.rafters import Rafter
from takeoff.rules import RULE_SETS
from takeoff.sizes import standard_book

USUAL = RULE_SETS["usual"]


def needs(book=None, waste=0, **keys):
    """Take off a roof 16 x 10 ft at 9 in 12: slopes of 90 in, rafters 24 in on centre, no waste."""
    fastener = {"waste_percent": waste, **keys.pop("fastener", {})}
    job = parse_job(
        {"length": "16 ft", "width": "10 ft", "pitch": 9, "fastener": fastener, **keys}, "job.toml"
    )
    book = book or standard_book()
    return fastener_needs(job, building_of(job, book), book)


def quantity(found, label):
    return sum(count.quantity for count in found.counts if count.label == label)


def plane(length, slope, spacing):
    lines = tuple(Rafter(at * INCH, "common") for at in range(0, length + 1, spacing))
    return Plane("A", "A", length * INCH, slope * INCH, length * INCH, slope * INCH, lines)


@pytest.mark.parametrize(("spacing", "nails"), [(24, 33), (16, 43)])
def test_one_full_panel(spacing, nails):
    """A 4 x 8 panel takes 33 nails on rafters 24 in apart, 43 on 16: 2 ends x 9, and 5 a rafter between."""
    # arithmetic: a 4 ft edge at 6 in takes 9 nails, at 12 in 5
    assert deck_nails(plane(96, 48, spacing), courses=1, seams=0, rules=USUAL) == nails


def test_a_seam_adds_two_panel_ends():
    """Two panels side by side: 33 + 33 nails, the two ends at the seam included."""
    assert deck_nails(plane(192, 48, 24), courses=1, seams=1, rules=USUAL) == 66


def test_two_courses_take_twice_the_nails():
    """Each course has nails at both its long edges, so nothing is shared between them."""
    assert deck_nails(plane(192, 96, 24), courses=2, seams=1, rules=USUAL) == 2 * 66


def test_seams_at_most():
    """Nine bays under three supports a piece: four pieces, three seams; never fewer than the panels force."""
    panels = standard_book().sizes("osb-7/16")

    assert most_seams(plane(216, 48, 24), panels, USUAL) == 3
    assert most_seams(plane(192, 48, 24), panels, RULE_SETS["windy"]) == 3
    assert most_seams(plane(48, 48, 24), panels, USUAL) == 0
    assert most_seams(plane(240, 48, 120), panels, USUAL) == 2


def test_courses_at_most():
    """Panels and gap make modules of 48 in: 96 in take two courses, 97 three."""
    panels = standard_book().sizes("osb-7/16")

    assert [most_courses(plane(96, slope, 24), panels, USUAL) for slope in (48, 96, 97)] == [1, 2, 3]


def test_deck_nails_of_a_small_roof():
    """Two halves of nine rafters, two courses, at most three seams: 2 x (2 E + 7 F + 3 (2 E - F))."""
    ends, field = 90 // 6 + 2, 90 // 12 + 2
    expected = 2 * (2 * ends + 7 * field + 3 * (2 * ends - field))

    assert quantity(needs(), "deck nails") == expected == 344


def test_closer_field_nails_count():
    """At 6 in everywhere every rafter takes E nails: 2 x (9 E + 3 E)."""
    assert quantity(needs(rule={"field_nails": "6 in"}), "deck nails") == 2 * 12 * 17


def test_waste_is_added_and_rounded_up():
    """344 nails and 20 % are 412.8, so 413; counted things that don't bend get no waste."""
    assert quantity(needs(waste=20), "deck nails") == 413


def test_no_clips_where_the_panel_spans_alone():
    """7/16 in 24/16 panels need no edge support at 24 in."""
    found = needs()

    assert quantity(found, "panel clips") == 0
    assert not found.parts


def test_clips_in_every_bay_of_every_joint():
    """24/0 panels of 3/8 in need edge support at 24 in: one joint a half, eight bays each."""
    assert quantity(needs(panel="plywood-3/8"), "panel clips") == 2 * 8


def test_two_clips_in_bays_of_four_feet():
    """Supports 48 in apart have two clips between (from memory, not re-checked): 4 bays, 2 halves."""
    assert quantity(needs(panel="osb-23/32", rafter_spacing="48 in"), "panel clips") == 2 * 4 * 2


def test_blocking_instead_of_clips():
    """Blocking fills every bay under the joint, and both panels are nailed to it every 6 in."""
    clipped, blocked = needs(panel="plywood-3/8"), needs(panel="plywood-3/8", edge_support="blocking")

    assert quantity(blocked, "panel clips") == 0
    assert sum(part.count for part in blocked.parts) == 2 * 8
    extra = quantity(blocked, "deck nails") - quantity(clipped, "deck nails")
    assert extra == 2 * 2 * (192 // 6 + 1)


def test_edge_metal_nails():
    """Every 12 in and one at each end, one more for every stick: eaves 198 in, rakes 93 and 90 in."""
    # ceil(198/12) + 1 + ceil(198/118) = 20; ceil(93/12) + 1 + 1 = 10; ceil(90/12) + 1 + 1 = 10
    assert quantity(needs(), "edge metal nails") == 2 * 20 + 2 * 10 + 2 * 10


def test_fascia_nails():
    """Two nails in each of nine tails at both eaves; a board over 8 in wide takes three."""
    # US Army EN0069 p. 4-10
    assert quantity(needs(fascia={}), "fascia nails") == 2 * 9 * 2
    assert quantity(needs(fascia={"material": "1x10"}), "fascia nails") == 2 * 9 * 3


def test_jointed_fascia_is_nailed_on_both_sides_of_a_joint():
    """30 ft: 16 tails; pieces of 4 ft or more make at most 360 / 48 - 1 = 6 joints, rounded down."""
    assert quantity(needs(length="30 ft", fascia={}), "fascia nails") == 2 * 2 * (16 + 6)


def test_rake_board_nails():
    """Pairs every 16 in up 90 in and at both ends: ceil(90 / 16) + 1 = 7 pairs on each of four boards."""
    assert quantity(needs(rake_board={}), "rake board nails") == 4 * 7 * 2


def test_door_hardware():
    """A slab 83-1/2 in high has three hinges with six screws each."""
    found = needs(door=[{"width": "36 in", "height": "84 in"}])

    assert quantity(found, "door hinges") == 3
    assert quantity(found, "door hinge screws") == 18
    # legs 84 / 16 -> 7 each; head 32-5/8 -> 4
    assert quantity(found, "door stop screws") == 18
    # legs 84 / 16 -> 7 pairs each; head 43 -> 4 pairs
    assert quantity(found, "door casing nails") == 36


def test_slab_screws():
    """Every 6 in: stiles 15 each, rails 6 each, braces 46-1/4 in 9 each, pads 2 each, bottom piece 7."""
    # ceil(83.5/6)+1 = 15; ceil(28.5/6)+1 = 6; ceil(46.3/6)+1 = 9; ceil(35.5/6)+1 = 7
    found = needs(door=[{"width": "36 in", "height": "84 in"}])

    assert quantity(found, "door slab screws") == 2 * 15 + 3 * 6 + 2 * 9 + 3 * 2 + 7


def test_double_door_doubles_its_hardware():
    """Two leaves with three hinges each."""
    found = needs(door=[{"width": "60 in", "height": "84 in", "leaves": 2}])

    assert quantity(found, "door hinges") == 6


def test_what_the_book_lacks_is_named_not_bought():
    """A price book without nails still gives a plan; the warning says what to buy besides."""
    book = standard_book()
    bare = replace(book, items=tuple(item for item in book.items if item.material != "nail-8d-common"))
    found = needs(bare)

    assert quantity(found, "deck nails") == 0
    (warning,) = (check for check in found.checks if check.rule == "not in the price book")
    assert (warning.level, "buy 344 for deck nails" in warning.message) == ("warn", True)


def test_field_spacing_is_an_assumption():
    """Unless the job gives it, or the rules already nail every 6 in."""
    assert [a.key for a in needs().assumptions] == ["rule.field_nails"]
    assert not needs(rule={"field_nails": "12 in"}).assumptions
    assert not needs(rules="windy").assumptions
