"""
Model 1 for surfaces that are no plain rectangles: a first plan, course by course, of few and long pieces.

Once it is settled which pieces are laid, only their cutting is left to a solver, which has something at once.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from random import Random

from optimizer.engine import SEED, Clock, LinearModel, run_highs
from optimizer.models.shaped import ShapedModel, ShapedQuestion
from optimizer.models.shaped_rows import Piece, Row, moves_between
from optimizer.models.stacks import Stack
from optimizer.words import Surface

__all__ = ["first_values"]

NODES = 20
TRIES = 40
"""At a surface: what is laid below decides what can be laid above, so other pieces are tried."""

_Key = tuple[str, Stack | None, int | tuple[int, int]]


def first_values(question: ShapedQuestion, model: ShapedModel, clock: Clock) -> tuple[int, ...] | None:
    """
    Lay every surface from the bottom up and cut what that takes.

    Returns
    -------
    tuple of int or None
        A solution of the model; None where a course finds no seams far enough from those below it, or there
        was no time.
    """
    chosen: dict[_Key, Sequence[Piece]] = {}
    for surface in question.surfaces:
        strips = question.strips.get(surface.label)
        laid = _stacked(surface, question) if strips is None else _strips(surface, strips)
        if laid is None:
            return None
        chosen |= laid
    fixed = LinearModel(list(model.linear.costs), list(model.linear.uppers), list(model.linear.lines))
    for key, path in model.paths.items():
        kept = set(chosen.get(key, ()))
        for piece, terms in path.items():
            if piece not in kept:
                for column, _ in terms:
                    fixed.uppers[column] = 0
    for (label, stack), column in model.chosen.items():
        if (label, stack, 0) not in chosen:
            fixed.uppers[column] = 0
    for (label, lines), column in model.strips.items():
        if (label, None, lines) not in chosen:
            fixed.uppers[column] = 0
    return run_highs(fixed, clock, nodes=NODES).values


def _strips(surface: Surface, strips: Mapping[tuple[int, int], Row]) -> dict[_Key, Sequence[Piece]] | None:
    """Choose the fewest pieces on the way from line to line."""
    assert surface.edges is not None
    end = len({edge for edge in surface.edges if 0 < edge < surface.height}) + 1
    best: dict[int, tuple[int, dict[_Key, Sequence[Piece]]]] = {0: (0, {})}
    for (low, high), row in sorted(strips.items()):
        across = _across(row, None)
        if low not in best or across is None:
            continue
        number, laid = best[low]
        count = number + sum(piece.kind is not None for piece in across)
        if high not in best or count < best[high][0]:
            best[high] = count, {**laid, (surface.label, None, (low, high)): across}
    return best[end][1] if end in best else None


def _stacked(surface: Surface, question: ShapedQuestion) -> dict[_Key, Sequence[Piece]] | None:
    """Lay the first stack of courses that can be laid from the bottom up."""
    for number in range(TRIES):
        random = Random(SEED + number) if number else None
        for stack, rows in question.stacks[surface.label]:
            laid = _courses(rows, surface.rule.stagger, random)
            if laid:
                return {(surface.label, stack, course): pieces for course, pieces in enumerate(laid)}
    return None


def _courses(rows: Sequence[Row], stagger: int, random: Random | None) -> list[tuple[Piece, ...]] | None:
    """Lay course after course; None where one finds no seams far enough from those below it."""
    laid: list[tuple[Piece, ...]] = []
    for below, row in pairwise((None, *rows)):
        assert row is not None
        found = _across(row, random) if below is None else _above(laid[-1], below, row, stagger, random)
        if found is None:
            return None
        laid.append(found)
    return laid


def _across(row: Row, random: Random | None) -> tuple[Piece, ...] | None:
    """Choose the fewest pieces from one end of a course to the other, or about so many."""
    best: dict[int, tuple[float, tuple[Piece, ...]]] = {0: (0, ())}
    for piece in sorted(row.pieces, key=lambda piece: (piece.tail, piece.head)):
        if piece.tail in best:
            number, before = best[piece.tail]
            count = number + _weight(piece, random)
            if piece.head not in best or count < best[piece.head][0]:
                best[piece.head] = count, (*before, piece)
    return best[row.last][1] if row.last in best else None


def _above(
    below: Sequence[Piece], low: Row, high: Row, stagger: int, random: Random | None
) -> tuple[Piece, ...] | None:
    """Choose the fewest pieces of a course whose seams keep their distance from those of the course below."""
    steps = moves_between(replace(low, pieces=tuple(below)), high, stagger)
    best: dict[tuple[int, int], tuple[float, tuple[Piece, ...]]] = {(0, 0): (0, ())}
    # Each step leads farther right in one of the two.
    for before, after, course, piece in sorted(steps, key=lambda step: (sum(step[0]), step[0], step[1])):
        if before in best:
            number, laid = best[before]
            count = number + (_weight(piece, random) if course == 1 else 0)
            if after not in best or count < best[after][0]:
                best[after] = count, (*laid, piece) if course == 1 else laid
    found = best.get((low.last, high.last))
    return None if found is None else found[1]


def _weight(piece: Piece, random: Random | None) -> float:
    """Count a piece once, more or less."""
    if piece.kind is None:
        return 0.0
    return 1.0 if random is None else random.uniform(0.5, 1.5)
