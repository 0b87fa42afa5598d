"""Where no plan keeps all the rules: which rule to relax, and what the roof then costs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from cli.variants import Purchase, Unanswered, Variants, deck_of, purchase
from optimizer.errors import InputError, NoPlan
from optimizer.lengths import TapeUnit, as_number
from optimizer.money import format_cents
from optimizer.words import Problem
from takeoff.job import Job, RuleTable
from takeoff.keys import toml
from takeoff.roof import is_metric, panel_sizes
from takeoff.rules import RuleSet, rules_of

__all__ = ["STRICTNESS", "advice"]


STRICTNESS = ("lean", "usual", "windy")
"""The rule sets, from the least demanding to the most."""

_LENGTHS = ("stagger", "shortest", "narrowest")
_PARTS = {"stagger": ((2, 3), (1, 2)), "shortest": ((2, 3),), "narrowest": ((1, 2),)}
"""What builders do take in a pinch, in parts of the usual value: 16 in and 12 in for 24 in."""

Change = tuple[str, object]
"""A key, and the value to write for it."""


@dataclass(frozen=True, slots=True)
class _Way:
    """What to write into the job, and what the deck then takes."""

    change: Change
    takes: Purchase


def advice(problem: Problem, job: Job, variants: Variants) -> str:
    """
    Say which single rule to relax so that the deck can be laid, and what it then costs.

    No rule is eased more than it must be: first one that is stricter than usual goes back to the usual
    value; then one goes below it, step by step; then a milder rule set; last, without any value of the
    job's own.

    Returns
    -------
    str
        A sentence; "" where the deck is not what stands in the way, or nothing of that helps in the time.
    """
    try:
        if not problem.surfaces or _takes(problem, variants) is not None:
            return ""
    except Unanswered:
        return ""
    for attempt in _attempts(job, is_metric(panel_sizes(job, variants.book))):
        ways = [way for steps in attempt if (way := _first(steps, variants)) is not None]
        if ways:
            return _told(min(ways, key=lambda way: (way.takes.cost or 0, way.takes.pieces)))
    return ""


def _told(way: _Way) -> str:
    key, value = way.change
    done = "without the job's own rule values" if key == "rule" else f"with {key} = {toml(value)} in the job"
    sheets = f"{way.takes.pieces} sheet{'s' * (way.takes.pieces != 1)}"
    money = "" if way.takes.cost is None else f" for {format_cents(way.takes.cost)}"
    return f"{done} the deck takes {sheets}{money}"


def _takes(problem: Problem, variants: Variants) -> Purchase | None:
    deck = deck_of(problem)
    try:
        return purchase(variants.plan(deck), deck.stocks)
    except NoPlan:
        return None


def _first(steps: Sequence[Change], variants: Variants) -> _Way | None:
    """Give the first of these changes under which the deck can be laid."""
    for key, value in steps:
        try:
            changed = variants.take_off(key, value)
            takes = _takes(changed.problem(variants.book.stocks()), variants)
        except (InputError, Unanswered):
            continue
        if takes is not None:
            return _Way((key, value), takes)
    return None


def _attempts(job: Job, metric: bool) -> Iterator[list[list[Change]]]:
    """Give what to try, the least relaxation first; steps of one list ease the same rule more and more."""
    rules = rules_of(job, metric)
    usual = rules_of(job.model_copy(update={"rules": "usual", "rule": RuleTable.model_validate({})}), metric)
    unit: TapeUnit = "mm" if metric or job.tape == "mm" else "in"
    yield [[step] for step in _back(rules, usual, unit)]
    yield list(_below(rules, usual, unit))
    yield [[("rules", milder)] for milder in reversed(STRICTNESS[: STRICTNESS.index(rules.name)])]
    yield [[("rule", {})]]


def _length(length: int, unit: TapeUnit) -> str:
    return f"{as_number(length, unit)} {unit}"


def _back(rules: RuleSet, usual: RuleSet, unit: TapeUnit) -> Iterator[Change]:
    """Take every rule that is stricter than usual back to the usual value."""
    for name in ("supports", "rake_bays"):
        value = getattr(usual, name).value
        if value < getattr(rules, name).value:
            yield f"rule.{name}", value
    for name in _LENGTHS:
        value = getattr(usual, name).value
        if value < getattr(rules, name).value:
            yield f"rule.{name}", _length(value, unit)


def _below(rules: RuleSet, usual: RuleSet, unit: TapeUnit) -> Iterator[list[Change]]:
    """Ease every rule below its usual value, each by steps that builders do take."""
    if rules.supports.value > 2:
        yield [("rule.supports", 2)]
    for name in _LENGTHS:
        least = min(getattr(rules, name).value, getattr(usual, name).value)
        eased = [getattr(usual, name).value * part // whole for part, whole in _PARTS[name]]
        yield [(f"rule.{name}", _length(value, unit)) for value in eased if value < least]
    if rules.rake_bays.value:
        yield [("rule.rake_bays", 0)]
    if not rules.barge_bears.value:
        yield [("rule.barge_bears", True)]
