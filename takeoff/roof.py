"""Roof planes as surfaces to be decked: which rafters bear a panel, and which may take a seam."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

from optimizer.errors import InputError
from optimizer.lengths import INCH, MILLIMETRE, size_text
from optimizer.words import Part, SeamRule, Support, Surface
from takeoff.book import Book, Item
from takeoff.building import Building, Plane, slope_of
from takeoff.job import Job, RidgeSlotTable
from takeoff.needs import Check, Needed
from takeoff.rules import RuleSet

__all__ = ["MEASURED_OFF", "blocking_parts", "is_metric", "panel_sizes", "roof_needs", "slot_line"]

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


def slot_line(slot: RidgeSlotTable, building: Building) -> int:
    """Give how far down the deck from the peak the edge of a ridge slot lies."""
    return slope_of(slot.ridge_board // 2, building.pitch) + slot.clear


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
    own ends never take a seam.
    """
    roles = [rafter.role for rafter in plane.rafters]
    barge = "barge" in roles
    barge_bears = barge and (lookouts or bool(rules.barge_bears.value))
    inside = [index for index, role in enumerate(roles) if role != "barge"]
    bays = 0 if lookouts or not barge else rules.rake_bays.value
    reach = bays if barge_bears else max(bays, 1)
    legal = set(inside[reach : len(inside) - reach])
    return tuple(
        Support(rafter.at, bears=rafter.role != "barge" or barge_bears, seam=index in legal)
        for index, rafter in enumerate(plane.rafters)
    )


def _seam_rule(building: Building, rules: RuleSet, measured: bool) -> SeamRule:
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
        top_slack=(rules.ridge_slack if building.is_gable else rules.end_slack).value,
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
    slot = job.ridge_slot
    short = slot_line(slot, building) if slot is not None and slot.how == "deck held short" else 0
    if short >= min(plane.slope for plane in building.planes):
        raise InputError("the slot is wider than the slope is long", "ridge_slot.clear")
    rule = _seam_rule(building, rules, job.rafters is not None)
    return Needed(
        surfaces=tuple(
            Surface(
                label=plane.name,
                material=job.panel,
                length=plane.length,
                height=plane.slope - short,
                supports=_supports(plane, rules, job.lookouts),
                rule=rule,
                blocking=blocking_parts(building, plane, rules, job) if blocked else (),
                mark=plane.mark,
                needed=_NEEDED,
            )
            for plane in building.planes
        ),
        checks=_measured_checks(job),
    )


def _measured_checks(job: Job) -> tuple[Check, ...]:
    if job.rafters is None:
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
