"""The rule sets: nested as their names promise, every value sourced, every value open to change."""

from __future__ import annotations

from dataclasses import fields

import pytest
from small_jobs import job_of

from optimizer.lengths import INCH, MILLIMETRE
from takeoff.rules import RULE_SETS, RuleSet, Ruling, rules_of

RULED = [field.name for field in fields(RuleSet) if field.name != "name"]


@pytest.mark.parametrize("name", ["usual", "lean", "windy"])
@pytest.mark.parametrize("rule", RULED)
def test_every_value_names_its_source(name: str, rule: str):
    """No rule stands without somebody who says so."""
    ruling: Ruling = getattr(RULE_SETS[name], rule)

    assert len(ruling.source) > 10


@pytest.mark.parametrize(("looser", "stricter"), [("lean", "usual"), ("usual", "windy")])
@pytest.mark.parametrize("rule", ["supports", "stagger", "shortest", "narrowest", "rake_bays"])
def test_each_set_asks_at_least_what_the_looser_one_asks(looser: str, stricter: str, rule: str):
    """Whatever windy lets through passes usual, and whatever usual lets through passes lean."""
    assert getattr(RULE_SETS[looser], rule).value <= getattr(RULE_SETS[stricter], rule).value


def test_windy_lets_through_what_usual_lets_through():
    """A shortest piece of 48 in besides a stagger of 48 in would leave most roofs of 8 ft sheets undecked."""
    assert RULE_SETS["windy"].shortest == RULE_SETS["usual"].shortest


def test_metric_panels_are_laid_with_a_3_mm_gap_unless_the_job_says_otherwise():
    """The gap follows the sheets; a gap in the job wins over both."""
    assert rules_of(job_of(), metric_panels=True).gap.value == 3 * MILLIMETRE
    assert rules_of(job_of()).gap.value == INCH // 8
    assert rules_of(job_of(rule={"gap": "0 in"}), metric_panels=True).gap.value == 0


def test_a_metric_job_is_held_to_round_millimetres():
    """Two bays of 600 mm are 1200 mm, not 48 in: in a metric job the rules are round, and say so."""
    windy = rules_of(job_of(rules="windy", length="4.88 m", width="3 m"))

    assert windy.stagger.value == 1200 * MILLIMETRE
    assert windy.narrowest.value == 600 * MILLIMETRE
    assert windy.stagger.source.endswith("in round millimetres")
    assert windy.gap.value == INCH // 8
    assert rules_of(job_of(), metric_panels=True).stagger.value == 600 * MILLIMETRE
    assert rules_of(job_of(rules="windy")).stagger.value == 48 * INCH


@pytest.mark.parametrize("name", ["usual", "lean", "windy"])
def test_no_length_of_a_rule_stays_in_odd_millimetres(name: str):
    """Every length of every set, gap included, is a whole number of millimetres once metric."""
    rules = rules_of(job_of(rules=name), metric_panels=True)
    values = [getattr(rules, rule).value for rule in RULED]

    assert [value for value in values if value > 100 and value % MILLIMETRE] == []


@pytest.mark.parametrize("rule", RULED)
def test_every_value_can_be_changed_by_the_job(rule: str):
    """[rule] takes every rule, and the changed value says that the job is its source."""
    typed = {"supports": 4, "rake_bays": 1, "barge_bears": True}.get(rule, "7 in")

    changed = getattr(rules_of(job_of(rules="windy", rule={rule: typed})), rule)

    assert changed == Ruling(
        {"supports": 4, "rake_bays": 1, "barge_bears": 1}.get(rule, 7 * INCH), changed.source
    )
    assert changed.source == f"this job: [rule] {rule}"
