"""The frame of the roof as boards to cut: rafters of every kind, ridge, joists, collar ties, lookouts."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from optimizer.errors import InputError
from optimizer.lengths import size_text
from optimizer.words import Run
from takeoff.book import Book, Item
from takeoff.building import Building, Plane, slope_of
from takeoff.counted import spaced
from takeoff.frame_checks import roof_frame_checks
from takeoff.frame_job import FramingTable
from takeoff.frame_pieces import FramePiece, needed_of, own_or
from takeoff.job import Job
from takeoff.needs import Needed, Step
from takeoff.rafter_cuts import RafterCut, angle_text, line_cut, plumb_slant, rafter_cut
from takeoff.rafters import Rafter

__all__ = ["joist_pieces", "roof_frame_needs"]

_JOISTS, _RIDGE, _RAFTERS, _TIES = 5, 6, 7, 8
"""When they are cut: plates and studs come before, boards along the edges after."""


def roof_frame_needs(job: Job, building: Building, book: Book) -> Needed:
    """
    Ask for the lumber of the roof's frame.

    Raises
    ------
    InputError
        If the book lacks a material, or the birdsmouth would cut a rafter through.
    """
    table = job.framing
    if table is None:
        return Needed()
    lumber = _board(book, table.rafter, "framing.rafter")
    if table.seat * building.pitch >= lumber.width * (1 + building.pitch**2):
        raise InputError(
            f"a seat of {size_text(job.tape, table.seat)} cuts a rafter {size_text(job.tape, lumber.width)} "
            "deep through; make it shorter",
            "framing.seat",
        )
    pieces = [*_rafters(job, table, building, book), *_lines(table, building, book)]
    pieces += [*_joists(job, table, building, book), *_ties(table, building, book)]
    pieces += _lookouts(job, table, building, book)
    return replace(
        needed_of(pieces),
        runs=tuple(_ridges(table, building, book)),
        checks=tuple(roof_frame_checks(job, table, building, book)),
        steps=_steps(job, table, building),
    )


def _board(book: Book, material: str, key: str) -> Item:
    item = book.one(material, key)
    if item.kind != "board":
        raise InputError(f"{material!r} is no lumber in the price book; name boards", key)
    return item


def _thickness(book: Book, material: str | None, key: str) -> int:
    return _board(book, material, key).thickness if material else 0


def _rafters(job: Job, table: FramingTable, building: Building, book: Book) -> Iterator[FramePiece]:
    """Give every rafter from the deck above it: its top edge, and the reach of its plumb cuts."""
    ridge = _thickness(book, table.ridge, "framing.ridge")
    barge = own_or(table.barge, "rafter", table.rafter)
    eaves = {name for line in building.lines_of("eave") for name in line.planes}
    for plane in building.planes:
        for rafter in plane.rafters:
            material = barge if rafter.role == "barge" else table.rafter
            if material is None:
                continue
            item = _board(book, material, "framing.barge" if rafter.role == "barge" else "framing.rafter")
            cut = rafter_cut(rafter, plane, building, job.tails, ridge, ridge or item.thickness)
            if cut.top > 0:
                yield _rafter(rafter, cut, plane, item, job, plane.name in eaves)


def _rafter(rafter: Rafter, cut: RafterCut, plane: Plane, item: Item, job: Job, on_eave: bool) -> FramePiece:
    slant = plumb_slant(item.width, plane.pitch)
    square = job.tails == "square" and cut.lower == "eave" and on_eave
    top = {"ridge": "ridge", "high edge": "top", "break": "break", "hip": "hip", "peak": "ridge"}[cut.upper]
    foot = "tail" if cut.lower == "eave" and on_eave else "foot" if cut.lower == "eave" else "valley"
    angle = angle_text(plane.pitch)
    ends = f"plumb {angle}, at {top} and {foot}" if not square else f"plumb {angle}, at {top}; tail square"
    if rafter.role == "barge":
        kind = "barge rafter"
    elif rafter.role == "tail":
        kind = "tail"
    elif cut.jack:
        kind = f"{'hip and valley' if (cut.upper, cut.lower) == ('hip', 'valley') else _met(cut)} jack"
        ends += f"; cheek at the {_met(cut)}"
    else:
        kind = "common rafter"
    if on_eave and rafter.role not in ("barge", "tail") and cut.lower == "eave":
        ends += "; two birdsmouths" if cut.upper == "high edge" else "; birdsmouth"
    # A cheek's long point reaches half a thickness past the centre line, measured level.
    cheek = slope_of(Fraction(item.thickness, 2), plane.pitch) if cut.jack else 0
    length = cut.top + (0 if square else slant) + cheek
    nests = 0 if square or cut.jack else slant
    return FramePiece(kind, item.material, length, ends, slant=nests, needed=_RAFTERS)


def _met(cut: RafterCut) -> str:
    return "hip" if cut.upper == "hip" else "valley"


def _lines(table: FramingTable, building: Building, book: Book) -> Iterator[FramePiece]:
    """Give hip and valley rafters, of the ridge's lumber where it is named, else of the rafters'."""
    material = table.ridge or table.rafter
    item = _board(book, material, "framing.ridge" if table.ridge else "framing.rafter")
    ridge = item.thickness if table.ridge else 0
    for line in building.lines_of("hip", "valley"):
        cut = line_cut(line, ridge)
        ends = f"plumb {angle_text(cut.pitch)}, double cheek at the top; tail to match"
        length = cut.top + plumb_slant(item.width, cut.pitch) + item.thickness
        yield FramePiece(f"{line.kind} rafter", material, length, ends, needed=_RAFTERS)


def _ridges(table: FramingTable, building: Building, book: Book) -> Iterator[Run]:
    """Give the ridge boards: in one piece where a board is long enough, else jointed on rafters."""
    if table.ridge is None:
        return
    longest = max(item.length for item in book.require(table.ridge, "framing.ridge"))
    lines = building.lines_of("ridge")
    for number, line in enumerate(lines, start=1):
        plane = building.plane(line.planes[0])
        begins = building.rake.deck - building.rake.framing
        joints = tuple(r.at - begins for r in plane.rafters[1:-1] if 0 < r.at - begins < line.framing)
        yield Run(
            "ridge board" if len(lines) == 1 else f"ridge board {number}",
            table.ridge,
            line.framing,
            shortest=min(table.plate_shortest, line.framing),
            seams=() if line.framing <= longest else joints,
            mark="rb" if len(lines) == 1 else f"rb{number}",
            needed=_RIDGE,
        )


def joist_pieces(
    kind: str, material: str, key: str, length: int, count: int, lap: int, ends: str, needed: int, book: Book
) -> Iterator[FramePiece]:
    """
    Give joists whole, or as two that lap over a bearing in the middle where no board is long enough.

    Parameters
    ----------
    key
        The job's key that names the material, for what is said if the book lacks it.
    length, lap
        Of a whole joist, and of two halves over each other, in base units.
    ends
        How the ends are cut, in words.
    needed
        When on site, as `Part.needed`.

    Raises
    ------
    InputError
        If the book lacks the material.
    """
    longest = max(item.length for item in book.require(material, key))
    if length <= longest:
        yield FramePiece(kind, material, length, ends, count, needed=needed)
    else:
        half = -(-(length + lap) // 2)
        yield FramePiece(kind, material, half, f"{ends}; two lap at mid-span", 2 * count, needed=needed)


def _joists(job: Job, table: FramingTable, building: Building, book: Book) -> Iterator[FramePiece]:
    """Give a ceiling joist beside every rafter that stands on the walls, from outside to outside."""
    if table.joist is None:
        return
    _board(book, table.joist, "framing.joist")
    spans = [(building.planes[0], building.span)]
    if job.wing is not None and building.roof == "L":
        # Across the main part the second side's rafters go the whole length; the wing has its own.
        spans = [(building.planes[1], building.span), (building.planes[2], job.wing.width or building.span)]
    for number, (plane, span) in enumerate(spans):
        beside = [
            r for r in plane.rafters if r.role in ("gable", "common") or (not number and r.role != "barge")
        ]
        yield from joist_pieces(
            "ceiling joist",
            table.joist,
            "framing.joist",
            span,
            len(beside),
            table.joist_lap,
            "square; upper corners clipped to the roof",
            _JOISTS,
            book,
        )


def _ties(table: FramingTable, building: Building, book: Book) -> Iterator[FramePiece]:
    """Give collar ties, long points on their lower edge, on as many pairs of rafters as the spacing asks."""
    if table.collar_tie is None or building.roof != "gable":
        return
    _board(book, table.collar_tie, "framing.collar_tie")
    down = table.collar_down or building.rise // 3
    if down >= building.rise:
        raise InputError(
            "collar ties so low would be joists; they hang below the walls", "framing.collar_down"
        )
    pitches = [plane.pitch for plane in building.planes]
    length = int(sum(Fraction(down) / pitch for pitch in pitches))
    lines = [rafter.at for rafter in building.planes[0].rafters if rafter.role != "barge"]
    widest = max((after - before for before, after in pairwise(lines)), default=0)
    every = max(table.collar_spacing // max(widest, 1), 1)
    ends = f"opposed, {angle_text(pitches[0])}; short points on the upper edge"
    count = spaced(len(lines) - 1, every)
    yield FramePiece("collar tie", table.collar_tie, length, ends, count, needed=_TIES)


def _lookouts(job: Job, table: FramingTable, building: Building, book: Book) -> Iterator[FramePiece]:
    """Give lookouts from the second rafter over the gable wall to the inner face of the barge rafter."""
    if table.lookout is None or not job.lookouts or not building.has_barges:
        return
    _board(book, table.lookout, "framing.lookout")
    thick = building.rafter_thickness
    for line in building.lines_of("rake"):
        plane = building.plane(line.planes[0])
        lines = [r.at for r in plane.rafters if r.role != "barge"]
        bay = lines[1] - lines[0] if line.side == "left" else lines[-1] - lines[-2]
        # From the near face of the second rafter, past the wall's outside, to the barge's inner face.
        length = bay - thick // 2 + (lines[0] - building.rake.deck) + building.rake.framing - thick
        count = spaced(line.framing, table.lookout_spacing)
        yield FramePiece("lookout", table.lookout, length, "square, on the flat", count, needed=_RAFTERS)


def _steps(job: Job, table: FramingTable, building: Building) -> tuple[Step, ...]:
    tail = "Cut one pair of rafters, try it on the walls, then cut the rest by it as a pattern."
    last = (
        "tails last, along a snapped line, where rafters run long" if job.tails == "plumb" else "tails square"
    )
    order = "ridge and rafters from one gable to the other"
    if building.lines_of("hip"):
        ridge = "the ridge with its common rafters, then " if building.lines_of("ridge") else ""
        order = f"{ridge}hips and valleys" if building.lines_of("valley") else f"{ridge}the hips"
        order += ", jacks in pairs from both sides"
    words = [tail, f"Brace the walls, set {order}; {last}."]
    if table.joist:
        words.insert(0, "Nail the ceiling joists before the rafters: they keep the walls from spreading.")
    if table.collar_tie:
        words.append("Nail the collar ties before the deck goes on.")
    return tuple(Step(-30 + number, sentence) for number, sentence in enumerate(words))
