"""Published counts of wall sheathing, worked again from the building."""

from __future__ import annotations

from dataclasses import replace

from small_jobs import job_of

from optimizer.lengths import FOOT, INCH
from takeoff.book import Item
from takeoff.building import building_of
from takeoff.panelling import panelling_of
from takeoff.sizes import standard_book
from takeoff.skin import skin_parts, skins_of


def square_feet(**keys):
    """Take off the walls in sheets long enough for every wall, so that no joint takes anything away."""
    tall = Item("tall-panel", "4x12", "sheet", 12 * FOOT, 4 * FOOT, INCH * 15 // 32)
    book = standard_book()
    book = replace(book, items=(*book.items, tall))
    bare = {"material": "tall-panel", "eave_top": "plate", "gable_top": "rafter undersides", "seat": "0 in"}
    job = job_of(**keys, walls={**bare, "below": "0 in", "corner_gap": "0 in"})
    panels = panelling_of(job, book)
    skins = skins_of(job, building_of(job, book), book, panels)
    twice = sum(part.twice_area for skin in skins for part in skin_parts(skin, panels, "in"))
    return twice / 2 / FOOT**2


def test_walls_and_gables_of_a_textbook_house():
    """50 x 24 ft, walls 8 ft, gables 3 ft high: 1,184 + 72 = 1,256 sq ft, 39.25 sheets, so 40."""
    # "Estimating in Building Construction", ex. 13-17 (secondary): 148 ft x 8 ft, gables 0.5 x 24 x 3 x 2.
    area = square_feet(length="50 ft", width="24 ft", pitch="3 in 12")

    assert area == 1256
    assert -(-area // 32) == 40


def test_sheets_for_an_area():
    """1,060 sq ft of wall are 33.1 sheets, so 34."""
    # "Modern Carpentry" 11.15.3 (secondary): 1,060 / 32. Here as a hip roof's walls of 10 ft: 106 ft round.
    area = square_feet(length="33 ft", width="20 ft", roof="hip")  # 106 x 8
    assert area == 848
    assert -(-(area * 10 / 8) // 32) == 34
