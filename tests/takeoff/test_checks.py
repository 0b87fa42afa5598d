"""Each rule of the trade, held against a roof that keeps it and one that doesn't."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_jobs import job_of

from optimizer.errors import InputError
from takeoff.book import Book
from takeoff.building import building_of
from takeoff.checks import roof_checks
from takeoff.needs import Check
from takeoff.rules import rules_of
from takeoff.sizes import standard_book

BOOK = standard_book()


def checks(book: Book = BOOK, **keys: Any) -> tuple[Check, ...]:
    job = job_of(**keys)
    return roof_checks(job, building_of(job, book), book, rules_of(job))


CASES: list[tuple[dict[str, Any], str, str, str]] = [
    ({}, "panel span", "pass", "osb-7/16 (24/16) spans 24 in without support"),
    ({"panel": "plywood-3/8"}, "panel span", "note", "only with its long edges supported: use clips"),
    ({"panel": "plywood-3/8", "edge_support": "blocking"}, "panel span", "note", "use blocking"),
    (
        {"panel": "osb-11mm", "rafter_spacing": "400 mm"},
        "panel span",
        "warn",
        "24/0 is taken. Read the stamp",
    ),
    ({"panel": "siding-panel"}, "panel span", "warn", "rates no siding-panel; 40/20 is taken"),
    ({}, "supports under a piece", "pass", "Every piece lies on 3 or more rafters"),
    ({"rules": "lean"}, "supports under a piece", "warn", "span ratings hold for three or more"),
    (
        {"rafter_spacing": "48 in", "panel": "osb-23/32", "rule": {"supports": 4}},
        "supports under a piece",
        "warn",
        "The longest panel, 95-7/8 in, can't reach 4 rafters everywhere",
    ),
    ({}, "bearing at a seam", "pass", "rests on 11/16 in of the rafter"),
    ({"rafter_thickness": "1 in"}, "bearing at a seam", "warn", "rests on 7/16 in of the rafter"),
    ({}, "pitch for shingles", "pass", "6 in 12 carries asphalt shingles"),
    ({"pitch": 2}, "pitch for shingles", "note", "double underlayment"),
    ({"pitch": 1.5}, "pitch for shingles", "warn", "1.5 in 12 is below 2 in 12: no asphalt shingles"),
    ({"pitch": 22}, "pitch for shingles", "warn", "over 21 in 12"),
    # 96 + 12 in of slope: two full courses of 48 nominal leave 12 - 1/2 in of slack + 1/8 in of gap.
    ({"slope_length": "108 in"}, "narrowest course", "note", "would leave 11-5/8 in, less than 24 in"),
    (
        {"slope_length": "20 in"},
        "narrowest course",
        "warn",
        "the whole slope takes 19-5/8 in, less than 24 in",
    ),
    ({"rake_overhang": "12 in"}, "rake overhang", "pass", "reach 2 bays inside the wall"),
    ({"rake_overhang": "17 in"}, "rake overhang", "warn", "frame lookouts"),
    ({"rake_overhang": "17 in", "lookouts": True}, "rake overhang", "pass", "Lookouts carry the 17 in"),
    ({"rake_overhang": "12 in", "rules": "lean"}, "rake overhang", "warn", "only if it is held up itself"),
    ({"eave_overhang": "25 in"}, "eave overhang", "warn", "Rafter tails of 25 in are long"),
    (
        {"roof": "single-slope", "high_overhang": "25 in"},
        "high edge overhang",
        "warn",
        "Rafter tails of 25 in are long",
    ),
    (
        {"slope_length": ["84 in", "84-9/16 in"]},
        "square",
        "warn",
        "slope_length: the halves differ by 9/16 in, more than 1/2 in",
    ),
    ({"ridge_length": ["192 in", "193 in"]}, "square", "warn", "ridge_length: the halves differ by 1 in"),
    (
        {"ridge_length": ["192 in", "192-1/4 in"], "rafters": [f"{24 * k} in" for k in range(9)]},
        "rafters",
        "warn",
        "measure the rafter lines on both",
    ),
    ({"ridge_slot": {}}, "ridge slot", "note", "Cutting the ridge weakens the deck"),
    ({"ridge_slot": {}, "pitch": 2}, "ridge slot", "warn", "pitches of 3 to 16 in 12"),
    ({"rules": "windy"}, "wind", "note", "15/32 in and thicker"),
    # FEMA fact sheet 18: no piece shorter than 4 ft.
    (
        {"rules": "windy"},
        "shortest piece",
        "note",
        'this plan lets 24 in through, gap included. Set rule.shortest = "48 in"',
    ),
    (
        {"rules": "windy", "length": "4.8 m", "width": "3 m"},
        "shortest piece",
        "note",
        'lets 600 mm through, gap included. Set rule.shortest = "1200 mm"',
    ),
    ({"rules": "windy", "rule": {"shortest": "48 in"}}, "shortest piece", "pass", "shorter than 48 in"),
    ({}, "wind", "note", 'try rules = "windy"'),
    ({}, "snow", "note", "70 psf"),
]


@pytest.mark.parametrize(("keys", "rule", "level", "said"), CASES)
def test_a_check_tells_what_it_found(keys: dict[str, Any], rule: str, level: str, said: str):
    """Each rule speaks at the right level, with the numbers of this roof, and names its source."""
    found = [check for check in checks(**keys) if check.rule == rule]

    assert any(check.level == level and said in check.message for check in found), found
    assert all(check.source for check in found)


@pytest.mark.parametrize(
    ("keys", "rule"),
    [
        ({}, "narrowest course"),
        ({}, "rake overhang"),
        ({}, "eave overhang"),
        ({"slope_length": ["84 in", "84-1/2 in"]}, "square"),
        ({}, "ridge slot"),
    ],
)
def test_a_check_that_has_nothing_to_say_is_silent(keys: dict[str, Any], rule: str):
    """Half an inch is still square; flush rakes have no overhang; 80-7/16 in leave no sliver."""
    assert not [check for check in checks(**keys) if check.rule == rule]


def test_rafters_farther_apart_than_the_panel_spans_are_refused():
    """One sentence: how far apart, how far it spans, what to do."""
    with pytest.raises(InputError) as caught:
        checks(rafter_spacing="25 in")

    assert str(caught.value) == (
        "rafter_spacing: rafters 25 in apart are farther than osb-7/16 (24/16) spans, 24 in; name a panel "
        "with a higher span rating, or put the rafters closer"
    )


def test_a_measured_bay_may_be_a_little_wide():
    """3/16 in over is a cleat's work, 1/4 in over is too much."""
    over = ["0 in", "24-3/16 in", *(f"{24 * k} in" for k in range(2, 9))]
    found = [check for check in checks(rafters=over) if check.rule == "panel span"]

    assert found[0].level == "warn"
    with pytest.raises(InputError, match="rafters: rafters 24-1/4 in apart"):
        checks(rafters=["0 in", "24-1/4 in", *over[2:]])


