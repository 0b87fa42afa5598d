"""
What a sheet can yield at most, reckoned a second time in another way: by lists that no pair dominates.

It shares no table and no cut position with the dynamic program it checks. A list holds (size used, value)
pairs, growing in both; adding a piece to every pair and dropping what is dominated gives the next list.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence

from optimizer.models.sheets_question import Question, Shape, Sheet

__all__ = ["Pairs", "with_one_more", "worth_again"]

Pairs = list[tuple[int, int]]


def worth_again(question: Question, values: Sequence[int]) -> tuple[int, ...]:
    """Give, for each sheet, the value of its best pattern of up to three stages."""
    reckoned: dict[tuple[int, int, tuple[Shape, ...]], int] = {}
    worth = []
    for sheet in question.sheets:
        shapes = tuple(x for x in question.shapes(sheet) if values[x.item] > 0)
        key = (sheet.length, sheet.width, shapes)
        if key not in reckoned:
            reckoned[key] = max(_best(question, values, sheet, shapes, ripped) for ripped in (True, False))
        worth.append(reckoned[key])
    return tuple(worth)


def _best(
    question: Question, values: Sequence[int], sheet: Sheet, shapes: Sequence[Shape], ripped: bool
) -> int:
    """Give the value of the best pattern that starts with rips, or with crosscuts."""
    long, cross = (sheet.length, sheet.width) if ripped else (sheet.width, sheet.length)
    blocks: dict[int, tuple[int, Pairs]] = {}
    widths: set[int] = set()
    for a in sorted({x.along if ripped else x.across for x in shapes}):
        pairs: Pairs = [(0, 0)]
        inside = [x for x in shapes if (x.along if ripped else x.across) == a]
        for x in inside:
            b = x.across if ripped else x.along
            for _ in range(min(question.counts[x.item], cross // b)):
                pairs = with_one_more(pairs, b, values[x.item], cross)
        # A strip is worth its width only if some block, of most value for its width, fills it.
        widths.update(size for size, _ in pairs)
        blocks[a] = sum(question.counts[i] for i in {x.item for x in inside}), pairs
    strips = [(w, _strip(blocks, w, long)) for w in sorted(widths) if w]
    pairs = [(0, 0)]
    for w, value in strips:
        for _ in range(cross // w):
            grown = with_one_more(pairs, w, value, cross)
            if grown == pairs:
                break
            pairs = grown
    return pairs[-1][1]


def _strip(blocks: dict[int, tuple[int, Pairs]], width: int, long: int) -> int:
    pairs: Pairs = [(0, 0)]
    for a, (copies, stacks) in blocks.items():
        value = stacks[bisect_right(stacks, (width, 1 << 62)) - 1][1]
        for _ in range(min(copies, long // a) if value else 0):
            grown = with_one_more(pairs, a, value, long)
            if grown == pairs:
                break
            pairs = grown
    return pairs[-1][1]


def with_one_more(pairs: Pairs, size: int, value: int, room: int) -> Pairs:
    """Add at most one piece to every pair; keep those that no smaller one equals in value."""
    merged: Pairs = []
    top = -1
    i = j = 0
    while i < len(pairs):
        if j < len(pairs) and (pairs[j][0] + size, -pairs[j][1] - value) < (pairs[i][0], -pairs[i][1]):
            at, worth = pairs[j][0] + size, pairs[j][1] + value
            j += 1
        else:
            at, worth = pairs[i]
            i += 1
        if at > room:
            break
        if worth > top:
            merged.append((at, worth))
            top = worth
    while j < len(pairs) and pairs[j][0] + size <= room:
        at, worth = pairs[j][0] + size, pairs[j][1] + value
        if worth > top:
            merged.append((at, worth))
            top = worth
        j += 1
    return merged
