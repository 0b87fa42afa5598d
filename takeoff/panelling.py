"""The panels that walls are covered with: sizes, gaps, which walls run past at the corners."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from optimizer.errors import InputError
from optimizer.lengths import INCH, MILLIMETRE
from takeoff.book import Book, Item
from takeoff.job import Job
from takeoff.wall_job import WallTable
from takeoff.walls_geometry import FrameSizes, frame_sizes, wall_table

__all__ = ["Panelling", "panelling_of"]


@dataclass(frozen=True, slots=True)
class Panelling:
    """
    What the skin is made of, and how it is put on.

    Parameters
    ----------
    sizes
        Of the panels that the yard has.
    gap, end_gap
        Between panels side by side, and at level joints.
    past
        Whose skin runs past the other's edge at a corner: the sides', the ends', or nobody's ("none").
    """

    table: WallTable
    frame: FrameSizes
    sizes: tuple[Item, ...]
    gap: int
    end_gap: int
    past: str

    @property
    def longest(self) -> int:
        """Give the length of the longest panel."""
        return max(item.length for item in self.sizes)

    @property
    def widest(self) -> int:
        """Give the width of the widest panel."""
        return max(item.width for item in self.sizes)

    @property
    def thickness(self) -> int:
        """Give the thickness of the thickest panel."""
        return max(item.thickness for item in self.sizes)


def panelling_of(job: Job, book: Book) -> Panelling:
    """
    Give the panels of the skin that the yard has, and how they are put on.

    Raises
    ------
    InputError
        If the book lacks them, they are no sheets, or a size is missing.
    """
    table, frame = wall_table(job), frame_sizes(job, book)
    material = table.material or ""
    sizes = book.require(material, "walls.material")
    for item in sizes:
        if item.kind != "sheet" or item.length <= 0 or item.width <= 0:
            raise InputError(
                f"{item.key!r} is not a sheet with length and width; walls are laid in sheets",
                "walls.material",
            )
    here = tuple(item for item in sizes if item.available != 0)
    if not here:
        raise InputError(f"the price book has no {material} left: its available is 0", "walls.material")
    past = table.past or ("none" if table.corner_board else "ends")
    metric = all(item.length % MILLIMETRE == 0 for item in here)
    open_end = 3 * MILLIMETRE if metric else INCH // 8
    gap = _gap(frame, here) if table.gap is None else table.gap
    return Panelling(table, frame, here, gap, open_end, past)


def _gap(frame: FrameSizes, sizes: Sequence[Item]) -> int:
    """
    Give the gap that the plan leaves between two panels.

    Panels made narrower than a whole number of bays, by an eighth of an inch or 3 mm, leave it open; panels
    as wide as their bays lap at their edges, and their gap lies in the lap.
    """
    metric = all(item.width % MILLIMETRE == 0 for item in sizes)
    gap = 3 * MILLIMETRE if metric else INCH // 8
    made = all((item.width + gap) % frame.stud_spacing <= MILLIMETRE for item in sizes)
    return gap if made else 0
