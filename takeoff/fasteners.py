"""Nails, clips, screws and hinges: counted from the geometry, enough for any lay-out, lengths checked."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from optimizer.lengths import INCH
from optimizer.words import Count, Part, Run
from takeoff.book import Book, Item
from takeoff.building import Building, Plane
from takeoff.counted import spaced
from takeoff.edges import fascia_runs, metal_runs
from takeoff.job import Job
from takeoff.nail_checks import nail_checks
from takeoff.needs import Assumption, Check, Needed
from takeoff.openings import Opening, openings_of
from takeoff.planes import nearest_sqrt
from takeoff.roof import blocking_parts, is_metric, panel_sizes
from takeoff.rules import RuleSet, rules_of
from takeoff.spans import needs_edge_support, panel_span
from takeoff.trim_job import FastenerTable

__all__ = ["deck_nails", "fastener_needs", "most_courses", "most_seams", "with_waste"]

_WIDE = 47 * INCH
"""From here on a bay counts as 48 in: the end bays of a 48 in lay-out, and 1200 mm, are a little less."""


def fastener_needs(job: Job, building: Building, book: Book) -> Needed:
    """
    Count what fastens roof, edges and doors.

    The lay-out isn't known yet, so each number is enough for any lay-out that the rules allow, with the
    job's `waste_percent` on top of nails and screws. What the price book doesn't have is left out of the
    purchase and named in a warning.
    """
    sizes = panel_sizes(job, book)
    rules = rules_of(job, is_metric(sizes))
    support = needs_edge_support(building, panel_span(sizes))
    joints = [most_courses(plane, sizes, rules) - 1 if support else 0 for plane in building.planes]
    openings = openings_of(job, book)
    nails = (
        Count("deck nails", job.fastener.deck.material, _deck(building, sizes, rules, joints, job)),
        *_edge_counts(job, building, book),
        *(count for opening in openings for count in _door_screws(opening, job.fastener, book)),
    )
    wasted = 100 + job.fastener.waste_percent
    counts = [replace(count, quantity=-(-count.quantity * wasted // 100)) for count in nails]
    counts += [_clips(building, joints, rules, job), *(_hinges(opening) for opening in openings)]
    counts = [count for count in counts if count.quantity]
    missing = tuple(_missing(count) for count in counts if not book.sizes(count.material))
    return Needed(
        parts=_edge_blocking(building, joints, rules, job, book),
        counts=tuple(count for count in counts if book.sizes(count.material)),
        checks=(*nail_checks(job, building, book, rules, openings), *missing),
        assumptions=tuple(_assumptions(job, rules)),
    )


def with_waste(need: Needed, job: Job, book: Book) -> Needed:
    """
    Add the job's `waste_percent` to the nails that a trade counts for itself.

    What the price book doesn't have is named in a warning instead.
    """
    wasted = 100 + job.fastener.waste_percent
    counts = [replace(count, quantity=-(-count.quantity * wasted // 100)) for count in need.counts]
    return replace(
        need,
        counts=tuple(count for count in counts if book.sizes(count.material)),
        checks=(*need.checks, *(_missing(count) for count in counts if not book.sizes(count.material))),
    )


def _missing(count: Count) -> Check:
    return Check(
        "warn",
        "not in the price book",
        "this price book",
        f"The price book has no {count.material!r}: buy {count.quantity} for {count.label} besides; they are "
        "in no total.",
    )


def most_courses(plane: Plane, sizes: Sequence[Item], rules: RuleSet) -> int:
    """Count the courses of a plane if all were laid in the narrowest sheet offered."""
    return -(-plane.slope // min(item.width + rules.gap.value for item in sizes))


def most_seams(plane: Plane, sizes: Sequence[Item], rules: RuleSet) -> int:
    """
    Count the seams in one course, at most: no more than the shortest legal pieces leave.

    A piece over three supports takes two bays, so a course of nine bays has at most four pieces.
    """
    bays = len(plane.rafters) - 1
    by_supports = bays // (rules.supports.value - 1)
    by_length = (plane.length + rules.gap.value) // rules.shortest.value
    longest = max(item.length for item in sizes) + rules.gap.value
    least = -(-plane.length // longest)
    return max(min(by_supports, by_length), least, 1) - 1


def deck_nails(plane: Plane, courses: int, seams: int, rules: RuleSet) -> int:
    """
    Count the nails of one plane's deck.

    Up every rafter the nails stand `field_nails` apart in each course, at panel ends `edge_nails`: one panel
    end at each rake, two at each seam. A course of width w takes w // spacing + 1 in one line.

    Examples
    --------
    A 4 x 8 ft panel over five rafters takes 2 x 9 + 3 x 5 nails:

    >>> from takeoff.rafters import Rafter
    >>> from takeoff.rules import RULE_SETS
    >>> lines = tuple(Rafter(bay * 24 * INCH, "common") for bay in range(5))
    >>> panel = Plane("A", "A", 96 * INCH, 48 * INCH, 96 * INCH, 48 * INCH, lines)
    >>> deck_nails(panel, 1, 0, RULE_SETS["usual"])
    33
    """
    ends = plane.slope // rules.edge_nails.value + courses
    field = plane.slope // rules.field_nails.value + courses
    if not plane.outline:
        return 2 * ends + (len(plane.rafters) - 2) * field + seams * max(2 * ends - field, 0)
    # Nailed along every side that does not lie along the courses, and up each rafter as far as it goes.
    around = sum(
        -(-nearest_sqrt((x2 - x1) ** 2 + (y2 - y1) ** 2) // rules.edge_nails.value) + courses
        for (x1, y1), (x2, y2) in plane.sides
        if y1 != y2
    )
    up = [high - low for low, high in (plane.reach(rafter.at) for rafter in plane.rafters)]
    inside = sum(-(-length // rules.field_nails.value) + courses for length in up)
    return around + inside + seams * max(2 * ends - field, 0)


def _deck(building: Building, sizes: Sequence[Item], rules: RuleSet, joints: Sequence[int], job: Job) -> int:
    """Count the deck's nails; where joints between courses are blocked, both panel edges are nailed too."""
    total = 0
    for plane, blocked in zip(building.planes, joints, strict=True):
        courses, seams = most_courses(plane, sizes, rules), most_seams(plane, sizes, rules)
        total += deck_nails(plane, courses, seams, rules)
        if job.edge_support == "blocking":
            total += blocked * 2 * spaced(plane.length, rules.edge_nails.value)
    return total


