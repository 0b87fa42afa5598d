"""Where no plan keeps all the rules: which rule to relax, and what the roof then costs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from cli.variants import Purchase, Unanswered, Variants, deck_of, purchase
from optimizer.errors import InputError, NoPlan
from optimizer.lengths import parse_length
from optimizer.money import format_cents
from optimizer.words import Problem
from takeoff.keys import toml
from takeoff.rules import RuleSet

__all__ = ["STRICTNESS", "advice"]


STRICTNESS = ("lean", "usual", "windy")
"""The rule sets, from the least demanding to the most."""


@dataclass(frozen=True, slots=True)
class _Way:
    """A key to write into the job, and what the deck then takes."""

    key: str
    value: object
    takes: Purchase


def advice(problem: Problem, rules: RuleSet, variants: Variants) -> str:
    """
    Say which single rule to relax so that the deck can be laid, and what it then costs.

    Returns
    -------
    str
        A sentence; "" where the deck is not what stands in the way, or no relaxing of one rule or of the
        whole set helps, or time ran out.
    """
    try:
        if not problem.surfaces or _takes(problem, variants) is not None:
            return ""
        ways = list(_ways(_single(rules), variants))
        for milder in _milder(rules):
            ways = ways or list(_ways([("rules", milder)], variants))
    except Unanswered:
        return ""
    if not ways:
        return ""
    best = min(ways, key=lambda way: (way.takes.cost or 0, way.takes.pieces))
    sheets = f"{best.takes.pieces} sheet{'s' * (best.takes.pieces != 1)}"
    money = "" if best.takes.cost is None else f" for {format_cents(best.takes.cost)}"
    return f"with {best.key} = {toml(best.value)} in the job the deck takes {sheets}{money}"


def _takes(problem: Problem, variants: Variants) -> Purchase | None:
    deck = deck_of(problem)
    try:
        return purchase(variants.plan(deck), deck.stocks)
    except NoPlan:
        return None


def _single(rules: RuleSet) -> Iterator[tuple[str, object]]:
    """Give every rule that can be eased, each by one step that builders do take."""
    inch = parse_length("1 in")
    if rules.supports.value > 2:
        yield "rule.supports", 2
    for name, lengths in (("narrowest", (12,)), ("stagger", (24, 16, 12)), ("shortest", (24, 16))):
        value = getattr(rules, name).value
        easier = next((length for length in lengths if length * inch < value), None)
        if easier is not None:
            yield f"rule.{name}", f"{easier} in"
    if rules.rake_bays.value:
        yield "rule.rake_bays", 0
    if not rules.barge_bears.value:
        yield "rule.barge_bears", True


def _milder(rules: RuleSet) -> tuple[str, ...]:
    """Give the rule sets that ask for less, the one that asks for most of them first."""
    return tuple(reversed(STRICTNESS[: STRICTNESS.index(rules.name)]))


def _ways(
    changes: Iterator[tuple[str, object]] | list[tuple[str, object]], variants: Variants
) -> Iterator[_Way]:
    for key, value in changes:
        try:
            changed = variants.take_off(key, value)
        except InputError:
            continue
        takes = _takes(changed.problem(variants.book.stocks()), variants)
        if takes is not None:
            yield _Way(key, value, takes)
