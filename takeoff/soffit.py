"""Soffits: strips of sheet or boards under the overhangs, what holds them, and the vents that let air in."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal

from optimizer.errors import InputError
from optimizer.lengths import INCH
from optimizer.words import Count, Run, SeamRule, Support, Surface
from takeoff.book import Book, Item
from takeoff.building import Building, Plane, slope_of
from takeoff.counted import counted_with_waste, spaced, stocked
from takeoff.frame_job import SoffitTable
from takeoff.frame_pieces import FramePiece, needed_of
from takeoff.job import Job
from takeoff.needs import Check, Needed, Step, View
from takeoff.planes import EdgeLine

__all__ = ["soffit_intake", "soffit_needs"]

_PRACTICE = "common practice, no source"
_NEEDED = 40
"""Closed from below when the roof is on and its boards are up."""

_BACKED = 24 * INCH
"""How far apart the blocks along a rake stand, which the joints of its soffit fall on."""

_SLACK = INCH // 4

_LEAST = 3 * INCH
"""What overhangs less is closed by its trim."""


def soffit_needs(job: Job, building: Building, book: Book) -> Needed:
    """
    Ask for what closes the overhangs from below.

    Raises
    ------
    InputError
        If the book lacks a material, or what it has can't close a soffit.
    """
    table = job.soffit
    if table is None:
        return Needed()
    sizes = book.require(table.material, "soffit.material")
    if any(item.kind not in ("sheet", "board") or not item.width for item in sizes):
        raise InputError(f"{table.material!r} is neither a sheet nor a board with a width", "soffit.material")
    strips = tuple(_strips(table, building))
    surfaces, runs = _skins(strips, table, sizes)
    frame = needed_of((*_lookouts(table, building, book), *_rake_blocks(job, table, building, book)))
    runs += tuple(_ledgers(table, building, book)) + tuple(_vent_strips(table, building, book))
    found = replace(
        frame,
        surfaces=surfaces,
        runs=runs,
        checks=tuple(_checks(job, table, building, book, bool(strips))),
        steps=(Step(60, "Close the soffits from below, the vents let in as they go up."),),
        views=tuple(_view(surface.label, table) for surface in surfaces),
    )
    held = sum(part.count for part in frame.parts)
    return stocked(found, book, (*_counts(strips, table, building, book, job), *_toe_nails(job, held)))


def _view(label: str, table: SoffitTable) -> View:
    if "rake" in label:
        return View(label, "seen from below, the eave at the left", "the rake", "wall", "the blocks")
    held = "the rafter tails" if table.how == "sloped" else "the lookouts"
    return View(label, "seen from below, the fascia nearest you", "the fascia", "wall", held)


@dataclass(frozen=True, slots=True)
class _Strip:
    """A strip to close: where, how long, how deep, and the lines across it that carry a joint."""

    label: str
    mark: str
    length: int
    depth: int
    lines: tuple[int, ...]


def _strips(table: SoffitTable, building: Building) -> Iterator[_Strip]:
    """Give the strips under eaves and high edges, then under overhanging rakes."""
    for line in building.lines_of("eave", "high edge"):
        plane = building.plane(line.planes[0])
        out = _out(building, line)
        depth = out if table.how == "level" else slope_of(out, plane.pitch)
        if depth >= _LEAST:
            mark = f"{plane.mark}{'p' if line.kind == 'eave' else 'hp'}"
            yield _Strip(f"{line.label} soffit", mark, line.framing, depth, _tails(plane, building, line))
    if not table.rakes:
        return
    for line in building.lines_of("rake"):
        plane, depth = building.plane(line.planes[0]), building.rake.framing
        if depth >= _LEAST:
            mark = f"{plane.mark}{'lp' if line.side == 'left' else 'rp'}"
            lines = tuple(range(_BACKED, line.framing, _BACKED))
            yield _Strip(f"{line.label} soffit", mark, line.framing, depth, lines)


def _out(building: Building, line: EdgeLine) -> int:
    edge = building.high if line.kind == "high edge" and building.high is not None else building.eave
    return edge.framing


def _tails(plane: Plane, building: Building, line: EdgeLine) -> tuple[int, ...]:
    """Give the centres of the rafter tails from the left end of the strip."""
    begins = building.rake.deck - building.rake.framing
    return tuple(r.at - begins for r in plane.rafters if 0 < r.at - begins < line.framing)


def _skins(
    strips: tuple[_Strip, ...], table: SoffitTable, sizes: tuple[Item, ...]
) -> tuple[tuple[Surface, ...], tuple[Run, ...]]:
    """Lay strips of sheet as narrow surfaces; boards as runs side by side, the last one ripped in place."""
    if sizes[0].kind == "sheet":
        return tuple(_surface(strip, table) for strip in strips), ()
    wide = sizes[0].width
    longest = max(item.length for item in sizes)
    runs = []
    for strip in strips:
        boards = -(-strip.depth // wide)
        for number in range(1, boards + 1):
            tail = f" {number}" if boards > 1 else ""
            runs.append(
                Run(
                    f"{strip.label}{tail}",
                    table.material,
                    strip.length,
                    shortest=min(table.shortest, strip.length),
                    seams=() if strip.length <= longest else strip.lines,
                    mark=f"{strip.mark}{number if boards > 1 else ''}",
                    needed=_NEEDED,
                )
            )
    return (), tuple(runs)


def _surface(strip: _Strip, table: SoffitTable) -> Surface:
    ends = tuple(line for line in strip.lines if 0 < line < strip.length)
    return Surface(
        label=strip.label,
        material=table.material,
        length=strip.length,
        height=strip.depth,
        supports=(
            Support(0, seam=False),
            *(Support(line) for line in ends),
            Support(strip.length, seam=False),
        ),
        rule=SeamRule(
            gap=table.gap,
            min_supports=2,
            shortest=min(table.shortest, strip.length),
            stagger=0,
            narrowest=min(2 * INCH, strip.depth),
            end_slack=_SLACK,
            top_slack=_SLACK,
        ),
        mark=strip.mark,
        needed=_NEEDED,
    )


def _lookouts(table: SoffitTable, building: Building, book: Book) -> Iterator[FramePiece]:
    """Give the lookouts of a level soffit: from the ledger on the wall to each tail's cut."""
    if table.how != "level" or table.lookout is None:
        return
    ledger = book.one(table.lookout, "soffit.lookout").thickness
    for line in building.lines_of("eave", "high edge"):
        plane, length = building.plane(line.planes[0]), _out(building, line) - ledger
        count = len(_tails(plane, building, line))
        if length > 0:
            yield FramePiece("soffit lookout", table.lookout, length, "square", count, needed=_NEEDED - 1)


