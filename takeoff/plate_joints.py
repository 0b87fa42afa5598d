"""Where the joints of two plates may fall, one upon the other, so that they keep their distance."""

from __future__ import annotations

from collections.abc import Sequence

from optimizer.lengths import INCH

__all__ = ["plate_seams"]

_PERIOD = 96 * INCH
_ZONE = 24 * INCH
"""Within each period: a zone for the lower plate's joints, a gap, a zone for the cap's, a gap."""


def plate_seams(
    studs: Sequence[int], own: tuple[int, int], cap: tuple[int, int], longest: int, shortest: int
) -> tuple[tuple[int, ...], tuple[int, ...], bool]:
    """
    Give the studs that may carry a joint of the lower plate and of the cap, each from its plate's left end.

    Parameters
    ----------
    studs
        Centres, from the corner of the wall.
    own, cap
        Where the lower plate and the cap begin and end.
    longest
        The longest board.

    Returns
    -------
    tuple
        Joints of the plate, joints of the cap, and whether they are sure to lie 24 in or more apart. They
        are not only where no choice of zones leaves pieces that are long enough and fit the longest board.
    """
    lower = [line - own[0] for line in studs if own[0] < line < own[1]]
    upper = [line - cap[0] for line in studs if cap[0] < line < cap[1]]
    lengths = own[1] - own[0], cap[1] - cap[0]
    for shift in range(0, _PERIOD, _ZONE):
        here = _in_zone(lower, shift - own[0])
        there = _in_zone(upper, shift + _PERIOD // 2 - cap[0])
        if _pieced(here, lengths[0], longest, shortest) and _pieced(there, lengths[1], longest, shortest):
            return here, there, True
    return tuple(lower), tuple(upper), False


def _in_zone(lines: Sequence[int], begins: int) -> tuple[int, ...]:
    return tuple(line for line in lines if (line - begins) % _PERIOD < _ZONE)


def _pieced(joints: Sequence[int], length: int, longest: int, shortest: int) -> bool:
    """Tell whether some of the joints part a plate into pieces that can be cut."""
    reached = [0]
    shortest = min(shortest, length)
    for line in (*joints, length):
        if any(shortest <= line - before <= longest for before in reached):
            reached.append(line)
    return reached[-1] == length
