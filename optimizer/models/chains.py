"""
Model 1, the close bound: chains of overlapping pairs.

As in `pairs`, a pair of neighbouring courses is a path through states; here every two neighbours of a stack
are a pair, and a course that belongs to two pairs has the same pieces in both. Equal stacks on equal lines
share their flows, so pieces of one surface may still be mixed with another's: a bound, but much closer than
pairs apart, and its linear relaxation often meets the optimum.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from optimizer.engine import LinearModel
from optimizer.models.decking import Decking, meet_demand
from optimizer.models.pairs import Move, PairModel, conserve, moves_of, single_flow
from optimizer.models.seams import Arc, Lines
from optimizer.models.stacks import Stack
from optimizer.patterns import Size

__all__ = ["build_chains", "chain_columns"]

_Terms = list[tuple[int, int]]


def chain_columns(decking: Decking) -> int:
    """Give how many columns the chains would have, about."""
    total = 0
    for lines, surfaces in decking.families():
        stacks = {stack for s in surfaces for stack in decking.stacks[s.label]}
        total += len(moves_of(lines)) * sum(len(stack.widths) - 1 for stack in stacks)
    return total


def build_chains(decking: Decking) -> PairModel:
    """Write the chain model; its optimum is a lower bound on every lay-out and cutting of `decking`."""
    linear = LinearModel()
    cuts = decking.cutting.build(linear, decking.costs, decking.most())
    laid: dict[Size, _Terms] = {}
    stacks: dict[tuple[str, Stack], int] = {}
    for lines, surfaces in decking.families():
        moves = moves_of(lines)
        entering: dict[Stack, _Terms] = {}
        for surface in surfaces:
            columns: _Terms = []
            for stack in decking.stacks[surface.label]:
                column = linear.column(stack.blocked * decking.blocking[surface.label], 1)
                columns.append((column, 1))
                stacks[surface.label, stack] = column
                entering.setdefault(stack, []).append((column, 1))
            linear.row(columns, lower=1, upper=1)
        for stack, terms in entering.items():
            if len(stack.widths) == 1:
                single_flow(linear, lines, stack.widths[0], terms, laid)
            else:
                _chain(linear, lines, moves, stack, terms, laid)
    meet_demand(linear, cuts, laid, decking.parts)
    return PairModel(linear, stacks)


def _chain(
    linear: LinearModel,
    lines: Lines,
    moves: Sequence[Move],
    stack: Stack,
    entering: _Terms,
    laid: dict[Size, _Terms],
) -> None:
    """One path of states for every two neighbours, the course between two pairs the same in both."""
    below: Mapping[Arc, _Terms] = {}
    for lower, widths in enumerate(pairwise(stack.widths)):
        balance: dict[tuple[int, int], _Terms] = {}
        used: tuple[dict[Arc, _Terms], dict[Arc, _Terms]] = ({}, {})
        for move in moves:
            column = linear.column(0, len(entering))
            balance.setdefault(move.before, []).append((column, -1))
            balance.setdefault(move.after, []).append((column, 1))
            used[move.course].setdefault(move.arc, []).append((column, 1))
            if move.course == 1 or lower == 0:
                laid.setdefault((move.arc.length, widths[move.course]), []).append((column, 1))
        conserve(linear, balance, (0, 0), (lines.last, lines.last), entering)
        if lower:
            for arc in dict.fromkeys((*below, *used[0])):
                same = [*below.get(arc, ()), *((column, -1) for column, _ in used[0].get(arc, ()))]
                linear.row(same, lower=0, upper=0)
        below = used[1]
