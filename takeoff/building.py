"""The roof as frozen, exact geometry: from a job's dimensions to planes, lines and rafters."""

from __future__ import annotations

from fractions import Fraction
from typing import assert_never

from optimizer.errors import InputError
from optimizer.lengths import size_text
from takeoff.book import Book
from takeoff.free_planes import free_planes
from takeoff.job import Job
from takeoff.planes import Building, Edge, EdgeKind, EdgeLine, Plane, RoofKind, slope_of
from takeoff.rectangles import rectangles
from takeoff.shaped import shaped

__all__ = ["Building", "Edge", "EdgeKind", "EdgeLine", "Plane", "RoofKind", "building_of", "slope_of"]


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
    along, span = _on_plan(job)
    runs = _runs(job, span)
    pitch = _pitch(job, runs[0])
    fascia = book.one(job.fascia.material, "fascia.material").thickness if job.fascia else 0
    board = book.one(job.rake_board.material, "rake_board.material").thickness if job.rake_board else 0
    eave = _edge(job, "eave_overhang", job.eave_overhang, fascia)
    high = _edge(job, *_high_overhang(job), fascia) if job.roof == "single-slope" else None
    rake = _edge(job, "rake_overhang", job.rake_overhang, board)
    match job.roof:
        case "gable" | "single-slope":
            pitches = (pitch, job.second_pitch or pitch)
            planes, lines = rectangles(job, along, runs, pitches, eave, rake, high)
        case "gambrel" | "hip" | "pyramid" | "L":
            planes, lines = shaped(job, along, span, pitch, eave, rake)
        case "planes":
            planes, lines = free_planes(job)
            pitch = planes[0].pitch
        case _ as unreachable:
            assert_never(unreachable)
    if len({plane.name for plane in planes}) < len(planes):
        raise InputError("two planes of the roof would share a name; name the sides differently", "sides")
    return Building(
        pitch,
        along,
        span,
        int(runs[0]),
        int(_rise(job, runs[0], pitch)),
        job.rafter_thickness,
        eave,
        rake,
        high,
        planes,
        job.roof,
        lines,
    )


def _on_plan(job: Job) -> tuple[int, int]:
    """Give the framing's size along the ridge and across it."""
    longer = job.length >= job.width
    by_length = longer if job.ridge_along is None else job.ridge_along == "length"
    if job.roof in ("hip", "L") and by_length != longer and job.length != job.width:
        raise InputError(f'the ridge of roof = "{job.roof}" runs along the longer side', "ridge_along")
    if job.roof == "pyramid" and job.length != job.width:
        raise InputError(
            'a pyramid stands on a square; with length and width different it is roof = "hip"', "roof"
        )
    return (job.length, job.width) if by_length else (job.width, job.length)


def _runs(job: Job, span: int) -> tuple[Fraction, Fraction]:
    """
    Give the run of each side on plan: to the ridge, or (single slope) to the other wall.

    Two pitches over walls of one height meet where both have risen alike.
    """
    if job.roof == "single-slope":
        return Fraction(span), Fraction(span)
    first = Fraction(span, 2)
    if job.ridge_from is not None:
        first = Fraction(job.ridge_from)
    elif job.second_pitch is not None and job.pitch is not None:
        first = span * job.second_pitch / (job.pitch + job.second_pitch)
    if first >= span:
        raise InputError(f"the ridge would lie beyond the {size_text(job.tape, span)} of span", "ridge_from")
    return first, span - first


def _high_overhang(job: Job) -> tuple[str, int]:
    if job.high_overhang is None:
        return "eave_overhang", job.eave_overhang
    return "high_overhang", job.high_overhang


def _pitch(job: Job, run: Fraction) -> Fraction:
    """Give rise over run, from the pitch or from two heights on one line; a gambrel's below its break."""
    if job.pitch is not None:
        return job.pitch
    if job.peak_height is None or job.wall_height is None:
        return Fraction(0)
    rise, level = Fraction(job.peak_height - job.wall_height), run
    match job.heights_on:
        case "rafter tops" | "rafter undersides":
            pass
        case "inside":
            level -= job.wall_thickness * (2 if job.roof == "single-slope" else 1)
        case _ as unreachable:
            assert_never(unreachable)
    if job.gambrel is not None:
        above = run - job.gambrel.break_at
        rise, level = rise - above * job.gambrel.upper_pitch, level - above
    if level <= 0:
        raise InputError("the walls leave no room between them", "wall_thickness")
    if rise > 5 * level:
        raise InputError(
            "these heights make a roof steeper than 60 in 12; measure both to the same line", "peak_height"
        )
    return rise / level


def _rise(job: Job, run: Fraction, pitch: Fraction) -> Fraction:
    if job.gambrel is None:
        return run * pitch
    return job.gambrel.break_at * pitch + (run - job.gambrel.break_at) * job.gambrel.upper_pitch


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
