"""The usual sizes of a yard, without prices: what stands in where a job names no price book."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.lengths import FOOT, INCH, MILLIMETRE, as_number
from takeoff.book import POUND, Book, Item

__all__ = ["LUMBER", "standard_book"]

_POUNDS_PER_CUBIC_FOOT = 35
"""Dry softwood, as engineering tables take it."""

LUMBER: dict[str, tuple[int, int]] = {
    "1x2": (INCH * 3 // 4, INCH * 3 // 2),
    "1x3": (INCH * 3 // 4, INCH * 5 // 2),
    "1x4": (INCH * 3 // 4, INCH * 7 // 2),
    "1x6": (INCH * 3 // 4, INCH * 11 // 2),
    "1x8": (INCH * 3 // 4, INCH * 29 // 4),
    "1x10": (INCH * 3 // 4, INCH * 37 // 4),
    "1x12": (INCH * 3 // 4, INCH * 45 // 4),
    "2x2": (INCH * 3 // 2, INCH * 3 // 2),
    "2x3": (INCH * 3 // 2, INCH * 5 // 2),
    "2x4": (INCH * 3 // 2, INCH * 7 // 2),
    "2x6": (INCH * 3 // 2, INCH * 11 // 2),
    "2x8": (INCH * 3 // 2, INCH * 29 // 4),
    "2x10": (INCH * 3 // 2, INCH * 37 // 4),
    "2x12": (INCH * 3 // 2, INCH * 45 // 4),
    "4x4": (INCH * 7 // 2, INCH * 7 // 2),
}
"""Thickness and width of dry dressed lumber (PS 20) by its nominal size."""

_LENGTHS = range(8, 21, 2)
"""Feet; the Army's EN0069 gives 8 to 20 ft in 2 ft steps. Only the nominal length counts as usable."""

