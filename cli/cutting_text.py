"""Saw cuts in sentences that a helper at the saw can follow, tape in hand."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from cli.batches import Batch
from optimizer.lengths import TapeUnit, size_text, tape_step
from optimizer.plan import Cut, Leftover, SawCut, ShapeCut
from optimizer.words import Kind

__all__ = ["Region", "SetUp", "freed", "set_ups"]

Region = tuple[int, int, int, int]
"""x, y, length, width: a rectangle of the stock."""

_NUMBERS = {2: "twice", 3: "three times", 4: "four times", 5: "five times", 6: "six times"}


@dataclass(frozen=True, slots=True)
class SetUp:
    """One step of the helper's list: a sentence, and the cuts that it stands for."""

    words: str
    cuts: tuple[SawCut | ShapeCut, ...]


@dataclass(frozen=True, slots=True)
class _Halves:
    """What a cut leaves: the part on the near or left side of the line, and the rest (None if it is dust)."""

    off: Region
    rest: Region | None


def _halves(step: SawCut, kerf: int) -> _Halves:
    taken = step.at + kerf
    if step.kind == "rip":
        off = (step.x, step.y, step.length, step.at)
        rest = (step.x, step.y + taken, step.length, step.width - taken)
    else:
        off = (step.x, step.y, step.at, step.width)
        rest = (step.x + taken, step.y, step.length - taken, step.width)
    left = rest[3] if step.kind == "rip" else rest[2]
    return _Halves(off, rest if left > 0 else None)


def freed(cut: Cut) -> tuple[Region, ...]:
    """Give the rectangles that a stock has become once all its saw cuts are made."""
    regions: list[Region] = [(0, 0, cut.length, cut.width)]
    for step in cut.steps:
        regions.remove((step.x, step.y, step.length, step.width))
        halves = _halves(step, cut.kerf)
        regions += [half for half in (halves.off, halves.rest) if half is not None]
    return tuple(sorted(regions, key=lambda region: (region[1], region[0])))


def _listed(pieces: Sequence[str], most: int | None = None) -> str:
    """Name pieces, equal ones once; more than `most` of them by the first and the last."""
    counts = Counter(pieces)
    names = [name if count == 1 else f"{count} x {name}" for name, count in counts.items()]
    if most is not None and len(names) > most:
        return f"{names[0]} to {names[-1]}"
    return " and ".join(filter(None, (", ".join(names[:-1]), names[-1]))) if names else ""


