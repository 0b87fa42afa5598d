"""Model 4, ruin and recreate on cutting trees, compiled by numba; import this only when it is needed."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from optimizer.models.sheets_places import KIND, ROOT, Yard, best_place, put, rooms_of
from optimizer.models.sheets_table import (
    AXIS,
    DEPTH,
    FIRST,
    FREE,
    ITEM,
    LIVE,
    PARENT,
    ROOM,
    SIZE,
    Table,
    below,
    drop,
    new,
    tighten,
)

__all__ = ["search"]

# What a kind of sheet is: length, width, cost, how many there are, how many are in use.
LONG, WIDE, COST, LIMIT, USED = range(5)

ROWS_A_PIECE = 4
"""Rows that placing a piece takes at most: a sheet, two slots and the piece."""

BLINK = 0.01
"""Chance that a place is passed over."""


@njit(cache=True)
def _open(yard: Yard, kind: int) -> int:
    """Begin a sheet of a kind in the first slot that is not open; give its root."""
    tree, slots, kinds = yard.tree, yard.slots, yard.kinds
    s = 0
    while slots[s, ROOT] >= 0:
        s += 1
    n = new(tree, yard.head)
    tree[n, PARENT] = -1
    tree[n, AXIS] = 0
    tree[n, DEPTH] = 1
    tree[n, ROOM] = kinds[kind, LONG]
    tree[n, FREE] = kinds[kind, LONG]
    tree[n, SIZE] = kinds[kind, WIDE]
    slots[s, ROOT] = n
    slots[s, KIND] = kind
    kinds[kind, USED] += 1
    return n


@njit(cache=True)
def _close(yard: Yard, s: int, order: Table, count: int) -> int:
    """Give a sheet back; its pieces join the loose ones, whose number is given."""
    yard.kinds[yard.slots[s, KIND], USED] -= 1
    count = drop(yard.tree, yard.head, yard.slots[s, ROOT], order, yard.loose, count)
    yard.slots[s, ROOT] = -1
    return count


@njit(cache=True)
def _spent(kinds: Table) -> int:
    total = 0
    for k in range(kinds.shape[0]):
        total += kinds[k, COST] * kinds[k, USED]
    return total


@njit(cache=True)
def _save(yard: Yard, order: Table, count: int, budget: int) -> int:
    """Give sheets back, those with least on them for their cost first, until the budget holds."""
    tree, slots, kinds, sizes = yard.tree, yard.slots, yard.kinds, yard.sizes
    while _spent(kinds) > budget:
        worst, least = -1, 0.0
        for s in range(slots.shape[0]):
            if slots[s, ROOT] < 0:
                continue
            held = 0.0
            for k in range(below(tree, slots[s, ROOT], order)):
                if tree[order[k], ITEM] >= 0:
                    piece = tree[order[k], ITEM] >> 1
                    held += float(sizes[piece, 0]) * sizes[piece, 1]
            held /= max(1, kinds[slots[s, KIND], COST])
            if worst < 0 or held < least:
                worst, least = s, held
        if worst < 0:
            # Nothing is in use, and yet too dear: no budget holds that is less than nothing.
            break
        count = _close(yard, worst, order, count)
    return count


@njit(cache=True)
def _ruin(yard: Yard, ruined: Table, order: Table, count: int) -> int:
    """
    Take subtrees out of a few sheets, now and then a whole sheet; give how many pieces are loose.

    `ruined` tells which sheets were touched.
    """
    tree, slots = yard.tree, yard.slots
    ruined[:] = 0
    open_slots = np.nonzero(slots[:, ROOT] >= 0)[0]
    for _ in range(np.random.randint(1, 4)):
        if open_slots.shape[0] == 0:
            break
        s = open_slots[np.random.randint(0, open_slots.shape[0])]
        if slots[s, ROOT] < 0:
            continue
        if yard.kinds.shape[0] > 1 and np.random.random() < 0.15:
            count = _close(yard, s, order, count)
            continue
        ruined[s] = 1
        root = slots[s, ROOT]
        for _again in range(np.random.randint(1, 5)):
            top = below(tree, root, order)
            if top == 1:
                break
            n = order[np.random.randint(1, top)]
            count = drop(tree, yard.head, n, order, yard.loose, count)
        tighten(tree, yard.head, root, yard.sizes, order)
        if tree[root, FIRST] < 0:
            # So there are never more sheets in use than pieces.
            count = _close(yard, s, order, count)
    return count


@njit(cache=True)
def _shuffle(sizes: Table, loose: Table, count: int, keys: Table) -> None:
    """Order the loose pieces: mostly large ones first, by area or by the longer side, with some chance."""
    mode = np.random.random()
    for k in range(count):
        a, b = sizes[loose[k], 0], sizes[loose[k], 1]
        chance = 0.7 + 0.6 * np.random.random()
        keys[k] = -chance * (float(a) * b if mode < 0.6 else float(max(a, b)) if mode < 0.8 else 1.0)
    order = np.argsort(keys[:count])
    loose[:count] = loose[:count][order]


@njit(cache=True)
def _recreate(
    yard: Yard, ruined: Table, stuck: Table, order: Table, rooms: Table, count: int, budget: int, stages: int
) -> int:
    """
    Put loose pieces back, opening sheets while the budget lasts; give how many remain loose.

    What is `stuck` was loose before, and is tried in ruined sheets alone.
    """
    failed = np.zeros(yard.sizes.shape[0], np.bool_)
    rest = 0
    first, top = rooms_of(yard, ruined, order, rooms)
    for k in range(count):
        piece = yard.loose[k]
        node, how = -1, 0
        if yard.head[2] < ROWS_A_PIECE:
            failed[:] = True
        if not failed[yard.alike[piece]]:
            begin = first if stuck[piece] else 0
            node, how = best_place(yard, rooms[begin:top], piece, stages, BLINK)
        if node < 0:
            failed[yard.alike[piece]] = True
            kind = _affordable(yard, piece, budget)
            if kind >= 0 and yard.head[2] >= ROWS_A_PIECE:
                rooms[top] = _open(yard, kind)
                top += 1
                node, how = best_place(yard, rooms[top - 1 : top], piece, stages, 0.0)
        if node >= 0:
            top = put(yard, piece, node, how, rooms, top)
        else:
            yard.loose[rest] = piece
            rest += 1
    return rest


@njit(cache=True)
def _affordable(yard: Yard, piece: int, budget: int) -> int:
    """Choose at random a kind of sheet that holds the piece and can still be had; -1 if there is none."""
    kinds, sizes = yard.kinds, yard.sizes
    left = budget - _spent(kinds)
    chosen, found = -1, 0
    for k in range(kinds.shape[0]):
        if kinds[k, COST] > left or kinds[k, USED] >= kinds[k, LIMIT]:
            continue
        a, b = sizes[piece, 0], sizes[piece, 1]
        upright = a <= kinds[k, LONG] and b <= kinds[k, WIDE]
        if upright or (yard.turns[piece] and b <= kinds[k, LONG] and a <= kinds[k, WIDE]):
            found += 1
            if np.random.randint(0, found) == 0:
                chosen = k
    return chosen


@njit(cache=True)
def _badness(yard: Yard, areas: Table, count: int, weight: float) -> float:
    """Give the loose area, less a share of free room that grows with the size of its rectangles."""
    tree = yard.tree
    total = float(areas[yard.loose[:count]].sum())
    if weight > 0.0:
        for n in range(yard.head[1]):
            if tree[n, LIVE] == 1 and tree[n, ITEM] < 0:
                room = float(tree[n, FREE]) * tree[n, SIZE]
                total -= weight * room * room
    return total


@njit(cache=True, nogil=True)
def search(
    yard: Yard,
    late: Table,
    begun: int,
    count: int,
    budget: int,
    stages: int,
    rounds: int,
    weight: float,
    seed: int,
) -> int:
    """
    Ruin and recreate until nothing is loose or the rounds are over; give how many pieces are loose.

    Parameters
    ----------
    late
        How bad the last rounds left the yard, in turn: a change is kept if it is no worse than now or than
        so many rounds ago (late acceptance).
    begun
        Rounds that were gone through before with the same `late`; with 0 it is filled anew.
    count
        How many of `yard.loose` are in no sheet.
    budget
        What the sheets in use may cost.
    weight
        What free room in large rectangles makes up for, per squared area.
    """
    np.random.seed(seed)
    order = np.empty(yard.tree.shape[0], np.int64)
    rooms = np.empty(yard.tree.shape[0], np.int64)
    keys = np.empty(yard.sizes.shape[0], np.float64)
    stuck = np.zeros(yard.sizes.shape[0], np.bool_)
    ruined = np.ones(yard.slots.shape[0], np.int64)
    areas = yard.sizes[:, 0] * yard.sizes[:, 1]
    count = _save(yard, order, count, budget)
    kept, kept_count = _copied(yard), count
    value = _badness(yard, areas, count, weight)
    if begun == 0:
        late[:] = value
    for turn in range(begun, begun + rounds):
        if count == 0:
            break
        stuck[:] = False
        if turn > begun:
            stuck[yard.loose[:count]] = True
        count = _ruin(yard, ruined, order, count)
        _shuffle(yard.sizes, yard.loose, count, keys)
        count = _recreate(yard, ruined, stuck, order, rooms, count, budget, stages)
        new_value = _badness(yard, areas, count, weight)
        at = turn % late.shape[0]
        if count == 0 or new_value <= value or new_value <= late[at]:
            value, kept_count = new_value, count
            _copy(yard, kept)
        else:
            count = kept_count
            _copy(kept, yard)
        late[at] = min(late[at], value)
    return count


@njit(cache=True)
def _copied(yard: Yard) -> Any:
    return Yard(
        yard.tree.copy(),
        yard.head.copy(),
        yard.slots.copy(),
        yard.kinds.copy(),
        yard.sizes,
        yard.turns,
        yard.alike,
        yard.loose.copy(),
    )


@njit(cache=True)
def _copy(source: Yard, target: Yard) -> None:
    # Rows that either has ever used; the others are alike in both.
    top = max(source.head[1], target.head[1])
    target.tree[:top] = source.tree[:top]
    target.head[:] = source.head
    target.slots[:] = source.slots
    target.kinds[:] = source.kinds
    target.loose[:] = source.loose
