"""
Model 6 for sheets: among plans of one cost the easiest to cut and the most useful to keep from.

In order: no sheet cut tight if that can be, the fewest sheets, the fewest different ways to cut one and the
fewest cuts, the largest leftover. Plans are chosen from the patterns met on the way; each step has a limit
that does not depend on the machine. Whatever comes up is drawn and measured, so no step can spoil another.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from optimizer.engine import Clock, LinearModel, run_highs
from optimizer.models.sheets_close import Closing
from optimizer.models.sheets_cuts import cuts_of, is_tight, prune, without_surplus
from optimizer.models.sheets_master import cheapest_purchase
from optimizer.models.sheets_question import Question
from optimizer.models.sheets_search import used_sheets
from optimizer.models.sheets_trees import Pattern
from optimizer.plan import Cut

__all__ = ["Tidied", "tidy"]

NODES = 5
"""A limit on the trees of this stage that doesn't depend on the machine."""

MOST_PATTERNS = 40
"""Patterns chosen from: those of the plans, then those that lose least."""

PROVED = "proved"
ALIKE = "best of its kind"
"""Nothing is better among the patterns met on the way, or in the same model without a second witness."""
FOUND = "best found"

Levels = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Tidied:
    """The cuts of the tidiest plan, and how far each tie-break went."""

    cuts: tuple[Cut, ...]
    levels: Levels


def tidy(known: Closing, solve: Callable[[Question, int], Closing | None], clock: Clock) -> Tidied:
    """
    Break ties among the plans that cost no more than the best one.

    Parameters
    ----------
    solve
        Plans another question for no more than a cost; None where nothing can be said of it.
    """
    question, plan, cost = known.question, known.plan or [], known.cost or 0
    plans, pool = [plan], list(known.master.pool)
    slack = FOUND
    if any(is_tight(question, p) for p in plan):
        loose = solve(_loosened(question), cost)
        if loose is not None:
            plans += [loose.plan] if loose.plan is not None and (loose.cost or 0) <= cost else []
            pool += loose.master.pool
            slack = ALIKE if loose.bound > cost else FOUND
    chosen, whole = _easiest(known, pool, plans, clock)
    plans += chosen
    drawn = [
        cuts_of(question, without_surplus(question, one))
        for one in plans
        if question.cost(used_sheets(len(question.sheets), one)) <= cost
    ]
    cuts = min(drawn, key=_untidiness)
    tight, pieces, *_ = _untidiness(cuts)
    levels = (
        ("slack", slack if tight else PROVED),
        ("pieces", PROVED if pieces <= _fewest_sheets(known) else ALIKE if whole else FOUND),
        ("set-ups", PROVED if len(cuts) == 1 else ALIKE if whole else FOUND),
        ("leftover", FOUND),
    )
    return Tidied(cuts, levels)


def _untidiness(cuts: Sequence[Cut]) -> tuple[int, ...]:
    """Count what should be low, the weightiest first."""
    tight = sum(c.repeat for c in cuts if c.tight)
    steps = sum(len(c.steps) for c in cuts)
    largest = max((_largest_rest(c) for c in cuts), default=0)
    return tight, sum(c.repeat for c in cuts), len(cuts), steps, -largest


def _largest_rest(cut: Cut) -> int:
    """Give the area of the largest rectangle that no piece touches, along an edge of the stock."""
    return max(
        (cut.length - max(p.x + p.length for p in cut.pieces)) * cut.width,
        (cut.width - max(p.y + p.width for p in cut.pieces)) * cut.length,
    )


def _loosened(question: Question) -> Question:
    """Ask for the same from sheets a quarter inch shorter and narrower: nothing is tight on them."""
    whole = any(not item.width for item in question.items)
    sheets = tuple(
        replace(s, length=s.loose_length, width=s.width if whole else s.loose_width) for s in question.sheets
    )
    return replace(question, sheets=sheets)


def _fewest_sheets(known: Closing) -> int:
    """Give how many sheets a plan of this cost needs at least, by the cuts and the refuted purchases."""
    sheets, cost = known.question.sheets, known.cost or 0
    if known.bound < cost or any(s.pack > 1 for s in sheets):
        return 1
    found = cheapest_purchase(known.question, known.covers, list(known.refuted), cost + 1)
    return 1 if found is None else sum(found[1])


def _useful(
    known: Closing, pool: Sequence[Pattern], plans: Sequence[Sequence[Pattern]]
) -> dict[Pattern, tuple[int, ...]]:
    """Give the patterns of the plans, then those of the pool that lose least, up to a number."""
    question, cover = known.question, known.covers[0]
    made = {p: p.yields(len(question.items)) for p in [*(p for one in plans for p in one), *pool]}
    kept = {p for one in plans for p in one}

    def loss(pattern: Pattern) -> int:
        return cover.worth[pattern.sheet] - sum(
            v * n for v, n in zip(cover.values, made[pattern], strict=True)
        )

    order = sorted(made, key=lambda p: (p not in kept, loss(p)))
    return {p: made[p] for p in order[: max(MOST_PATTERNS, len(kept))]}


