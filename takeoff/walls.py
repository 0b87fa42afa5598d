"""Wall skin as a trade: panels, joints, corner boards and nails, with checks and assumptions."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from optimizer.lengths import size_text
from takeoff.book import Book
from takeoff.building import Building
from takeoff.job import Job
from takeoff.needs import Assumption, ByArea, Check, Needed, Step, View
from takeoff.panelling import Panelling, panelling_of
from takeoff.skin import SkinPart, skin_parts, skins_of, surface_of
from takeoff.skin_trim import corner_boards, joint_blocking, joint_metal
from takeoff.wall_checks import wall_checks
from takeoff.wall_nails import board_nails, panel_nails
from takeoff.wall_openings import WallOpening, wall_openings
from takeoff.walls_geometry import standing_walls, wall_table

__all__ = ["opening_assumptions", "wall_needs"]


def wall_needs(job: Job, building: Building, book: Book) -> Needed:
    """
    Ask for the skin of every wall and what goes on with it; nothing where the job covers no walls.

    Under lap siding alone there are no panels, but corner boards all the same.

    Raises
    ------
    InputError
        If it can't be laid with the panels of the book, or an opening doesn't fit into its wall.
    """
    if job.walls is None and job.siding is None:
        return Needed()
    table, skinned = wall_table(job), job.walls is not None and bool(job.walls.material)
    own = _skin_needs(job, building, book) if skinned else Needed()
    boards, jointed = (
        corner_boards(standing_walls(job, building, book), table, book) if skinned or job.siding else ((), ())
    )
    steps = own.steps
    if boards or jointed:
        steps += (Step(20, "Nail up corner boards and casings when all the skin hangs."),)
    return replace(
        own,
        runs=(*own.runs, *jointed),
        parts=(*own.parts, *boards),
        counts=(*own.counts, *board_nails((*boards, *jointed), job, table.board_nail.material)),
        checks=(*own.checks, *_open_walls(job)),
        assumptions=(*_to_try(job, building), *opening_assumptions(job, building, book), *own.assumptions),
        steps=steps,
    )


def _open_walls(job: Job) -> Iterator[Check]:
    """Say what an open wall leaves to others."""
    gone = wall_table(job).open
    if gone:
        yield Check(
            "warn",
            "open walls",
            "common practice, no source",
            f"Not built: {', '.join(gone)}. The beam, posts or standing wall that carry the roof there, "
            "their footing and what keeps the building from leaning are not in this list; licensed practice "
            "sizes them.",
        )


def _skin_needs(job: Job, building: Building, book: Book) -> Needed:
    """Ask for panels, the metal and blocking at their level joints, and their nails."""
    table, panels = wall_table(job), panelling_of(job, book)
    skins = skins_of(job, building, book, panels)
    parts = [part for skin in skins for part in skin_parts(skin, panels, job.tape)]
    blocking = joint_blocking(parts, table, job)
    if blocking:
        book.require(job.blocking, "blocking")
    return Needed(
        surfaces=tuple(surface_of(part, panels) for part in parts),
        runs=tuple(joint_metal(parts, table, book)),
        parts=blocking,
        counts=(panel_nails(parts, panels),),
        checks=wall_checks(job, skins, parts, panels),
        assumptions=tuple(_of_panels(job, panels)),
        steps=tuple(_steps(job, parts, panels)),
        by_area=(_by_area(parts, panels),),
        measure=tuple(row for part in parts if not part.level for row in _measure(part)),
        views=tuple(
            View(part.label, "seen from outside", "left corner", "right corner", "the studs")
            for part in parts
        ),
    )


def _measure(part: SkinPart) -> Iterator[tuple[str, int | None]]:
    """Give what to measure of a wall before the first cut: its framing, its skin's heights, its openings."""
    skin, wall = part.skin, part.skin.wall
    below = skin.plate - wall.plate
    yield f"{part.label}: framing, corner to corner", wall.width
    yield f"{part.label}: foot to top at the left corner", wall.top[0][1] + below
    if wall.peak > max(wall.top[0][1], wall.top[-1][1]):
        yield f"{part.label}: foot to top at the peak", wall.peak + below
    yield f"{part.label}: foot to top at the right corner", wall.top[-1][1] + below
    for hole in skin.openings:
        yield f"{part.label}: {hole.label}, from the left corner", hole.y + skin.left
        yield f"{part.label}: {hole.label}, width as framed", hole.height
        yield f"{part.label}: {hole.label}, head above the foot", hole.x + hole.length
    yield f"{part.label}: studs where panels meet, on their marks", None


