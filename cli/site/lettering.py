"""Where letters fit in a drawing: inside a piece of any shape, clear of what is cut out of it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

__all__ = ["Place", "place_in"]

_WIDE = 0.62
"""Width of a letter to its size, about; a little more than most letters take."""

_LEAD = 1.2
"""From one line of letters to the next, to their size."""

_ROWS = 24
"""Heights that are tried for the middle of the text."""

Place = tuple[float, float, float]
"""Middle of the text along and up, and the size of its letters."""

Points = Sequence[tuple[int, int]]


def _crossings(corners: Points, height: float) -> list[float]:
    found = []
    for (x0, y0), (x1, y1) in zip(corners, (*corners[1:], corners[0]), strict=True):
        if (y0 <= height) != (y1 <= height):
            found.append(x0 + (height - y0) * (x1 - x0) / (y1 - y0))
    return sorted(found)


def _inside(corners: Points, height: float) -> list[tuple[float, float]]:
    """Give the stretches of a level line that are inside a shape."""
    found = _crossings(corners, height)
    return list(zip(found[::2], found[1::2], strict=True))


def _shared(
    one: Sequence[tuple[float, float]], other: Sequence[tuple[float, float]]
) -> Iterator[tuple[float, float]]:
    for a, b in one:
        for c, d in other:
            if max(a, c) < min(b, d):
                yield max(a, c), min(b, d)


def _clear(
    spans: Sequence[tuple[float, float]], low: float, high: float, holes: Sequence[tuple[int, int, int, int]]
) -> list[tuple[float, float]]:
    """Take what is cut out between two heights from stretches of a level line."""
    left = list(spans)
    for x, y, length, height in holes:
        if y < high and y + height > low:
            beside = ((float("-inf"), float(x)), (float(x + length), float("inf")))
            left = list(_shared(left, beside))
    return left


def place_in(
    corners: Points,
    holes: Sequence[tuple[int, int, int, int]],
    lines: Sequence[str],
    largest: float,
    least: float,
) -> Place | None:
    """
    Find where lines of text fit inside a shape, in letters as large as may be.

    Parameters
    ----------
    corners
        Of the shape, in order.
    holes
        What is cut out of it: corner, length and height.
    largest, least
        Sizes of letters.

    Returns
    -------
    tuple, optional
        None if they fit in no size; of places that serve alike, the one nearest the middle.

    Examples
    --------
    >>> place_in(((0, 0), (100, 0), (100, 50), (0, 50)), (), ["a"], 10.0, 1.0)
    (50.0, 25.0, 10.0)
    >>> x, y, size = place_in(((0, 0), (100, 0), (0, 100)), (), ["O1.1"], 20.0, 1.0)
    >>> x + y + 1.9 * size < 100
    True
    """
    bottom, top = min(y for _, y in corners), max(y for _, y in corners)
    middle = (bottom + top) / 2
    rows = sorted(
        (bottom + (top - bottom) * row / _ROWS for row in range(1, _ROWS)), key=lambda y: abs(y - middle)
    )
    size, letters = largest, max(map(len, lines))
    while size >= least:
        wide, half = 1.1 * _WIDE * size * letters, 0.55 * _LEAD * size * len(lines)
        for row in rows:
            if row - half < bottom or row + half > top:
                continue
            ends = _shared(_inside(corners, row - half + 1e-6), _inside(corners, row + half - 1e-6))
            for left, right in _clear(list(ends), row - half, row + half, holes):
                if right - left >= wide:
                    return (left + right) / 2, row, size
        size *= 0.88
    return None
