"""The courses of a surface: widths that cover it from the eave to the ridge."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given
from strategies import RULES, roofs

from optimizer.lengths import INCH
from optimizer.models.stacks import Stack, stacks_of
from optimizer.words import Support, Surface

USUAL, LEAN = RULES["usual"], RULES["lean"]
GAP = USUAL.gap
FULL = 48 * INCH - GAP


def slope(inches, rule=USUAL, label="half"):
    return Surface(label, "panel", 192 * INCH, round(inches * INCH), (Support(0), Support(192 * INCH)), rule)


def stacks(*surfaces, shrunk=False, widths=(FULL,)):
    """Give the stacks of the first surface: pieces' widths in inches, and the blocked edges."""
    found = stacks_of(surfaces, widths, shrunk)[surfaces[0].label]
    return [(tuple(w / INCH for w in stack.widths), stack.blocked) for stack in found]


def test_full_courses_from_the_eave_and_a_ripped_one_at_the_ridge():
    """84 in: one module of 48 and 36 left; less a gap each, the last stopping 1/8 short of the ridge."""
    assert stacks(slope(84)) == [((47.875, 35.875), 0)]


def test_the_ridge_course_may_stop_short_by_all_the_slack():
    """84 - 1/2 - 48 = 35-1/2."""
    assert stacks(slope(84), shrunk=True) == [((47.875, 35.5), 0)]


@pytest.mark.parametrize(
    ("height", "widths"),
    [
        (48, (47.875,)),
        (96, (47.875, 47.875)),
        # 1/2 in of slack at the ridge, less the 1/8 that every course stops short: two courses still.
        (96.375, (47.875, 47.875)),
        (72, (47.875, 23.875)),
        (30, (29.875,)),
    ],
)
def test_one_course_less_where_full_ones_reach(height, widths):
    """Whole modules, a narrow one that just passes, and less than one module."""
    assert stacks(slope(height)) == [(widths, 0)]


def test_where_the_ridge_course_were_too_narrow_two_share_the_cut():
    """96-1/2 in are two modules and 1/2 in over: two courses share 48-1/2, each of 24 or more."""
    found = stacks(slope(96.5))

    # A course stands below the two that share, each 24 in at least with its gap: 24 + 24-1/2, and halves.
    assert all(len(widths) == 3 and widths[0] == 47.875 for widths, _ in found)
    assert {frozenset(widths[1:]) for widths, _ in found} == {
        frozenset((23.875, 24.375)),
        frozenset((24.125,)),
    }


def test_courses_that_share_the_cut_take_all_the_slack_too():
    """96-1/2 less 1/2 at the ridge: 24 and 24-1/8 with their gaps, or two of 24-1/16."""
    found = stacks(slope(96.5), shrunk=True)

    # 47.875 + 1/8 + 23.875 + 1/8 + 24 = 96 = 96-1/2 - 1/2.
    assert {frozenset(widths[1:]) for widths, _ in found} == {
        frozenset((23.875, 24.0)),
        frozenset((23.9375,)),
    }


def test_a_slope_narrower_than_the_narrowest_has_no_stack():
    """20 in under the usual rules: none; lean rules block it."""
    assert stacks(slope(20)) == []
    assert stacks(slope(20, LEAN)) == [((19.875,), 2)]


def test_a_narrow_course_lies_mid_slope_with_both_edges_blocked():
    """
    108 in, lean: two modules and 12 in, which lies between full courses; two edges are blocked.

    Next to it, two courses that share 60 in, so that none needs blocking.
    """
    found = stacks(slope(108, LEAN))

    assert ((47.875, 11.875, 47.875), 2) in found
    assert ((47.875, 47.875, 11.875), 2) not in found
    assert ((47.875, 29.875, 29.875), 0) in found


def test_shared_widths_complete_a_sheet_with_the_other_surface():
    """
    The other half's ridge course is 33 in, so 15 in go into the same sheet.

    This one of 48 + 15 shares 63 as 15 + 48, or as 30 + 33: 33 in is cut for both alike.
    """
    found = stacks(slope(63, LEAN), slope(81, LEAN, "other"))

    assert {frozenset((29.875, 32.875))} <= {frozenset(widths) for widths, _ in found}


def test_every_width_of_sheet_makes_stacks_of_its_own():
    """Sheets of 48 and of 60 in on 84 in: 48 + 36 and 60 + 24."""
    assert stacks(slope(84), widths=(FULL, 60 * INCH - GAP)) == [
        ((59.875, 23.875), 0),
        ((47.875, 35.875), 0),
    ]


@pytest.mark.parametrize(
    ("courses", "most", "blocks"),
    [
        (1, 2, ["1"]),
        (3, 2, ["1", "23"]),
        (4, 2, ["12", "34"]),
        (6, 3, ["12", "34", "56"]),
        (6, 4, ["12", "3456"]),
        (7, 5, ["123", "4567"]),
        (9, 9, ["123456789"]),
    ],
)
def test_a_stack_is_cut_into_few_blocks_and_only_the_lowest_is_odd(courses, most, blocks):
    """As few as will do, the smallest first."""
    widths = tuple(range(1, courses + 1))

    assert Stack(widths).blocks(most) == Counter(tuple(map(int, block)) for block in blocks)


def test_a_block_upside_down_is_the_same_block():
    """Stagger looks neither up nor down."""
    assert Stack((2, 1, 1, 2)).blocks(2) == {(1, 2): 2}


@given(roofs())
def test_every_stack_covers_its_surface_by_the_rules(problem):
    """Widths and gaps reach from the eave to within the slack of the ridge; none too narrow or too wide."""
    widths = {s.width for s in problem.stocks if s.kind == "sheet"}
    for shrunk in (False, True):
        found = stacks_of(problem.surfaces, widths, shrunk)
        for surface in problem.surfaces:
            rule = surface.rule
            for stack in found[surface.label]:
                top = sum(stack.widths) + rule.gap * (len(stack.widths) - 1)
                assert surface.height - rule.top_slack <= top <= surface.height
                assert all(rule.narrowest - rule.gap <= w <= max(widths) for w in stack.widths)
                narrow = sum(w + rule.gap < rule.blocked_below for w in stack.widths)
                assert stack.blocked == 2 * narrow


@given(roofs())
def test_no_stack_is_listed_twice(problem):
    """Every stack is a choice of its own."""
    widths = {s.width for s in problem.stocks if s.kind == "sheet"}
    for stacks_found in stacks_of(problem.surfaces, widths, shrunk=True).values():
        assert len(stacks_found) == len(set(stacks_found))


@given(roofs())
def test_a_surface_has_stacks_shrunk_wherever_it_has_them_nominal(problem):
    """The bound's question is never harder than the plan's."""
    widths = {s.width for s in problem.stocks if s.kind == "sheet"}
    nominal, shrunk = (stacks_of(problem.surfaces, widths, how) for how in (False, True))
    for label, found in nominal.items():
        assert bool(shrunk[label]) >= bool(found)
