"""One job planned and studied, and the files that come of it."""

from __future__ import annotations

import time
from collections.abc import Sequence
from typing import Literal

from cli.bill import add_up
from cli.carry_cost import with_carry_costs
from cli.loading import Loaded, question, taken_off
from cli.plan_json import as_json, buy_csv, cut_csv
from cli.relax import advice
from cli.report import Report
from cli.site.page import site_html
from cli.solving import finish_or_stop
from cli.study import Study, study_plan
from cli.variants import Variants
from optimizer.engine import Clock
from optimizer.errors import NoPlan, TimeUp
from optimizer.plan import Plan
from optimizer.solve import cheapest_plan
from optimizer.words import Problem
from takeoff.needs import Takeoff

__all__ = ["files_of", "planned_report"]


def planned_report(loaded: Loaded, clock: Clock) -> tuple[Report, Sequence[str]]:
    """
    Take off, plan, study; Ctrl-C ends whichever of the last two is at work.

    Returns
    -------
    tuple
        The report, and what was left out of it for a fault of this program's own.

    Raises
    ------
    InputError, NoPlan
        If the job can't be built as it is, or no plan was found; says why.
    """
    began = time.monotonic()
    book = loaded.prices.book
    takeoff = taken_off(loaded)
    problem = question(loaded, takeoff)
    plan, stopped = finish_or_stop(lambda: _plan(loaded, problem, clock), clock)
    late = clock.fences > 0
    study, ended = finish_or_stop(lambda: _study(loaded, takeoff, plan, clock), clock)
    report = Report(
        takeoff=with_carry_costs(takeoff, dict(study.carry_costs)),
        book=book,
        problem=problem,
        plan=plan,
        bill=add_up(plan, book, loaded.job.tax_percent, problem.spare),
        comparisons=study.comparisons,
        rule_costs=study.rule_costs,
        trials=study.trials,
        limits=study.limits,
        stopped=stopped,
        cut_short=_cut_short(late or stopped, study.late or ended or stopped),
        priced=plan.total is not None,
        remark=loaded.prices.remark,
        seconds=time.monotonic() - began,
    )
    return report, study.faults


def files_of(report: Report) -> dict[str, str]:
    """Give what is written into a job's folder, by file name."""
    return {
        "plan.json": as_json(report),
        "buy.csv": buy_csv(report.bill, report.book.currency),
        "cut.csv": cut_csv(report.plan.cut, report.takeoff.unit, report.problem.stocks),
        "site.html": site_html(report),
    }


def _plan(loaded: Loaded, problem: Problem, clock: Clock) -> Plan:
    """Plan; where the rules allow none, say which rule to relax."""
    try:
        return cheapest_plan(problem, clock)
    except TimeUp:
        raise
    except NoPlan as error:
        book = loaded.prices.book
        variants = Variants(loaded.source.data, loaded.source.name, book, clock, clock.left() / 10)
        relaxed = advice(problem, loaded.job, variants)
        raise NoPlan(f"{error}; {relaxed}" if relaxed else str(error)) from None


def _cut_short(plan: bool, study: bool) -> tuple[Literal["plan", "study"], ...]:
    return (*(("plan",) if plan else ()), *(("study",) if study else ()))


def _study(loaded: Loaded, takeoff: Takeoff, plan: Plan, clock: Clock) -> Study:
    source, book = loaded.source, loaded.prices.book
    return study_plan(source.data, source.name, loaded.job.rules, book, takeoff, plan, clock)
