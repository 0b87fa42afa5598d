"""
The column generation loop: patterns of single bars, priced by a knapsack, until no better one exists.

Works on arrays; the duals it ends with are floats, made safe by `optimizer.bounds`.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from math import ceil, gcd, inf
from typing import Any

from optimizer.engine import Clock
from optimizer.growing import GrowingLp
from optimizer.models.board_fillings import Filled, fill

__all__ = ["Bars", "Pattern", "PatternLp"]

COLUMNS_A_ROUND = 15
SMOOTHING = 0.6
TOLERANCE = 1e-7
RELATIVE = 1e-9
"""Of the largest dual: what is less in a reduced cost is the LP solver's error."""
DEAR = 1e3
PRICED = 5e-10
"""Seconds of work for a piece and a position."""


@dataclass(frozen=True)
class Bars:
    """
    A cutting question without kerf: pieces in falling size, bars in any order.

    Parameters
    ----------
    sizes, demands
        Of the pieces; all sizes differ.
    rooms, limits, costs
        Of the bars; a limit of None is none.
    """

    sizes: tuple[int, ...]
    demands: tuple[int, ...]
    rooms: tuple[int, ...]
    limits: tuple[int | None, ...]
    costs: tuple[int, ...]

    @cached_property
    def arrays(self) -> tuple[Any, Any, Any]:
        """Sizes, the most pieces of each in one bar, and rooms as NumPy arrays."""
        import numpy as np

        longest = max(self.rooms)
        most = [min(d, longest // s) for s, d in zip(self.sizes, self.demands, strict=True)]
        return np.array(self.sizes), np.array(most), np.array(self.rooms)

    @cached_property
    def groups(self) -> tuple[tuple[int, ...], ...]:
        """
        The bars whose numbers are counted together: each kind alone, then all, halves, quarters by length.

        A number of bars in all that comes out whole says more than one of a single kind: where lengths differ
        little, one kind replaces another at nearly no cost.
        """
        kinds = sorted(range(len(self.rooms)), key=lambda k: -self.rooms[k])
        larger: list[tuple[int, ...]] = []
        waiting = [tuple(kinds)]
        while waiting:
            group = waiting.pop(0)
            if len(group) > 1:
                larger.append(group)
                half = len(group) // 2
                waiting += [group[:half], group[half:]]
        return (*((k,) for k in range(len(kinds))), *larger)

    @cached_property
    def groups_of(self) -> tuple[tuple[int, ...], ...]:
        """The places in `groups` that each kind of bar counts in."""
        return tuple(
            tuple(place for place, group in enumerate(self.groups) if kind in group)
            for kind in range(len(self.rooms))
        )

    @cached_property
    def free_counts(self) -> tuple[tuple[float, ...], tuple[float, ...]]:
        """The fewest and most bars of each group that the question itself allows."""
        highs = [inf if limit is None else float(limit) for limit in self.limits]
        highs += [inf] * (len(self.groups) - len(highs))
        return (0.0,) * len(highs), tuple(highs)

    def rents(self, duals: Any) -> Any:
        """Add up, for each kind of bar, what the duals of the groups charge for it."""
        import numpy as np

        return np.array([sum(duals[g] for g in groups) for groups in self.groups_of])

    @cached_property
    def step(self) -> int:
        """A number that divides every possible cost."""
        return gcd(*self.costs) or 1

    @cached_property
    def dearest(self) -> int:
        """A cost that no plan exceeds in which every bar yields something."""
        return sum(self.demands) * max(self.costs)

    def up(self, bound: float) -> int:
        """Round a float bound up to a cost there can be, forgiving the LP's tolerance."""
        return ceil(bound / self.step - 1e-6) * self.step


@dataclass(frozen=True, slots=True)
class Pattern:
    """A way to cut one bar: its kind, and the pieces as pairs of place and number."""

    bar: int
    counts: tuple[tuple[int, int], ...]


@dataclass
class PatternLp:
    """
    The covering LP over the patterns found so far, and the pricing that finds more.

    Rows are the pieces, then how many bars of each group are cut. Columns are first the makeshifts: a dear
    one for every piece, so that there always is a solution, and swaps that let a piece serve as the next
    shorter one (they steady the duals and are shut before the LP's last rounds); then the patterns.
    """

    bars: Bars
    patterns: list[Pattern] = field(default_factory=list)
    known: dict[Pattern, int] = field(default_factory=dict)
    open: Any = None

    def __post_init__(self) -> None:
        import numpy as np

        bars = self.bars
        pieces, groups = len(bars.sizes), len(bars.groups)
        self.lows, self.highs = bars.free_counts
        self.lp = GrowingLp([0.0] * (pieces + groups), [inf] * (pieces + groups))
        self.ask(bars.demands, self.lows, self.highs)
        dear = DEAR * max(1, *bars.costs)
        self.lp.add([dear] * pieces, [{piece: 1.0} for piece in range(pieces)])
        swaps = [{piece: -1.0, piece + 1: 1.0} for piece in range(pieces - 1)]
        self.lp.add([0.0] * len(swaps), swaps)
        self.swaps = range(pieces, self.lp.columns)
        self.first = self.lp.columns
        self.closed = np.zeros((0, 0), dtype=np.bool_)
        self._counts = np.zeros((0, pieces), dtype=np.int32)
        self._shut = np.zeros(0, dtype=np.bool_)
        self.space: list[Any] = []
        self._steady: Any = None
        self._steady_bound = -inf
        # Where so many bars are asked for, empty ones must do until there are patterns.
        self.add(Pattern(kind, ()) for kind in range(len(bars.rooms)))

    # -- the columns

    def add(self, patterns: Iterable[Pattern]) -> int:
        """Add patterns that are not known yet; tell how many."""
        new = [p for p in dict.fromkeys(patterns) if p not in self.known]
        columns: list[dict[int, float]] = []
        for pattern in new:
            self.known[pattern] = len(self.patterns)
            self.patterns.append(pattern)
            held = {place: float(count) for place, count in pattern.counts}
            groups = {len(self.bars.sizes) + group: 1.0 for group in self.bars.groups_of[pattern.bar]}
            columns.append(held | groups)
        self.lp.add([self.bars.costs[p.bar] for p in new], columns)
        return len(new)

    def allow_swaps(self, allowed: bool) -> None:
        """Open or shut the swaps."""
        self.lp.bound_columns(self.swaps, [inf if allowed else 0.0] * len(self.swaps))

    @property
    def counts_of_patterns(self) -> Any:
        """How many of each piece each pattern has: (patterns, pieces)."""
        import numpy as np

        known = len(self._counts)
        if known < len(self.patterns):
            more = np.zeros((len(self.patterns) - known, len(self.bars.sizes)), dtype=np.int32)
            for row, pattern in enumerate(self.patterns[known:]):
                for place, count in pattern.counts:
                    more[row, place] = count
            self._counts = np.vstack([self._counts, more])
        return self._counts

    def shut(self, shut: Any) -> None:
        """Keep these patterns out of the LP and let all others back in; what is not told of is let in."""
        import numpy as np

        before, self._shut = self._shut, np.zeros(len(self.patterns), dtype=np.bool_)
        self._shut[: len(shut)] = shut
        changed = self._shut.copy()
        changed[: len(before)] ^= before
        columns = changed.nonzero()[0]
        if len(columns):
            uppers = np.where(self._shut[columns], 0.0, inf)
            self.lp.bound_columns((columns + self.first).tolist(), uppers.tolist())

    def ask(self, demands: Sequence[float], lows: Sequence[float], highs: Sequence[float]) -> None:
        """Ask for other demands than the question's, and for so many bars of each group, from low to high."""
        self.lows, self.highs = tuple(lows), tuple(highs)
        rows = range(len(self.bars.sizes) + len(self.bars.groups))
        self.lp.bound_rows(rows, [*demands, *lows], [*([inf] * len(demands)), *highs])

    def counts(self) -> list[float]:
        """Give how many bars of each group the LP's last solution cuts."""
        counts = [0.0] * len(self.bars.groups)
        for pattern, value in self.use():
            for group in self.bars.groups_of[pattern.bar]:
                counts[group] += value
        return counts

    def use(self) -> list[tuple[Pattern, float]]:
        """Give the patterns that the LP's last solution uses, and how often."""
        values = self.lp.values[self.first :]
        return [(self.patterns[n], float(values[n])) for n in (values > TOLERANCE).nonzero()[0]]

    def within(self, gap: float) -> list[Pattern]:
        """List the patterns whose reduced cost at the LP's last duals is at most a gap."""
        duals = self.lp.duals
        rents = self.bars.rents(duals[len(self.bars.sizes) :])
        return [
            pattern
            for pattern in self.patterns
            if self.bars.costs[pattern.bar]
            - rents[pattern.bar]
            - sum(count * duals[place] for place, count in pattern.counts)
            <= gap + TOLERANCE
        ]

    def forbid_beyond(self, left: Any) -> None:
        """Shut patterns that hold more of a piece than is left to cut; None lets all of them back in."""
        self.shut(() if left is None else (self.counts_of_patterns > left).any(axis=1))

    @property
    def makeshift(self) -> float:
        """How much of the demand the LP's last solution left to makeshifts."""
        return float(self.lp.values[: len(self.bars.sizes)].sum())

    @property
    def bound(self) -> float:
        """The best bound that the last call of `generate` has seen, in floats."""
        return self._steady_bound

    def step_back(self) -> None:
        """Take up the duals of the best bound again: when time is up the last ones may be far off."""
        if self._steady is not None:
            self.lp.duals = self._steady

    # -- the loop

    def generate(
        self, clock: Clock, most: Any = None, rounds: int = 100_000, goal: float = inf, steady: bool = False
    ) -> bool:
        """
        Add patterns until none betters the LP.

        Parameters
        ----------
        most
            The most pieces of each in one bar; the question's own where None.
        rounds
            Where to stop at the latest.
        goal
            A bound that, once reached, is enough.
        steady
            Price at duals between the LP's and those of the best bound so far, which saves rounds.

        Returns
        -------
        bool
            False if the clock ran out.
        """
        self._steady, self._steady_bound = None, -inf
        if steady:
            self._by_length()
        for _ in range(rounds):
            if not self.lp.solve(clock):
                return False
            clock.spend(PRICED * len(self.bars.sizes) * max(self.bars.rooms))
            duals = self.lp.duals
            mixed = duals
            if steady and self._steady is not None:
                mixed = SMOOTHING * self._steady + (1 - SMOOTHING) * duals
            found = self._price(mixed, duals, most)
            if not found and mixed is not duals:
                found = self._price(duals, duals, most)
            if not self.add(found):
                return True
            if self.bound >= min(goal, self.lp.value - RELATIVE * abs(self.lp.value)):
                # The last duals need not reach the bound that earlier ones have shown.
                self.lp.duals = self._steady
                return True
        return True

    def _by_length(self) -> None:
        """Begin with pieces worth what their length costs: often nearly the best duals, and never far off."""
        import numpy as np

        bars = self.bars
        duals = np.zeros(len(bars.sizes) + len(bars.groups))
        rate = min(cost / room for cost, room in zip(bars.costs, bars.rooms, strict=True))
        duals[: len(bars.sizes)] = np.array(bars.sizes) * rate
        self._steady, self._steady_bound = duals, float(duals[: len(bars.sizes)] @ np.array(bars.demands))

    def _price(self, duals: Any, true: Any, most: Any) -> list[Pattern]:
        """List patterns that the true duals find better than the LP's, best first."""
        import numpy as np

        bars = self.bars
        pieces = len(bars.sizes)
        gains = np.maximum(duals[:pieces], 0.0)
        filled = self.fill(gains, most)
        if duals is not true or most is None:
            self._lagrange(duals, gains, filled.tops)
        prices = np.array(bars.costs, dtype=float) - bars.rents(duals[pieces:])
        excess = filled.best - prices
        kinds = excess.argmax(axis=1)
        tops = excess.max(axis=1)
        found = []
        true_prices = np.array(bars.costs, dtype=float) - bars.rents(true[pieces:])
        error = max(TOLERANCE, RELATIVE * float(np.abs(true).max()))
        # Half of a layer's fillings may be an earlier layer's; of the others so many are looked at.
        looks = 2 * COLUMNS_A_ROUND
        for layer in np.argsort(-tops, kind="stable"):
            k = int(kinds[layer])
            if not filled.new(layer, k):
                continue
            looks -= 1
            counts = filled.counts(layer, k)
            if counts @ true[:pieces] > true_prices[k] + error:
                places = counts.nonzero()[0]
                found.append(Pattern(k, tuple((int(p), int(counts[p])) for p in places)))
            if len(found) == COLUMNS_A_ROUND or not looks:
                break
        return found

    def tops(self) -> list[float]:
        """Give, for each kind of bar, what its best filling gains at the LP's last duals."""
        import numpy as np

        gains = np.maximum(self.lp.duals[: len(self.bars.sizes)], 0.0)
        return [float(top) for top in self.fill(gains).tops]

    def fill(self, gains: Any, most: Any = None) -> Filled:
        """Fill bars of all kinds with the greatest gain; the answer holds until the next call."""
        sizes, own, rooms = self.bars.arrays
        open_ = self.closed if self.open is None else self.open
        return fill(gains, sizes, own if most is None else most, rooms, open_, self.space)

    def _lagrange(self, duals: Any, gains: Any, tops: Any) -> None:
        """Keep the duals of the best bound that pricing has shown."""
        import numpy as np

        bars = self.bars
        pieces = len(bars.sizes)
        rents = -duals[pieces:]
        prices = np.array(bars.costs, dtype=float) + bars.rents(rents)
        worst, total = 1.0, float(gains @ np.array(bars.demands))
        for k, price in enumerate(prices):
            over = float(tops[k]) - price
            if over > 0 and (rents[k] + over <= 0 or self.highs[k] < inf):
                rents[k] += over
            elif over > 0:
                worst = max(worst, float(tops[k]) / max(1e-9, price))
        for g, rent in enumerate(rents):
            if rent < 0:
                total -= rent * self.lows[g] * worst
            elif self.highs[g] < inf:
                total -= rent * self.highs[g] * worst
        bound = total / worst
        if bound > self._steady_bound:
            self._steady, self._steady_bound = duals.copy(), bound
