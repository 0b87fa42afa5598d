"""Cut: every different sheet, board and stick drawn to scale, its cuts in words, the labels to write on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from cli.batches import Batch, gather, labels, measured_last
from cli.cutting_text import steps_in_words
from cli.draw import bar, sheet
from cli.paper import Paper
from cli.report import Report
from optimizer.plan import Cut, Leftover
from optimizer.words import Kind

__all__ = ["print_cut"]

_DRAWING = Fraction(11, 20)
"""Share of the page that a sheet's drawing takes; its steps stand beside it."""

_WIDEST = 66


@dataclass(frozen=True, slots=True)
class _Bench:
    """What every cut is printed with."""

    paper: Paper
    kinds: Mapping[str, Kind]
    measured: frozenset[str]
    planes: Mapping[str, str]
    kept: Mapping[str, tuple[Leftover, ...]]
    slants: Mapping[str, int]
    per_column: Fraction
    per_bar: Fraction
    columns: int

    def star(self, label: str) -> str:
        """Give what to write after a piece that is measured before it is cut."""
        return "(m)" if label in self.measured else ""


def _drawn_flat(cut: Cut) -> bool:
    """Tell a cut that needs two directions from one that a bar shows."""
    return any(step.kind == "rip" for step in cut.steps) or any(
        piece.width and piece.width != cut.width for piece in cut.pieces
    )


def _bench(report: Report, paper: Paper) -> _Bench:
    plan, problem = report.plan, report.problem
    kinds = {stock.key: stock.kind for stock in problem.stocks}
    columns = min(_WIDEST, int(paper.room * _DRAWING))
    flat = [cut.length for cut in plan.cut if _flat(cut, kinds)]
    long = [cut.length for cut in plan.cut if not _flat(cut, kinds)]
    kept: dict[str, tuple[Leftover, ...]] = {}
    for rest in plan.keep:
        kept[rest.cut] = (*kept.get(rest.cut, ()), rest)
    return _Bench(
        paper,
        kinds,
        measured_last(plan.lay),
        {piece.label: course.plane for course in plan.lay for piece in course.pieces if course.course},
        kept,
        {part.label: part.slant for part in problem.parts if part.slant},
        Fraction(max(flat, default=1), columns - 1),
        Fraction(max(long, default=1), paper.room - 1),
        columns,
    )


def _flat(cut: Cut, kinds: Mapping[str, Kind]) -> bool:
    return kinds.get(cut.stock) == "sheet" or _drawn_flat(cut)


def _legend(report: Report, bench: _Bench) -> None:
    """Explain, once, how to read the drawings; only what this plan needs."""
    paper = bench.paper
    sizes = "inches, rounded down to 1/16" if paper.unit == "in" else "whole millimetres, rounded down"
    paper.say(
        f"Sizes are {sizes}. Lay the stock as drawn: measure from its left end, or from the long edge "
        "nearest you, and saw on the far side of the line. Numbers on the lines are the steps; hatching falls "
        "to the floor."
    )
    sides = [(surface.mark, surface.label) for surface in report.problem.surfaces if surface.mark]
    if sides:
        mark = sides[0][0]
        told = ", ".join(f"{mark} the {label}" for mark, label in sides)
        paper.say(
            f"Labels: {told}. {mark}1.2 is side {mark}, course 1 from the eave, second piece from the left."
        )
    if bench.measured:
        paper.point(
            "(m)",
            "Measure its place first, then cut: the last piece of each course and the top course.",
            wide=5,
        )
    if any(cut.tight for cut in report.plan.cut):
        few = "1/4 in" if paper.unit == "in" else "6 mm"
        paper.point(
            "tight", f"Less than {few} to spare: saw exactly to the line, with a thin sharp blade.", wide=5
        )


def _head(batch: Batch) -> str:
    alike = f", {batch.count} alike" if batch.count > 1 else ""
    notes = [
        note
        for note, true in (("tight", batch.first.tight), ("from the rack", batch.first.from_rack))
        if true
    ]
    tail = f"   {', '.join(notes)}" if notes else ""
    return f"{batch.first.stock}{alike}{tail}"


def _notes(batch: Batch, bench: _Bench) -> list[str]:
    """Say what to set aside for another side, and which sizes run from long point to long point."""
    notes = []
    aside: dict[str, list[str]] = {}
    for cut in batch.cuts:
        own = labels(cut)
        home = next((bench.planes[label] for label in own if label in bench.planes), None)
        for label in own:
            plane = bench.planes.get(label)
            if home is not None and plane != home:
                aside.setdefault(plane or "", []).append(label)
    for plane, names in aside.items():
        told = ", ".join(dict.fromkeys(names))
        notes.append(f"Set aside for the {plane}: {told}." if plane else f"Set aside: {told}.")
    slanting = {label: bench.slants[label] for label in labels(batch.first) if label in bench.slants}
    for label, slant in slanting.items():
        notes.append(
            f"{label}: long point to long point; both ends slant, "
            f"the short point {bench.paper.size(slant)} back."
        )
    return notes


def _copies(batch: Batch, bench: _Bench) -> list[str]:
    """List the labels of every copy."""
    told = []
    for cut in batch.cuts:
        own = [label + bench.star(label) for label in labels(cut)]
        if len(own) == 1:
            told.append(f"{cut.id} {own[0]}")
        else:
            pairs = zip(batch.names, own, strict=True)
            told.append(f"{cut.id} {' '.join(f'{name}={label}' for name, label in pairs)}")
    return told


def _print_flat(batch: Batch, bench: _Bench, steps: tuple[str, ...], notes: list[str]) -> None:
    paper, cut = bench.paper, batch.first
    whole = not cut.steps
    per_column = bench.per_column * 2 if whole else bench.per_column
    ends = {} if batch.lettered else {name: bench.star(name) for name in batch.names}
    rows = sheet(batch, bench.columns, per_column, paper.unit, paper.marks, bench.kept.get(cut.id, ()), ends)
    points = [(str(number), words) for number, words in enumerate(steps, 1)]
    if whole:
        points.append(("", "Whole: no cut. Drawn at half the scale."))
    points += [(">", note) for note in notes]
    paper.beside(rows, points)


def _print_bar(batch: Batch, bench: _Bench, steps: tuple[str, ...], notes: list[str]) -> None:
    paper, cut = bench.paper, batch.first
    paper.lines([bar(batch, paper.room, bench.per_bar, paper.unit, paper.marks, bench.kept.get(cut.id, ()))])
    told = " ".join(f"{number}. {words}" for number, words in enumerate(steps, 1)) or "Whole: no cut."
    paper.say(told)
    for note in notes:
        paper.point(">", note)


def print_cut(report: Report, paper: Paper) -> None:
    """
    Print the cut diagrams in the order of sawing.

    Parameters
    ----------
    report
        What is printed.
    paper
        Where it is printed.
    """
    paper.title("Cut")
    if not report.plan.cut:
        paper.say("Nothing has to be cut.")
        return
    bench = _bench(report, paper)
    _legend(report, bench)
    for batch in gather(report.plan.cut):
        kind = bench.kinds.get(batch.first.stock, "board")
        steps = steps_in_words(batch, kind, paper.unit, bench.kept.get(batch.first.id, ()))
        paper.heading(batch.numbers, _head(batch))
        notes = _notes(batch, bench)
        if _flat(batch.first, bench.kinds):
            _print_flat(batch, bench, steps, notes)
        else:
            _print_bar(batch, bench, steps, notes)
        if batch.lettered:
            paper.columns(_copies(batch, bench))