_PANELS: tuple[tuple[str, int, tuple[int, int], float], ...] = (
    ("osb-7/16", INCH * 7 // 16, (24, 16), 1.4),
    ("osb-15/32", INCH * 15 // 32, (32, 16), 1.5),
    ("osb-19/32", INCH * 19 // 32, (40, 20), 2.0),
    ("osb-23/32", INCH * 23 // 32, (48, 24), 2.4),
    ("plywood-3/8", INCH * 3 // 8, (24, 0), 1.1),
    ("plywood-15/32", INCH * 15 // 32, (32, 16), 1.4),
    ("plywood-19/32", INCH * 19 // 32, (40, 20), 1.8),
    ("plywood-23/32", INCH * 23 // 32, (48, 24), 2.2),
)
"""Key, thickness, span rating, and pounds per square foot, the last from memory (not re-checked)."""

_COUNTED = (
    "nail-8d-common",
    "panel-clip",
    "roofing-nail",
    "cap-nail",
    "ridge-nail",
    "trim-nail-2",
    "trim-nail-2-1/2",
    "slab-screw",
    "stop-screw",
    "hinge-screw",
    "strap-hinge",
    "siding-nail",
    "nail-16d-common",
    "soffit-vent",
    "step-flashing",
    "kickout-flashing",
    "sealant",
    "adhesive",
)

_STUDS = (INCH * 741 // 8, INCH * 837 // 8)
"""Precut studs for walls of 8 and 9 ft: 92-5/8 and 104-5/8 in, from trade pages (secondary)."""

_TONGUED = (
    ("tg-osb-19/32", INCH * 19 // 32, (40, 20), 2.0),
    ("tg-osb-23/32", INCH * 23 // 32, (48, 24), 2.4),
)
"""Floor panels; their face is 47-1/2 in wide, of which one gap is taken off, from memory (not re-checked)."""


def _panels() -> Iterator[Item]:
    # Sized for spacing: an eighth short each way, so that a 1/8 in gap keeps a 48 x 96 in module.
    length, width = 96 * INCH - INCH // 8, 48 * INCH - INCH // 8
    for key, thickness, span, pounds in _PANELS:
        weight = round(pounds * 32 * POUND)
        yield Item(key, "4x8", "sheet", length, width, thickness, span, weight)
    for metric_length, metric_width in ((2440, 1220), (2500, 1250)):
        yield Item(
            "osb-11mm",
            f"{metric_width}x{metric_length}",
            "sheet",
            metric_length * MILLIMETRE,
            metric_width * MILLIMETRE,
            11 * MILLIMETRE,
        )
    for key, thickness, span, pounds in _TONGUED:
        weight = round(pounds * 32 * POUND)
        yield Item(key, "4x8", "sheet", length, width - INCH // 2, thickness, span, weight)
    yield Item("soffit-panel", "4x8", "sheet", 8 * FOOT, 4 * FOOT, INCH * 3 // 8)
    for feet in (8, 9, 10):
        yield Item("siding-panel", f"4x{feet}", "sheet", feet * FOOT, 4 * FOOT, INCH * 19 // 32)


def _boards() -> Iterator[Item]:
    for key, (thickness, width) in LUMBER.items():
        for feet in _LENGTHS:
            cubic_feet = thickness * width * feet / FOOT**2
            weight = round(cubic_feet * _POUNDS_PER_CUBIC_FOOT * POUND)
            yield Item(key, f"{feet} ft", "board", feet * FOOT, width, thickness, weight=weight)
    for key in ("2x4", "2x6"):
        thickness, width = LUMBER[key]
        for length in _STUDS:
            yield Item(f"stud-{key}", f"{as_number(length, 'in')} in", "board", length, width, thickness)
    for feet in (12, 16):
        yield Item("lap-siding", f"{feet} ft", "board", feet * FOOT, INCH * 33 // 4, INCH * 7 // 16)


def _sticks() -> Iterator[Item]:
    for key, kind, lengths in (
        ("drip-edge", "stick", (10,)),
        ("head-flashing", "stick", (8, 10)),
        ("z-flashing", "stick", (10,)),
        ("wall-flashing", "stick", (10,)),
        ("valley-metal", "stick", (10,)),
        ("foam-seal", "roll", (10, 17)),
    ):
        for feet in lengths:
            yield Item(key, f"{feet} ft", "roll" if kind == "roll" else "stick", feet * FOOT)


def _cover() -> Iterator[Item]:
    """
    Give rolls, strips, vents and caps for a shingle roof.

    Strips in a bundle differ by product, from 20 to 29: read the wrapper.
    """
    yield Item("felt-15", "3x144 ft", "roll", 144 * FOOT, 3 * FOOT)
    yield Item("felt-30", "3x72 ft", "roll", 72 * FOOT, 3 * FOOT)
    yield Item("synthetic-sheet", "4x250 ft", "roll", 250 * FOOT, 4 * FOOT)
    yield Item("ice-barrier", "3x65 ft", "roll", 65 * FOOT, 3 * FOOT)
    metric, height = INCH * 315 // 8, INCH * 53 // 4
    for key, length, width, thickness, pack in (
        ("shingle", 36 * INCH, 12 * INCH, INCH // 8, 27),
        ("shingle-metric", metric, height, INCH // 8, 22),
        ("laminated-shingle", metric, height, INCH * 3 // 16, 21),
        ("starter-strip", 36 * INCH, 7 * INCH, INCH // 8, 35),
    ):
        yield Item(key, "bundle", "stick", length, width, thickness, pack=pack)
    yield Item("ridge-vent", "4 ft", "stick", 4 * FOOT, 0, INCH * 5 // 8)
    yield Item("ridge-vent-roll", "20 ft", "roll", 20 * FOOT, 0, INCH * 5 // 8)
    yield Item("ridge-cap", "bundle", "each", pack=45)


def _spread() -> Iterator[Item]:
    """Give paint by the quart, tape by the foot; the length of a roll is from memory (not re-checked)."""
    for key in ("paint", "primer"):
        yield Item(key, "quart", "each")
        yield Item(key, "gallon", "each", pack=4)
    yield Item("deck-tape", "75 ft roll", "each", pack=75)
    yield Item("flashing-tape", "50 ft roll", "each", pack=50)


def standard_book() -> Book:
    """
    Give the usual sizes, unpriced.

    Roof panels come as 4x8 only: it is what every yard has, and where nothing is priced and the fewest
    pieces are planned, a longer panel would always win. A price book may offer any sizes.

    Examples
    --------
    >>> [item.key for item in standard_book().sizes("osb-7/16")]
    ['osb-7/16 4x8']
    """
    counted = (Item(key, "", "each") for key in _COUNTED)
    items = (*_panels(), *_boards(), *_sticks(), *_cover(), *_spread(), *counted)
    return Book(items, source="the list of usual sizes")
