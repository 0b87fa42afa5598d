"""Models 2 and 3, plans from the linear program: round what it uses, ask for the rest, until all is cut."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

from optimizer.engine import SEED, Clock
from optimizer.models.board_lp import LumberLp
from optimizer.models.board_reading import Layout
from optimizer.models.free_runs import Arc

__all__ = ["plunge"]


def plunge(lp: LumberLp, bars: Sequence[int], number: int, clock: Clock) -> Layout | None:
    """
    Make a plan of no more than so many bars of each kind; None if what is left at last needs more.

    Runs get their seams first, then patterns are taken. Nothing is taken back.

    Parameters
    ----------
    number
        Of the attempt: each chooses among what the program uses in another way.

    Notes
    -----
    The program is left asking for a rest; see `LumberLp.ask_all`.
    """
    rest = _Rest(lp, bars, number, clock)
    if not rest.ask() or not rest.seams() or not rest.patterns():
        return None
    return Layout(tuple(rest.taken), tuple(tuple(paths) for paths in rest.paths), ())


class _Rest:
    """What is left to cut, and from how many bars."""

    def __init__(self, lp: LumberLp, bars: Sequence[int], number: int, clock: Clock) -> None:
        self.lp, self.clock = lp, clock
        self.demands = list(lp.question.demands)
        self.runs = [many for _, many, _ in lp.flows]
        self.bars = list(bars)
        self.random = Random(SEED + number) if number else None
        self.taken: list[tuple[int, tuple[int, ...]]] = []
        self.paths: list[list[tuple[Arc, ...]]] = [[] for _ in lp.flows]

    def ask(self) -> bool:
        """Solve for the rest; tell whether it can be cut from the bars, in fractions at least."""
        self.lp.ask_rest(self.demands, self.runs, self.bars)
        return self.lp.generate(self.clock) and not self.lp.makeshift

    def seams(self) -> bool:
        """Give every run the seams that the program likes best, kind after kind."""
        for kind, (length, _, arcs) in enumerate(self.lp.flows):
            own = self.lp.question.seamed[kind][2]
            while self.runs[kind]:
                flow = self.lp.flow(kind)
                path, at = [], 0
                while at != length:
                    leaving = [
                        place for place, (tail, _, _) in enumerate(arcs) if tail == at and flow[place] > 1e-6
                    ]
                    best = max(leaving, key=lambda place: (self._liked(flow[place]), -place), default=None)
                    if best is None:
                        return False
                    path.append(best)
                    at = arcs[best][1]
                times = max(1, min(self.runs[kind], int(min(flow[place] for place in path) + 1e-6)))
                self.runs[kind] -= times
                for place in path:
                    self.demands[arcs[place][2]] += times
                self.paths[kind] += [tuple(own[place] for place in path)] * times
                if len(arcs) > 1 and not self.ask():
                    return False
        return self.ask()

    def patterns(self) -> bool:
        """Take what the program uses whole times; where there is no such thing, the nearest to it once."""
        while any(self.demands):
            used = [
                (column, times) for column, times in self.lp.use() if column.rest >= 0 and any(column.counts)
            ]
            whole = [(column, int(times + 1e-6)) for column, times in used if times > 1 - 1e-6]
            if not whole:
                if not used:
                    return False
                best = max(used, key=lambda one: (self._liked(one[1]), -one[0].rest))
                whole = [(best[0], 1)]
            for column, times in whole:
                self._take(column.bar, column.counts, times)
            if any(self.demands) and not self.ask():
                return False
        return True

    def _take(self, bar: int, counts: tuple[int, ...], times: int) -> None:
        for _ in range(times):
            if not self.bars[bar] or not any(n and d for n, d in zip(counts, self.demands, strict=True)):
                return
            self.taken.append((bar, counts))
            self.bars[bar] -= 1
            self.demands = [max(0, d - n) for d, n in zip(self.demands, counts, strict=True)]

    def _liked(self, times: float) -> float:
        return times if self.random is None else times * self.random.uniform(0.5, 1.0)
