"""Model 1, the lines: where the seams of a surface may fall, and which pieces fit between them."""

from __future__ import annotations

from dataclasses import dataclass

from optimizer.lengths import INCH
from optimizer.words import Surface

__all__ = ["Arc", "Lines", "lines_of", "too_near"]


SLIVER = INCH
"""No piece is shorter than this, whatever the rule says."""


@dataclass(frozen=True, slots=True)
class Arc:
    """A piece from line `tail` to line `head`, `length` long, that begins at `start`."""

    tail: int
    head: int
    start: int
    length: int


@dataclass(frozen=True, slots=True)
class Lines:
    """
    The lines of a surface and the pieces between them; surfaces with equal lines share their lay-outs.

    Line 0 is the left end, line `len(at) - 1` the right end, those between may take a seam.
    """

    at: tuple[int, ...]
    arcs: tuple[Arc, ...]
    stagger: int

    @property
    def last(self) -> int:
        """Give the number of the right end."""
        return len(self.at) - 1

    def inner(self) -> range:
        """Give the lines that may take a seam."""
        return range(1, self.last)


def lines_of(surface: Surface, longest: int, shrunk: bool) -> Lines:
    """
    List the legal pieces of one course of a surface.

    Parameters
    ----------
    longest
        Length of the longest stock.
    shrunk
        False lets an end piece stop half a gap short of the end, as if it met a neighbour there; True takes
        all of the end slack, down to the shortest legal piece.

    Notes
    -----
    A piece between two seams is always the distance less one gap, so that pieces across the same bays are
    equal. Shrinking end pieces keeps every lay-out legal and every cut possible, so a bound that holds for
    shrunk pieces holds for all.
    """
    rule = surface.rule
    half = rule.gap // 2
    at = (0, *(s.at for s in surface.supports if s.seam and 0 < s.at < surface.length), surface.length)
    last = len(at) - 1
    bearing = [s.at for s in surface.supports if s.bears]
    shortest = max(rule.shortest - rule.gap, SLIVER)
    held = rule.end_slack if shrunk else min(rule.end_slack, half)
    arcs = []
    for tail in range(last):
        for head in range(tail + 1, last + 1):
            start = 0 if tail == 0 else at[tail] + rule.gap - half
            end = at[last] if head == last else at[head] - half
            spare = end - start - shortest
            if spare < 0 or sum(at[tail] <= b <= at[head] for b in bearing) < rule.min_supports:
                continue
            # An end piece that is legal before it stops short of the end stays legal.
            if tail == 0:
                start, spare = start + min(held, spare), spare - min(held, spare)
            if head == last:
                end -= min(held, spare)
            if end - start <= longest:
                arcs.append(Arc(tail, head, start, end - start))
    return Lines(at, tuple(arcs), rule.stagger)


def too_near(lines: Lines, one: int, other: int) -> bool:
    """Tell whether seams on two lines of neighbouring courses break the stagger; ends are no seams."""
    inner = lines.inner()
    return one in inner and other in inner and abs(lines.at[one] - lines.at[other]) < lines.stagger
