"""
The whole question as one integer model of flows, independent of any pattern found before.

A sheet is a path over places across it, each arc a strip; a strip is a path over places along it, each arc
a block; a block holds one of the fullest stacks of pieces. Strips and blocks of equal size are exchangeable,
so each kind has one flow. Arcs run from large to small, which leaves one path for every set of sizes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial

from optimizer.engine import LinearModel
from optimizer.models.sheets_pricing import Frame
from optimizer.models.sheets_question import Question, Shape
from optimizer.models.sheets_sieve import Sieve, Sift
from optimizer.models.sheets_trees import Pattern, Tree, join

__all__ = ["FlowModel", "TooLarge", "build_flow", "read_flow"]

MOST_COLUMNS = 40_000
MOST_STACKS = 400
"""Stacks of one block kind beyond which the model is given up."""


class TooLarge(Exception):
    """The model would have more columns than were allowed."""


@dataclass(frozen=True, slots=True)
class Arc:
    """A step from place `tail` by `size`, at a column of the model."""

    tail: int
    size: int
    column: int


@dataclass(frozen=True, slots=True)
class Stack:
    """Pieces that share a block, at a column of the model."""

    shapes: tuple[Shape, ...]
    column: int


@dataclass
class FrameFlow:
    """Handles of one frame: strips by sheet, blocks by (long room, strip), stacks by (block, strip)."""

    frame: Frame
    sift: Sift | None
    sheets: dict[int, int] = field(default_factory=dict)
    strips: dict[int, list[Arc]] = field(default_factory=dict)
    blocks: dict[tuple[int, int], list[Arc]] = field(default_factory=dict)
    stacks: dict[tuple[int, int], list[Stack]] = field(default_factory=dict)


@dataclass
class FlowModel:
    """The model, what was built of it frame by frame, and the columns of packs bought."""

    model: LinearModel
    frames: list[FrameFlow]
    packs: list[int]


def build_flow(
    question: Question,
    frames: Sequence[Frame],
    sieve: Sieve | None = None,
) -> FlowModel:
    """
    Build the model; what the sieve holds back is left out.

    Raises
    ------
    TooLarge
        If it would have more than `MOST_COLUMNS` columns.
    """
    model = LinearModel()
    packs = [model.column(s.cost, s.packs) for s in question.sheets]
    made: list[list[tuple[int, int]]] = [[] for _ in question.items]
    used: list[list[tuple[int, int]]] = [[] for _ in question.sheets]
    flows = []
    for frame in frames:
        flow = FrameFlow(frame, None if sieve is None else sieve.sift(frame))
        _add_strips(model, flow, question, used)
        _add_blocks(model, flow, question)
        _add_stacks(model, flow, question, made)
        flows.append(flow)
    for row, item in zip(made, question.items, strict=True):
        model.row(row, lower=item.count)
    for sheet, pack, columns in zip(question.sheets, packs, used, strict=True):
        model.row([*columns, (pack, -sheet.pack)], upper=0)
    return FlowModel(model, flows, packs)


def _arcs(model: LinearModel, sizes: Sequence[int], room: int, keep: Callable[[int, int], bool]) -> list[Arc]:
    """Add one column for each step that a path with falling sizes can take."""
    reach, arcs = {0}, []
    for size in sorted(sizes, reverse=True):
        frontier = sorted(reach)
        while frontier:
            following = set()
            for tail in frontier:
                if tail + size <= room and keep(tail, size):
                    arcs.append(Arc(tail, size, model.column()))
                    if tail + size not in reach:
                        following.add(tail + size)
            if len(model.costs) > MOST_COLUMNS:
                raise TooLarge
            reach |= following
            frontier = sorted(following)
    return arcs


def _any(tail: int, size: int) -> bool:
    return True


def _conserve(model: LinearModel, arcs: Sequence[Arc], source: Sequence[tuple[int, int]]) -> None:
    """No place sends out more than arrives; what leaves place 0 is at most the source."""
    rows: dict[int, list[tuple[int, int]]] = {0: list(source)}
    for arc in arcs:
        rows.setdefault(arc.tail, []).append((arc.column, -1))
        rows.setdefault(arc.tail + arc.size, []).append((arc.column, 1))
    tails = {arc.tail for arc in arcs}
    for place in sorted(tails):
        model.row(rows[place], lower=0)


def _add_strips(
    model: LinearModel, flow: FrameFlow, question: Question, used: list[list[tuple[int, int]]]
) -> None:
    for s in flow.frame.sheets:
        room = flow.frame.cross(question.sheets[s])
        column = flow.sheets[s] = model.column()
        used[s].append((column, 1))
        keep = partial(flow.sift.strip, s) if flow.sift else _any
        arcs = flow.strips[s] = _arcs(model, flow.frame.strips[1:], room, keep)
        _conserve(model, arcs, [(column, 1)])


def _add_blocks(model: LinearModel, flow: FrameFlow, question: Question) -> None:
    sources: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for s, arcs in flow.strips.items():
        room = flow.frame.long(question.sheets[s])
        for arc in arcs:
            sources.setdefault((room, arc.size), []).append((arc.column, 1))
    for (room, strip), source in sorted(sources.items()):
        sizes = [a for a, group in flow.frame.groups if any(b <= strip for b, _ in group)]
        keep = partial(flow.sift.block, room, strip) if flow.sift else _any
        arcs = flow.blocks[room, strip] = _arcs(model, sizes, room, keep)
        _conserve(model, arcs, source)


def _add_stacks(
    model: LinearModel, flow: FrameFlow, question: Question, made: list[list[tuple[int, int]]]
) -> None:
    sources: dict[tuple[int, int], list[tuple[int, int]]] = {}
    for (_, strip), arcs in flow.blocks.items():
        for arc in arcs:
            sources.setdefault((arc.size, strip), []).append((arc.column, 1))
    groups = dict(flow.frame.groups)
    for (long, strip), source in sorted(sources.items()):
        stacks = flow.stacks[long, strip] = []
        for shapes in _fullest(groups[long], strip, question.counts):
            if flow.sift and not flow.sift.stack(long, strip, shapes):
                continue
            column = model.column()
            stacks.append(Stack(shapes, column))
            for shape in shapes:
                made[shape.item].append((column, 1))
            if len(stacks) > MOST_STACKS or len(model.costs) > MOST_COLUMNS:
                raise TooLarge
        model.row([*source, *((stack.column, -1) for stack in stacks)], lower=0)


def _fullest(
    group: Sequence[tuple[int, Shape]], room: int, counts: Sequence[int]
) -> Iterator[tuple[Shape, ...]]:
    """List the stacks that no further wanted piece fits into."""
    ordered = sorted(group, key=lambda pair: (-pair[0], pair[1]))

    def fill(first: int, left: int, chosen: list[int]) -> Iterator[tuple[Shape, ...]]:
        if first == len(ordered):
            spare = [b for (b, x), n in zip(ordered, chosen, strict=True) if n < counts[x.item]]
            if left < min(spare, default=left + 1):
                yield tuple(x for (_, x), n in zip(ordered, chosen, strict=True) for _ in range(n))
            return
        b, shape = ordered[first]
        for n in range(min(left // b, counts[shape.item]), -1, -1):
            yield from fill(first + 1, left - n * b, [*chosen, n])

    yield from fill(0, room, [])


def read_flow(built: FlowModel, values: Sequence[int]) -> list[Pattern]:
    """Follow the flows of a solution, one pattern for each sheet used."""
    patterns = []
    for flow in built.frames:
        frame = flow.frame
        left = {arc.column: values[arc.column] for arcs in flow.strips.values() for arc in arcs}
        left |= {arc.column: values[arc.column] for arcs in flow.blocks.values() for arc in arcs}
        left |= {x.column: values[x.column] for stacks in flow.stacks.values() for x in stacks}
        for s, column in flow.sheets.items():
            room = frame.long(frame.question.sheets[s])
            for _ in range(values[column]):
                strips = [_read_strip(flow, left, room, w) for w in _walk(flow.strips[s], left)]
                filled = [strip for strip in strips if strip is not None]
                if filled:
                    patterns.append(Pattern(s, join(frame.first, filled)))
    return patterns


def _walk(arcs: Sequence[Arc], left: dict[int, int]) -> list[int]:
    """Take one path out of a flow."""
    place = 0
    sizes: list[int] = []
    while True:
        arc = next((a for a in arcs if a.tail == place and left[a.column] > 0), None)
        if arc is None:
            return sizes
        left[arc.column] -= 1
        sizes.append(arc.size)
        place += arc.size


def _read_strip(flow: FrameFlow, left: dict[int, int], room: int, strip: int) -> Tree | None:
    blocks: list[Tree] = []
    for long in _walk(flow.blocks[room, strip], left):
        stack = next((x for x in flow.stacks[long, strip] if left[x.column] > 0), None)
        if stack is not None:
            left[stack.column] -= 1
            blocks.append(join(flow.frame.first, stack.shapes))
    return join("crosscut" if flow.frame.first == "rip" else "rip", blocks) if blocks else None
