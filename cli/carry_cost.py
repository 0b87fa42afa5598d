"""What it costs that some sizes can't be carried: the same material, planned with them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import suppress
from dataclasses import replace

from cli.variants import Unanswered, Variants, part_of
from optimizer.errors import NoPlan
from optimizer.money import format_cents
from optimizer.plan import Plan
from optimizer.words import Problem
from takeoff.book import Book
from takeoff.carry import LEFT_OUT
from takeoff.needs import Check, Takeoff

__all__ = ["carry_costs", "with_carry_costs"]


def carry_costs(
    problem: Problem, plan: Plan, takeoff: Takeoff, book: Book, variants: Variants
) -> Iterator[tuple[str, int]]:
    """
    Give the materials whose sizes are left out, with how many cents less they would cost with them.

    A material is left out where that was not shown in time, where something has no price, and where it is
    not planned on its own.
    """
    joined = {part.material for surface in problem.surfaces for part in surface.blocking}
    joined |= {surface.material for surface in problem.surfaces if surface.blocking}
    visited = {stock.yard for stock in problem.stocks if not stock.from_rack}
    told = [check for check in takeoff.checks if check.rule == LEFT_OUT]
    for material in dict.fromkeys(item.material for item in book.left_out):
        more = tuple(i.stock() for i in book.left_out if i.material == material and i.yard in visited)
        outcome = next((o for o in plan.outcomes if o.material == material and o.proved), None)
        if not more or outcome is None or material in joined or not any(_is_of(c, material) for c in told):
            continue
        asked = replace(part_of(problem, frozenset({material})), spare=())
        asked = replace(asked, stocks=(*asked.stocks, *more))
        if any(stock.price is None for stock in asked.stocks):
            continue
        with suppress(Unanswered, NoPlan):
            other = variants.plan(asked)
            if other.proved and other.total is not None:
                yield material, outcome.cost - other.total


def _is_of(check: Check, material: str) -> bool:
    return check.rule == LEFT_OUT and check.message.startswith(f"{material} ")


def with_carry_costs(takeoff: Takeoff, costs: Mapping[str, int]) -> Takeoff:
    """Add to the checks that tell what can't be carried what that costs, once a material."""
    left = dict(costs)
    checks = []
    for check in takeoff.checks:
        material = next((name for name in left if _is_of(check, name)), None)
        if material is not None:
            cents = left.pop(material)
            told = f"{format_cents(cents)} less" if cents > 0 else "no less"
            check = replace(check, message=f"{check.message} If it could, {material} would cost {told}.")
        checks.append(check)
    return replace(takeoff, checks=tuple(checks))
