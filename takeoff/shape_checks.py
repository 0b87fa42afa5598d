"""What a roof of another shape than a plain gable asks for besides: hips, valleys, breaks, uneven walls."""

from __future__ import annotations

from collections.abc import Iterator
from typing import assert_never

from optimizer.lengths import INCH, size_text
from takeoff.building import Building
from takeoff.job import Job
from takeoff.needs import Check

__all__ = ["shape_checks"]

_PRACTICE = "common practice, no source"
_DECIDES = "FEMA P-499 7.1 p. 2"
_HIPS = "arithmetic: hip length = square root of run squared and rise squared"


def shape_checks(job: Job, building: Building) -> tuple[Check, ...]:
    """Say, for the shape of the roof, what was worked out and what is left for others to decide."""
    return (
        *_hip_checks(job, building),
        *_valley_checks(job, building),
        *_own_checks(job, building),
    )


def _hip_checks(job: Job, building: Building) -> Iterator[Check]:
    hips = building.lines_of("hip")
    if not hips:
        return
    tape = job.tape
    longest = max(line.wall for line in hips)
    free = building.roof == "planes"
    measured = (
        "from corner to corner of the deck" if free else "from the corner of the walls, overhang left out"
    )
    yield Check(
        "note",
        "hips",
        _HIPS,
        f"Hips are up to {size_text(tape, longest)} long {measured}. "
        "Hip and jacks are beveled or dropped so that the deck lies flat over them: set one out full size.",
    )
    yield Check(
        "note",
        "hips",
        _DECIDES,
        "Hips and valleys carry the jacks: their size, their support at the top and their ties are for the "
        "local code's tables or a design professional. None is sized here.",
    )
    yield Check(
        "note",
        "slanting pieces",
        _PRACTICE,
        "A slanting end lies on the hip or valley and is nailed along it as along a panel end; snap the line "
        "and trim in place where the frame is out of true.",
    )
    tails = any(rafter.role == "tail" for plane in building.planes for rafter in plane.rafters)
    if not tails and not free and building.eave.framing > 0:
        yield Check(
            "note",
            "eave at the hips",
            _PRACTICE,
            f"The eaves overhang {size_text(tape, building.eave.framing)}, too little for a tail beside the "
            "hip: the deck there hangs from the hip itself.",
        )


def _valley_checks(job: Job, building: Building) -> Iterator[Check]:
    valleys = building.lines_of("valley")
    if not valleys:
        return
    total = sum(line.length for line in valleys)
    yield Check(
        "note",
        "valleys",
        _PRACTICE,
        f"{size_text(job.tape, total)} of valley: line it before the shingles, as their maker says. Snow and "
        "water gather there, and a span rating alone is not enough.",
    )


def _own_checks(job: Job, building: Building) -> Iterator[Check]:
    match building.roof:
        case "gable":
            yield from _uneven(job, building)
        case "gambrel":
            yield Check(
                "note",
                "gambrel",
                _DECIDES,
                "What keeps the break from spreading (gussets, purlin wall, ties) is for the local code or "
                "a design professional to decide; it is not worked out here.",
            )
            yield Check(
                "note",
                "gambrel",
                _PRACTICE,
                "At the break the two decks meet along their top edges: bevel the edge of the lower deck or "
                "fill the gap with metal, and lap the covering over it.",
            )
        case "planes":
            yield Check(
                "note",
                "planes",
                "the job",
                "The planes are decked as their corners say; whether they close, and what stands under them, "
                "was not checked.",
            )
        case "L":
            yield Check(
                "note",
                "L",
                _PRACTICE,
                "The two ridges meet over a hip at the outer corner and a valley at the inner one. A wing "
                'that stands elsewhere, or with a gable of its own above the main roof, is roof = "planes".',
            )
        case "single-slope" | "hip" | "pyramid":
            return
        case _ as unreachable:
            assert_never(unreachable)


def _uneven(job: Job, building: Building) -> Iterator[Check]:
    """Tell how much lower one wall stands where a gable's ridge is off centre."""
    first, second = building.planes
    far = building.span - building.run
    drop = int(far * second.pitch - building.run * first.pitch)
    if abs(drop) > INCH // 16:
        lower = second.name if drop > 0 else first.name
        yield Check(
            "note",
            "walls of two heights",
            "arithmetic: run x pitch on each side",
            f"With this ridge the rafters meet the wall of the {lower} {size_text(job.tape, abs(drop))} "
            "lower than the other one.",
        )
