"""Which of the guesses a takeoff made would change Buy if they were wrong."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from cli.report import Trial
from cli.variants import Unanswered, Variants, part_of, without_spare
from optimizer.errors import InputError, NoPlan
from optimizer.money import format_cents
from optimizer.plan import Plan
from optimizer.words import Count, Part, Problem, Run, Stock
from takeoff.needs import Assumption

__all__ = ["try_assumptions"]

NO_TIME = "not tried for want of time"


@dataclass(slots=True)
class _Finding:
    """What has been found out about one assumption."""

    assumption: Assumption
    differences: dict[str, int] = field(default_factory=dict)
    cents: int = 0
    unsettled: list[str] = field(default_factory=list)
    verdict: Trial | None = None


@dataclass(frozen=True, slots=True)
class _Question:
    """The part of a variant that differs from the job in one group of materials."""

    finding: _Finding
    materials: frozenset[str]
    problem: Problem

    @property
    def hardness(self) -> tuple[int, ...]:
        """Order questions so that many easy ones are answered before a hard one takes the time."""
        surfaces = self.problem.surfaces
        # A rule that lets more pieces through makes a deck harder than more rafters do.
        loosest = min((surface.rule.min_supports for surface in surfaces), default=0)
        lines = sum(len(surface.supports) for surface in surfaces)
        return len(surfaces), -loosest, lines, len(self.problem.runs) + len(self.problem.parts)


def try_assumptions(
    problem: Problem, plan: Plan, assumptions: Sequence[Assumption], variants: Variants
) -> tuple[Trial, ...]:
    """
    Put the likely alternative in the place of each assumption, and see whether Buy changes.

    Only the materials whose question changes are planned again, each on its own, so that one that takes
    too long leaves the others' answers standing. Spares are the same either way, and left out.
    """
    problem = replace(problem, spare=())
    findings = [_Finding(assumption) for assumption in assumptions]
    questions = [q for finding in findings for q in _questions(problem, finding, variants)]
    for question in sorted(questions, key=lambda question: question.hardness):
        _settle(question, plan, variants)
    prices = {stock.key: stock.price for stock in problem.stocks}
    return tuple(finding.verdict or _verdict(finding, prices) for finding in findings)


def _questions(problem: Problem, finding: _Finding, variants: Variants) -> Iterator[_Question]:
    """Give what would have to be planned again under the alternative."""
    assumption = finding.assumption
    if assumption.alternative is None:
        finding.verdict = Trial(assumption, None)
        return
    try:
        takeoff = variants.take_off(assumption.key, assumption.alternative)
    except InputError as error:
        finding.verdict = Trial(assumption, None, f"not tried: {error}")
        return
    other = replace(takeoff.problem(problem.stocks), spare=())
    for materials in _groups(problem, other):
        if part_of(problem, materials) != part_of(other, materials):
            yield _Question(finding, materials, part_of(other, materials))


def _groups(problem: Problem, other: Problem) -> list[frozenset[str]]:
    """Give the materials that are planned apart: each alone, but the deck with its blocking's lumber."""
    surfaces = (*problem.surfaces, *other.surfaces)
    deck = {s.material for s in surfaces} | {part.material for s in surfaces for part in s.blocking}
    named = dict.fromkeys(material for p in (problem, other) for material in _materials(p))
    rest = [material for material in named if material not in deck]
    return [*([frozenset(deck)] if deck else []), *(frozenset({material}) for material in rest)]


def _materials(problem: Problem) -> Iterator[str]:
    needs: tuple[Run | Part | Count, ...] = (*problem.runs, *problem.parts, *problem.counts)
    yield from (need.material for need in needs)


def _settle(question: _Question, plan: Plan, variants: Variants) -> None:
    """Plan one question, and note what it buys differently."""
    finding, materials = question.finding, question.materials
    try:
        found = variants.plans(question.problem)
    except NoPlan as error:
        finding.verdict = Trial(finding.assumption, True, f"no plan: {error}")
        return
    except Unanswered:
        finding.unsettled += sorted(materials)
        return
    if not all(p.proved for p in found) or not all(
        o.proved for o in plan.outcomes if o.material in materials
    ):
        finding.unsettled += sorted(materials)
        return
    stocks = {stock.key: stock for stock in question.problem.stocks if not stock.from_rack}
    (before, paid), (after, pays) = _bought((plan,), stocks), _bought(found, stocks)
    for key in stocks:
        if after[key] != before[key]:
            finding.differences[key] = after[key] - before[key]
            finding.cents += pays[key] - paid[key]


def _bought(plans: Iterable[Plan], stocks: Mapping[str, Stock]) -> tuple[Counter[str], Counter[str]]:
    """Count the packs bought of each stock, and the cents, spares and what is owned already left out."""
    packs: Counter[str] = Counter()
    cents: Counter[str] = Counter()
    for b in (b for plan in plans for b in plan.buy if b.stock in stocks and not b.from_rack):
        count, cost = without_spare(b, stocks[b.stock])
        packs[b.stock] += count
        cents[b.stock] += cost or 0
    return packs, cents


def _verdict(finding: _Finding, prices: Mapping[str, int | None]) -> Trial:
    """Star what was shown to change Buy; leave open what was not settled in time."""
    assumption = finding.assumption
    if not finding.differences:
        return Trial(assumption, None, NO_TIME) if finding.unsettled else Trial(assumption, False)
    effect = [f"{change:+d} {key}" for key, change in finding.differences.items()]
    if all(prices[key] is not None for key in finding.differences):
        effect.append(f"{'+' if finding.cents >= 0 else ''}{format_cents(finding.cents)}")
    told = ", ".join(effect)
    if finding.unsettled:
        told += f"; {', '.join(finding.unsettled)} {NO_TIME}"
    return Trial(assumption, True, told)
