"""The rules of the trade held against this roof: spans, pitch, courses, overhangs, what was measured."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction
from itertools import pairwise

from optimizer.errors import InputError
from optimizer.lengths import INCH, MILLIMETRE, size_text
from takeoff.book import Book, Item
from takeoff.building import Building
from takeoff.job import Job
from takeoff.needs import Check
from takeoff.roof import panel_sizes, slot_line, top_slack
from takeoff.rules import RuleSet
from takeoff.shape_checks import shape_checks
from takeoff.spans import SPACING_TOLERANCE, PanelSpan, needs_edge_support, panel_span, widest_bay

__all__ = ["OUT_OF_SQUARE", "SEAM_TOLERANCE", "roof_checks"]

_PRACTICE = "common practice, no source"
SEAM_TOLERANCE = INCH * 3 // 16
"""How far a measured rafter may stand off its line before it needs a cleat."""

_LONG_PIECE = 1200 * MILLIMETRE
"""The 4 ft that are asked for where wind is high, or what is near enough in round millimetres."""

OUT_OF_SQUARE = INCH // 2
"""How far two lengths or diagonals that should be alike may differ."""


def roof_checks(job: Job, building: Building, book: Book, rules: RuleSet) -> tuple[Check, ...]:
    """
    Hold every rule of the deck against the building.

    Raises
    ------
    InputError
        If the rafters stand farther apart than the panel spans.
    """
    sizes = panel_sizes(job, book)
    return (
        *_span_checks(job, building, sizes),
        *_support_checks(job, building, sizes, rules),
        *_pitch_checks(building),
        *_course_checks(job, building, sizes, rules),
        *_overhang_checks(job, building, rules),
        *_square_checks(job, building),
        *_slot_checks(job, building),
        *shape_checks(job, building),
        *_weather_checks(job, rules),
    )


def _rating_text(span: PanelSpan) -> str:
    return f"{span.rating[0]}/{span.rating[1]}" if span.rating else "no rating"


def _span_checks(job: Job, building: Building, sizes: Sequence[Item]) -> Iterator[Check]:
    span, bay = panel_span(sizes), widest_bay(building)
    rule, wide = "panel span", size_text(job.tape, bay)
    if span.rating is None:
        yield Check(
            "warn",
            rule,
            span.source,
            f"No span rating is known for {job.panel}: read the stamp on the panel.",
        )
        return
    rated = f"{job.panel} ({_rating_text(span)})"
    over = bay - span.supported
    if over > (SPACING_TOLERANCE if job.rafters is None else SEAM_TOLERANCE):
        raise InputError(
            f"rafters {wide} apart are farther than {rated} spans, {size_text(job.tape, span.supported)}; "
            "name a panel with a higher span rating, or put the rafters closer",
            "rafter_spacing" if job.rafters is None else "rafters",
        )
    if over > SPACING_TOLERANCE:
        yield Check(
            "warn",
            rule,
            _PRACTICE,
            f"One bay measures {wide}, a little more than {rated} spans: nail a cleat.",
        )
    if needs_edge_support(building, span):
        yield Check(
            "note",
            rule,
            span.source,
            f"{rated} spans {wide} only with its long edges supported: use {job.edge_support}.",
        )
    elif over <= SPACING_TOLERANCE:
        yield Check("pass", rule, span.source, f"{rated} spans {wide} without support along its long edges.")
    if not span.stamped:
        yield Check(
            "warn",
            rule,
            "rating usual for the thickness, from memory (not re-checked)",
            f"The price book rates no {job.panel}; {_rating_text(span)} is taken. Read the stamp: it wins.",
        )


def _support_checks(job: Job, building: Building, sizes: Sequence[Item], rules: RuleSet) -> Iterator[Check]:
    supports = rules.supports.value
    if supports < 3:
        yield Check(
            "warn",
            "supports under a piece",
            "APA E30V p. 62",
            f"Pieces over {supports} rafters are let through, but span ratings hold for three or more.",
        )
    else:
        yield Check(
            "pass",
            "supports under a piece",
            rules.supports.source,
            f"Every piece lies on {supports} or more rafters.",
        )
    gap = rules.gap.value
    bearing = (building.rafter_thickness - gap) // 2
    yield Check(
        "pass" if bearing >= INCH // 2 else "warn",
        "bearing at a seam",
        "a home inspectors' page on roof sheathing (secondary): 1/2 in each",
        f"At a seam each panel rests on {size_text(job.tape, bearing)} of the rafter.",
    )
    yield Check(
        "note",
        "seam rafters",
        _PRACTICE,
        f"A rafter that carries a seam must stand within {size_text(job.tape, SEAM_TOLERANCE)} of its line; "
        "else nail a cleat to it.",
    )
    longest = max(item.length for item in sizes)
    if longest + gap < _least_reach(building, supports):
        yield Check(
            "warn",
            "supports under a piece",
            rules.supports.source,
            f"The longest panel, {size_text(job.tape, longest)}, can't reach {supports} rafters everywhere: "
            'relax [rule] supports, or try rules = "lean".',
        )


def _least_reach(building: Building, supports: int) -> int:
    """Give the widest stretch over so many neighbouring rafters, barge rafters left out."""
    stretches = [0]
    for plane in building.planes:
        lines = [rafter.at for rafter in plane.rafters if rafter.role != "barge"]
        stretches += [lines[i + supports - 1] - lines[i] for i in range(len(lines) - supports + 1)]
    return max(stretches)


def _pitch_checks(building: Building) -> Iterator[Check]:
    """Check every pitch the roof has; where there are several, each names its planes."""
    planes: dict[Fraction, list[str]] = {}
    for plane in building.planes:
        planes.setdefault(plane.pitch, []).append(plane.name)
    for pitch, names in planes.items():
        yield from _pitch_check(pitch, f"{', '.join(names)}: " if len(planes) > 1 else "")


def _pitch_check(pitch: Fraction, whose: str) -> Iterator[Check]:
    text = f"{whose}{float(pitch) * 12:.3g} in 12"
    if pitch * 12 < 2:
        yield Check(
            "warn",
            "pitch for shingles",
            "IRC R905.2.2",
            f"{text} is below 2 in 12: no asphalt shingles. Low slopes also want a stronger panel (APA E30V "
            "Table 31).",
        )
    elif pitch * 12 < 4:
        yield Check(
            "note",
            "pitch for shingles",
            "IRC R905.2.2; NAVEDTRA 14044",
            f"{text} is below 4 in 12: asphalt shingles need a double underlayment.",
        )
    elif pitch * 12 > 21:
        yield Check(
            "warn",
            "pitch for shingles",
            "IRC R905.2.6",
            f"{text} is over 21 in 12: fasten shingles as their maker says for steep slopes.",
        )
    else:
        yield Check("pass", "pitch for shingles", "IRC R905.2.2", f"{text} carries asphalt shingles.")


def _course_checks(job: Job, building: Building, sizes: Sequence[Item], rules: RuleSet) -> Iterator[Check]:
    """Look at the course that full-width courses would leave at the top, nominal as the rule is."""
    narrowest = rules.narrowest.value
    module = max(item.width for item in sizes) + rules.gap.value
    for plane in building.planes:
        height = plane.slope - top_slack(plane, rules) + rules.gap.value
        left = height - (-(-height // module) - 1) * module
        if left >= narrowest:
            continue
        short = f"{size_text(job.tape, left)}, less than {size_text(job.tape, narrowest)}"
        text = (
            f"full courses would leave {short}: two share the cut, or it goes mid-slope."
            if height > module
            else f"the whole slope takes {short}."
        )
        yield Check(
            "note" if height > module else "warn",
            "narrowest course",
            rules.narrowest.source,
            f"{plane.name}: {text}",
        )


def _overhang_checks(job: Job, building: Building, rules: RuleSet) -> Iterator[Check]:
    for name, edge in (("eave", building.eave), ("high edge", building.high)):
        if edge is not None and edge.framing > 24 * INCH:
            yield Check(
                "warn",
                f"{name} overhang",
                _PRACTICE,
                f"Rafter tails of {size_text(job.tape, edge.framing)} are long: have wind and snow checked.",
            )
    yield from _rake_checks(job, building, rules)


def _rake_checks(job: Job, building: Building, rules: RuleSet) -> Iterator[Check]:
    if not building.has_barges:
        return
    out = size_text(job.tape, building.rake.framing)
    if building.rake.framing > 16 * INCH and not job.lookouts:
        yield Check(
            "warn",
            "rake overhang",
            "NAVEDTRA 14044, roof construction",
            f"{out} is much for a panel to carry past the gable wall: from 16 to 20 in on, frame lookouts.",
        )
    elif job.lookouts:
        yield Check(
            "pass",
            "rake overhang",
            "NAVEDTRA 14044, roof construction",
            f"Lookouts carry the {out} of overhang.",
        )
    elif rules.barge_bears.value:
        yield Check(
            "warn",
            "rake overhang",
            rules.barge_bears.source,
            "The barge rafter counts as a support here; it bears a panel only if it is held up itself.",
        )
    else:
        yield Check(
            "pass",
            "rake overhang",
            rules.rake_bays.source,
            f"Panels that carry the {out} of overhang reach {rules.rake_bays.value} bays inside the wall.",
        )


def _square_checks(job: Job, building: Building) -> Iterator[Check]:
    """Compare what was measured on the two halves."""
    for key, lengths in (("slope_length", job.slope_length), ("ridge_length", job.ridge_length)):
        for first, second in pairwise(lengths or ()):
            if abs(first - second) > OUT_OF_SQUARE:
                yield Check(
                    "warn",
                    "square",
                    _PRACTICE,
                    f"{key}: the halves differ by {size_text(job.tape, abs(first - second))}, "
                    f"more than {size_text(job.tape, OUT_OF_SQUARE)}. Find out why before the first cut.",
                )
    if job.rafters is not None and building.planes[0].length != building.planes[-1].length:
        yield Check(
            "warn",
            "rafters",
            _PRACTICE,
            "The halves differ in length: measure the rafter lines on both, from the same gable end.",
        )


def _slot_checks(job: Job, building: Building) -> Iterator[Check]:
    if job.ridge_slot is None:
        return
    tops = [plane for plane in building.planes if plane.top == "ridge"]
    line = " or ".join(dict.fromkeys(size_text(job.tape, slot_line(job.ridge_slot, plane)) for plane in tops))
    yield Check(
        "note",
        "ridge slot",
        "FEMA P-499 7.1 p. 2",
        f"The slot's edge lies {line} down each slope. Cutting the ridge weakens the deck against wind and "
        "earthquake: ask a design professional where either rules.",
    )
    if any(not 3 <= plane.pitch * 12 <= 16 for plane in tops):
        yield Check(
            "warn",
            "ridge slot",
            "one maker's vent sheet",
            "Ridge vents are made for pitches of 3 to 16 in 12.",
        )


def _short_piece_check(job: Job, rules: RuleSet) -> Check:
    """Tell what is asked where wind is high: with 8 ft sheets and a wide stagger it leaves few lay-outs."""
    rule, source, shortest = "shortest piece", "FEMA fact sheet 18", rules.shortest.value
    told = size_text(job.tape, shortest)
    if shortest >= _LONG_PIECE:
        return Check("pass", rule, source, f"No piece is shorter than {told}, gap included.")
    long = "48 in" if job.tape == "in" else "1200 mm"
    return Check(
        "note",
        rule,
        source,
        f"No piece shorter than 4 ft is asked for in high-wind regions; this plan lets {told} through, gap "
        f'included. Set rule.shortest = "{long}" where the lay-out allows.',
    )


def _weather_checks(job: Job, rules: RuleSet) -> Iterator[Check]:
    if rules.name == "windy":
        yield Check(
            "note",
            "wind",
            "FEMA fact sheet 18",
            "Where wind is high, 15/32 in and thicker is typical, nailed with full-round-head 8d nails; "
            "uplift is highest at corners, edges and ridge.",
        )
        yield _short_piece_check(job, rules)
    else:
        yield Check(
            "note",
            "wind",
            "FEMA fact sheet 18",
            'Above 110 mph design wind: try rules = "windy" and nail as the local code\'s wind table says.',
        )
    yield Check(
        "note",
        "snow",
        "AWC WFCM FAQ; APA E30V p. 62",
        f"A span rating alone is not enough for {job.panel} where ground snow passes 70 psf, where snow "
        "drifts or slides onto the roof, or where the roofing weighs over 10 psf.",
    )