def _crossed(plane: Plane, least: int) -> list[int]:
    """
    Give the rafters, and the plane's ends, that a joint may cross which lies so far up or farther.

    A plane that narrows has fewer bays the higher a joint lies; its lay-out isn't known, so that the widest
    stretch above the line counts.
    """
    if not plane.outline:
        return [rafter.at for rafter in plane.rafters]
    levels = [min(least, plane.slope), *(up for _, up in plane.outline if up > least)]
    stretches = [plane.stretch(level) for level in levels]
    left, right = min(start for start, _ in stretches), max(end for _, end in stretches)
    return [left, *(rafter.at for rafter in plane.rafters if left < rafter.at < right), right]


def _clips(building: Building, joints: Sequence[int], rules: RuleSet, job: Job) -> Count:
    """Count clips along every joint: one between two rafters, two where those stand 48 in apart."""
    number = 0
    for plane, rows in zip(building.planes, joints, strict=True):
        for row in range(1, rows + 1):
            lines = _crossed(plane, row * rules.narrowest.value)
            number += sum(2 if after - before >= _WIDE else 1 for before, after in pairwise(lines))
    return Count("panel clips", job.fastener.clip, number if job.edge_support == "clips" else 0)


def _hinges(opening: Opening) -> Count:
    door = opening.door
    return Count(f"{opening.name} hinges", door.hinge or "", opening.hinges * door.leaves)


def _edge_blocking(
    building: Building, joints: Sequence[int], rules: RuleSet, job: Job, book: Book
) -> tuple[Part, ...]:
    """Give a row of blocking under every joint between two courses; both panels are nailed to it."""
    if job.edge_support != "blocking" or not any(joints):
        return ()
    book.require(job.blocking, "blocking")
    return tuple(
        replace(part, label=f"{part.label} at joints", count=part.count * rows)
        for plane, rows in zip(building.planes, joints, strict=True)
        if rows
        for part in blocking_parts(building, plane, rules, job)
    )


def _edge_counts(job: Job, building: Building, book: Book) -> Iterator[Count]:
    table = job.fastener
    metal = metal_runs(job, building, book)
    shortest = {run.material: min(item.length for item in book.sizes(run.material)) for run in metal}
    # Every stick that joins in may bring a nail of its own at its lap.
    number = sum(
        spaced(run.length, table.edge_metal_spacing) + -(-run.length // (shortest[run.material] - run.lap))
        for run in metal
    )
    yield Count("edge metal nails", table.edge_metal.material, number)
    if job.fascia:
        per_tail = _per_crossing(book.one(job.fascia.material, "fascia.material").width)
        tails = max(len(plane.rafters) for plane in building.planes)
        number = sum(per_tail * (tails + _joints(run)) for run in fascia_runs(job.fascia, building, book))
        yield Count("fascia nails", table.fascia.material, number)
    if job.rake_board:
        per_pair = _per_crossing(book.one(job.rake_board.material, "rake_board.material").width)
        pairs = sum(spaced(rake.finish, table.board_spacing) for rake in building.lines_of("rake"))
        yield Count("rake board nails", table.rake_board.material, per_pair * pairs)


def _per_crossing(width: int) -> int:
    """Count the nails where a board crosses a framing member: 2, or 3 for boards over 8 in wide."""
    return 2 if width <= 8 * INCH else 3


def _joints(run: Run) -> int:
    """Count the joints a fascia may have at most; each is nailed on both sides."""
    return min(len(run.seams or ()), run.length // run.shortest - 1 if run.shortest else run.length)


def _door_screws(opening: Opening, table: FastenerTable, book: Book) -> Iterator[Count]:
    name, door = opening.name, opening.door
    lengths = [length for _, lengths in opening.members() for length in lengths] * door.leaves
    if door.bottom_piece:
        lengths += [opening.slab.width] * door.leaves
    if door.leaves == 2:
        lengths.append(opening.slab.height)
    screws = sum(spaced(length, table.slab_spacing) for length in lengths)
    yield Count(f"{name} slab screws", table.slab.material, screws)
    if door.casing:
        wide = book.one(door.casing, f"{opening.key}.casing").width
        head = door.width + 2 * wide
        pairs = sum(spaced(length, table.board_spacing) for length in (door.height, door.height, head))
        yield Count(f"{name} casing nails", table.casing.material, _per_crossing(wide) * pairs)
    screws = sum(spaced(length, table.stop_spacing) for length in opening.stop_lengths)
    yield Count(f"{name} stop screws", table.stop.material, screws)
    screws = opening.hinges * door.leaves * door.screws_per_hinge
    yield Count(f"{name} hinge screws", table.hinge.material, screws)


def _assumptions(job: Job, rules: RuleSet) -> Iterator[Assumption]:
    if job.rule.field_nails is None and rules.field_nails.value > 6 * INCH:
        yield Assumption(
            "rule.field_nails",
            "12 in",
            "deck nails 12 in apart between panel ends; the 2021 IRC: 6 in, from memory (not re-checked)",
            "6 in",
        )
