"""The lines of a roof whose planes are rectangles that meet at one ridge, or reach a high edge."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from takeoff.planes import Edge, EdgeKind, EdgeLine, Plane, slope_of

__all__ = ["rectangle_lines"]


def rectangle_lines(
    planes: tuple[Plane, ...], runs: tuple[Fraction, ...], eave: Edge, rake: Edge, high: Edge | None
) -> tuple[EdgeLine, ...]:
    """
    Give eaves and rakes of every plane, then the ridge or the high edge.

    Parameters
    ----------
    planes
        One, or two that meet at a ridge; their lengths may be measured ones.
    runs
        Of each plane, on plan, from the outside of framing to the ridge or the other wall.
    """
    lines = [
        line for plane, run in zip(planes, runs, strict=True) for line in _own(plane, run, eave, rake, high)
    ]
    longest = max(planes, key=lambda plane: plane.length)
    wall = longest.length - 2 * rake.deck
    names = tuple(plane.name for plane in planes)
    kind: EdgeKind = "ridge" if high is None else "high edge"
    lines.append(EdgeLine(kind, names, longest.length, longest.finish_length, wall + 2 * rake.framing, wall))
    return tuple(lines)


def _own(plane: Plane, run: Fraction, eave: Edge, rake: Edge, high: Edge | None) -> Iterator[EdgeLine]:
    wall = plane.length - 2 * rake.deck
    yield EdgeLine("eave", (plane.name,), plane.length, plane.finish_length, wall + 2 * rake.framing, wall)
    over = 0 if high is None else high.framing
    framing = slope_of(run + eave.framing + over, plane.pitch)
    rise = int((run + eave.deck + (0 if high is None else high.deck)) * plane.pitch)
    for side in ("left", "right"):
        yield EdgeLine(
            "rake",
            (plane.name,),
            plane.slope,
            plane.finish_slope,
            framing,
            slope_of(run, plane.pitch),
            side,
            rise,
        )
