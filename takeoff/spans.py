"""How far apart rafters may stand under a panel, by its span rating."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

from optimizer.lengths import INCH
from takeoff.book import Item
from takeoff.building import Building, Plane

__all__ = [
    "RATINGS",
    "SPACING_TOLERANCE",
    "PanelSpan",
    "Rating",
    "needs_edge_support",
    "panel_span",
    "widest_bay",
]

_TABLE = "IRC Table R503.2.1.1(1), from memory (not re-checked)"
_SEEN = "IRC Table R503.2.1.1(1), as quoted in a code forum (secondary)"


@dataclass(frozen=True, slots=True)
class Rating:
    """The farthest that supports may stand apart, in inches, with and without support along the edges."""

    supported: int
    unsupported: int
    source: str


RATINGS: Mapping[tuple[int, int], Rating] = {
    (16, 0): Rating(16, 16, _TABLE),
    (20, 0): Rating(20, 20, _TABLE),
    (24, 0): Rating(24, 20, _TABLE),
    (24, 16): Rating(24, 24, _SEEN),
    (32, 16): Rating(32, 28, _TABLE),
    (40, 20): Rating(40, 32, _TABLE),
    (48, 24): Rating(48, 36, _TABLE),
    # The code's table is remembered with 48 in unsupported, APA's guide with 40: the smaller is taken.
    (60, 32): Rating(60, 40, f"{_TABLE}; the smaller of two remembered values"),
}
"""Roof spans of rated panels; the table holds for panels 24 in or wider over three or more supports."""

SPACING_TOLERANCE = INCH // 32
"""Metric spacings such as 610 mm stand for the inches they are rounded from."""

_THICK_24_0 = Rating(24, 24, _TABLE)
"""24/0 panels of 15/32 in and more need no edge support at 24 in."""

_BY_THICKNESS: tuple[tuple[int, tuple[int, int]], ...] = (
    (INCH * 7 // 8, (60, 32)),
    (INCH * 23 // 32, (48, 24)),
    (INCH * 19 // 32, (40, 20)),
    (INCH * 15 // 32, (32, 16)),
    (INCH * 7 // 16, (24, 16)),
    (INCH * 3 // 8, (24, 0)),
)


@dataclass(frozen=True, slots=True)
class PanelSpan:
    """
    What one panel material may span: base units, None where nothing is known of it.

    `stamped` is True if the rating stands in the price book, False if it was guessed by thickness.
    """

    rating: tuple[int, int] | None
    supported: int
    unsupported: int
    source: str
    stamped: bool


def _of_rating(rating: tuple[int, int], thickness: int) -> Rating:
    if rating == (24, 0) and thickness >= INCH * 15 // 32:
        return _THICK_24_0
    if rating in RATINGS:
        return RATINGS[rating]
    below = [row for (roof, _), row in RATINGS.items() if roof <= rating[0]]
    unsupported = max((row.unsupported for row in below), default=rating[0])
    return Rating(rating[0], min(unsupported, rating[0]), "the panel's own stamp")


def _span_of(item: Item) -> PanelSpan:
    rating, stamped = item.span, item.span is not None
    if rating is None:
        rating = next((row for least, row in _BY_THICKNESS if item.thickness >= least), None)
    if rating is None:
        return PanelSpan(None, 0, 0, "no stamp in the price book", False)
    row = _of_rating(rating, item.thickness)
    return PanelSpan(rating, row.supported * INCH, row.unsupported * INCH, row.source, stamped)


def panel_span(sizes: Sequence[Item]) -> PanelSpan:
    """
    Give the span of a panel material: that of its weakest size.

    The rating in the price book wins; without one, the usual rating of the thickness is taken.
    """
    return min((_span_of(item) for item in sizes), key=lambda span: (span.supported, span.unsupported))


def widest_bay(building: Building) -> int:
    """
    Give the greatest distance between neighbouring rafters, centre to centre, barge rafters left out.

    Where a hip or a valley closes a plane, its end counts as one, less the tip that is no higher than rafters
    are thick; a hip beside an overhang too short for a tail, where it passes the wall.
    """
    return max(
        after - before for plane in building.planes for before, after in pairwise(_lines(building, plane))
    )


def _lines(building: Building, plane: Plane) -> list[int]:
    lines = [rafter.at for rafter in plane.rafters if rafter.role != "barge"]
    if not plane.outline:
        return lines
    outer = plane.rafters[0].role, plane.rafters[-1].role
    tip, (begins, ends) = building.rafter_thickness, plane.stretch(0)
    short = tip if building.roof == "planes" or "tail" in outer else max(tip, building.eave.deck)
    first = short if begins == 0 else tip
    last = plane.length - (short if ends == plane.length else tip)
    at_rakes = ("gable", "barge")
    return [
        *([] if outer[0] in at_rakes else [first]),
        *lines,
        *([] if outer[1] in at_rakes else [last]),
    ]


def needs_edge_support(building: Building, span: PanelSpan) -> bool:
    """
    Tell whether panel edges between rafters need clips or blocking for the span.

    A panel that spans no farther with its edges supported gains nothing from them.
    """
    return (
        span.rating is not None
        and span.supported > span.unsupported
        and widest_bay(building) > span.unsupported + SPACING_TOLERANCE
    )
