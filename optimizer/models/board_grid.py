"""
Model 3 where lengths share no large step: solved on a grid, once rounded down and once up.

Pieces rounded down leave room for more patterns than there are: right for a bound. Rounded up they leave
room for fewer: right for a plan. Where the first plan happens to fit as it is, or the two costs agree,
nothing is lost.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import gcd

from optimizer.engine import Clock
from optimizer.models.cutting_stock import Cutting, bars_from, cheapest_cutting

__all__ = ["Boards", "cheapest_boards"]

MOST_POSITIONS = 50_000
MOST_CELLS = 8_000_000
"""Pieces times positions: a pricing round takes some hundredths of a second."""
LEAST_POSITIONS = 10_000

Stocks = Sequence[tuple[int, int | None, int]]


@dataclass(frozen=True, slots=True)
class Boards:
    """
    Single boards: the place of each one's stock, and the lengths cut from it; None if no plan was found.

    `impossible` is True where the bound shows that there can be none.
    """

    boards: tuple[tuple[int, tuple[int, ...]], ...] | None
    cost: int | None
    bound: int
    witnesses: tuple[str, ...]
    impossible: bool = False


def cheapest_boards(
    pieces: Iterable[tuple[int, int]], stocks: Stocks, clock: Clock, second: bool = False
) -> Boards:
    """
    Cut all pieces from the cheapest stocks.

    Parameters
    ----------
    pieces
        (length, demand), kerf included.
    stocks
        (length with one kerf more, available or None, cost).
    """
    demands: dict[int, int] = {}
    for length, demand in pieces:
        if demand:
            demands[length] = demands.get(length, 0) + demand
    longest = max(length for length, _, _ in stocks)
    positions = min(MOST_POSITIONS, max(LEAST_POSITIONS, MOST_CELLS // len(demands)))
    common = gcd(*demands)
    exact = longest // common <= MOST_POSITIONS
    grid = common if exact else longest // positions
    down, boards = _solved(
        demands, stocks, grid, False, clock if exact else clock.share(clock.left() / 2), second
    )
    if boards is None and not exact:
        up, boards = _solved(demands, stocks, grid, True, clock, second, down.bound)
        return _answer(boards, stocks, down, up.cost)
    return _answer(boards, stocks, down, down.cost)


def _answer(
    boards: tuple[tuple[int, tuple[int, ...]], ...] | None, stocks: Stocks, down: Cutting, cost: int | None
) -> Boards:
    impossible = down.uses is None and down.impossible
    return Boards(boards, cost if boards else None, down.bound, down.witnesses, impossible)


def _solved(
    demands: dict[int, int],
    stocks: Stocks,
    grid: int,
    up: bool,
    clock: Clock,
    second: bool,
    bound: int = 0,
) -> tuple[Cutting, tuple[tuple[int, tuple[int, ...]], ...] | None]:
    """Solve on a grid; the boards are None if they do not fit with their true lengths."""
    rounded = {length: -(-length // grid) if up else length // grid for length in demands}
    bars, kept = bars_from(
        [(rounded[length], demand) for length, demand in demands.items()],
        [(length // grid, limit, cost) for length, limit, cost in stocks],
    )
    cutting = cheapest_cutting(bars, clock, second, bound)
    if cutting.uses is None:
        return cutting, None
    step = gcd(*rounded.values())
    waiting: dict[int, list[int]] = {}
    for length, demand in sorted(demands.items(), reverse=True):
        waiting.setdefault(rounded[length] // step, []).extend([length] * demand)
    boards = []
    for pattern, times in cutting.uses:
        for _ in range(times):
            lengths: list[int] = []
            for place, count in pattern.counts:
                queue = waiting[bars.sizes[place]]
                lengths += queue[:count]
                del queue[:count]
            if sum(lengths) > stocks[kept[pattern.bar]][0]:
                return cutting, None
            boards.append((kept[pattern.bar], tuple(lengths)))
    return cutting, tuple(boards)
