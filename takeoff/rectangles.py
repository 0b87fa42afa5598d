"""Roofs whose planes are rectangles that meet at one ridge, or reach a high edge: planes and lines."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import assert_never

from optimizer.errors import InputError
from optimizer.lengths import size_text
from takeoff.job import Job
from takeoff.planes import Edge, EdgeKind, EdgeLine, Plane, marks_of, slope_of
from takeoff.rafters import Rafter, rafter_lines

__all__ = ["rectangles"]


def rectangles(
    job: Job,
    along: int,
    runs: tuple[Fraction, Fraction],
    pitches: tuple[Fraction, Fraction],
    eave: Edge,
    rake: Edge,
    high: Edge | None,
) -> tuple[tuple[Plane, ...], tuple[EdgeLine, ...]]:
    """
    Give the planes of a gable or of a single slope, and every line where they end or meet.

    Parameters
    ----------
    runs, pitches
        Of each half; a single slope has the first only.

    Raises
    ------
    InputError
        If a measured ridge is no longer than the overhangs.
    """
    names = job.sides if high is None else ("roof",)
    halves = [
        _Half(job, pitch, along, run, eave, rake, high)
        for pitch, run, _ in zip(pitches, runs, names, strict=False)
    ]
    planes = tuple(
        half.plane(index, name, mark)
        for index, (half, name, mark) in enumerate(zip(halves, names, marks_of(names), strict=True))
    )
    lines = [line for half, plane in zip(halves, planes, strict=True) for line in half.lines(plane)]
    longest = max(planes, key=lambda plane: plane.length)
    wall = longest.length - 2 * rake.deck
    kind: EdgeKind = "ridge" if high is None else "high edge"
    lines.append(EdgeLine(kind, names, longest.length, longest.finish_length, wall + 2 * rake.framing, wall))
    return planes, tuple(lines)


@dataclass(frozen=True, slots=True)
class _Half:
    """What one plane is made from."""

    job: Job
    pitch: Fraction
    along: int
    run: Fraction
    eave: Edge
    rake: Edge
    high: Edge | None

    def plane(self, index: int, name: str, mark: str) -> Plane:
        deck, finish = self._slope(to_deck=True), self._slope(to_deck=False)
        slope = _measured(self.job.slope_length, index) or deck
        length = _measured(self.job.ridge_length, index) or self.along + 2 * self.rake.deck
        framing = length - 2 * self.rake.deck
        if framing <= 0:
            raise InputError(
                f"{size_text(self.job.tape, length)} is no more than the two rake overhangs", "ridge_length"
            )
        return Plane(
            name,
            mark,
            length,
            slope,
            framing + 2 * self.rake.finish,
            finish + slope - deck,
            self._rafters(framing, mirrored=index == 1),
            self.pitch,
            top="ridge" if self.high is None else "high edge",
        )

    def _slope(self, to_deck: bool) -> int:
        """
        Measure along the slope from the peak to one of the edge's lines.

        The tops of plumb tails end straight below the line on plan. A board on square tails leans with
        them, so its thickness is taken along the slope. A single slope's high end is cut plumb.
        """
        plan = self.run
        if self.high is not None:
            plan += self.high.deck if to_deck else self.high.finish
        end = self.eave.deck if to_deck else self.eave.finish
        match self.job.tails:
            case "plumb":
                return slope_of(plan + end, self.pitch)
            case "square":
                return slope_of(plan + self.eave.finish, self.pitch) - (self.eave.finish - end)
            case _ as unreachable:
                assert_never(unreachable)

    def _rafters(self, framing: int, mirrored: bool) -> tuple[Rafter, ...]:
        """Place the rafters from the deck's left end; the second half is seen from the other side."""
        lines = rafter_lines(self.job, framing)
        if mirrored:
            lines = tuple(framing - line for line in reversed(lines))
        ends = {lines[0], lines[-1]}
        placed = [Rafter(line + self.rake.deck, "gable" if line in ends else "common") for line in lines]
        barge = self.rake.deck - self.rake.framing + self.job.rafter_thickness // 2
        length = framing + 2 * self.rake.deck
        if self.rake.framing >= self.job.rafter_thickness:
            placed = [Rafter(barge, "barge"), *placed, Rafter(length - barge, "barge")]
        return tuple(placed)

    def lines(self, plane: Plane) -> Iterator[EdgeLine]:
        """Give the plane's eave and rakes."""
        wall = plane.length - 2 * self.rake.deck
        tails = wall + 2 * self.rake.framing
        yield EdgeLine("eave", (plane.name,), plane.length, plane.finish_length, tails, wall)
        over, edge = (0, 0) if self.high is None else (self.high.framing, self.high.deck)
        framing = slope_of(self.run + self.eave.framing + over, self.pitch)
        walled = slope_of(self.run, self.pitch)
        rise = int((self.run + self.eave.deck + edge) * self.pitch)
        for side in ("left", "right"):
            yield EdgeLine(
                "rake", (plane.name,), plane.slope, plane.finish_slope, framing, walled, side, rise
            )


def _measured(lengths: tuple[int, ...] | None, index: int) -> int | None:
    return None if lengths is None else lengths[min(index, len(lengths) - 1)]
