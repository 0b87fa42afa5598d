"""The roof as frozen, exact geometry: slopes, edges and rafters of every plane."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import assert_never

from optimizer.errors import InputError
from optimizer.lengths import size_text
from takeoff.book import Book
from takeoff.job import Job
from takeoff.planes import Building, Edge, EdgeLine, Plane, slope_of
from takeoff.rafters import Rafter, rafter_lines
from takeoff.rectangles import rectangle_lines

__all__ = ["Building", "Edge", "EdgeLine", "Plane", "building_of", "slope_of"]


def building_of(job: Job, book: Book) -> Building:
    """
    Work out the roof that a job describes.

    Parameters
    ----------
    book
        Says how thick the fascia and the rake boards are.

    Raises
    ------
    InputError
        If the dimensions contradict each other, or the book lacks a board.
    """
    by_length = job.ridge_along == "length" or (job.ridge_along is None and job.length >= job.width)
    along, span = (job.length, job.width) if by_length else (job.width, job.length)
    gable = job.roof == "gable"
    run = Fraction(span, 2) if gable else Fraction(span)
    pitch = _pitch(job, run)
    fascia = book.one(job.fascia.material, "fascia.material").thickness if job.fascia else 0
    board = book.one(job.rake_board.material, "rake_board.material").thickness if job.rake_board else 0
    eave = _edge(job, "eave_overhang", job.eave_overhang, fascia)
    high = None if gable else _edge(job, *_high_overhang(job), fascia)
    rake = _edge(job, "rake_overhang", job.rake_overhang, board)
    frame = _Frame(job, pitch, along, run, eave, rake, high)
    names = job.sides if gable else ("roof",)
    planes = tuple(
        frame.plane(index, name, mark)
        for index, (name, mark) in enumerate(zip(names, _marks(names), strict=True))
    )
    return Building(
        pitch,
        along,
        span,
        int(run),
        int(run * pitch),
        job.rafter_thickness,
        eave,
        rake,
        high,
        planes,
        job.roof,
        rectangle_lines(planes, (run,) * len(planes), eave, rake, high),
    )


def _high_overhang(job: Job) -> tuple[str, int]:
    if job.high_overhang is None:
        return "eave_overhang", job.eave_overhang
    return "high_overhang", job.high_overhang


def _pitch(job: Job, run: Fraction) -> Fraction:
    """Give rise over run, from the pitch or from two heights on one line."""
    if job.pitch is not None:
        return job.pitch
    rise = (job.peak_height or 0) - (job.wall_height or 0)
    match job.heights_on:
        case "rafter tops" | "rafter undersides":
            level = run
        case "inside":
            level = run - job.wall_thickness * (1 if job.roof == "gable" else 2)
        case _ as unreachable:
            assert_never(unreachable)
    if level <= 0:
        raise InputError("the walls leave no room between them", "wall_thickness")
    if rise > 5 * level:
        raise InputError(
            "these heights make a roof steeper than 60 in 12; measure both to the same line", "peak_height"
        )
    return Fraction(rise) / level


def _edge(job: Job, key: str, overhang: int, board: int) -> Edge:
    """
    Place framing, finished face and deck at one edge.

    An overhang is measured to the finished face. An overhang of 0 stands for framing flush with the wall,
    with the board, if any, on its outside.
    """
    if 0 < overhang < board:
        raise InputError(
            f"{size_text(job.tape, overhang)} is less than the board's {size_text(job.tape, board)}; "
            "an overhang is measured to the board's outer face, and 0 stands for framing flush with the wall",
            key,
        )
    framing = max(overhang - board, 0)
    finish = framing + board
    return Edge(framing, finish, finish if job.deck_to == "fascia" else framing)


def _marks(names: tuple[str, ...]) -> tuple[str, ...]:
    """Give each side a letter for its labels: its first one, or A and B where those are alike."""
    letters = tuple(name.strip()[:1].upper() for name in names)
    if len(set(letters)) < len(letters) or not all(letter.isalpha() for letter in letters):
        return ("A", "B")[: len(names)]
    return letters


@dataclass(frozen=True, slots=True)
class _Frame:
    """What every plane of a roof is made from."""

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


def _measured(lengths: tuple[int, ...] | None, index: int) -> int | None:
    return None if lengths is None else lengths[min(index, len(lengths) - 1)]
