"""Gambrel, hip, pyramid and L: which planes a roof of that shape has, and where its rafters stand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from optimizer.errors import InputError
from optimizer.lengths import size_text
from takeoff.facets import Facet, Offsets
from takeoff.job import Job
from takeoff.planes import EdgeKind
from takeoff.rafters import Rafter, corner_lines, rafter_lines

__all__ = ["Shape", "gambrel", "hip", "wings"]


@dataclass(frozen=True, slots=True)
class Shape:
    """
    A roof's planes on plan, for any overhang, and the rafters of each.

    Parameters
    ----------
    facets
        Given the offsets of eaves and rakes, the planes in the order they are decked.
    rafters
        Of each plane, from the left corner of its framing; barge rafters are hung afterwards.
    rakes
        Of each plane, whether its left and its right end is a rake.
    lengths
        Of each plane's framing, from its left corner.
    """

    facets: Callable[[Offsets], tuple[Facet, ...]]
    rafters: tuple[tuple[Rafter, ...], ...]
    rakes: tuple[tuple[bool, bool], ...]
    lengths: tuple[int, ...]


_Sides = tuple[EdgeKind, ...]


def _points(*numbers: Fraction | int) -> tuple[tuple[Fraction, Fraction], ...]:
    """Pair numbers into corners; a corner that repeats the one before it is dropped."""
    pairs = [(Fraction(along), Fraction(up)) for along, up in zip(numbers[::2], numbers[1::2], strict=True)]
    return tuple(dict.fromkeys(pairs))


def gambrel(
    job: Job, names: tuple[str, ...], marks: tuple[str, ...], along: int, span: int, pitch: Fraction
) -> Shape:
    """
    Give the two planes a side of a gambrel, the steep one first.

    Raises
    ------
    InputError
        If the break lies beyond the ridge, or the planes above it are the steeper ones.
    """
    table = job.gambrel
    assert table is not None, "the job saw to it"
    run, at, upper = Fraction(span, 2), Fraction(table.break_at), table.upper_pitch
    if at >= run:
        raise InputError(
            f"the break lies {size_text(job.tape, table.break_at)} inside the wall, the ridge "
            f"{size_text(job.tape, span // 2)}",
            "gambrel.break_at",
        )
    if upper >= pitch:
        raise InputError("the planes above the break must be flatter than those below", "gambrel.upper_pitch")

    def facets(out: Offsets) -> tuple[Facet, ...]:
        found = []
        for half, (origin, heading) in enumerate((((0, 0), (1, 0)), ((along, span), (-1, 0)))):
            place = (Fraction(origin[0]), Fraction(origin[1]))
            for part, (low, high, slope, base) in enumerate(
                ((-out.eave, at, pitch, Fraction(0)), (at, run, upper, (pitch - upper) * at))
            ):
                left, right = -out.rake, along + out.rake
                corners = _points(left, low, right, low, right, high, left, high)
                sides: _Sides = (
                    ("break", "rake", "ridge", "rake") if part else ("eave", "rake", "break", "rake")
                )
                number = 2 * half + part
                found.append(Facet(names[number], marks[number], slope, corners, sides, place, heading, base))
        return tuple(found)

    lines = rafter_lines(job, along)
    first = _on_walls(lines)
    second = _on_walls(tuple(along - line for line in reversed(lines)))
    return Shape(facets, (first, first, second, second), ((True, True),) * 4, (along,) * 4)


def _on_walls(lines: tuple[int, ...]) -> tuple[Rafter, ...]:
    ends = {lines[0], lines[-1]}
    return tuple(Rafter(line, "gable" if line in ends else "common") for line in lines)


def hip(
    job: Job, names: tuple[str, ...], marks: tuple[str, ...], along: int, span: int, pitch: Fraction
) -> Shape:
    """Give two long sides and two hip ends, all of one pitch; four triangles where the plan is square."""
    half = Fraction(span, 2)
    turns = (((0, 0), (1, 0)), ((along, span), (-1, 0)), ((0, span), (0, -1)), ((along, 0), (0, 1)))
    lengths = (along, along, span, span)

    def facets(out: Offsets) -> tuple[Facet, ...]:
        found = []
        for number, ((x, y), heading) in enumerate(turns):
            length, eave = lengths[number], out.eave
            corners = _points(-eave, -eave, length + eave, -eave, length - half, half, half, half)
            sides: _Sides = ("eave", "hip", "ridge", "hip") if len(corners) == 4 else ("eave", "hip", "hip")
            place = (Fraction(x), Fraction(y))
            found.append(Facet(names[number], marks[number], pitch, corners, sides, place, heading))
        return tuple(found)

    rafters = tuple(
        corner_lines(job, length, (True, True), (span // 2, length - span // 2)) for length in lengths
    )
    return Shape(facets, rafters, ((False, False),) * 4, lengths)


def wings(
    job: Job, names: tuple[str, ...], marks: tuple[str, ...], along: int, span: int, pitch: Fraction
) -> Shape:
    """
    Give the four planes of an L: a hip over the outer corner, a valley from the inner one.

    The wing stands out at the left end of the first side. Where it is narrower than the main part, the roof
    of its outer side goes on as the main part's hip end, with a second, short hip above the wing's ridge.

    Raises
    ------
    InputError
        If the wing is wider than the main part, or leaves no room for an eave in its corner.
    """
    table = job.wing
    assert table is not None, "the job saw to it"
    out_by, wide = table.length, table.width or span
    if wide > span:
        raise InputError(
            f"the wing is {size_text(job.tape, wide)} wide, the main part {size_text(job.tape, span)}: name "
            "the wider one length and width",
            "wing.width",
        )
    if along <= wide + job.eave_overhang or along <= span:
        raise InputError("the wing leaves nothing of the main part beside it", "wing.width")
    if out_by <= job.eave_overhang:
        raise InputError("the wing stands out no farther than the eave does", "wing.length")
    half, low = Fraction(span, 2), Fraction(wide, 2)

    def facets(out: Offsets) -> tuple[Facet, ...]:
        eave, rake = out.eave, out.rake
        right, foot = along + rake, span + out_by + rake
        front = _points(wide + eave, -eave, right, -eave, right, half, half, half, low, low)
        far = _points(-rake, -eave, along + eave, -eave, along - half, half, -rake, half)
        inner = _points(-rake, -eave, out_by - eave, -eave, out_by + low, low, -rake, low)
        outer = _points(-eave, -eave, foot, -eave, foot, low, span - low, low, half, half)
        falls: tuple[_Sides, ...] = (
            ("eave", "rake", "ridge", *_hip(front), "valley"),
            ("eave", "hip", "ridge", "rake"),
            ("eave", "valley", "ridge", "rake"),
            ("eave", "rake", "ridge", *_hip(outer), "hip"),
        )
        turns = (((0, 0), (1, 0)), ((along, span), (-1, 0)), ((wide, -out_by), (0, 1)), ((0, span), (0, -1)))
        return tuple(
            Facet(names[n], marks[n], pitch, corners, falls[n], (Fraction(x), Fraction(y)), heading)
            for n, (corners, ((x, y), heading)) in enumerate(
                zip((front, far, inner, outer), turns, strict=True)
            )
        )

    main, side = (corner_lines(job, length, (True, False), ()) for length in (along, span + out_by))
    rafters = (main, _turned(main, along), _turned(side, span + out_by), side)
    rakes = ((False, True), (True, False), (True, False), (False, True))
    return Shape(facets, rafters, rakes, (along, along, span + out_by, span + out_by))


def _hip(corners: tuple[object, ...]) -> _Sides:
    """Give the short hip above a narrower wing's ridge, where there is one."""
    return ("hip",) if len(corners) == 5 else ()


def _turned(rafters: tuple[Rafter, ...], length: int) -> tuple[Rafter, ...]:
    return tuple(Rafter(length - rafter.at, rafter.role) for rafter in reversed(rafters))
