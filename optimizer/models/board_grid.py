"""
Model 3 where lengths share no large step: solved on a grid, once rounded down and once up.

Pieces rounded down leave room for more patterns than there are: right for a bound. Rounded up they leave
room for fewer: right for a plan. Where the first plan happens to fit as it is, or the two costs agree,
nothing is lost.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import gcd

from optimizer.columns import Bars, Pattern
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
_Filling = tuple[int, tuple[tuple[int, int], ...]]
"""The place of a stock, and how many pieces of each length."""
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
    # A piece that is shorter than the grid's step would take no room at all.
    grid = common if exact else max(common, min(longest // positions, *demands))
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
        self.known: list[_Filling] = []

    @property
    def done(self) -> bool:
        return self.impossible or (self.cost is not None and self.cost <= self.bound)

    def down(self, clock: Clock, quick: bool = False) -> None:
        """Round down, for a bound; such a plan may happen to fit."""
        cutting, boards = self._solved(False, clock, quick)
        self.impossible = cutting.uses is None and cutting.impossible
        if cutting.bound > self.bound or not self.witnesses:
            self.bound, self.witnesses = cutting.bound, cutting.witnesses
        self._offer(cutting.cost, boards)

    def up(self, clock: Clock) -> None:
        """Round up, for a plan."""
        cutting, boards = self._solved(True, clock)
        self._offer(cutting.cost, boards)

    def _offer(self, cost: int | None, boards: _Plan | None) -> None:
        if boards is not None and cost is not None and (self.cost is None or cost < self.cost):
            self.cost, self.boards = cost, boards

    def _solved(self, up: bool, clock: Clock, quick: bool = False) -> tuple[Cutting, _Plan | None]:
        """Solve on the grid; the boards are None if they do not fit with their true lengths."""
        rounded = {
            length: _up(length, self.stocks, self.grid) if up else length // self.grid
            for length in self.demands
        }
        bars, kept = bars_from(
            [(rounded[length], demand) for length, demand in self.demands.items()],
            [(length // self.grid, limit, cost) for length, limit, cost in self.stocks],
        )
        step = gcd(*rounded.values())
        places = {size * step: place for place, size in enumerate(bars.sizes)}
        known = _known(bars, kept, {length: places[rounded[length]] for length in rounded}, self.known)
        cutting = cheapest_cutting(bars, clock, self.second, self.bound, quick, known)
        lengths = {places[size]: length for length, size in rounded.items()}
        self.known = [
            (kept[pattern.bar], tuple((lengths[place], count) for place, count in pattern.counts))
            for pattern in cutting.patterns
        ]
        if cutting.uses is None:
            return cutting, None
        return cutting, _boards(cutting.uses, bars, kept, self.demands, self.stocks, rounded)

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


def _known(
    bars: Bars, kept: Sequence[int], places: dict[int, int], known: Iterable[_Filling]
) -> Iterator[Pattern]:
    """Give fillings of another grid, as far as they fit on this one."""
    kinds = {stock: kind for kind, stock in enumerate(kept)}
    most = bars.arrays[1]
    for stock, filling in known:
        counts: dict[int, int] = {}
        for length, count in filling:
            counts[places[length]] = counts.get(places[length], 0) + count
        total = sum(bars.sizes[place] * count for place, count in counts.items())
        fits = stock in kinds and total <= bars.rooms[kinds[stock]]
        if fits and all(count <= most[place] for place, count in counts.items()):
            yield Pattern(kinds[stock], tuple(sorted(counts.items())))


def _boards(
    uses: Iterable[tuple[Pattern, int]],
    bars: Bars,
    kept: Sequence[int],
    demands: dict[int, int],
    stocks: Stocks,
    rounded: dict[int, int],
) -> _Plan | None:
    """Cut true lengths where patterns say rounded ones; None if they do not fit."""
    step = gcd(*rounded.values())
    waiting: dict[int, list[int]] = {}
    for length, demand in sorted(demands.items(), reverse=True):
        waiting.setdefault(rounded[length] // step, []).extend([length] * demand)
    boards = []
    for pattern, times in uses:
        for _ in range(times):
            lengths: list[int] = []
            for place, count in pattern.counts:
                queue = waiting[bars.sizes[place]]
                lengths += queue[:count]
                del queue[:count]
            if sum(lengths) > stocks[kept[pattern.bar]][0]:
                return None
            boards.append((kept[pattern.bar], tuple(lengths)))
    return tuple(boards)
