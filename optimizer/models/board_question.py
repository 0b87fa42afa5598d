"""Model 3, the question: boards and sticks, and the lengths cut from them, as bare integers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from optimizer.errors import InputError, NoPlan
from optimizer.lengths import INCH, format_length
from optimizer.words import Part, Run, Saw, Stock

__all__ = ["Bar", "Piece", "bars_of", "kerf_of", "patterns", "require_fit", "used"]


@dataclass(frozen=True, slots=True)
class Bar:
    """
    A stock as the models see it.

    Parameters
    ----------
    room
        Its length and one kerf: every piece then takes its own length and one kerf.
    cost
        Of one pack.
    limit
        Packs there are; None for no limit.
    """

    stock: Stock
    room: int
    cost: int
    pack: int
    limit: int | None


@dataclass(frozen=True, slots=True, order=True)
class Piece:
    """
    A kind of piece: `take` is what one uses up of a bar's room, kerf included.

    Pieces of one `slant` on a bar take that slant once more, together.
    """

    take: int
    slant: int = 0


def kerf_of(material: str, stocks: Sequence[Stock], saw: Saw) -> int:
    """Give the one kerf of a material's stocks."""
    kerfs = {saw.kerf(stock.kind) for stock in stocks}
    if len(kerfs) > 1:
        kinds = ", ".join(sorted({stock.kind for stock in stocks}))
        raise InputError(f"{material} is sold as {kinds}, which are cut with different kerfs; use one kind")
    return next(iter(kerfs), 0)


def bars_of(stocks: Sequence[Stock], kerf: int) -> tuple[Bar, ...]:
    """Give the bars; where a stock has no price every piece of stock costs 1."""
    priced = all(stock.price is not None for stock in stocks)
    return tuple(
        Bar(
            stock,
            stock.length + kerf,
            stock.price if priced and stock.price is not None else stock.pack,
            stock.pack,
            stock.available,
        )
        for stock in stocks
    )


def require_fit(material: str, stocks: Sequence[Stock], parts: Sequence[Part], runs: Sequence[Run]) -> None:
    """Raise `NoPlan` for the first piece that no stock is long enough for."""
    if not stocks:
        raise NoPlan(f"there is no stock of {material}")
    longest = max(stock.length for stock in stocks)
    for part in parts:
        if part.length > longest:
            raise NoPlan(_outgrown(part.label, part.length, longest, material))
    for run in runs:
        if run.length < run.shortest:
            raise NoPlan(
                f"{run.label} is {_inches(run.length)} long, but no piece of it may be shorter than "
                f"{_inches(run.shortest)}"
            )
        if run.seams == () and run.length > longest:
            raise NoPlan(_outgrown(run.label, run.length, longest, material) + " and may have no seam")


def _outgrown(label: str, length: int, longest: int, material: str) -> str:
    return (
        f"{label} is {_inches(length)} long, {_inches(length - longest)} longer than the longest {material} "
        f"({_inches(longest)})"
    )


def _inches(length: int) -> str:
    if length < INCH // 16:
        return f"{float(Fraction(length, INCH)):.4f} in"
    return f"{format_length(length, 'in')} in"


def patterns(pieces: Sequence[Piece], most: Sequence[int], room: int) -> Iterator[tuple[int, ...]]:
    """List all that one bar can yield, the empty bar included: how many of each piece, at most `most`."""

    def fill(number: int, left: int, slants: frozenset[int]) -> Iterator[tuple[int, ...]]:
        if number == len(pieces):
            yield ()
            return
        piece = pieces[number]
        for count in range(most[number] + 1):
            if count == 1 and piece.slant and piece.slant not in slants:
                left -= piece.slant
                slants = slants | {piece.slant}
            if left < count * piece.take:
                return
            for rest in fill(number + 1, left - count * piece.take, slants):
                yield (count, *rest)

    yield from fill(0, room, frozenset())


def used(pieces: Sequence[Piece], counts: Sequence[int]) -> int:
    """Give the room that a pattern takes up."""
    slants = {piece.slant for piece, count in zip(pieces, counts, strict=True) if count}
    return sum(p.take * n for p, n in zip(pieces, counts, strict=True)) + sum(slants)
