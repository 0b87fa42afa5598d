"""The lines of a surface: where seams may fall, and which pieces fit between them."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from strategies import RULES, roofs

from optimizer.lengths import INCH
from optimizer.models.seams import lines_of, too_near
from optimizer.words import Support, Surface

RULE = RULES["usual"]
GAP = RULE.gap
LONG = 96 * INCH - GAP


def deck(feet=16, rule=RULE, spacing=24, **flags):
    """A surface with a support every `spacing` inches, the ends included, seams on all but the ends."""
    length = 12 * feet
    supports = tuple(
        Support(at * INCH, seam=0 < at < length) for at in dict.fromkeys((*range(0, length, spacing), length))
    )
    surface = Surface("deck", "panel", length * INCH, 84 * INCH, supports, rule)
    return replace(surface, **flags)


def lengths_between(lines):
    """Give the pieces' lengths, in inches, by the lines they reach from and to."""
    return {(lines.at[a.tail] // INCH, lines.at[a.head] // INCH): a.length / INCH for a in lines.arcs}


def test_seams_fall_on_supports_that_take_them_and_nowhere_else():
    """Every 24 in of 16 ft, the ends as lines 0 and last."""
    lines = lines_of(deck(), LONG, shrunk=False)

    assert [at // INCH for at in lines.at] == [0, 24, 48, 72, 96, 120, 144, 168, 192]
    assert list(lines.inner()) == [1, 2, 3, 4, 5, 6, 7]
    assert lines.last == 8


def test_pieces_span_two_bays_or_more_and_no_more_than_a_panel():
    """Three supports are two bays: 48, 72 and 96 in less a gap each; 120 outgrows the panel."""
    lines = lines_of(deck(), LONG, shrunk=False)

    assert {arc.length for arc in lines.arcs} == {48 * INCH - GAP, 72 * INCH - GAP, 96 * INCH - GAP}
    assert {arc.head - arc.tail for arc in lines.arcs} == {2, 3, 4}


def test_end_pieces_stop_half_a_gap_short_so_that_equal_bays_make_equal_pieces():
    """From the end to 48: 48 less 1/16 at the end and 1/16 at the seam, as between any two seams."""
    found = lengths_between(lines_of(deck(), LONG, shrunk=False))

    assert found[0, 48] == found[48, 96] == found[144, 192] == 47.875


def test_without_end_slack_pieces_reach_the_very_end():
    """From 0 to the seam at 48, half a gap short of it: 47-15/16."""
    found = lengths_between(lines_of(deck(rule=replace(RULE, end_slack=0)), LONG, shrunk=False))

    assert found[0, 48] == 47.9375
    # 96 - 1/16 is longer than the panel, so no whole panel meets the end.
    assert (0, 96) not in found


def test_shrunk_end_pieces_take_all_of_the_slack():
    """48 less 1/4 at the end and 1/16 at the seam: 47-11/16."""
    found = lengths_between(lines_of(deck(), LONG, shrunk=True))

    assert found[0, 48] == found[144, 192] == 47.6875
    assert found[48, 96] == 47.875


def test_a_piece_that_is_the_whole_course_shrinks_at_both_ends():
    """8 ft less 1/4 in at each end: 95-1/2."""
    found = lengths_between(lines_of(deck(feet=8), LONG, shrunk=True))

    assert found[0, 96] == 95.5


def test_a_piece_shrinks_no_further_than_the_shortest():
    """At a shortest piece of 48 in measured with one gap, 47-7/8 has nothing to give."""
    found = lengths_between(lines_of(deck(rule=replace(RULE, shortest=48 * INCH)), LONG, shrunk=True))

    assert found[0, 48] == 47.875


def test_slack_brings_an_end_piece_within_a_panel():
    """
    Four bays and 1/8 in: less 1/16 at the seam and 1/4 of slack 95-13/16, which a panel holds.

    With 1/4 in more than four bays it is 95-15/16, longer than the panel of 95-7/8.
    """
    surface = deck()
    for more, fits in ((INCH // 4, False), (INCH // 8, True)):
        wider = replace(surface, length=surface.length + more)
        ends = {(a.tail, a.head) for a in lines_of(wider, LONG, shrunk=True).arcs}
        assert ((4, 8) in ends) is fits
        assert (4, 8) not in {(a.tail, a.head) for a in lines_of(wider, LONG, shrunk=False).arcs}


def test_a_support_that_does_not_bear_is_not_counted():
    """With the one at 24 no bearing, 0 to 48 rests on two."""
    surface = deck()
    idle = tuple(replace(s, bears=s.at != 24 * INCH) for s in surface.supports)
    ends = lengths_between(lines_of(replace(surface, supports=idle), LONG, shrunk=False))

    assert (0, 48) not in ends
    assert (0, 72) in ends


def test_a_support_beside_a_line_bears_too():
    """At 16 in spacing, two supports are one bay of 15-7/8 in, but pieces are 24 in at least."""
    lean = replace(RULE, min_supports=2)
    found = lengths_between(lines_of(deck(rule=lean, spacing=16), LONG, shrunk=False))

    assert min(found.values()) == 31.875
    assert max(found.values()) == 95.875


@pytest.mark.parametrize(
    ("one", "other", "near"),
    [
        (2, 2, True),  # the same line
        (2, 3, False),  # 24 in apart: just the stagger
        (0, 0, False),  # both at the end: no seams
        (0, 1, False),
        (8, 7, False),
    ],
)
def test_seams_are_too_near_below_the_stagger_and_ends_never_are(one, other, near):
    """Lines 24 in apart keep a stagger of 24 in."""
    lines = lines_of(deck(), LONG, shrunk=False)

    assert too_near(lines, one, other) is too_near(lines, other, one) is near


@pytest.mark.parametrize(("spacing", "lines_apart"), [(12, 2), (16, 2), (24, 1)])
def test_closer_supports_keep_seams_farther_apart_in_lines(spacing, lines_apart):
    """24 in of stagger are two bays of 12, two of 16, one of 24."""
    lines = lines_of(deck(spacing=spacing), LONG, shrunk=False)
    free = [other for other in lines.inner() if other > 4 and not too_near(lines, 4, other)]

    assert min(free) == 4 + lines_apart


@given(roofs(longest=20))
def test_every_piece_is_legal_and_lies_where_it_says(problem):
    """Long enough, short enough, on enough supports, within the end slack, a gap from its neighbours."""
    longest = max(s.length for s in problem.stocks if s.kind == "sheet")
    for surface in problem.surfaces:
        rule = surface.rule
        for shrunk in (False, True):
            lines = lines_of(surface, longest, shrunk)
            for arc in lines.arcs:
                left, right = lines.at[arc.tail], lines.at[arc.head]
                end = arc.start + arc.length
                assert rule.shortest - rule.gap <= arc.length <= longest
                assert sum(s.bears and left <= s.at <= right for s in surface.supports) >= rule.min_supports
                if arc.tail:
                    assert arc.start == left + rule.gap // 2
                else:
                    assert 0 <= arc.start <= rule.end_slack
                if arc.head != lines.last:
                    assert end == right - rule.gap // 2
                else:
                    assert right - rule.end_slack <= end <= right


@given(roofs(longest=20))
def test_shrinking_only_ever_adds_and_shortens_pieces(problem):
    """Every nominal piece has a shrunk one in its place that is no longer."""
    longest = max(s.length for s in problem.stocks if s.kind == "sheet")
    for surface in problem.surfaces:
        shrunk = {(a.tail, a.head): a.length for a in lines_of(surface, longest, True).arcs}
        for arc in lines_of(surface, longest, False).arcs:
            assert shrunk[arc.tail, arc.head] <= arc.length
