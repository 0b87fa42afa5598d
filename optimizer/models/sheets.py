"""
Model 4: rectangles cut from sheets, and ripped parts from boards, by saw cuts of up to three stages.

A board is a narrow sheet. The pattern LP bounds the purchase, its patterns make plans, and an integer
model of flows closes what is left between the two.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

from optimizer.engine import Clock
from optimizer.errors import NoPlan
from optimizer.models.sheets_close import Closing
from optimizer.models.sheets_master import Master, cheapest_purchase
from optimizer.models.sheets_question import Question, question_of
from optimizer.models.sheets_search import dive, shelves
from optimizer.models.sheets_tidy import tidy
from optimizer.plan import MaterialPlan, Outcome
from optimizer.words import Part, Saw, Stock

__all__ = ["FAMILY", "plan_sheets"]

FAMILY = "saw cuts of up to 3 stages"

MANY = 100
"""Pieces from which a good plan is sought before purchases are settled one by one."""


def plan_sheets(
    material: str, stocks: Sequence[Stock], parts: Sequence[Part], saw: Saw, clock: Clock
) -> MaterialPlan:
    """
    Cut rectangular parts from sheets or boards so that what must be bought costs least.

    Parameters
    ----------
    stocks
        Sizes of this one material. If any has no price, the fewest pieces are sought instead.
    parts
        Width 0 keeps the stock's own width. Slanting ends are not nested here: a part takes up its rectangle.

    Raises
    ------
    NoPlan
        If a part fits no stock, or the yard has too little.
    """
    question = question_of(stocks, parts, saw)
    if not question.items:
        return MaterialPlan((), (), Outcome(material, 0, 0, True, FAMILY, ("nothing is asked for",)))
    known = _solved(material, question, clock)
    if known.plan is None:
        raise NoPlan(f"no way was found to cut all parts of {material} from what the yard and the rack have")
    witnesses = known.witnesses()
    tidied = tidy(known, partial(_for_no_more, material, clock=clock), clock)
    # Where the cost was not settled, the tie-breaks may have come upon something cheaper.
    cost = question.cost(
        [
            sum(c.repeat for c in tidied.cuts if (c.stock, c.from_rack) == (s.key, s.from_rack))
            for s in question.stocks
        ]
    )
    return MaterialPlan(
        tidied.cuts,
        (),
        Outcome(
            material,
            cost,
            known.bound,
            known.bound == cost and len(witnesses) > 1,
            FAMILY,
            witnesses,
            clock.spent(),
            tidied.levels,
        ),
    )


def _for_no_more(material: str, question: Question, cost: int, clock: Clock) -> Closing | None:
    """Seek a plan of another question that costs no more than this; None if some part fits no sheet."""
    fit = {x.item for s in question.sheets for x in question.shapes(s)}
    if len(fit) < len(question.items):
        return None
    master = Master(question, clock.share(0.5 * clock.left()))
    known = Closing(master, material, [master.area()], most=cost)
    costs = master.piece_costs()
    _, duals = master.relax(costs, [s.limit for s in question.sheets], 10 * (sum(costs) + 1))
    if duals is None:
        return None
    known.covers.insert(0, master.cover(duals))
    known.close()
    return known


def _solved(material: str, question: Question, clock: Clock) -> Closing:
    """Bound by the pattern LP, plan from its patterns, close the rest."""
    master = Master(question, clock.share(0.9 * clock.left()))
    known = Closing(master, material, [master.area()])
    known.offer(shelves(question))
    costs = master.piece_costs()
    relaxed, duals = master.relax(costs, [s.limit for s in question.sheets], 10 * (sum(costs) + 1))
    if duals is not None:
        known.covers.insert(0, master.cover(duals))
    if cheapest_purchase(question, known.covers) is None:
        raise NoPlan(f"all that the yard and the rack have of {material} is too little for its parts")
    known.next_purchase()
    shares = (
        []
        if relaxed is None
        else [(p, x) for p, x in zip(master.pool, relaxed.values, strict=False) if x > 1e-6]
    )
    if known.cost != known.bound:
        known.offer(dive(master))
    if sum(question.counts) > MANY:
        known.search_on(master.clock.share(0.4 * master.clock.left()), shares, turns=20)
    known.close()
    known.search_on(master.clock, shares)
    return known
