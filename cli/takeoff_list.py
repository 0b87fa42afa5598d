"""A takeoff printed: surfaces, runs, parts, counts, checks and assumptions, before anything is optimised."""

from __future__ import annotations

from rich.console import Console

from cli.paper import Column, paper_for
from optimizer.words import Part
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
        columns = (_LABEL, _MATERIAL, Column("length x slope", right=True), Column("rafters", right=True))
        rows = [
            (s.label, s.material, paper.size(s.length, s.height), str(len(s.supports)))
            for s in takeoff.surfaces
        ]
        paper.table(columns, rows)
    if takeoff.runs:
        paper.title("Runs")
        columns = (_LABEL, _MATERIAL, Column("length", right=True), Column("lap", right=True))
        runs = [
            (r.label, r.material, paper.size(r.length), paper.size(r.lap) if r.lap else "")
            for r in takeoff.runs
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


def _sides(part: Part) -> tuple[int, ...]:
    return (part.length, part.width) if part.width else (part.length,)
