"""How far panels span, by stamp or by thickness."""

from __future__ import annotations

from dataclasses import replace

import pytest
from small_jobs import inches, job_of

from optimizer.lengths import INCH
from takeoff.building import building_of
from takeoff.sizes import standard_book
from takeoff.spans import needs_edge_support, panel_span, widest_bay

BOOK = standard_book()
PANEL = BOOK.sizes("osb-7/16")[0]


def test_the_stamp_in_the_book_wins_over_the_thickness():
    """A 7/16 panel stamped 20/0 spans 20 in."""
    span = panel_span([replace(PANEL, span=(20, 0))])

    assert (span.supported, span.stamped) == (20 * INCH, True)


def test_without_a_stamp_the_thickness_tells_and_says_that_it_guessed():
    """7/16 is usually 24/16; 11 mm falls short of 7/16 and counts as 3/8."""
    span = panel_span([replace(PANEL, span=None)])
    thin = panel_span(BOOK.sizes("osb-11mm"))

    assert (span.rating, span.stamped) == ((24, 16), False)
    assert thin.rating == (24, 0)


def test_the_weakest_size_counts():
    """Of two sizes with two stamps the lesser span holds for the deck."""
    assert panel_span([PANEL, replace(PANEL, span=(16, 0))]).supported == 16 * INCH


def test_a_thick_24_0_panel_needs_no_edge_support():
    """From memory (not re-checked): 24/0 at 15/32 in and more spans 24 in unsupported, thinner ones 20."""
    thick = panel_span([replace(PANEL, span=(24, 0), thickness=inches("15/32"))])
    thin = panel_span([replace(PANEL, span=(24, 0), thickness=inches("3/8"))])

    assert (thick.unsupported, thin.unsupported) == (24 * INCH, 20 * INCH)


def test_a_stamp_outside_the_table_never_spans_more_than_it_says():
    """Unsupported edges get what the next lower rating in the table gets."""
    span = panel_span([replace(PANEL, span=(36, 18))])

    assert (span.supported, span.unsupported) == (36 * INCH, 28 * INCH)
    assert panel_span([replace(PANEL, span=(12, 0))]).unsupported == 12 * INCH


def test_an_unknown_panel_spans_nothing_that_is_known():
    """A thin panel without a stamp has no rating."""
    assert panel_span([replace(PANEL, span=None, thickness=INCH // 4)]).rating is None


@pytest.mark.parametrize(
    ("panel", "spacing", "needed"),
    [
        ("osb-7/16", "24 in", False),
        ("plywood-3/8", "24 in", True),
        ("plywood-3/8", "19.2 in", False),
        ("osb-15/32", "32 in", True),
        ("osb-19/32", "32 in", False),
        ("osb-7/16", "610 mm", False),
    ],
)
def test_edges_need_support_between_the_two_spans(panel: str, spacing: str, needed: bool):
    """Clips come in where the bay passes what the panel spans with its edges free."""
    building = building_of(job_of(rafter_spacing=spacing), BOOK)

    assert needs_edge_support(building, panel_span(BOOK.sizes(panel))) is needed


def test_the_widest_bay_is_between_rafters_that_bear():
    """An overhang's barge rafter makes no bay of its own."""
    building = building_of(
        job_of(length="40 in", width="8 ft", ridge_along="length", rake_overhang="30 in"), BOOK
    )

    # 3/4, 24, 39-1/4
    assert widest_bay(building) == inches("23-1/4")
