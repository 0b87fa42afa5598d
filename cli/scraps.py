"""Where the report draws the line between an offcut for the rack and a scrap for the stove."""

from __future__ import annotations

from cli.report import Report
from optimizer.lengths import INCH
from optimizer.plan import Leftover
from optimizer.words import Kind

__all__ = ["LEAST_LENGTH", "LEAST_WIDTH", "offcuts"]

LEAST_LENGTH = 12 * INCH
"""What an offcut that is listed measures along the grain."""

LEAST_WIDTH = 3 * INCH // 2
"""What a sheet's or a board's measures across the grain: a stop or a cleat can still be got from it."""


def offcuts(report: Report) -> tuple[Leftover, ...]:
    """Give the leftovers that are worth a place on the rack, in saw order; metal and seals go by length."""
    kinds: dict[str, Kind] = {stock.key: stock.kind for stock in report.problem.stocks}
    return tuple(
        rest
        for rest in report.plan.keep
        if rest.length >= LEAST_LENGTH
        and (rest.width >= LEAST_WIDTH or kinds.get(rest.stock) in ("stick", "roll"))
    )
