"""Model 3 with seamed runs, of too many sizes to list what one bar can yield: patterns grown by duals."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from math import gcd

from optimizer.bounds import up_to_step
from optimizer.engine import Clock, LinearModel, run_highs, solve_relaxed
from optimizer.models.board_master import Column, Question, build
from optimizer.models.board_question import Piece, used
from optimizer.models.free_runs import Arc
from optimizer.witness import CHECKED

__all__ = ["Grown", "complete", "grown"]

MOST_ROUNDS = 120
MOST_NODES = 60_000
"""Fillings looked at for one bar; a question whose bars need more is left to other bounds."""

SCALE = 1_000_000
"""Parts of a cost unit that the checked duals are whole numbers of."""

MOST_LISTED = 4_000
"""Patterns of a complete model; more are not worth the solver's time."""

MOST_STEPS = 200_000

ENOUGH = 1e-7
FLOAT = 1e-6


@dataclass(frozen=True, slots=True)
class Grown:
    """
    Patterns worth having, and a bound for all patterns there are with who vouches for it.

    `gains` are the checked duals of the pieces, in cost units; `least` is the bound before it was rounded up.
    """

    columns: tuple[Column, ...]
    bound: int
    witnesses: tuple[str, ...]
    gains: tuple[Fraction, ...] = ()
    least: Fraction = Fraction(0)


def grown(question: Question, first: Iterable[Column], clock: Clock) -> Grown | None:
    """
    Grow patterns for the whole question, seamed runs free to choose among their seams.

    Parameters
    ----------
    first
        Patterns to begin with, as those of a plan.

    Returns
    -------
    Grown or None
        None where this model is not for the question: free runs, limited bars, or no time. The bound is 0
        where fillings are too many to be sure that no pattern was missed.

    Notes
    -----
    The duals of the last linear program are rounded to whole numbers and shrunk until no bar's best filling
    is worth more than the bar. Then parts at their duals, and every run by its cheapest way, bound the cost.
    """
    if question.free or any(bar.limit is not None for bar in question.bars):
        return None
    columns = list(dict.fromkeys((*_plain(question), *first)))
    known = set(columns)
    duals: Sequence[float] = ()
    for _ in range(MOST_ROUNDS):
        master = build(question, columns, False, 0)
        relaxed = solve_relaxed(master.model, clock)
        if relaxed is None:
            return None
        # The master's rows: one for every bar, those of the runs' flows, one for every piece.
        duals = relaxed.duals[len(relaxed.duals) - len(question.pieces) :]
        prices = [max(-dual, 0.0) for dual in relaxed.duals[: len(question.bars)]]
        fresh = [column for column in _priced(question, duals, prices) if column not in known]
        if not fresh:
            break
        columns += fresh
        known.update(fresh)
    return _checked(question, tuple(columns), duals, clock)


def complete(question: Question, found: Grown, cost: int) -> tuple[Column, ...] | None:
    """
    List every pattern that a plan cheaper than `cost` may need; None if they are too many.

    Notes
    -----
    What a pattern costs beyond its pieces' gains is paid on top of the bound, so a cheaper plan can't use one
    that costs too much. Patterns that hold no further piece are enough: more pieces never hurt.
    """
    if not found.gains:
        return None
    step = gcd(*(bar.cost for bar in question.bars)) or 1
    spare = cost - step - found.least
    if spare < 0:
        return ()
    listed: list[Column] = []
    for number, bar in enumerate(question.bars):
        needed = Fraction(bar.cost, bar.pack) - spare
        listing = _Listing(question.pieces, found.gains, _most(question, bar.room), needed)
        if not listing.fill(0, bar.room, Fraction(0), frozenset()):
            return None
        listed += (_column(question, number, counts) for counts in listing.found)
        if len(listed) > MOST_LISTED:
            return None
    return tuple(listed)


