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
FINER = 4
"""How many positions of the next grid are one of the last."""
MOST_FINE_CELLS = 50_000_000

_Plan = tuple[tuple[int, tuple[int, ...]], ...]
Stocks = Sequence[tuple[int, int | None, int]]


@dataclass(frozen=True, slots=True)
class Boards:
    """
    Single boards: the place of each one's stock, and the lengths cut from it; None if no plan was found.

    `impossible` is True where the bound shows that there can be none.
    """

    boards: _Plan | None
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
    search = _Grids(demands, stocks, grid, second)
    if exact:
        search.down(clock)
        return search.answer()
    while not search.done:
        # Mostly a plan meets the LP's bound at once; only where none does is the bound searched for, too.
        search.down(clock.share(clock.left() / 3), quick=True)
        if not search.done:
            search.up(clock.share(clock.left() / 2))
        if search.done or clock.left() <= 0:
            break
        finer = max(common, search.grid // FINER)
        if longest // finer * len(demands) > MOST_FINE_CELLS or finer == search.grid:
            search.down(clock)
            break
        search.grid = finer
    return search.answer()


class _Grids:
    """The best plan that fits with its true lengths, and the best bound."""

    def __init__(self, demands: dict[int, int], stocks: Stocks, grid: int, second: bool) -> None:
        self.demands, self.stocks, self.grid, self.second = demands, stocks, grid, second
        self.boards: _Plan | None = None
        self.cost: int | None = None
        self.bound = 0
        self.witnesses: tuple[str, ...] = ()
        self.impossible = False

    @property
    def done(self) -> bool:
        return self.impossible or (self.cost is not None and self.cost <= self.bound)

    def down(self, clock: Clock, quick: bool = False) -> None:
        """Round down, for a bound; such a plan may happen to fit."""
        cutting, boards = _solved(
            self.demands, self.stocks, self.grid, False, clock, self.second, self.bound, quick
        )
        self.impossible = cutting.uses is None and cutting.impossible
        if cutting.bound > self.bound or not self.witnesses:
            self.bound, self.witnesses = cutting.bound, cutting.witnesses
        self._offer(cutting.cost, boards)

    def up(self, clock: Clock) -> None:
        """Round up, for a plan."""
        cutting, boards = _solved(self.demands, self.stocks, self.grid, True, clock, self.second, self.bound)
        self._offer(cutting.cost, boards)

    def _offer(self, cost: int | None, boards: _Plan | None) -> None:
        if boards is not None and cost is not None and (self.cost is None or cost < self.cost):
            self.cost, self.boards = cost, boards

    def answer(self) -> Boards:
        return Boards(self.boards, self.cost, self.bound, self.witnesses, self.impossible)


def _up(length: int, stocks: Stocks, grid: int) -> int:
    """
    Round a piece up, but not past a stock that it just fits.

    A piece as long as a board would else fit none. Whether all fit as they are is looked at later.
    """
    down = length // grid
    snug = any(room >= length and room // grid == down for room, _, _ in stocks)
    return down if snug else -(-length // grid)


def _solved(
    demands: dict[int, int],
    stocks: Stocks,
    grid: int,
    up: bool,
    clock: Clock,
    second: bool,
    bound: int = 0,
    quick: bool = False,
) -> tuple[Cutting, _Plan | None]:
    """Solve on a grid; the boards are None if they do not fit with their true lengths."""
    rounded = {length: _up(length, stocks, grid) if up else length // grid for length in demands}
    bars, kept = bars_from(
        [(rounded[length], demand) for length, demand in demands.items()],
        [(length // grid, limit, cost) for length, limit, cost in stocks],
    )
    cutting = cheapest_cutting(bars, clock, second, bound, quick)
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
