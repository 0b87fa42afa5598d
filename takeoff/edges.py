"""Edge metal, fascia and rake boards: what runs along the edges of the roof."""

from __future__ import annotations

from collections.abc import Iterator
from math import ceil

from optimizer.errors import InputError
from optimizer.lengths import INCH, size_text
from optimizer.words import Part, Run
from takeoff.book import Book
from takeoff.building import Building
from takeoff.job import Job
from takeoff.needs import Assumption, Check, Needed
from takeoff.trim_job import DripEdgeTable, FasciaTable, RakeBoardTable

__all__ = ["edge_needs", "fascia_runs", "metal_runs", "rake_slant"]

_PRACTICE = "common practice, no source"
_METAL = "IRC R905.2.8.5, page seen (secondary)"
_BOARDS, _EAVE_METAL, _RAKE_METAL = 10, 20, 30
"""Boards go on before the metal that covers them, eave metal before the underlayment, rake metal after it."""

_JOINTED = Check(
    "note",
    "rake board joints",
    _PRACTICE,
    "No board is long enough for the rakes: cut their joints plumb and back each with a cleat.",
)


def edge_needs(job: Job, building: Building, book: Book) -> Needed:
    """Ask for the metal and the boards along every edge of the roof, with the checks made on them."""
    runs = metal_runs(job, building, book)
    checks = list(_metal_checks(job, building, runs))
    parts: tuple[Part, ...] = ()
    if job.fascia:
        fascia = fascia_runs(job.fascia, building, book)
        runs += fascia
        checks.extend(_fascia_checks(job, fascia))
    if job.rake_board:
        parts, jointed = _rake_boards(job.rake_board, job.tails, building, book)
        runs += jointed
        checks.extend(_rake_checks(job.rake_board, job, building, book))
        if jointed:
            checks.append(_JOINTED)
    return Needed(runs=runs, parts=parts, checks=tuple(checks), assumptions=tuple(_assumptions(job)))


def metal_runs(job: Job, building: Building, book: Book) -> tuple[Run, ...]:
    """
    Give the runs of edge metal: eaves, high edge, then rakes, the first half's before the second's.

    A rake is measured from the eave up. The first half's rake metal folds over the peak, the second half's is
    trimmed there.

    Raises
    ------
    InputError
        If the book lacks the metal, or a stick of it is no longer than the lap.
    """
    table, tape = job.drip_edge, job.tape
    high, rake = (table.eave if key == "eave" else key for key in (table.high, table.rake))
    for key, material in (("eave", table.eave), ("high", high), ("rake", rake)):
        if material:
            sticks = book.require(material, f"drip_edge.{key}")
            stick = min(item.length for item in sticks)
            if stick <= table.lap:
                raise InputError(
                    f"a lap of {size_text(tape, table.lap)} leaves nothing of a stick of {material}, "
                    f"{size_text(tape, stick)} long; the usual lap is 2 in",
                    "drip_edge.lap",
                )
    runs: list[Run] = []
    for half, plane in enumerate(building.planes):
        along = plane.finish_length + 2 * table.corner
        up = plane.finish_slope + (table.fold if building.is_gable and half == 0 else 0)
        lines = (
            ("eave metal", table.eave, along, "E", _EAVE_METAL + half),
            ("left rake metal", rake, up, "RL", _RAKE_METAL + half),
            ("right rake metal", rake, up, "RR", _RAKE_METAL + half),
            ("high edge metal", None if building.is_gable else high, along, "H", _RAKE_METAL + 2),
        )
        for label, material, length, mark, needed in lines:
            if material:
                shortest = min(table.shortest, length)
                name, mark = f"{plane.name} {label}", plane.mark + mark
                runs.append(Run(name, material, length, table.lap, shortest, mark=mark, needed=needed))
    return tuple(sorted(runs, key=lambda run: run.needed))


def fascia_runs(table: FasciaTable, building: Building, book: Book) -> tuple[Run, ...]:
    """
    Give the fascia of every eave, and of a single slope's high edge.

    It runs between the rake boards, whose ends cover it. In one piece where a board is long enough, else
    jointed on rafter tails.
    """
    longest = max(item.length for item in book.require(table.material, "fascia.material"))
    runs = []
    for half, plane in enumerate(building.planes):
        rake = building.rake
        length = plane.finish_length - 2 * (rake.finish - rake.framing)
        tails = tuple(rafter.at - (rake.deck - rake.framing) for rafter in plane.rafters[1:-1])
        edges = (("eave", "F"), ("high edge", "HF")) if building.high else (("eave", "F"),)
        for edge, mark in edges:
            runs.append(
                Run(
                    f"{plane.name} {edge} fascia",
                    table.material,
                    length,
                    shortest=min(table.shortest, length),
                    seams=() if length <= longest else tails,
                    mark=f"{plane.mark}{mark}",
                    needed=_BOARDS + half,
                )
            )
    return tuple(runs)


def rake_slant(width: int, building: Building) -> int:
    """Give how far the long point of a plumb cut lies beyond its short point: width x rise / run."""
    return ceil(width * building.pitch)


