"""What is spread, squeezed or stuck: paint by area and coats, sealant and adhesive by the bead, tape."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal
from fractions import Fraction

from optimizer.errors import InputError
from optimizer.lengths import FOOT, INCH, size_text
from optimizer.words import Count, Part, Run, Surface
from takeoff.book import Book
from takeoff.building import Building
from takeoff.counted import stocked
from takeoff.fasteners import most_courses, most_seams
from takeoff.floor import Floor, floor_of
from takeoff.frame_job import AdhesiveTable, BeadTable, PaintTable, SealantTable
from takeoff.job import Job
from takeoff.needs import Check, Needed
from takeoff.roof import is_metric, panel_sizes
from takeoff.rules import rules_of

__all__ = [
    "adhesive_tubes",
    "bead_feet",
    "coverage_needs",
    "opening_tape_feet",
    "paint_quarts",
    "tube_volume",
]

_TURNED = 6 * INCH
"""How far flashing tape runs past a corner of an opening."""

_PRACTICE = "common practice, no source"
_TUBES = "a supplier's page citing a maker's table, page seen; volumes are arithmetic"
_SQUARE_FOOT = FOOT * FOOT
_PI = Fraction(355, 113)
_PER_SHEET = Fraction(3, 4) * Fraction(21, 2)
"""Fluid ounces of adhesive for 32 sq ft over joists 16 in apart: three quarters of a tube of 10-1/2."""


def tube_volume(ounces: Decimal | Fraction) -> Fraction:
    """Give the cubic inches in so many US fluid ounces: 231 in a gallon of 128."""
    return Fraction(ounces) * 231 / 128


def bead_feet(volume: Fraction, bead: Fraction, shape: str) -> Fraction:
    """
    Give the feet of bead in one tube.

    Parameters
    ----------
    volume
        Cubic inches.
    bead
        Thickness in inches; a square bead fills a joint as wide as it is deep.

    Examples
    --------
    >>> [round(float(bead_feet(Fraction(18), Fraction(n, 16), "square")), 1) for n in (2, 3, 4, 6, 8)]
    [96.0, 42.7, 24.0, 10.7, 6.0]
    """
    area = bead * bead * (1 if shape == "square" else _PI / 4)
    return volume / area / 12


def paint_quarts(area: Fraction, coats: int, per_gallon: int, waste_percent: int) -> int:
    """
    Count quarts of paint, rounded up.

    Parameters
    ----------
    area
        Square feet.

    Examples
    --------
    Two coats on 700 sq ft at 350 to the gallon are four gallons:

    >>> paint_quarts(Fraction(700), 2, 350, 0)
    16
    """
    return -int(-(area * coats * (100 + waste_percent) / 100) // Fraction(per_gallon, 4))


def _tubes(table: BeadTable, length: int) -> Fraction:
    feet = bead_feet(tube_volume(table.tube), Fraction(table.bead, INCH), table.shape)
    return Fraction(length, FOOT) / feet


def _whole(number: Fraction, waste_percent: int) -> int:
    return -int(-(number * (100 + waste_percent) / 100) // 1)


def coverage_needs(job: Job, building: Building, book: Book, needs: Sequence[Needed]) -> Needed:
    """
    Count paint, sealant, adhesive and deck tape.

    Parameters
    ----------
    needs
        What the trades outside of the frame ask for: it is what gets painted.

    Raises
    ------
    InputError
        If what is to be painted is not in the job.
    """
    counts: list[Count] = []
    checks: list[Check] = []
    if job.paint is not None:
        counts += _paint(job, job.paint, building, book, needs, checks)
    if job.sealant is not None:
        counts += _sealant(job, job.sealant, building, book, needs, checks)
    if job.adhesive is not None:
        counts += _adhesive(job, job.adhesive, building, book, checks)
    return stocked(Needed(checks=tuple(checks)), book, counts)


def _painted(job: Job) -> tuple[str, ...]:
    """Name what is painted: what the job says, else all wood outside that has a table of its own."""
    if job.paint is not None and job.paint.materials is not None:
        return job.paint.materials
    found: list[str | None] = [table.material for table in (job.fascia, job.rake_board, job.frieze) if table]
    found += [table.material for table in (job.soffit, job.siding) if table]
    if job.walls is not None:
        found += [job.walls.material if job.siding is None else None, job.walls.corner_board]
    for door in job.door:
        found += [door.face, door.casing]
    for window in job.window:
        found += [window.casing, window.sill]
    return tuple(dict.fromkeys(name for name in found if name is not None))


def _paint(
    job: Job, table: PaintTable, building: Building, book: Book, needs: Sequence[Needed], checks: list[Check]
) -> Iterator[Count]:
    area = Fraction(table.extra_area)
    materials = _painted(job)
    decks = {plane.name for plane in building.planes}
    areas = dict.fromkeys(materials, Fraction(0))
    for thing in _things(needs):
        if thing.material in areas and not (thing.label in decks or _is_hidden(thing.label)):
            areas[thing.material] += _face(thing, book)
    if job.paint is not None and table.materials is not None:
        for place, name in enumerate(table.materials, start=1):
            if not areas[name]:
                raise InputError(f"nothing in this job is made of {name!r}", f"paint.materials[{place}]")
    area += sum(areas.values())
    told = ", ".join(f"{name} {int(-(-found // 1))}" for name, found in areas.items() if found)
    yield Count(
        "paint, quarts",
        table.material,
        paint_quarts(area, table.coats, table.per_gallon, table.waste_percent),
    )
    if table.primer is not None:
        quarts = paint_quarts(area, 1, table.primer_per_gallon, table.waste_percent)
        yield Count("primer, quarts", table.primer, quarts)
    checks.append(
        Check(
            "note",
            "paint",
            "stored web pages: 350 to 400 sq ft a gallon, primer 200 to 300, page seen (secondary)",
            f"{int(-(-area // 1))} sq ft ({told or 'as the job says'}), outer faces and both edges of "
            f"boards, openings not taken off, {table.coats} coats at {table.per_gallon} sq ft a gallon and "
            f"{table.waste_percent} % lost. Rough panel siding takes a gallon for 150 to 250 sq ft, from "
            "memory (not re-checked): set per_gallon.",
        )
    )


def _is_hidden(label: str) -> bool:
    """Tell what lies behind something else, whatever it is cut from."""
    return any(word in label for word in ("blocking", "ledger", "lookout", "backing", "stop"))


def _things(needs: Sequence[Needed]) -> Iterator[Surface | Run | Part]:
    for need in needs:
        yield from need.surfaces
        yield from need.runs
        yield from need.parts


def _face(thing: Surface | Run | Part, book: Book) -> Fraction:
    """Give the square feet of the outer face, with both edges of a board."""
    if isinstance(thing, Surface):
        corners = thing.outline or (
            (0, 0),
            (thing.length, 0),
            (thing.length, thing.height),
            (0, thing.height),
        )
        ring = zip(corners, (*corners[1:], corners[0]), strict=True)
        twice = sum(x * after_y - after_x * y for (x, y), (after_x, after_y) in ring)
        return Fraction(abs(twice), 2 * _SQUARE_FOOT)
    item = book.sizes(thing.material)[0]
    own = thing.width if isinstance(thing, Part) and thing.width else item.width
    edges = 2 * item.thickness if item.kind == "board" else 0
    count = thing.count if isinstance(thing, Part) else 1
    return Fraction((own + edges) * thing.length * count, _SQUARE_FOOT)


def _sealant(
    job: Job,
    table: SealantTable,
    building: Building,
    book: Book,
    needs: Sequence[Needed],
    checks: list[Check],
) -> Iterator[Count]:
    length = table.extra_length
    length += sum(2 * door.height + door.width for door in job.door)
    length += sum(2 * window.height + window.width for window in job.window)
    for thing in _things(needs):
        if "corner board" in thing.label or thing.label == "wall flashing":
            length += thing.length * (thing.count if isinstance(thing, Part) else 1)
    yield Count("sealant", table.material, _whole(_tubes(table, length), table.waste_percent))
    feet = -(-length // FOOT)
    checks.append(
        Check(
            "note",
            "sealant",
            _TUBES,
            f"{feet} ft of {table.shape} bead {size_text(job.tape, table.bead)} thick: both sides and the "
            "head of every opening, corner boards, wall flashing and what the job adds; "
            f"{_feet_text(table)} ft a tube of {table.tube} fl oz. Sealant backs flashing up; it replaces "
            "none.",
        )
    )
    if table.deck_tape is not None:
        yield Count("deck tape, feet", table.deck_tape, _tape_feet(job, building, book))
        checks.append(
            Check(
                "note",
                "deck tape",
                "FEMA fact sheet 19, option 1",
                "4 in tape over every joint of the deck, on a broomed dry deck, under the underlayment.",
            )
        )
    if table.opening_tape is not None:
        feet = opening_tape_feet(job)
        yield Count("opening tape, feet", table.opening_tape, feet)
        checks.append(
            Check(
                "note",
                "flashing tape",
                "common practice, no source",
                f"{feet} ft round windows and doors: sill first, {size_text(job.tape, _TURNED)} past each "
                "side, then the sides, then the head over both; doors without a strip at the sill.",
            )
        )


def opening_tape_feet(job: Job) -> int:
    """
    Measure the tape round openings: across sills and heads and past both sides, up the sides past the head.

    Doors get none across their sill.
    """
    length = sum(2 * (w.width + 2 * _TURNED) + 2 * (w.height + _TURNED) for w in job.window)
    length += sum(d.width + 2 * _TURNED + 2 * (d.height + _TURNED) for d in job.door)
    return -(-length // FOOT)


def _feet_text(table: BeadTable) -> str:
    feet = bead_feet(tube_volume(table.tube), Fraction(table.bead, INCH), table.shape)
    return f"{float(feet):.0f}"


def _tape_feet(job: Job, building: Building, book: Book) -> int:
    """Measure every joint that a lay-out under the rules may have, and the ridge."""
    sizes = panel_sizes(job, book)
    rules = rules_of(job, is_metric(sizes))
    length = sum(line.length for line in building.lines_of("ridge", "hip", "valley"))
    for plane in building.planes:
        level = most_courses(plane, sizes, rules) - 1
        length += level * plane.length + most_seams(plane, sizes, rules) * plane.slope
    return -(-length // FOOT)


def adhesive_tubes(floor: Floor, table: AdhesiveTable) -> Fraction:
    """
    Give the tubes that a floor takes: by the bead, or by the published rule where that is more.

    A bead on every joist, a second one on each joist that carries panel ends, and one in every groove.
    """
    gap = INCH // 8
    longest = max(item.length for item in floor.sizes) + gap
    courses = -(-floor.width // (min(item.width for item in floor.sizes) + gap))
    ends = -(-floor.length // longest)
    length = len(floor.joists) * floor.width + ends * floor.width + (courses - 1) * floor.length
    rule = (
        Fraction(floor.length * floor.width, 32 * _SQUARE_FOOT)
        * _PER_SHEET
        * Fraction(16 * INCH, floor.table.joist_spacing)
        / Fraction(table.tube)
    )
    return max(_tubes(table, length), rule)


def _adhesive(
    job: Job, table: AdhesiveTable, building: Building, book: Book, checks: list[Check]
) -> Iterator[Count]:
    floor = floor_of(job, building, book)
    tubes = _tubes(table, table.extra_length)
    if floor is not None:
        tubes += adhesive_tubes(floor, table)
    if not tubes:
        checks.append(
            Check("warn", "adhesive", "this job", "There is no floor to glue: give [floor], or extra_length.")
        )
        return
    yield Count("construction adhesive", table.material, _whole(tubes, table.waste_percent))
    checks.append(
        Check(
            "note",
            "adhesive",
            "trade journal rule, three quarters of a 10-1/2 oz tube for 4 x 8 ft, page seen (secondary)",
            f"{float(tubes):.1f} tubes of {table.tube} fl oz before {table.waste_percent} % waste, "
            f"{table.shape} bead {size_text(job.tape, table.bead)}, {_feet_text(table)} ft a tube; the rule "
            "of thumb counts where it asks for more.",
        )
    )
