"""Models 3 and 4 in one: parts ripped from boards, planned with all that is cut to length, as blanks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from itertools import count

from optimizer.engine import Clock
from optimizer.errors import NoPlan
from optimizer.lengths import INCH
from optimizer.models.boards import plan_lengths
from optimizer.plan import Cut, CutPiece, MaterialPlan, SawCut
from optimizer.words import Part, Run, Saw, Stock

__all__ = ["bound_of_any_cuts", "plan_with_blanks"]


@dataclass(frozen=True, slots=True)
class _Lane:
    """One part in a blank."""

    label: str
    length: int


@dataclass(frozen=True, slots=True)
class _Blank:
    """A full width of board, as long as its longest part, ripped into lanes of one width."""

    width: int
    lanes: tuple[_Lane, ...]
    needed: int

    @property
    def length(self) -> int:
        return max(lane.length for lane in self.lanes)


def plan_with_blanks(
    material: str,
    stocks: Sequence[Stock],
    ripped: Sequence[Part],
    parts: Sequence[Part],
    runs: Sequence[Run],
    saw: Saw,
    clock: Clock,
) -> MaterialPlan | None:
    """
    Cut ripped parts, parts cut to length and runs from the same boards.

    Ripped parts of one width lie side by side in blanks, longest with longest; a blank is cut to length like
    any other part, and then ripped.

    Parameters
    ----------
    ripped
        Parts narrower than the boards.
    parts, runs
        What keeps the boards' width.

    Returns
    -------
    MaterialPlan or None
        None where the stocks are no boards of one width. The outcome's family names the blanks: a proof
        covers plans that cut them so.

    Raises
    ------
    NoPlan
        If a piece is longer than every board, or there are too few.
    """
    widths = {stock.width for stock in stocks}
    if len(widths) != 1 or any(stock.kind != "board" for stock in stocks):
        return None
    (width,) = widths
    if any(part.slant or part.width > width for part in ripped):
        return None
    blanks = _named(_blanks(ripped, width, saw.board), {part.label for part in parts})
    wholes = [
        Part(label, material, blank.length, count=number, needed=blank.needed)
        for label, (blank, number) in blanks.items()
    ]
    plan = plan_lengths(material, stocks, [*parts, *wholes], runs, saw, clock)
    family = f"{plan.outcome.family}, ripped parts side by side in blanks, longest with longest"
    known = {label: blank for label, (blank, _) in blanks.items()}
    return replace(
        plan,
        cuts=tuple(_ripped(cut, known) for cut in plan.cuts),
        outcome=replace(plan.outcome, family=family),
    )


def bound_of_any_cuts(
    material: str,
    stocks: Sequence[Stock],
    ripped: Sequence[Part],
    parts: Sequence[Part],
    runs: Sequence[Run],
    saw: Saw,
    clock: Clock,
) -> tuple[int, tuple[str, ...]]:
    """
    Bound what ripped parts, parts cut to length and runs cost together, and name who vouches for it.

    A ripped part takes so much of a board's length as its area is of the board's width; 0 where the stocks
    are no boards of one width. Parameters as in `plan_with_blanks`.

    Notes
    -----
    With a kerf added to both sides of everything, what is sawn apart tiles its board, so no board holds more
    of such lengths than its own: true for saw cuts of any kind.
    """
    widths = {stock.width for stock in stocks}
    if len(widths) != 1 or any(stock.kind != "board" for stock in stocks):
        return 0, ()
    (width,) = widths
    kerf = saw.board
    narrowed = []
    for part in ripped:
        take = (part.length - part.slant + kerf) * (part.width + kerf) // (width + kerf)
        # What would be shorter than a kerf may be left out: less is asked for then.
        if take > 2 * kerf:
            narrowed.append(replace(part, length=take - kerf, width=0, slant=0))
    with suppress(NoPlan):
        outcome = plan_lengths(material, stocks, [*parts, *narrowed], runs, saw, clock).outcome
        return outcome.bound, outcome.witnesses
    return 0, ()


def _blanks(ripped: Sequence[Part], width: int, kerf: int) -> Counter[_Blank]:
    """Lay parts of one width side by side, as many as a board is wide, longest first."""
    found: Counter[_Blank] = Counter()
    for own in sorted({part.width for part in ripped}, reverse=True):
        alike = sorted((p for p in ripped if p.width == own), key=lambda p: (-p.length, p.needed, p.label))
        single = [part for part in alike for _ in range(part.count)]
        beside = (width + kerf) // (own + kerf)
        for place in range(0, len(single), beside):
            group = single[place : place + beside]
            lanes = tuple(_Lane(part.label, part.length) for part in group)
            found[_Blank(own, lanes, min(part.needed for part in group))] += 1
    return found


def _named(blanks: Mapping[_Blank, int], taken: set[str]) -> dict[str, tuple[_Blank, int]]:
    """Give every blank a label that nothing else has."""
    names = (name for number in count(1) if (name := f"blank {number}") not in taken)
    return {name: (blank, number) for name, (blank, number) in zip(names, blanks.items(), strict=False)}


def _ripped(cut: Cut, blanks: Mapping[str, _Blank]) -> Cut:
    """Rip a cut's blanks, once they are cut to length, and trim what is shorter than its blank."""
    pieces: list[CutPiece] = []
    steps = list(cut.steps)
    tight = cut.tight
    for piece in cut.pieces:
        blank = blanks.get(piece.label)
        if blank is None:
            pieces.append(piece)
            continue
        pieces += _lanes(piece, blank, cut.kerf)
        steps += _rips(piece, blank, cut.kerf)
        spare = cut.width - len(blank.lanes) * (blank.width + cut.kerf) + cut.kerf
        tight = tight or (spare < INCH // 4 and (len(blank.lanes) > 1 or spare > 0))
    return replace(cut, pieces=tuple(pieces), steps=tuple(steps), tight=tight)


def _lanes(piece: CutPiece, blank: _Blank, kerf: int) -> Iterator[CutPiece]:
    for place, lane in enumerate(blank.lanes):
        yield CutPiece(lane.label, piece.x, place * (blank.width + kerf), lane.length, blank.width)


def _rips(piece: CutPiece, blank: _Blank, kerf: int) -> Iterator[SawCut]:
    """Rip lane after lane off the near edge; a lane whose part is shorter is then cut to its length."""
    at = 0
    for _ in blank.lanes:
        rest = piece.width - at
        if rest > blank.width:
            yield SawCut("rip", piece.x, at, piece.length, rest, blank.width)
        at += blank.width + kerf
    for place, lane in enumerate(blank.lanes):
        if lane.length < piece.length:
            near = place * (blank.width + kerf)
            yield SawCut("crosscut", piece.x, near, piece.length, blank.width, lane.length)
