"""
Two stages and a trim, strips ripped first: the way of cutting with the fewest set-ups at a panel saw.

The pattern LP bounds the cost; its patterns, used as often as it says but rounded down, leave a small
question that is asked again, with its own patterns, until the time is over.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from math import ceil
from random import Random

from optimizer.engine import Clock
from optimizer.models.sheets_free import Freely
from optimizer.models.sheets_master import Master, least_cost
from optimizer.models.sheets_pricing import frames_of
from optimizer.models.sheets_question import Question
from optimizer.models.sheets_search import dive
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
    known.offer([p for p, x in used for _ in range(ceil(x))])
    known.offer(dive(master) or [])
    known.offer(master.best_of_pool(clock.share(0.2 * clock.left()), known.cost) or [])
    draw, turn = Random(1), 0
    while not known.proved and clock.left() > 0:
        fixed = [p for p, x in used for _ in range(int(x + 1e-6))]
        for _ in range(min(len(fixed), 2 * turn)):
            fixed.pop(draw.randrange(len(fixed)))
        for rest in _rests(known, fixed, clock.share(4.0 + turn)):
            known.offer([*fixed, *rest])
        turn += 1
    return known


def _master(question: Question, clock: Clock) -> Master:
    return Master(question, clock, frames=frames_of(question, stages=2, ways=("rip",)))


def _rests(known: Freely, fixed: list[Pattern], clock: Clock) -> Iterator[list[Pattern]]:
    """Plan what the fixed patterns leave: by a dive of its own, then by the best mix of the patterns seen."""
    question = known.question
    left, used = list(question.counts), [0] * len(question.sheets)
    for pattern in fixed:
        used[pattern.sheet] += 1
        left = [max(0, n - made) for n, made in zip(left, pattern.yields(len(left)), strict=True)]
    if not any(left):
        yield []
        return
    sheets = tuple(
        replace(s, packs=None if s.packs is None else s.packs - n)
        for s, n in zip(question.sheets, used, strict=True)
    )
    master = _master(replace(question.asking(left), sheets=sheets), clock)
    yield dive(master) or []
    below = None if known.cost is None else known.cost - question.cost(used)
    yield master.best_of_pool(clock, below) or []
