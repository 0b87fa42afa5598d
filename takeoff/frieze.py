"""The frieze: the board on the wall under the soffit, level at the eaves and sloping up the gable walls."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.lengths import INCH, size_text
from optimizer.words import Count, Part, Run
from takeoff.book import Book, Item
from takeoff.building import Building
from takeoff.counted import counted_with_waste, spaced, stocked
from takeoff.frame_job import FriezeTable
from takeoff.job import Job
from takeoff.needs import Check, Needed, Step
from takeoff.rafter_cuts import plumb_slant

__all__ = ["frieze_needs"]

_PRACTICE = "common practice, no source"
_NEEDED = 42
"""After the soffit that it closes against."""


def frieze_needs(job: Job, building: Building, book: Book) -> Needed:
    """Ask for the boards along the tops of the walls."""
    table = job.frieze
    if table is None:
        return Needed()
    board = book.one(table.material, "frieze.material")
    longest = max(item.length for item in book.require(table.material, "frieze.material"))
    runs = list(_level(table, building, longest))
    parts, sloping = _sloping(table, building, board, longest) if table.rakes else ((), ())
    runs += sloping
    found = Needed(
        runs=tuple(runs),
        parts=parts,
        checks=(
            Check(
                "note",
                "frieze",
                _PRACTICE,
                f"{table.material}, {size_text(job.tape, board.width)} wide, covers the edge between wall "
                "and soffit; joints are cut slanting, one over the other, where a stud is."
                + (" Up the gables both ends are plumb." if parts or sloping else ""),
            ),
        ),
        steps=(Step(61, "Nail the frieze when the soffits are closed."),),
    )
    return stocked(found, book, _nails(job, table, board, runs, parts))


def _level(table: FriezeTable, building: Building, longest: int) -> Iterator[Run]:
    for line in building.lines_of("eave", "high edge"):
        plane = building.plane(line.planes[0])
        joints = tuple(r.at - building.rake.deck for r in plane.rafters)
        yield Run(
            f"{line.label} frieze",
            table.material,
            line.wall,
            shortest=min(table.shortest, line.wall),
            seams=() if line.wall <= longest else tuple(at for at in joints if 0 < at < line.wall),
            mark=f"{plane.mark}{'z' if line.kind == 'eave' else 'hz'}",
            needed=_NEEDED,
        )


def _sloping(
    table: FriezeTable, building: Building, board: Item, longest: int
) -> tuple[tuple[Part, ...], tuple[Run, ...]]:
    """Give the boards up the gable walls, long point to long point, or runs where none is long enough."""
    parts: dict[tuple[str, int, int], int] = {}
    runs = []
    for line in building.lines_of("rake"):
        plane = building.plane(line.planes[0])
        slant = plumb_slant(board.width, plane.pitch)
        length = line.wall + slant
        if length <= longest:
            key = (f"{plane.name} rake frieze", length, slant)
            parts[key] = parts.get(key, 0) + 1
        else:
            mark = f"{plane.mark}z{'l' if line.side == 'left' else 'r'}"
            shortest = min(table.shortest, length)
            runs.append(
                Run(
                    f"{line.label} frieze", table.material, length, slant, shortest, mark=mark, needed=_NEEDED
                )
            )
    return tuple(
        Part(label, table.material, length, count=count, slant=slant, needed=_NEEDED)
        for (label, length, slant), count in parts.items()
    ), tuple(runs)


def _nails(
    job: Job, table: FriezeTable, board: Item, runs: list[Run], parts: tuple[Part, ...]
) -> Iterator[Count]:
    """Count two nails at each place along the boards, three in wide ones."""
    spacing = job.fastener.board_spacing
    places = sum(spaced(run.length, spacing) + run.length // max(run.shortest, 1) for run in runs)
    places += sum(spaced(part.length, spacing) * part.count for part in parts)
    number = places * (2 if board.width <= 8 * INCH else 3)
    yield counted_with_waste("frieze nails", table.nail.material, number, job.fastener.waste_percent)
