"""Keep: what is left over and worth a place on the rack, largest first."""

from __future__ import annotations

from collections import defaultdict

from cli.paper import Column, Paper
from cli.report import Report
from cli.scraps import LEAST_LENGTH, LEAST_WIDTH, offcuts
from optimizer.plan import Leftover

__all__ = ["print_keep"]


def _order(rest: Leftover) -> tuple[int, int]:
    """Order by area; lengths, which have no width, by length after all that has one."""
    return (-rest.length * max(rest.width, 0), -rest.length)


def print_keep(report: Report, paper: Paper) -> None:
    """
    Print the leftovers by size.

    Parameters
    ----------
    report
        What is printed.
    paper
        Where it is printed.
    """
    paper.title("Keep")
    paper.gap()
    sizes: dict[tuple[str, str], list[Leftover]] = defaultdict(list)
    kept = offcuts(report)
    for rest in sorted(kept, key=_order):
        size = paper.size(rest.length, rest.width) if rest.width else paper.size(rest.length)
        sizes[rest.stock, size].append(rest)
    scraps = sum(rest.repeat for rest in report.plan.keep) - sum(rest.repeat for rest in kept)
    if not sizes:
        paper.say("Nothing worth keeping is left over.")
        return
    rows = []
    for (stock, size), rests in sizes.items():
        cuts = ", ".join(dict.fromkeys(rest.cut for rest in sorted(rests, key=kept.index)))
        rows.append((size, str(sum(rest.repeat for rest in rests)), stock, cuts))
    paper.table(
        [
            Column("Size, along the grain first", right=True),
            Column("Count", right=True),
            Column("Left of", breaks=True),
            Column("Cut", breaks=True),
        ],
        rows,
    )
    if scraps:
        least = f"{paper.size(LEAST_LENGTH)} along the grain or {paper.size(LEAST_WIDTH)} across it"
        paper.say(f"Not listed: {scraps} scrap{'s' * (scraps > 1)}, less than {least}.")
