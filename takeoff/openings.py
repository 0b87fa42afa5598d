"""Doors: slab, casing, ripped stops, seal and hinges, as parts and counts, and the checks on them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from optimizer.errors import InputError
from optimizer.lengths import INCH, TapeUnit, size_text
from optimizer.words import Count, Part
from takeoff.book import Book
from takeoff.job import Job
from takeoff.needs import Assumption, Check, Needed
from takeoff.slab import Skin, Slab, hinges_for, leaf_size, slab_of
from takeoff.trim_job import DoorTable

__all__ = ["Opening", "door_needs", "openings_of"]

_PRACTICE = "common practice, no source"
_HINGES = "trade pages that repeat the door and hardware rule, page seen (secondary)"
_RIPPING = "arithmetic: board width less the cuts, shared out"
_FIRST = 50
"""Doors are built when the roof is on: their parts are cut after those with a smaller `needed`."""


@dataclass(frozen=True, slots=True)
class Opening:
    """
    One door opening with what closes it.

    Parameters
    ----------
    name
        Unique among the job's doors.
    hinges
        On each leaf.
    stop_width
        What a stop measures from the door frame into the opening: its ripped width; 0 without stops.
    """

    name: str
    door: DoorTable
    slab: Slab
    hinges: int
    stop_width: int

    @property
    def stop_lengths(self) -> tuple[int, ...]:
        """Two legs as high as the opening; head, and sill if there is one, fit between them."""
        if not self.stop_width:
            return ()
        across = self.door.width - 2 * self.stop_width
        return (self.door.height,) * 2 + (across,) * (self.door.stop_sides - 2)


def openings_of(job: Job, book: Book) -> tuple[Opening, ...]:
    """
    Give every door opening of a job, in the job's order.

    Raises
    ------
    InputError
        If a door can't be built as asked; the message says which and why.
    """
    totals = Counter(door.name for door in job.door)
    seen: Counter[str] = Counter()
    openings = []
    for door in job.door:
        seen[door.name] += 1
        name = f"{door.name} {seen[door.name]}" if totals[door.name] > 1 else door.name
        slab = slab_of(door, job.panel, book, job.tape)
        hinges = (door.hinges or hinges_for(slab.height)) if door.hinge else 0
        openings.append(Opening(name, door, slab, hinges, _stop_width(door, job.kerf, book, job.tape)))
    return tuple(openings)


def _stop_width(door: DoorTable, kerf: int, book: Book, tape: TapeUnit) -> int:
    if door.stop is None:
        return 0
    board = book.one(door.stop, f"{door.name}: stop").width
    width = (board - (door.stop_lanes - 1) * kerf) // door.stop_lanes
    if width <= 0 or 2 * width >= door.width:
        raise InputError(
            f"{door.stop_lanes} stops can't be ripped from {door.stop!r}, {size_text(tape, board)} wide, "
            f"for an opening {size_text(tape, door.width)} wide",
            f"{door.name}: stop_lanes",
        )
    return width


def door_needs(job: Job, book: Book) -> Needed:
    """Ask for what the job's doors are made of, with the checks made on them."""
    openings = openings_of(job, book)
    return Needed(
        parts=tuple(part for opening in openings for part in _parts(opening, book)),
        counts=tuple(
            Count(f"{opening.name} hinges", opening.door.hinge, opening.hinges * opening.door.leaves)
            for opening in openings
            if opening.door.hinge
        ),
        checks=tuple(check for opening in openings for check in _checks(opening, job, book)),
        assumptions=tuple(
            Assumption(
                f"door.{place}.stop_sides",
                3,
                f"{opening.name}: stops at both legs and the head, none along the sill",
                4,
            )
            for place, opening in enumerate(openings)
            if opening.door.stop and "stop_sides" not in opening.door.model_fields_set
        ),
    )


def _parts(opening: Opening, book: Book) -> Iterator[Part]:
    name, door = opening.name, opening.door
    yield from _slab_parts(opening)
    head = door.width
    if door.casing:
        head += 2 * book.one(door.casing, f"{name}: casing").width
        yield Part(f"{name} casing leg", door.casing, door.height, count=2, needed=_FIRST + 3)
        yield Part(f"{name} casing head", door.casing, head, needed=_FIRST + 4)
    if door.head_metal:
        book.require(door.head_metal, f"{name}: head_metal")
        long = head + 2 * door.head_metal_past
        yield Part(f"{name} head metal", door.head_metal, long, needed=_FIRST + 5)
    if door.stop:
        wide = opening.stop_width if door.stop_lanes > 1 else 0
        for label, long, count in _sides("stop", opening.stop_lengths):
            yield Part(f"{name} {label}", door.stop, long, wide, count, needed=_FIRST + 6)
    if door.stop and door.seal:
        book.require(door.seal, f"{name}: seal")
        lengths = (door.height,) * 2 + (door.width,) * (door.stop_sides - 2)
        for label, long, count in _sides("seal", lengths):
            yield Part(f"{name} {label}", door.seal, long, count=count, needed=_FIRST + 7)


