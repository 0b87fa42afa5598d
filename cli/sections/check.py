"""Check: what was assumed, which rules were held against the building, and how to work safely."""

from __future__ import annotations

from collections import Counter
from typing import assert_never

from cli.paper import Paper
from cli.report import Report, Trial
from takeoff.needs import Check, Level

__all__ = ["print_check"]

_DECIDES = (
    "The local building department and licensed practice, not this plan. What a maker prints on a product "
    "comes before any line here."
)
_CHECKED = (
    "Before it was printed, this plan was checked again from the dimensions alone: every course covered "
    "once, every seam where the rules allow it, every piece cut by real saw cuts from a real piece of stock, "
    "every amount added up afresh."
)


_PRACTICE = "common practice, no source"


def _source(source: str) -> str:
    """Shorten the commonest source, which the heading of the rules explains."""
    return source.replace(_PRACTICE, "practice")


def _mark(level: Level) -> str:
    match level:
        case "pass":
            return "ok"
        case "note":
            return "note"
        case "warn":
            return "WARN"
        case "fail":
            return "FAIL"
    assert_never(level)


def _assumed(trials: tuple[Trial, ...], paper: Paper) -> None:
    if not trials:
        return
    paper.heading("Assumed", "because the job does not say; * changes what you buy")
    for trial in sorted(trials, key=lambda trial: not trial.changes):
        told = trial.assumption.message
        if trial.changes:
            told = f"{told.rstrip('.')}. With {trial.alternative}: {trial.effect}"
        elif trial.changes is None and trial.effect:
            told = f"{told.rstrip('.')} (with {trial.alternative}: {trial.effect})"
        paper.point("*" if trial.changes else "-", f"{told}  [{trial.assumption.key}]")


def _rules(checks: tuple[Check, ...], paper: Paper) -> None:
    if not checks:
        return
    order: dict[Level, int] = {"fail": 0, "warn": 1, "note": 2, "pass": 3}
    counts = Counter(check.level for check in checks)
    told = f"{counts['pass']} passed, {counts['fail']} failed"
    if counts["warn"]:
        told += f", {counts['warn']} warning{'s' * (counts['warn'] > 1)}"
    if counts["note"]:
        told += f", {counts['note']} to note"
    if any(_PRACTICE in check.source for check in checks):
        told += f"; (practice) stands for {_PRACTICE}"
    paper.heading("Rules", told)
    for check in sorted(checks, key=lambda check: order[check.level]):
        style = "bold red" if check.level == "fail" else "bold"
        words = f"{check.rule}: {check.message} ({_source(check.source)})"
        paper.point(_mark(check.level), words, style=style, wide=4)


def print_check(report: Report, paper: Paper) -> None:
    """
    Print assumptions, rules, the order of the work and the cautions.

    Parameters
    ----------
    report
        What is printed.
    paper
        Where it is printed.
    """
    takeoff = report.takeoff
    paper.title("Check")
    _assumed(report.trials, paper)
    _rules(takeoff.checks, paper)
    if takeoff.steps:
        paper.heading("Order of the work on site")
        for number, words in enumerate(takeoff.steps, 1):
            paper.point(f"{number}.", words, wide=3)
    if takeoff.cautions:
        paper.heading("Take care")
        for words, source in takeoff.cautions:
            paper.point("!", f"{words} ({_source(source)})" if source else words)
    paper.heading("How this plan was checked")
    paper.say(_CHECKED)
    paper.heading("Who decides")
    paper.say(_DECIDES)
