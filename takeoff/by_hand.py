"""The usual lay-out by hand, as a yardstick: the sheets a careful carpenter takes without planning ahead."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from optimizer.words import Stock, Surface

__all__ = ["HandCourse", "HandLayout", "course_widths", "lay_by_hand"]


@dataclass(frozen=True, slots=True)
class HandCourse:
    """One course as laid by hand: its width, and its joints from left to right, both ends included."""

    surface: str
    width: int
    joints: tuple[int, ...]
    from_offcut: bool


@dataclass(frozen=True, slots=True)
class HandLayout:
    """All courses as laid by hand, and the sheets they took."""

    sheets: int
    courses: tuple[HandCourse, ...]


def course_widths(surface: Surface, sheet_width: int) -> tuple[int, ...] | None:
    """
    Give the courses' widths from the eave up: full sheets, then one ripped course at the top.

    A top course narrower than the rule allows takes width from the course below it, as a carpenter does
    who won't nail down a sliver. None if even that is too narrow.
    """
    gap, narrowest = surface.rule.gap, surface.rule.narrowest
    height = surface.height - surface.rule.top_slack
    courses = max(1, -(-(height + gap) // (sheet_width + gap)))
    top = height - (courses - 1) * (sheet_width + gap)
    if top + gap < narrowest <= top + gap + surface.rule.top_slack:
        top = narrowest - gap
    if top + gap >= narrowest:
        return (sheet_width,) * (courses - 1) + (top,)
    below = sheet_width + top + gap - narrowest
    if courses == 1 or below + gap < narrowest:
        return None
    return (sheet_width,) * (courses - 2) + (below, narrowest - gap)


@dataclass(slots=True)
class _Course:
    """Which joints one course may have, given the course below."""

    surface: Surface
    sheet_length: int
    below: tuple[int, ...]
    places: tuple[int, ...] = field(init=False)
    finishing: frozenset[int] = field(init=False)

    def __post_init__(self) -> None:
        end = self.surface.length
        seams = (s.at for s in self.surface.supports if s.seam and 0 < s.at < end)
        self.places = (0, *(at for at in seams if self._staggered(at)), end)
        finishing = {end}
        for place in reversed(self.places[:-1]):
            if any(b in finishing and self.fits(place, b, self.sheet_length) for b in self.places):
                finishing.add(place)
        self.finishing = frozenset(finishing)

    def _staggered(self, at: int) -> bool:
        return all(abs(at - other) >= self.surface.rule.stagger for other in self.below)

    def piece(self, left: int, right: int) -> tuple[int, int]:
        """Give the least and the greatest length of the piece between two joints: an end may stop short."""
        rule = self.surface.rule
        seams = (left > 0) + (right < self.surface.length)
        most = right - left - (rule.gap // 2 if seams == 1 else seams // 2 * rule.gap)
        return most - (2 - seams) * rule.end_slack, most

    def fits(self, left: int, right: int, longest: int) -> bool:
        """Tell whether stock of length `longest` gives a legal piece between two joints."""
        rule = self.surface.rule
        least, most = self.piece(left, right)
        bearings = sum(s.bears and left <= s.at <= right for s in self.surface.supports)
        return (
            least <= longest
            and min(most, longest) + rule.gap >= rule.shortest
            and (bearings >= rule.min_supports)
        )

    def steps(self, left: int, longest: int) -> tuple[int, ...]:
        """Give the joints, farthest first, where a piece from `left` may end and the course can go on."""
        return tuple(
            b
            for b in reversed(self.places)
            if b > left and b in self.finishing and self.fits(left, b, longest)
        )

    def from_full_sheets(self, first: int) -> tuple[int, ...]:
        """Lay the course with its first piece ending at `first`, and each next one as long as it may be."""
        joints = [0, first]
        while joints[-1] < self.surface.length:
            joints.append(self.steps(joints[-1], self.sheet_length)[0])
        return tuple(joints)


@dataclass(slots=True)
class _Pile:
    """What the carpenter has at hand: sheets opened so far, ripped strips, the offcut of the last course."""

    sheet: Stock
    kerf: int
    rips: tuple[int, ...]
    sheets: int = 0
    strips: list[int] = field(default_factory=list)
    offcut: tuple[int, int] = (0, 0)

    def take(self, width: int) -> None:
        """Take a strip of full length: one that lies ready, or from a new sheet."""
        if width in self.strips:
            self.strips.remove(width)
            return
        self.sheets += 1
        rest = self.sheet.width - width - self.kerf
        for other in (width, *self.rips):
            while other <= rest:
                self.strips.append(other)
                rest -= other + self.kerf


def lay_by_hand(surfaces: Sequence[Surface], sheet: Stock, kerf: int) -> HandLayout | None:
    """
    Lay surfaces with one size of sheet the way it is usually done on site, and count the sheets.

    Parameters
    ----------
    surfaces
        In the order they are decked.
    sheet
        The one size used throughout.
    kerf
        Width of a saw cut, base units.

    Returns
    -------
    HandLayout | None
        None where these habits lead to no lay-out that the rules allow, and for surfaces that are no plain
        rectangles, which nobody lays by habit alone.

    Notes
    -----
    Common practice, no source. Courses go from the eave up, each from left to right in full sheets that are
    cut back only as far as the next rafter that the rules allow. What is left of the last sheet of a course
    starts the next course if it is wide enough and its end reaches a legal rafter; otherwise it is put
    aside and not looked at again. The top course is ripped to what remains; a second strip from the same
    sheet goes into the same course or into the other half's. Every seam obeys the same rules as a plan's.
    """
    if not all(surface.plain for surface in surfaces):
        return None
    widths: dict[str, tuple[int, ...]] = {}
    for surface in surfaces:
        found = course_widths(surface, sheet.width)
        if found is None:
            return None
        widths[surface.label] = found
    rips = {w for ws in widths.values() for w in ws if w < sheet.width}
    pile = _Pile(sheet, kerf, tuple(sorted(rips, reverse=True)))
    courses: list[HandCourse] = []
    for surface in surfaces:
        below: tuple[int, ...] = ()
        for number, width in enumerate(widths[surface.label]):
            last = number == len(widths[surface.label]) - 1
            laid = _lay_course(surface, width, below, pile, look_ahead=number == 0 and not last)
            if laid is None:
                return None
            courses.append(laid)
            below = laid.joints[1:-1]
    return HandLayout(pile.sheets, tuple(courses))


def _lay_course(
    surface: Surface, width: int, below: tuple[int, ...], pile: _Pile, look_ahead: bool
) -> HandCourse | None:
    """
    Lay one course and change the pile accordingly.

    Only a surface's first course has to look ahead: once two courses are staggered, each may repeat the
    last but one.
    """
    course = _Course(surface, pile.sheet.length, below)
    offcut_width, offcut_length = pile.offcut
    starts = [(b, True) for b in course.steps(0, offcut_length)] if offcut_width >= width else []
    starts += [(b, False) for b in course.steps(0, pile.sheet.length)]
    for first, from_offcut in starts:
        joints = course.from_full_sheets(first)
        if look_ahead and 0 not in _Course(surface, pile.sheet.length, joints[1:-1]).finishing:
            continue
        for left, _ in pairwise(joints):
            if left or not from_offcut:
                pile.take(width)
        whole = 0 if from_offcut and len(joints) == 2 else pile.sheet.length
        pile.offcut = (width, whole - course.piece(joints[-2], joints[-1])[1] - pile.kerf)
        return HandCourse(surface.label, width, joints, from_offcut)
    return None
