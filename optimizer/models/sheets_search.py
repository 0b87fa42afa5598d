"""Good plans fast: dive from the pattern LP, then let branch and cut choose from all patterns seen."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from optimizer.models.sheets_cuts import prune
from optimizer.models.sheets_master import Master
from optimizer.models.sheets_pricing import Frame
from optimizer.models.sheets_trees import Pattern, Tree, join

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt

    Floats = npt.NDArray[np.float64]

__all__ = ["dive", "fill", "used_sheets"]


def used_sheets(sheets: int, patterns: Sequence[Pattern]) -> list[int]:
    """Count the pieces of each sheet that patterns use."""
    used = [0] * sheets
    for pattern in patterns:
        used[pattern.sheet] += 1
    return used


def dive(master: Master, purchase: Sequence[int] | None = None) -> list[Pattern] | None:
    """
    Fix the LP's whole patterns, else its largest fraction, and ask again for what is left.

    Parameters
    ----------
    purchase
        Pieces of each sheet that may be used, at no cost; without it, whatever is cheapest.

    Returns
    -------
    A plan, or None if the purchase didn't suffice or time ran out. Its patterns join the pool either way.
    """
    question = master.question
    costs = master.piece_costs() if purchase is None else [0] * len(question.sheets)
    limits = [s.limit for s in question.sheets] if purchase is None else list(purchase)
    unmet = 10 * (max(costs) + 1)
    left = list(question.counts)
    plan: list[Pattern] = []
    while any(left):
        relaxed, _ = master.relax(costs, limits, unmet, left, rounds=12)
        if relaxed is None:
            return None
        shares = list(zip(relaxed.values, list(master.pool), strict=False))
        whole = [(p, int(x + 1e-6)) for x, p in shares if x > 1 - 1e-6]
        if not whole:
            share, pattern = max(shares, key=lambda pair: pair[0], default=(0.0, None))
            if pattern is None or share < 1e-6:
                return None
            whole = [(pattern, 1)]
        for pattern, n in whole:
            for _ in range(n):
                limit = limits[pattern.sheet]
                made = master.pool[pattern]
                if limit == 0 or not any(min(m, x) for m, x in zip(made, left, strict=True)):
                    break
                plan.append(pattern)
                left = [max(0, x - m) for x, m in zip(left, made, strict=True)]
                if limit is not None:
                    limits[pattern.sheet] = limit - 1
    return plan


def fill(
    frame: Frame, sheet: int, values: Floats, left: Sequence[int]
) -> tuple[Pattern, tuple[int, ...]] | None:
    """
    Build a pattern of high value that holds no more of an item than is left.

    Returns
    -------
    The pattern and what is left after it; None if nothing fits.
    """
    room = frame.cross(frame.question.sheets[sheet])
    rest = list(left)
    strips: list[Tree] = []
    while room > 0 and any(rest):
        strip = _next_strips(frame.price(values, rest).fill(sheet, room), rest)
        if not strip:
            break
        strips += strip
        room -= sum(t.across if frame.first == "rip" else t.along for t in strip)
    if not strips:
        return None
    return Pattern(sheet, join(frame.first, strips)), tuple(rest)


def _next_strips(proposed: Sequence[Tree], rest: list[int]) -> list[Tree]:
    """Take the proposed strips that hold nothing surplus, else the first without its surplus."""
    taken = []
    for tree in proposed:
        before = list(rest)
        kept = prune(tree, rest)
        if kept == tree:
            taken.append(tree)
        else:
            rest[:] = before
    if not taken and proposed:
        kept = prune(proposed[0], rest)
        return [] if kept is None else [kept]
    return taken
