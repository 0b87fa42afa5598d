"""Nails of wall skin, corner boards and lap siding: enough for any lay-out that the rules allow."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from optimizer.words import Count, Part, Run
from takeoff.counted import spaced
from takeoff.job import Job
from takeoff.panelling import Panelling
from takeoff.skin import SkinPart, narrowest_of

__all__ = ["board_nails", "panel_nails", "siding_nails"]


def panel_nails(parts: Sequence[SkinPart], panels: Panelling) -> Count:
    """
    Count the nails of all panels.

    The lay-out isn't known yet: the fewest strips, one more, and one more for every opening are taken, as far
    as the narrowest one allows, meeting where the wall is highest. Along every panel edge nails stand
    `edge_nails` apart, on the studs between `field_nails`, and openings count as covered, with a row of edge
    nails around them besides. A lay-out in still more strips lives on the job's waste.
    """
    table = panels.table
    number = sum(_of_part(part, panels) for part in parts)
    return Count("wall panel nails", table.nail.material, number)


def _of_part(part: SkinPart, panels: Panelling) -> int:
    edge, field = panels.table.edge_nails, panels.table.field_nails
    open_here = [
        hole
        for hole in part.skin.openings
        if hole.x < part.low + part.height and hole.x + hole.length > part.low
    ]
    fewest = -(-(part.width + panels.gap) // (panels.widest + panels.gap))
    allowed = max(1, (part.width + panels.gap) // max(narrowest_of(part, panels), 1))
    strips = min(len(part.edges) + 1, allowed, fewest + 1 + len(open_here))
    heights = sorted((part.height_at(line) for line in part.edges), reverse=True)
    seams, between = heights[: strips - 1], [part.height_at(stud) for stud in part.studs]
    number = sum(2 * spaced(height, edge) for height in seams)
    # A stud under a seam has edge nails instead; which ones do isn't known, so the lowest are left out.
    number += sum(
        spaced(height, field) for height in sorted(between, reverse=True)[: max(len(between) - strips + 1, 0)]
    )
    number += sum(spaced(part.height_at(end), edge) for end in (0, part.width))
    number += 2 * (spaced(part.width, edge) + strips)
    number += sum(2 * (spaced(hole.length, edge) + spaced(hole.height, edge)) for hole in open_here)
    return number


def board_nails(boards: Sequence[Part | Run], job: Job, material: str) -> Iterator[Count]:
    """Count the nails of corner boards: pairs, as far apart as along casing."""
    spacing = job.fastener.board_spacing
    pairs = sum(
        (board.count if isinstance(board, Part) else 1) * (spaced(board.length, spacing) + 1)
        for board in boards
    )
    if pairs:
        yield Count("corner board nails", material, 2 * pairs)


def siding_nails(runs: Sequence[Run], spacing: int, material: str) -> Count:
    """Count the nails of lap siding: one at every stud, and one more at either side of every joint."""
    number = sum(spaced(run.length, spacing) + 2 * len(run.seams or ()) for run in runs)
    return Count("siding nails", material, number)
