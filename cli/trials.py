"""Which of the guesses a takeoff made would change Buy if they were wrong."""

from __future__ import annotations

from collections.abc import Sequence

from cli.report import Trial
from cli.variants import Unanswered, Variants, part_of
from optimizer.errors import InputError, NoPlan
from optimizer.money import format_cents
from optimizer.plan import Plan
from optimizer.words import Count, Part, Problem, Run, Surface
from takeoff.needs import Assumption

__all__ = ["try_assumptions"]


def try_assumptions(
    problem: Problem, plan: Plan, assumptions: Sequence[Assumption], variants: Variants
) -> tuple[Trial, ...]:
    """
    Put the likely alternative in the place of each assumption, and see whether Buy changes.

    Only the materials whose question changes are planned again.
    """
    return tuple(_try(problem, plan, assumption, variants) for assumption in assumptions)


def _try(problem: Problem, plan: Plan, assumption: Assumption, variants: Variants) -> Trial:
    if assumption.alternative is None:
        return Trial(assumption, None)
    try:
        takeoff = variants.take_off(assumption.key, assumption.alternative)
        other = takeoff.problem(problem.stocks)
        materials = _changed(problem, other)
        if not materials:
            return Trial(assumption, False)
        found = variants.plan(part_of(other, materials))
    except NoPlan as error:
        return Trial(assumption, True, f"no plan: {error}")
    except InputError as error:
        return Trial(assumption, None, f"not tried: {error}")
    except Unanswered:
        return Trial(assumption, None, "not tried for want of time")
    return _weigh(problem, plan, found, materials, assumption)


def _changed(problem: Problem, other: Problem) -> frozenset[str]:
    """Give the materials whose question differs, those of the blocking under changed surfaces included."""
    changed = {
        material
        for material in _materials(problem) | _materials(other)
        if part_of(problem, frozenset({material})) != part_of(other, frozenset({material}))
    }
    lumber = {
        part.material
        for surface in (*problem.surfaces, *other.surfaces)
        if surface.material in changed
        for part in surface.blocking
    }
    return frozenset(changed | lumber)


def _materials(problem: Problem) -> set[str]:
    needs: tuple[Surface | Run | Part | Count, ...] = (
        *problem.surfaces,
        *problem.runs,
        *problem.parts,
        *problem.counts,
    )
    return {need.material for need in needs}


def _weigh(
    problem: Problem, plan: Plan, found: Plan, materials: frozenset[str], assumption: Assumption
) -> Trial:
    keys = [stock.key for stock in problem.stocks if stock.material in materials]
    before = {b.stock: b.count for b in plan.buy if not b.from_rack}
    after = {b.stock: b.count for b in found.buy if not b.from_rack}
    differences = [(key, after.get(key, 0) - before.get(key, 0)) for key in keys]
    effect = [f"{change:+d} {key}" for key, change in differences if change]
    if not effect:
        return Trial(assumption, False)
    settled = found.proved and all(o.proved for o in plan.outcomes if o.material in materials)
    prices = {stock.key: stock.price for stock in problem.stocks}
    if all(prices[key] is not None for key, change in differences if change):
        money = sum((prices[key] or 0) * change for key, change in differences)
        effect.append(f"{'+' if money >= 0 else ''}{format_cents(money)}")
    text = ", ".join(effect)
    return Trial(assumption, True, text) if settled else Trial(assumption, None, f"perhaps {text}")
