"""
Model 3, the inner loops over (piece, position), compiled by numba; import this module only when it is needed.

A bar is filled from the left, the longest pieces first. Layer `i` places up to `demands[i]` pieces of kind
`i`; a position is what the pieces so far take up. `open_` says which pieces may still begin at which position
(by layers); an empty array leaves all open. Every path from position 0 is a pattern, and every pattern
is one path.

Where all is open, `best_fills` is ten times as fast as `best_paths`: pieces are bundled by ones, twos, fours,
so that a layer is one pass over the room without branches, which processors take several positions at a time.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

__all__ = [
    "best_fills",
    "best_paths",
    "bundles",
    "list_patterns",
    "misfits",
    "still_open",
    "trace",
    "unbundle",
    "values_behind",
]

Array = Any
"""A NumPy array; numba compiles one version for each element type."""


@njit(cache=True)
def bundles(sizes: Array, most: Array, room: int) -> Any:
    """
    Bundle pieces by ones, twos, fours and a rest, so that any number up to the most is a choice of bundles.

    Returns
    -------
    places, numbers
        Of the bundles, in the order of the pieces; a bundle that no bar holds is left out.
    """
    total = 0
    for i in range(len(sizes)):
        left, number = min(most[i], room // sizes[i]), 1
        while left > 0:
            left -= number
            number *= 2
            total += 1
    places = np.empty(total, dtype=np.int64)
    numbers = np.empty(total, dtype=np.int64)
    n = 0
    for i in range(len(sizes)):
        left, number = min(most[i], room // sizes[i]), 1
        while left > 0:
            places[n], numbers[n] = i, min(left, number)
            left -= number
            number *= 2
            n += 1
    return places, numbers


@njit(cache=True)
def _layer(old: Array, new: Array, taken: Array, size: int, gain: Any) -> None:
    """Take a bundle wherever that is worth more than going without."""
    new[:size] = old[:size]
    taken[:size] = False
    room = len(old) - size
    without, behind, out, flags = old[size:], old[:room], new[size:], taken[size:]
    for at in range(room):
        more = behind[at] + gain
        less = without[at]
        better = more > less
        out[at] = more if better else less
        flags[at] = better


@njit(cache=True)
def best_fills(
    gains: Array, sizes: Array, places: Array, numbers: Array, rooms: Array, taken: Array
) -> Array:
    """
    Fill bars with the greatest gain, for all rooms at once, nothing ruled out.

    Parameters
    ----------
    places, numbers
        The bundles.
    taken
        (bundles, positions), written: whether the best filling of a room ends with that bundle.

    Returns
    -------
    best
        (bundles, rooms): the greatest gain from the bundles so far.
    """
    width = rooms.max() + 1
    old = np.zeros(width, dtype=gains.dtype)
    new = np.empty(width, dtype=gains.dtype)
    best = np.empty((len(places), len(rooms)), dtype=gains.dtype)
    for n in range(len(places)):
        i = places[n]
        _layer(old, new, taken[n], sizes[i] * numbers[n], gains[i] * numbers[n])
        old, new = new, old
        for k in range(len(rooms)):
            best[n, k] = old[rooms[k]]
    return best


@njit(cache=True)
def unbundle(taken: Array, sizes: Array, places: Array, numbers: Array, layer: int, room: int) -> Array:
    """Give the pieces of the best filling of a room from the bundles up to a layer."""
    counts = np.zeros(len(sizes), dtype=np.int64)
    at = room
    for n in range(layer, -1, -1):
        if taken[n, at]:
            counts[places[n]] += numbers[n]
            at -= numbers[n] * sizes[places[n]]
    return counts


@njit(cache=True)
def best_paths(gains: Array, sizes: Array, demands: Array, rooms: Array, open_: Array) -> Any:
    """
    Fill bars with the greatest gain, for all rooms at once.

    Returns
    -------
    taken
        (layers, positions): how many pieces of a layer the best path to a position has.
    best, ends
        (layers, rooms): the greatest gain of a path that ends in a layer within a room, and its position.
    """
    layers, width = len(sizes), rooms.max() + 1
    masked = open_.shape[0] > 0
    nothing = gains[0] * 0 - 1
    value = np.full(width, nothing)
    value[0] = 0
    taken = np.zeros((layers, width), dtype=np.uint16)
    best = np.full((layers, len(rooms)), nothing)
    ends = np.zeros((layers, len(rooms)), dtype=np.int64)
    for i in range(layers):
        size, gain = sizes[i], gains[i]
        for at in range(width - 1, size - 1, -1):
            top, count = value[at], 0
            start, worth = at, gain * 0
            for t in range(1, min(demands[i], 65535) + 1):
                start -= size
                if start < 0 or (masked and not open_[i, start]):
                    break
                worth += gain
                if value[start] != nothing and value[start] + worth > top:
                    top, count = value[start] + worth, t
            if count:
                value[at] = top
                taken[i, at] = count
                for k in range(len(rooms)):
                    if at <= rooms[k] and top > best[i, k]:
                        best[i, k] = top
                        ends[i, k] = at
    return taken, best, ends


@njit(cache=True)
def trace(taken: Array, sizes: Array, layer: int, end: int) -> Array:
    """Give the pieces of the best path that ends at a position in a layer."""
    counts = np.zeros(len(sizes), dtype=np.int64)
    at = end
    for i in range(layer, -1, -1):
        if at == 0:
            break
        counts[i] = taken[i, at]
        at -= counts[i] * sizes[i]
    return counts


@njit(cache=True)
def values_behind(gains: Array, sizes: Array, demands: Array, prices: Array, open_: Array) -> Array:
    """
    Give, for every layer and position, the greatest gain less price still to come; int64 throughout.

    Parameters
    ----------
    prices
        By position: the least price of a bar that is long enough for what ends there.
    """
    layers, width = len(sizes), len(prices)
    masked = open_.shape[0] > 0
    behind = np.empty((layers + 1, width), dtype=np.int64)
    behind[layers] = -prices
    for i in range(layers - 1, -1, -1):
        size, gain = sizes[i], gains[i]
        for at in range(width):
            top = behind[i + 1, at]
            begin, worth = at, 0
            for _ in range(demands[i]):
                if begin + size >= width or (masked and not open_[i, begin]):
                    break
                begin += size
                worth += gain
                if behind[i + 1, begin] + worth > top:
                    top = behind[i + 1, begin] + worth
            behind[i, at] = top
    return behind


@njit(cache=True)
def still_open(gains: Array, sizes: Array, demands: Array, behind: Array, open_: Array, floor: int) -> Array:
    """Tell which pieces may still begin where, if a bar's gain less its price must be `floor` or more."""
    layers, width = len(sizes), behind.shape[1]
    masked = open_.shape[0] > 0
    nothing = np.int64(-(1 << 62))
    ahead = np.full(width, nothing)
    ahead[0] = 0
    kept = np.zeros((layers, width), dtype=np.bool_)
    for i in range(layers):
        size, gain = sizes[i], gains[i]
        for at in range(width - 1, -1, -1):
            if ahead[at] == nothing:
                continue
            # From high to low: what stands at a lower position still belongs to the layers before.
            begin, worth = at, np.int64(0)
            furthest = 0
            for t in range(1, demands[i] + 1):
                if begin + size >= width or (masked and not open_[i, begin]):
                    break
                begin += size
                worth += gain
                if ahead[at] + worth + behind[i + 1, begin] >= floor:
                    furthest = t
            for t in range(furthest):
                kept[i, at + t * size] = True
        for at in range(width - 1, size - 1, -1):
            top, start, worth = ahead[at], at, np.int64(0)
            for _ in range(demands[i]):
                start -= size
                if start < 0 or not kept[i, start]:
                    break
                worth += gain
                if ahead[start] != nothing and ahead[start] + worth > top:
                    top = ahead[start] + worth
            ahead[at] = top
    return kept