class _Writer:
    """Follows one batch's cuts over the stock and knows what each rectangle is called."""

    def __init__(self, batch: Batch, kind: Kind, unit: TapeUnit, kept: Sequence[Leftover]) -> None:
        cut = batch.first
        self.kerf, self.unit, self.kind = cut.kerf, unit, kind
        ordered = sorted(cut.pieces, key=lambda piece: (piece.y, piece.x))
        self.pieces = tuple(zip(ordered, batch.names, strict=True))
        self.kept = {(rest.x, rest.y, rest.length, rest.width) for rest in kept}
        self.whole: Region = (0, 0, cut.length, cut.width)
        self.words: dict[Region, str] = {}

    def names(self, region: Region) -> list[str]:
        return [name for piece, name in self.pieces if piece.lies_in(region)]

    def finished(self, region: Region) -> str:
        """Name the piece that fills this rectangle, or is still to be shaped from it; empty if none is."""
        for piece, name in self.pieces:
            if (piece.x, piece.y, piece.length, piece.width) == region:
                return f"the block for {name}" if piece.corners or piece.openings else name
        return ""

    def target(self, region: Region, previous: _Halves | None) -> str:
        """Say which rectangle to put on the saw horses."""
        if region == self.whole:
            return ""
        if previous is not None and region == previous.rest:
            return " of the rest"
        x, y, length, width = region
        far_end = (x + length, y + width) == (self.whole[2], self.whole[3])
        if far_end and (length == self.whole[2] or width == self.whole[3]):
            return f" of the rest of the {self.kind}"
        word = self.words.get(region, "piece")
        if previous is not None and region == previous.off:
            return f" of that {word}"
        return f" of the {word} for {_listed(self.names(region), 3)}"

    def result(self, region: Region | None, *, rest: bool = False) -> str:
        """Say what a rectangle is, if nothing more is cut from it; empty otherwise."""
        if region is None:
            return ""
        name = self.finished(region)
        if name:
            return f"the rest is {name}" if rest else name
        if self.names(region):
            return ""
        if region not in self.kept:
            return "the rest is waste" if rest else "waste"
        by_length = self.kind in ("stick", "roll") or (self.kind == "board" and region[3] == self.whole[3])
        size = size_text(self.unit, *(region[2:3] if by_length else region[2:]))
        return f"keep the rest, {size}" if rest else f"keep it, {size}"

    def sentence(self, run: Sequence[SawCut], previous: _Halves | None) -> str:
        """Write one cut, or several that take the same off what the one before left."""
        step, halves = run[0], [_halves(cut, self.kerf) for cut in run]
        word = "strip" if step.kind == "rip" else "block"
        self.words.update({half: word for half in (halves[-1].off, halves[-1].rest) if half})
        verb = "Rip" if step.kind == "rip" else "Crosscut"
        if self.kind in ("stick", "roll"):
            # With snips or a knife: metal, shingles, felt.
            verb = "Cut"
        edge = "near long edge" if step.kind == "rip" else "left end"
        target = self.target((step.x, step.y, step.length, step.width), previous)
        times = f", {_NUMBERS.get(len(run), f'{len(run)} times')}" if len(run) > 1 else ""
        given = [self.result(half.off) for half in halves]
        if len(run) > 1:
            gives = _listed(given)
        else:
            gives = given[0] or f"a {word} for {_listed(self.names(halves[0].off), 3)}"
        left = self.result(halves[-1].rest, rest=True)
        tail = ": " + "; ".join(filter(None, (gives, left)))
        size = size_text(self.unit, step.at)
        # What is too thin for the tape: an edge that is only trimmed straight.
        finest = tape_step(self.unit)
        size = size if step.at >= finest else f"less than {size_text(self.unit, finest)}"
        return f"{verb} {size} off the {edge}{target}{times}{tail}."


def _runs(steps: Sequence[SawCut], writer: _Writer) -> list[list[SawCut]]:
    """Join cuts that take the same piece off the rest of the one before, again and again."""
    runs: list[list[SawCut]] = []
    for step in steps:
        if runs:
            last = runs[-1][-1]
            half = _halves(last, writer.kerf)
            again = (step.kind, step.at) == (last.kind, last.at)
            follows = half.rest == (step.x, step.y, step.length, step.width)
            if (
                again
                and follows
                and writer.finished(half.off)
                and writer.finished(_halves(step, writer.kerf).off)
            ):
                runs[-1].append(step)
                continue
        runs.append([step])
    return runs


def set_ups(batch: Batch, kind: Kind, unit: TapeUnit, kept: Sequence[Leftover] = ()) -> tuple[SetUp, ...]:
    """
    Write a batch's saw cuts; one sentence for a cut and for all that repeat it.

    Every size is measured from the left end or the near long edge of what lies on the saw horses, to the
    line; the kerf falls on the far side of it.

    Parameters
    ----------
    batch
        The cuts that are alike.
    kind
        Of the stock: only wood is sawn.
    unit
        What the tape reads.
    kept
        What is left over of the batch's first cut and worth keeping.

    Returns
    -------
    tuple of SetUp
        In saw order; empty where the stock is used whole.
    """
    writer = _Writer(batch, kind, unit, kept)
    told: list[SetUp] = []
    previous = None
    for run in _runs(batch.first.steps, writer):
        told.append(SetUp(writer.sentence(run, previous), tuple(run)))
        previous = _halves(run[-1], writer.kerf)
    return tuple(told)