def _rake_boards(
    table: RakeBoardTable, tails: str, building: Building, book: Book
) -> tuple[tuple[Part, ...], tuple[Run, ...]]:
    """
    Give the rake boards long point to long point: whole boards, or runs where none is long enough.

    At a joint, cut plumb as well, one piece reaches over the next by as much as the cut slants.
    """
    longest = max(item.length for item in book.require(table.material, "rake_board.material"))
    plumb = rake_slant(book.one(table.material, "rake_board.material").width, building)
    slant = plumb if (table.foot or tails) == "plumb" else 0
    parts: list[Part] = []
    runs: list[Run] = []
    for half, plane in enumerate(building.planes):
        length, needed = plane.finish_slope + slant, _BOARDS + 2 + half
        if length <= longest:
            label = f"{plane.name} rake board"
            parts.append(Part(label, table.material, length, count=2, slant=slant, needed=needed))
            continue
        for side in ("left", "right"):
            runs.append(
                Run(
                    f"{plane.name} {side} rake board",
                    table.material,
                    length,
                    lap=plumb,
                    shortest=min(table.shortest, length),
                    mark=f"{plane.mark}B{side[0].upper()}",
                    needed=needed,
                )
            )
    return tuple(parts), tuple(runs)


def _metal_checks(job: Job, building: Building, runs: tuple[Run, ...]) -> Iterator[Check]:
    table, tape = job.drip_edge, job.tape
    bare = [edge for edge, key in (("eaves", table.eave), ("rakes", table.rake)) if _none(table, key)]
    if bare:
        where = " and ".join(bare)
        yield Check("warn", "edge metal", _METAL, f"No metal at the {where}: a shingle roof needs it there.")
    else:
        yield Check("pass", "edge metal", _METAL, "Eaves and rakes have edge metal.")
    if not runs:
        return
    good = table.lap >= 2 * INCH
    yield Check(
        "pass" if good else "warn",
        "edge metal lap",
        _METAL,
        f"Pieces lap {size_text(tape, table.lap)}, the upper over the lower"
        + ("." if good else "; 2 in is the least."),
    )
    yield Check(
        "note",
        "edge metal and underlayment",
        _METAL,
        "Eave metal first, then the underlayment over it, then the rake metal over that; the metal reaches "
        "2 in or more onto the deck and 1/4 in or more below it.",
    )
    if table.eave:
        yield Check(
            "note",
            "eave metal at the corners",
            _PRACTICE,
            f"Eave metal runs {size_text(tape, table.corner)} past each corner: notch it and fold it round.",
        )
    if not _none(table, table.rake):
        yield Check("note", "rake metal", _PRACTICE, _rake_note(job, building))


def _none(table: DripEdgeTable, key: str | None) -> bool:
    """Tell whether an edge goes without metal, by its own key or because it follows the eave."""
    return (table.eave if key == "eave" else key) is None


def _rake_note(job: Job, building: Building) -> str:
    start = "Rake metal starts mitred at the eave and is laid upwards"
    if not building.is_gable and _none(job.drip_edge, job.drip_edge.high):
        return f"{start}, cut off plumb at the high edge."
    if not building.is_gable:
        return f"{start}; the high edge's metal goes on last and folds down over its upper end."
    first, second = (plane.name for plane in building.planes)
    fold = size_text(job.tape, job.drip_edge.fold)
    return (
        f"{start}; leave the {first}'s upper ends loose until the {second} is decked, then fold them {fold} "
        f"over the peak and trim the {second}'s at the peak."
    )


def _fascia_checks(job: Job, runs: tuple[Run, ...]) -> Iterator[Check]:
    for run in runs:
        jointed = run.seams != ()
        ends = "; the rake boards cover its ends" if job.rake_board else ""
        yield Check(
            "note",
            "fascia joints",
            _PRACTICE,
            f"{run.label}: {size_text(job.tape, run.length)}, "
            + f"{'jointed on the middle of rafter tails' if jointed else 'in one piece'}{ends}.",
        )


def _rake_checks(table: RakeBoardTable, job: Job, building: Building, book: Book) -> Iterator[Check]:
    wide = book.one(table.material, "rake_board.material").width
    slant = size_text(job.tape, rake_slant(wide, building))
    foot, top = table.foot or job.tails, "peak" if building.is_gable else "high edge"
    ends = (
        "both ends slant alike, so boards cut one after the other share a cut"
        if foot == "plumb"
        else "the foot is square"
    )
    yield Check(
        "note",
        "plumb cuts",
        "arithmetic: board width x rise / run",
        f"Rake boards {size_text(job.tape, wide)} wide: plumb cut at the {top}, its long point {slant} "
        f"beyond its short point; {ends}.",
    )


def _assumptions(job: Job) -> Iterator[Assumption]:
    if "lap" not in job.drip_edge.model_fields_set:
        yield Assumption(
            "drip_edge.lap", "2 in", "pieces of edge metal lap 2 in, the least a code asks for", "3 in"
        )
    if job.fascia is None:
        yield Assumption("fascia", None, "no fascia boards", {})
    if job.rake_board is None:
        yield Assumption("rake_board", None, "no rake boards", {})
