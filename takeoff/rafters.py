"""Where the rafters stand along a roof: as laid out from the corner, or as measured."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from optimizer.errors import InputError
from optimizer.lengths import format_length
from takeoff.job import Job

__all__ = ["Rafter", "rafter_lines"]


@dataclass(frozen=True, slots=True)
class Rafter:
    """
    A rafter: `at` is its centre from the left end of the deck, seen looking up from the eave.

    A `gable` rafter stands on an end wall, a `barge` rafter hangs out at an overhanging rake.
    """

    at: int
    role: Literal["gable", "common", "barge"]


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
            f"there is no room for two rafters on {format_length(length, job.tape)} {job.tape}",
            "first_rafter",
        )
    lines, place = [first], (0 if job.first_rafter is None else first) + job.rafter_spacing
    while place <= first:
        place += job.rafter_spacing
    while place < last:
        lines.append(min(place, last - thickness))
        place += job.rafter_spacing
    return (*dict.fromkeys(line for line in lines if line >= first), last)


def _as_measured(job: Job, length: int) -> tuple[int, ...]:
    lines = job.rafters or ()
    if lines[-1] > length:
        over = format_length(lines[-1] - length, job.tape)
        raise InputError(
            f"the last rafter lies {over} {job.tape} beyond the {format_length(length, job.tape)} {job.tape} "
            "of framing; measure centres from the left corner",
            "rafters",
        )
    return lines
