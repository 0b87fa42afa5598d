"""
Model 4, where a piece can go in sheets partly cut, compiled by numba; import this only when it is needed.

Everything that changes is in a `Yard`: the table of nodes, the sheets in use, the pieces in none of them.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numba import njit

from optimizer.models.sheets_table import AXIS, DEPTH, FIRST, FREE, ITEM, ROOM, SIZE, Table, below, hang

__all__ = ["KIND", "ROOT", "Yard", "best_place", "put", "rooms_of"]

# What a slot of the sheets' table holds: its root (-1: not open) and its kind of sheet.
ROOT, KIND = range(2)


class Yard(NamedTuple):
    """
    The state of the search, arrays all.

    `tree` and `head` are the table of nodes and its first unused row; `slots` the sheets in use; `kinds` the
    kinds of sheet; `sizes`, `turns`, `alike` the pieces: two sizes, whether it may turn, the first one like
    it; `loose` lists the pieces in no sheet.
    """

    tree: Table
    head: Table
    slots: Table
    kinds: Table
    sizes: Table
    turns: Table
    alike: Table
    loose: Table


@njit(cache=True)
def best_place(yard: Yard, rooms: Table, piece: int, stages: int, blink: float) -> tuple[int, int]:
    """
    Find where a piece spoils least: the loss in the squared areas of free rectangles.

    Gives the node among `rooms` (-1: none) and how: 0 into the free room, 1 into a slot of the piece's size,
    2 into a slot of all the free room; plus 4 if the piece is turned, 8 if the sheet, still whole, is cut the
    other way.
    """
    tree, sizes = yard.tree, yard.sizes
    best, best_node, best_way = 0.0, -1, 0
    for n in rooms:
        if tree[n, FREE] <= 0:
            continue
        whole = tree[n, DEPTH] == 1 and tree[n, FIRST] < 0
        for flip in range(2 if whole else 1):
            free, cross = tree[n, FREE], tree[n, SIZE]
            if flip:
                free, cross = cross, free
            axis = tree[n, AXIS] ^ flip
            for turn in range(1 + yard.turns[piece]):
                a, b = sizes[piece, turn ^ axis], sizes[piece, turn ^ axis ^ 1]
                if a > free or b > cross or np.random.random() < blink:
                    continue
                area = float(free) * cross
                beside = float(free - a) * cross
                for way in range(3):
                    if way == 0 and b == cross:
                        loss = area * area - beside * beside
                    elif way == 1 and b < cross and tree[n, DEPTH] < stages:
                        over = float(a) * (cross - b)
                        loss = area * area - beside * beside - over * over
                    elif way == 2 and b < cross and a < free and tree[n, DEPTH] + 1 < stages:
                        over, rest = float(free) * (cross - b), float(free - a) * b
                        loss = area * area - over * over - rest * rest
                    else:
                        continue
                    if best_node < 0 or loss < best:
                        best, best_node, best_way = loss, n, way + 4 * turn + 8 * flip
    return best_node, best_way


@njit(cache=True)
def put(yard: Yard, piece: int, n: int, how: int, rooms: Table, top: int) -> int:
    """Put a piece where `best_place` said; new slots join the `top` rooms, whose number is given."""
    tree, sizes = yard.tree, yard.sizes
    turn = (how >> 2) & 1
    if how & 8:
        tree[n, AXIS] = 1 - tree[n, AXIS]
        tree[n, SIZE], tree[n, ROOM] = tree[n, ROOM], tree[n, SIZE]
        tree[n, FREE] = tree[n, ROOM]
    axis = tree[n, AXIS]
    a, b = sizes[piece, turn ^ axis], sizes[piece, turn ^ axis ^ 1]
    way = how & 3
    size = a
    if way == 1:
        tree[n, FREE] -= a
        n = rooms[top] = hang(tree, yard.head, n, a, tree[n, SIZE])
        top += 1
        size = b
    elif way == 2:
        all_free = tree[n, FREE]
        tree[n, FREE] = 0
        slot = rooms[top] = hang(tree, yard.head, n, all_free, tree[n, SIZE])
        tree[slot, FREE] -= b
        n = rooms[top + 1] = hang(tree, yard.head, slot, b, all_free)
        top += 2
    tree[n, FREE] -= size
    leaf = hang(tree, yard.head, n, size, 0)
    tree[leaf, ITEM] = 2 * piece + turn
    return top


@njit(cache=True)
def rooms_of(yard: Yard, ruined: Table, order: Table, rooms: Table) -> tuple[int, int]:
    """List nodes with free room, of ruined sheets last; give where those begin, and how many all are."""
    tree, slots = yard.tree, yard.slots
    top, first = 0, 0
    for late in range(2):
        first = top
        for s in range(slots.shape[0]):
            if slots[s, ROOT] < 0 or ruined[s] != late:
                continue
            for k in range(below(tree, slots[s, ROOT], order)):
                n = order[k]
                if tree[n, ITEM] < 0 and tree[n, FREE] > 0:
                    rooms[top] = n
                    top += 1
    return first, top
