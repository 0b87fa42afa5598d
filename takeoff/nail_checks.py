"""Nails and screws held against what they go through and into: long and close enough, no point through."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from optimizer.lengths import INCH, size_text
from takeoff.book import Book
from takeoff.building import Building
from takeoff.edges import metal_runs
from takeoff.job import Job
from takeoff.needs import Check
from takeoff.openings import Opening
from takeoff.roof import panel_sizes
from takeoff.rules import RuleSet
from takeoff.spans import widest_bay

__all__ = ["nail_checks"]

_PRACTICE = "common practice, no source"
_HOLD = "US Army EN0069 p. 4-10"
_METAL = "IRC R905.2.8.5, page seen (secondary)"
_POINT = "IRC R905.2.5 and ARMA bulletin 221, written for shingle nails"
_DECK_NAIL = "IRC Table R602.3(1), scan partly legible"
_JACK = INCH * 3 // 2
"""Thickness of the framing that a stop is fastened to."""

_BITE = INCH * 3 // 4


def nail_checks(
    job: Job, building: Building, book: Book, rules: RuleSet, openings: Sequence[Opening]
) -> tuple[Check, ...]:
    """Hold every fastener of the job against its spacing and the stack it is driven into."""
    return (
        *_deck_spacing(job, building, rules),
        *_deck_nail(job, book),
        *_metal_nail(job, building, book),
        *_board_nails(job, building, book),
        *(check for opening in openings for check in _door_screws(opening, job, book)),
    )


def _deck_spacing(job: Job, building: Building, rules: RuleSet) -> Iterator[Check]:
    edge, field = rules.edge_nails.value, rules.field_nails.value
    least = INCH * 6 if widest_bay(building) >= 48 * INCH else INCH * 12
    text = f"{size_text(job.tape, edge)} at panel ends and {size_text(job.tape, field)} in between"
    if edge <= 6 * INCH and field <= least:
        yield Check("pass", "deck nail spacing", "FEMA P-55 p. 9-6; APA E30V", f"Deck nails {text}.")
    else:
        yield Check(
            "warn",
            "deck nail spacing",
            "FEMA P-55 p. 9-6; APA E30V (48 in supports: Table 37, for soffits)",
            f"Deck nails {text} are too far apart: at most 6 in and {size_text(job.tape, least)}.",
        )
    if min(edge, field) < 3 * INCH:
        yield Check(
            "warn",
            "deck nail spacing",
            "FEMA P-499 7.1 p. 2",
            "Nails less than 3 in apart split framing 1-1/2 in thick: use thicker framing and stagger them.",
        )


def _deck_nail(job: Job, book: Book) -> Iterator[Check]:
    nail, tape = job.fastener.deck, job.tape
    panel = max(item.thickness for item in panel_sizes(job, book))
    least = INCH * 5 // 2 if panel <= INCH else 3 * INCH
    through = (
        f"{nail.material}, {size_text(tape, nail.length)} long, through a deck of {size_text(tape, panel)}"
    )
    if nail.length < least:
        yield Check(
            "warn", "deck nail", _DECK_NAIL, f"{through}: it should be {size_text(tape, least)} or longer."
        )
    else:
        into = size_text(tape, nail.length - panel)
        yield Check("pass", "deck nail", _DECK_NAIL, f"{through}, goes {into} into the rafter.")


def _metal_nail(job: Job, building: Building, book: Book) -> Iterator[Check]:
    table, tape = job.fastener, job.tape
    if not metal_runs(job, building, book):
        return
    spacing = table.edge_metal_spacing
    yield Check(
        "pass" if spacing <= 12 * INCH else "warn",
        "edge metal nail spacing",
        _METAL,
        f"Edge metal is nailed every {size_text(tape, spacing)}; at most 12 in.",
    )
    nail = table.edge_metal
    panel = max(item.thickness for item in panel_sizes(job, book))
    least = panel + INCH // 8 if panel < _BITE else _BITE
    long = f"{nail.material} is {size_text(tape, nail.length)} long"
    if nail.length < least:
        yield Check(
            "warn",
            "edge metal nail",
            _POINT,
            f"{long}: it should go 3/4 in into the deck, or 1/8 in through a thinner one.",
        )
        return
    yield Check("pass", "edge metal nail", _POINT, f"{long}: enough for a deck of {size_text(tape, panel)}.")
    if nail.length > panel:
        yield Check(
            "note",
            "edge metal nail",
            _PRACTICE,
            "Where the underside of the deck shows, points of edge metal nails show, except over framing.",
        )


def _board_nails(job: Job, building: Building, book: Book) -> Iterator[Check]:
    table, tape = job.fastener, job.tape
    if job.fascia:
        board = book.one(job.fascia.material, "fascia.material").thickness
        text = f"Fascia {size_text(tape, board)} thick, nail {size_text(tape, table.fascia.length)}"
        good = table.fascia.length >= 3 * board
        yield Check(
            "pass" if good else "warn",
            "fascia nail",
            _HOLD,
            f"{text}: into end grain it is to be three times the board or longer.",
        )
    if job.rake_board:
        board = book.one(job.rake_board.material, "rake_board.material").thickness
        stack = board + building.rafter_thickness
        yield _hold("Rake board", "rake board nail", table.rake_board.length, board, stack, job)


def _hold(what: str, rule: str, length: int, held: int, stack: int, job: Job) -> Check:
    """Check a nail across the grain: 1-1/2 times what it holds or more, and no longer than the stack."""
    tape = job.tape
    text = f"{what} {size_text(tape, held)} thick, nail {size_text(tape, length)}"
    if length > stack:
        return Check(
            "warn",
            rule,
            _PRACTICE,
            f"{text}: longer than the {size_text(tape, stack)} it enters, the point comes through.",
        )
    if 2 * length < 3 * held:
        return Check("warn", rule, _HOLD, f"{text}: it should be 1-1/2 times the board or longer.")
    return Check("pass", rule, _HOLD, f"{text}: it holds, and its point stays inside.")


def _door_screws(opening: Opening, job: Job, book: Book) -> Iterator[Check]:
    door, slab, table = opening.door, opening.slab, job.fastener
    yield _screw(
        f"{opening.name}: slab screw",
        table.slab.length,
        slab.skins + INCH // 2,
        slab.stack,
        "through the skins, 1/2 in or more into stiles and rails",
        job,
    )
    if opening.hinges:
        yield _screw(
            f"{opening.name}: hinge screw",
            table.hinge.length,
            slab.member_thickness,
            slab.stack,
            "through the stile into the skins",
            job,
        )
    if opening.stop_width:
        yield _screw(
            f"{opening.name}: stop screw",
            table.stop.length,
            opening.stop_width + _BITE,
            opening.stop_width + _JACK,
            "through the stop, 3/4 in or more into framing 1-1/2 in thick",
            job,
        )
    if door.casing:
        board = book.one(door.casing, f"{opening.key}.casing").thickness
        stack = board + job.wall_thickness
        yield _hold(f"{opening.name}: casing", "casing nail", table.casing.length, board, stack, job)


def _screw(name: str, length: int, least: int, stack: int, way: str, job: Job) -> Check:
    """Check that a screw reaches what it must hold and stays inside the stack it enters."""
    tape = job.tape
    text = f"{name} {size_text(tape, length)} long, {way}"
    rule = name.rpartition(": ")[2]
    if length > stack:
        return Check(
            "warn",
            rule,
            _PRACTICE,
            f"{text}: longer than the stack of {size_text(tape, stack)}, the point comes through.",
        )
    if length < least:
        return Check("warn", rule, _PRACTICE, f"{text}: too short, {size_text(tape, least)} is the least.")
    return Check("pass", rule, _PRACTICE, f"{text}: it holds in a stack of {size_text(tape, stack)}.")