def _plain(question: Question) -> list[Column]:
    """Give patterns of one kind of piece each, as many as a bar holds."""
    found = []
    for number, bar in enumerate(question.bars):
        for place, piece in enumerate(question.pieces):
            times = (bar.room - piece.slant) // piece.take
            if times > 0:
                counts = [0] * len(question.pieces)
                counts[place] = min(times, max(question.demands[place], 1))
                found.append(_column(question, number, counts))
    return found


def _column(question: Question, bar: int, counts: Sequence[int]) -> Column:
    rest = question.bars[bar].room - used(question.pieces, tuple(counts))
    return Column(bar, tuple(counts), rest)


def _priced(question: Question, duals: Sequence[float], prices: Sequence[float]) -> list[Column]:
    """Give the best pattern of every bar that is worth more than the bar is priced at."""
    found = []
    for number, bar in enumerate(question.bars):
        filling = _Filling(question.pieces, duals, _most(question, bar.room), bar.room)
        filling.search()
        if filling.best > prices[number] + ENOUGH * max(1.0, prices[number]):
            found.append(_column(question, number, filling.counts))
    return found


def _most(question: Question, room: int) -> list[int]:
    """Give how many of each piece one bar may hold, never more than could be asked for."""
    asked = list(question.demands)
    places = {piece: number for number, piece in enumerate(question.pieces)}
    for run, number, arcs in question.seamed:
        for place in {places[Piece(arc.end - arc.start + question.kerf)] for arc in arcs}:
            asked[place] += number * (len(run.seams or ()) + 1)
    return [
        min(times, (room - piece.slant) // piece.take if room > piece.slant else 0)
        for times, piece in zip(asked, question.pieces, strict=True)
    ]


@dataclass
class _Filling:
    """
    The best filling of one bar, by branch and bound over the pieces, the densest first.

    Works with floats and with whole numbers alike. `whole` turns False when the search is cut short.
    """

    pieces: Sequence[Piece]
    gains: Sequence[float] | Sequence[int]
    most: Sequence[int]
    room: int
    best: float | int = 0
    whole: bool = True
    nodes: int = 0
    order: list[int] = field(default_factory=list)
    counts: list[int] = field(default_factory=list)

    def search(self) -> None:
        worth = [n for n, gain in enumerate(self.gains) if gain > 0 and self.most[n] > 0]
        self.order = sorted(worth, key=lambda n: (-Fraction(self.gains[n]) / self.pieces[n].take, n))
        self.counts = [0] * len(self.pieces)
        self._fill(0, self.room, 0, frozenset(), [0] * len(self.pieces))

    def _fill(
        self, place: int, left: int, value: float | int, slants: frozenset[int], counts: list[int]
    ) -> None:
        if value > self.best:
            self.best, self.counts = value, list(counts)
        if place == len(self.order):
            return
        self.nodes += 1
        if self.nodes > MOST_NODES:
            self.whole = False
            return
        number = self.order[place]
        piece, gain = self.pieces[number], self.gains[number]
        # What is left, filled as densely as its densest piece allows.
        if (self.best - value) * piece.take >= gain * left:
            return
        begun = piece.slant if piece.slant and piece.slant not in slants else 0
        times = min(self.most[number], max(left - begun, 0) // piece.take)
        for count in range(times, -1, -1):
            counts[number] = count
            after = left - count * piece.take - (begun if count else 0)
            joined = slants | {piece.slant} if count and piece.slant else slants
            self._fill(place + 1, after, value + count * gain, joined, counts)
        counts[number] = 0


@dataclass
class _Listing:
    """All full fillings of one bar whose pieces gain as much as is needed, by branch and bound."""

    pieces: Sequence[Piece]
    gains: Sequence[Fraction]
    most: Sequence[int]
    needed: Fraction
    found: list[tuple[int, ...]] = field(default_factory=list)
    steps: int = 0

    def __post_init__(self) -> None:
        usable = [n for n, times in enumerate(self.most) if times > 0]
        self.order = sorted(usable, key=lambda n: (-self.gains[n] / self.pieces[n].take, n))
        self.counts = [0] * len(self.pieces)

    def fill(self, place: int, left: int, value: Fraction, slants: frozenset[int]) -> bool:
        """Go through the fillings from one piece of the order on; False if they are too many."""
        self.steps += 1
        if self.steps > MOST_STEPS or len(self.found) > MOST_LISTED:
            return False
        if place == len(self.order):
            if value >= self.needed and not self._holds_more(left, slants):
                self.found.append(tuple(self.counts))
            return True
        number = self.order[place]
        piece, gain = self.pieces[number], self.gains[number]
        if value + gain * left / piece.take < self.needed:
            return True
        begun = piece.slant if piece.slant and piece.slant not in slants else 0
        times = min(self.most[number], max(left - begun, 0) // piece.take)
        for count in range(times, -1, -1):
            self.counts[number] = count
            after = left - count * piece.take - (begun if count else 0)
            joined = slants | {piece.slant} if count and piece.slant else slants
            if not self.fill(place + 1, after, value + count * gain, joined):
                return False
        self.counts[number] = 0
        return True

    def _holds_more(self, left: int, slants: frozenset[int]) -> bool:
        return any(
            self.counts[n] < self.most[n]
            and self.pieces[n].take + (0 if self.pieces[n].slant in slants else self.pieces[n].slant) <= left
            for n in self.order
        )


def _checked(question: Question, columns: tuple[Column, ...], duals: Sequence[float], clock: Clock) -> Grown:
    """Bound the cost by whole-number duals that no filling beats; say who vouches for that."""
    gains = [max(int(dual * SCALE), 0) for dual in duals]
    shrink = Fraction(1)
    agreed = True
    for bar in question.bars:
        filling = _Filling(question.pieces, gains, _most(question, bar.room), bar.room)
        filling.search()
        if not filling.whole:
            return Grown(columns, 0, ())
        if filling.best:
            shrink = min(shrink, Fraction(bar.cost * SCALE, bar.pack * int(filling.best)))
        agreed = agreed and _seconded(question, gains, bar.room, int(filling.best), clock)
    worth = sum(gain * demand for gain, demand in zip(gains, question.demands, strict=True))
    worth += sum(
        number * _cheapest_way(question, arcs, run.length, gains) for run, number, arcs in question.seamed
    )
    step = gcd(*(bar.cost for bar in question.bars)) or 1
    least = shrink * worth / SCALE
    witnesses = (CHECKED, "HiGHS") if agreed else (CHECKED,)
    safe = tuple(shrink * gain / SCALE for gain in gains)
    return Grown(columns, up_to_step(least, step), witnesses, safe, least)


def _seconded(question: Question, gains: Sequence[int], room: int, best: int, clock: Clock) -> bool:
    """Ask HiGHS for the best filling too; slants left out, so that it may only find more than there is."""
    model = LinearModel()
    most = _most(question, room)
    columns = [model.column(-gain, times) for gain, times in zip(gains, most, strict=True)]
    unit = max(1, room // SCALE)
    held = [(column, piece.take // unit) for column, piece in zip(columns, question.pieces, strict=True)]
    model.row(held, upper=-(-room // unit))
    solved = run_highs(model, clock.share(1.0))
    return solved.bound is not None and -solved.bound <= best * (1 + FLOAT)


def _cheapest_way(question: Question, arcs: Sequence[Arc], length: int, gains: Sequence[int]) -> int:
    """Give the least that the pieces of a run are worth, over all choices of its seams."""
    places = {piece: number for number, piece in enumerate(question.pieces)}
    least: dict[int, int] = {0: 0}
    # Arcs come sorted by their left end.
    for arc in arcs:
        if arc.tail in least:
            gain = gains[places[Piece(arc.end - arc.start + question.kerf)]]
            least[arc.head] = min(least.get(arc.head, least[arc.tail] + gain), least[arc.tail] + gain)
    return least[length]
