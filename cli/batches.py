"""Cuts that are alike, gathered so that one drawing and one list of steps serves them all."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from string import ascii_lowercase

from optimizer.plan import Course, Cut

__all__ = ["Batch", "gather", "joined", "labels", "measured_last"]


@dataclass(frozen=True, slots=True)
class Batch:
    """
    Cuts of one geometry, in the order they are sawn.

    `names` are what the drawing and the steps call the pieces, as `labels` orders them: their own labels
    where every cut has the same ones, else letters.
    """

    cuts: tuple[Cut, ...]
    names: tuple[str, ...]

    @property
    def first(self) -> Cut:
        """Give the cut that stands for all of them."""
        return self.cuts[0]

    @property
    def count(self) -> int:
        """Count the pieces of stock that are cut this way."""
        return sum(cut.repeat for cut in self.cuts)

    @property
    def lettered(self) -> bool:
        """Tell whether the copies carry different labels, so that letters stand for them."""
        return any(labels(cut) != self.names for cut in self.cuts)

    @property
    def numbers(self) -> str:
        """Name the cuts, at most four stretches of them: `S1 to S3, S5`."""
        told = joined([cut.id for cut in self.cuts])
        return ", ".join(told[:4]) + (" and more" if len(told) > 4 else "")


def joined(names: Iterable[str]) -> tuple[str, ...]:
    """
    Join names that count on from one another.

    Examples
    --------
    >>> joined(["S1", "S2", "S3", "S5", "S6"])
    ('S1 to S3', 'S5', 'S6')
    """
    groups: list[list[str]] = []
    for name in names:
        if groups and _next(groups[-1][-1]) == name:
            groups[-1].append(name)
        else:
            groups.append([name])
    told: list[str] = []
    for group in groups:
        told.extend([f"{group[0]} to {group[-1]}"] if len(group) > 2 else group)
    return tuple(told)


def _next(name: str) -> str:
    """Give the name that follows, as S4 follows S3; empty if a name ends in no number."""
    digits = name[len(name.rstrip("0123456789")) :]
    return f"{name.removesuffix(digits)}{int(digits) + 1}" if digits else ""


def labels(cut: Cut) -> tuple[str, ...]:
    """Give a cut's labels from the near left corner: along the stock first, then across it."""
    return tuple(piece.label for piece in sorted(cut.pieces, key=lambda piece: (piece.y, piece.x)))


def _letter(place: int) -> str:
    rounds, rest = divmod(place, len(ascii_lowercase))
    return (_letter(rounds - 1) if rounds else "") + ascii_lowercase[rest]


def _shape(cut: Cut) -> tuple[object, ...]:
    boxes = sorted(
        (piece.y, piece.x, piece.width, piece.length, piece.corners, piece.openings) for piece in cut.pieces
    )
    shaping = tuple((step.kind, step.points) for step in cut.shaping)
    return (cut.stock, cut.length, cut.width, cut.kerf, cut.from_rack, tuple(boxes), cut.steps, shaping)


def gather(cuts: Iterable[Cut]) -> tuple[Batch, ...]:
    """
    Gather cuts that are alike in stock, pieces and steps.

    Returns
    -------
    tuple of Batch
        In the order of each batch's first cut, so that saw order stays.
    """
    found: dict[tuple[object, ...], list[Cut]] = {}
    for cut in cuts:
        found.setdefault(_shape(cut), []).append(cut)
    batches = []
    for alike in found.values():
        own = labels(alike[0])
        same = all(labels(cut) == own for cut in alike)
        letters = tuple(_letter(place) for place in range(len(own))) if len(own) > 1 else ("the piece",)
        names = own if same else letters
        batches.append(Batch(tuple(alike), names))
    return tuple(batches)


def measured_last(courses: Iterable[Course], upright: Collection[str] = ()) -> frozenset[str]:
    """
    Name the pieces to be measured in place before they are cut.

    These are the last piece of every course of a surface and all of its top course: whatever the building is
    out of true, they take it up.

    Parameters
    ----------
    courses
        All that is laid.
    upright
        Surfaces whose courses stand side by side: there the last course alone takes it up.
    """
    laid = [course for course in courses if course.course]
    top: dict[str, int] = {}
    for course in laid:
        top[course.plane] = max(course.course, top.get(course.plane, 0))
    named: set[str] = set()
    for course in laid:
        if course.course == top[course.plane]:
            named.update(piece.label for piece in course.pieces)
        elif course.pieces and course.plane not in upright:
            named.add(max(course.pieces, key=lambda piece: piece.end).label)
    return frozenset(named)
