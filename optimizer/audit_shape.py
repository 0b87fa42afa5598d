"""The audit of a surface that is no plain rectangle: covered to its outline and its holes, seam by seam."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from optimizer.complaint import Complaint
from optimizer.plan import Course, LaidPiece
from optimizer.words import Corner, Surface

__all__ = ["shape_complaints"]

ROUNDED = 3
"""Corners on slanting lines are rounded, one by one, to whole base units."""

_Stretch = tuple[Fraction, Fraction]


def shape_complaints(surface: Surface, courses: Sequence[Course]) -> Iterator[Complaint]:
    """Check the courses of one surface, in order of their place across it."""
    yield from _across(surface, courses)
    for course in courses:
        yield from _listed(surface, course)
        yield from _covered(surface, course)
        yield from _pieces(surface, course)
    if surface.edges is None:
        for above in courses[0].seams:
            for below in surface.below:
                if abs(above - below) < surface.rule.stagger:
                    message = f"seam at {above}, one at {below} laid below, stagger {surface.rule.stagger}"
                    yield Complaint("stagger", courses[0].run, message)
        for lower, upper in pairwise(courses):
            for below in lower.seams:
                for above in upper.seams:
                    if abs(above - below) < surface.rule.stagger:
                        message = f"seam at {above}, one at {below} below, stagger {surface.rule.stagger}"
                        yield Complaint("stagger", upper.run, message)


def _across(surface: Surface, courses: Sequence[Course]) -> Iterator[Complaint]:
    """Check that the courses fill the height, one gap between neighbours, meeting where they may."""
    rule = surface.rule
    first = rule.top_slack if surface.edges is not None else 0
    if not 0 <= courses[0].bottom <= first:
        yield Complaint("bottom", courses[0].run, f"lies at {courses[0].bottom}, slack {first}")
    for lower, upper in pairwise(courses):
        end = lower.bottom + lower.width
        if upper.bottom != end + rule.gap:
            yield Complaint("bottom", upper.run, f"lies at {upper.bottom}, not at {end + rule.gap}")
        if surface.edges is not None and end + rule.gap // 2 not in surface.edges:
            yield Complaint("seam", upper.run, f"no courses may meet at {end + rule.gap // 2}")
    top = courses[-1].bottom + courses[-1].width
    if not surface.height - rule.top_slack <= top <= surface.height:
        yield Complaint("top", surface.label, f"ends at {top} of {surface.height}, slack {rule.top_slack}")
    for course in courses:
        whole = len(courses) == 1 and surface.edges is not None
        if course.width <= 0 or (course.width + rule.gap < rule.narrowest and not whole):
            yield Complaint("narrowest", course.run, f"width {course.width}, narrowest {rule.narrowest}")
        must = course.width + rule.gap < rule.blocked_below
        if course.blocked != must:
            yield Complaint("blocked", course.run, "needs blocking" if must else "needs no blocking")


def _corners(surface: Surface) -> tuple[Corner, ...]:
    length, height = surface.length, surface.height
    return surface.outline or ((0, 0), (length, 0), (length, height), (0, height))


def _of_piece(course: Course, piece: LaidPiece) -> tuple[Corner, ...]:
    top = course.bottom + course.width
    return piece.corners or (
        (piece.start, course.bottom),
        (piece.end, course.bottom),
        (piece.end, top),
        (piece.start, top),
    )


def _listed(surface: Surface, course: Course) -> Iterator[Complaint]:
    """Check what a course says of itself: its extent, its supports, its seams."""
    if course.supports != tuple(support.at for support in surface.supports):
        yield Complaint("supports listed", course.run, "shows other supports than the surface has")
    if not course.pieces:
        yield Complaint("uncovered", course.run, "has no piece")
        return
    begin, end = _extent(surface, course)
    if (course.begins, course.begins + course.length) != (begin, end):
        yield Complaint(
            "course length", course.run, f"{course.begins} and {course.length} on, not {begin} to {end}"
        )
    gone = tuple((max(a, begin), min(b, end)) for a, b in sorted(_gone(surface, course)))
    if course.open != tuple(stretch for stretch in gone if stretch[0] < stretch[1]):
        yield Complaint("uncovered", course.run, f"{course.open} is not what holes take out of it")
    gap = surface.rule.gap
    lines = {support.at for support in surface.supports if support.seam}
    seams = []
    for left, right in pairwise(course.pieces):
        if any(left.end <= b and a <= right.start for a, b in _gone(surface, course)):
            continue
        if right.start - left.end != gap:
            yield Complaint("gap", right.label, f"{right.start - left.end} from {left.label}, not {gap}")
        seams.append(left.end + gap // 2)
        if seams[-1] not in lines:
            yield Complaint("seam", right.label, f"no support takes a seam at {seams[-1]}")
    if course.seams != tuple(seams):
        yield Complaint("seams listed", course.run, "lists other seams than its pieces make")


def _extent(surface: Surface, course: Course) -> tuple[int, int]:
    """Give how far left and right the outline reaches within a course."""
    bottom, top = course.bottom, course.bottom + course.width
    inner = sorted({y for _, y in _corners(surface) if bottom < y < top})
    ends: list[Fraction] = []
    for low, high in pairwise((bottom, *inner, top)):
        corners = _corners(surface)
        for (x0, y0), (x1, y1) in zip(corners, (*corners[1:], corners[0]), strict=True):
            if min(y0, y1) <= low and max(y0, y1) >= high:
                ends += [x0 + Fraction((x1 - x0) * (y - y0), y1 - y0) for y in (low, high)]
    return (round(min(ends)), round(max(ends))) if ends else (0, 0)


def _gone(surface: Surface, course: Course) -> list[tuple[int, int]]:
    """Give the stretches that a hole takes out of the whole of a course."""
    top = course.bottom + course.width
    return [
        (hole.x, hole.x + hole.length)
        for hole in surface.holes
        if hole.y <= course.bottom and hole.y + hole.height >= top
    ]


def _crossed(corners: Sequence[Corner], height: Fraction) -> list[_Stretch]:
    """Give where a line along the courses lies inside a polygon; `height` is that of no corner."""
    places = sorted(
        x0 + Fraction((height - y0) * (x1 - x0), y1 - y0)
        for (x0, y0), (x1, y1) in zip(corners, (*corners[1:], corners[0]), strict=True)
        if min(y0, y1) < height < max(y0, y1)
    )
    return list(zip(places[::2], places[1::2], strict=True))


def _without(
    stretches: list[_Stretch], holes: Sequence[tuple[int, int, int, int]], height: Fraction
) -> list[_Stretch]:
    """Take rectangles (x, y, length, height) out of stretches at a height."""
    for x, y, length, tall in holes:
        if not y < height < y + tall:
            continue
        left = [(a, min(b, Fraction(x))) for a, b in stretches if a < x]
        right = [(max(a, Fraction(x + length)), b) for a, b in stretches if b > x + length]
        stretches = left + right
    return sorted(stretches)


def _covered(surface: Surface, course: Course) -> Iterator[Complaint]:
    """
    Check, at both sides of every height where anything has a corner, what lies along the course.

    In between all ends are straight, so what holds at both sides holds between.
    """
    bottom, top = course.bottom, course.bottom + course.width
    holes = [(h.x, h.y, h.length, h.height) for h in surface.holes]
    heights = {bottom, top} | {y for _, y in _corners(surface)}
    heights |= {edge for _, y, _, tall in holes for edge in (y, y + tall)}
    for piece in course.pieces:
        heights |= {y for _, y in _of_piece(course, piece)}
        heights |= {edge for _, y, _, tall in piece.openings for edge in (y, y + tall)}
    for low, high in pairwise(sorted(y for y in heights if bottom <= y <= top)):
        if high - low <= ROUNDED:
            continue
        step = Fraction(high - low, 1000)
        for height in (low + step, high - step):
            region = _without(_crossed(_corners(surface), height), holes, height)
            laid = []
            for piece in course.pieces:
                parts = _crossed(_of_piece(course, piece), height)
                laid += [(a, b, piece.label) for a, b in _without(parts, piece.openings, height)]
            fault = _fault(surface, region, sorted(laid))
            if fault:
                yield Complaint("end", course.run, f"at {round(height)}: {fault}")
                return


def _fault(surface: Surface, region: Sequence[_Stretch], laid: list[tuple[Fraction, Fraction, str]]) -> str:
    rule = surface.rule
    for start, end in region:
        here = [piece for piece in laid if piece[1] > start and piece[0] < end]
        laid = [piece for piece in laid if piece not in here]
        if not here:
            if end - start > rule.gap + ROUNDED:
                return f"nothing lies from {round(start)} to {round(end)}"
            continue
        if here[0][0] < start - ROUNDED or here[-1][1] > end + ROUNDED:
            return f"{here[0][2]} or {here[-1][2]} reaches over {round(start)} to {round(end)}"
        slack = max(rule.end_slack, rule.gap) + ROUNDED
        if here[0][0] - start > slack or end - here[-1][1] > slack:
            return f"{round(start)} to {round(end)} is not covered to its ends"
        for left, right in pairwise(here):
            if not -ROUNDED <= right[0] - left[1] - (rule.gap if left[2] != right[2] else 0) <= ROUNDED:
                return f"{right[2]} lies {round(right[0] - left[1])} from {left[2]}"
    if laid:
        return f"{laid[0][2]} lies where nothing is to be covered"
    return ""


def _pieces(surface: Surface, course: Course) -> Iterator[Complaint]:
    """Check every piece's own length and supports; what runs along a slanting end bears it."""
    rule, top = surface.rule, course.bottom + course.width
    bearing = [support.at for support in surface.supports if support.bears]
    for number, piece in enumerate(course.pieces):
        corners = _of_piece(course, piece)
        xs, ys = [x for x, _ in corners], [y for _, y in corners]
        if (min(xs), max(xs)) != (piece.start, piece.end) or piece.end <= piece.start:
            yield Complaint("piece length", piece.label, f"from {piece.start} to {piece.end}")
            continue
        if min(ys) < course.bottom or max(ys) > top:
            yield Complaint("end", piece.label, "lies outside its course")
        seam_left = any(piece.start - rule.gap + rule.gap // 2 == seam for seam in course.seams)
        seam_right = any(piece.end + rule.gap // 2 == seam for seam in course.seams)
        if not seam_left and not seam_right:
            continue
        if piece.end - piece.start + rule.gap < rule.shortest:
            yield Complaint(
                "shortest", piece.label, f"{piece.end - piece.start} long, shortest {rule.shortest}"
            )
        begin, end = _extent(surface, course)
        reach = rule.end_slack + ROUNDED
        left = piece.start - (rule.gap if seam_left else reach)
        right = piece.end + (rule.gap if seam_right else reach)
        found = sum(left <= at <= right for at in bearing)
        found += number == 0 and _slants(surface, course, begin, left=True)
        found += number == len(course.pieces) - 1 and _slants(surface, course, end, left=False)
        if found < rule.min_supports:
            yield Complaint("min supports", piece.label, f"over {found}, not {rule.min_supports}")


def _slants(surface: Surface, course: Course, end: int, left: bool) -> bool:
    """Tell whether the outline leans at one end of a course."""
    bottom, top = course.bottom, course.bottom + course.width
    inner = sorted({y for _, y in _corners(surface) if bottom < y < top})
    for low, high in pairwise((bottom, *inner, top)):
        step = Fraction(high - low, 1000)
        for height in (low + step, high - step):
            for stretch in _crossed(_corners(surface), height)[:: 1 if left else -1][:1]:
                if abs(stretch[0 if left else 1] - end) > ROUNDED:
                    return True
    return False
