"""Model 1 for surfaces that are no plain rectangles: what is soon answered is asked first, all of it last."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from optimizer.engine import Clock
from optimizer.errors import NoPlan, TimeUp
from optimizer.lengths import INCH
from optimizer.models.shaped import ShapedQuestion, ever_wider
from optimizer.patterns import TooManyWays
from optimizer.words import Part, Stock, Surface

__all__ = ["questions_of"]

SMALL = 12 * INCH
"""Parts narrower or shorter than this come from what the rest leaves, where there are too many sizes."""

LEAST = (48 * INCH, 32 * INCH, 24 * INCH, 0)
"""Least lengths of pieces to go by, one after the other: long ones alone are far fewer to choose from."""

STACKED: tuple[int | None, ...] = (None, 2, 1)
"""Stacks of course widths to go by, where even long pieces alone are too many in all of them."""


def questions_of(
    stocks: Sequence[Stock],
    costs: Sequence[int],
    surfaces: Sequence[Surface],
    parts: Sequence[Part],
    edge: Mapping[str, int],
    kerf: int,
    clock: Clock,
) -> Iterator[tuple[ShapedQuestion, int]]:
    """
    Ask with long pieces only, then for all there is; where that is too much to list, leave out small parts.

    Parameters
    ----------
    costs
        Of one pack of each stock: cents, or 1 where something has no price.
    edge
        By surface label: cents for blocking one long edge of a course.
    kerf
        Of the saw that cuts sheets, in base units.
    clock
        Wider questions are given up where half of what is left of it is not enough to list them.

    Yields
    ------
    tuple
        The narrowest question, before wider ones are listed; then up to two more; the widest last. Each with
        the least length of a piece between seams that it goes by (0 where the rules alone say). All have the
        same parts: those not left out.

    Raises
    ------
    NoPlan
        If no question has a lay-out to begin with, or none can be listed.
    TimeUp
        If the clock ended it before all were listed.
    """
    large = [part for part in parts if min(part.length, part.width) >= SMALL]
    kept_in_turn = [parts, *([large] if len(large) < len(parts) else []), *([[]] if large else [])]
    for kept in kept_in_turn:
        for stacked in STACKED:
            rising = _rising(stocks, costs, surfaces, kept, edge, kerf, stacked, clock)
            first = next(rising, None)
            if first is not None:
                yield first
                yield from (step for step in _steps([first, *rising]) if step is not first)
                return
    raise NoPlan("the pieces have too many different sizes to plan their seams together")


def _rising(
    stocks: Sequence[Stock],
    costs: Sequence[int],
    surfaces: Sequence[Surface],
    parts: Sequence[Part],
    edge: Mapping[str, int],
    kerf: int,
    stacked: int | None,
    clock: Clock,
) -> Iterator[tuple[ShapedQuestion, int]]:
    """List questions from narrow to wide; none where the parts make even the first too much to list."""
    # Where no piece ends at a seam, as in strips side by side, a least length asks the same again.
    seamed = any(support.seam for surface in surfaces for support in surface.supports)
    for least in LEAST if seamed else (0,):
        raised, share = _raised(surfaces, least), clock.share(clock.left() / 2)
        question: ShapedQuestion | None = None
        try:
            for question in ever_wider(stocks, costs, raised, parts, edge, kerf, share, stacked):
                if _whole(question):
                    yield question, least
        except TooManyWays:
            if share.left() <= 0:
                raise TimeUp("no lay-out was found in the time given; give it more with --seconds") from None
            return
        if not least and question is not None:
            _check(question)


def _steps(listed: Sequence[tuple[ShapedQuestion, int]]) -> list[tuple[ShapedQuestion, int]]:
    """Keep the widest question, and before it up to two that have far fewer ways to cut."""

    def ways(step: tuple[ShapedQuestion, int]) -> int:
        return len(step[0].cutting.ways)

    kept: list[tuple[ShapedQuestion, int]] = []
    for step in listed[:-1]:
        more = not kept or ways(step) > 2 * ways(kept[-1])
        if len(kept) < 2 and more and ways(step) < ways(listed[-1]) / 2:
            kept.append(step)
    return [*kept, listed[-1]]


def _raised(surfaces: Sequence[Surface], least: int) -> list[Surface]:
    """Let no piece between seams be shorter than `least`."""
    return [replace(s, rule=replace(s.rule, shortest=max(s.rule.shortest, least))) for s in surfaces]


def _whole(question: ShapedQuestion) -> bool:
    """Tell whether every surface has a course to begin with."""
    return all(question.strips.get(s.label) or question.stacks.get(s.label) for s in question.surfaces)


def _check(question: ShapedQuestion) -> None:
    """Name a surface that has no course to begin with, for whatever its neighbours are."""
    for surface in question.surfaces:
        rule = surface.rule
        if surface.label in question.strips:
            if not question.strips[surface.label]:
                raise NoPlan(
                    f"{surface.label}: no sheet is wide enough to reach from one line where courses may meet "
                    "to the next, or long enough for the height between seams"
                )
        elif not question.stacks[surface.label]:
            raise NoPlan(
                f"{surface.label}: no stack of courses fits: each piece must rest on {rule.min_supports} "
                "supports or more with its seams on supports that may take one (relax the narrowest course "
                "or the supports under a piece)"
            )
