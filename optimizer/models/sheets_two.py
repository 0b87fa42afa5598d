"""
Two stages and a trim, strips ripped first: the way of cutting with the fewest set-ups at a panel saw.

The pattern LP bounds the cost; its patterns, used as often as it says but rounded down, leave a small
question that is asked again, with its own patterns, until the time is over.
"""

from __future__ import annotations

from random import Random

from optimizer.engine import Clock
from optimizer.models.sheets_free import Freely
from optimizer.models.sheets_master import Master, least_cost
from optimizer.models.sheets_pricing import frames_of
from optimizer.models.sheets_question import Question
from optimizer.models.sheets_trees import Pattern

__all__ = ["FAMILY", "cut_in_two_stages"]

FAMILY = "sheets ripped into strips, strips crosscut, pieces trimmed"


def cut_in_two_stages(question: Question, clock: Clock) -> Freely:
    """Plan a question of sheets without packs; bound and plan are for patterns of two stages and a trim."""
    known = Freely(question)
    master = _master(question, clock)
    costs = master.piece_costs()
    relaxed, duals = master.relax(costs, [s.limit for s in question.sheets], 10 * (sum(costs) + 1))
    if relaxed is None or duals is None:
        return known
    known.raise_bound(least_cost(question, [master.cover(duals)]))
    used = [(p, x) for p, x in zip(list(master.pool), relaxed.values, strict=False) if x > 1e-6]
    known.offer(master.best_of_pool(clock.share(0.3 * clock.left())) or [])
    draw, turn = Random(1), 0
    while not known.proved and clock.left() > 0:
        fixed = [p for p, x in used for _ in range(int(x + 1e-6))]
        for _ in range(min(len(fixed), 2 * turn)):
            fixed.pop(draw.randrange(len(fixed)))
        known.offer([*fixed, *_rest(question, fixed, clock.share(4.0 + turn))])
        turn += 1
    return known


def _master(question: Question, clock: Clock) -> Master:
    return Master(question, clock, frames=frames_of(question, stages=2, ways=("rip",)))


def _rest(question: Question, fixed: list[Pattern], clock: Clock) -> list[Pattern]:
    """Plan what the fixed patterns leave: its own pattern LP, then the best mix of the patterns seen."""
    left = list(question.counts)
    for pattern in fixed:
        left = [max(0, n - made) for n, made in zip(left, pattern.yields(len(question.items)), strict=True)]
    if not any(left):
        return []
    master = _master(question.asking(left), clock)
    costs = master.piece_costs()
    relaxed, _ = master.relax(costs, [None] * len(costs), 10 * (sum(costs) + 1))
    return [] if relaxed is None else master.best_of_pool(clock) or []
