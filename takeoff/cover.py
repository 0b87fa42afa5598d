"""The cover of the roof, layer by layer, with its fasteners and the order it goes on."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from optimizer.lengths import size_text
from takeoff.book import Book
from takeoff.building import Building
from takeoff.cover_job import STRIPS
from takeoff.job import Job
from takeoff.needs import Assumption, Check, Needed, Step
from takeoff.ridge import ridge_needs
from takeoff.shingle_courses import exposure_of, nails_in, strip_of
from takeoff.shingles import shingle_needs
from takeoff.underlayment import underlayment_needs

__all__ = ["cover_needs"]


def cover_needs(job: Job, building: Building, book: Book) -> Needed:
    """
    Ask for every layer of the roof's cover that the job names.

    Nails come with the job's `waste_percent` on top; those that the price book doesn't have are left out of
    the purchase and named in a warning.
    """
    layers = (
        underlayment_needs(job, building, book),
        shingle_needs(job, building, book),
        ridge_needs(job, building, book),
    )
    wasted = 100 + job.fastener.waste_percent
    counts = []
    missing = []
    for layer in layers:
        for count in layer.counts:
            if count.label.endswith("nails"):
                count = replace(count, quantity=-(-count.quantity * wasted // 100))
            if book.sizes(count.material):
                counts.append(count)
            elif count.quantity:
                missing.append(_missing(count.material, count.quantity, count.label))
    return Needed(
        runs=tuple(run for layer in layers for run in layer.runs),
        parts=tuple(part for layer in layers for part in layer.parts),
        counts=tuple(counts),
        checks=(*(check for layer in layers for check in layer.checks), *missing),
        assumptions=(
            *(assumption for layer in layers for assumption in layer.assumptions),
            *_assumptions(job, building, book),
        ),
        steps=tuple(Step(when, words) for when, words in enumerate(_steps(job, building), start=1)),
        by_area=tuple(rough for layer in layers for rough in layer.by_area),
    )


def _missing(material: str, quantity: int, label: str) -> Check:
    return Check(
        "warn",
        "not in the price book",
        "this price book",
        f"The price book has no {material!r}: buy {quantity} for {label} besides; they are in no total.",
    )


def _assumptions(job: Job, building: Building, book: Book) -> Iterator[Assumption]:
    """Give what the job leaves to the usual way of shingling."""
    shingles, starter, cap = job.shingles, job.starter, job.ridge_cap
    if shingles is not None:
        if shingles.exposure is None:
            exposure = size_text(job.tape, exposure_of(shingles, strip_of(shingles, book)))
            yield Assumption("shingles.exposure", None, f"shingles show {exposure}")
        if shingles.nails is None:
            number = nails_in(job, shingles)
            other = 6 if number == 4 else 4
            yield Assumption("shingles.nails", None, f"{number} nails in a strip of shingles", other)
    if starter is not None and "rakes" not in starter.model_fields_set and building.lines_of("rake"):
        yield Assumption("starter.rakes", True, "starter runs up the rakes too", False)
    if cap is not None and "material" not in cap.model_fields_set:
        yield Assumption("ridge_cap.material", STRIPS, "ridge caps are cut from strips of the courses")
    if job.ridge_vent is not None and "ceiling" not in job.ridge_vent.model_fields_set:
        yield Assumption("ridge_vent.ceiling", False, "no ceiling closes off the space under the roof")


def _steps(job: Job, building: Building) -> Iterator[str]:
    """Give the order of the layers, a sentence each."""
    tape, rakes = job.tape, bool(building.lines_of("rake"))
    if job.ice_barrier is not None and not job.ice_barrier.unheated_detached:
        yield "Lay the ice barrier over the eave metal on a dry, swept deck; roll it down hard."
    if job.underlayment is not None:
        lap = size_text(tape, job.underlayment.end_lap)
        yield (
            f"Roll out the underlayment from the eave up, {'flush at the rakes, ' if rakes else ''}end laps "
            f"{lap}; nail it as you go, and never leave it loose in wind."
        )
    shingles = job.shingles
    if shingles is None:
        return
    if job.starter is not None:
        up = ", then up the rakes over the rake metal" if rakes and job.starter.rakes else ""
        yield f"Starter along the eave, its adhesive at the lower edge{up}."
    yield (
        "Snap chalk lines for the courses; start each at its left end as Lay shows, "
        f"{'the cut end to the rake' if rakes else 'trimmed along the hip'}; nail below the adhesive strip, "
        "heads flush."
    )
    if job.ridge_vent is not None:
        yield "Set the ridge vent over the slot, sections tight end to end, nailed but not driven tight."
    if job.ridge_cap is not None:
        what = "ridge" if not building.lines_of("hip") else "hips from the eave up, then the ridge"
        what = what if building.lines_of("ridge") else "hips from the eave up, the peak last"
        yield (
            f"Cap the {what} against the prevailing wind, two nails in each cap where the next one covers "
            "them" + (", long enough to reach the deck through the vent." if job.ridge_vent else ".")
        )
