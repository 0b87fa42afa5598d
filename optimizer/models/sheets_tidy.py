"""Among plans of one cost: none tight if avoidable, few different patterns, few cuts, one large leftover."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from optimizer.engine import Clock, LinearModel, run_highs
from optimizer.models.sheets_close import Closing
from optimizer.models.sheets_cuts import cuts_of, is_tight, without_surplus
from optimizer.models.sheets_master import Master
from optimizer.models.sheets_question import Question
from optimizer.models.sheets_search import dive, improve, used_sheets
from optimizer.models.sheets_trees import Pattern
from optimizer.plan import Cut

__all__ = ["tidy"]

NODES = 200
"""A limit on the trees of this stage that doesn't depend on the machine."""

MOST_PATTERNS = 400


def tidy(known: Closing) -> tuple[Cut, ...]:
    """Give the cuts of the tidiest plan found at the best plan's cost."""
    question, plan, clock = known.question, known.plan or [], known.master.clock
    plans = [plan]
    purchase = used_sheets(len(question.sheets), plan)
    pool = list(known.master.pool)
    if any(is_tight(question, p) for p in plan):
        loose, more = _loose(question, purchase, clock)
        pool += more
        plans += [loose] if loose is not None else []
    chosen = _fewest(known, [*pool, *(p for one in plans for p in one)], purchase, clock)
    plans += [chosen] if chosen is not None else []
    drawn = [cuts_of(question, without_surplus(question, one)) for one in plans]
    return min(drawn, key=_untidiness)


def _untidiness(cuts: Sequence[Cut]) -> tuple[int, ...]:
    """Count what should be low, the weightiest first."""
    tight = sum(c.repeat for c in cuts if c.tight)
    steps = sum(len(c.steps) for c in cuts)
    return tight, len(cuts), steps, -max((_largest_rest(c) for c in cuts), default=0)


def _largest_rest(cut: Cut) -> int:
    """Give the area of the largest rectangle that no piece touches, along an edge of the stock."""
    return max(
        (cut.length - max(p.x + p.length for p in cut.pieces)) * cut.width,
        (cut.width - max(p.y + p.width for p in cut.pieces)) * cut.length,
    )


def _loose(
    question: Question, purchase: Sequence[int], clock: Clock
) -> tuple[list[Pattern] | None, list[Pattern]]:
    """Plan again on sheets a quarter inch shorter and narrower: nothing is tight on them."""
    whole = any(not item.width for item in question.items)
    sheets = tuple(
        replace(s, length=s.loose_length, width=s.width if whole else s.loose_width) for s in question.sheets
    )
    smaller = replace(question, sheets=sheets)
    if {x.item for s in sheets for x in smaller.shapes(s)} != set(range(len(question.items))):
        return None, []
    master = Master(smaller, clock)
    relaxed, _ = master.relax([0] * len(sheets), purchase, 1)
    if relaxed is None or relaxed.value > 1e-6:
        return None, list(master.pool)
    plan = dive(master, purchase) or improve(smaller, purchase, clock, rounds=20)
    return plan, list(master.pool)


def _fewest(
    known: Closing, pool: Sequence[Pattern], purchase: Sequence[int], clock: Clock
) -> list[Pattern] | None:
    """Choose within the purchase, first few tight sheets, then few different patterns."""
    question, cover = known.question, known.covers[0]
    spare = sum(v * n for v, n in zip(cover.worth, purchase, strict=True)) - cover.wanted
    values = np.array(cover.values, dtype=np.int64)
    useful: dict[Pattern, tuple[int, ...]] = {}
    for pattern in pool:
        made = pattern.yields(len(question.items))
        if purchase[pattern.sheet] and int(values @ np.array(made)) >= cover.worth[pattern.sheet] - spare:
            useful.setdefault(pattern, made)
    if len(useful) > MOST_PATTERNS:
        return None
    model = LinearModel()
    for pattern in useful:
        model.column(1000 if is_tight(question, pattern) else 0)
    for item, count in enumerate(question.counts):
        model.row([(c, made[item]) for c, made in enumerate(useful.values())], lower=count)
    for s, limit in enumerate(purchase):
        model.row([(c, 1) for c, pattern in enumerate(useful) if pattern.sheet == s], upper=limit)
    for column, pattern in enumerate(list(useful)):
        chosen = model.column(1, 1)
        model.row([(column, 1), (chosen, -purchase[pattern.sheet])], upper=0)
    solved = run_highs(model, clock, nodes=NODES)
    if solved.values is None:
        return None
    return [p for p, n in zip(useful, solved.values, strict=False) for _ in range(n)]
