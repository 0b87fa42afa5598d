"""Model 2 for runs side by side: whose pieces go where, so that seams keep away from a neighbour's."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import accumulate, islice, permutations

from optimizer.models.free_runs import Share
from optimizer.words import Run

__all__ = ["in_zones", "set_apart", "staggered"]

MOST_ORDERS = 24
MOST_STEPS = 20_000


def staggered(runs: Sequence[Run]) -> bool:
    """Tell whether seams that may fall anywhere have to keep away from a neighbour's."""
    return any(run.stagger and run.seams is None for run in runs)


def set_apart(
    runs: Sequence[Run], kinds: Sequence[int], shares: Sequence[tuple[Share, ...]]
) -> tuple[tuple[Share, ...], ...] | None:
    """
    Share out the pieces of free runs anew, so that all keep their stagger.

    Parameters
    ----------
    runs, kinds
        The free runs, and a number that is equal for those that may take each other's pieces.
    shares
        The pieces of each run.

    Returns
    -------
    tuple of tuple of Share, or None
        None if no way was found; it costs the same as before, for every piece keeps its length and its bar.
    """
    return _Sharing(runs, kinds, shares).found()


class _Sharing:
    """A search run by run, each next to those it lies beside; the steps it may take are counted."""

    def __init__(
        self, runs: Sequence[Run], kinds: Sequence[int], shares: Sequence[tuple[Share, ...]]
    ) -> None:
        self.runs, self.kinds, self.shares = runs, kinds, shares
        places = {run.label: number for number, run in enumerate(runs)}
        self.near: list[list[tuple[int, int]]] = [[] for _ in runs]
        for number, run in enumerate(runs):
            other = places.get(run.beside)
            if run.stagger and other is not None:
                self.near[number].append((other, run.stagger))
                self.near[other].append((number, run.stagger))
        self.free = set(range(len(runs)))
        self.steps = 0

    def found(self) -> tuple[tuple[Share, ...], ...] | None:
        """Search depth first; the first way found is as good as any other."""
        runs = self.runs
        chosen: list[tuple[Share, ...]] = [()] * len(runs)
        lines: list[tuple[int, ...]] = [()] * len(runs)
        waiting: list[Iterator[tuple[int, tuple[Share, ...]]]] = []
        taken: list[int] = []
        while len(taken) < len(runs):
            number = len(taken)
            if len(waiting) == number:
                waiting.append(self._ways(number))
            way = next(waiting[number], None)
            self.steps += 1
            if way is None or self.steps > MOST_STEPS:
                waiting.pop()
                if not taken or self.steps > MOST_STEPS:
                    return None
                self.free.add(taken.pop())
                continue
            source, pieces = way
            lines[number] = _seams(runs[number], pieces)
            if self._clear(number, lines):
                chosen[number] = pieces
                taken.append(source)
                self.free.remove(source)
        return tuple(chosen)

    def _ways(self, number: int) -> Iterator[tuple[int, tuple[Share, ...]]]:
        """Give pieces that a run might have: its own first, then others', each in every order."""
        seen: set[tuple[int, ...]] = set()
        others = sorted(self.free, key=lambda source: (source != number, source))
        for source in others:
            if self.kinds[source] != self.kinds[number]:
                continue
            for pieces in islice(permutations(self.shares[source]), MOST_ORDERS):
                lengths = tuple(piece.length for piece in pieces)
                if lengths not in seen:
                    seen.add(lengths)
                    yield source, pieces

    def _clear(self, number: int, lines: Sequence[tuple[int, ...]]) -> bool:
        return all(
            abs(here - there) >= 2 * stagger
            for other, stagger in self.near[number]
            if other < number
            for here in lines[number]
            for there in lines[other]
        )


def _seams(run: Run, pieces: Sequence[Share]) -> tuple[int, ...]:
    """Give twice the middle of every lap, along the layer."""
    ends = accumulate(piece.length - run.lap for piece in pieces[:-1])
    return tuple(2 * (run.begins + end) + run.lap for end in ends)


def in_zones(runs: Sequence[Run]) -> tuple[Run, ...]:
    """
    Give free runs that must keep a stagger seams of their own: every other run's half-way between.

    Then no two seams of neighbours can be too near each other, whatever is chosen among them.
    """
    ranks: dict[str, int] = {}
    zoned = []
    for run in runs:
        ranks[run.label] = ranks.get(run.beside, 1) ^ 1
        if run.seams is None and (run.stagger or any(other.beside == run.label for other in runs)):
            step = max(
                (other.stagger for other in runs if run.label in (other.label, other.beside)), default=1
            )
            first = (ranks[run.label] * step - run.begins) % (2 * step)
            run = replace(run, seams=tuple(range(first, run.length, 2 * step)))
        zoned.append(run)
    return tuple(zoned)
