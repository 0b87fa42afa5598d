"""
The truth on tiny cases, by trying everything. Shares no code with the optimizer.

Everything is tried on the grid of the numbers' greatest common divisor: every seam, every course width, every
division of pieces among stocks, every saw cut. Slow on purpose, and short enough to be believed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import cache
from itertools import combinations, pairwise, product
from math import gcd

from optimizer.words import Part, Problem, Run, Stock, Surface

__all__ = ["cheapest", "cheapest_cutting", "fits_sheet", "lay_outs", "run_lay_outs"]

MOST_STAGES = 3

Piece = tuple[int, int, bool]
"""Length, width (0: the stock's own), may turn."""

Wanted = tuple[tuple[str, Piece], ...]
"""Pieces with their materials, in order."""


@cache
def fits_sheet(
    length: int,
    width: int,
    pieces: tuple[Piece, ...],
    kerf: int,
    stages: int = MOST_STAGES,
    last: str = "",
) -> bool:
    """
    Tell whether saw cuts, edge to edge, can free all pieces; a turn of the saw takes a stage.

    Every division of the pieces by one more cut, at every place, is tried.
    """
    if not pieces:
        return True
    if sum(own * (across or width) for own, across, _ in pieces) > length * width:
        return False
    if len(pieces) == 1 and _frees(length, width, pieces[0], stages, last):
        return True
    for way, along in (("crosscut", length), ("rip", width)):
        left = stages - (way != last)
        if left < 0:
            continue
        for near, far in _divisions(pieces):
            for at in range(1, along):
                rest = max(0, along - at - kerf)
                if far and not rest:
                    break
                one, other = (
                    ((at, width), (rest, width)) if way == "crosscut" else ((length, at), (length, rest))
                )
                if fits_sheet(*one, near, kerf, left, way) and fits_sheet(*other, far, kerf, left, way):
                    return True
    return False


def _frees(length: int, width: int, piece: Piece, stages: int, last: str) -> bool:
    """Tell whether one piece can be trimmed out of a corner."""
    own, across, may_turn = piece
    ways = [(own, across or width)]
    if may_turn and across:
        ways.append((across, own))
    for long, wide in ways:
        if long > length or wide > width:
            continue
        needed = {"crosscut"} if long < length else set()
        needed |= {"rip"} if wide < width else set()
        # The saw goes on the way it went last, if it can, before it turns.
        if len(needed) - (last in needed) <= stages:
            return True
    return False


def _divisions(pieces: tuple[Piece, ...]) -> Iterator[tuple[tuple[Piece, ...], tuple[Piece, ...]]]:
    """Divide a multiset in two in every way; the nearer half is never empty."""
    seen = set()
    for size in range(1, len(pieces) + 1):
        for chosen in combinations(range(len(pieces)), size):
            near = tuple(pieces[i] for i in chosen)
            if near not in seen:
                seen.add(near)
                yield near, tuple(p for i, p in enumerate(pieces) if i not in chosen)


def _fits_bar(length: int, pieces: tuple[Piece, ...], kerf: int) -> bool:
    return sum(piece[0] for piece in pieces) + kerf * (len(pieces) - 1) <= length


def _fits(stock: Stock, pieces: tuple[Piece, ...], kerf: int) -> bool:
    if all(not width for _, width, _ in pieces):
        return _fits_bar(stock.length, pieces, kerf)
    own = tuple((length, width or stock.width, turn) for length, width, turn in pieces)
    return fits_sheet(stock.length, stock.width, own, kerf)


def cheapest_cutting(stocks: Sequence[Stock], pieces: Sequence[Piece], kerf: int) -> int | None:
    """
    Give the least cents that the pieces' stocks cost, whole packs bought; None if they can't all be cut.

    Every way to share the pieces among stocks is tried. Where a stock has no price, pieces of stock count.
    """
    return _cutter(stocks, kerf)(tuple(pieces))


def _cutter(stocks: Sequence[Stock], kerf: int) -> Callable[[tuple[Piece, ...]], int | None]:
    """Give `cheapest_cutting` for these stocks, remembering every load it has tried."""

    @cache
    def fits(number: int, load: tuple[Piece, ...]) -> bool:
        return _fits(stocks[number], load, kerf)

    @cache
    def used(left: tuple[Piece, ...]) -> frozenset[tuple[int, ...]]:
        """Give every vector of stocks that the pieces left can be cut from, no stock cut for nothing."""
        if not left:
            return frozenset({(0,) * len(stocks)})
        found = set()
        first, others = left[0], left[1:]
        for load, far in {((first,), others), *(((first, *near), far) for near, far in _divisions(others))}:
            for number in range(len(stocks)):
                if fits(number, load):
                    found |= {(*v[:number], v[number] + 1, *v[number + 1 :]) for v in used(far)}
        return frozenset(found)

    def cost(vector: tuple[int, ...]) -> int | None:
        packs = [-(-n // stock.pack) for n, stock in zip(vector, stocks, strict=True)]
        if any(s.available is not None and n > s.available for n, s in zip(packs, stocks, strict=True)):
            return None
        return sum(n * price for n, price in zip(packs, _prices(stocks), strict=True))

    def cheapest(pieces: tuple[Piece, ...]) -> int | None:
        costs = (cost(vector) for vector in used(tuple(sorted(pieces, reverse=True))))
        return min((known for known in costs if known is not None), default=None)

    return cheapest


def _prices(stocks: Sequence[Stock]) -> list[int]:
    if any(stock.price is None for stock in stocks):
        return [stock.pack for stock in stocks]
    return [stock.price or 0 for stock in stocks]


def _at_least(stocks: Sequence[Stock], pieces: Sequence[Piece]) -> Fraction:
    """Give what the wood alone costs, bought where an area, or a length, is cheapest."""
    flat = any(not width for _, width, _ in pieces)
    size = sum(length * (1 if flat else width) for length, width, _ in pieces)
    return size * min(
        Fraction(price, s.pack * s.length * (1 if flat else s.width))
        for price, s in zip(_prices(stocks), stocks, strict=True)
    )


def _courses(surface: Surface, width: int, unit: int) -> list[tuple[tuple[int, ...], tuple[Piece, ...]]]:
    """List every legal course of one width: its seams, and its pieces with every end slack."""
    rule = surface.rule
    before, after = rule.gap // 2, rule.gap - rule.gap // 2
    lines = sorted({s.at for s in surface.supports if s.seam and 0 < s.at < surface.length})
    bearing = [s.at for s in surface.supports if s.bears]
    slacks = range(0, rule.end_slack + 1, unit)
    found = []
    for number in range(len(lines) + 1):
        for seams in combinations(lines, number):
            edges = (0, *seams, surface.length)
            for early, late in product(slacks, slacks):
                pieces = []
                for left, right in pairwise(edges):
                    start = early if left == 0 else left + after
                    end = right - late if right == surface.length else right - before
                    borne = sum(left <= at <= right for at in bearing)
                    if end <= start or end - start + rule.gap < rule.shortest or borne < rule.min_supports:
                        break
                    pieces.append((end - start, width, False))
                else:
                    found.append((seams, tuple(pieces)))
    return found


def lay_outs(
    surface: Surface, widths: Sequence[int], unit: int, full: Sequence[int] = ()
) -> set[tuple[tuple[Piece, ...], int]]:
    """
    List what a surface may be covered with: pieces in order of size, and how many edges are blocked.

    Every stack of courses is tried, each as wide as any number of `widths`. With `full`, only plain stacks:
    courses of one width of `full`, and on top, as soon as one reaches, a course that is no wider.
    """
    rule = surface.rule
    courses = {width: _courses(surface, width, unit) for width in widths}

    @cache
    def above(bottom: int, below: tuple[int, ...], plain: int) -> frozenset[tuple[tuple[Piece, ...], int]]:
        rest = set()
        for width in widths:
            top = bottom + width
            if width + rule.gap < rule.narrowest or top > surface.height or (plain and width > plain):
                continue
            reaches = top >= surface.height - rule.top_slack
            goes_on = not plain or (width == plain and not reaches)
            edges = 2 * (width + rule.gap < rule.blocked_below)
            for seams, pieces in courses[width]:
                if any(abs(a - b) < rule.stagger for a in seams for b in below):
                    continue
                if reaches:
                    rest.add((tuple(sorted(pieces)), edges))
                for more, blocked in above(top + rule.gap, seams, plain) if goes_on else ():
                    rest.add((tuple(sorted(pieces + more)), edges + blocked))
        return frozenset(rest)

    return set().union(*(above(0, (), plain) for plain in full or (0,)))


def run_lay_outs(run: Run, longest: int, unit: int) -> set[tuple[Piece, ...]]:
    """List what a run may be pieced from, every seam on the grid."""
    places = range(unit, run.length, unit) if run.seams is None else sorted(set(run.seams))
    inner = [at for at in places if 0 < at < run.length]
    # A piece no longer than its lap would cover nothing.
    shortest = max(run.shortest, run.lap + 1)
    found = set()
    for number in range(len(inner) + 1):
        for seams in combinations(inner, number):
            pieces = []
            edges = (0, *seams, run.length)
            for left, right in pairwise(edges):
                start = left - (run.lap // 2 if left else 0)
                end = right + (run.lap - run.lap // 2 if right < run.length else 0)
                if start < 0 or end > run.length or not shortest <= end - start <= longest:
                    break
                pieces.append((end - start, 0, False))
            else:
                found.add(tuple(sorted(pieces)))
    return found


def _numbers(problem: Problem) -> Iterator[int]:
    for stock in problem.stocks:
        yield from (stock.length, stock.width)
    for surface in problem.surfaces:
        rule = surface.rule
        yield from (surface.length, surface.height, rule.gap // 2, rule.gap - rule.gap // 2)
        yield from (rule.shortest, rule.stagger, rule.narrowest, rule.blocked_below)
        yield from (rule.end_slack, rule.top_slack)
        yield from (support.at for support in surface.supports)
        for part in surface.blocking:
            yield from (part.length, part.width)
    for run in problem.runs:
        yield from (run.length, run.lap // 2, run.lap - run.lap // 2, run.shortest, *(run.seams or ()))
    for part in problem.parts:
        yield from (part.length, part.width)
    yield from {problem.saw.kerf(stock.kind) for stock in problem.stocks}


def _copies(part: Part, times: int) -> tuple[Piece, ...]:
    return ((part.length, part.width, part.may_turn),) * (times * part.count)


def _choices(problem: Problem, unit: int, plain: bool) -> list[list[Wanted]]:
    """List, for every surface and every run, all that it may be laid from, its blocking included."""
    choices: list[set[Wanted]] = []
    for surface in problem.surfaces:
        full = {stock.width for stock in problem.stocks if stock.material == surface.material}
        widths = range(unit, max(full) + 1, unit)
        found = set()
        for pieces, edges in lay_outs(surface, widths, unit, sorted(full) if plain else ()):
            blocks = [(part.material, piece) for part in surface.blocking for piece in _copies(part, edges)]
            found.add(tuple(sorted([*((surface.material, piece) for piece in pieces), *blocks])))
        choices.append(found)
    for run in problem.runs:
        longest = max(stock.length for stock in problem.stocks if stock.material == run.material)
        laid = run_lay_outs(run, longest, unit)
        choices.append({tuple((run.material, piece) for piece in pieces) for pieces in laid})
    return [sorted(found) for found in choices]


def cheapest(problem: Problem, plain: bool = False) -> int | None:
    """
    Give the least total of a problem without counts and slants; None if nothing answers it.

    `plain` leaves out every stack of courses but the plain ones (see `lay_outs`). Every lay-out of every
    surface is combined with every one of the others and of every run; only where the wood alone already costs
    as much as a known answer are the cuts not tried.
    """
    unit = gcd(*_numbers(problem)) or 1
    fixed = [(part.material, piece) for part in problem.parts for piece in _copies(part, 1)]
    combined = {
        tuple(sorted([*fixed, *(piece for pieces in chosen for piece in pieces)]))
        for chosen in product(*_choices(problem, unit, plain))
    }
    stocks: dict[str, list[Stock]] = {}
    for s in problem.stocks:
        small = replace(s, length=s.length // unit, width=s.width // unit)
        stocks.setdefault(s.material, []).append(small)
    cutters = {
        material: _cutter(sizes, problem.saw.kerf(sizes[0].kind) // unit)
        for material, sizes in stocks.items()
    }
    best: int | None = None
    for wanted in combined:
        loads: dict[str, tuple[Piece, ...]] = {}
        for material, (length, width, turn) in wanted:
            loads[material] = (*loads.get(material, ()), (length // unit, width // unit, turn))
        if best is not None and sum(_at_least(stocks[m], load) for m, load in loads.items()) >= best:
            continue
        costs = [cutters[material](load) for material, load in loads.items()]
        if all(cost is not None for cost in costs):
            total = sum(cost or 0 for cost in costs)
            best = total if best is None else min(best, total)
    return best
