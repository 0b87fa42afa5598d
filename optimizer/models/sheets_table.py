"""
Model 4: cutting trees in one table of integers, compiled by numba; import this module only when it is needed.

A row is a node. A root is a sheet; an inner node is a rectangle cut all one way into slots side by side; a
leaf is a piece, exactly as wide as the slot it stands in. Slots have no place, only a size, so that what
they leave of a node is one free room. Axis 0 runs along the sheet's length: its slots are made by crosscuts.
"""

from __future__ import annotations

from typing import Any

import numpy.typing as npt
from numba import njit

__all__ = ["AXIS", "COLUMNS", "DEPTH", "FIRST", "FREE", "ITEM", "LIVE", "NEXT", "PARENT", "ROOM", "SIZE"]
__all__ += ["Table", "below", "drop", "hang", "new", "tighten"]

Table = npt.NDArray[Any]
"""A NumPy array; numba compiles one version for each element type."""

# What the columns of the table hold: links; the axis of the slots; the node's own size as a slot of its
# parent, its room along its own axis, what is free of that; twice the piece plus one if turned (-1: not a
# piece); how many cuts deep; whether the row is in use. A root's size is the sheet's other dimension.
PARENT, FIRST, NEXT, AXIS, SIZE, ROOM, FREE, ITEM, DEPTH, LIVE = range(10)
COLUMNS = 10


@njit(cache=True)
def new(tree: Table, head: Table) -> int:
    """
    Take a row; there must be one.

    `head` holds the first row not in use, the end of all rows that ever were, and how many are not in use.
    """
    n = int(head[0])
    head[2] -= 1
    head[1] = max(head[1], n + 1)
    head[0] = tree[n, NEXT]
    tree[n, FIRST] = -1
    tree[n, NEXT] = -1
    tree[n, ITEM] = -1
    tree[n, LIVE] = 1
    return n


@njit(cache=True)
def hang(tree: Table, head: Table, parent: int, size: int, room: int) -> int:
    """Add a slot to a node and give its row; the parent's free room is not touched."""
    n = new(tree, head)
    tree[n, PARENT] = parent
    tree[n, NEXT] = tree[parent, FIRST]
    tree[parent, FIRST] = n
    tree[n, DEPTH] = tree[parent, DEPTH] + 1
    tree[n, AXIS] = 1 - tree[parent, AXIS]
    tree[n, SIZE] = size
    tree[n, ROOM] = room
    tree[n, FREE] = room
    return n


@njit(cache=True)
def _unhang(tree: Table, n: int) -> None:
    """Take a node out of its parent's slots."""
    parent = tree[n, PARENT]
    if parent < 0:
        return
    c = tree[parent, FIRST]
    if c == n:
        tree[parent, FIRST] = tree[n, NEXT]
        return
    while tree[c, NEXT] != n:
        c = tree[c, NEXT]
    tree[c, NEXT] = tree[n, NEXT]


@njit(cache=True)
def _release(tree: Table, head: Table, n: int) -> None:
    head[2] += 1
    tree[n, LIVE] = 0
    tree[n, NEXT] = head[0]
    head[0] = n


@njit(cache=True)
def below(tree: Table, root: int, order: Table) -> int:
    """List a node and all below it, parents first; give how many they are."""
    order[0] = root
    top, at = 1, 0
    while at < top:
        c = tree[order[at], FIRST]
        while c >= 0:
            order[top] = c
            top += 1
            c = tree[c, NEXT]
        at += 1
    return top


@njit(cache=True)
def drop(tree: Table, head: Table, n: int, order: Table, loose: Table, count: int) -> int:
    """Take out a node with all below it; its pieces join the loose ones, whose number is given."""
    _unhang(tree, n)
    top = below(tree, n, order)
    for k in range(top):
        m = order[k]
        if tree[m, ITEM] >= 0:
            loose[count] = tree[m, ITEM] >> 1
            count += 1
        _release(tree, head, m)
    return count


@njit(cache=True)
def _extent(tree: Table, n: int, sizes: Table) -> int:
    """Give how much a slot's content takes up across its parent's axis."""
    if tree[n, ITEM] >= 0:
        # Axis AXIS of a leaf is the axis across its parent's.
        return int(sizes[tree[n, ITEM] >> 1, (tree[n, ITEM] & 1) ^ tree[n, AXIS]])
    used = 0
    c = tree[n, FIRST]
    while c >= 0:
        used += tree[c, SIZE]
        c = tree[c, NEXT]
    return used


@njit(cache=True)
def tighten(tree: Table, head: Table, root: int, sizes: Table, order: Table) -> None:
    """Make every slot of a sheet as small as what is in it, and share out the free room again."""
    top = below(tree, root, order)
    for k in range(top - 1, 0, -1):
        n = order[k]
        if tree[n, ITEM] >= 0:
            continue
        if tree[n, FIRST] < 0:
            _unhang(tree, n)
            _release(tree, head, n)
            order[k] = -1
            continue
        need = 0
        c = tree[n, FIRST]
        while c >= 0:
            need = max(need, _extent(tree, c, sizes))
            c = tree[c, NEXT]
        tree[n, SIZE] = need
    for k in range(top):
        n = order[k]
        if n >= 0 and tree[n, ITEM] < 0:
            if k > 0:
                tree[n, ROOM] = tree[tree[n, PARENT], SIZE]
            tree[n, FREE] = tree[n, ROOM] - _extent(tree, n, sizes)
