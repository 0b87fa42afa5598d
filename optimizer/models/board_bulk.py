"""Model 3 for many sizes, too many to list what one board can yield: by column generation."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import gcd, lcm

from optimizer.engine import Clock
from optimizer.errors import NoPlan
from optimizer.models.board_grid import Boards, cheapest_boards
from optimizer.models.board_master import Question
from optimizer.models.board_question import Piece
from optimizer.models.board_reading import Layout
from optimizer.models.free_runs import Arc, Share, shortest_piece
from optimizer.words import Run

__all__ = ["bulk"]


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
    boards = whole.solve(clock.share(clock.left() / 2) if whole.special else clock)
    layout = None if boards.boards is None else whole.layout(boards.boards)
    if not whole.special or any(question.demands):
        if whole.special:
            boards = _Whole(question, relaxed=True).solve(clock)
        if boards.impossible:
            raise NoPlan("there is too little stock for all that must be cut from it")
        bound, witnesses = -(-boards.bound // whole.scale), boards.witnesses
    else:
        bound, witnesses = 0, ()
    return layout, *max((bound, witnesses), (_added_up(question), ("lengths added up",)))


def _added_up(question: Question) -> int:
    """Bound the cost by all lengths together, in the bar that is cheapest by the length."""
    total = sum(piece.take * demand for piece, demand in zip(question.pieces, question.demands, strict=True))
    total += sum(number * run.length for run, number, _ in question.seamed)
    total += sum(number * run.length for run, number in question.free)
    rates = [Fraction(bar.cost, bar.room * bar.pack) for bar in question.bars]
    cents = gcd(*(bar.cost for bar in question.bars)) or 1
    return -(-total * min(rates) // cents) * cents


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
        self.special = bool(question.free or question.seamed or any(p.slant for p in question.pieces))
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

    def solve(self, clock: Clock) -> Boards:
        """Cut all pieces from boards of their own price, whatever the pack."""
        question = self.question
        free = [(length + question.kerf, 1) for lengths in self.lengths for length in lengths]
        stocks = [
            (
                bar.room,
                None if bar.limit is None else bar.limit * bar.pack,
                bar.cost * self.scale // bar.pack,
            )
            for bar in question.bars
        ]
        return cheapest_boards([*zip(self.takes, self.demands, strict=True), *free], stocks, clock, True)

    def layout(self, boards: Sequence[tuple[int, tuple[int, ...]]]) -> Layout:
        """Say which kind of piece, or which piece of a run, each length is."""
        question = self.question
        waiting: dict[int, list[int]] = {}
        for number, (take, demand) in enumerate(zip(self.takes, self.demands, strict=True)):
            waiting.setdefault(take, []).extend([number] * demand)
        owners: dict[int, list[int]] = {}
        for run, lengths in enumerate(self.lengths):
            for length in lengths:
                owners.setdefault(length + question.kerf, []).append(run)
        shares: list[list[Share]] = [[] for _ in self.lengths]
        bars = []
        for place, (kind, takes) in enumerate(boards):
            counts = [0] * len(question.pieces)
            for take in takes:
                if waiting.get(take):
                    counts[waiting[take].pop()] += 1
                else:
                    shares[owners[take].pop()].append(Share(place, take - question.kerf))
            bars.append((kind, tuple(counts)))
        return Layout(tuple(bars), tuple(self.paths), tuple(tuple(s) for s in shares))


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
