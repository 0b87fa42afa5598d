"""What a building needs: the takeoff, with the checks made and the assumptions it stands on."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from optimizer.lengths import TapeUnit
from optimizer.words import Count, Part, Problem, Run, Saw, Stock, Surface

__all__ = ["Assumption", "ByArea", "Check", "Member", "Needed", "Step", "Takeoff", "View"]

Level = Literal["pass", "note", "warn", "fail"]


@dataclass(frozen=True, slots=True)
class Check:
    """One rule of the trade held against this building; `source` names who says so."""

    level: Level
    rule: str
    source: str
    message: str


@dataclass(frozen=True, slots=True)
class Assumption:
    """
    A key the job left out, the value taken for it, and a likely other value.

    `key` is dotted, as `roof.eave_overhang`; `value` and `alternative` are what a user would write in the job
    file for that key; `message` is the sentence shown. Without an alternative there is nothing to try.
    """

    key: str
    value: object
    message: str
    alternative: object | None = None


@dataclass(frozen=True, slots=True)
class Member:
    """
    A piece of the frame as the helper who cuts it must know it: equal ones together.

    Parameters
    ----------
    label
        That of its part.
    length
        From long point to long point.
    ends
        How its ends are cut, in a phrase.
    """

    label: str
    material: str
    count: int
    length: int
    ends: str


@dataclass(frozen=True, slots=True)
class Step:
    """
    A sentence of the order of work on site.

    `when` orders it: below 0 before the deck of the roof, above 0 after all that belongs to it.
    """

    when: int
    words: str


@dataclass(frozen=True, slots=True)
class View:
    """
    How a surface is seen in a drawing.

    Parameters
    ----------
    surface
        Its label.
    seen
        From where, as "seen from above".
    edge, top
        What the first course begins at, and what the last one ends at.
    supports
        What stands under it, as "the joists".
    """

    surface: str
    seen: str
    edge: str
    top: str
    supports: str


@dataclass(frozen=True, slots=True)
class ByArea:
    """
    What a count by area or length would buy for a layer, a tenth added: what a plan is held against.

    `pieces` names each size of the material with how many of it that would take.
    """

    layer: str
    material: str
    pieces: tuple[tuple[str, int], ...]


@dataclass(frozen=True, slots=True)
class Needed:
    """What one trade asks for, with its checks and assumptions; `collect` adds the trades up."""

    surfaces: tuple[Surface, ...] = ()
    runs: tuple[Run, ...] = ()
    parts: tuple[Part, ...] = ()
    counts: tuple[Count, ...] = ()
    checks: tuple[Check, ...] = ()
    assumptions: tuple[Assumption, ...] = ()
    spare: tuple[tuple[str, int], ...] = ()
    members: tuple[Member, ...] = ()
    steps: tuple[Step, ...] = ()
    views: tuple[View, ...] = ()
    by_area: tuple[ByArea, ...] = ()
    measure: tuple[tuple[str, int | None], ...] = ()


@dataclass(frozen=True, slots=True)
class Takeoff:
    """
    Surfaces, runs, parts and counts of one building, before anything is optimised.

    Parameters
    ----------
    title
        The job's name.
    unit
        What the tape reads.
    dimensions
        Name and value, base units, of every length worth showing (slope, ridge, run, rise).
    steps
        The order of the work on site, a sentence each.
    measure
        What to measure before the first cut: name and planned value in base units (None: by eye).
    cautions
        Where work can hurt someone, a sentence and its source each.
    members
        The frame, piece by piece, with its angle cuts.
    views
        How surfaces that are no planes of the roof are seen.
    by_area
        What a count by area would buy for each layer of the cover.
    planes
        How the planes of the roof are seen.
    """

    title: str
    unit: TapeUnit
    surfaces: tuple[Surface, ...]
    runs: tuple[Run, ...]
    parts: tuple[Part, ...]
    counts: tuple[Count, ...]
    saw: Saw
    spare: tuple[tuple[str, int], ...] = ()
    dimensions: tuple[tuple[str, int], ...] = ()
    checks: tuple[Check, ...] = ()
    assumptions: tuple[Assumption, ...] = ()
    steps: tuple[str, ...] = ()
    measure: tuple[tuple[str, int | None], ...] = ()
    cautions: tuple[tuple[str, str], ...] = ()
    members: tuple[Member, ...] = ()
    views: tuple[View, ...] = ()
    by_area: tuple[ByArea, ...] = ()
    planes: tuple[View, ...] = ()

    def problem(self, stocks: tuple[Stock, ...]) -> Problem:
        """Ask for all of it from these stocks."""
        return Problem(stocks, self.surfaces, self.runs, self.parts, self.counts, self.saw, self.spare)
