"""Model 3 for many sizes, too many to list what one board can yield: by column generation."""

from __future__ import annotations

from bisect import bisect_left, insort
from collections.abc import Iterator, Sequence
from fractions import Fraction
from math import gcd, lcm

from optimizer.engine import Clock, LinearModel, run_highs
from optimizer.errors import NoPlan
from optimizer.models.board_grid import Boards, cheapest_boards
from optimizer.models.board_master import Question
from optimizer.models.board_question import Piece
from optimizer.models.board_reading import Layout
from optimizer.models.free_runs import Arc, Share, shortest_piece
from optimizer.words import Run

__all__ = ["at_once", "bulk", "by_the_pack"]

_PRECISION = 1_000_000
"""Parts that the longest pack is reckoned in where lengths are added up: what a solver in floats can tell."""

_FEW = 100
"""Pieces for which all that ties between plans can be settled by is looked at."""


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
    least, lengths = _added_up(question, clock)
    quick = whole.first_fit()
    if quick is not None and quick[0] <= least:
        return whole.layout(quick[1]), least, lengths
    boards = whole.solve(clock.share(clock.left() / 2) if whole.special else clock)
    plain = quick[1] if boards.boards is None and quick is not None else boards.boards
    layout = None if plain is None else whole.layout(plain)
    bound = 0
    witnesses: tuple[str, ...] = ()
    if not whole.special or any(question.demands):
        if whole.special:
            boards = _Whole(question, relaxed=True).solve(clock)
        if boards.impossible:
            raise NoPlan("there is too little stock for all that must be cut from it")
        bound, witnesses = -(-boards.bound // whole.scale), boards.witnesses
    if least > bound or (least == bound and len(set(witnesses)) < 2):
        bound, witnesses = least, lengths
    return layout, bound, witnesses


def by_the_pack(question: Question, clock: Clock) -> tuple[Layout, int, tuple[str, ...]] | None:
    """
    Give a plan that takes no search, with bound and two witnesses, where many pieces are cut from packs.

    Packs mostly leave so much room that none can be cheaper; None where that isn't shown.
    """
    if question.most <= _FEW or all(bar.pack == 1 for bar in question.bars):
        return None
    whole = _Whole(question)
    quick = whole.first_fit()
    least, witnesses = _added_up(question, clock)
    if quick is None or quick[0] > least or len(witnesses) < 2:
        return None
    return whole.layout(quick[1]), least, witnesses


def at_once(question: Question) -> Layout | None:
    """Give a plan that takes no search, for want of time; None if it needs more stock than there is."""
    whole = _Whole(question)
    quick = whole.first_fit()
    return None if quick is None else whole.layout(quick[1])


def _added_up(question: Question, clock: Clock) -> tuple[int, tuple[str, ...]]:
    """
    Bound the cost by all lengths together, as if bars could be joined end to end; name who vouches for it.

    Whole packs of the one bar there is, or the bar that is cheapest by the length; HiGHS is asked for the
    packs that hold so much, and counts as a witness where it finds no cheaper ones.
    """
    total = sum(piece.take * demand for piece, demand in zip(question.pieces, question.demands, strict=True))
    total += sum(number * run.length for run, number, _ in question.seamed)
    total += sum(number * run.length for run, number in question.free)
    bars = question.bars
    if len(bars) == 1:
        bound = -(-total // (bars[0].room * bars[0].pack)) * bars[0].cost
    else:
        cents = gcd(*(bar.cost for bar in bars)) or 1
        bound = -(-total * min(Fraction(bar.cost, bar.room * bar.pack) for bar in bars) // cents) * cents
    unit = max(1, max(bar.room * bar.pack for bar in bars) // _PRECISION)
    model = LinearModel()
    held = [(model.column(bar.cost, bar.limit), -(-bar.room * bar.pack // unit)) for bar in bars]
    model.row(held, lower=total // unit)
    solved = run_highs(model, clock.share(1.0))
    agrees = solved.bound is not None and solved.bound >= bound
    return bound, ("lengths added up", "HiGHS") if agrees else ("lengths added up",)


class _Whole:
    """
    The question as plain pieces.

    `relaxed` takes slanting parts by what they take in a nest, and leaves out runs that may be pieced in more
    than one way.
    """

    def __init__(self, question: Question, relaxed: bool = False) -> None:
        self.question = question
        self.demands = list(question.demands)
        self.paths: list[tuple[tuple[Arc, ...], ...]] = []
        self.lengths: list[list[int]] = []
        self.scale = lcm(*(bar.pack for bar in question.bars))
        self.special = bool(question.free or any(p.slant for p in question.pieces))
        self.special |= any(len(arcs) > 1 for _, _, arcs in question.seamed)
        self.takes = [p.take + (0 if relaxed else p.slant) for p in question.pieces]
        self._piece_runs(relaxed)

    def _piece_runs(self, relaxed: bool) -> None:
        """Piece every run in as few pieces as can be; only those that have no choice if `relaxed`."""
        question = self.question
        places = {piece: number for number, piece in enumerate(question.pieces)}
        for run, number, arcs in question.seamed:
            if relaxed and len(arcs) > 1:
                continue
            path = _shortest_path(arcs, run.length)
            self.paths.append((path,) * number)
            for arc in path:
                self.demands[places[Piece(arc.end - arc.start + question.kerf)]] += number
        longest = max(bar.room for bar in question.bars) - question.kerf
        for run, number in () if relaxed else question.free:
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

    def first_fit(self) -> tuple[int, list[tuple[int, tuple[int, ...]]]] | None:
        """Give the cheapest plan of bars of one kind, the longest pieces first, each where it fits best."""
        question = self.question
        takes = [t for t, demand in zip(self.takes, self.demands, strict=True) for _ in range(demand)]
        takes += [length + question.kerf for lengths in self.lengths for length in lengths]
        takes.sort(reverse=True)
        best: tuple[int, list[tuple[int, tuple[int, ...]]]] | None = None
        for kind, bar in enumerate(question.bars):
            if not takes or bar.room < takes[0]:
                continue
            held = _best_fit(takes, bar.room)
            packs = -(-len(held) // bar.pack)
            if (bar.limit is None or packs <= bar.limit) and (best is None or packs * bar.cost < best[0]):
                best = packs * bar.cost, [(kind, pieces) for pieces in held]
        return best

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


def _best_fit(takes: Sequence[int], room: int) -> list[tuple[int, ...]]:
    """Fill bars of one length; every piece goes where it leaves the least."""
    left: list[tuple[int, int]] = []
    bars: list[list[int]] = []
    for take in takes:
        place = bisect_left(left, (take, 0))
        if place < len(left):
            rest, bar = left.pop(place)
        else:
            rest, bar = room, len(bars)
            bars.append([])
        bars[bar].append(take)
        if rest > take:
            insort(left, (rest - take, bar))
    return [tuple(pieces) for pieces in bars]


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
