"""`seamwise plan`: the main job."""

from __future__ import annotations

import sys
import time
from argparse import Namespace
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from rich.console import Console

from cli.bill import add_up
from cli.console import render
from cli.earlier_plan import read_plan
from cli.files import print_out, standard_output, write_files
from cli.loading import Loaded, load, question, taken_off
from cli.options import swapped
from cli.plan_json import as_json
from cli.planning import files_of, planned_report
from cli.report import Report
from cli.so_far import done_of, in_hand, left_to_do, record, unused
from cli.solving import ProgressLine, finish_or_stop
from optimizer.engine import Clock
from optimizer.errors import InputError
from optimizer.plan import Plan
from optimizer.solve import cheapest_plan

__all__ = ["run"]


def run(arguments: Namespace) -> None:
    """Plan, then print, write, or both."""
    loaded = load(arguments)
    if arguments.so_far is not None:
        report = _rest(loaded, arguments)
    else:
        _nothing_done(arguments)
        report = _report(loaded, arguments.seconds)
    written: tuple[Path, ...] = ()
    if arguments.out is not None:
        written = write_files(Path(arguments.out), files_of(report))
    if arguments.json:
        print_out(as_json(report))
        return
    console = Console(highlight=False)
    with standard_output(), console.capture() as printed:
        render(report, console)
    print_out(printed.get())
    if written:
        print_out(f"\nWrote {', '.join(map(str, written))}\n")


def _report(loaded: Loaded, seconds: float) -> Report:
    line = ProgressLine(loaded.prices.book.stocks(), seconds)
    try:
        report, faults = planned_report(loaded, Clock(seconds, watch=line))
    finally:
        line.clear()
    for fault in faults:
        sentence = f"left out of the report for a fault of seamwise, please report it with the job: {fault}"
        print(f"seamwise: {sentence}", file=sys.stderr)
    return report


def _nothing_done(arguments: Namespace) -> None:
    for name in ("laid", "cut", "spoilt", "changed"):
        if getattr(arguments, name):
            raise InputError(f"--{name} goes with --so-far, the plan it is about", "command line")


def _rest(loaded: Loaded, arguments: Namespace) -> Report:
    """Plan what is left to do, with what is in hand first."""
    began = time.monotonic()
    earlier = read_plan(arguments.so_far)
    named = (_names(each) for each in (arguments.laid, arguments.cut, arguments.spoilt))
    done = done_of(earlier, *named)
    changed = (*(earlier.done.changed if earlier.done else ()), *(arguments.changed or ()))
    for change in changed:
        loaded = swapped(loaded, change, "--changed")
    takeoff = taken_off(loaded)
    prices = loaded.prices.book
    sold = replace(prices, items=tuple(item for item in prices.items if not item.from_rack))
    hand = in_hand(earlier, done, prices)
    book = replace(sold, items=(*hand, *sold.items))
    whole = question(loaded, takeoff)
    problem = replace(left_to_do(whole, earlier, done, book.stocks()), yards=(), load=None)
    line = ProgressLine(problem.stocks, arguments.seconds)
    clock = Clock(arguments.seconds, watch=line)
    try:
        plan, stopped = finish_or_stop(lambda: cheapest_plan(problem, clock), clock)
    finally:
        line.clear()
    return Report(
        takeoff=replace(takeoff, measure=(), spare=()),
        book=book,
        problem=problem,
        plan=plan,
        bill=add_up(plan, book, loaded.job.tax_percent),
        stopped=stopped,
        cut_short=("plan",) if stopped or clock.fences else (),
        priced=plan.total is not None,
        remark=_trip(plan, unused(earlier, done)),
        seconds=time.monotonic() - began,
        done=record(earlier, done, whole, hand, changed),
    )


def _names(typed: list[str] | None) -> list[str]:
    return [name.strip() for words in typed or () for name in words.split(",") if name.strip()]


def _trip(plan: Plan, odd: Sequence[str]) -> str:
    """Say whether what is in hand is enough, and what of it was not counted."""
    if any(bought.count and not bought.from_rack for bought in plan.buy):
        told = (
            "Another trip is needed, for what is not from the rack; all that is in hand counts as the rack."
        )
    else:
        told = "No other trip is needed: what is in hand, listed as from the rack, is enough."
    if odd:
        told += (
            f" Cut, but cut again here, for their shape fits one place only: {', '.join(odd)}. Where such a "
            "course or panel will be laid as it was planned, name all of it with --laid as well."
        )
    return told
