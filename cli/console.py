"""The report on the console: a summary, then Buy, Cut, Lay, Keep and Check, on plain builder's paper."""

from __future__ import annotations

from rich.console import Console

from cli.paper import Paper, paper_for
from cli.report import Comparison, Report
from cli.sections.buy import print_buy
from cli.sections.check import print_check
from cli.sections.cut import print_cut
from cli.sections.keep import print_keep
from cli.sections.lay import print_lay

__all__ = ["render"]


def _sum(report: Report, paper: Paper) -> str:
    bill = report.bill
    if bill.total is None:
        return "Not priced: the plan buys the fewest pieces."
    with_it = [f"{bill.tax_percent} % tax"] if bill.tax_percent else []
    with_it += ["trips"] if any(trip.each for trip in bill.trips) else []
    taxed = f", {' and '.join(with_it)} included" if with_it else ""
    return f"Everything together: {paper.amount(bill.total)}{taxed}."


def _dimensions(report: Report, paper: Paper) -> list[str]:
    """List the building's dimensions; what all sides have in common is told once."""
    sides = [f"{surface.label}: " for surface in report.problem.surfaces]
    known = dict(report.takeoff.dimensions)
    told: dict[str, None] = {}
    for name, length in known.items():
        side = next((side for side in sides if name.startswith(side)), "")
        what = name.removeprefix(side)
        alike = len(sides) > 1 and all(known.get(other + what) == length for other in sides)
        told[f"{f'{what}, each side' if side and alike else name} {paper.span(length)}"] = None
    return list(told)


def _spared(row: Comparison, paper: Paper) -> str:
    """Say what the plan spares beside another way; empty where it spares nothing."""
    panels = f"{abs(row.saved_pieces):,} panel{'s' * (abs(row.saved_pieces) != 1)}"
    if row.saved is None:
        return f"{panels} fewer" if row.saved_pieces > 0 else ""
    if row.saved <= 0:
        return ""
    count = f", {panels} {'fewer' if row.saved_pieces > 0 else 'more'}" if row.saved_pieces else ""
    return f"{paper.amount(row.saved)} less{count}"


def _summary(report: Report, paper: Paper) -> None:
    """Print the answer before its parts: what it costs, how far that is proved, what it saved."""
    paper.console.print(paper.text(report.takeoff.title, "bold"), highlight=False)
    named = _dimensions(report, paper)
    if named:
        paper.say("; ".join(named) + ".")
    paper.gap()
    proved = "Proved cheapest." if report.priced else "Proved the fewest."
    told = f"{_sum(report, paper)} {proved if report.plan.proved else 'Not proved to the end: see Buy.'}"
    paper.say(told, "bold")
    for row in report.comparisons:
        spared = _spared(row, paper)
        if spared:
            paper.say(f"Beside {row.against}: {spared}.")
    failed = sum(check.level == "fail" for check in report.takeoff.checks)
    if failed:
        paper.say(f"{failed} rule{'s' * (failed > 1)} failed: read Check before you buy.", "bold red")


def render(report: Report, console: Console) -> None:
    """
    Print a report.

    Parameters
    ----------
    report
        Everything it says.
    console
        Where it goes: a terminal of any width, a pipe or a file. Where the encoding has no box characters,
        plain ones stand in for them.
    """
    paper = paper_for(console, report.takeoff.unit, report.book.currency)
    _summary(report, paper)
    print_buy(report, paper)
    print_cut(report, paper)
    print_lay(report, paper)
    print_keep(report, paper)
    print_check(report, paper)
