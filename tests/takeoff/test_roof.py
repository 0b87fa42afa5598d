"""Roof planes as the optimizer gets them: supports flagged, rules and blocking along."""

from __future__ import annotations

from typing import Any

import pytest
from small_jobs import inches, job_of

from optimizer.errors import InputError
from optimizer.lengths import INCH, MILLIMETRE
from optimizer.words import Surface
from takeoff.book import Book, Item
from takeoff.building import building_of
from takeoff.roof import is_metric, panel_sizes, roof_needs
from takeoff.rules import rules_of
from takeoff.sizes import standard_book

BOOK = standard_book()


def surfaces(**keys: Any) -> tuple[Surface, ...]:
    job = job_of(**keys)
    rules = rules_of(job, is_metric(panel_sizes(job, BOOK)))
    return roof_needs(job, building_of(job, BOOK), BOOK, rules).surfaces


def bearing(surface: Surface) -> list[int]:
    return [support.at // INCH for support in surface.supports if support.bears]


def seams(surface: Surface) -> list[int]:
    return [support.at // INCH for support in surface.supports if support.seam]


def test_the_door_side_is_laid_first():
    """One surface for each half, in the order of `sides`, each with its mark."""
    assert [(surface.label, surface.mark) for surface in surfaces()] == [
        ("door side", "D"),
        ("far side", "F"),
    ]
    assert [surface.label for surface in surfaces(roof="single-slope")] == ["roof"]


def test_flush_rakes_take_seams_on_all_but_the_end_rafters():
    """Every rafter bears; a seam on the first or last would leave a sliver."""
    near = surfaces()[0]

    assert bearing(near) == [0, 24, 48, 72, 96, 120, 144, 168, 191]
    assert seams(near) == [24, 48, 72, 96, 120, 144, 168]


REFERENCE = {
    "rafters": [f"{24 * k} in" for k in range(9)],
    "rake_overhang": "12 in",
    "slope_length": "84 in",
}


@pytest.mark.parametrize(
    ("keys", "bears", "legal"),
    [
        # usual: two bays inside the wall, so none on 12 and 36; the barge at 3/4 bears nothing.
        ({"rules": "usual"}, range(12, 205, 24), [60, 84, 108, 132, 156]),
        # windy: three bays, so none on 60 either.
        ({"rules": "windy"}, range(12, 205, 24), [84, 108, 132]),
        # lean: the barge bears, and only the length of a piece keeps a seam off the gable wall.
        ({"rules": "lean"}, [0, *range(12, 205, 24), 215], list(range(12, 205, 24))),
        # lookouts carry the overhang under any rules.
        ({"rules": "usual", "lookouts": True}, [0, *range(12, 205, 24), 215], list(range(12, 205, 24))),
        # a job may ask for one bay only.
        ({"rule": {"rake_bays": 1}}, range(12, 205, 24), [36, 60, 84, 108, 132, 156, 180]),
        # the gable rafter takes no seam while nothing bears outside it.
        ({"rule": {"rake_bays": 0}}, range(12, 205, 24), [36, 60, 84, 108, 132, 156, 180]),
    ],
)
def test_the_rake_piece_reaches_inside_the_gable_wall(keys: dict[str, Any], bears: Any, legal: list[int]):
    """The reference roof, 216 x 84 in, rafters 24 in on centre from 12 in inside each rake edge."""
    near = surfaces(**REFERENCE, **keys)[0]

    assert (near.length, near.height) == (216 * INCH, 84 * INCH)
    assert bearing(near) == list(bears)
    assert seams(near) == legal


def test_a_roof_too_short_for_the_rake_rule_has_no_seams():
    """Three bays can't leave two free at both ends."""
    assert seams(surfaces(length="6 ft", width="5 ft", rake_overhang="12 in")[0]) == []


def test_the_far_side_is_seen_from_its_own_eave():
    """An odd last bay lies on the right of the door side and on the left of the far side."""
    near, far = surfaces(length="197 in", rafter_spacing="16 in")

    assert [near.length - support.at for support in reversed(near.supports)] == [
        support.at for support in far.supports
    ]


def test_rules_travel_with_the_surface():
    """Each value of the rule set reaches the optimizer; a single slope's upper edge has a rake's slack."""
    rule = surfaces()[0].rule

    assert (rule.gap, rule.end_slack, rule.top_slack) == (INCH // 8, INCH // 4, INCH // 2)
    assert (rule.min_supports, rule.shortest, rule.stagger, rule.narrowest) == (3, *[24 * INCH] * 3)
    assert surfaces(roof="single-slope")[0].rule.top_slack == INCH // 4


def test_lean_rules_price_blocking_for_every_bay():
    """Nine rafters on 16 ft: six bays of 22-1/2 in between faces, and at each end one of 21-3/4."""
    near = surfaces(rules="lean")[0]

    assert [(part.length, part.count) for part in near.blocking] == [
        (inches("22-1/2"), 6),
        (inches("21-3/4"), 2),
    ]
    assert {part.material for part in near.blocking} == {"2x4"}
    assert len({part.label for part in near.blocking}) == 2
    assert surfaces()[0].blocking == ()


def test_a_deck_held_short_leaves_the_slot_open():
    """At 9 in 12 half a 1-1/2 in ridge board covers 15/16 in of slope; with 3/4 in clear, 1-11/16 in."""
    near = surfaces(pitch=9, ridge_slot={"how": "deck held short"})[0]
    cut = surfaces(pitch=9, ridge_slot={})[0]

    assert near.height == 90 * INCH - inches("1-11/16")
    assert cut.height == 90 * INCH


def test_metric_sheets_are_known_by_their_whole_millimetres():
    """1220 x 2440 is metric, 47-7/8 x 95-7/8 in isn't, and a mix of both isn't."""
    metric, imperial = BOOK.sizes("osb-11mm"), BOOK.sizes("osb-7/16")

    assert is_metric(metric)
    assert not is_metric(imperial)
    assert not is_metric(metric + imperial)
    assert surfaces(panel="osb-11mm", rafter_spacing="400 mm")[0].rule.gap == 3 * MILLIMETRE


def test_a_panel_the_book_lacks_is_named_with_its_nearest():
    """The message tells what the book does have."""
    with pytest.raises(InputError, match="has no 'osb-716'; did you mean 'osb-7/16'"):
        surfaces(panel="osb-716")


def test_a_deck_is_laid_in_sheets():
    """A board is no deck panel."""
    with pytest.raises(InputError, match="panel: '2x4' is not a sheet"):
        surfaces(panel="2x4")


def test_a_panel_without_a_size_is_refused():
    """A sheet must say how long and wide it is."""
    book = Book((Item("osb-7/16", "4x8", "sheet", length=96 * INCH),))

    with pytest.raises(InputError, match="no length and width for 'osb-7/16 4x8'"):
        panel_sizes(job_of(), book)


def test_an_empty_book_says_so():
    """Nothing near, nothing at all."""
    with pytest.raises(InputError, match="the price book has no 'osb-7/16'; it has no lines at all"):
        panel_sizes(job_of(), Book(()))


def test_a_book_with_nothing_near_lists_what_it_has():
    """Without a near name the message lists the book's materials."""
    book = Book((Item("slate", "", "sheet"), Item("straw", "", "each")), source="prices.csv")

    with pytest.raises(InputError, match=r"prices\.csv has no 'osb-7/16'; it has slate, straw"):
        panel_sizes(job_of(), book)


def test_a_slot_wider_than_the_slope_is_refused():
    """Holding the deck short must leave a deck."""
    with pytest.raises(InputError, match="the slot is wider than the slope"):
        surfaces(ridge_slot={"how": "deck held short", "clear": "20 ft"})
