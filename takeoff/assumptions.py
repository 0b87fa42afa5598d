"""What was taken for granted where the job is silent, with the likely other value to try."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.lengths import INCH, MILLIMETRE, format_length, size_text
from takeoff.book import Book
from takeoff.building import Building
from takeoff.job import Job
from takeoff.needs import Assumption
from takeoff.spans import panel_span

__all__ = ["assumed"]


def assumed(job: Job, building: Building, book: Book) -> tuple[Assumption, ...]:
    """Give every key about the roof that the job leaves out, in the order it would be measured."""
    return tuple(
        assumption
        for assumption in (*_shape(job, building), *_frame(job), *_measured(job, building), *_deck(job, book))
        if not _is_given(job, assumption.key)
    )


def _is_given(job: Job, key: str) -> bool:
    return key in job.model_fields_set


def _shape(job: Job, building: Building) -> Iterator[Assumption]:
    pairs = any(lengths is not None and len(lengths) > 1 for lengths in (job.slope_length, job.ridge_length))
    uneven = job.second_pitch is not None or job.ridge_from is not None
    could_lean = job.ridge_slot is None and not pairs and not uneven
    yield Assumption("roof", "gable", "a gable roof", "single-slope" if could_lean else None)
    if job.length != job.width and job.roof in ("gable", "single-slope", "gambrel"):
        along = "length" if building.along == job.length else "width"
        other = "width" if along == "length" else "length"
        yield Assumption("ridge_along", along, "the ridge runs along the longer side", other)
    if job.peak_height is not None:
        yield Assumption(
            "heights_on", "rafter undersides", "both heights are to the undersides of the rafters", "inside"
        )
    yield Assumption(
        "eave_overhang", "12 in", "the eaves overhang 12 in, on plan, to the finished face", "16 in"
    )
    if building.high is not None:
        yield Assumption("high_overhang", None, "the high edge overhangs as the eave does", "6 in")
    if building.lines_of("rake"):
        yield Assumption("rake_overhang", "0 in", "the rakes are flush with the gable walls", "12 in")


def _frame(job: Job) -> Iterator[Assumption]:
    if job.rafters is not None:
        return
    yield Assumption("rafter_spacing", "24 in", "rafters 24 in on centre", "16 in")
    if job.first_rafter is None and job.roof in ("gable", "single-slope", "gambrel"):
        yield Assumption(
            "first_rafter",
            None,
            "the first rafter's outer face is flush, the next centre one spacing from the corner",
            f"{format_length(job.rafter_thickness // 2, 'in')} in",
        )
    yield Assumption("rafter_thickness", "1-1/2 in", "rafters 1-1/2 in thick")


def _measured(job: Job, building: Building) -> Iterator[Assumption]:
    """Slopes and ridge by arithmetic: would half an inch more, as frames turn out, change what is bought."""
    if job.roof not in ("gable", "single-slope"):
        return
    more = INCH // 2 if job.tape == "in" else 12 * MILLIMETRE
    for key, text, lengths in (
        ("slope_length", "the slope follows from the pitch", tuple(plane.slope for plane in building.planes)),
        ("ridge_length", "the ridge follows from the plan", tuple(plane.length for plane in building.planes)),
    ):
        yield Assumption(
            key,
            None,
            f"{text}: {size_text(job.tape, lengths[0])}, not measured",
            size_text(job.tape, lengths[0] + more),
        )


def _deck(job: Job, book: Book) -> Iterator[Assumption]:
    yield Assumption(
        "panel", job.panel, f"deck panels {job.panel}{_rated(job, book)}", _other_panel(job, book)
    )
    yield Assumption("rules", "usual", 'rules "usual"', "lean")
    if job.fascia is not None or job.rake_board is not None:
        yield Assumption("deck_to", "framing", "the deck ends at the framing", "fascia")
    if job.fascia is not None:
        yield Assumption("tails", "plumb", "rafter tails cut plumb", "square")
    if job.roof == "gable":
        yield Assumption("ridge_slot", None, "no slot along the ridge", {"how": "deck held short"})
    yield Assumption("kerf", "1/8 in", "the saw turns 1/8 in to dust", "1/16 in")
    yield Assumption("door", [], "no door")


def _rated(job: Job, book: Book) -> str:
    rating = panel_span(book.sizes(job.panel)).rating
    return f", rated {rating[0]}/{rating[1]}" if rating else ""


def _other_panel(job: Job, book: Book) -> str | None:
    """Give the book's next stronger panel, or another as strong, as the likely other choice."""
    least = panel_span(book.sizes(job.panel)).rating or (0, 0)
    others = [
        (item.span, place, item.material)
        for place, item in enumerate(book.items)
        if item.span is not None and item.span >= least and item.material != job.panel
    ]
    return min(others)[2] if others else None
