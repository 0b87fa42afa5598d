"""Nails of the frame, joint by joint, and board feet to hold their weight against an old rule."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from optimizer.lengths import FOOT, INCH
from optimizer.words import Part, Run
from takeoff.book import Book, Item
from takeoff.counted import counted_with_waste, spaced, stocked
from takeoff.frame_job import FramingTable
from takeoff.job import Job
from takeoff.needs import Check, Needed

__all__ = ["board_feet", "frame_nail_needs", "nail_pounds", "nominal"]

_SCHEDULE = "IRC Table R602.3(1), from memory (not re-checked)"
_ARMY = "US Army EN0069 p. 4-10"

_FACE: Mapping[str, int] = {
    "common rafter": 3,
    "hip jack": 3,
    "tail": 3,
    "valley jack": 6,
    "hip and valley jack": 6,
    "hip rafter": 3,
    "valley rafter": 3,
    "barge rafter": 3,
    "ceiling joist": 6,
    "collar tie": 6,
    "lookout": 4,
    "stud": 4,
    "gable stud": 4,
    "trimmer": 9,
    "sill": 4,
}
"""Face and end nails in one piece at both its ends: rafters into the ridge, joists to rafters, studs to "
"plates."""

_TOE: Mapping[str, int] = {
    "common rafter": 3,
    "hip jack": 3,
    "ceiling joist": 6,
    "hip rafter": 3,
    "cripple": 8,
    "header": 8,
    "floor joist": 6,
}
"""Toe nails in one piece at both its ends."""

_PLATE = 16 * INCH
"""Spacing of nails along a plate, and along both edges of a header."""

_SPLICE = 8
"""Nails on each side of a joint in the top plates."""


def nominal(dressed: int) -> int:
    """
    Give the inches that a dressed size is sold as (PS 20, dry).

    Examples
    --------
    >>> [nominal(INCH * eighths // 8) for eighths in (6, 12, 28, 44, 58, 74, 90)]
    [1, 2, 4, 6, 8, 10, 12]
    """
    if dressed <= INCH:
        return 1
    whole = -(-dressed // INCH)
    if dressed >= 7 * INCH:
        return -(-(dressed + INCH * 3 // 4) // INCH)
    return whole if whole % 2 == 0 or whole == 1 else -(-(dressed + INCH // 2) // INCH)


def board_feet(thick: int, wide: int, length: int, count: int = 1) -> Fraction:
    """
    Measure lumber: nominal inches by nominal inches by feet, over 12; less than an inch counts as one.

    Parameters
    ----------
    thick, wide
        Nominal inches.
    length
        Base units.

    Examples
    --------
    Fourteen 1x4 of 8 ft (US Army EN5155):

    >>> board_feet(1, 4, 8 * FOOT, 14)
    Fraction(112, 3)
    """
    return Fraction(max(thick, 1) * wide * length * count, 12 * FOOT)


def nail_pounds(penny: int, feet: Fraction) -> Fraction:
    """
    Give the pounds of nails in framing of so many board feet: 1.67 a penny and thousand (US Army EN0069).

    Examples
    --------
    >>> float(nail_pounds(10, Fraction(6300)))
    105.21
    """
    return Fraction(167, 100) * penny * feet / 1000


def frame_nail_needs(job: Job, book: Book, needs: Sequence[Needed]) -> Needed:
    """
    Count the nails of the frame's pieces and plates, with the job's waste on top.

    Parameters
    ----------
    needs
        What the trades that frame have asked for.
    """
    table = job.framing
    if table is None:
        return Needed()
    parts = [part for need in needs for part in need.parts]
    runs = [run for need in needs for run in need.runs]
    face = sum(_per_piece(part, _FACE) for part in parts) + sum(_along(run, book) for run in runs)
    face += sum(_header(part) for part in parts)
    toe = sum(_per_piece(part, _TOE) for part in parts)
    waste = job.fastener.waste_percent
    counts = (
        counted_with_waste("framing nails", table.nail.material, face, waste),
        counted_with_waste("toe nails of the frame", table.toe_nail.material, toe, waste),
    )
    return stocked(Needed(checks=tuple(_checks(table, book, parts, runs, face + toe))), book, counts)


def _kind(part: Part) -> str:
    """Give what a part is called, without the number that tells its lengths apart."""
    return part.label.rstrip("0123456789").rstrip()


def _per_piece(part: Part, schedule: Mapping[str, int]) -> int:
    return schedule.get(_kind(part), 0) * part.count


def _header(part: Part) -> int:
    """Count the nails that hold a header's pieces together: two rows between each two."""
    if _kind(part) != "header":
        return 0
    return 2 * spaced(part.length, _PLATE) * (part.count - 1)


def _along(run: Run, book: Book) -> int:
    """Count the nails along a plate or rim, and at the joints it may have."""
    longest = max((item.length for item in book.sizes(run.material)), default=run.length)
    joints = -(-run.length // longest) - 1 if run.seams else 0
    return spaced(run.length, _PLATE) + 2 * _SPLICE * joints


def _item(book: Book, material: str) -> Item | None:
    return next((item for item in book.sizes(material) if item.width and item.thickness), None)


def _checks(
    table: FramingTable, book: Book, parts: Sequence[Part], runs: Sequence[Run], nails: int
) -> Iterator[Check]:
    feet = Fraction(0)
    pieces = [(part.material, part.length, part.count) for part in parts]
    for material, length, count in (*pieces, *((run.material, run.length, 1) for run in runs)):
        item = _item(book, material)
        if item is not None:
            feet += board_feet(nominal(item.thickness), nominal(item.width), length, count)
    pounds = -(-nail_pounds(16, feet) // 1)
    yield Check(
        "note",
        "framing nails",
        f"{_SCHEDULE}; the rule of thumb: {_ARMY}",
        f"{nails} nails by the joint, before waste: studs 2 at each end, rafters 3 toe nails and 3 at the "
        f"ridge, plates every 16 in. The frame measures {-(-feet // 1)} board feet as cut; 1.67 lb a penny "
        f"and thousand would make {pounds} lb of 16d. Straps, hangers and tie-downs are not in the list.",
    )
    if table.nail.length < 3 * INCH:
        yield Check(
            "warn",
            "framing nails",
            _ARMY,
            f"{table.nail.material} is short: through 1-1/2 in into end grain takes three times that.",
        )
