"""What the yard has too little of, said with numbers: how many there are, and how many it would take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from optimizer.engine import Clock
from optimizer.errors import NoPlan
from optimizer.models.breaks import Ask
from optimizer.plan import MaterialPlan
from optimizer.words import Stock

__all__ = ["plan_from_what_there_is"]

_SECONDS = 5.0
"""For finding out how many it would take; only then is it sure that the limit stands in the way."""


def plan_from_what_there_is(
    material: str, stocks: Sequence[Stock], ask: Ask, clock: Clock, alone: bool = True
) -> MaterialPlan:
    """
    Plan a material; where that fails only because the yard has too little, say so with numbers.

    Parameters
    ----------
    alone
        False where something beside this stock costs, too, so that the cheapest plan may not be that with the
        fewest pieces.

    Raises
    ------
    NoPlan
        As the model does, or naming the material, what the yard has, and what it would take.
    """
    limited = [s for s in stocks if s.available is not None and not s.from_rack]
    plenty = [s if s.from_rack else replace(s, available=None) for s in stocks]
    if limited and alone and len(stocks) == 1 and not stocks[0].breaks:
        # With one size the cheapest plan has the fewest pieces: enough or not, that settles it.
        plan = ask(plenty, clock)
        if _packs(plan, stocks[0]) <= (stocks[0].available or 0):
            return plan
        if plan.outcome.proved:
            raise NoPlan(_told(material, limited, plenty, plan))
    try:
        return ask(stocks, clock)
    except NoPlan as error:
        if not limited:
            raise
        # The clock may have run out over the shortage; a plan without limits is quickly found.
        spare = clock.share(_SECONDS) if clock.left() > _SECONDS else Clock(_SECONDS)
        try:
            wanted = ask(plenty, spare)
        except NoPlan:
            raise error from None
    raise NoPlan(_told(material, limited, plenty, wanted))


def _packs(plan: MaterialPlan, stock: Stock) -> int:
    used = sum(cut.repeat for cut in plan.cuts if cut.stock == stock.key and not cut.from_rack)
    return -(-used // stock.pack)


def _told(material: str, limited: Sequence[Stock], stocks: Sequence[Stock], plan: MaterialPlan) -> str:
    has = ", ".join(_number(s, s.available or 0) for s in limited)
    takes = ", ".join(_number(s, n) for s in stocks if not s.from_rack and (n := _packs(plan, s)))
    return (
        f"there is too little {material}: the yard has {has}, and with enough of it this would take {takes}; "
        "add another size to the price book, or ask the yard for more"
    )


def _number(stock: Stock, packs: int) -> str:
    return f"{packs} x {stock.key}" + (f" (packs of {stock.pack})" if stock.pack > 1 else "")