class _Choice:
    """The model that chooses patterns at no more than the cost: a column for how often, one for whether."""

    def __init__(self, known: Closing, useful: dict[Pattern, tuple[int, ...]]) -> None:
        question = self.question = known.question
        self.patterns = list(useful)
        self.made = list(useful.values())
        self.lasts: list[int] = []
        self.tight = [int(is_tight(question, p)) for p in self.patterns]
        self.model = model = LinearModel()
        # Using a pattern more often than its scarcest need asks for makes surplus only.
        most = [
            max(-(-n // m) for n, m in zip(question.counts, made, strict=True) if m) for made in self.made
        ]
        self.times = [model.column(0, n) for n in most]
        self.whether = [model.column(0, 1) for _ in useful]
        self.rows = [
            model.row([(c, made[item]) for c, made in zip(self.times, self.made, strict=True)], lower=count)
            for item, count in enumerate(question.counts)
        ]
        packs = []
        for s, sheet in enumerate(question.sheets):
            used = [(c, 1) for c, p in zip(self.times, self.patterns, strict=True) if p.sheet == s]
            packs.append(model.column(0, sheet.packs))
            model.row([*used, (packs[-1], -sheet.pack)], upper=0)
        model.row([(c, s.cost) for c, s in zip(packs, question.sheets, strict=True)], upper=known.cost)
        for time, whether, n in zip(self.times, self.whether, most, strict=True):
            model.row([(time, 1), (whether, -n)], upper=0)

    def read(self, values: Sequence[int]) -> list[Pattern]:
        return [p for p, c in zip(self.patterns, self.times, strict=True) for _ in range(values[c])]

    def hold(self, values: Sequence[int]) -> None:
        """Let no later step use more tight sheets, sheets or patterns."""
        for columns, costs in (
            (self.times, self.tight),
            (self.times, [1] * len(self.times)),
            (self.whether, [1] * len(self.times)),
        ):
            pairs = list(zip(columns, costs, strict=True))
            self.model.row(pairs, upper=sum(values[c] * cost for c, cost in pairs))

    def read_with_last(self, values: Sequence[int]) -> list[Pattern]:
        """Leave to the last sheet only what the others don't make."""
        plan = self.read(values)
        last = next(p for p, c in zip(self.patterns, self.lasts, strict=True) if values[c])
        plan.remove(last)
        plan = without_surplus(self.question, plan)
        left = list(self.question.counts)
        for pattern in plan:
            left = [n - m for n, m in zip(left, pattern.yields(len(left)), strict=True)]
        tree = prune(last.tree, left)
        return plan if tree is None else [*plan, Pattern(last.sheet, tree)]

    def last(self) -> dict[int, int]:
        """Let one sheet in use be the last; give the costs that keep the pieces left for it small."""
        model, areas = self.model, [i.length * max(i.width, 1) for i in self.question.items]
        lasts = self.lasts = [model.column(0, 1) for _ in self.patterns]
        model.row([(c, 1) for c in lasts], lower=1, upper=1)
        for last, time in zip(lasts, self.times, strict=True):
            model.row([(time, 1), (last, -1)], lower=0)
        costs = {}
        for item, count in enumerate(self.question.counts):
            rest = model.column(0, count)
            terms = [(c, made[item]) for c, made in zip(self.times, self.made, strict=True)]
            taken = [(c, -made[item]) for c, made in zip(lasts, self.made, strict=True)]
            model.row([*terms, *taken, (rest, 1)], lower=count)
            costs[rest] = areas[item]
        return costs


def _easiest(
    known: Closing, pool: Sequence[Pattern], plans: Sequence[Sequence[Pattern]], clock: Clock
) -> tuple[list[list[Pattern]], bool]:
    """
    Choose few tight sheets, then few sheets, then few patterns, then little on the last sheet.

    Returns
    -------
    The plans found, and whether the first three were settled among these patterns.
    """
    choice = _Choice(known, _useful(known, pool, plans))
    size = sum(known.question.counts) + 1
    for time, whether, tight in zip(choice.times, choice.whether, choice.tight, strict=True):
        choice.model.costs[time] = size * (1 + size * tight)
        choice.model.costs[whether] = 1
    solved = run_highs(choice.model, clock, nodes=NODES)
    if solved.values is None:
        return [], False
    found = [choice.read(solved.values)]
    choice.hold(solved.values)
    costs = choice.last()
    choice.model.costs = [costs.get(c, 0) for c in range(len(choice.model.uppers))]
    least = run_highs(choice.model, clock, nodes=1)
    if least.values is not None:
        found.append(choice.read_with_last(least.values))
    return found, solved.optimal
