"""Cut: every different sheet, board and stick drawn to scale, its cuts in words, the labels to write on."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from cli.batches import Batch, gather, joined, labels, measured_last
from cli.cutting_text import SetUp, set_ups
from cli.draw import bar, sheet
from cli.paper import Paper
from cli.report import Report
from cli.scraps import offcuts
from cli.shaping_text import shaping_set_ups
from optimizer.plan import Cut, Leftover
from optimizer.words import Kind

__all__ = ["print_cut"]

_DRAWING = Fraction(11, 20)
"""Share of the page that a sheet's drawing takes; its steps stand beside it."""

_WIDEST = 48

_MOST_LABELS = 60
"""Labels of one batch that are listed one by one; more than that are told as `A1.1 to A1.9`."""


@dataclass(frozen=True, slots=True)
class _Bench:
    """What every cut is printed with."""

    paper: Paper
    kinds: Mapping[str, Kind]
    measured: frozenset[str]
    planes: Mapping[str, str]
    sides: Sequence[str]
    kept: Mapping[str, tuple[Leftover, ...]]
    slants: Mapping[str, int]
    layers: Mapping[str, str]
    sheet_scale: Fraction
    other_scales: Mapping[str, Fraction]
    columns: int

    def star(self, label: str) -> str:
        """Give what to write after a piece that is measured before it is cut."""
        return "(m)" if label in self.measured else ""


def _ripped(cut: Cut) -> bool:
    """Tell a cut that needs two directions from one that a bar shows."""
    return any(step.kind == "rip" for step in cut.steps) or any(
        piece.width and piece.width != cut.width for piece in cut.pieces
    )


def _bench(report: Report, paper: Paper) -> _Bench:
    plan, problem = report.plan, report.problem
    kinds = {stock.key: stock.kind for stock in problem.stocks}
    columns = min(_WIDEST, int(paper.room * _DRAWING))
    sheets = [cut.length for cut in plan.cut if kinds.get(cut.stock) == "sheet"]
    kept: dict[str, tuple[Leftover, ...]] = {}
    for rest in offcuts(report):
        kept[rest.cut] = (*kept.get(rest.cut, ()), rest)
    return _Bench(
        paper,
        kinds,
        measured_last(plan.lay, {surface.label for surface in problem.surfaces if surface.upright}),
        _planes(report),
        [surface.label for surface in problem.surfaces],
        kept,
        {part.label: part.slant for part in problem.parts if part.slant},
        _layered(report),
        Fraction(max(sheets, default=1), columns - 1),
        _scales(report, paper),
        columns,
    )


def _layered(report: Report) -> dict[str, str]:
    """Give the layer of every piece that lies in one of many courses side by side."""
    layers = {run.label: run.layer for run in report.problem.runs if run.layer}
    return {p.label: layers[c.run] for c in report.plan.lay if c.run in layers for p in c.pieces}


def _planes(report: Report) -> dict[str, str]:
    """Give the plane that each piece of the roof's deck goes to: sides are decked one after the other."""
    others = {view.surface for view in report.takeoff.views}
    return {
        piece.label: course.plane
        for course in report.plan.lay
        for piece in course.pieces
        if course.course and course.plane not in others
    }


def _scales(report: Report, paper: Paper) -> dict[str, Fraction]:
    """Give every stock that isn't a sheet its scale: the longest one of its material fills the page."""
    material = {stock.key: stock.material for stock in report.problem.stocks}
    longest: dict[str, int] = {}
    for cut in report.plan.cut:
        name = material.get(cut.stock, cut.stock)
        longest[name] = max(cut.length, longest.get(name, 1))
    return {
        cut.stock: Fraction(longest[material.get(cut.stock, cut.stock)], paper.room - 1)
        for cut in report.plan.cut
    }


def _legend(report: Report, bench: _Bench) -> None:
    """Explain, once, how to read the drawings; only what this plan needs."""
    paper = bench.paper
    sizes = "inches, rounded down to 1/16" if paper.unit == "in" else "whole millimetres, rounded down"
    paper.say(
        f"Sizes are {sizes}. Lay the stock as drawn: measure from its left end, or from the long edge "
        "nearest you, and saw on the far side of the line. Numbers on the lines are the steps; hatching "
        "falls to the floor."
    )
    sides = [(surface.mark, surface.label) for surface in report.problem.surfaces if surface.mark]
    if sides:
        mark = sides[0][0]
        told = ", ".join(f"{mark} the {label}" for mark, label in sides)
        paper.say(
            f"Labels: {told}. {mark}1.2 is side {mark}, course 1 from the eave, second piece from the left; "
            "Lay shows where each one goes."
        )
    if any(cut.shaping for cut in report.plan.cut):
        paper.say(
            "Pieces that slant: free their block first; then mark it, on the edges from its left end, on the "
            "ends from its near edge, and saw from mark to mark, the kerf in the waste. There, dots fall to "
            "the floor."
        )
    upright = any(surface.upright for surface in report.problem.surfaces)
    if upright:
        paper.say(
            "Wall panels lie face down as drawn, the way a circular saw leaves the face clean; of two that "
            "nest head to tail, one has its foot at the right."
        )
    if bench.measured:
        paper.point(
            "(m)",
            "Measure its place first, then cut: the last piece of each course and the top course"
            + (", the last panel of a wall." if upright else "."),
            wide=5,
        )
    if any(_is_tight(cut) for cut in report.plan.cut):
        few = "1/4 in" if paper.unit == "in" else "6 mm"
        paper.point(
            "tight", f"Less than {few} to spare: saw exactly to the line, with a thin sharp blade.", wide=5
        )


