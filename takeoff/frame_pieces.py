"""Pieces of a frame before they are parts: equal ones gathered, different lengths of one kind numbered."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from optimizer.lengths import INCH, MILLIMETRE
from optimizer.words import Part
from takeoff.needs import Member, Needed

__all__ = ["FramePiece", "gathered", "needed_of", "own_or"]

_OFF = 4
"""Base units, thousandths of a millimetre: what several roundings may take off a length."""

_MARKS = (INCH // 64, MILLIMETRE // 10)


@dataclass(frozen=True, slots=True)
class FramePiece:
    """
    One or more equal pieces of lumber.

    Parameters
    ----------
    kind
        What it is called; pieces of one kind and different lengths get a number.
    length
        From long point to long point.
    ends
        How its ends are cut.
    slant
        As a `Part`'s: of ends that slant alike, so that pieces nest.
    """

    kind: str
    material: str
    length: int
    ends: str
    count: int = 1
    slant: int = 0
    needed: int = 0


def own_or(material: str | None, word: str, other: str | None) -> str | None:
    """Give a material, or another where its key says so by a word, as "rafter" or "stud"."""
    return other if material == word else material


def _settled(length: int) -> int:
    """
    Put back what rounding took off a length that stood on a mark: a sixty-fourth, or a tenth of a millimetre.

    Else left and right, rounded each its own way, would be pieces of two lengths.
    """
    short = min(-length % mark for mark in _MARKS)
    return length + short if short <= _OFF else length


def _merged(pieces: Sequence[FramePiece]) -> list[FramePiece]:
    """Join pieces that only rounding tells apart; all are as long as the longest of them."""
    found: list[FramePiece] = []
    for piece in pieces:
        for place, other in enumerate(found):
            same = replace(other, length=piece.length, count=piece.count) == piece
            if same and other.length - piece.length <= _OFF:
                found[place] = replace(other, count=other.count + piece.count)
                break
        else:
            found.append(piece)
    return found


def gathered(pieces: Iterable[FramePiece]) -> tuple[FramePiece, ...]:
    """
    Add equal pieces up, longest first within a kind, kinds in the order they came.

    Where a kind has several lengths its pieces are numbered.
    """
    counts: dict[FramePiece, int] = {}
    for piece in pieces:
        one = replace(piece, length=_settled(piece.length), count=1)
        counts[one] = counts.get(one, 0) + piece.count
    kinds: dict[str, list[FramePiece]] = {}
    for piece, count in counts.items():
        if count:
            kinds.setdefault(piece.kind, []).append(replace(piece, count=count))
    found: list[FramePiece] = []
    for kind, alike in kinds.items():
        ordered = _merged(sorted(alike, key=lambda piece: (-piece.length, piece.material, piece.ends)))
        many = len(ordered) > 1
        found += (
            replace(piece, kind=f"{kind} {number}" if many else kind)
            for number, piece in enumerate(ordered, start=1)
        )
    return tuple(found)


def needed_of(pieces: Iterable[FramePiece]) -> Needed:
    """Ask for pieces as parts, with their end cuts beside them."""
    ready = gathered(pieces)
    return Needed(
        parts=tuple(
            Part(
                piece.kind,
                piece.material,
                piece.length,
                count=piece.count,
                slant=piece.slant,
                needed=piece.needed,
            )
            for piece in ready
        ),
        members=tuple(
            Member(piece.kind, piece.material, piece.count, piece.length, piece.ends) for piece in ready
        ),
    )
