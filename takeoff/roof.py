"""Roof planes as surfaces to be decked: which rafters bear a panel, and which may take a seam."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from itertools import pairwise
from typing import assert_never

from optimizer.errors import InputError
from optimizer.lengths import INCH, MILLIMETRE, size_text
from optimizer.words import Part, SeamRule, Support, Surface
from takeoff.book import Book, Item
from takeoff.building import Building, Plane, slope_of
from takeoff.job import Job, RidgeSlotTable
from takeoff.needs import Check, Needed
from takeoff.roof_openings import opened, opening_checks
from takeoff.rules import RuleSet

__all__ = [
    "MEASURED_OFF",
    "blocking_parts",
    "is_metric",
    "panel_sizes",
    "roof_needs",
    "slot_line",
    "top_slack",
]

MEASURED_OFF = INCH // 2
"""Two rafters, each a little off its line, may bring two seams so much nearer."""

_NEEDED = 15
"""The deck is laid after the fascia and rake boards it meets, and before the edge metal."""


def panel_sizes(job: Job, book: Book) -> tuple[Item, ...]:
    """
    Give the sizes of the deck panel.

    Raises
    ------
    InputError
        If the book has no such material, it isn't sold in sheets, or a size is missing.
    """
    sizes = book.require(job.panel, "panel")
    if any(item.kind != "sheet" for item in sizes):
        raise InputError(f"{job.panel!r} is not a sheet in the price book; a deck is laid in sheets", "panel")
    for item in sizes:
        if item.length <= 0 or item.width <= 0:
            raise InputError(f"the price book gives no length and width for {item.key!r}", "panel")
    return sizes


def is_metric(sizes: tuple[Item, ...]) -> bool:
    """Tell whether every size is of whole millimetres, as 1220 x 2440 and 1250 x 2500 are."""
    return all(item.length % MILLIMETRE == 0 and item.width % MILLIMETRE == 0 for item in sizes)


def slot_line(slot: RidgeSlotTable, below: Building | Plane) -> int:
    """Give how far down the deck from the peak the edge of a ridge slot lies: on a roof, or on one plane."""
    return slope_of(slot.ridge_board // 2, below.pitch) + slot.clear


def top_slack(plane: Plane, rules: RuleSet) -> int:
    """Give how far the last course may stop short: of a ridge or peak under its cap, or of a high edge."""
    match plane.top:
        case "ridge" | "peak":
            return rules.ridge_slack.value
        case "high edge" | "break":
            return rules.end_slack.value
        case _ as unreachable:
            assert_never(unreachable)


def blocking_parts(building: Building, plane: Plane, rules: RuleSet, job: Job) -> tuple[Part, ...]:
    """
    Give the blocking under one long edge of a course: a piece in every bay between two bearing rafters.

    Bays of the same clear width share one part; its length is the clear width itself.
    """
    lines = [
        rafter.at
        for rafter in plane.rafters
        if rafter.role != "barge" or job.lookouts or rules.barge_bears.value
    ]
    clear = Counter(
        after - before - building.rafter_thickness
        for before, after in pairwise(lines)
        if after - before > building.rafter_thickness
    )
    return tuple(
        Part(f"{plane.mark} blocking {size_text(job.tape, length)}", job.blocking, length, count=count)
        for length, count in sorted(clear.items(), reverse=True)
    )


def _supports(plane: Plane, rules: RuleSet, lookouts: bool) -> tuple[Support, ...]:
    """
    Flag every rafter: whether it bears a panel, and whether a seam may lie on it.

    The panel that carries an overhanging rake must reach `rake_bays` bays inside the gable wall, so no seam
    lies nearer than that. Lookouts carry the overhang themselves and lift this. The rafters at the deck's
    own ends never take a seam; beside a hip or a valley, which bears the slanting end, every jack may. A
    tail is too short to.
    """
    roles = [rafter.role for rafter in plane.rafters]
    barge = "barge" in roles
    barge_bears = barge and (lookouts or bool(rules.barge_bears.value))
    inside = [index for index, role in enumerate(roles) if role != "barge"]
    bays = 0 if lookouts or not barge else rules.rake_bays.value
    reach = bays if barge_bears else max(bays, 1)
    left, right = (reach if roles[end] in ("barge", "gable") else 0 for end in (0, -1))
    legal = {index for index in inside[left : len(inside) - right] if roles[index] != "tail"}
    return tuple(
        Support(rafter.at, bears=rafter.role != "barge" or barge_bears, seam=index in legal)
        for index, rafter in enumerate(plane.rafters)
    )


def _seam_rule(plane: Plane, rules: RuleSet, measured: bool) -> SeamRule:
    """Give the rules of one surface; a single slope's upper edge lies under metal, as a rake does."""
    off = MEASURED_OFF if measured else 0
    return SeamRule(
        gap=rules.gap.value,
        min_supports=rules.supports.value,
        shortest=max(0, rules.shortest.value - off),
        stagger=max(0, rules.stagger.value - off),
        narrowest=rules.narrowest.value,
        blocked_below=rules.blocked_below.value,
        end_slack=rules.end_slack.value,
        top_slack=top_slack(plane, rules),
    )


def roof_needs(job: Job, building: Building, book: Book, rules: RuleSet) -> Needed:
    """
    Give the surfaces of the deck, one for each plane, in the order they are decked.

    Raises
    ------
    InputError
        If the book lacks the panel or the blocking, or a slot takes the whole slope.
    """
    panel_sizes(job, book)
    blocked = rules.blocked_below.value > rules.narrowest.value
    if blocked:
        book.require(job.blocking, "blocking")
    measured = job.rafters is not None or any(plane.rafters is not None for plane in job.plane)
    decks = [_held_short(job, plane) for plane in building.planes]
    surfaces = tuple(
        opened(
            Surface(
                label=plane.name,
                material=job.panel,
                length=deck.length,
                height=deck.slope,
                supports=_supports(deck, rules, job.lookouts),
                rule=_seam_rule(plane, rules, measured),
                blocking=blocking_parts(building, plane, rules, job) if blocked else (),
                mark=plane.mark,
                needed=_NEEDED,
                outline=deck.outline,
            ),
            job.roof_opening,
            building.rafter_thickness,
        )
        for plane, deck in zip(building.planes, decks, strict=True)
    )
    checks = tuple(opening_checks(job.roof_opening, surfaces, job.tape))
    return Needed(surfaces=surfaces, checks=_measured_checks(job, measured=measured) + checks)


def _held_short(job: Job, plane: Plane) -> Plane:
    """Give a plane as it is decked: without the strip that a deck held short leaves open at the ridge."""
    slot = job.ridge_slot
    if slot is None or slot.how != "deck held short" or plane.top != "ridge":
        return plane
    if job.roof == "L":
        raise InputError('on an L the ridges meet at a hip; write "cut in place"', "ridge_slot.how")
    height = plane.slope - slot_line(slot, plane)
    if height <= 0:
        raise InputError("the slot is wider than the slope is long", "ridge_slot.clear")
    if not plane.outline:
        return replace(plane, slope=height)
    left, right = plane.stretch(height)
    below = tuple(corner for corner in plane.outline if corner[1] < height)
    return replace(plane, slope=height, outline=(*below, (right, height), (left, height)))


def _measured_checks(job: Job, *, measured: bool) -> tuple[Check, ...]:
    if not measured:
        return ()
    return (
        Check(
            "note",
            "measured rafters",
            "common practice, no source",
            "Rafters as measured never stand to the mark: stagger and shortest piece count as kept where "
            f"they fall short by {size_text(job.tape, MEASURED_OFF)} or less.",
        ),
    )
