"""Good plans fast: at once by shelves, or by a dive from the pattern LP."""

from __future__ import annotations

from collections.abc import Sequence

from optimizer.models.sheets_master import Master
from optimizer.models.sheets_question import Question, Shape
from optimizer.models.sheets_trees import Pattern, join

__all__ = ["dive", "shelves", "used_sheets"]


def used_sheets(sheets: int, patterns: Sequence[Pattern]) -> list[int]:
    """Count the pieces of each sheet that patterns use."""
    used = [0] * sheets
    for pattern in patterns:
        used[pattern.sheet] += 1
    return used


def dive(master: Master, purchase: Sequence[int] | None = None) -> list[Pattern] | None:
    """
    Fix the LP's whole patterns, else its largest fraction, and ask again for what is left.

    Parameters
    ----------
    purchase
        Pieces of each sheet that may be used, at no cost; without it, whatever is cheapest.

    Returns
    -------
    A plan, or None if the purchase didn't suffice or time ran out. Its patterns join the pool either way.
    """
    question = master.question
    costs = master.piece_costs() if purchase is None else [0] * len(question.sheets)
    limits = [s.limit for s in question.sheets] if purchase is None else list(purchase)
    unmet = 10 * (max(costs) + 1)
    left = list(question.counts)
    plan: list[Pattern] = []
    while any(left):
        relaxed, _ = master.relax(costs, limits, unmet, left, rounds=12)
        if relaxed is None:
            return None
        shares = list(zip(relaxed.values, list(master.pool), strict=False))
        whole = [(p, int(x + 1e-6)) for x, p in shares if x > 1 - 1e-6]
        if not whole:
            share, pattern = max(shares, key=lambda pair: pair[0], default=(0.0, None))
            if pattern is None or share < 1e-6:
                return None
            whole = [(pattern, 1)]
        for pattern, n in whole:
            for _ in range(n):
                limit = limits[pattern.sheet]
                made = master.pool[pattern]
                if limit == 0 or not any(min(m, x) for m, x in zip(made, left, strict=True)):
                    break
                plan.append(pattern)
                left = [max(0, x - m) for x, m in zip(left, made, strict=True)]
                if limit is not None:
                    limits[pattern.sheet] = limit - 1
    return plan


def shelves(question: Question) -> list[Pattern] | None:
    """
    Plan at once, without any search: strips as wide as their first piece, the widest pieces first.

    Returns
    -------
    A plan on the sheets that cost least for their area; None where there are too few of them.
    """
    order = sorted(
        range(len(question.sheets)),
        key=lambda s: (
            question.sheets[s].cost / (question.sheets[s].pack * question.sheets[s].length),
            -question.sheets[s].length,
            s,
        ),
    )
    left = [question.sheets[s].limit for s in range(len(question.sheets))]
    begun: list[_Shelves] = []
    pieces = [i for i, n in enumerate(question.counts) for _ in range(n)]
    for item in sorted(pieces, key=lambda i: (-question.items[i].width, -question.items[i].length, i)):
        if any(sheet.take(item) for sheet in begun):
            continue
        for s in order:
            fresh = _Shelves(question, s)
            if left[s] != 0 and fresh.take(item):
                limit = left[s]
                left[s] = None if limit is None else limit - 1
                begun.append(fresh)
                break
        else:
            return None
    return [sheet.pattern() for sheet in begun]


class _Shelves:
    """One sheet being filled strip by strip."""

    def __init__(self, question: Question, number: int) -> None:
        self.number = number
        self.sheet = question.sheets[number]
        self.shapes = question.shapes(self.sheet)
        self.strips: list[list[Shape]] = []

    def take(self, item: int) -> bool:
        """Put a piece where there is room; say whether there was."""
        for shape in (x for x in self.shapes if x.item == item):
            for strip in self.strips:
                if shape.across <= strip[0].across and shape.along <= self.sheet.length - sum(
                    x.along for x in strip
                ):
                    strip.append(shape)
                    return True
            if shape.across <= self.sheet.width - sum(strip[0].across for strip in self.strips):
                self.strips.append([shape])
                return True
        return False

    def pattern(self) -> Pattern:
        """Give the sheet as it was filled."""
        return Pattern(self.number, join("rip", [join("crosscut", strip) for strip in self.strips]))
