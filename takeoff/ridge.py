"""Ridge vent and ridge cap: what closes the roof along its ridge and hips."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import ROUND_UP, Decimal

from optimizer.errors import InputError
from optimizer.lengths import FOOT, size_text
from optimizer.words import Count, Part, Run
from takeoff.book import Book
from takeoff.building import Building
from takeoff.cover_job import STRIPS, RidgeCapTable, RidgeVentTable
from takeoff.cover_stock import cut_to_length
from takeoff.job import Job
from takeoff.needs import ByArea, Check, Needed
from takeoff.shingle_checks import point_check
from takeoff.shingle_courses import exposure_of, strip_of
from takeoff.soffit import soffit_intake

__all__ = ["caps_for", "ridge_needs"]

_PRACTICE = "common practice, no source"
_RATIO = "IRC R806.2 (2012 text)"
_SHEET = "one maker's vent sheet"
_CAPS, _VENT = 35, 44
"""Caps are cut first where they come from strips: whole tabs at one end, before anything else is cut off."""


def ridge_needs(job: Job, building: Building, book: Book) -> Needed:
    """
    Ask for vent and caps, with their nails and checks.

    Raises
    ------
    InputError
        If a vent has no slot or ridge under it, or caps are to be cut from what has no tabs.
    """
    found = []
    if job.ridge_vent is not None:
        found.append(_vent_needs(job.ridge_vent, job, building, book))
    if job.ridge_cap is not None:
        found.append(_cap_needs(job.ridge_cap, job, building, book))
    return Needed(
        runs=tuple(run for need in found for run in need.runs),
        parts=tuple(part for need in found for part in need.parts),
        counts=tuple(count for need in found for count in need.counts),
        checks=tuple(check for need in found for check in need.checks),
        by_area=tuple(rough for need in found for rough in need.by_area),
    )


def _vent_needs(table: RidgeVentTable, job: Job, building: Building, book: Book) -> Needed:
    ridges = building.lines_of("ridge")
    if not ridges or job.ridge_slot is None:
        raise InputError("a ridge vent lies over the slot of a ridge; give [ridge_slot] too", "ridge_vent")
    sizes = cut_to_length(table.material, "ridge_vent.material", book)
    runs = tuple(
        Run(
            f"{line.label} vent" if len(ridges) > 1 else "ridge vent",
            table.material,
            line.length,
            shortest=min(table.shortest, line.length),
            mark=f"V{number}" if len(ridges) > 1 else "V",
            needed=_VENT,
        )
        for number, line in enumerate(ridges, start=1)
    )
    length = sum(run.length for run in runs)
    nails = sum(2 * (-(-run.length // table.nail_spacing) + 1) for run in runs)
    pieces = tuple((item.key, -(-length * 11 // (10 * item.length))) for item in sizes)
    return Needed(
        runs=runs,
        counts=(Count("ridge vent nails", table.nail.material, nails),),
        checks=tuple(_vent_checks(table, job, building, length, max(item.thickness for item in sizes), book)),
        by_area=(ByArea("ridge vent", table.material, pieces),),
    )


def _tidy(number: Decimal) -> str:
    return f"{number.quantize(Decimal('0.1'), rounding=ROUND_UP).normalize():f}"


def _vent_checks(
    table: RidgeVentTable, job: Job, building: Building, length: int, thickness: int, book: Book
) -> Iterator[Check]:
    slot = job.ridge_slot
    assert slot is not None, "a vent without a slot was refused"
    tape = job.tape
    open_length = max(length - 2 * slot.stop_short * len(building.lines_of("ridge")), 0)
    yield Check(
        "note",
        "ridge vent",
        "a slot of about 3/4 in each side: a forum text (secondary); where it stops from memory",
        f"The slot is {size_text(tape, slot.clear)} open on each side beside the ridge board and stops "
        f"{size_text(tape, slot.stop_short)} short of each end; the vent runs {size_text(tape, length)}, the "
        "full ridge, for looks.",
    )
    yield Check(
        "note",
        "ridge vent nails",
        _PRACTICE,
        "Longer nails than in the field, and never driven tight: a vent that is squeezed is closed.",
    )
    yield point_check(job, book, "ridge vent nail", table.nail.material, table.nail.length, thickness)
    if not table.ceiling:
        yield Check(
            "note",
            "ventilation ratio",
            "reading of IRC R806.1",
            "No ceiling closes off the space under the roof, so no ratio is asked for.",
        )
        return
    low = soffit_intake(job, building, book) if table.intake is None else table.intake
    yield from _ratio_checks(table, building, Decimal(open_length) / FOOT, low)


def _ratio_checks(
    table: RidgeVentTable, building: Building, feet: Decimal, low: Decimal | None
) -> Iterator[Check]:
    """Hold vent and soffit against 1/150 of the area, and 1/300 where high and low share it."""
    attic = Decimal(building.along * building.span) / FOOT**2
    high = feet * table.net_free_area
    need = {ratio: attic * 144 / ratio for ratio in (150, 300)}
    asked = f"{_tidy(attic)} sq ft asks for {_tidy(need[150])} sq in at 1/150, {_tidy(need[300])} at 1/300"
    has = f"the vent gives {_tidy(high)}"
    if low is None:
        yield Check(
            "warn",
            "ventilation ratio",
            _RATIO,
            f"{asked}; {has}. Give ridge_vent.intake or soffit.vent: soffit vents must let in no less.",
        )
        return
    share = high / (high + low) if high + low else Decimal(0)
    ratio = 300 if Decimal("0.4") <= share <= Decimal("0.5") else 150
    good = high + low >= need[ratio]
    yield Check(
        "pass" if good else "warn",
        "ventilation ratio",
        _RATIO,
        f"{asked}; {has}, the soffit {_tidy(low)}, together {_tidy(high + low)} sq in, "
        f"{_tidy(share * 100)} % of it high, so 1/{ratio} holds"
        + ("." if good else f": {_tidy(need[ratio] - high - low)} sq in are missing."),
    )
    yield Check(
        "pass" if low >= high else "warn",
        "soffit intake",
        _SHEET,
        f"Exhaust {_tidy(high)} sq in, intake {_tidy(low)}"
        + (": intake is as much or more." if low >= high else ": intake must not be less than exhaust."),
    )


def caps_for(length: int, exposure: int) -> int:
    """
    Count the caps of one ridge or hip: one for every exposure or part of it, and one to finish.

    Examples
    --------
    >>> caps_for(16 * FOOT, 5 * FOOT // 12)
    40
    """
    return -(-length // exposure) + 1


def _cap_needs(table: RidgeCapTable, job: Job, building: Building, book: Book) -> Needed:
    shingles = job.shingles
    past = shingles.rake_past if shingles else 0
    lines = [(line.label, line.finish + 2 * past) for line in building.lines_of("ridge")]
    lines += [(line.label, line.finish) for line in building.lines_of("hip")]
    if not lines:
        raise InputError("this roof has neither ridge nor hip; leave ridge_cap out", "ridge_cap")
    strip = strip_of(shingles, book) if shingles else None
    exposure = table.exposure
    if exposure is None:
        if shingles is None or strip is None:
            raise InputError("without [shingles] the caps' exposure is not known", "ridge_cap.exposure")
        exposure = exposure_of(shingles, strip)
    number = sum(caps_for(length, exposure) for _, length in lines)
    nails = Count("ridge cap nails", table.nail.material, 2 * number)
    checks = tuple(_cap_checks(table, job, building, book, lines, exposure, number))
    if table.material != STRIPS:
        sizes = book.require(table.material, "ridge_cap.material")
        if any(item.kind != "each" for item in sizes):
            raise InputError(
                f"{table.material!r} must be sold by number (each); pack is the caps in a bundle",
                "ridge_cap.material",
            )
        rough = ByArea(
            "ridge cap", table.material, tuple((item.key, -(-number * 11 // 10)) for item in sizes)
        )
        counts = (Count("ridge caps", table.material, number), nails)
        return Needed(counts=counts, checks=checks, by_area=(rough,))
    if shingles is None or strip is None:
        raise InputError(
            "caps are cut from shingles; give [shingles], or name cap stock", "ridge_cap.material"
        )
    if shingles.kind == "laminated":
        raise InputError(
            "laminated shingles have no tabs to cut caps from; name cap stock", "ridge_cap.material"
        )
    part = Part("ridge cap", shingles.material, strip.length // shingles.tabs, count=number, needed=_CAPS)
    strips = -(-number * 11 // (10 * shingles.tabs))
    return Needed(
        parts=(part,),
        counts=(nails,),
        checks=checks,
        by_area=(ByArea("ridge cap", shingles.material, ((strip.key, strips),)),),
    )


def _cap_checks(
    table: RidgeCapTable,
    job: Job,
    building: Building,
    book: Book,
    lines: list[tuple[str, int]],
    exposure: int,
    number: int,
) -> Iterator[Check]:
    tape = job.tape
    for label, length in lines:
        yield Check(
            "note",
            "ridge cap",
            "arithmetic: length / exposure, rounded up, and one to finish",
            f"{label}: {size_text(tape, length)} takes {caps_for(length, exposure)} caps at "
            f"{size_text(tape, exposure)}, two nails each.",
        )
    if table.material == STRIPS and job.shingles is not None:
        tabs, ends = job.shingles.tabs, "rakes" if building.lines_of("rake") else "hips"
        yield Check(
            "note",
            "caps from strips",
            "a self-builders' house guide: three caps from a strip",
            f"{number} caps are cut from strips, {tabs} from a whole one, first of all from what is trimmed "
            f"at the {ends} where a whole tab is left: cut at the cut-outs, the far end then serves there.",
        )
    vent = book.sizes(job.ridge_vent.material) if job.ridge_vent else ()
    under = max((item.thickness for item in vent), default=0)
    strip = strip_of(job.shingles, book).thickness if job.shingles else 0
    # Two caps where they lap, and over a vent nothing else; without one two layers of shingles.
    roofing = under + (2 if under else 4) * strip if strip else under
    yield point_check(job, book, "ridge cap nail", table.nail.material, table.nail.length, roofing)
