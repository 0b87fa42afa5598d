"""
Model 1, the bound: pairs of neighbouring courses, staggered within the pair.

Every surface is cut into pairs of neighbouring courses, one course left over where their number is odd. A
pair is a path through states (last seam below, last seam above) that always extends the one that lags and
refuses a seam too near the other's. All pairs of the same two widths on the same lines share one integer
flow. Stagger between pairs is forgotten, so no staggered lay-out costs less.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from optimizer.engine import LinearModel
from optimizer.models.decking import Decking, meet_demand
from optimizer.models.seams import Arc, Lines, too_near
from optimizer.models.stacks import Stack
from optimizer.patterns import Size

__all__ = ["Move", "PairModel", "build_pairs", "conserve", "moves_of", "single_flow"]

State = tuple[int, int]


@dataclass(frozen=True, slots=True)
class PairModel:
    """The model, and the column of every surface's every stack."""

    linear: LinearModel
    stacks: Mapping[tuple[str, Stack], int]


def build_pairs(decking: Decking) -> PairModel:
    """Write the pair model; its optimum is a lower bound on every lay-out and cutting of `decking`."""
    linear = LinearModel()
    cuts = decking.cutting.build(linear, decking.costs, decking.most())
    laid: dict[Size, list[tuple[int, int]]] = {}
    stacks: dict[tuple[str, Stack], int] = {}
    for lines, surfaces in decking.families():
        pairs: dict[tuple[int, int], list[tuple[int, int]]] = {}
        singles: dict[int, list[tuple[int, int]]] = {}
        for surface in surfaces:
            columns = []
            for stack in decking.stacks[surface.label]:
                column = linear.column(stack.blocked * decking.blocking[surface.label], 1)
                columns.append((column, 1))
                stacks[surface.label, stack] = column
                for pair in stack.pairs():
                    pairs.setdefault((min(pair), max(pair)), []).append((column, 1))
                if len(stack.widths) % 2:
                    singles.setdefault(stack.widths[0], []).append((column, 1))
            linear.row(columns, lower=1, upper=1)
        moves = moves_of(lines) if pairs else []
        for pair, entering in sorted(pairs.items()):
            _pair_flow(linear, lines, moves, pair, entering, laid)
        for width, entering in sorted(singles.items()):
            single_flow(linear, lines, width, entering, laid)
    meet_demand(linear, cuts, laid, decking.parts)
    return PairModel(linear, stacks)


@dataclass(frozen=True, slots=True)
class Move:
    """One piece added to the lower (0) or upper (1) course of a pair."""

    before: State
    after: State
    course: int
    arc: Arc


def moves_of(lines: Lines) -> list[Move]:
    """List every step from which both courses of a pair can still reach the right end."""
    leaving: dict[int, list[Arc]] = {}
    for arc in lines.arcs:
        leaving.setdefault(arc.tail, []).append(arc)
    moves: list[Move] = []
    seen: set[State] = {(0, 0)}
    todo: list[State] = [(0, 0)]
    while todo:
        low, high = state = todo.pop()
        course = 0 if low <= high else 1
        for arc in leaving.get(state[course], ()):
            if too_near(lines, arc.head, state[1 - course]):
                continue
            after = (arc.head, high) if course == 0 else (low, arc.head)
            moves.append(Move(state, after, course, arc))
            if after not in seen:
                seen.add(after)
                todo.append(after)
    return _useful(moves, (lines.last, lines.last))


def _useful(moves: list[Move], end: State) -> list[Move]:
    """Drop the moves from which the end can't be reached."""
    arriving: dict[State, list[Move]] = {}
    for move in moves:
        arriving.setdefault(move.after, []).append(move)
    good: set[State] = {end}
    todo = [end]
    while todo:
        for move in arriving.get(todo.pop(), ()):
            if move.before not in good:
                good.add(move.before)
                todo.append(move.before)
    return [move for move in moves if move.after in good]


def _pair_flow(
    linear: LinearModel,
    lines: Lines,
    moves: list[Move],
    pair: tuple[int, int],
    entering: list[tuple[int, int]],
    laid: dict[Size, list[tuple[int, int]]],
) -> None:
    balance: dict[State, list[tuple[int, int]]] = {}
    for move in moves:
        column = linear.column(0, len(entering))
        balance.setdefault(move.before, []).append((column, -1))
        balance.setdefault(move.after, []).append((column, 1))
        laid.setdefault((move.arc.length, pair[move.course]), []).append((column, 1))
    conserve(linear, balance, (0, 0), (lines.last, lines.last), entering)


def single_flow(
    linear: LinearModel,
    lines: Lines,
    width: int,
    entering: list[tuple[int, int]],
    laid: dict[Size, list[tuple[int, int]]],
) -> None:
    """Add one path for every course counted by `entering`, staggered to nothing."""
    balance: dict[int, list[tuple[int, int]]] = {}
    for arc in lines.arcs:
        column = linear.column(0, len(entering))
        balance.setdefault(arc.tail, []).append((column, -1))
        balance.setdefault(arc.head, []).append((column, 1))
        laid.setdefault((arc.length, width), []).append((column, 1))
    conserve(linear, balance, 0, lines.last, entering)


def conserve(
    linear: LinearModel,
    balance: Mapping[State, list[tuple[int, int]]] | Mapping[int, list[tuple[int, int]]],
    start: object,
    end: object,
    entering: list[tuple[int, int]],
) -> None:
    """Let as much flow leave `start` as `entering` counts, and none be lost before `end`."""
    for node, terms in balance.items():
        if node == start:
            linear.row([*terms, *entering], lower=0, upper=0)
        elif node != end:
            linear.row(terms, lower=0, upper=0)
    if start not in balance:
        # No legal course at all: nothing may enter.
        linear.row(entering, lower=0, upper=0)
