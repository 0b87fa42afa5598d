"""A gambrel, hip, pyramid or L put together: its planes on the slope, and the lines between them."""

from __future__ import annotations

from fractions import Fraction
from typing import assert_never

from optimizer.lengths import floor_sqrt
from takeoff.facets import Offsets, facet_lines, facet_plane, mirrored
from takeoff.job import Job
from takeoff.planes import Edge, EdgeLine, Plane, marks_of
from takeoff.rafters import Rafter
from takeoff.shapes import Shape, gambrel, hip, wings

__all__ = ["shaped"]


def shaped(
    job: Job, along: int, span: int, pitch: Fraction, eave: Edge, rake: Edge
) -> tuple[tuple[Plane, ...], tuple[EdgeLine, ...]]:
    """
    Give the planes of a roof that is no plain gable, and every line where they end or meet.

    Raises
    ------
    InputError
        If the dimensions make no such roof.
    """
    shape, mirror = _shape(job, along, span, pitch)
    deck = Offsets(_deck_edge(job, eave, pitch), Fraction(rake.deck))
    finish = Offsets(Fraction(eave.finish), Fraction(rake.finish))
    framing = Offsets(Fraction(eave.framing), Fraction(rake.framing))
    wall = Offsets(Fraction(0), Fraction(0))
    lines = facet_lines(*(shape.facets(out) for out in (deck, finish, framing, wall)))
    planes = tuple(
        facet_plane(
            facet, finished, _with_barges(rafters, rakes, facet_length, rake, job), job.rafter_thickness
        )
        for facet, finished, rafters, rakes, facet_length in zip(
            shape.facets(deck), shape.facets(finish), shape.rafters, shape.rakes, shape.lengths, strict=True
        )
    )
    if mirror:
        planes = tuple(mirrored(plane) for plane in planes)
        lines = tuple(line.mirrored for line in lines)
    return planes, lines


def _shape(job: Job, along: int, span: int, pitch: Fraction) -> tuple[Shape, bool]:
    """Choose the shape; the second value is true where it is to be seen in a mirror."""
    first, second = job.sides
    match job.roof:
        case "gambrel":
            names = tuple(f"{side} {part}" for side in job.sides for part in ("lower", "upper"))
            return gambrel(job, names, marks_of(names), along, span, pitch), False
        case "hip" | "pyramid":
            names = (first, second, *job.ends)
            return hip(job, names, marks_of(names), along, span, pitch), False
        case "L":
            names = (first, second, "inner side", "outer side")
            right = job.wing is not None and job.wing.end == "right"
            return wings(job, names, marks_of(names), along, span, pitch), right
        case "gable" | "single-slope" | "planes":
            raise AssertionError(job.roof)
        case _ as unreachable:
            assert_never(unreachable)


def _deck_edge(job: Job, eave: Edge, pitch: Fraction) -> Fraction:
    """
    Give how far the deck's edge lies outside the framing of the walls, on plan.

    A board on square tails leans with them: its thickness is taken along the slope.
    """
    board = eave.finish - eave.deck
    match job.tails:
        case "plumb":
            return Fraction(eave.deck)
        case "square":
            return Fraction(eave.finish - floor_sqrt(int(board**2 / (1 + pitch**2))))
        case _ as unreachable:
            assert_never(unreachable)


def _with_barges(
    rafters: tuple[Rafter, ...], rakes: tuple[bool, bool], length: int, rake: Edge, job: Job
) -> tuple[Rafter, ...]:
    """Hang a barge rafter out at every rake that overhangs far enough for one."""
    if rake.framing < job.rafter_thickness:
        return rafters
    out = rake.framing - job.rafter_thickness // 2
    left = (Rafter(-out, "barge"),) if rakes[0] else ()
    right = (Rafter(length + out, "barge"),) if rakes[1] else ()
    return (*left, *rafters, *right)
