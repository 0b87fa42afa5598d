"""Joints of shingles: backed up, no slivers, none near those of the next course, on any roof."""

from __future__ import annotations

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from optimizer.lengths import INCH, MILLIMETRE
from takeoff.joints import Pattern, course_joints, starter_joints

# One unit an inch: 36 in strips, 5 in steps, joints 4 in apart, nothing under 6 in.
STRIP = Pattern(36, 5, 4, 6, 1)


def test_seven_courses_then_a_whole_strip_again():
    """36, 31, 26, 21, 16, 11 and 6; the eighth would be 1 in, so it is a whole strip."""
    assert STRIP.cycle == 7
    firsts = [joints.fixed[0] for joints in course_joints(STRIP, [(0, 217)] * 9)]
    assert firsts == [36, 31, 26, 21, 16, 11, 6, 36, 31]


def test_a_metric_strip_is_backed_up_in_proportion():
    """Strips of 1000 mm in steps of 135 mm (5 in 36, to 5 mm): 1000 to 190, the eighth would be 55."""
    pattern = Pattern(1000, 135, 100, 150, 25)

    assert [pattern.strip - pattern.shift(n) for n in range(8)] == [1000, 865, 730, 595, 460, 325, 190, 1000]


def test_a_joint_that_leaves_a_sliver_gives_way():
    """On 183 in the first course would end in 3 in: the joint at 180 goes, to an offcut's length."""
    alone = course_joints(STRIP, [(0, 183)])[0]
    assert (alone.fixed, alone.moved) == ((36, 72, 108, 144), (173,))

    # With a course above, 10 in from the end would be too near its joint at 175; 15 in are not.
    assert course_joints(STRIP, [(0, 183)] * 2)[0].moved == (168,)


def test_a_joint_gives_way_out_of_reach_of_its_neighbours():
    """The second course's last joint may not come within 4 in of the third's, 5 in to the left of it."""
    _, second, third = course_joints(STRIP, [(0, 216)] * 3)

    # The pattern's 211 would leave 5 in; the third course has joints at 170 and 206, the first at 180.
    assert 211 not in second.places
    assert second.moved
    assert min(abs(a - b) for a in second.moved for b in third.places) >= 4


def test_short_courses_need_no_joint():
    """A course no longer than a strip is one piece, even where the pattern would part it."""
    joints = course_joints(STRIP, [(0, 30), (0, 30)])

    # The first strip is cut off at 30; the second course's joint at 31 lies outside.
    assert [one.places for one in joints] == [(), ()]


lengths = st.integers(40 * 8, 720 * 8).map(lambda eighths: eighths * INCH // 8)
patterns = st.sampled_from(
    (
        Pattern(36 * INCH, 5 * INCH, 4 * INCH, 6 * INCH, INCH),
        Pattern(36 * INCH, 6 * INCH, 4 * INCH, 6 * INCH, INCH),
        Pattern(INCH * 315 // 8, INCH * 43 // 8, 4 * INCH, 6 * INCH, INCH),
        Pattern(1000 * MILLIMETRE, 135 * MILLIMETRE, 100 * MILLIMETRE, 150 * MILLIMETRE, 25 * MILLIMETRE),
    )
)


@given(patterns, lengths, st.integers(1, 40))
def test_a_rectangle_is_covered_without_slivers(pattern, length, number):
    """Every piece is a sliver's length or more and a strip at most, and joints keep their offset."""
    joints = course_joints(pattern, [(0, length)] * number)

    for one in joints:
        pieces = [b - a for a, b in pairwise((0, *one.places, length))]
        assert min(pieces) >= pattern.sliver
        assert max(pieces) <= pattern.strip
    for below, above in pairwise(joints):
        assert all(abs(a - b) >= pattern.offset for a in below.places for b in above.places)
        assert above.apart == pattern.offset


@given(patterns, lengths, st.integers(0, 9), st.integers(0, 9), st.integers(1, 30))
def test_slanting_ends_too(pattern, length, left, right, number):
    """Where courses grow shorter at both ends, what is told of the distance to the course below is true."""
    stretches = [(n * left * INCH, length - n * right * INCH) for n in range(number)]
    stretches = [(a, b) for a, b in stretches if b - a > 2 * pattern.sliver]
    joints = course_joints(pattern, stretches)

    for (begins, ends), one in zip(stretches, joints, strict=True):
        assert all(begins + pattern.sliver <= at <= ends - pattern.sliver for at in one.places)
    for below, above in pairwise(joints):
        nearest = min((abs(a - b) for a in below.places for b in above.places), default=pattern.offset)
        assert above.apart == min(nearest, pattern.offset)


def test_a_starter_of_the_same_length_is_backed_up():
    """Pieces of 36 in under joints at 36, 72 and 108: the starter's lie at 31, 67 and 103."""
    assert starter_joints(130, 36, 5, 6, (36, 72, 108), 1) == (31, 67, 103)


def test_a_starter_of_another_length_stays_off_the_first_course():
    """Pieces of 40 in: 40 is within 5 in of 36, so one is cut back to 31; then 67, as 71 is too near 72."""
    assert starter_joints(100, 40, 5, 6, (36, 72), 1) == (31, 67)


def test_a_long_starter_needs_no_joint():
    """A roll of 33 ft covers an eave of 18 ft in one piece."""
    assert starter_joints(216, 396, 5, 6, (36, 72), 1) == ()


@given(st.integers(40, 900), st.integers(20, 60), st.integers(2, 6))
def test_a_starter_always_finds_its_joints(length, piece, back_up):
    """No piece is longer than its stock, none a sliver, and joints keep off those of the first course."""
    first = tuple(range(36, length, 36))
    joints = starter_joints(length, piece, back_up, 6, first, 1)

    pieces = [b - a for a, b in pairwise((0, *joints, length))]
    assert max(pieces) <= piece
    assert min(pieces) >= min(6, length)
    assert all(abs(a - b) >= back_up for a in joints for b in first)


def test_where_a_starter_can_not_keep_off_it_keeps_as_far_as_it_can():
    """Joints 36 in apart leave 18 in at most: 19 in are had before the first one only, at 17 in."""
    assert starter_joints(100, 37, 19, 6, (36, 72), 1) == (17, 54, 91)