def _sides(what: str, lengths: tuple[int, ...]) -> tuple[tuple[str, int, int], ...]:
    """Name the two legs and what runs across at head and sill: label, length, how many."""
    across = "head" if len(lengths) == 3 else "head and sill"
    return (f"{what} leg", lengths[0], 2), (f"{what} {across}", lengths[2], len(lengths) - 2)


def _slab_parts(opening: Opening) -> Iterator[Part]:
    name, door, slab = opening.name, opening.door, opening.slab
    yield from _skin_parts(f"{name} face", slab.face, door.leaves, turn=False)
    if slab.backing:
        yield from _skin_parts(f"{name} backing", slab.backing, door.leaves, turn=True)
    members = [
        ("stile", (slab.height,) * 2),
        ("rail", (slab.rail_length,) * (2 + len(slab.rails))),
        ("middle stile", slab.rows() * len(slab.stiles)),
        ("brace", slab.braces() if door.brace else ()),
        ("hinge pad", (door.hinge_pad,) * (opening.hinges if door.hinge_pad else 0)),
    ]
    for label, lengths in members:
        yield from _alike(f"{name} {label}", door.stile, lengths, door.leaves, _FIRST + 1)
    if door.leaves == 2:
        yield Part(f"{name} meeting strip", door.stile, slab.height, needed=_FIRST + 2)
    if door.bottom_piece:
        yield from _alike(f"{name} bottom piece", door.bottom_piece, (slab.width,), door.leaves, _FIRST + 2)


def _alike(label: str, material: str, lengths: tuple[int, ...], leaves: int, needed: int) -> Iterator[Part]:
    """Ask for lengths, equal ones together; a number tells different ones apart."""
    kinds = Counter(lengths)
    for number, (length, count) in enumerate(sorted(kinds.items(), reverse=True), start=1):
        own = label if len(kinds) == 1 else f"{label} {number}"
        yield Part(own, material, length, count=count * leaves, needed=needed)


def _skin_parts(label: str, skin: Skin, leaves: int, *, turn: bool) -> Iterator[Part]:
    kinds = Counter(skin.pieces())
    for number, ((width, height), count) in enumerate(kinds.items(), start=1):
        own = label if len(kinds) == 1 else f"{label} {number}"
        yield Part(own, skin.material, height, width, count * leaves, may_turn=turn, needed=_FIRST)


def _checks(opening: Opening, job: Job, book: Book) -> Iterator[Check]:
    tape = job.tape
    yield from _slab_checks(opening, tape)
    yield from _seam_checks(opening, job, book)
    yield _order_check(opening)
    if opening.door.bottom_piece:
        yield _bottom_check(opening, book, tape)
    if opening.door.hinge:
        yield _hinge_check(opening, tape)
    if opening.stop_width:
        yield from _stop_checks(opening, tape)
        if opening.door.seal:
            yield _seal_check(opening.door, opening.name, tape)


def _slab_checks(opening: Opening, tape: TapeUnit) -> Iterator[Check]:
    door, slab = opening.door, opening.slab
    each = "each leaf" if door.leaves == 2 else "slab"
    yield Check(
        "pass" if door.gap >= INCH // 4 else "warn",
        "gap around a slab that swells outdoors: 1/4 in or more",
        _PRACTICE,
        f"{opening.name}: {each} {size_text(tape, slab.width, slab.height)} in an opening "
        f"{size_text(tape, door.width, door.height)}, {size_text(tape, door.gap)} open on every side",
    )


