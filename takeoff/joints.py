"""Where the joints of shingles lie: backed up course by course, no slivers, off those of a neighbour."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

__all__ = ["Joints", "Pattern", "course_joints", "starter_joints"]


@dataclass(frozen=True, slots=True)
class Pattern:
    """
    How strips are laid.

    Parameters
    ----------
    strip
        Length of a whole one.
    step
        How far each course is backed up beside the one below.
    offset
        From a joint to those of a neighbouring course, at least.
    sliver
        Shortest piece.
    mark
        Joints that give way fall on whole marks of this size, from the left end.
    """

    strip: int
    step: int
    offset: int
    sliver: int
    mark: int

    @property
    def cycle(self) -> int:
        """Count the courses until one begins with a whole strip again, before its piece would be a sliver."""
        return max(1, (self.strip - self.sliver) // self.step + 1)

    def shift(self, number: int) -> int:
        """Give what is cut off the first strip of a course, counted from 0."""
        return number % self.cycle * self.step


@dataclass(frozen=True, slots=True)
class Joints:
    """
    Where the joints of one course lie, from the layer's left end.

    `fixed` are those of the pattern, `moved` those that gave way near an end; `apart` is how far all of them
    keep from those of the course below.
    """

    fixed: tuple[int, ...]
    moved: tuple[int, ...]
    apart: int

    @property
    def places(self) -> tuple[int, ...]:
        """Give all of them, from left to right."""
        return tuple(sorted((*self.fixed, *self.moved)))


def course_joints(pattern: Pattern, stretches: Sequence[tuple[int, int]]) -> tuple[Joints, ...]:
    """
    Give the joints of every course from the bottom up.

    Parameters
    ----------
    stretches
        Where each course begins and ends along the layer.
    """
    courses = [_Course(pattern, number, *stretch) for number, stretch in enumerate(stretches)]
    found: list[Joints] = []
    for number, course in enumerate(courses):
        below = found[-1].places if found else ()
        above = courses[number + 1] if number + 1 < len(courses) else None
        near = (*below, *(above.fixed if above else ()))
        moved = tuple(course.mended(left, right, near) for left, right in course.too_long())
        places = (*course.fixed, *moved)
        apart = min((abs(at - other) for at in places for other in below), default=pattern.offset)
        found.append(Joints(course.fixed, moved, min(apart, pattern.offset)))
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Course:
    """One course, counted from 0, from where it begins to where it ends along the layer."""

    pattern: Pattern
    number: int
    begins: int
    ends: int

    @property
    def fixed(self) -> tuple[int, ...]:
        """Give the pattern's joints; one that would leave a sliver at either end gives way."""
        least = self.pattern.sliver
        return tuple(at for at in self._lattice() if self.begins + least <= at <= self.ends - least)

    def _lattice(self) -> Iterator[int]:
        """Give the pattern's joints, which run on from the layer's left end."""
        strip = self.pattern.strip
        at = strip - self.pattern.shift(self.number)
        at -= (at - self.begins - 1) // strip * strip
        yield from range(at, self.ends, strip)

    def too_long(self) -> tuple[tuple[int, int], ...]:
        """Give the stretches that a joint giving way left longer than a strip."""
        edges = (self.begins, *self.fixed, self.ends)
        return tuple((a, b) for a, b in pairwise(edges) if b - a > self.pattern.strip)

    def mended(self, left: int, right: int, near: Sequence[int]) -> int:
        """
        Give the place where one joint parts a stretch into two pieces, neither a sliver nor too long.

        The right one is as long as what another course cuts off its first strip, if that keeps away from the
        neighbours' joints; else it ends on a whole mark, or as far from them as can be.
        """
        pattern = self.pattern
        first = max(left + pattern.sliver, right - pattern.strip)
        last = min(right - pattern.sliver, left + pattern.strip)
        offcuts = [right - pattern.shift(number) for number in range(pattern.cycle)]
        begin = self.begins + -(-(first - self.begins) // pattern.mark) * pattern.mark
        marks = [*range(begin, last + 1, pattern.mark)][::-1]
        places: list[int] = [*(at for at in offcuts if first <= at <= last), *marks] or [first]
        room = {at: min((abs(at - other) for other in near), default=pattern.offset) for at in places}
        clear = [at for at in places if room[at] >= pattern.offset]
        return clear[0] if clear else max(places, key=lambda at: room[at])


def starter_joints(
    length: int, piece: int, back_up: int, sliver: int, first_course: Sequence[int], mark: int
) -> tuple[int, ...]:
    """
    Give the joints of a starter: pieces as long as can be, each joint kept off those of the first course.

    Parameters
    ----------
    length, piece
        Of the starter, and of one piece of its stock.
    back_up
        From a joint to those of the first course, at least; where that can't be, as much as can be.
    mark
        A joint that gives way falls on a whole mark of this size.

    Examples
    --------
    >>> starter_joints(100, 36, 5, 6, (36, 72), 1)
    (31, 67)
    """
    joints: list[int] = []
    at = 0
    while length - at > piece:
        last = min(at + piece, length - sliver)
        first = min(at + sliver, last)
        marks = [last, *range(last // mark * mark, first - 1, -mark)]
        room = {
            place: min((abs(place - other) for other in first_course), default=back_up) for place in marks
        }
        at = next((place for place in marks if room[place] >= back_up), max(marks, key=lambda p: room[p]))
        joints.append(at)
    return tuple(joints)
