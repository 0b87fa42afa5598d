"""Shingles held against the rules of the trade: exposure, joints, slivers, nails, starter."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from optimizer.errors import InputError
from optimizer.lengths import INCH, size_text
from takeoff.book import Book, Item
from takeoff.building import Building
from takeoff.cover_job import STRIPS, ShingleTable
from takeoff.job import Job
from takeoff.needs import Check
from takeoff.roof import panel_sizes
from takeoff.shingle_courses import Courses, exposure_of, nails_in

__all__ = ["point_check", "shingle_checks", "starter_checks"]

_PRACTICE = "common practice, no source"
_OFFSET = "4 in or more between joints of neighbouring courses, from memory (not re-checked)"
_NAILS = "IRC R905.2.6; NAVEDTRA 14044, roof construction"
_POINT = "IRC R905.2.5; ARMA bulletin 221 for thin decks"
_BITE = INCH * 3 // 4
_OLD_DECK = INCH // 8
"""How far a point shows below a deck thinner than it should go in."""

_ROOFING = INCH // 2
"""Shingles and underlayment that a nail passes, where the price book gives no thickness for a strip."""


def shingle_checks(
    job: Job,
    table: ShingleTable,
    building: Building,
    book: Book,
    strip: Item,
    courses: Sequence[Courses],
) -> Iterator[Check]:
    """Hold shingles of every plane against the rules; the pitch is held against the deck's own."""
    tape = job.tape
    exposure = size_text(tape, exposure_of(table, strip))
    for laid in courses:
        yield Check(
            "note",
            "shingle courses",
            "arithmetic: slope / exposure, rounded up",
            f"{laid.face.plane.name}: {len(laid.rows)} courses at {exposure}; the first hangs "
            f"{size_text(tape, laid.face.low)} past the deck's edge, the last is trimmed at the "
            f"{_top(job, laid)}.",
        )
    yield from _joint_checks(job, courses)
    yield from _nail_checks(job, table, book, strip)
    if building.lines_of("break"):
        yield Check(
            "note",
            "shingles at a break",
            _PRACTICE,
            "The upper plane's first course laps over the last one below the break; where it can't be bent "
            "down, flash the break.",
        )
    if any(plane.outline for plane in building.planes):
        yield Check(
            "note",
            "shingles at hips and valleys",
            _PRACTICE,
            "Courses are counted as wide as they are at their widest, run 12 in past a valley, and are cut "
            "along the line on the roof.",
        )


def _top(job: Job, laid: Courses) -> str:
    top = laid.face.plane.top
    return "edge of the ridge slot" if top == "ridge" and job.ridge_slot is not None else top


def _joint_checks(job: Job, courses: Sequence[Courses]) -> Iterator[Check]:
    tape = job.tape
    pattern = courses[0].pattern
    apart = min(joints.apart for laid in courses for joints in laid.joints)
    step, least = size_text(tape, pattern.step), size_text(tape, pattern.offset)
    if apart < pattern.offset:
        yield Check(
            "warn",
            "shingle joints",
            _OFFSET,
            f"Near one end joints of neighbouring courses come as near as {size_text(tape, apart)}, less "
            f"than {least}: a shorter shingles.sliver or another step leaves more room.",
        )
    else:
        yield Check(
            "pass" if pattern.offset >= 4 * INCH or tape == "mm" else "warn",
            "shingle joints",
            _OFFSET,
            f"Each course is backed up {step}, and joints of neighbouring courses lie {least} or more apart.",
        )
    sliver = size_text(tape, pattern.sliver)
    yield Check(
        "pass",
        "shingle slivers",
        _PRACTICE,
        f"No piece is shorter than {sliver}: after {pattern.cycle} courses one begins with a whole strip "
        "again, and where a course would end in less, the joint before it gives way.",
    )


def _nail_checks(job: Job, table: ShingleTable, book: Book, strip: Item) -> Iterator[Check]:
    number, windy = nails_in(job, table), job.rules == "windy"
    good = number >= (6 if windy else 4)
    yield Check(
        "pass" if good else "warn",
        "shingle nails",
        _NAILS,
        f"{number} nails in a strip; at least 4, and 6 where wind is high or the maker or a local rule says "
        "so.",
    )
    yield point_check(job, book, "shingle nail", table.nail.material, table.nail.length, 2 * strip.thickness)
    if windy:
        yield Check(
            "note",
            "shingles in wind",
            "FEMA fact sheet 20; FEMA P-499 7.3 p. 2",
            "Ask for shingles that a nail pulls through at 25 lb or more, at 30 lb above 120 mph, and seal "
            "starter and rakes as their maker says.",
        )


def point_check(job: Job, book: Book, rule: str, nail: str, length: int, roofing: int) -> Check:
    """
    Check that a nail goes 3/4 in into the deck, or through a thinner one.

    Parameters
    ----------
    roofing
        What it passes before the deck; 0 where the price book does not tell.
    """
    tape = job.tape
    panel = max(item.thickness for item in panel_sizes(job, book))
    passed = roofing or _ROOFING
    least = passed + (panel + _OLD_DECK if panel < _BITE else _BITE)
    taken = "" if roofing else ", taken for what the price book does not tell"
    what = (
        f"{nail}, {size_text(tape, length)} long, through {size_text(tape, passed)} of roofing{taken} and "
        f"into a deck of {size_text(tape, panel)}"
    )
    good = length >= least
    into = "3/4 in into it" if panel >= _BITE else "1/8 in through it"
    return Check(
        "pass" if good else "warn",
        rule,
        _POINT,
        f"{what}: it {'reaches' if good else 'should reach'} {into}"
        + ("." if good else f", so {size_text(tape, least)} or longer."),
    )


def starter_checks(job: Job, table: ShingleTable, building: Building, apart: int) -> Iterator[Check]:
    """
    Hold the starter against the rules.

    Parameters
    ----------
    apart
        How far its joints keep from those of the first course.

    Raises
    ------
    InputError
        If it is to be cut from shingles that have no tabs to cut off.
    """
    starter = job.starter
    if starter is None:
        yield Check(
            "warn",
            "starter",
            "NAVEDTRA 14044, roof construction",
            "No starter: the first course is to be doubled, or laid on a starter strip. See [starter].",
        )
        return
    if starter.material == STRIPS and table.kind == "laminated":
        raise InputError(
            "laminated shingles have no tabs to cut off; name a starter of its own", "starter.material"
        )
    rakes = " and up the rakes" if starter.rakes and building.lines_of("rake") else ""
    how = ", cut from strips: tabs off, adhesive at the eave" if starter.material == STRIPS else ""
    good = apart >= min(starter.back_up, 2 * INCH)
    yield Check(
        "pass" if good else "warn",
        "starter",
        "NAVEDTRA 14044, roof construction; joints: common practice, no source",
        f"Starter along the full eave{rakes}{how}; its joints lie {size_text(job.tape, apart)} or more off "
        "those of the first course" + ("." if good else ": too near, try another back_up."),
    )
