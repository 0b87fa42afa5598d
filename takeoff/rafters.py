"""Where the rafters stand along a roof: as laid out from the corner, or as measured."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from optimizer.errors import InputError
from optimizer.lengths import INCH, size_text
from takeoff.job import Job

__all__ = ["Rafter", "corner_lines", "rafter_lines"]

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


def corner_lines(
    job: Job, length: int, hips: tuple[bool, bool], kings: tuple[int, ...]
) -> tuple[Rafter, ...]:
    """
    Give the rafters of a side that ends at a hip, from the left corner of its framing.

    They are laid out from the hip's corner one spacing at a time, from both where both ends have one and
    with one more halfway where they leave too wide a bay, so that the jacks on the two sides of a hip meet in
    pairs. Under an overhang a tail at the corner carries the
    deck beside the hip, and more of them, a spacing apart, where it is wide. A rafter that would run into
    another stands against it.

    Parameters
    ----------
    length
        Outside of framing, along the eave.
    hips
        Whether the left and the right end is a hip; the other one is a gable wall.
    kings
        Commons that rise to the ends of the ridge.

    Raises
    ------
    InputError
        If the spacing makes more rafters than any roof has.
    """
    spacing, thick = job.rafter_spacing, job.rafter_thickness
    if length // spacing > _MOST:
        raise InputError(f"this makes more than {_MOST} rafters; check the unit", "rafter_spacing")
    left, right = hips
    reach = length // 2 if left and right else length - thick // 2
    steps = list(range(spacing, reach + 1, spacing))
    from_left = steps if left else []
    from_right = [length - at for at in steps] if right else []
    middle = [length // 2] if left and right and length - 2 * len(steps) * spacing > spacing else []
    places = sorted({*from_left, *middle, *from_right, *kings})
    apart: list[int] = []
    for place in places:
        if apart and place - apart[-1] < thick:
            if place not in kings:
                place = apart[-1] + thick
            elif apart[-1] not in kings:
                apart[-1] = place - thick
        apart.append(place)
    first, last = thick // 2, length - thick // 2
    if not left:
        apart = [first, *(max(place, first + thick) for place in apart if place > first)]
    if not right:
        apart = [*(min(place, last - thick) for place in apart if place < last), last]
    ends = {first} if not left else set()
    ends |= {last} if not right else set()
    placed = [Rafter(place, "gable" if place in ends else "common") for place in dict.fromkeys(apart)]
    for out in range(0, job.eave_overhang - 2 * thick + 1, spacing):
        placed += [Rafter(at, "tail") for at, there in ((-out, left), (length + out, right)) if there]
    return tuple(sorted(placed, key=lambda rafter: rafter.at))


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
