"""Openings in the roof: skylights and chimneys as holes in the deck, with the trimmers beside them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Literal

from pydantic import Field

from optimizer.errors import InputError
from optimizer.lengths import INCH, size_text
from optimizer.words import Hole, Support, Surface
from takeoff.fields import Length, LengthOrZero, Table, typed
from takeoff.needs import Check

__all__ = ["RoofOpeningTable", "opened", "opening_checks"]

_FRAMED = "common practice, no source"
_MASONRY = "NAVEDTRA 14044, page seen"
_NEAR = INCH // 4
"""A rafter so near the side of an opening is its trimmer."""


class RoofOpeningTable(Table):
    """`[[roof_opening]]`: a skylight or a chimney, by its opening in the deck."""

    kind: Literal["skylight", "chimney"] = Field("skylight", description='"skylight" or "chimney"')
    side: str = Field(
        min_length=1,
        description="the plane it is in, as `sides` or the report names it",
        examples=['"far side"'],
    )
    from_left: LengthOrZero = Field(
        description="from the deck's left end, looking up from the eave", examples=['"6 ft"']
    )
    from_eave: LengthOrZero = Field(
        description="up the slope, from the deck's lower edge", examples=['"30 in"']
    )
    width: Length = Field(
        description="along the eave: of a skylight's frame, a chimney's masonry", examples=['"22-1/2 in"']
    )
    height: Length = Field(description="up the slope", examples=['"46 in"'])
    clear: LengthOrZero = typed("3/4 in", "between a chimney's masonry and the deck, all round")


def opened(surface: Surface, tables: Sequence[RoofOpeningTable], rafter_thickness: int) -> Surface:
    """
    Leave a plane's openings open, and let the trimmers beside them bear panels and take seams.

    Raises
    ------
    InputError
        If an opening reaches over the plane, or into another.
    """
    holes: list[Hole] = []
    supports = list(surface.supports)
    for place, table in enumerate(tables, start=1):
        if table.side != surface.label:
            continue
        hole = _hole(surface, table, place)
        for other in holes:
            apart_along = hole.x + hole.length <= other.x or other.x + other.length <= hole.x
            if not (apart_along or hole.y + hole.height <= other.y or other.y + other.height <= hole.y):
                raise InputError(f"it reaches into {other.label}", f"roof_opening[{place}]")
        holes.append(hole)
        half = rafter_thickness // 2
        for at in (hole.x - half, hole.x + hole.length + half):
            if 0 < at < surface.length and all(abs(support.at - at) > _NEAR for support in supports):
                supports.append(Support(at))
    if not holes:
        return surface
    supports.sort(key=lambda support: support.at)
    return replace(surface, holes=tuple(holes), supports=tuple(supports))


def _hole(surface: Surface, table: RoofOpeningTable, place: int) -> Hole:
    clear = table.clear if table.kind == "chimney" else 0
    hole = Hole(
        f"{table.kind} {place}",
        table.from_left - clear,
        table.from_eave - clear,
        table.width + 2 * clear,
        table.height + 2 * clear,
    )
    left, right = hole.x, hole.x + hole.length
    low, high = hole.y, hole.y + hole.height
    if left < 0 or low < 0 or high > surface.height or right > surface.length:
        raise InputError(f"it reaches over the edge of the {surface.label}", f"roof_opening[{place}]")
    if surface.outline and not all(_inside(surface, x, y) for x in (left, right) for y in (low, high)):
        raise InputError(
            f"it reaches over a hip or a valley of the {surface.label}", f"roof_opening[{place}]"
        )
    return hole


def _inside(surface: Surface, x: int, y: int) -> bool:
    """Tell whether a point lies inside an outline or on it: on the left of every side of a convex one."""
    corners = surface.outline
    turns = zip(corners, (*corners[1:], corners[0]), strict=True)
    return all((b[0] - a[0]) * (y - a[1]) - (b[1] - a[1]) * (x - a[0]) >= 0 for a, b in turns)


def opening_checks(
    tables: Sequence[RoofOpeningTable], surfaces: Sequence[Surface], unit: Literal["in", "mm"]
) -> Iterator[Check]:
    """
    Say what the openings ask of the frame.

    Raises
    ------
    InputError
        If an opening names a plane that the roof does not have.
    """
    names = [surface.label for surface in surfaces]
    for place, table in enumerate(tables, start=1):
        if table.side not in names:
            raise InputError(
                f"{table.side!r} is no plane of this roof; planes are {', '.join(names)}",
                f"roof_opening[{place}].side",
            )
        size = size_text(unit, table.width, table.height)
        yield Check(
            "note",
            "roof opening",
            _FRAMED,
            f"{table.kind.capitalize()} {place}, {size}: frame it with trimmers beside it and headers above "
            "and below before you deck; their size is for a table or a designer. Panels end at it or are "
            "cut out, whichever is cheaper; shingles and underlayment are counted through it.",
        )
        if table.kind == "chimney":
            yield Check(
                "pass" if table.clear >= 3 * INCH // 4 else "warn",
                "chimney clearance",
                _MASONRY,
                f"The deck keeps {size_text(unit, table.clear)} from the masonry (3/4 in is the least); "
                "framing keeps 2 in.",
            )