@njit(cache=True)
def list_patterns(
    gains: Array, sizes: Array, demands: Array, behind: Array, open_: Array, floor: int, most: int, tries: int
) -> Any:
    """
    List every path whose gain less price is `floor` or more.

    Returns
    -------
    counts, ends, complete
        (patterns, layers) numbers of pieces, the position each ends at, and whether those are all.
    """
    layers, width = len(sizes), behind.shape[1]
    masked = open_.shape[0] > 0
    counts = np.zeros((most, layers), dtype=np.uint16)
    ends = np.zeros(most, dtype=np.int64)
    # One frame a layer: how many pieces it holds; `tried` how many it may still go up to.
    now = np.zeros(layers + 1, dtype=np.int64)
    at, worth, i, found = np.int64(0), np.int64(0), 0, 0
    forward = True
    for _ in range(tries):
        if forward:
            if i == layers:
                if found == most:
                    return counts, ends, False
                for j in range(layers):
                    counts[found, j] = now[j]
                ends[found] = at
                found += 1
                forward = False
                i -= 1
                continue
            now[i] = 0
            if worth + behind[i + 1, at] >= floor:
                i += 1
                continue
            forward = False
        # Put one more piece of layer i, if that can still lead to a good end.
        if i < 0:
            return counts[:found], ends[:found], True
        fits = now[i] < demands[i] and at + sizes[i] < width and not (masked and not open_[i, at])
        if fits:
            now[i] += 1
            at += sizes[i]
            worth += gains[i]
            if worth + behind[i + 1, at] >= floor:
                i += 1
                forward = True
            continue
        at -= now[i] * sizes[i]
        worth -= now[i] * gains[i]
        now[i] = 0
        i -= 1
    return counts[:found], ends[:found], False


@njit(cache=True)
def misfits(counts: Array, sizes: Array, open_: Array) -> Array:
    """Tell which patterns, given by their numbers of pieces, have a piece begin where none may."""
    found = np.zeros(len(counts), dtype=np.bool_)
    for row in range(len(counts)):
        at = 0
        for i in range(len(sizes)):
            for _ in range(counts[row, i]):
                if not open_[i, at]:
                    found[row] = True
                at += sizes[i]
    return found
