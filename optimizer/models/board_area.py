"""A bound for ripped parts and parts cut to length together: all their area, bought at the best rate."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from math import ceil

from optimizer.words import Part, Run, Saw, Stock

__all__ = ["area_bound"]


def area_bound(stocks: Sequence[Stock], parts: Sequence[Part], runs: Sequence[Run], saw: Saw) -> int:
    """
    Give what the area of all pieces costs at least; exact, and true for saw cuts of any kind.

    Parameters
    ----------
    stocks
        Of one material; where one has no price every piece of stock counts as 1.

    Notes
    -----
    With one kerf added to both sides of everything, pieces that are sawn apart tile their stock; cuts with a
    wider kerf than the least only lose more. A part that keeps its stock's width counts with the narrowest, a
    slanting part with its length less the slant, a run as if it were one piece.

    Examples
    --------
    Three parts of 4 x 6 and a run of 10 from boards of 10 x 12 at 5: 72 + 120 of 120 each are 1.6 boards.

    >>> board = Stock("b", "pine", "board", 10, 12, price=5)
    >>> part = Part("p", "pine", 4, 6, count=3)
    >>> area_bound([board], [part], [Run("r", "pine", 10, mark="R")], Saw(board=0))
    8
    """
    kerfs = [saw.kerf(stock.kind) for stock in stocks]
    kerf, narrowest = min(kerfs), min(stock.width for stock in stocks)
    wanted = sum(p.count * (p.length - p.slant + kerf) * ((p.width or narrowest) + kerf) for p in parts)
    wanted += sum((run.length + kerf) * (narrowest + kerf) for run in runs)
    priced = all(stock.price is not None for stock in stocks)
    rates = []
    if not all(stock.length + kerf and stock.width + kerf for stock in stocks):
        return 0
    for stock in stocks:
        prices = [stock.price or 0, *(price for _, price in stock.breaks)] if priced else [stock.pack]
        area = (stock.length + kerf) * (stock.width + kerf)
        rates.append(Fraction(min(prices), stock.pack * area))
    return ceil(wanted * min(rates))
