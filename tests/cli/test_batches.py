"""Cuts that are alike are gathered, and nothing else is."""

from __future__ import annotations

from dataclasses import replace

import pytest
from sample_report import half_courses, lumber, roof_cuts

from cli.batches import gather, joined, measured_last


def test_gathers_by_geometry_not_by_label():
    """Whole sheets are one batch wherever their pieces go; a ripped one stays apart."""
    batches = gather(roof_cuts())

    assert [batch.numbers for batch in batches] == ["S1, S2, S5, S6", "S3", "S4"]
    assert [batch.count for batch in batches] == [4, 1, 1]


def test_counts_repeats():
    """A cut that stands for two boards counts twice."""
    assert gather(lumber()[0])[0].count == 2


@pytest.mark.parametrize(
    "change", [{"stock": "osb-7/16 4x9"}, {"kerf": 1}, {"from_rack": True}, {"steps": ()}]
)
def test_any_difference_parts_cuts(change):
    """Another stock, kerf, origin or list of steps is another batch."""
    cut = roof_cuts()[2]

    assert len(gather([cut, replace(cut, **change)])) == 2


def test_joins_names_that_count_on():
    """Two neighbours stay apart, three are joined; a name without a number joins nothing."""
    assert joined(["A1.9", "A1.10", "A1.11", "B1.1", "B1.2", "lid"]) == (
        "A1.9 to A1.11",
        "B1.1",
        "B1.2",
        "lid",
    )


def test_measured_last_are_ends_of_courses_and_the_top_one():
    """By hand: in two courses of two and three pieces that is the second piece and all three above."""
    assert measured_last(half_courses("door side", "A")) == {"A1.2", "A2.1", "A2.2", "A2.3"}


def test_of_panels_side_by_side_the_last_one_is():
    """Each course of an upright surface ends at the top, so that only the last panel takes up the wall."""
    courses = half_courses("door side", "A")

    assert measured_last(courses, {"door side"}) == {"A2.1", "A2.2", "A2.3"}


def test_runs_are_not_measured_last():
    """An edge's metal is no course of a surface."""
    runs = tuple(replace(course, course=0, plane="") for course in half_courses("door side", "A"))

    assert measured_last(runs) == frozenset()
