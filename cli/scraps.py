"""Where the report draws the line between an offcut for the rack and a scrap for the stove."""

from __future__ import annotations

from optimizer.lengths import INCH
from optimizer.plan import Leftover

__all__ = ["LEAST_LENGTH", "LEAST_WIDTH", "worth_keeping"]

LEAST_LENGTH = 12 * INCH
"""The longer side of an offcut that is listed; the plan's file has them all."""

LEAST_WIDTH = 3 * INCH // 2
"""Its shorter side, where it has one: a stop or a cleat can still be got from it."""


def worth_keeping(rest: Leftover) -> bool:
    """Tell an offcut from a scrap; metal and seals, which have no width, go by their length."""
    sides = (rest.length, rest.width) if rest.width else (rest.length, LEAST_WIDTH)
    return max(sides) >= LEAST_LENGTH and min(sides) >= LEAST_WIDTH