def test_clips_are_not_asked_for_where_they_help_nothing():
    """24/16 spans 24 in with and without clips: over a bay of 24-1/8 in a cleat helps, clips don't."""
    rafters = ["3/4 in", "24 in", "48-1/8 in", "72 in", "96 in", "120 in", "144 in", "168 in", "191-1/4 in"]
    found = [check for check in checks(rafters=rafters) if check.rule == "panel span"]

    assert [check.level for check in found] == ["warn"]
    assert "24-1/8 in, a little more than osb-7/16 (24/16) spans: nail a cleat" in found[0].message


def test_a_panel_of_unknown_strength_is_not_called_safe():
    """Neither stamp nor a known thickness: a warning, and no pass."""
    thin = Book(tuple(replace(item, span=None, thickness=1) for item in BOOK.sizes("osb-7/16")))
    found = [check for check in checks(thin) if check.rule == "panel span"]

    assert [check.level for check in found] == ["warn"]
    assert "No span rating is known" in found[0].message


@given(
    spacing=st.integers(min_value=8, max_value=60),
    panel=st.sampled_from(["osb-7/16", "plywood-3/8", "osb-15/32", "osb-23/32"]),
)
def test_no_deck_is_let_through_beyond_its_panels_span(spacing: int, panel: str):
    """Whatever passes has its rafters no farther apart than the panel's first number."""
    span = BOOK.sizes(panel)[0].span
    assert span is not None
    try:
        checks(rafter_spacing=f"{spacing} in", panel=panel, length="40 ft")
    except InputError:
        assert spacing > span[0]
    else:
        assert spacing <= span[0]
