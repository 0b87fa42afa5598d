"""Where the joints of two plates may fall, one upon the other, so that they keep their distance."""

from __future__ import annotations

from collections.abc import Sequence

from optimizer.lengths import INCH

__all__ = ["plate_seams"]

_PERIOD = 96 * INCH
_ZONE = 24 * INCH
"""Within each period: a zone for the lower plate's joints, a gap, a zone for the cap's, a gap."""


def plate_seams(
    studs: Sequence[int], begins: int, ends: int, cap_begins: int, cap_ends: int, longest: int, shortest: int
) -> tuple[tuple[int, ...], tuple[int, ...], bool]:
    """
    Give the studs that may carry a joint of the lower plate and of the cap, each from its plate's left end.

    Parameters
    ----------
    studs
        Centres, from the corner of the wall.
    begins, ends, cap_begins, cap_ends
        Where the two plates begin and end.
    longest
        The longest board.

    Returns
    -------
    tuple
        Joints of the plate, joints of the cap, and whether they are sure to lie 24 in or more apart. They are
        not only where no choice of zones leaves pieces that are long enough and fit the longest board.
    """
    lower, cap = (
        [line for line in studs if begins < line < ends],
        [s for s in studs if cap_begins < s < cap_ends],
    )
    for shift in range(0, _PERIOD, _ZONE):
        here = tuple(line - begins for line in lower if (line - shift) % _PERIOD < _ZONE)
        there = tuple(line - cap_begins for line in cap if (line - shift + _PERIOD // 2) % _PERIOD < _ZONE)
        if _pieced(here, ends - begins, longest, shortest) and _pieced(
            there, cap_ends - cap_begins, longest, shortest
        ):
            return here, there, True
    return tuple(line - begins for line in lower), tuple(line - cap_begins for line in cap), False


def _pieced(joints: Sequence[int], length: int, longest: int, shortest: int) -> bool:
    """Tell whether some of the joints part a plate into pieces that can be cut."""
    reached = [0]
    shortest = min(shortest, length)
    for line in (*joints, length):
        if any(shortest <= line - before <= longest for before in reached):
            reached.append(line)
    return reached[-1] == length
