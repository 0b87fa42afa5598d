"""What the crew needs to know on site: the order of work, what to measure first, where it can hurt."""

from __future__ import annotations

from collections.abc import Iterator
from typing import assert_never

from optimizer.lengths import floor_sqrt, size_text
from optimizer.words import Corner
from takeoff.book import Item
from takeoff.building import Building
from takeoff.checks import OUT_OF_SQUARE, SEAM_TOLERANCE
from takeoff.job import Job
from takeoff.needs import View
from takeoff.planes import Plane, nearest_sqrt
from takeoff.roof import slot_line
from takeoff.rules import RuleSet

__all__ = ["cautions", "dimensions", "measurements", "plane_views", "work_steps"]

_PRACTICE = "common practice, no source"


def dimensions(job: Job, building: Building, panels: tuple[Item, ...]) -> tuple[tuple[str, int], ...]:
    """Give the lengths worth showing, by name."""
    named = [("run", building.run), ("rise", building.rise)]
    for plane in building.planes:
        named += [
            (f"{plane.name}: slope of the deck", plane.slope),
            (f"{plane.name}: deck along the {'courses' if plane.outline else 'ridge'}", plane.length),
        ]
    named += _slanting(building)
    slot = job.ridge_slot
    if slot is not None:
        named.append(("ridge slot: edge down from the peak", slot_line(slot, _under_ridge(building))))
        if slot.how == "cut in place":
            named.append(("ridge slot: stops short of each end", slot.stop_short))
            named.append(("ridge slot: depth of the saw", max(item.thickness for item in panels)))
    return tuple(named)


def plane_views(building: Building) -> tuple[View, ...]:
    """Say how each plane of the roof is seen, and what its courses begin and end at."""
    views = []
    for plane in building.planes:
        low = _begins(building, plane)
        seen = f"side {plane.mark}, seen looking up from its {low}"
        views.append(View(plane.name, seen, f"the {low}", plane.top, "the rafters"))
    return tuple(views)


def _begins(building: Building, plane: Plane) -> str:
    """Name what a plane begins at: its eave, or the break it lies above."""
    above = any(plane.name in line.planes[1:] for line in building.lines_of("break"))
    return "break" if above else "eave"


def _slanting(building: Building) -> list[tuple[str, int]]:
    """Name hips, valleys and breaks, those of one length together; on a roof with any of them, ridges too."""
    if not building.lines_of("hip", "valley", "break"):
        return []
    alike: dict[tuple[str, int], list[str]] = {}
    for line in building.lines_of("ridge", "hip", "valley", "break"):
        alike.setdefault((line.kind, line.length), []).append(line.label)
    return [
        (labels[0] if len(labels) == 1 else f"{kind}s, {len(labels)} alike, each", length)
        for (kind, length), labels in alike.items()
    ]


def _under_ridge(building: Building) -> Plane:
    return next(plane for plane in building.planes if plane.top == "ridge")


def measurements(job: Job, building: Building) -> tuple[tuple[str, int | None], ...]:
    """
    Give what to measure before the first cut, with the planned value.

    Diagonals run from corner to corner of a plane; seam rafters are checked by eye against the lay-out.
    """
    off = size_text(job.tape, SEAM_TOLERANCE)
    wanted: list[tuple[str, int | None]] = []
    for plane in building.planes:
        if plane.outline:
            wanted += [(f"{plane.name}: {name}", length) for name, length in _round(plane)]
            wanted.append((f"{plane.name}: rafters that carry seams, each within {off} of its line", None))
            continue
        low = _begins(building, plane)
        diagonal = floor_sqrt(plane.slope**2 + plane.length**2)
        wanted += [
            (f"{plane.name}: slope at the left end", plane.slope),
            (f"{plane.name}: slope at the right end", plane.slope),
            (f"{plane.name}: {low}", plane.length),
            (f"{plane.name}: {plane.top}", plane.length),
            (f"{plane.name}: diagonal, lower left to upper right", diagonal),
            (f"{plane.name}: diagonal, lower right to upper left", diagonal),
            (f"{plane.name}: rafters that carry seams, each within {off} of its line", None),
        ]
    return tuple(wanted)


def _round(plane: Plane) -> Iterator[tuple[str, int]]:
    """
    Give a plane's sides, then its diagonals, by the numbers of its corners from the lower left one.

    Four corners have two diagonals, which tell whether they are where they should be; where there are more,
    those from the first corner do.
    """
    corners = plane.outline
    count = len(corners)
    for first in range(count):
        second = (first + 1) % count
        yield f"corner {first + 1} to corner {second + 1}", _apart(corners[first], corners[second])
    for first in range(2 if count == 4 else 1):
        for second in range(first + 2, count - (first == 0)):
            yield (
                f"diagonal, corner {first + 1} to corner {second + 1}",
                _apart(corners[first], corners[second]),
            )


def _apart(first: Corner, second: Corner) -> int:
    return nearest_sqrt((first[0] - second[0]) ** 2 + (first[1] - second[1]) ** 2)


