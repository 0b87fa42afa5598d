"""The by-hand yardstick: legal under the same rules, and counted as a carpenter would."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strategies import RULES

from optimizer.lengths import INCH
from optimizer.words import SeamRule, Stock, Support, Surface
from takeoff.by_hand import course_widths, lay_by_hand

GAP = INCH // 8
SHEET = Stock("osb 4x8", "osb", "sheet", 96 * INCH - GAP, 48 * INCH - GAP)
USUAL = RULES["usual"]


def half(length: int, slope: int, spacing: int = 24, first: int = 12, rule: SeamRule = USUAL) -> Surface:
    """Give a half roof in whole inches, its first rafter `first` in from the rake."""
    supports = tuple(Support(at * INCH) for at in range(first, length - first + 1, spacing))
    return Surface("half", "osb", length * INCH, slope * INCH, supports, rule)


def test_one_sheet_covers_what_one_sheet_covers():
    """A surface of exactly one sheet takes one sheet and leaves no offcut worth the name."""
    surface = replace(half(96, 48, first=0), height=48 * INCH)
    laid = lay_by_hand([surface], SHEET, GAP)

    assert laid is not None
    assert laid.sheets == 1


def test_both_halves_of_a_ripped_sheet_are_used():
    """Two halves 23-7/8 in deep and a sheet long take one sheet: ripped once, 23-7/8 + 1/8 + 23-7/8."""
    surface = half(96, 24, first=0)
    laid = lay_by_hand([surface, replace(surface, label="other")], SHEET, GAP)

    assert laid is not None
    assert laid.sheets == 1


def test_an_offcut_starts_the_next_course():
    """
    Two full courses of 12 ft take three sheets: the 4 ft left of the second sheet starts the course above.

    12 ft = 8 + 4; the offcut is 4 ft less a kerf, which the end slack lets pass.
    """
    surface = half(144, 96, first=0)
    laid = lay_by_hand([surface], SHEET, GAP)

    assert laid is not None
    assert [course.from_offcut for course in laid.courses] == [False, True]
    assert laid.sheets == 3


def test_an_offcut_that_may_not_start_a_course_is_put_aside():
    """With a 60 in least length the 4 ft offcut starts nothing, and every course takes two sheets."""
    surface = half(168, 96, first=0, rule=replace(USUAL, shortest=60 * INCH))
    laid = lay_by_hand([surface], SHEET, GAP)

    assert laid is not None
    assert [course.from_offcut for course in laid.courses] == [False, False]
    assert laid.sheets == 4


def test_a_sliver_takes_width_from_the_course_below():
    """A 60 in slope is not 48 + 12: the top course gets the 24 in that the rule asks for."""
    below, top = course_widths(half(96, 60), SHEET.width) or ()

    assert top + GAP == 24 * INCH
    assert below + GAP + top == 60 * INCH - USUAL.top_slack


def test_no_layout_where_the_rules_allow_none():
    """One support in reach can't carry a piece that needs three."""
    assert lay_by_hand([half(40, 48, spacing=96)], SHEET, GAP) is None


@given(
    feet=st.integers(6, 40),
    slope=st.integers(40, 200),
    spacing=st.sampled_from([12, 16, 24]),
    supports=st.integers(2, 3),
    stagger=st.sampled_from([16, 24, 48]),
)
def test_every_course_keeps_the_rules(feet, slope, spacing, supports, stagger):
    """Seams lie on rafters and keep their stagger; pieces fit a sheet, bear, and aren't short."""
    rule = replace(USUAL, min_supports=supports, stagger=stagger * INCH)
    surface = half(12 * feet, slope, spacing, rule=rule)
    laid = lay_by_hand([surface, replace(surface, label="other")], SHEET, GAP)

    if laid is None:
        return
    rafters = {support.at for support in surface.supports}
    for course in laid.courses:
        assert set(course.joints[1:-1]) <= rafters
        for left, right in pairwise(course.joints):
            ends = (left == 0) + (right == surface.length)
            least = right - left - (2 - ends) * GAP // 2 - ends * rule.end_slack
            assert least <= SHEET.length
            assert right - left + GAP >= rule.shortest
            assert sum(left <= at <= right for at in rafters) >= supports
    for lower, upper in pairwise(laid.courses):
        if lower.surface == upper.surface:
            gaps = [abs(a - b) for a in lower.joints[1:-1] for b in upper.joints[1:-1]]
            assert all(gap >= rule.stagger for gap in gaps)


@given(feet=st.integers(6, 40), slope=st.integers(40, 200))
def test_never_fewer_sheets_than_the_area(feet, slope):
    """What is laid covers the roof, so its sheets' area is at least the roof's, slack left out."""
    surface = half(12 * feet, slope)
    laid = lay_by_hand([surface], SHEET, GAP)

    if laid is not None:
        covered = (surface.length - 2 * USUAL.end_slack) * (surface.height - USUAL.top_slack)
        assert laid.sheets * 96 * INCH * 48 * INCH >= covered


@pytest.mark.parametrize(
    ("length", "slope", "best"),
    [(216, 84, 11), (216, 72, 8), (312, 171, 30), (504, 200, 51), (744, 230, 82)],
)
def test_no_better_than_the_best_known(length, slope, best):
    """By hand never beats the fewest sheets found for these roofs by planning both halves together."""
    surface = half(length, slope)
    laid = lay_by_hand([surface, replace(surface, label="other")], SHEET, GAP)

    assert laid is not None
    assert laid.sheets >= best
