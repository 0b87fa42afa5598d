"""Models 2 and 3: boards and sticks cut to length for parts and runs, at the least cost."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import islice

from optimizer.engine import Clock, Progress, run_cpsat, run_highs
from optimizer.errors import NoPlan, TimeUp
from optimizer.models.board_cuts import Sawn, courses_of, cuts_of
from optimizer.models.board_exact import build_exact
from optimizer.models.board_master import Column, Master, Question, build
from optimizer.models.board_question import Piece, bars_of, kerf_of, patterns, require_fit, used
from optimizer.models.board_reading import (
    Laid,
    Layout,
    apart,
    cost_of,
    kind_of,
    labelled,
    read_exact,
    read_master,
)
from optimizer.models.board_ties import ties
from optimizer.models.board_tree import settled
from optimizer.models.board_witness import vouchers
from optimizer.models.free_runs import Arc, arcs_of, shortest_piece
from optimizer.models.neighbours import in_zones, staggered
from optimizer.plan import MaterialPlan, Outcome
from optimizer.words import Part, Run, Saw, Stock

__all__ = ["plan_lengths"]

MOST_COLUMNS = 6_000
LISTED = 2e-5
"""Seconds of work for a way to cut that is listed."""

FEW_COLUMNS = 600
"""Ways to cut that are listed at once, so that what ties in cost is looked at; of more, few are grown."""

MOST_SUMS = 0.6
"""Part of the time left that the tree over sums of bars may take."""
MOST_WHOLE = 1_500
MOST_SLOTS = 60


def plan_lengths(
    material: str,
    stocks: Sequence[Stock],
    parts: Sequence[Part],
    runs: Sequence[Run],
    saw: Saw,
    clock: Clock,
) -> MaterialPlan:
    """
    Cut parts and runs of one material to length from the cheapest boards or sticks.

    Parameters
    ----------
    material
        Named in the outcome and in errors.
    stocks
        Its sizes; where one has no price the fewest pieces of stock are bought instead.
    parts, runs
        What is cut from them; an offcut of one serves any other.

    Returns
    -------
    MaterialPlan
        Cuts in saw order, a course for every run, and how far the cost is proved.

    Raises
    ------
    NoPlan
        If a piece is longer than every stock, a run has no legal seams, or there is too little stock.

    Notes
    -----
    A model over patterns gives a bound and, nearly always, a plan that meets it; where free runs leave a
    gap, a model bar by bar closes it if the bars are few (models 2 and 3 of `optimizer.models`). Where runs
    must keep a stagger the bound forgets it; a plan gets it by sharing out the pieces anew, or else from
    seams in zones that keep it by themselves.
    """
    require_fit(material, stocks, parts, runs)
    if not parts and not runs:
        return MaterialPlan(
            (), (), Outcome(material, 0, 0, True, _family(stocks), ("nothing to cut", "no cost"))
        )
    parts = _without_idle_slants(parts, max(stock.length for stock in stocks), kerf_of(material, stocks, saw))
    question = _question(material, stocks, parts, runs, saw)
    kept_apart = staggered(runs)
    search = _Search(material, question, parts, runs, clock.share(clock.left() / 2) if kept_apart else clock)
    search.run()
    if kept_apart and (search.best is None or search.bound < search.best[0]):
        search.plan_otherwise(_in_zones(material, stocks, parts, runs, saw, clock))
    if search.best is None:
        raise TimeUp(f"no plan for {material} was found in the time given; give it more with --seconds")
    cost, sawn, laid = search.best
    bound = min(search.bound, cost)
    outcome = Outcome(
        material,
        cost,
        bound,
        bound == cost and len(set(search.witnesses)) > 1,
        _family(stocks),
        tuple(search.witnesses),
        clock.spent(),
    )
    return MaterialPlan(cuts_of(sawn, question.kerf), courses_of(laid), outcome)


def _without_idle_slants(parts: Sequence[Part], longest: int, kerf: int) -> list[Part]:
    """Take slanting parts for square ones where no stock is long enough for two of them to nest."""
    shortest: dict[int, list[int]] = {}
    for part in parts:
        lengths = shortest.setdefault(part.slant, [])
        lengths[:] = sorted([*lengths, *[part.length] * min(part.count, 2)])[:2]
    idle = {
        slant
        for slant, lengths in shortest.items()
        if len(lengths) < 2 or sum(lengths) - slant + kerf > longest
    }
    return [replace(part, slant=0) if part.slant in idle else part for part in parts]


def _in_zones(
    material: str,
    stocks: Sequence[Stock],
    parts: Sequence[Part],
    runs: Sequence[Run],
    saw: Saw,
    clock: Clock,
) -> _Search | None:
    """Plan with the seams of neighbouring runs in zones of their own; None if no seams there will do."""
    zoned = in_zones(runs)
    try:
        search = _Search(material, _question(material, stocks, parts, zoned, saw), parts, zoned, clock)
        search.run()
    except NoPlan:
        return None
    return search


def _family(stocks: Sequence[Stock]) -> str:
    """Name the cuts that a proof covers, by what is cut: boards, sticks, rolls."""
    return " and ".join(f"cuts to length of single {kind}s" for kind in dict.fromkeys(s.kind for s in stocks))


def _question(
    material: str, stocks: Sequence[Stock], parts: Sequence[Part], runs: Sequence[Run], saw: Saw
) -> Question:
    """Reduce the question to bare integers: equal pieces merged, runs sorted into kinds."""
    kerf = kerf_of(material, stocks, saw)
    longest = max(stock.length for stock in stocks)
    demands: dict[Piece, int] = {}
    for part in parts:
        piece = Piece(part.length - part.slant + kerf, part.slant)
        demands[piece] = demands.get(piece, 0) + part.count
    kinds: dict[Run, int] = {}
    for run in runs:
        kinds[kind_of(run)] = kinds.get(kind_of(run), 0) + 1
    seamed = []
    for run in runs:
        arcs = arcs_of(run, longest)
        if run.seams is None:
            continue
        if not _reachable(arcs, run.length):
            raise NoPlan(
                f"{run.label} can't be pieced: no choice of its seams gives pieces that are long enough and "
                f"fit the longest {material}"
            )
        if kind_of(run) in kinds:
            seamed.append((kind_of(run), kinds.pop(kind_of(run)), arcs))
        for arc in arcs:
            demands.setdefault(Piece(arc.end - arc.start + kerf), 0)
    pieces = tuple(sorted(demands, reverse=True))
    return Question(
        bars_of(stocks, kerf),
        kerf,
        pieces,
        tuple(demands[piece] for piece in pieces),
        tuple(seamed),
        tuple(kinds.items()),
    )


def _reachable(arcs: Sequence[Arc], length: int) -> bool:
    """Tell whether arcs, sorted by their left end, lead from 0 to the end of a run."""
    reached = {0}
    for arc in arcs:
        if arc.tail in reached:
            reached.add(arc.head)
    return length in reached


def _columns(question: Question, most: int) -> list[Column] | None:
    """List the ways to cut one bar; None if they are more than so many."""
    total = list(question.demands)
    for run, number, arcs in question.seamed:
        for place in {question.pieces.index(Piece(a.end - a.start + question.kerf)) for a in arcs}:
            total[place] += number * (len(run.seams or ()) + 1)
    found: list[Column] = []
    for number, bar in enumerate(question.bars):
        if len(found) > most:
            return None
        for counts in islice(patterns(question.pieces, total, bar.room), most + 1):
            found.append(Column(number, counts, bar.room - used(question.pieces, counts)))
    if len(found) > most:
        return None
    if question.free or len(found) <= MOST_WHOLE:
        return [column for column in found if question.free or any(column.counts)]
    return [column for column in found if _maximal(question, column, total)]


def _maximal(question: Question, column: Column, most: Sequence[int]) -> bool:
    held = {piece.slant for piece, count in zip(question.pieces, column.counts, strict=True) if count}
    return not any(
        count < limit and piece.take + (0 if piece.slant in held else piece.slant) <= column.rest
        for piece, count, limit in zip(question.pieces, column.counts, most, strict=True)
    )


class _Search:
    """The best plan and the best bound so far, and the steps that better them."""

    def __init__(
        self, material: str, question: Question, parts: Sequence[Part], runs: Sequence[Run], clock: Clock
    ) -> None:
        self.material, self.question, self.clock = material, question, clock
        self.parts, self.runs = parts, runs
        self.best: tuple[int, list[Sawn], Laid] | None = None
        self.bound = 0
        self.witnesses: list[str] = []

    def run(self) -> None:
        if self._by_the_pack():
            return
        self._at_once()
        columns = self._columns(FEW_COLUMNS)
        if columns is None:
            if self._by_sums():
                return
            columns = self._columns(MOST_COLUMNS)
        if columns is None:
            # What is pieced or nested the tree has seen better than a bulk of plain pieces can.
            if self.best is None or not self.bound or self._plain():
                self._in_bulk(self.clock)
            return
        self._by_patterns(columns)
        if self.best is None or self.bound < self.best[0]:
            for waste in self._wastes():
                self._plan(build(self.question, columns, False, waste))
        if self.best is not None and self.bound < self.best[0]:
            self._bar_by_bar(self.best[0])

    def _columns(self, most: int) -> list[Column] | None:
        columns = _columns(self.question, most)
        self.clock.spend(LISTED * (most if columns is None else len(columns)))
        return columns

    def _by_the_pack(self) -> bool:
        """Take a plan at a glance where many pieces are cut from packs."""
        from optimizer.models.board_bulk import by_the_pack

        found = by_the_pack(self.question, self.clock)
        if found is None or not self._offer(found[0]):
            return False
        self.bound, self.witnesses = found[1], list(found[2])
        return True

    def _at_once(self) -> None:
        """Take a plan without a search, where the clock allows no other."""
        from optimizer.models.board_bulk import at_once

        self._offer(at_once(self.question))

    def _by_sums(self) -> bool:
        """Search a tree over the sums of bars; tell whether that has settled it."""
        bars = self.question.bars
        pack, question = bars[0].pack if len(bars) == 1 and bars[0].cost else 1, self.question
        if pack > 1:
            # Of one size sold by the pack, the fewest bars are the fewest packs.
            limit = None if bars[0].limit is None else bars[0].limit * pack
            question = replace(question, bars=(replace(bars[0], cost=1, pack=1, limit=limit),))
        goal = None if self.best is None else self.best[0]
        if goal is not None and pack > 1:
            goal = (goal // bars[0].cost - 1) * pack + 1
        found = settled(question, goal, self.clock.share(self.clock.left() * MOST_SUMS))
        if found is None:
            return False
        self._offer(found.layout)
        bound = found.bound if pack == 1 else -(-found.bound // pack) * bars[0].cost
        self._raise(bound, found.witnesses)
        return self.best is not None and self.best[0] <= self.bound and len(set(self.witnesses)) > 1

    def _plain(self) -> bool:
        """Tell whether all pieces are cut square, and none are of runs that may be pieced in other ways."""
        question = self.question
        choice = question.free or any(len(arcs) > 1 for _, _, arcs in question.seamed)
        return not choice and not any(piece.slant for piece in question.pieces)

    def _in_bulk(self, clock: Clock) -> None:
        """Generate columns where there are too many to list."""
        from optimizer.models.board_bulk import bulk

        layout, bound, witnesses = bulk(self.question, clock)
        self._raise(bound, witnesses)
        self._offer(layout)

    def _raise(self, bound: int, witnesses: Sequence[str]) -> None:
        """Take a bound if it is higher than the best, or as high and better vouched for."""
        if (bound, len(set(witnesses))) > (self.bound, len(set(self.witnesses))):
            self.bound, self.witnesses = bound, list(witnesses)

    def _offer(self, layout: Layout | None) -> bool:
        """Take a plan if it costs no more than the best; tell whether there was one."""
        layout = None if layout is None else apart(self.question, layout, self.runs)
        if layout is None:
            return False
        sawn, laid = labelled(self.question, layout, self.parts, self.runs)
        cost = cost_of(self.question, sawn)
        if self.best is None or cost <= self.best[0]:
            self.best = cost, sawn, laid
            self.clock.tell(Progress(self.material, cost, self.bound))
        return True

    def plan_otherwise(self, other: _Search | None) -> None:
        """Take the plan of another search if it is cheaper; the bound stays this one's."""
        if (
            other is not None
            and other.best is not None
            and (self.best is None or other.best[0] < self.best[0])
        ):
            self.best = other.best

    def _by_patterns(self, columns: Sequence[Column]) -> None:
        master = build(self.question, columns, pooled=False, waste=0)
        solved = run_highs(master.model, self.clock)
        if solved.infeasible:
            raise NoPlan(f"there is too little {self.material} for all that must be cut from it")
        if solved.bound is not None and solved.bound >= self.bound:
            self.bound = solved.bound
            self.witnesses = ["HiGHS", *vouchers(self.question, master.model, solved.bound, self.clock)]
        if solved.values is not None:
            self._offer(read_master(master, solved.values, self.clock))
        if self.best is not None and self.best[0] == self.bound and solved.values is not None:
            for better in ties(master, solved.values, self.clock):
                self._offer(read_master(master, better, self.clock))

    def _wastes(self) -> list[int]:
        """List how much room a bar may lose so that no piece of a free run comes out too short."""
        least = max((shortest_piece(run) for run, _ in self.question.free), default=0)
        return [1, least // 4, least // 2, least, least + self.question.kerf] if least else []

    def _plan(self, master: Master) -> None:
        solved = run_highs(master.model, self.clock, below=None if self.best is None else self.best[0])
        if solved.values is not None:
            self._offer(read_master(master, solved.values, self.clock))

    def _bar_by_bar(self, cost: int) -> None:
        """Close the gap with the exact model, where the bars are few enough."""
        numbers = []
        for bar in self.question.bars:
            limits = [self.question.most]
            if bar.limit is not None:
                limits.append(bar.limit * bar.pack)
            if bar.cost:
                limits.append((cost - 1) // bar.cost * bar.pack)
            numbers.append(min(limits))
        if sum(numbers) > MOST_SLOTS:
            return
        exact = build_exact(self.question, numbers)
        solved = run_cpsat(exact.model, self.clock.share(self.clock.left() / 2), below=cost)
        if solved.values is not None:
            self._offer(read_exact(exact, solved.values))
        if solved.infeasible:
            solved = replace(solved, bound=cost)
        if solved.bound is None or solved.bound <= self.bound:
            return
        self.bound, self.witnesses = min(solved.bound, cost), ["CP-SAT"]
        if run_highs(exact.model, self.clock, below=self.bound).infeasible:
            self.witnesses.append("HiGHS")