def _seam_checks(opening: Opening, job: Job, book: Book) -> Iterator[Check]:
    door, slab, tape = opening.door, opening.slab, job.tape
    skins = [("face", slab.face)] + ([("backing", slab.backing)] if slab.backing else [])
    for side, skin in skins:
        places = [f"{size_text(tape, line)} from the left, under a stile" for line in skin.upright]
        places += [f"{size_text(tape, line)} from the foot, under a rail" for line in skin.level]
        if places:
            yield Check(
                "note",
                "a skin's seam lies under a stile or a rail, apart from the other skin's",
                _PRACTICE,
                f"{opening.name}: seam in the {side} {' and '.join(places)}",
            )
    if slab.face.level:
        yield Check(
            "warn",
            "a level joint in siding is lapped or flashed",
            "IRC R703.5, from memory (not re-checked)",
            f"{opening.name}: the level seam in the face needs flashing behind its rail",
        )
    if door.leaves == 1 and any(skin.upright or skin.level for _, skin in skins):
        yield _offer(opening, job, book)


def _offer(opening: Opening, job: Job, book: Book) -> Check:
    pair = opening.door.model_copy(update={"leaves": 2})
    try:
        leaf = slab_of(pair, job.panel, book, job.tape)
    except InputError:
        seams = "which would not be simpler"
    else:
        size = size_text(job.tape, *leaf_size(pair, 2))
        whole = not (leaf.face.upright or leaf.face.level)
        seams = f"with leaves {size}, {'each face from one sheet' if whole else 'their faces seamed too'}"
    return Check(
        "note",
        "a slab that outgrows the sheet may be a double door",
        _PRACTICE,
        f"{opening.name}: the slab is larger than a sheet; leaves = 2 makes a double door, {seams}",
    )


def _order_check(opening: Opening) -> Check:
    return Check(
        "note",
        "order of casing and stops",
        _PRACTICE,
        f"{opening.name}: casing legs first, then the head over both, measured; stop legs first, sawn "
        "face to the frame, then the stops across between them, measured",
    )


def _bottom_check(opening: Opening, book: Book, tape: TapeUnit) -> Check:
    door = opening.door
    over = book.one(door.bottom_piece or "", f"{opening.name}: bottom_piece").width - door.hang
    below = door.hang - door.gap
    past = f"{size_text(tape, below)} past the foot of the opening" if below > 0 else "inside the opening"
    return Check(
        "pass" if over >= INCH and door.hang > 0 else "warn",
        "a bottom piece overlaps the slab by 1 in or more and hangs below it",
        _PRACTICE,
        f"{opening.name}: the bottom piece hangs {size_text(tape, door.hang)} below the slab, {past}, and "
        f"overlaps the slab by {size_text(tape, max(over, 0))}",
    )


def _hinge_check(opening: Opening, tape: TapeUnit) -> Check:
    rule = hinges_for(opening.slab.height)
    return Check(
        "pass" if opening.hinges >= rule else "warn",
        "one hinge for every 30 in of height or part of it, at least two",
        _HINGES,
        f"{opening.name}: {opening.hinges} hinges on a slab {size_text(tape, opening.slab.height)} high"
        + ("" if opening.hinges >= rule else f"; the rule asks for {rule}"),
    )


def _stop_checks(opening: Opening, tape: TapeUnit) -> Iterator[Check]:
    door, wide = opening.door, opening.stop_width
    over = wide - door.gap
    yield Check(
        "pass" if over >= 3 * INCH // 8 else "warn",
        "a stop overlaps the closed slab by 3/8 in or more",
        _PRACTICE,
        f"{opening.name}: stops {size_text(tape, wide)} wide ({door.stop_lanes} from one {door.stop}, "
        f"{_RIPPING}) overlap the slab by {size_text(tape, max(over, 0))} and leave "
        f"{size_text(tape, door.width - 2 * wide)} clear",
    )
    yield Check(
        "note",
        "stops are set from the closed slab",
        _PRACTICE,
        f"{opening.name}: set the stops {size_text(tape, door.set_back)} behind the closed slab, about "
        f"{size_text(tape, opening.slab.stack + door.set_back)} behind the face of its stiles",
    )
    if door.stop_lanes > 1:
        yield Check(
            "pass" if wide >= INCH else "warn",
            "never rip short narrow strips freehand",
            _PRACTICE,
            f"{opening.name}: rip whole boards along a fence or a fixed guide, then cut the strips to length",
        )


def _seal_check(door: DoorTable, name: str, tape: TapeUnit) -> Check:
    thick, room = size_text(tape, door.seal_thickness), size_text(tape, door.set_back)
    return Check(
        "pass" if door.seal_thickness > door.set_back else "warn",
        "a seal is thicker than the space it closes, about twice as thick for foam",
        _PRACTICE,
        f"{name}: a seal {thick} thick in a space of {room}",
    )
