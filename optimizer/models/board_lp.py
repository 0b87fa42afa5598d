"""
Models 2 and 3, the linear program of a whole question: patterns grown by duals, runs free to choose seams.

Lengths stand on a grid, rounded down, so that no pattern is missed: right for a bound. Patterns that don't
fit with their true lengths are told by their `rest` and kept from plans.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import combinations
from math import gcd, inf
from typing import TYPE_CHECKING, Any

from optimizer.engine import Clock
from optimizer.growing import GrowingLp
from optimizer.models.board_master import Column, Question
from optimizer.models.board_question import Piece, used

if TYPE_CHECKING:
    from optimizer.models.board_fillings import Filled

__all__ = ["Group", "Lane", "LumberLp"]

Group = tuple[int, ...]
"""A weight for every kind of bar: what a row of the program adds up."""

Flow = tuple[int, int, list[tuple[int, int, int]]]
"""A kind of run: its length, how many there are, its arcs from seam to seam with the piece each asks for."""

MOST_POSITIONS = 40_000
MOST_CELLS = 1_000_000
"""Pieces times positions: a round of pricing takes about a millisecond."""
LEAST_POSITIONS = 10_000

MOST_SLANTS = 3
COLUMNS_A_ROUND = 15
DEAR = 1e3

ROUND, CELL = 3e-4, 6e-10
"""Seconds of work for a round of pricing, and for each piece at each position in it."""

TOLERANCE = 1e-7


@dataclass(frozen=True, slots=True)
class Lane:
    """What bars yield with certain slants: the room left in each, and how many of a piece they may hold."""

    rooms: Any
    most: Any


@dataclass
class LumberLp:
    """
    Minimise what bars cost over patterns, flows through the seams of runs, and limits on sums of bars.

    Parameters
    ----------
    question
        Without free runs, sold by the piece; see `suits`.
    groups
        Sums of bars that can be given limits; first one for every kind of bar alone.
    """

    question: Question
    groups: Sequence[Group]
    columns: list[Column] = field(default_factory=list)
    _known: set[Column] = field(default_factory=set)
    _space: list[Any] = field(default_factory=list)

    def __post_init__(self) -> None:
        import numpy as np

        question = self.question
        pieces = question.pieces
        self.step = gcd(*(bar.cost for bar in question.bars)) or 1
        longest = max(bar.room for bar in question.bars)
        common = gcd(*(piece.take for piece in pieces))
        positions = min(MOST_POSITIONS, max(LEAST_POSITIONS, MOST_CELLS // len(pieces)))
        self._grid = common if longest // common <= positions else -(-longest // positions)
        # The tables want the longest first.
        self.order = sorted(range(len(pieces)), key=lambda n: -pieces[n].take)
        self.sizes = np.array([pieces[n].take // self._grid for n in self.order])
        self.closed = np.zeros((0, 0), dtype=np.bool_)
        self.flows = _flows(question)
        self._left = np.array(_asked(question.demands, [number for _, number, _ in self.flows], self.flows))
        self.lanes = self._in_lanes(self._left.tolist())
        self._out: set[int] = set()
        self._build()

    @staticmethod
    def suits(question: Question) -> bool:
        """Tell whether this program is for a question."""
        if question.free or not question.pieces or any(bar.pack > 1 for bar in question.bars):
            return False
        slants = {piece.slant for piece in question.pieces if piece.slant}
        longest = max(bar.room for bar in question.bars)
        # What is shorter than a step of the grid would take up nothing.
        tiny = min(piece.take for piece in question.pieces) * LEAST_POSITIONS < longest
        return len(slants) <= MOST_SLANTS and not tiny

    def _in_lanes(self, asked: Sequence[int]) -> list[Lane]:
        import numpy as np

        pieces = self.question.pieces
        slants = sorted({piece.slant for piece in pieces if piece.slant})
        lanes = []
        for number in range(len(slants) + 1):
            for chosen in combinations(slants, number):
                rooms = np.array([max(0, bar.room - sum(chosen)) // self._grid for bar in self.question.bars])
                longest = int(rooms.max())
                most = [
                    min(asked[n], longest // int(size)) if pieces[n].slant in (0, *chosen) else 0
                    for n, size in zip(self.order, self.sizes, strict=True)
                ]
                lanes.append(Lane(rooms, np.array(most)))
        return lanes

    def _build(self) -> None:
        """Rows: the pieces, the seams of runs, the sums. Columns: makeshifts, pieces of runs, patterns."""
        question = self.question
        pieces = len(question.pieces)
        lowers = [float(demand) for demand in question.demands]
        uppers = [inf] * pieces
        arcs: list[dict[int, float]] = []
        self._sources: list[int] = []
        for length, number, flow in self.flows:
            rows: dict[int, int] = {}
            self._sources.append(len(lowers))
            for node in sorted({0} | {node for arc in flow for node in arc[:2]} - {length}):
                rows[node] = len(lowers)
                lowers.append(0.0 if node else float(number))
                uppers.append(0.0 if node else float(number))
            for tail, head, place in flow:
                arcs.append({place: -1.0, rows[tail]: 1.0} | ({rows[head]: -1.0} if head in rows else {}))
        self._first_group = len(lowers)
        self.lows, self.highs = (0.0,) * len(self.groups), (inf,) * len(self.groups)
        self._lp = GrowingLp([*lowers, *self.lows], [*uppers, *self.highs])
        dear = DEAR * max(1, *(bar.cost for bar in question.bars))
        makeshifts = [{place: 1.0} for place in range(pieces)]
        for row in range(self._first_group, self._first_group + len(self.groups)):
            makeshifts += [{row: 1.0}, {row: -1.0}]
        self._lp.add([dear] * len(makeshifts), makeshifts)
        self._lp.add([0.0] * len(arcs), arcs)
        self._makeshifts, self._first = len(makeshifts), len(makeshifts) + len(arcs)
        nothing = (0,) * pieces
        self.add(Column(number, nothing, bar.room) for number, bar in enumerate(question.bars))

    def add(self, columns: Iterable[Column]) -> int:
        """Add patterns that are not known yet; tell how many."""
        new = [column for column in dict.fromkeys(columns) if column not in self._known]
        self._known.update(new)
        self.columns += new
        terms = []
        for column in new:
            held = {place: float(count) for place, count in enumerate(column.counts) if count}
            for number, group in enumerate(self.groups):
                if group[column.bar]:
                    held[self._first_group + number] = float(group[column.bar])
            terms.append(held)
        self._lp.add([float(self.question.bars[column.bar].cost) for column in new], terms)
        return len(new)

    def ask(self, lows: Sequence[float], highs: Sequence[float]) -> None:
        """Ask for sums of bars from low to high."""
        self.lows, self.highs = tuple(lows), tuple(highs)
        rows = range(self._first_group, self._first_group + len(self.groups))
        self._lp.bound_rows(rows, self.lows, self.highs)

    def generate(self, clock: Clock) -> bool:
        """Add patterns until none betters the program; False if the clock ran out."""
        cells = len(self.order) * sum(int(lane.rooms.max()) for lane in self.lanes)
        while self._lp.solve(clock):
            clock.spend(ROUND + CELL * cells)
            if not self.add(self._priced()):
                return True
        return False

    def ask_rest(self, demands: Sequence[int], numbers: Sequence[int], bars: Sequence[int]) -> None:
        """
        Ask only for what is left to cut, from no more than so many bars of each kind.

        Parameters
        ----------
        demands
            Of each piece; patterns that hold more are shut out.
        numbers
            How many of each kind of run are left.
        """
        import numpy as np

        self._left = np.array(_asked(demands, numbers, self.flows))
        rows = [*range(len(demands)), *self._sources]
        sides = [*map(float, demands), *map(float, numbers)]
        self._lp.bound_rows(rows, sides, [*[inf] * len(demands), *sides[len(demands) :]])
        self.ask((0.0,) * len(self.groups), (*map(float, bars), *[inf] * (len(self.groups) - len(bars))))
        self._shut()

    def ask_all(self, lows: Sequence[float], highs: Sequence[float]) -> None:
        """Ask for the whole question again."""
        question = self.question
        self.ask_rest(question.demands, [number for _, number, _ in self.flows], [0] * len(question.bars))
        self.ask(lows, highs)

    def _shut(self) -> None:
        """Keep patterns out that hold more than could still be asked for."""
        import numpy as np

        counts = np.array([column.counts for column in self.columns])
        columns = {int(n) + self._first for n in np.flatnonzero((counts > self._left).any(axis=1))}
        self._lp.bound_columns(sorted(columns), [0.0] * len(columns))
        opened = sorted(self._out - columns)
        self._lp.bound_columns(opened, [inf] * len(opened))
        self._out = columns

    @property
    def makeshift(self) -> bool:
        """Tell whether the last solution leaves something to makeshifts: what was asked for can't be."""
        return bool(self._lp.values[: self._makeshifts].max() > TOLERANCE)

    def numbers(self) -> list[float]:
        """Give how many bars of each kind the last solution cuts."""
        numbers = [0.0] * len(self.question.bars)
        for column, times in self.use():
            numbers[column.bar] += times
        return numbers

    def use(self) -> list[tuple[Column, float]]:
        """Give the patterns that the last solution uses, and how often."""
        values = self._lp.values[self._first :]
        return [(self.columns[n], float(values[n])) for n in (values > TOLERANCE).nonzero()[0].tolist()]

    def flow(self, kind: int) -> list[float]:
        """Give how often the last solution uses each piece that a kind of run may have."""
        first = self._makeshifts + sum(len(arcs) for _, _, arcs in self.flows[:kind])
        return [float(v) for v in self._lp.values[first : first + len(self.flows[kind][2])]]

    @property
    def gains(self) -> Any:
        """What the last solution thinks each piece is worth, in floats."""
        return self._lp.duals[: len(self.order)]

    @property
    def rents(self) -> Any:
        """What it charges for every sum of bars, in floats; below 0 where there must be so many."""
        return -self._lp.duals[self._first_group :]

    def _priced(self) -> list[Column]:
        """List patterns that gain more than their bars are priced at, best first."""
        import numpy as np

        gains = np.maximum(self.gains, 0.0)[self.order]
        prices = np.array([float(bar.cost) for bar in self.question.bars])
        prices += np.array(self.groups, dtype=float).T @ self.rents
        error = TOLERANCE * max(1.0, float(np.abs(self._lp.duals).max()))
        found: list[Column] = []
        for lane in self.lanes:
            filled = self.fill(lane, gains)
            excess = filled.best - prices
            if not len(excess):
                continue
            kinds = excess.argmax(axis=1)
            looks = 2 * COLUMNS_A_ROUND
            for layer in np.argsort(-excess.max(axis=1), kind="stable").tolist():
                kind = int(kinds[layer])
                if excess[layer, kind] <= error or not looks:
                    break
                if filled.new(layer, kind):
                    looks -= 1
                    found += self.fitted(kind, filled.counts(layer, kind))
        return found

    def fill(self, lane: Lane, gains: Any) -> Filled:
        """Fill bars of all kinds with the greatest gain; gains come in falling size of the pieces."""
        import numpy as np

        from optimizer.models.board_fillings import fill

        most = np.minimum(lane.most, self._left[self.order])
        return fill(gains, self.sizes, most, lane.rooms, self.closed, self._space)

    def fitted(self, bar: int, counts: Any) -> list[Column]:
        """Give a pattern, and where it does not fit with its true lengths, one that does, too."""
        whole = [0] * len(self.order)
        for place, count in zip(self.order, counts.tolist(), strict=True):
            whole[place] = count
        found = [self._column(bar, whole)]
        while found[-1].rest < 0:
            held = [place for place, count in enumerate(whole) if count]
            whole[min(held, key=lambda place: self.question.pieces[place].take)] -= 1
            found.append(self._column(bar, whole))
        return [found[0], *found[1:][-1:]]

    def _column(self, bar: int, counts: Sequence[int]) -> Column:
        question = self.question
        return Column(bar, tuple(counts), question.bars[bar].room - used(question.pieces, counts))


def _asked(demands: Sequence[int], numbers: Sequence[int], flows: Sequence[Flow]) -> list[int]:
    """Give how many of each piece parts and runs could ask for at most."""
    asked = list(demands)
    for number, (_, _, arcs) in zip(numbers, flows, strict=True):
        # No way through the seams has more pieces than there are nodes before the end.
        longest = len({tail for tail, _, _ in arcs})
        for place in {place for _, _, place in arcs}:
            asked[place] += number * longest
    return asked


def _flows(question: Question) -> list[Flow]:
    """Give every kind of run: its length, how many there are, and its arcs with the pieces they ask for."""
    places = {piece: number for number, piece in enumerate(question.pieces)}
    return [
        (
            run.length,
            number,
            [(arc.tail, arc.head, places[Piece(arc.end - arc.start + question.kerf)]) for arc in arcs],
        )
        for run, number, arcs in question.seamed
    ]
