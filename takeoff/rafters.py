"""Where the rafters stand along a roof: as laid out from the corner, or as measured."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from optimizer.errors import InputError
from optimizer.lengths import INCH, size_text
from takeoff.job import Job

__all__ = ["Rafter", "rafter_lines"]

_MOST = 2000
_FARTHEST = 6 * INCH
"""From the corner of the framing to the centre of the rafter that stands on the gable wall."""


@dataclass(frozen=True, slots=True)
class Rafter:
    """
    A rafter: `at` is its centre from the left end of the deck, seen looking up from the eave.

    A `gable` rafter stands on an end wall, a `barge` rafter hangs out at an overhanging rake. A `jack` ends
    against a hip or a valley; a `tail` is one that carries no more than the overhang beside a hip. Where
    each begins and ends up the slope, its plane knows (`Plane.reach`).
    """

    at: int
    role: Literal["gable", "common", "barge", "jack", "tail"]


def rafter_lines(job: Job, length: int) -> tuple[int, ...]:
    """
    Give the rafters' centres from the left corner of the framing, seen from the first side.

    The first rafter's outer face is flush, the next centre is one spacing from the corner, and so on; where
    the job names the first centre, every next one is one spacing farther. The last rafter's outer face is
    flush, whatever bay remains; a rafter that would run into it stands against it.

    Parameters
    ----------
    length
        Outside of framing, along the ridge.

    Raises
    ------
    InputError
        If a measured rafter lies beyond the framing, or there is no room for two rafters.
    """
    thickness = job.rafter_thickness
    last = length - thickness // 2
    if job.rafters is not None:
        return _as_measured(job, length)
    first = thickness // 2 if job.first_rafter is None else job.first_rafter
    if last - first < thickness:
        raise InputError(
            f"there is no room for two rafters on {size_text(job.tape, length)}",
            "length" if job.first_rafter is None else "first_rafter",
        )
    if length // job.rafter_spacing > _MOST:
        raise InputError(f"this makes more than {_MOST} rafters; check the unit", "rafter_spacing")
    lines, place = [first], (0 if job.first_rafter is None else first) + job.rafter_spacing
    while place < last:
        lines.append(min(place, last - thickness))
        place += job.rafter_spacing
    return _near_corners(job, (*dict.fromkeys(line for line in lines if line >= first), last), length)


def _as_measured(job: Job, length: int) -> tuple[int, ...]:
    lines = job.rafters or ()
    if lines[-1] > length:
        raise InputError(
            f"the last rafter lies {size_text(job.tape, lines[-1] - length)} beyond the "
            f"{size_text(job.tape, length)} of framing; measure centres from the left corner",
            "rafters",
        )
    return _near_corners(job, lines, length)


def _near_corners(job: Job, lines: tuple[int, ...], length: int) -> tuple[int, ...]:
    """Refuse a deck that would hang past its first or last rafter unsupported."""
    for corner, distance in (("left", lines[0]), ("right", length - lines[-1])):
        if distance > _FARTHEST:
            off = (
                f"the rafter nearest the {corner} corner is {size_text(job.tape, distance)} from it, "
                f"more than {size_text(job.tape, _FARTHEST)}"
            )
            if job.rafters is None:
                raise InputError(
                    f"{off}; a rafter stands on each gable wall: measure from the corner of the framing, and "
                    "give an overhang as rake_overhang",
                    "first_rafter",
                )
            raise InputError(
                f"{off}; list the rafters of both gable walls, and give an overhang as rake_overhang",
                "rafters",
            )
    return lines
