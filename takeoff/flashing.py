"""Metal where the roof meets a wall or another roof: along a high edge, up a side wall, in a valley."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.errors import InputError
from optimizer.lengths import INCH, size_text
from optimizer.words import Count, Run
from takeoff.book import Book
from takeoff.building import Building
from takeoff.counted import counted_with_waste, spaced, stocked
from takeoff.frame_job import FlashingTable
from takeoff.job import Job
from takeoff.needs import Check, Needed, Step
from takeoff.planes import EdgeLine

__all__ = ["flashing_needs", "step_pieces", "wall_rakes"]

_PRACTICE = "common practice, no source"
_STEP = "IRC R905.2.8.3, from memory (not re-checked)"
_VALLEY, _WALL = 24, 45
"""Valleys are lined before the underlayment of the slopes, walls are flashed with or after the covering."""


def flashing_needs(job: Job, building: Building, book: Book) -> Needed:
    """
    Ask for wall and valley metal, and count step pieces.

    Raises
    ------
    InputError
        If the roof has no edge where the job wants metal, or the book lacks it.
    """
    table = job.flashing
    if table is None:
        return Needed()
    if table.high_wall is not None and building.high is None:
        raise InputError("only a single slope has a high edge that can meet a wall", "flashing.high_wall")
    if table.side_walls is not None and not building.lines_of("rake"):
        raise InputError("this roof has no rake that could meet a wall", "flashing.side_walls")
    runs = tuple(_runs(table, building, book))
    found = Needed(
        runs=runs,
        checks=tuple(_checks(job, table, building)),
        steps=tuple(_steps(table, building)),
    )
    return stocked(found, book, _counts(job, table, building, runs))


def wall_rakes(table: FlashingTable, building: Building) -> tuple[EdgeLine, ...]:
    """Give the rakes that meet a wall."""
    sides = ("left", "right") if table.side_walls == "both" else (table.side_walls,)
    return tuple(line for line in building.lines_of("rake") if line.side in sides)


def step_pieces(slope: int, exposure: int) -> int:
    """
    Count the step pieces up a side wall: one with every course, and one at the top.

    Examples
    --------
    >>> step_pieces(100 * INCH, 5 * INCH), step_pieces(101 * INCH, 5 * INCH)
    (21, 22)
    """
    return -(-slope // exposure) + 1


def _runs(table: FlashingTable, building: Building, book: Book) -> Iterator[Run]:
    if table.high_wall is not None:
        for line in building.lines_of("high edge"):
            length = line.finish + 2 * table.past
            yield _run("wall flashing", table.high_wall, length, "wf", _WALL, table, book, "high_wall")
    if table.valley is None:
        return
    for number, line in enumerate(building.lines_of("valley"), start=1):
        # Cut long at the foot, trimmed along the eave, and lapped over the top.
        length = line.finish + 2 * table.lap
        yield _run(
            f"valley metal {number}", table.valley, length, f"vm{number}", _VALLEY, table, book, "valley"
        )


def _run(
    label: str,
    material: str,
    length: int,
    mark: str,
    needed: int,
    table: FlashingTable,
    book: Book,
    key: str,
) -> Run:
    stick = min(item.length for item in book.require(material, f"flashing.{key}"))
    if stick <= table.lap:
        raise InputError(f"a lap as long as a stick of {material} leaves nothing of it", "flashing.lap")
    return Run(label, material, length, table.lap, min(table.shortest, length), mark=mark, needed=needed)


def _counts(job: Job, table: FlashingTable, building: Building, runs: tuple[Run, ...]) -> Iterator[Count]:
    steps = sum(step_pieces(line.length, table.exposure) for line in wall_rakes(table, building))
    nails = sum(2 * spaced(run.length, table.nail_spacing) for run in runs) + 2 * steps
    yield counted_with_waste("flashing nails", table.nail.material, nails, job.fastener.waste_percent)
    if table.step is not None:
        yield Count("step flashing", table.step, steps)
    if table.kickout is not None:
        yield Count("kick-out flashing", table.kickout, len(wall_rakes(table, building)))


def _checks(job: Job, table: FlashingTable, building: Building) -> Iterator[Check]:
    tape = job.tape
    if table.high_wall is not None:
        yield Check(
            "note",
            "wall flashing",
            _PRACTICE,
            f"Up the wall behind its siding, over the roofing; pieces lap {size_text(tape, table.lap)}, the "
            f"ends run {size_text(tape, table.past)} past and fold round. Seal under the lap, don't nail "
            "through the face.",
        )
        if job.drip_edge.eave is not None and job.drip_edge.high is not None:
            yield Check(
                "warn",
                "wall flashing",
                "this job",
                "The high edge meets a wall and is listed with edge metal too: drip_edge.high = false "
                "leaves it out.",
            )
    if table.side_walls is not None:
        yield from _step_checks(job, table)
    valleys = len(building.lines_of("valley"))
    if valleys and table.valley is None:
        yield Check(
            "warn",
            "valley",
            "IRC R905.2.8.2, from memory (not re-checked)",
            "The valleys have no lining listed.",
        )
    elif valleys:
        yield Check(
            "note",
            "valley",
            _PRACTICE,
            f"Valley metal is laid from the eave up, lapped {size_text(tape, table.lap)}, nailed at its "
            "edges only.",
        )


def _step_checks(job: Job, table: FlashingTable) -> Iterator[Check]:
    lap, tape = table.step_length - table.exposure, job.tape
    good = lap >= max(table.step_lap, 2 * INCH)
    yield Check(
        "pass" if good else "warn",
        "step flashing",
        _STEP,
        f"One piece with every course of {size_text(tape, table.exposure)}, "
        f"{size_text(tape, table.step_length)} long: each laps {size_text(tape, max(lap, 0))} over the one "
        "below" + ("." if good else "; 2 in is the least."),
    )
    yield Check(
        "note",
        "step flashing",
        _PRACTICE,
        "4 in up the wall and 4 in onto the roof, nailed to the roof only; a kick-out at the foot throws "
        "water clear of the wall. A rake that meets a wall takes no rake metal: trim the list by hand "
        "where only one does.",
    )


def _steps(table: FlashingTable, building: Building) -> Iterator[Step]:
    if building.lines_of("valley") and table.valley is not None:
        yield Step(0, "Line the valleys before the underlayment reaches them.")
    if table.side_walls is not None:
        yield Step(40, "Weave a step piece in with every course along the wall, the kick-out first.")
    if table.high_wall is not None:
        yield Step(41, "Set the wall flashing over the top course, then close the siding down to it.")
