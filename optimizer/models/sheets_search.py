"""Good plans fast: dive from the pattern LP, then let branch and cut choose from all patterns seen."""

from __future__ import annotations

from collections.abc import Sequence
from random import Random

import numpy as np
import numpy.typing as npt

from optimizer.engine import Clock
from optimizer.models.sheets_cuts import prune
from optimizer.models.sheets_master import Master
from optimizer.models.sheets_pricing import Frame, frames_of
from optimizer.models.sheets_question import Question, Shape
from optimizer.models.sheets_trees import Pattern, Tree, join, leaves

Floats = npt.NDArray[np.float64]

__all__ = ["dive", "fill", "improve", "shelves", "used_sheets"]


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


def fill(
    frame: Frame, sheet: int, values: Floats, left: Sequence[int]
) -> tuple[Pattern, tuple[int, ...]] | None:
    """
    Build a pattern of high value that holds no more of an item than is left.

    Returns
    -------
    The pattern and what is left after it; None if nothing fits.
    """
    room = frame.cross(frame.question.sheets[sheet])
    rest = list(left)
    strips: list[Tree] = []
    while room > 0 and any(rest):
        strip = _next_strips(frame.price(values, rest).fill(sheet, room), rest)
        if not strip:
            break
        strips += strip
        room -= sum(t.across if frame.first == "rip" else t.along for t in strip)
    if not strips:
        return None
    return Pattern(sheet, join(frame.first, strips)), tuple(rest)


def improve(
    question: Question, purchase: Sequence[int], clock: Clock, rounds: int, seed: int = 1
) -> list[Pattern] | None:
    """
    Fit everything into a purchase by taking a few sheets apart and filling them again, over and over.

    Returns
    -------
    A plan that uses no more than the purchase; None if none came up in so many rounds.
    """
    draw = Random(seed)
    areas = [i.length * (i.width or min(s.width for s in question.sheets)) for i in question.items]
    sheets = [s for s, n in enumerate(purchase) for _ in range(n)]
    held: list[Pattern | None] = [None] * len(sheets)
    left = list(question.counts)
    for turn in range(rounds):
        if clock.left() <= 0:
            return None
        chosen = range(len(sheets)) if turn == 0 else _some(draw, question, sheets, held, areas)
        freed = list(left)
        for number in chosen:
            for leaf in _leaves_of(held[number]):
                freed[leaf.item] += 1
        filled, rest = _refill(draw, question, [sheets[n] for n in chosen], freed, areas)
        if _total(rest, areas) > _total(left, areas):
            continue
        left = rest
        for number, pattern in zip(chosen, filled, strict=True):
            held[number] = pattern
        if not any(left):
            return [p for p in held if p is not None]
    return None


def _total(counts: Sequence[int], areas: Sequence[int]) -> int:
    return sum(n * a for n, a in zip(counts, areas, strict=True))


def _leaves_of(pattern: Pattern | None) -> list[Shape]:
    return [] if pattern is None else list(leaves(pattern.tree))


def _some(
    draw: Random,
    question: Question,
    sheets: Sequence[int],
    held: Sequence[Pattern | None],
    areas: Sequence[int],
) -> list[int]:
    """Choose two to four sheets, rather those with more waste."""

    def key(number: int) -> float:
        sheet = question.sheets[sheets[number]]
        waste = sheet.length * sheet.width - sum(areas[x.item] for x in _leaves_of(held[number]))
        return waste / (sheet.length * sheet.width) + 0.5 * draw.random()

    most = draw.choice((2, 2, 3, 3, 4))
    return sorted(range(len(sheets)), key=lambda n: (-key(n), n))[:most]


def _refill(
    draw: Random, question: Question, sheets: Sequence[int], counts: Sequence[int], areas: Sequence[int]
) -> tuple[list[Pattern | None], list[int]]:
    """Fill sheets one after the other in a random order with values near the areas."""
    power, noise = draw.choice((1.0, 1.05, 1.1, 1.2)), draw.choice((0.0, 0.05, 0.1, 0.3))
    values = np.array([a**power * (1 + noise * draw.random()) for a in areas])
    frames = frames_of(question.asking(counts))
    filled: list[Pattern | None] = [None] * len(sheets)
    left = list(counts)
    for number in draw.sample(range(len(sheets)), len(sheets)):
        best = None
        for frame in frames:
            if sheets[number] not in frame.sheets or not frame.groups:
                continue
            found = fill(frame, sheets[number], values, left)
            if found is not None:
                gain = sum(float(v) * (a - b) for v, a, b in zip(values, left, found[1], strict=True))
                if best is None or gain > best[0]:
                    best = (gain, *found)
        if best is not None:
            filled[number], left = best[1], list(best[2])
    return filled, left


def _next_strips(proposed: Sequence[Tree], rest: list[int]) -> list[Tree]:
    """Take the proposed strips that hold nothing surplus, else the first without its surplus."""
    taken = []
    for tree in proposed:
        before = list(rest)
        kept = prune(tree, rest)
        if kept == tree:
            taken.append(tree)
        else:
            rest[:] = before
    if not taken and proposed:
        kept = prune(proposed[0], rest)
        return [] if kept is None else [kept]
    return taken