def _is_tight(cut: Cut) -> bool:
    """Tell whether a thick blade could spoil a cut; snips and knives turn nothing to dust."""
    return cut.tight and cut.kerf > 0


def _head(batch: Batch) -> str:
    alike = f", {batch.count} alike" if batch.count > 1 else ""
    notes = [
        note
        for note, true in (("tight", _is_tight(batch.first)), ("from the rack", batch.first.from_rack))
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
        here = {bench.planes[label] for label in own if label in bench.planes}
        home = next((plane for plane in bench.sides if plane in here), None)
        for label in own:
            plane = bench.planes.get(label)
            if home is not None and plane != home:
                aside.setdefault(plane or "", []).append(label)
    for plane, names in aside.items():
        told = ", ".join(dict.fromkeys(names))
        notes.append(f"Set aside for the {plane}: {told}." if plane else f"Set aside: {told}.")
    slanting: dict[int, list[str]] = {}
    for label in dict.fromkeys(label for cut in batch.cuts for label in labels(cut)):
        if label in bench.slants:
            slanting.setdefault(bench.slants[label], []).append(label)
    for slant, names in slanting.items():
        notes.append(
            f"{', '.join(names)}: long point to long point; both ends slant, "
            f"the short point {bench.paper.size(slant)} back."
        )
    return notes


def _copies(batch: Batch, bench: _Bench) -> list[str]:
    """List the labels of every copy, in saw order."""
    if len(batch.names) == 1:
        return _single(batch, bench)
    told = []
    for cut in batch.cuts:
        own = [label + bench.star(label) for label in labels(cut)]
        pairs = zip(batch.names, own, strict=True)
        alike = f" ({cut.repeat} alike)" if cut.repeat > 1 else ""
        told.append(f"{cut.id}{alike} {' '.join(f'{name}={label}' for name, label in pairs)}")
    return told


def _single(batch: Batch, bench: _Bench) -> list[str]:
    """List the labels where every copy is one piece; very many are joined, those to measure apart."""
    own = [(labels(cut)[0], cut.repeat) for cut in batch.cuts]
    if not batch.first.steps and all(label in bench.layers for label, _ in own):
        # A whole strip is as good as any other: what counts is how many go where.
        whole = Counter(bench.layers[label] for label, _ in own)
        return [f"{number} for the {layer}" for layer, number in whole.items()]
    if sum(repeat for _, repeat in own) <= _MOST_LABELS:
        return [f"{repeat} x {label}" if repeat > 1 else label + bench.star(label) for label, repeat in own]
    later = [label for label, _ in own if label in bench.measured]
    at_once = [label for label, _ in own if label not in bench.measured]
    return [*joined(at_once), *(f"{label}(m)" for label in joined(later))]


def _unnamed(batch: Batch, told: list[str]) -> list[tuple[str, str]]:
    """Name the pieces that the drawing had no room for and no step speaks of."""
    missing = [name for name in dict.fromkeys(batch.names) if not any(name in words for words in told)]
    return [("", f"Gives {', '.join(missing)}.")] if missing else []


def _drawn(batch: Batch, bench: _Bench, steps: Sequence[SetUp]) -> tuple[str, ...]:
    """Draw a batch: a sheet at the sheets' scale, all else at the boards'; a bar where nothing is ripped."""
    paper, cut = bench.paper, batch.first
    kept = bench.kept.get(cut.id, ())
    is_sheet = bench.kinds.get(cut.stock) == "sheet"
    if not is_sheet and not _ripped(cut):
        return (bar(batch, paper.room, bench.other_scales[cut.stock], paper.unit, paper.marks, kept),)
    scale, columns = (
        (bench.sheet_scale, bench.columns) if is_sheet else (bench.other_scales[cut.stock], paper.room)
    )
    if not cut.steps and not cut.shaping:
        scale *= 2
    ends = {} if batch.lettered else {name: bench.star(name) for name in batch.names}
    numbered = [(number, saw) for number, step in enumerate(steps, 1) for saw in step.cuts]
    return sheet(batch, numbered, columns, scale, paper.unit, paper.marks, kept, ends)


def _print_batch(batch: Batch, bench: _Bench) -> None:
    paper, cut = bench.paper, batch.first
    kind = bench.kinds.get(cut.stock, "board")
    steps = (
        *set_ups(batch, kind, paper.unit, bench.kept.get(cut.id, ())),
        *shaping_set_ups(batch, paper.unit),
    )
    rows = _drawn(batch, bench, steps)
    points = [(str(number), step.words) for number, step in enumerate(steps, 1)]
    if not steps:
        points.append(
            ("", "Whole: no cut. Drawn at half the scale." if kind == "sheet" else "Whole: no cut.")
        )
    points += [(">", note) for note in _notes(batch, bench)]
    points += _unnamed(batch, [*rows, *(words for _, words in points)])
    paper.heading(batch.numbers, _head(batch))
    if kind == "sheet":
        paper.beside(rows, points)
    else:
        paper.lines(rows)
        for mark, words in points:
            if mark:
                paper.point(mark, words)
            else:
                paper.say(words)
    if batch.lettered:
        paper.columns(_copies(batch, bench))


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
    paper.gap()
    if not report.plan.cut:
        paper.say("Nothing has to be cut.")
        return
    bench = _bench(report, paper)
    _legend(report, bench)
    for batch in gather(report.plan.cut):
        _print_batch(batch, bench)
