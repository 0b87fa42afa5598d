"""Model 1, the courses: which widths, stacked from the bottom, cover the height of a surface."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from optimizer.lengths import INCH
from optimizer.words import SeamRule, Surface

__all__ = ["Stack", "stacks_of"]

SLIVER = INCH
"""No course is narrower than this, whatever the rule says: it could not be nailed."""


@dataclass(frozen=True, slots=True)
class Stack:
    """
    The courses of one surface from the bottom up.

    `widths` are the pieces' widths; `blocked` counts the long edges that need blocking.
    """

    widths: tuple[int, ...]
    blocked: int = 0

    def blocks(self, most: int) -> Counter[tuple[int, ...]]:
        """
        Cut the stack into as few blocks of `most` neighbours as will do; upside down a block is the same.

        All but the lowest are even: where every other course is cheap, three may have two of those.
        """
        pairs, single = divmod(len(self.widths), 2)
        number = 1
        while -(-pairs // number) * 2 > most or pairs // number * 2 + single > most:
            number += 1
        ends = [2 * (pairs * k // number) + (single if k else 0) for k in range(number + 1)]
        found = [self.widths[low:high] for low, high in pairwise(ends)]
        return Counter(min(widths, widths[::-1]) for widths in found)


def stacks_of(
    surfaces: Sequence[Surface], widths: Iterable[int], shrunk: bool
) -> dict[str, tuple[Stack, ...]]:
    """
    List the course widths worth trying for every surface, by the surface's label.

    Full courses from the bottom and one ripped course on top come first. Where that one would be narrower
    than the rule, or needs blocking, two courses share the cut: widths that complete a sheet with one another
    or with another surface's ripped course, the narrowest, and halves are tried, in both orders; a course
    that needs blocking lies mid-slope.

    Parameters
    ----------
    widths
        Widths of the stocks.
    shrunk
        Stop short of the top by all of `top_slack` instead of one gap.
    """
    full = sorted(set(widths), reverse=True)
    found: dict[str, tuple[Stack, ...]] = {}
    for surface in surfaces:
        stacks: dict[Stack, None] = {}
        for width in full:
            rests = {_rest(other, width, shrunk)[1] for other in surfaces}
            for stack in _stacks(surface, width, rests, shrunk):
                stacks.setdefault(stack)
        found[surface.label] = tuple(stacks)
    return found


def _rest(surface: Surface, full: int, shrunk: bool) -> tuple[int, int]:
    """
    Give the number of full courses below the top one, and the top one's width plus one gap.

    The top course stops one gap short of the top, or short by all the slack there is (`shrunk`), but no
    narrower than the rule as long as the height allows it.
    """
    rule = surface.rule
    module = full + rule.gap
    height = surface.height + rule.gap
    below = max(0, -(-(height - rule.top_slack) // module) - 1)
    most, least = height - below * module, height - rule.top_slack - below * module
    wanted = least if shrunk else max(least, most - rule.gap)
    if most >= rule.narrowest:
        wanted = max(wanted, rule.narrowest)
    return below, min(wanted, module)


def _stacks(surface: Surface, full: int, rests: set[int], shrunk: bool) -> Iterable[Stack]:
    rule = surface.rule
    below, rest = _rest(surface, full, shrunk)
    module = full + rule.gap
    narrowest = max(rule.narrowest, rule.gap + SLIVER)
    if rest >= narrowest:
        yield from _placed(rule, full, below, (rest,))
        if rest >= rule.blocked_below:
            if 0 < rule.blocked_below <= rest - narrowest and narrowest < rule.blocked_below:
                yield from _placed(rule, full, below, (rule.blocked_below, rest - rule.blocked_below))
            return
    if below == 0:
        return
    total = module + rest
    firsts = {narrowest, rule.blocked_below, total // 2, total - total // 2}
    for other in (*rests, rest):
        firsts |= {other, module - other, total - (module - other)}
    for upper in sorted(firsts):
        lower = total - upper
        if all(narrowest <= w <= module for w in (upper, lower)):
            yield from _placed(rule, full, below - 1, (lower, upper))


def _placed(rule: SeamRule, full: int, below: int, ripped: tuple[int, ...]) -> Iterable[Stack]:
    """Put full courses and ripped ones (their widths with a gap) together; narrow ones go mid-slope."""
    narrow = [w - rule.gap for w in ripped if w < rule.blocked_below]
    wide = [w - rule.gap for w in ripped if w >= rule.blocked_below]
    for order in {tuple(wide), tuple(reversed(wide))} if len(wide) > 1 else {tuple(wide)}:
        base = [full] * below + list(order)
        if not narrow:
            yield Stack(tuple(base))
            continue
        middle = len(base) // 2
        for place in sorted({max(1, middle), max(1, middle + len(base) % 2)} if base else {0}):
            widths = base[:place] + narrow + base[place:]
            yield Stack(tuple(widths), 2 * len(narrow))
