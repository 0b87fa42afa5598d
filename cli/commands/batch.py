"""`seamwise batch`: every job of a directory, several at once."""

from __future__ import annotations

import json
import sys
from argparse import Namespace
from collections.abc import Sequence
from pathlib import Path

from rich.console import Console

from cli.batch import Row, jobs_in, plan_all, solvers
from cli.files import csv_text, print_out, standard_output, write_files
from cli.paper import paper_for
from cli.plan_json import in_units
from cli.sections.batch import print_batch
from cli.site.overview import overview_html
from cli.solving import StatusLine
from optimizer.errors import Bug, InputError, SeamwiseError, TimeUp
from optimizer.lengths import as_number

__all__ = ["run"]


def run(arguments: Namespace) -> None:
    """Plan all, print a line for each, and write each into a folder of its own."""
    folder = Path(arguments.folder)
    jobs = jobs_in(folder)
    out = None if arguments.out is None else Path(arguments.out)
    line, counted = StatusLine(), [0]

    def done(row: Row, texts: dict[str, str]) -> None:
        if out is not None and texts:
            write_files(out / Path(row.job).stem, texts)
        counted[0] += 1
        line.show(f"{counted[0]} of {len(jobs)} jobs done, {row.job} the last")
        for fault in row.faults:
            print(f"seamwise: {row.job}: left out of its report for a fault: {fault}", file=sys.stderr)

    try:
        with solvers(arguments.workers, arguments.cluster) as executor:
            rows = plan_all(jobs, arguments.seconds, executor, done)
    finally:
        line.clear()
    if out is not None:
        write_files(out, {"jobs.csv": _as_csv(rows), "index.html": overview_html(rows)})
    if arguments.json:
        print_out(_as_json(rows))
    else:
        console = Console(highlight=False)
        with standard_output(), console.capture() as printed:
            print_batch(rows, paper_for(console, rows[0].unit))
        print_out(printed.get())
        if out is not None:
            print_out(f"\nWrote {out / 'index.html'}, {out / 'jobs.csv'} and a folder for each job\n")
    _complain(rows, str(folder))


def _complain(rows: Sequence[Row], folder: str) -> None:
    """End with the exit code of the worst that happened to a job."""
    failed = [row for row in rows if row.error is not None]
    if not failed:
        return
    names = ", ".join(row.job for row in failed)
    told = f"{len(failed)} of {len(rows)} jobs not planned: {names}"
    if any(isinstance(row.error, Bug) for row in failed):
        raise Bug(told)
    if all(isinstance(row.error, TimeUp) for row in failed):
        raise TimeUp(told)
    raise InputError(told, folder)


def _as_csv(rows: Sequence[Row]) -> str:
    header = ("job", "title", "length", "width", "unit", "total", "currency", "pieces", "weight_kg", "proved")
    return csv_text(
        (*header, "reason"),
        [
            (
                row.job,
                row.title,
                as_number(row.length, row.unit) if row.length else None,
                as_number(row.width, row.unit) if row.width else None,
                row.unit if row.length else None,
                None if row.total is None else f"{row.total / 100:.2f}",
                row.currency,
                row.pieces or None,
                round(row.weight / 1000, 3) if row.weight else None,
                None if row.error else "yes" if row.proved else "no",
                row.error,
            )
            for row in rows
        ],
    )


def _as_json(rows: Sequence[Row]) -> str:
    whole = {
        "format": "seamwise-batch/1",
        "jobs": [
            {
                "job": row.job,
                "title": row.title,
                "unit": row.unit,
                "length": as_number(row.length, row.unit),
                "width": as_number(row.width, row.unit),
                "currency": row.currency,
                "total": in_units(row.total),
                "pieces": row.pieces,
                "weight_kg": row.weight / 1000,
                "proved": row.proved,
                "reason": _reason(row.error),
            }
            for row in rows
        ],
    }
    return json.dumps(whole, indent=2, ensure_ascii=False) + "\n"


def _reason(error: SeamwiseError | None) -> str:
    return "" if error is None else str(error)