def work_steps(job: Job, building: Building, panels: tuple[Item, ...], rules: RuleSet) -> tuple[str, ...]:
    """Give the order of work on site, a sentence each."""
    gap = size_text(job.tape, rules.gap.value)
    off, square = (size_text(job.tape, length) for length in (SEAM_TOLERANCE, OUT_OF_SQUARE))
    steps = [
        "Confirm with the utility that the lines overhead are dead or far enough away.",
        "Start on a dry, calm day; stop for wind, rain, frost and dew.",
        f"Measure the frame and fill in the form; more than {square} out of square: find out why first.",
        f"Check the rafters that carry seams; nail a cleat where one is more than {off} off its line.",
        *_board_steps(job, building),
        *_deck_steps(building, gap),
    ]
    steps += _slot_steps(job, building, panels)
    if job.drip_edge.eave is not None:
        last = ", then the rake metal over that" if building.lines_of("rake") else ""
        steps.append(f"Nail the eave metal, lay the underlayment over it{last}.")
    return tuple(steps)


def _deck_steps(building: Building, gap: str) -> list[str]:
    """Tell in which order the planes are decked, and what braces them meanwhile."""
    first, *others = [plane.name for plane in building.planes]
    closed_by = building.planes[0].top
    top = "top" if closed_by in ("peak", "break") else closed_by
    steps = [
        f"Snap a line for the first course; deck the {first} from the eave up, {gap} between panels.",
        "Sweep the sawdust off a course before stepping on it.",
        f"Measure again before cutting the {top} course; lay it with its cut edge up.",
    ]
    if building.lines_of("hip", "valley"):
        steps.append(
            "Snap a line along every hip and valley; hold each slanting piece to it before nailing, and trim "
            "what passes it."
        )
    match building.roof:
        case "gable":
            steps.append(f"Deck the {others[0]} the same way; the brace stays until both halves are decked.")
        case "single-slope":
            steps.append("The brace stays until the whole slope is decked.")
        case "gambrel":
            steps.append(
                f"Go on with the {others[0]}, from the break up, then the {others[1]} and the {others[2]}; "
                "the braces stay until both sides are decked."
            )
        case "hip" | "pyramid" | "L" | "planes":
            if others:
                listed = " and the ".join(filter(None, (", the ".join(others[:-1]), others[-1])))
                steps.append(f"Deck the {listed} the same way; the braces stay until every plane is decked.")
            else:
                steps.append("The brace stays until the whole slope is decked.")
        case _ as unreachable:
            assert_never(unreachable)
    return steps


def _board_steps(job: Job, building: Building) -> list[str]:
    rakes = job.rake_board if building.lines_of("rake") else None
    boards = [name for name, table in (("fascia", job.fascia), ("rake boards", rakes)) if table]
    return [f"Fasten {' and '.join(boards)} before the deck that meets them."] if boards else []


def _slot_steps(job: Job, building: Building, panels: tuple[Item, ...]) -> list[str]:
    slot = job.ridge_slot
    if slot is None:
        return []
    line = size_text(job.tape, slot_line(slot, _under_ridge(building)))
    match slot.how:
        case "deck held short":
            return [f"The deck stops {line} short of the peak, for the ridge slot."]
        case "cut in place":
            depth = size_text(job.tape, max(item.thickness for item in panels))
            stop = size_text(job.tape, slot.stop_short)
            return [
                f"Snap a line {line} down from the peak on each slope; cut the ridge slot along it, "
                f"the saw set to the deck's {depth}, and stop {stop} from each end."
            ]


def cautions(building: Building) -> tuple[tuple[str, str], ...]:
    """Give the warnings for work on roofs, with saws and near lines, each with its source."""
    steep = any(plane.pitch * 12 > 4 for plane in building.planes)
    return (
        (
            "Falls: from 6 ft above a lower level, use guardrails, nets or a harness"
            + ("; this roof is steeper than 4 in 12, so guardrails need toeboards." if steep else "."),
            "29 CFR 1926.501(b)" + ("; 1926.501(b)(11), page seen (secondary)" if steep else ""),
        ),
        (
            "Those limits bind employers; an owner-builder should keep to them too.",
            _PRACTICE,
        ),
        (
            "Sawdust, frost, dew and loose granules are slippery; felt tears underfoot. Sweep first.",
            "FEMA fact sheet 19 for sweeping; the rest common practice, no source",
        ),
        (
            "Stay 10 ft from overhead lines of up to 50 kV with body, ladder and long material; confirm with "
            "the utility.",
            "page seen (secondary), after 29 CFR 1926.1408 Table A for equipment",
        ),
        (
            "Saw: guard in place and closing by itself, eyes and ears covered, offcut held up, unplugged to "
            "change the blade. Never rip a short narrow strip freehand.",
            "29 CFR 1917.51 for guards; the rest common practice, no source",
        ),
        (
            "The local building department and licensed practice decide: spans, wind, snow, rafters and "
            "headers beyond prescriptive limits need a design professional.",
            "FEMA P-499 7.1 p. 2",
        ),
    )
