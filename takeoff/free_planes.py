"""Planes given by the corners of their decks, within the plane or in space."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from typing import Literal

from optimizer.errors import InputError
from optimizer.lengths import INCH, floor_sqrt, size_text
from optimizer.words import Corner
from takeoff.job import Job
from takeoff.planes import EdgeLine, Plane, marks_of, nearest_sqrt, top_of
from takeoff.rafters import Rafter
from takeoff.shape_job import PlaneTable, SideKind

__all__ = ["free_planes"]

Point = tuple[int, int, int]
_FLAT_ENOUGH = INCH // 16
"""How far a corner may lie off the plane through the others: what a tape can't tell."""

_FINE = 10**9


@dataclass(frozen=True, slots=True)
class _Laid:
    """A plane as typed and as it lies: corners on the slope, its points in the same order, its sides."""

    table: PlaneTable
    key: str
    pitch: Fraction
    outline: tuple[Corner, ...]
    points: tuple[Point, ...]
    edges: tuple[SideKind, ...] | None
    normal: tuple[int, int, int]


def free_planes(job: Job) -> tuple[tuple[Plane, ...], tuple[EdgeLine, ...]]:
    """
    Give the planes that the job lists, and the lines where they end or meet.

    Raises
    ------
    InputError
        If corners make no plane that can be covered in courses: flat, upright, crossing itself, or with two
        stretches at one height.
    """
    laid = tuple(_laid(job, table, f"plane[{place}]") for place, table in enumerate(job.plane, start=1))
    shared = _shared(laid)
    marks = marks_of(tuple(table.name for table in job.plane))
    planes, lines = [], []
    for one, mark in zip(laid, marks, strict=True):
        kinds = tuple(_kind(one, side, shared, laid) for side in range(len(one.outline)))
        planes.append(_plane(job, one, mark, kinds))
        lines += [line for side in range(len(kinds)) if (line := _line(one, side, kinds, shared, laid))]
    return tuple(planes), tuple(lines)


def _laid(job: Job, table: PlaneTable, key: str) -> _Laid:
    """Read one plane, anticlockwise from its lower left corner."""
    if table.corners is not None:
        pitch = table.pitch or job.pitch
        if pitch is None:
            raise InputError("corners need a pitch, the plane's own or the roof's", f"{key}.pitch")
        flat = _Laid(table, key, pitch, table.corners, (), table.edges, (0, 0, 0))
    else:
        flat = _in_space(job, table, key)
    return _started(_anticlockwise(flat))