def _by_area(parts: list[SkinPart], panels: Panelling) -> ByArea:
    """Count panels as the habit is: area with a tenth added, openings not taken off."""
    twice = sum(part.twice_area for part in parts)
    return ByArea(
        "wall skin",
        panels.table.material or "",
        tuple(
            (item.key, -(-twice * 11 // (20 * (item.length + panels.end_gap) * (item.width + panels.gap))))
            for item in panels.sizes
        ),
    )


def _to_try(job: Job, building: Building) -> Iterator[Assumption]:
    """Give what is assumed of the frame; nothing to try where a table of walls would bring panels too."""
    for assumption in _assumed(job, building):
        yield assumption if job.walls is not None else replace(assumption, alternative=None)


def _assumed(job: Job, building: Building) -> Iterator[Assumption]:
    """Give what the walls' table leaves out about the frame."""
    table = wall_table(job)
    said = table.model_fields_set
    framed = job.framing is not None
    words = (
        ("height", "8 ft", "wall framing 8 ft high, plates included", "9 ft"),
        ("below", "1 in", "the skin reaches 1 in below the wall framing, over the floor's edge", "2 in"),
        (
            "eave_top",
            "rafter undersides",
            "at the eaves the skin ends at the undersides of the rafters, below the top of the plate",
            "plate",
        ),
        (
            "gable_top",
            "rafter tops",
            "at the gables the skin covers the end rafters, up to their tops",
            "rafter undersides",
        ),
        ("corner_board", "1x4", "corner boards 1x4, two up every corner", False),
    )
    for key, value, message, other in words:
        # A hip or pyramid has no gable walls.
        if key not in said and (key != "gable_top" or building.lines_of("rake")):
            yield Assumption(f"walls.{key}", value, message, other)
    if "stud_spacing" not in said and not framed:
        yield Assumption("walls.stud_spacing", "16 in", "studs 16 in on centre, from the corner", "24 in")
    if "rafter_depth" not in said and not framed:
        yield Assumption("walls.rafter_depth", None, "rafters 5-1/2 in deep", "7-1/4 in")
    if "seat" not in said and not framed:
        yield Assumption("walls.seat", None, "rafters sit 3-1/2 in on the plate", "0 in")


def _of_panels(job: Job, panels: Panelling) -> Iterator[Assumption]:
    table = panels.table
    if table.gap is None:
        gap = size_text(job.tape, panels.gap)
        told = (
            f"wall panels are made {gap} narrower than the studs' module, and so far apart"
            if panels.gap
            else "wall panels lap at their edges, their gap in the lap: none is planned between them"
        )
        yield Assumption("walls.gap", None, told, "0 in" if panels.gap else "1/8 in")
    if table.past is None and panels.past == "none":
        yield Assumption(
            "walls.past",
            None,
            "the skin ends flush with the framing at every corner, behind its boards",
            "ends",
        )
    if table.past is None and panels.past == "ends":
        yield Assumption("walls.past", None, "the ends' skin runs past the edge of the sides'", "sides")


def opening_assumptions(job: Job, building: Building, book: Book) -> Iterator[Assumption]:
    """Say where openings stand that the job gives no place."""
    for opening in wall_openings(job, building, book):
        if not opening.given:
            place, key = size_text(job.tape, opening.left), _typed(opening)
            yield Assumption(
                f"{key}.from_corner",
                None,
                f"{opening.name}: in the {opening.wall}, {place} from its left corner",
            )


def _typed(opening: WallOpening) -> str:
    """Give the key of an opening's table as it is looked up: counted from 0."""
    table, _, number = opening.key.rstrip("]").partition("[")
    return f"{table}.{int(number) - 1}"


def _steps(job: Job, parts: list[SkinPart], panels: Panelling) -> Iterator[Step]:
    gap = f"{size_text(job.tape, panels.gap)} between panels" if panels.gap else "each lapping the one before"
    yield Step(
        -20,
        "Hang the wall skin from the left corner of each wall, the first panel plumb, its edge on the middle "
        f"of a stud, {gap}; cut out openings before or after, as the drawings show.",
    )
    if any(part.level for part in parts):
        yield Step(
            -19,
            "At a level joint set the metal over the lower panels' upper edge and behind the upper panels, "
            f"which stay {size_text(job.tape, panels.end_gap)} above it.",
        )
