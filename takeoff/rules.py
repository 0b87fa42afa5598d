"""The rules of the trade for a roof deck, as data: each value with who says so."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from typing import Any, Literal

from optimizer.lengths import INCH, MILLIMETRE
from takeoff.job import Job

__all__ = ["METRIC_GAP", "RULE_SETS", "RuleSet", "Ruling", "rules_of"]

RuleName = Literal["usual", "lean", "windy"]

_PRACTICE = "common practice, no source"
_GAP = "APA builder tip on panel spacing; FEMA fact sheet 18"
_NAILS = "FEMA P-55 p. 9-6; APA E30V Table 32"
_NARROW = "TECO technical tip on narrow-width roof sheathing; IRC Table R503.2.1.1(1) note c"
_OVERHANG = "NAVEDTRA 14044, roof construction: three or more rafter spaces"


@dataclass(frozen=True, slots=True)
class Ruling:
    """One value of one rule (base units, a number, or 0 and 1 for no and yes), and who says so."""

    value: int
    source: str


@dataclass(frozen=True, slots=True)
class RuleSet:
    """
    How a deck must be laid.

    Parameters
    ----------
    supports
        Rafters under every piece, those under its ends included.
    stagger
        From a seam to the seams of a neighbouring course.
    shortest, narrowest
        Least length of a piece and width of a course, measured with one gap.
    blocked_below
        A course narrower than this has blocking along both its long edges; 0: never.
    gap
        Between panels, in both directions.
    end_slack, ridge_slack
        How far a course may stop short of a rake, and the last course of the ridge.
    rake_bays
        Bays inside the gable wall that a panel carrying a rake overhang must reach.
    barge_bears
        1 if the barge rafter of an overhanging rake counts as a support.
    edge_nails, field_nails
        Nail spacing along panel ends, and along the rafters in between.
    """

    name: str
    supports: Ruling
    stagger: Ruling
    shortest: Ruling
    narrowest: Ruling
    blocked_below: Ruling
    gap: Ruling
    end_slack: Ruling
    ridge_slack: Ruling
    rake_bays: Ruling
    barge_bears: Ruling
    edge_nails: Ruling
    field_nails: Ruling


METRIC_GAP = Ruling(3 * MILLIMETRE, "APA builder tip on panel spacing (3 mm)")
"""The gap of a job whose panels are all of whole millimetres, unless the job says otherwise."""

_USUAL = RuleSet(
    name="usual",
    supports=Ruling(3, "APA E30V p. 62: the span table assumes three or more supports"),
    stagger=Ruling(24 * INCH, _PRACTICE),
    shortest=Ruling(24 * INCH, _PRACTICE),
    narrowest=Ruling(24 * INCH, _NARROW),
    blocked_below=Ruling(0, _NARROW),
    gap=Ruling(INCH // 8, _GAP),
    end_slack=Ruling(INCH // 4, _PRACTICE),
    ridge_slack=Ruling(INCH // 2, _PRACTICE),
    rake_bays=Ruling(2, f"{_OVERHANG}, the overhang counted as one"),
    barge_bears=Ruling(0, _PRACTICE),
    edge_nails=Ruling(6 * INCH, _NAILS),
    field_nails=Ruling(12 * INCH, _NAILS),
)

_LEAN = replace(
    _USUAL,
    name="lean",
    supports=Ruling(2, f"{_PRACTICE}; below the three supports the span table assumes (APA E30V p. 62)"),
    narrowest=Ruling(
        12 * INCH, "TECO technical tip on narrow-width roof sheathing, from memory (not re-checked)"
    ),
    blocked_below=Ruling(24 * INCH, "TECO technical tip on narrow-width roof sheathing: edges supported"),
    rake_bays=Ruling(0, _PRACTICE),
    barge_bears=Ruling(1, _PRACTICE),
)

_WINDY = replace(
    _USUAL,
    name="windy",
    stagger=Ruling(48 * INCH, _PRACTICE),
    rake_bays=Ruling(3, f"{_OVERHANG}, counted inside the wall"),
    field_nails=Ruling(
        6 * INCH, "code text for winds over 130 mph, page seen (secondary); here over the whole deck"
    ),
)

RULE_SETS: Mapping[RuleName, RuleSet] = {"usual": _USUAL, "lean": _LEAN, "windy": _WINDY}
"""The rule sets by the word that a job names them with."""


_ROUND_MILLIMETRES: Mapping[int, int] = {
    INCH // 4: 6 * MILLIMETRE,
    INCH // 2: 12 * MILLIMETRE,
    6 * INCH: 150 * MILLIMETRE,
    12 * INCH: 300 * MILLIMETRE,
    24 * INCH: 600 * MILLIMETRE,
    48 * INCH: 1200 * MILLIMETRE,
}
"""What a rule in inches is in a metric job: 24 in of stagger would outrun one bay of 600 mm by a hair."""


def _in_millimetres(ruling: Ruling) -> Ruling:
    value = _ROUND_MILLIMETRES.get(ruling.value)
    return ruling if value is None else Ruling(value, f"{ruling.source}; in round millimetres")


def _metric(rules: RuleSet) -> RuleSet:
    rounded: dict[str, Any] = {
        field.name: _in_millimetres(getattr(rules, field.name))
        for field in fields(RuleSet)
        if field.name != "name"
    }
    return replace(rules, **rounded)


def rules_of(job: Job, metric_panels: bool = False) -> RuleSet:
    """
    Give the rule set a job names, with the single values it changes.

    Parameters
    ----------
    metric_panels
        True if every size of the deck panel is of whole millimetres: the gap is then 3 mm, and every other
        length of the rules a round one, as it is where the job itself is metric.
    """
    rules = RULE_SETS[job.rules]
    if metric_panels or job.tape == "mm":
        rules = _metric(rules)
    if metric_panels:
        rules = replace(rules, gap=METRIC_GAP)
    changed: dict[str, Any] = {
        field.name: Ruling(int(value), f"this job: [rule] {field.name}")
        for field in fields(RuleSet)
        if (value := getattr(job.rule, field.name, None)) is not None
    }
    return replace(rules, **changed)
