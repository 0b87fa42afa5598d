"""Batch: a line for every job, and why some have no plan."""

from __future__ import annotations

from collections.abc import Sequence

from cli.batch import Row
from cli.paper import Column, Paper
from optimizer.lengths import FOOT, size_text
from optimizer.money import format_cents

__all__ = ["extent", "how_far", "print_batch"]


def extent(row: Row) -> str:
    """
    Write length and width of a building, in feet where both are whole feet.

    Examples
    --------
    >>> extent(Row("a.toml", length=16 * FOOT, width=10 * FOOT))
    '16 x 10 ft'
    >>> extent(Row("b.toml", length=16 * FOOT, width=21 * FOOT // 2))
    '192 x 126 in'
    """
    if row.unit == "in" and not row.length % FOOT and not row.width % FOOT:
        return f"{row.length // FOOT} x {row.width // FOOT} ft"
    return size_text(row.unit, row.length, row.width)


def how_far(row: Row) -> str:
    """
    Say in a word or two how far a job's purchase is proved.

    Examples
    --------
    >>> how_far(Row("a.toml", proved=True)), how_far(Row("a.toml", gap=0.42)), how_far(Row("a.toml"))
    ('proved', 'within 0.4 %', 'not all')
    """
    if row.proved:
        return "proved"
    return "not all" if row.gap is None else f"within {row.gap:.1f} %"


def print_batch(rows: Sequence[Row], paper: Paper) -> None:
    """
    Print a table of all jobs that have a plan, then the others with their reasons.

    Parameters
    ----------
    rows
        One for each job.
    paper
        Where it is printed.
    """
    planned = [row for row in rows if row.error is None]
    paper.title("Jobs")
    if planned:
        paper.gap()
        paper.table(
            [
                Column("Job", breaks=True),
                Column("Length x width"),
                Column("Total", right=True),
                Column("Pieces", right=True),
                Column("Weight", right=True),
                Column("Cheapest"),
            ],
            [
                (
                    row.job.removesuffix(".toml"),
                    extent(row),
                    f"{format_cents(row.total)} {row.currency}".strip()
                    if row.total is not None
                    else "not priced",
                    f"{row.pieces:,}",
                    paper.weight(row.weight) if row.weight else "",
                    how_far(row),
                )
                for row in planned
            ],
        )
    for row in rows:
        if row.error is not None:
            paper.heading(row.job, "no plan")
            reason = str(row.error)
            paper.say(reason if reason[-1:] in ".?" else f"{reason}.")
