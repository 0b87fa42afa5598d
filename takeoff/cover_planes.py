"""The planes of a roof as its cover sees them: how far each layer reaches at every height up the slope."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from takeoff.building import Building, Plane, slope_of
from takeoff.job import Job
from takeoff.roof import slot_line

__all__ = ["Face", "Row", "eave_past", "has_eave", "rows_up", "sides", "top_past"]


@dataclass(frozen=True, slots=True)
class Face:
    """
    One plane with a layer on it.

    Parameters
    ----------
    left, right
        How far the layer reaches past the deck at its two ends.
    low
        How far below the deck's lower edge it begins.
    height
        From there to where it stops, along the slope.
    """

    plane: Plane
    left: int
    right: int
    low: int
    height: int

    @property
    def begins(self) -> int:
        """Give where the layer begins, along the courses, from the deck's left end; below 0 past a rake."""
        return min(x for x, _ in self.plane.corners) - self.left

    def stretch(self, low: int, high: int) -> tuple[int, int]:
        """Give what a course covers that lies between two heights, along the layer: its widest reach."""
        plane = self.plane
        levels = {min(max(level - self.low, 0), plane.slope) for level in (low, high)}
        levels |= {y for _, y in plane.corners if low <= y + self.low <= high}
        met = [plane.stretch(level) for level in levels]
        return (
            min(left for left, _ in met) - self.left - self.begins,
            max(right for _, right in met) + self.right - self.begins,
        )

    @property
    def area(self) -> int:
        """Give the area covered, in square base units, what is past the deck's edges included."""
        along = max(right for _, right in self._ends()) - min(left for left, _ in self._ends())
        past = (self.left + self.right) * self.height + (self.height - self.plane.slope) * along
        return self.plane.twice_area // 2 + past

    def _ends(self) -> Iterator[tuple[int, int]]:
        yield from (self.plane.stretch(y) for _, y in self.plane.corners)


@dataclass(frozen=True, slots=True)
class Row:
    """One course of a layer: its lower edge from the layer's, its height, and where it begins and ends."""

    number: int
    bottom: int
    height: int
    begins: int
    ends: int

    @property
    def length(self) -> int:
        """Give its length."""
        return self.ends - self.begins


def rows_up(face: Face, height: int, exposure: int, stop: int, start: int = 0) -> tuple[Row, ...]:
    """
    Give the courses of a layer from the bottom up.

    Parameters
    ----------
    height
        Of one course, its covered part included.
    exposure
        From one lower edge to the next.
    stop
        No course begins here or higher.
    start
        Where the first one begins.
    """
    rows: list[Row] = []
    bottom = start
    while not rows or bottom < stop:
        top = min(bottom + height, face.height)
        begins, ends = face.stretch(bottom, top)
        if ends > begins:
            rows.append(Row(len(rows) + 1, bottom, height, begins, ends))
        bottom += exposure
    return tuple(rows)


def _own(building: Building, plane: Plane, kind: str, side: str = "") -> bool:
    return any(
        line.kind == kind and plane.name in line.planes and (not side or line.side == side)
        for line in building.lines
    )


def has_eave(building: Building, plane: Plane) -> bool:
    """Tell whether a plane's lower edge is an eave; a gambrel's upper plane ends at a break."""
    return _own(building, plane, "eave")


def eave_past(job: Job, building: Building, plane: Plane) -> int:
    """Give how far the finished face at the eave lies past the deck, along the slope."""
    if not has_eave(building, plane):
        return 0
    out = building.eave.finish - building.eave.deck
    return slope_of(out, plane.pitch) if job.tails == "plumb" else out


def top_past(job: Job, building: Building, plane: Plane) -> int:
    """Give how far roofing stops past the deck's upper edge: below 0 at a ridge slot."""
    if plane.top == "high edge" and building.high is not None:
        return slope_of(building.high.finish - building.high.deck, plane.pitch)
    if plane.top == "ridge" and job.ridge_slot is not None:
        return -slot_line(job.ridge_slot, building)
    return 0


def sides(building: Building, plane: Plane, rake: int, hip: int, valley: int) -> tuple[int, int]:
    """
    Give how far a layer reaches past the deck at its left and right end, by what is there.

    Parameters
    ----------
    rake, hip, valley
        How far it is to reach past each, in base units.
    """
    found = []
    for side in ("left", "right"):
        past = rake if _own(building, plane, "rake", side) else 0
        past = max(past, hip if _own(building, plane, "hip") and plane.outline else 0)
        found.append(max(past, valley if _own(building, plane, "valley") else 0))
    return found[0], found[1]
