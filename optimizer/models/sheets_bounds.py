"""
Bounds on the number of equal sheets by dual feasible functions, in exact integers.

A function f of a length is dual feasible if it keeps every row that fits a side s within f(s). With f along
the sheet and g across it, the sum of f(length) g(width) over all pieces is at most f(s) g(t) a sheet, for
guillotine cuts and for any other packing. A piece that may turn counts with the way that gives less.

Notes
-----
The families are those of Fekete and Schepers (Mathematical Programming 91, 2001) and of Carlier, Clautiaux
and Moukrim (Computers and Operations Research 34, 2007), from memory.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from optimizer.models.sheets_question import Question

__all__ = ["sheets_needed"]

Wholes = npt.NDArray[np.int64]

MOST_THRESHOLDS = 400
"""Beyond so many whole lengths only those that a piece's size makes interesting are tried as thresholds."""


def sheets_needed(question: Question) -> int:
    """
    Give how many sheets are needed at least; all sheets must be of one size.

    Examples
    --------
    >>> from optimizer.models.sheets_question import Item, Sheet
    >>> sheets_needed(Question((Sheet(10, 10, 1),), (Item(6, 6, 3),)))
    3
    """
    sheet = question.sheets[0]
    lengths = np.array([i.length for i in question.items], dtype=np.int64)
    widths = np.array([i.width or sheet.width for i in question.items], dtype=np.int64)
    turns = (
        np.array([i.may_turn for i in question.items]) & (lengths <= sheet.width) & (widths <= sheet.length)
    )
    upright = (lengths <= sheet.length) & (widths <= sheet.width)
    counts = np.array(question.counts, dtype=np.int64)
    along = _functions(sheet.length, np.concatenate([lengths, widths]))
    across = _functions(sheet.width, np.concatenate([lengths, widths]))
    tables = np.array([g for g, _ in across])
    wholes = np.array([whole for _, whole in across], dtype=np.int64)
    best = 0
    for f, whole in along:
        straight = np.where(upright, f[lengths * upright] * tables[:, widths * upright], NEVER)
        turned = np.where(turns, f[widths * turns] * tables[:, lengths * turns], NEVER)
        totals = np.minimum(straight, turned) @ counts
        best = max(best, int((-(-totals // (whole * wholes))).max()))
    return best


NEVER = np.iinfo(np.int64).max


def _functions(side: int, sizes: Wholes) -> list[tuple[Wholes, int]]:
    """Tabulate dual feasible functions of all lengths up to a side, with their value at the side."""
    x = np.arange(side + 1)
    inside = sizes[sizes <= side]
    if side <= MOST_THRESHOLDS:
        thresholds = np.arange(1, side // 2 + 1)
    else:
        near = np.concatenate([inside, side - inside, inside + 1, side - inside + 1])
        thresholds = np.unique(near[(near >= 1) & (near <= side // 2)])
    found: dict[tuple[tuple[int, ...], int], tuple[Wholes, int]] = {}

    def keep(values: Wholes, whole: int) -> None:
        part = np.gcd(int(np.gcd.reduce(values)), whole)
        key = tuple((values[np.unique(inside)] // part).tolist()), int(whole // part)
        found.setdefault(key, (values // part, int(whole // part)))

    keep(x, side)
    for k in thresholds.tolist():
        keep(np.where(x > side - k, side, np.where(x < k, 0, x)), side)
        rounded = np.where(2 * x > side, 2 * (side // k - (side - x) // k), 2 * (x // k))
        keep(np.where(2 * x == side, side // k, rounded), 2 * (side // k))
    for k in range(2, 100):
        shares = (k + 1) * x
        keep(np.where(shares % side == 0, x * k, shares // side * side), side * k)
    return list(found.values())