def _in_space(job: Job, table: PlaneTable, key: str) -> _Laid:
    """Measure a plane's corners along its level lines and up its slope."""
    points = table.points or ()
    nx, ny, nz = (
        sum(p[a] * q[b] - p[b] * q[a] for p, q in pairwise((*points, points[0])))
        for a, b in ((1, 2), (2, 0), (0, 1))
    )
    if nz < 0:
        nx, ny, nz = -nx, -ny, -nz
    if nz == 0 or (nx, ny) == (0, 0):
        raise InputError(
            f"{table.name} is {'upright' if nz == 0 else 'level'}; a roof plane slopes", f"{key}.points"
        )
    square = nx * nx + ny * ny + nz * nz
    x0, y0, z0 = points[0]
    for x, y, z in points:
        off = abs(nx * (x - x0) + ny * (y - y0) + nz * (z - z0)) // floor_sqrt(square)
        if off > _FLAT_ENOUGH:
            raise InputError(
                f"{table.name}: the corners don't lie in one plane; one is {size_text(job.tape, off)} off it",
                f"{key}.points",
            )
    level = nx * nx + ny * ny
    root = floor_sqrt(level)
    exact = root * root == level
    pitch = Fraction(root, nz) if exact else Fraction(floor_sqrt(level * _FINE**2 // nz**2), _FINE)
    # Uphill is against the normal's lean; level, to the right of it.
    along = [_root(-ny * (x - x0) + nx * (y - y0), 1, level) for x, y, _ in points]
    up = [_root(-nx * (x - x0) - ny * (y - y0), square, level * nz * nz) for x, y, _ in points]
    outline = tuple((a - min(along), u - min(up)) for a, u in zip(along, up, strict=True))
    return _Laid(table, key, pitch, outline, points, table.edges, (nx, ny, nz))


def _root(amount: int, over: int, under: int) -> int:
    """Give amount x sqrt(over / under) to the nearest base unit, with the sign of the amount."""
    size = nearest_sqrt(Fraction(amount * amount * over, under))
    return size if amount >= 0 else -size


def _anticlockwise(laid: _Laid) -> _Laid:
    ring = (*laid.outline, laid.outline[0])
    twice = sum(x * later_y - later_x * y for (x, y), (later_x, later_y) in pairwise(ring))
    if twice == 0:
        raise InputError(f"{laid.table.name}: the corners enclose nothing", laid.key)
    if twice > 0:
        return laid
    # Turned round, the side after a corner is the one before it.
    edges = None if laid.edges is None else (*reversed(laid.edges[:-1]), laid.edges[-1])
    return _Laid(
        laid.table,
        laid.key,
        laid.pitch,
        tuple(reversed(laid.outline)),
        tuple(reversed(laid.points)),
        edges,
        laid.normal,
    )


def _started(laid: _Laid) -> _Laid:
    """Begin at the lower left corner, and measure from the left end and the lower edge."""
    left, low = (min(corner[axis] for corner in laid.outline) for axis in (0, 1))
    first = min(range(len(laid.outline)), key=lambda n: (laid.outline[n][1], laid.outline[n][0]))
    outline = tuple((x - left, y - low) for x, y in (*laid.outline[first:], *laid.outline[:first]))
    edges = None if laid.edges is None else (*laid.edges[first:], *laid.edges[:first])
    _check(laid, outline)
    points = (*laid.points[first:], *laid.points[:first])
    return _Laid(laid.table, laid.key, laid.pitch, outline, points, edges, laid.normal)


def _check(laid: _Laid, outline: Sequence[Corner]) -> None:
    """Refuse what can't be covered in courses of one stretch each: it climbs more than once."""
    ring = (*outline, outline[0])
    if any(first == second for first, second in pairwise(ring)):
        raise InputError(f"{laid.table.name}: two corners in a row are the same", laid.key)
    climbs = [b[1] > a[1] for a, b in pairwise(ring) if a[1] != b[1]]
    turns = sum(first != second for first, second in pairwise((*climbs, climbs[0])))
    if turns != 2 or not _simple(outline):
        raise InputError(
            f"{laid.table.name}: a course would be parted, or the sides cross; list corners in order, and "
            "give a plane with a notch as two planes",
            laid.key,
        )


def _simple(outline: Sequence[Corner]) -> bool:
    """Tell whether no two sides cross or touch, but neighbours at their corner."""
    sides = tuple(pairwise((*outline, outline[0])))
    apart = (
        (sides[one], sides[other])
        for one in range(len(sides))
        for other in range(one + 2, len(sides) - (one == 0))
    )
    return not any(_touch(one, other) for one, other in apart)


def _touch(one: tuple[Corner, Corner], other: tuple[Corner, Corner]) -> bool:
    (a, b), (c, d) = one, other
    across = _turn(a, b, c) * _turn(a, b, d) <= 0 and _turn(c, d, a) * _turn(c, d, b) <= 0
    # Sides on one line touch only if their extents do.
    return across and all(
        max(min(a[axis], b[axis]), min(c[axis], d[axis])) <= min(max(a[axis], b[axis]), max(c[axis], d[axis]))
        for axis in (0, 1)
    )


def _turn(a: Corner, b: Corner, c: Corner) -> int:
    """Give which way a path from a over b to c turns: left, straight on or right."""
    area = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
    return (area > 0) - (area < 0)


_Shared = dict[tuple[int, int], tuple[int, int]]
"""Plane and side, by the plane and side it meets."""


def _shared(laid: Sequence[_Laid]) -> _Shared:
    """Find the sides that two planes have in common, by the same two points."""
    sides: dict[frozenset[Point], list[tuple[int, int]]] = {}
    for number, one in enumerate(laid):
        for side, ends in enumerate(pairwise((*one.points, *one.points[:1]))):
            sides.setdefault(frozenset(ends), []).append((number, side))
    found: _Shared = {}
    for corners, sharing in sides.items():
        if len(sharing) > 2:
            names = ", ".join(laid[number].table.name for number, _ in sharing)
            raise InputError(f"{names} share one side; two planes meet at a line", "plane")
        if len(sharing) == 2 and len(corners) == 2:
            found[sharing[0]], found[sharing[1]] = sharing[1], sharing[0]
    return found


def _kind(one: _Laid, side: int, shared: _Shared, laid: Sequence[_Laid]) -> SideKind:
    """Tell what a side is: as typed, by the plane it meets, or by how it lies."""
    if one.edges is not None:
        return one.edges[side]
    (x, low), (end, high) = one.outline[side], one.outline[(side + 1) % len(one.outline)]
    number = next(place for place, other in enumerate(laid) if other is one)
    other = shared.get((number, side))
    if other is not None:
        return _meeting(one, laid[other[0]], level=low == high)
    if low == high:
        return "eave" if end > x else "high edge"
    return "rake"


def _meeting(one: _Laid, other: _Laid, *, level: bool) -> SideKind:
    """Tell ridge, hip, break and valley apart: by whether the other plane falls away, and which way."""
    nx, ny, nz = one.normal
    x0, y0, z0 = one.points[0]
    beyond = sum(nx * (x - x0) + ny * (y - y0) + nz * (z - z0) for x, y, z in other.points)
    if beyond > 0:
        return "valley"
    if not level:
        return "hip"
    return "break" if nx * other.normal[0] + ny * other.normal[1] > 0 else "ridge"


def _line(
    one: _Laid, side: int, kinds: Sequence[SideKind], shared: _Shared, laid: Sequence[_Laid]
) -> EdgeLine | None:
    """Give a side as a line; one that was counted with the plane it meets, or is typed "none", is no line."""
    number = next(place for place, other in enumerate(laid) if other is one)
    other = shared.get((number, side))
    kind = kinds[side]
    if kind == "none" or (other is not None and other[0] < number):
        return None
    (x, low), (end, high) = one.outline[side], one.outline[(side + 1) % len(one.outline)]
    length = nearest_sqrt((end - x) ** 2 + (high - low) ** 2)
    names = (one.table.name,) if other is None else (one.table.name, laid[other[0]].table.name)
    which: Literal["", "left", "right"] = "" if low == high else "right" if high > low else "left"
    # Rise and slope are as pitch to sqrt(1 + pitch^2).
    rise = nearest_sqrt(Fraction((high - low) ** 2) * one.pitch**2 / (1 + one.pitch**2))
    return EdgeLine(kind, names, length, length, length, length, which, rise)


def _plane(job: Job, one: _Laid, mark: str, kinds: Sequence[SideKind]) -> Plane:
    outline = one.outline
    length, slope = (max(corner[axis] for corner in outline) for axis in (0, 1))
    ring = tuple(pairwise((*outline, outline[0])))
    tops = {kind for kind, (a, b) in zip(kinds, ring, strict=True) if a[1] == b[1] == slope}
    square = len(outline) == 4 and all(a[0] == b[0] or a[1] == b[1] for a, b in ring)
    top = top_of(tops)
    eave = max((abs(b[0] - a[0]) for a, b in ring if a[1] == b[1] == 0), default=length)
    plane = Plane(
        one.table.name, mark, length, slope, eave, slope, (), one.pitch, () if square else outline, top
    )
    sides = tuple(None if kind == "none" else kind for kind in kinds)
    return _with_rafters(job, one, replace(plane, kinds=() if square else sides))


def _with_rafters(job: Job, one: _Laid, plane: Plane) -> Plane:
    ring = tuple(pairwise((*one.outline, one.outline[0])))
    upright = [any(a[0] == b[0] == end for a, b in ring) for end in (0, plane.length)]
    lines = _lines(job, one, plane.length, (upright[0], upright[1]))
    placed = []
    for line in lines:
        low, high = plane.reach(line) if 0 < line < plane.length else (0, 0)
        if high - low <= job.rafter_thickness:
            continue
        ends = (line == lines[0] and upright[0]) or (line == lines[-1] and upright[1])
        stopped = not {"hip", "valley"}.isdisjoint(plane.ends(line))
        placed.append(Rafter(line, "gable" if ends else "jack" if stopped else "common"))
    if len(placed) < 2:
        raise InputError(
            f"{plane.name}: fewer than two rafters stand under it; give rafters, or a smaller rafter_spacing",
            f"{one.key}.rafters",
        )
    return replace(plane, rafters=tuple(placed))


def _lines(job: Job, one: _Laid, length: int, upright: tuple[bool, bool]) -> tuple[int, ...]:
    """Lay rafters out from the left end, the last one flush with an upright right end."""
    table, spacing, thick = one.table, job.rafter_spacing, job.rafter_thickness
    if table.rafters is not None:
        if table.rafters[-1] > length:
            raise InputError(
                f"the last rafter lies beyond the plane's {size_text(job.tape, length)}", f"{one.key}.rafters"
            )
        return table.rafters
    first = table.first_rafter if table.first_rafter is not None else thick // 2 if upright[0] else spacing
    start = spacing if table.first_rafter is None and upright[0] else first + spacing
    last = length - thick // 2
    lines = [first, *range(start, length, spacing)]
    if upright[1]:
        lines = [*(min(line, last - thick) for line in lines if line < last), last]
    return tuple(dict.fromkeys(lines))
