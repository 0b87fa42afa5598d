"""Which small change of a dimension saves money: every candidate taken off and planned anew."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal, InvalidOperation
from fractions import Fraction

from cli.loading import Loaded, reloaded
from cli.options import Planned, planned
from cli.variants import varied
from optimizer.engine import Clock
from optimizer.errors import InputError, NoPlan, TimeUp
from optimizer.lengths import INCH, TapeUnit, parse_length, size_text
from optimizer.plan import Plan
from optimizer.words import Problem
from takeoff.job import Job

__all__ = ["Candidate", "Curve", "Range", "called", "curves", "ranges_of"]

_WHERE = "--vary"

_CALLED = {"length": "the plan length", "width": "the plan width", "pitch": "the pitch"}
"""Keys that mean more than their name says."""

MOST = 200
"""Candidates of one key; more are a slip of the step."""


@dataclass(frozen=True, slots=True)
class Range:
    """A key of the job, and the values to try: as the job would hold them, with their places on a line."""

    key: str
    values: tuple[tuple[Fraction, object], ...]
    length: bool


@dataclass(frozen=True, slots=True)
class Candidate:
    """
    One value of a key: `place` on the curve (base units, or the number), `cents` of the whole purchase.

    `panels` are sheets of the deck. Where there is no plan `cents` is None and `reason` says why.
    """

    place: Fraction
    shown: str
    cents: int | None
    panels: int
    proved: bool
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Curve:
    """What a key's values cost; `now` is the place of the job's own value, None where it has none."""

    key: str
    length: bool
    now: Fraction | None
    candidates: tuple[Candidate, ...]


def ranges_of(loaded: Loaded, typed: Sequence[str] | None) -> tuple[Range, ...]:
    """
    Read the ranges that may be tried; without any, both overhangs by 2 in either way and the pitch by 1/2.

    Raises
    ------
    InputError
        If a range can't be read, or its key is none of the job's.
    """
    if typed:
        asked_for = tuple(_range(loaded, text) for text in typed)
        for asked in asked_for:
            _check_values(loaded, asked)
        return asked_for
    job = loaded.job
    found = []
    for key, at in (("eave_overhang", job.eave_overhang), ("rake_overhang", job.rake_overhang)):
        steps = range(-4, 5) if at else ()
        places = [at + step * INCH // 2 for step in steps if at + step * INCH // 2 >= 0]
        found.append(_lengths(key, places, job.tape))
    if job.pitch is not None:
        at_pitch = Fraction(job.pitch) * 12
        steps_up = (at_pitch + Fraction(step, 2) for step in (-1, 0, 1))
        found.append(_numbers("pitch", [pitch for pitch in steps_up if pitch > 0]))
    return tuple(r for r in found if r.values)


def _lengths(key: str, places: Sequence[int], unit: TapeUnit) -> Range:
    return Range(key, tuple((Fraction(place), _text(place, unit)) for place in places), True)


def _numbers(key: str, places: Sequence[Fraction]) -> Range:
    return Range(key, tuple((place, float(place)) for place in places), False)


def _text(place: int, unit: TapeUnit) -> str:
    """Write a length so that a job reads it back exactly."""
    return f"{Fraction(place, INCH)} in" if unit == "in" else f"{Fraction(place, 1600)} mm"


def _range(loaded: Loaded, text: str) -> Range:
    key, sign, rest = (part.strip() for part in text.partition("="))
    span, _, step = rest.partition(" by ")
    first, dots, last = (part.strip() for part in span.partition(".."))
    if not (key and sign and first and dots and last and step.strip()):
        raise InputError(
            f"{text!r} is no range; write it like 'rake_overhang=10 in..14 in by 1/2 in'", f"{_WHERE} {key}"
        )
    if key.split(".")[0] not in Job.model_fields:
        raise InputError(f"{key!r} is no key of the job", _WHERE)
    try:
        low, high, width = (Fraction(Decimal(part)) for part in (first, last, step.strip()))
    except InvalidOperation:
        try:
            ends = [parse_length(part, loaded.job.tape) for part in (first, last, step.strip())]
        except ValueError as error:
            raise InputError(str(error), f"{_WHERE} {key}") from None
        _check(key, Fraction(ends[0]), Fraction(ends[1]), Fraction(ends[2]))
        return _lengths(key, range(ends[0], ends[1] + 1, ends[2]), loaded.job.tape)
    _check(key, low, high, width)
    return _numbers(key, [low + number * width for number in range(int((high - low) / width) + 1)])


def _check(key: str, low: Fraction, high: Fraction, step: Fraction) -> None:
    if step <= 0 or high < low:
        raise InputError("a range goes up, by a step above 0", f"{_WHERE} {key}")
    if (high - low) / step > MOST:
        raise InputError(f"that is more than {MOST} candidates; take a larger step", f"{_WHERE} {key}")


def _check_values(loaded: Loaded, asked: Range) -> None:
    """Refuse a key that can have none of the values; where some can be, the others are told in the table."""
    refused = None
    for _, value in asked.values:
        try:
            reloaded(loaded, varied(loaded.source.data, asked.key, value))
        except InputError as error:
            refused = refused or error
        except (LookupError, TypeError, ValueError, AttributeError):
            raise InputError(f"{asked.key!r} is no key of the job", _WHERE) from None
        else:
            return
    if refused is not None:
        raise InputError(refused.message, f"{_WHERE} {asked.key}")


def called(key: str) -> str:
    """
    Name a key in a sentence; one in a table keeps its path, for two tables may have the same.

    Examples
    --------
    >>> called("rake_overhang"), called("rule.stagger"), called("length")
    ('the rake overhang', 'rule.stagger', 'the plan length')
    """
    return _CALLED.get(key, key if "." in key else f"the {key.replace('_', ' ')}")


def curves(base: Planned, ranges: Sequence[Range], clock: Clock) -> Iterator[Curve]:
    """Plan every candidate of every range, each key changed alone; equal questions are planned once."""
    left = sum(len(r.values) for r in ranges)
    known: dict[Problem, Plan] = {}
    for asked in ranges:
        found = []
        for place, value in asked.values:
            share = clock.share(2 * clock.left() / max(1, left))
            left -= 1
            found.append(_candidate(base, asked, place, value, share, known))
        yield Curve(asked.key, asked.length, _now(base, asked), tuple(found))


def _now(base: Planned, asked: Range) -> Fraction | None:
    value: object = base.loaded.job
    for name in asked.key.split("."):
        value = getattr(value, name, None)
    if isinstance(value, int):
        return Fraction(value)
    return Fraction(value) * 12 if isinstance(value, Fraction) else None


def _candidate(
    base: Planned, asked: Range, place: Fraction, value: object, clock: Clock, known: dict[Problem, Plan]
) -> Candidate:
    unit = base.takeoff.unit
    shown = size_text(unit, int(place)) if asked.length else f"{float(place):g}"
    try:
        loaded = reloaded(base.loaded, varied(base.loaded.source.data, asked.key, value))
        found = planned(loaded, clock, base, known)
    except TimeUp:
        return Candidate(place, shown, None, 0, False, "not planned in the time given")
    except (NoPlan, InputError) as error:
        return Candidate(place, shown, None, 0, False, str(error))
    deck = {s.key: s.pack for s in found.problem.stocks if s.material == loaded.job.panel}
    panels = sum(b.count * deck[b.stock] for b in found.plan.buy if b.stock in deck and not b.from_rack)
    return Candidate(place, shown, found.bill.total, panels, found.plan.proved)
