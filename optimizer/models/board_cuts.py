"""Model 3, the answer: which bar yields which piece, as cuts in saw order and courses of runs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from optimizer.lengths import INCH
from optimizer.plan import Course, Cut, CutPiece, LaidPiece, SawCut
from optimizer.words import Run, Stock

__all__ = ["Sawn", "Wanted", "courses_of", "cuts_of"]


@dataclass(frozen=True, slots=True)
class Wanted:
    """
    One piece to be cut, or `copies` equal ones: what it is called and when it is wanted.

    `far` asks for the far end of the bar, as far as another piece doesn't take it.
    """

    label: str
    length: int
    slant: int = 0
    needed: int = 0
    copies: int = 1
    far: bool = False


@dataclass(frozen=True, slots=True)
class Sawn:
    """One bar and the pieces it yields."""

    stock: Stock
    pieces: tuple[Wanted, ...]


def cuts_of(bars: Sequence[Sawn], kerf: int) -> tuple[Cut, ...]:
    """Give the cuts, what is wanted first in front; bars cut alike are one cut, repeated."""
    alike: Counter[Sawn] = Counter(Sawn(bar.stock, tuple(_saw_order(bar.pieces))) for bar in bars)
    ordered = sorted(
        alike,
        key=lambda bar: (
            min(piece.needed for piece in bar.pieces),
            [(-piece.length, piece.label) for piece in bar.pieces],
            bar.stock.key,
        ),
    )
    return tuple(_cut(bar, kerf, alike[bar]) for bar in ordered)


def _saw_order(pieces: Sequence[Wanted]) -> Iterator[Wanted]:
    """Put first what is wanted first; slanting parts that nest stay side by side."""
    first: dict[int, int] = {}
    for piece in pieces:
        first[piece.slant] = min(piece.needed, first.get(piece.slant, piece.needed))
    return iter(
        sorted(pieces, key=lambda p: (first[p.slant], p.slant, p.needed, -p.length, p.label))
        if any(first)
        else sorted(pieces, key=lambda p: (p.far, p.needed, -p.length, p.label))
    )


def _cut(bar: Sawn, kerf: int, repeat: int) -> Cut:
    stock = bar.stock
    pieces: list[CutPiece] = []
    steps: list[SawCut] = []
    at = end = waste = 0
    for number, piece in enumerate(bar.pieces):
        following = bar.pieces[number + 1].slant if number + 1 < len(bar.pieces) else 0
        # A part whose neighbour slants as it does reaches into that neighbour's waste.
        nests = piece.slant and following == piece.slant
        length = piece.length - (piece.slant if nests else 0)
        before = stock.length - length - at - kerf
        if piece.far and number + 1 == len(bar.pieces) and before > 0:
            steps.append(SawCut("crosscut", at, 0, stock.length - at, stock.width, before))
            at, waste = stock.length - length, before
        pieces.append(CutPiece(piece.label, at, 0, length, stock.width))
        end = at + length
        if end < stock.length:
            steps.append(SawCut("crosscut", at, 0, stock.length - at, stock.width, length))
        at = end + kerf
    return Cut(
        id="",
        stock=stock.key,
        length=stock.length,
        width=stock.width,
        kerf=kerf,
        pieces=tuple(pieces),
        steps=tuple(steps),
        repeat=repeat,
        tight=stock.length - end + waste < INCH // 4 and (len(pieces) > 1 or end < stock.length),
        from_rack=stock.from_rack,
    )


def courses_of(laid: Sequence[tuple[Run, Sequence[tuple[str, int]]]]) -> tuple[Course, ...]:
    """Lay the pieces of every run from its left end, each over the next by the lap."""
    courses = []
    for run, pieces in laid:
        places: list[LaidPiece] = []
        for label, length in pieces:
            start = places[-1].end - run.lap if places else 0
            places.append(LaidPiece(label, start, start + length))
        seams = tuple(piece.end - (run.lap - run.lap // 2) for piece in places[:-1])
        courses.append(
            Course(run.label, "", 0, run.length, 0, run.bottom, (), seams, tuple(places), begins=run.begins)
        )
    return tuple(courses)
