"""A sound but wasteful plan for any lay-out: every piece from a stock of its own."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from optimizer.plan import Bought, Course, Cut, CutPiece, Leftover, Outcome, Plan, SawCut
from optimizer.words import Problem, Stock

__all__ = ["cut_alone", "plain_plan", "priced"]


def cut_alone(
    identity: str, stock: Stock, kerf: int, label: str, length: int, width: int, *, turned: bool = False
) -> tuple[Cut, tuple[Leftover, ...]]:
    """Cut one piece from the corner of one stock: ripped first, then crosscut. Keep both offcuts."""
    width = width or stock.width
    steps, kept = [], []
    if width < stock.width:
        steps.append(SawCut("rip", 0, 0, stock.length, stock.width, width))
        if (rest := stock.width - width - kerf) > 0:
            kept.append(Leftover(stock.key, stock.length, rest, identity, 0, width + kerf))
    if length < stock.length:
        steps.append(SawCut("crosscut", 0, 0, stock.length, width, length))
        if (rest := stock.length - length - kerf) > 0:
            kept.append(Leftover(stock.key, rest, width, identity, length + kerf, 0))
    piece = CutPiece(label, 0, 0, length, width, turned)
    cut = Cut(
        identity,
        stock.key,
        stock.length,
        stock.width,
        kerf,
        (piece,),
        tuple(steps),
        from_rack=stock.from_rack,
    )
    return cut, tuple(kept)


def _pieces(problem: Problem, lay: Sequence[Course]) -> list[tuple[str, str, int, int]]:
    """List label, material, length and width of everything that must be cut."""
    surfaces = {surface.label: surface for surface in problem.surfaces}
    runs = {run.label: run for run in problem.runs}
    pieces = []
    parts = list(problem.parts)
    for course in lay:
        surface = surfaces.get(course.plane)
        target = surface or runs[course.run]
        for piece in course.pieces:
            width = course.width if surface else 0
            pieces.append((piece.label, target.material, piece.end - piece.start, width))
        if surface and course.width + surface.rule.gap < surface.rule.blocked_below:
            parts.extend(2 * surface.blocking)
    for part in parts:
        pieces.extend([(part.label, part.material, part.length, part.width)] * part.count)
    return pieces


def plain_plan(problem: Problem, lay: Sequence[Course]) -> Plan:
    """Cut every piece from the first stock that holds it, buy what that takes, and claim nothing."""
    cuts: list[Cut] = []
    keep: list[Leftover] = []
    used = Counter[str]()
    for label, material, length, width in _pieces(problem, lay):
        stock = next(
            s
            for s in problem.stocks
            if s.material == material
            and s.length >= length
            and s.width >= width
            and not (s.from_rack and used[s.key])
        )
        used[stock.key] += 1
        cut, left = cut_alone(f"C{len(cuts) + 1}", stock, problem.saw.kerf(stock.kind), label, length, width)
        cuts.append(cut)
        keep.extend(left)
    return priced(problem, lay, cuts, keep)


def priced(
    problem: Problem, lay: Sequence[Course], cuts: Sequence[Cut], keep: Sequence[Leftover] = ()
) -> Plan:
    """Buy what these cuts take, and what is counted, and claim nothing."""
    used = Counter[str]()
    for cut in cuts:
        used[cut.stock] += cut.repeat
    for count in problem.counts:
        used[next(s.key for s in problem.stocks if s.material == count.material)] += count.quantity
    buy = _shopping(problem, used)
    outcomes = _outcomes(problem, buy)
    total = sum(row.cost or 0 for row in buy)
    return Plan(
        buy,
        tuple(cuts),
        tuple(lay),
        tuple(keep),
        outcomes,
        total,
        total - sum(outcome.cost for outcome in outcomes),
        sum(cut.repeat for cut in cuts),
    )


def _shopping(problem: Problem, used: Counter[str]) -> tuple[Bought, ...]:
    rows = []
    spare = dict(problem.spare)
    for stock in problem.stocks:
        if not used[stock.key]:
            continue
        extra = 0 if stock.from_rack else spare.pop(stock.material, 0)
        count = -(-(used[stock.key] + extra) // stock.pack)
        cost = None if stock.price is None else count * stock.price
        rows.append(Bought(stock.key, count, used[stock.key], stock.price, cost, stock.from_rack, extra))
    return tuple(rows)


def _outcomes(problem: Problem, buy: Sequence[Bought]) -> tuple[Outcome, ...]:
    """Bound nothing; spares are no part of what a material costs."""
    stocks = {stock.key: stock for stock in problem.stocks}
    costs = Counter[str]()
    for row in buy:
        stock = stocks[row.stock]
        costs[stock.material] += -(-row.needed // stock.pack) * (row.unit_price or 0)
    return tuple(Outcome(name, cost, 0, False, "a stock a piece", ()) for name, cost in costs.items())
