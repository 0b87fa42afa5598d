"""Model 1 for surfaces that are no plain rectangles: what is soon answered is asked first, all of it last."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from optimizer.errors import NoPlan
from optimizer.lengths import INCH
from optimizer.models.shaped import ShapedQuestion, few_questions, question_of
from optimizer.patterns import TooManyWays
from optimizer.words import Part, Stock, Surface

__all__ = ["questions_of"]

SMALL = 12 * INCH
"""Parts narrower or shorter than this come from what the rest leaves, where there are too many sizes."""

LEAST = (48 * INCH, 32 * INCH, 24 * INCH, 0)
"""Least lengths of pieces to go by, one after the other: long ones alone are far fewer to choose from."""


def questions_of(
    stocks: Sequence[Stock],
    costs: Sequence[int],
    surfaces: Sequence[Surface],
    parts: Sequence[Part],
    edge: Mapping[str, int],
    kerf: int,
) -> list[tuple[ShapedQuestion, int]]:
    """
    Ask with long pieces only, then for all there is; where that is too much to list, leave out small parts.

    Returns
    -------
    list
        The widest question last, before it one with far fewer ways to cut if there is one, each with the
        least length of a piece between seams that it goes by (0 where the rules alone say). Both have the
        same parts: those not left out.

    Raises
    ------
    NoPlan
        If no question has a lay-out to begin with, or none can be listed.
    """
    large = [part for part in parts if min(part.length, part.width) >= SMALL]
    listed: list[tuple[ShapedQuestion, int]] = []
    for kept in (parts, large, []):
        # Where no piece ends at a seam, as in strips side by side, a least length asks the same again.
        seamed = any(support.seam for surface in surfaces for support in surface.supports)
        for least in LEAST if seamed else (0,):
            try:
                question = question_of(stocks, costs, _raised(surfaces, least), kept, edge, kerf)
            except TooManyWays:
                break
            if least and not _whole(question):
                continue
            _check(question)
            listed.append((question, least))
        if listed:
            first, last = listed[0], listed[-1]
            least = first[1]
            few = few_questions(stocks, costs, _raised(surfaces, least), kept, edge, kerf)
            rough = [(question, least) for question in few if _whole(question)] or [first]
            return [*(q for q in rough if len(q[0].cutting.ways) < len(last[0].cutting.ways) / 2), last]
    raise NoPlan("the pieces have too many different sizes to plan their seams together")


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