def _rake_blocks(job: Job, table: SoffitTable, building: Building, book: Book) -> Iterator[FramePiece]:
    """Give the blocks between gable wall and barge rafter; a frame with lookouts needs none."""
    if table.lookout is None or not table.rakes or job.lookouts:
        return
    depth = building.rake.framing
    length = depth - (building.rafter_thickness if building.has_barges else 0)
    if depth < _LEAST or length <= 0:
        return
    book.one(table.lookout, "soffit.lookout")
    for line in building.lines_of("rake"):
        if count := len(range(_BACKED, line.framing, _BACKED)):
            yield FramePiece("rake soffit block", table.lookout, length, "square", count, needed=_NEEDED - 1)


def _ledgers(table: SoffitTable, building: Building, book: Book) -> Iterator[Run]:
    """Give the ledgers on the wall, jointed where lookouts are if no board is long enough."""
    if table.how != "level" or table.lookout is None:
        return
    longest = max(item.length for item in book.require(table.lookout, "soffit.lookout"))
    for line in building.lines_of("eave", "high edge"):
        if _out(building, line) >= _LEAST:
            plane, begins = building.plane(line.planes[0]), (line.framing - line.wall) // 2
            joints = tuple(at - begins for at in _tails(plane, building, line) if 0 < at - begins < line.wall)
            label = f"{line.label} soffit ledger"
            yield Run(
                label,
                table.lookout,
                line.wall,
                shortest=min(table.shortest, line.wall),
                seams=() if line.wall <= longest else joints,
                mark=f"{plane.mark}{'g' if line.kind == 'eave' else 'hg'}",
                needed=_NEEDED - 1,
            )


