"""Model 3 for many sizes, too many to list what one board can yield: by column generation."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import gcd, lcm

from optimizer.engine import Clock
from optimizer.errors import NoPlan
from optimizer.models.board_master import Question
from optimizer.models.board_question import Piece
from optimizer.models.board_reading import Layout
from optimizer.models.cutting_stock import Cutting, bars_from, cheapest_cutting
from optimizer.models.free_runs import Arc, Share, shortest_piece
from optimizer.words import Run

__all__ = ["bulk"]

MOST_POSITIONS = 50_000


def bulk(question: Question, clock: Clock) -> tuple[Layout | None, int, tuple[str, ...]]:
    """
    Give a plan of the whole question and a bound with its witnesses.

    Notes
    -----
    Runs are first pieced in as few pieces as can be, and then cut like parts; slanting parts nest in the
    bound but not in the plan, and packs may be opened in the bound. So where there are runs, slants or packs
    the bound may fall short.
    """
    whole = _Whole(question)
    # Rounding sizes down to a coarser grid lets more patterns fit: right for a bound. Up: right for a plan.
    common = gcd(*whole.takes, *(bar.room for bar in question.bars))
    grid = max(common, max(bar.room for bar in question.bars) // MOST_POSITIONS)
    cutting, layout = whole.solve(grid, False, clock if grid == common else clock.share(clock.left() / 2))
    bound, witnesses = cutting.bound, cutting.witnesses
    if layout is None and grid > common:
        _, layout = whole.solve(grid, True, clock)
    if whole.relaxed:
        cutting, _ = _Whole(question, relaxed=True).solve(grid, False, clock)
        bound, witnesses = cutting.bound, cutting.witnesses
    return layout, -(-bound // whole.scale), witnesses


class _Whole:
    """
    The question as plain pieces.

    `relaxed` takes slanting parts by what they take in a nest, and leaves runs out.
    """

    def __init__(self, question: Question, relaxed: bool = False) -> None:
        self.question = question
        self.demands = list(question.demands)
        self.paths: list[tuple[tuple[Arc, ...], ...]] = []
        self.lengths: list[list[int]] = []
        self.scale = lcm(*(bar.pack for bar in question.bars))
        self.relaxed = bool(question.free or question.seamed or any(p.slant for p in question.pieces))
        self.takes = [p.take + (0 if relaxed else p.slant) for p in question.pieces]
        if not relaxed:
            self._piece_runs()

    def _piece_runs(self) -> None:
        """Piece every run in as few pieces as can be."""
        question = self.question
        places = {piece: number for number, piece in enumerate(question.pieces)}
        for run, number, arcs in question.seamed:
            path = _shortest_path(arcs, run.length)
            self.paths.append((path,) * number)
            for arc in path:
                self.demands[places[Piece(arc.end - arc.start + question.kerf)]] += number
        longest = max(bar.room for bar in question.bars) - question.kerf
        for run, number in question.free:
            self.lengths += [list(_even_pieces(run, longest))] * number

    def solve(self, grid: int, up: bool, clock: Clock) -> tuple[Cutting, Layout | None]:
        """Solve on a grid, sizes rounded up or down to it; the layout is None if it does not really fit."""
        question = self.question
        free = [length + question.kerf for lengths in self.lengths for length in lengths]
        takes = [*self.takes, *free]
        demands = [*self.demands, *([1] * len(free))]
        sizes = [-(-take // grid) if up else take // grid for take in takes]
        stocks = [
            (
                bar.room // grid,
                None if bar.limit is None else bar.limit * bar.pack,
                bar.cost * self.scale // bar.pack,
            )
            for bar in question.bars
        ]
        bars, kept = bars_from(zip(sizes, demands, strict=True), stocks)
        cutting = cheapest_cutting(bars, clock, second=True)
        if cutting.uses is None:
            if cutting.impossible(bars) and not self.relaxed:
                raise NoPlan("there is too little stock for all that must be cut from it")
            return cutting, None
        step = gcd(*(size for size, demand in zip(sizes, demands, strict=True) if demand)) or 1
        queues: dict[int, list[int]] = {}
        for number, (size, demand) in enumerate(zip(sizes, demands, strict=True)):
            queues.setdefault(size // step if demand else -1, []).extend([number] * demand)
        boards = [
            (
                kept[pattern.bar],
                [number for place, n in pattern.counts for number in _drawn(queues[bars.sizes[place]], n)],
            )
            for pattern, times in cutting.uses
            for _ in range(times)
        ]
        return cutting, self._layout(boards, takes)

    def _layout(self, boards: Sequence[tuple[int, list[int]]], takes: Sequence[int]) -> Layout | None:
        question = self.question
        fixed = len(question.pieces)
        shares: list[list[Share]] = [[] for _ in self.lengths]
        owner = [(run, length) for run, lengths in enumerate(self.lengths) for length in lengths]
        bars: list[tuple[int, tuple[int, ...]]] = []
        for kind, numbers in boards:
            if sum(takes[n] for n in numbers) > question.bars[kind].room:
                return None
            counts = tuple(numbers.count(n) for n in range(fixed))
            for number in numbers:
                if number >= fixed:
                    run, length = owner[number - fixed]
                    shares[run].append(Share(len(bars), length))
            bars.append((kind, counts))
        return Layout(tuple(bars), tuple(self.paths), tuple(tuple(s) for s in shares))


def _drawn(queue: list[int], count: int) -> list[int]:
    got = queue[:count]
    del queue[:count]
    return got


def _shortest_path(arcs: Sequence[Arc], length: int) -> tuple[Arc, ...]:
    """Give the way through a run's seams with the fewest pieces; arcs come sorted by their left end."""
    best: dict[int, tuple[Arc, ...]] = {0: ()}
    for arc in arcs:
        path = best.get(arc.tail)
        if path is not None and (arc.head not in best or len(path) + 1 < len(best[arc.head])):
            best[arc.head] = (*path, arc)
    return best[length]


def _even_pieces(run: Run, longest: int) -> Iterator[int]:
    """Piece a free run from pieces as long as can be, the last two shared out so that none is too short."""
    missing, least = run.length, shortest_piece(run)
    while missing > longest:
        length = min(longest, missing + run.lap - least)
        yield length
        missing -= length - run.lap
    yield missing
