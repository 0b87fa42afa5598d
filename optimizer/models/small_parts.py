"""
Parts too small, or of too many sizes, to be planned with the surfaces: cut from what those leave, then from
more sheets.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from optimizer.engine import Clock
from optimizer.models.sheets import plan_sheets
from optimizer.offcuts import leftovers_of
from optimizer.plan import FROM_LEFTOVERS, Cut, Leftover, MaterialPlan
from optimizer.words import Part, Saw, Stock

__all__ = ["add_small_parts", "smallest_of"]


def smallest_of(parts: Sequence[Part]) -> list[Part]:
    """Give the parts of the size with the shortest side."""
    shortest = min(min(part.length, part.width) for part in parts)
    first = next(part for part in parts if min(part.length, part.width) == shortest)
    return [p for p in parts if {p.length, p.width} == {first.length, first.width}]


def add_small_parts(
    plan: MaterialPlan,
    stocks: Sequence[Stock],
    costs: Mapping[str, int],
    parts: Sequence[Part],
    saw: Saw,
    clock: Clock,
) -> MaterialPlan:
    """
    Cut parts from what a plan leaves, and from more sheets where that is not enough.

    Parameters
    ----------
    costs
        Of one pack of each stock, by its key: cents, or 1 where nothing is priced.
    parts
        Small parts of the plan's material.

    Returns
    -------
    MaterialPlan
        The bound stays what it was: it holds, since more parts never cost less.
    """
    least = min(min(part.length, part.width) for part in parts)
    left: dict[str, list[Leftover]] = {}
    numbered = [replace(cut, id=str(number)) for number, cut in enumerate(plan.cuts)]
    for cut in numbered:
        for rest in leftovers_of(cut):
            if min(rest.length, rest.width) >= least:
                left.setdefault(f"left over {rest.length} x {rest.width}", []).append(rest)
    used = {key: sum(c.repeat for c in plan.cuts if c.stock == key and not c.from_rack) for key in costs}
    offcuts = [
        Stock(key, plan.outcome.material, "sheet", rests[0].length, rests[0].width, 0, len(rests), 1, True)
        for key, rests in left.items()
    ]
    new = [
        replace(
            s,
            price=costs[s.key],
            available=None if s.available is None else max(0, s.available * s.pack - used[s.key]) // s.pack,
        )
        for s in stocks
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
    cost = plan.outcome.cost + added.outcome.cost
    outcome = replace(
        plan.outcome,
        cost=cost,
        proved=plan.outcome.proved and plan.outcome.bound == cost,
        family=f"{plan.outcome.family}, {FROM_LEFTOVERS}",
        seconds=clock.spent(),
    )
    whole = (*(replace(cut, id="") for cut in numbered), *cuts)
    return MaterialPlan(whole, plan.courses, outcome)


def _joined(cut: Cut, rest: Leftover, inner: Cut) -> Cut:
    """Put the cuts of a leftover behind those that made it."""
    x, y = rest.x, rest.y
    return replace(
        cut,
        pieces=(*cut.pieces, *(replace(p, x=p.x + x, y=p.y + y) for p in inner.pieces)),
        steps=(*cut.steps, *(replace(s, x=s.x + x, y=s.y + y) for s in inner.steps)),
        tight=cut.tight or inner.tight,
    )