def _is_strip_vent(table: SoffitTable, book: Book) -> bool:
    return table.vent is not None and book.require(table.vent, "soffit.vent")[0].kind != "each"


def _vent_strips(table: SoffitTable, building: Building, book: Book) -> Iterator[Run]:
    """Give vents that are sold by length: one along every eave."""
    if table.vent is None or not _is_strip_vent(table, book):
        return
    for line in building.lines_of("eave"):
        mark = building.plane(line.planes[0]).mark
        yield Run(f"{line.label} soffit vent", table.vent, line.wall, mark=f"{mark}v", needed=_NEEDED + 1)


def _vents(table: SoffitTable, building: Building) -> int:
    """Count single vents: along every eave, no farther apart than the spacing."""
    return sum(-(-line.wall // table.vent_spacing) for line in building.lines_of("eave"))


def soffit_intake(job: Job, building: Building, book: Book) -> Decimal | None:
    """Give the net free area of all soffit vents in square inches; None where the job names none."""
    table = job.soffit
    if table is None or table.vent is None or building.eave.framing < _LEAST:
        return None
    if _is_strip_vent(table, book):
        length = sum(line.wall for line in building.lines_of("eave"))
        return table.vent_area * length / (12 * INCH)
    return table.vent_area * _vents(table, building)


def _counts(
    strips: tuple[_Strip, ...], table: SoffitTable, building: Building, book: Book, job: Job
) -> Iterator[Count]:
    nails = sum(
        2 * spaced(strip.length, table.nail_spacing)
        + (len(strip.lines) + 2) * spaced(strip.depth, table.nail_spacing)
        for strip in strips
    )
    yield counted_with_waste("soffit nails", table.nail.material, nails, job.fastener.waste_percent)
    if table.vent is not None and not _is_strip_vent(table, book):
        yield Count("soffit vents", table.vent, _vents(table, building))


def _toe_nails(job: Job, held: int) -> Iterator[Count]:
    """Count two nails at each end of every block and lookout."""
    if held:
        nail = job.fastener.deck if job.framing is None else job.framing.toe_nail
        number, waste = 4 * held, job.fastener.waste_percent
        yield counted_with_waste("toe nails of the soffit's framing", nail.material, number, waste)


def _checks(job: Job, table: SoffitTable, building: Building, book: Book, any_strip: bool) -> Iterator[Check]:
    if not any_strip:
        yield Check("warn", "soffit", "this job", "Nothing overhangs by 3 in or more: no soffit is listed.")
        return
    where = "rafter tails" if table.how == "sloped" else "lookouts"
    yield Check(
        "note",
        "soffit joints",
        _PRACTICE,
        f"Joints of the eave soffits lie on {where}, those of the rakes on blocks 24 in apart; measure each "
        "end piece in place.",
    )
    if table.vent is None:
        yield Check(
            "note",
            "soffit vents",
            "IRC R806.1 and R806.2 (2012), page seen",
            "No soffit vents are named. An enclosed attic needs intake; an open shed without a ceiling "
            "does not.",
        )
        return
    yield _intake_check(job, building, book)


def _intake_check(job: Job, building: Building, book: Book) -> Check:
    """Hold the intake against half of 1/300 of the plan, the low share where the rest is at the ridge."""
    intake = soffit_intake(job, building, book) or Decimal(0)
    plan = Decimal(building.along * building.span) / (INCH * INCH)
    low, base = plan / 600, plan / 150
    good = intake >= low
    told = (
        f"Soffit vents let in {intake:.0f} sq in. Of {plan / 144:.0f} sq ft of plan, {base:.0f} sq in are "
        f"1/150, and {low:.0f} the low half of 1/300"
    )
    return Check(
        "pass" if good else "warn",
        "soffit vents",
        "IRC R806.2 (2012), page seen",
        f"{told}; what leaves at the ridge must not be more than what comes in."
        if good
        else f"{told}: too little air comes in under a closed ceiling.",
    )
