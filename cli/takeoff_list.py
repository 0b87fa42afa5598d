"""A takeoff printed: surfaces, runs, parts, counts, checks and assumptions, before anything is optimised."""

from __future__ import annotations

from collections.abc import Sequence

from rich.console import Console

from cli.paper import Column, Paper, paper_for
from optimizer.words import Part, Run, Surface
from takeoff.needs import Takeoff

__all__ = ["print_takeoff"]

_LABEL = Column("label", breaks=True)
_MATERIAL = Column("material")
_COUNT = Column("count", right=True)


def print_takeoff(takeoff: Takeoff, console: Console) -> None:
    """
    Print what a building needs.

    Parameters
    ----------
    takeoff
        What is printed.
    console
        Where it goes.
    """
    paper = paper_for(console, takeoff.unit)
    paper.console.print(paper.text(takeoff.title, "bold"), highlight=False)
    paper.say(", ".join(f"{name} {paper.span(length)}" for name, length in takeoff.dimensions) + ".")
    if takeoff.surfaces:
        paper.title("Surfaces")
        plain = all(surface.plain for surface in takeoff.surfaces)
        sizes = ("length x slope", "rafters") if plain else ("length x height", "supports")
        headings = [_LABEL, _MATERIAL, *(Column(size, right=True) for size in sizes)]
        if not plain:
            headings.append(Column("shape"))
        rows = [_surface(surface, paper)[: len(headings)] for surface in takeoff.surfaces]
        paper.table(headings, rows)
    if takeoff.runs:
        paper.title("Runs")
        columns = (_LABEL, _MATERIAL, Column("length", right=True), Column("lap", right=True))
        runs = [
            (_together(group), r.material, paper.size(r.length), paper.size(r.lap) if r.lap else "")
            for group in _alike(takeoff.runs)
            for r in group[:1]
        ]
        paper.table(columns, runs)
    if takeoff.parts:
        paper.title("Parts")
        columns = (_LABEL, _MATERIAL, _COUNT, Column("size", right=True))
        paper.table(
            columns, [(p.label, p.material, str(p.count), paper.size(*_sides(p))) for p in takeoff.parts]
        )
    if takeoff.counts:
        paper.title("Counts")
        counts = [(c.label, c.material, str(c.quantity)) for c in takeoff.counts]
        paper.table((_LABEL, _MATERIAL, _COUNT), counts)
    if takeoff.checks:
        paper.title("Checks")
        for check in takeoff.checks:
            paper.point(check.level, f"{check.rule}: {check.message} ({check.source})", wide=4)
    if takeoff.assumptions:
        paper.title("Assumed")
        for assumption in takeoff.assumptions:
            paper.point("-", f"{assumption.message}  [{assumption.key}]")


def _surface(surface: Surface, paper: Paper) -> tuple[str, ...]:
    """Give a surface's row: as it stands, with what makes it no plain rectangle."""
    along, across = surface.length, surface.height
    size = paper.size(across, along) if surface.upright else paper.size(along, across)
    corners = f"{len(surface.outline)} corners" if surface.outline else ""
    holes = f"{len(surface.holes)} open" if surface.holes else ""
    told = ", ".join(filter(None, (corners, holes)))
    return surface.label, surface.material, size, str(len(surface.supports)), told


def _alike(runs: Sequence[Run]) -> list[list[Run]]:
    """Gather courses of one layer that follow each other and are as long; any other run stands alone."""
    groups: list[list[Run]] = []
    for run in runs:
        last = groups[-1][-1] if groups else None
        if last is not None and _follows(last, run):
            groups[-1].append(run)
        else:
            groups.append([run])
    return groups


def _follows(last: Run, run: Run) -> bool:
    """Tell whether a run is the course above another, and as long."""
    alike = (last.layer, last.material, last.length, last.lap) == (
        run.layer,
        run.material,
        run.length,
        run.lap,
    )
    return alike and _numbered(last) + 1 == _numbered(run) > 1


def _numbered(run: Run) -> int:
    """Give the number of a course within its layer; 0 for a run that is none."""
    number = run.label.rpartition(" course ")[2] if run.layer else ""
    return int(number) if number.isdigit() else 0


def _together(group: Sequence[Run]) -> str:
    first, last = group[0], group[-1]
    if len(group) == 1:
        return first.label
    return f"{first.layer}, courses {_numbered(first)} to {_numbered(last)}"


def _sides(part: Part) -> tuple[int, ...]:
    return (part.length, part.width) if part.width else (part.length,)
