"""
Parts too small, or of too many sizes, to be planned with the surfaces: cut from what those leave, then from
more sheets.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from optimizer.engine import Clock
from optimizer.models.sheets import plan_sheets
from optimizer.offcuts import leftovers_of
from optimizer.plan import FROM_LEFTOVERS, Cut, Leftover, MaterialPlan
from optimizer.words import Part, Saw, Stock, Surface

__all__ = ["add_small_parts", "edge_costs", "pack_costs", "smallest_of", "spent"]


def spent(stocks: Sequence[Stock], costs: Sequence[int], cuts: Sequence[Cut]) -> int:
    """Price what cuts take, in whole packs; `costs` are those of one pack of each stock."""
    used: dict[tuple[str, bool], int] = {}
    for cut in cuts:
        used[cut.stock, cut.from_rack] = used.get((cut.stock, cut.from_rack), 0) + cut.repeat
    return sum(
        -(-used.get((stock.key, stock.from_rack), 0) // stock.pack) * cost
        for stock, cost in zip(stocks, costs, strict=True)
    )


def pack_costs(stocks: Sequence[Stock]) -> list[int]:
    """Give what one pack of each stock costs: cents, or 1 each where any has no price (fewest are sought)."""
    unpriced = any(stock.price is None for stock in stocks)
    return [1 if unpriced or stock.price is None else stock.price for stock in stocks]


def edge_costs(
    stocks: Sequence[Stock], surfaces: Sequence[Surface], blocking: Mapping[str, int]
) -> dict[str, int]:
    """Give, by surface label, what blocking one long edge costs beside these stocks; 0 where not priced."""
    unpriced = any(stock.price is None for stock in stocks)
    return {s.label: 0 if unpriced else blocking.get(s.label, 0) for s in surfaces}


def smallest_of(parts: Sequence[Part]) -> list[Part]:
    """Give the parts of the size with the shortest side."""
    shortest = min(min(part.length, part.width) for part in parts)
    first = next(part for part in parts if min(part.length, part.width) == shortest)
    return [p for p in parts if {p.length, p.width} == {first.length, first.width}]


def add_small_parts(
    plan: MaterialPlan,
    stocks: Sequence[Stock],
    costs: Sequence[int],
    parts: Sequence[Part],
    saw: Saw,
    clock: Clock,
) -> MaterialPlan:
    """
    Cut parts from what a plan leaves, and from more sheets where that is not enough.

    Parameters
    ----------
    costs
        Of one pack of each stock: cents, or 1 where nothing is priced.
    parts
        Small parts of the plan's material.

    Returns
    -------
    MaterialPlan
        The bound stays what it was: it holds, since more parts never cost less.
    """
    numbered = [replace(cut, id=str(number)) for number, cut in enumerate(plan.cuts)]
    left = _left_over(numbered, min(min(part.length, part.width) for part in parts))
    used = Counter(cut.stock for cut in plan.cuts if not cut.from_rack for _ in range(cut.repeat))
    offcuts = [
        Stock(key, plan.outcome.material, "sheet", rests[0].length, rests[0].width, 0, len(rests), 1, True)
        for key, rests in left.items()
    ]
    new = [
        replace(
            s,
            price=cost,
            available=None if s.available is None else max(0, s.available * s.pack - used[s.key]) // s.pack,
        )
        for s, cost in zip(stocks, costs, strict=True)
        if not s.from_rack
    ]
    added = plan_sheets(plan.outcome.material, [*new, *offcuts], parts, saw, clock)
    cuts: list[Cut] = []
    for cut in added.cuts:
        for _ in range(cut.repeat if cut.stock in left else 1):
            if cut.stock in left:
                rest = left[cut.stock].pop(0)
                numbered[int(rest.cut)] = _joined(numbered[int(rest.cut)], rest, cut)
            else:
                cuts.append(cut)
    whole = (*(replace(cut, id="") for cut in numbered), *cuts)
    # Packs opened for the surfaces may hold sheets for the small parts.
    cost = spent(stocks, costs, whole)
    outcome = replace(
        plan.outcome,
        cost=cost,
        proved=plan.outcome.proved and plan.outcome.bound == cost,
        family=f"{plan.outcome.family}, {FROM_LEFTOVERS}",
        seconds=clock.spent(),
    )
    return MaterialPlan(whole, plan.courses, outcome)


def _left_over(cuts: Sequence[Cut], least: int) -> dict[str, list[Leftover]]:
    """Give what cuts leave that is no narrower and no shorter than `least`, by what its size is called."""
    left: dict[str, list[Leftover]] = {}
    for cut in cuts:
        outs = {(x + cut.kerf, y + cut.kerf) for piece in cut.pieces for x, y, _, _ in piece.openings}
        for rest in leftovers_of(cut):
            # What comes out of an opening is not freed by saw cuts from edge to edge.
            if min(rest.length, rest.width) >= least and (rest.x, rest.y) not in outs:
                left.setdefault(f"left over {rest.length} x {rest.width}", []).append(rest)
    return left


def _joined(cut: Cut, rest: Leftover, inner: Cut) -> Cut:
    """Put the cuts of a leftover behind those that made it."""
    x, y = rest.x, rest.y
    return replace(
        cut,
        pieces=(*cut.pieces, *(replace(p, x=p.x + x, y=p.y + y) for p in inner.pieces)),
        steps=(*cut.steps, *(replace(s, x=s.x + x, y=s.y + y) for s in inner.steps)),
        tight=cut.tight or inner.tight,
    )
