"""Surfaces of one material that are decked and surfaces that are faced: apart first, then all together."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import replace

from optimizer.engine import Clock
from optimizer.errors import NoPlan, TimeUp
from optimizer.models.runs import plan_surfaces
from optimizer.models.shaped_plan import plan_shaped
from optimizer.models.small_parts import add_small_parts, pack_costs, spent
from optimizer.plan import MaterialPlan, Outcome
from optimizer.turns import better
from optimizer.words import Part, Saw, Stock, Surface

__all__ = ["plan_together"]

WITH_PARTS = 0.6
"""Part of the time that surfaces and parts are looked into together, and surfaces alone after that."""

EACH = 0.3
"""Part of the time left for each of the two, before all are asked together."""


def plan_together(
    material: str,
    stocks: Sequence[Stock],
    surfaces: Sequence[Surface],
    parts: Sequence[Part],
    saw: Saw,
    clock: Clock,
    blocking: Mapping[str, int] | None = None,
    ties: bool = True,
) -> MaterialPlan:
    """
    Cover surfaces of any kind, and cut parts of the same material, from the cheapest sheets.

    Where some stand upright and others lie, each kind is planned by itself first: a plan is found sooner, and
    the dearer kind's bound holds for all. Parameters as in `plan_surfaces`.

    Raises
    ------
    NoPlan
        If no lay-out obeys the rules, or a part outgrows every sheet.
    """

    def covered(asked: Sequence[Surface], own: Sequence[Part], share: Clock) -> MaterialPlan:
        if all(surface.plain for surface in asked):
            return plan_surfaces(material, stocks, asked, own, saw, share, blocking, ties)
        return plan_shaped(material, stocks, asked, own, saw, share, blocking)

    def plan(asked: Sequence[Surface], own: Sequence[Part], share: Clock) -> MaterialPlan:
        """Cover and cut in one; where that finds no plan in most of the time, one after the other."""
        if not own:
            return covered(asked, own, share)
        try:
            return covered(asked, own, share.share(share.left() * WITH_PARTS))
        except TimeUp:
            alone = covered(asked, (), share.share(share.left() * WITH_PARTS))
        wide = [replace(part, width=part.width or max(stock.width for stock in stocks)) for part in own]
        rest = share.share(max(1.0, share.left()))
        return add_small_parts(alone, stocks, pack_costs(stocks), wide, saw, rest)

    lying = [surface for surface in surfaces if not surface.upright]
    upright = [surface for surface in surfaces if surface.upright]
    limited = any(stock.available is not None or stock.from_rack for stock in stocks)
    if not lying or not upright or limited:
        return plan(surfaces, parts, clock)
    apart: MaterialPlan | None = None
    with suppress(TimeUp):
        first = plan(lying, (), clock.share(clock.left() * EACH))
        second = plan(upright, parts, clock.share(clock.left() * EACH))
        apart = _joined(material, stocks, first, second)
    if apart is None:
        return plan(surfaces, parts, clock)
    try:
        return better(plan(surfaces, parts, clock), apart)
    except NoPlan:
        # Out of time, or too many sizes to be listed together.
        return apart


def _joined(
    material: str, stocks: Sequence[Stock], first: MaterialPlan, second: MaterialPlan
) -> MaterialPlan:
    """Put two plans together; more surfaces never cost less, so the higher of their bounds holds."""
    cuts = (*first.cuts, *second.cuts)
    cost = spent(stocks, pack_costs(stocks), cuts)
    dearer = max((first.outcome, second.outcome), key=lambda outcome: outcome.bound)
    outcome = Outcome(
        material,
        cost,
        min(dearer.bound, cost),
        False,
        f"{dearer.family}, what stands and what lies planned apart",
        dearer.witnesses,
        first.outcome.seconds + second.outcome.seconds,
    )
    return MaterialPlan(cuts, (*first.courses, *second.courses), outcome)
