"""Doors: slab, casing, ripped stops, seal and hinges, as parts, and the checks on them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import count

from optimizer.errors import InputError
from optimizer.lengths import FOOT, INCH, TapeUnit, size_text
from optimizer.words import Part, Run
from takeoff.book import Book
from takeoff.job import Job
from takeoff.needs import Assumption, Check, Needed
from takeoff.slab import Skin, Slab, hinges_for, slab_of
from takeoff.trim_job import DoorTable

__all__ = ["Opening", "door_names", "door_needs", "head_metal", "openings_of"]

_PRACTICE = "common practice, no source"
_HINGES = "trade pages that repeat the door and hardware rule, page seen (secondary)"
_LAP = 2 * INCH
"""Of one length of metal over the next, as along level joints and eaves."""

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
    key
        Its place in the job, as `door[1]`.
    hinges
        On each leaf.
    stop_width
        What a stop measures from the door frame into the opening: its ripped width; 0 without stops.
    """

    name: str
    key: str
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

    def members(self) -> tuple[tuple[str, tuple[int, ...]], ...]:
        """Name what is cut from the stile's lumber for one leaf, with the lengths of each."""
        slab, pads = self.slab, self.hinges if self.door.hinge_pad else 0
        return (
            ("stile", (slab.height,) * 2),
            ("rail", (slab.rail_length,) * (2 + len(slab.rails))),
            ("middle stile", slab.rows() * len(slab.stiles)),
            ("brace", slab.braces() if self.door.brace else ()),
            ("hinge pad", (self.door.hinge_pad,) * pads),
        )


def openings_of(job: Job, book: Book) -> tuple[Opening, ...]:
    """
    Give every door opening of a job, in the job's order.

    Raises
    ------
    InputError
        If a door can't be built as asked; the message says which and why.
    """
    openings = []
    for place, (name, door) in enumerate(zip(door_names(job), job.door, strict=True), start=1):
        key = f"door[{place}]"
        slab = slab_of(door, key, job.panel, book, job.tape)
        hinges = (door.hinges or hinges_for(slab.height)) if door.hinge else 0
        width = _stop_width(door, key, job, book)
        openings.append(Opening(name, key, door, slab, hinges, width))
    return tuple(openings)


def door_names(job: Job) -> tuple[str, ...]:
    """Give the doors' names, numbered where several share one, so that no two labels are alike."""
    typed = Counter(door.name for door in job.door)
    names: list[str] = []
    for door in job.door:
        numbered = (f"{door.name} {number}" for number in count(1))
        free = (name for name in numbered if name not in typed and name not in names)
        names.append(door.name if typed[door.name] == 1 else next(free))
    return tuple(names)


def _stop_width(door: DoorTable, key: str, job: Job, book: Book) -> int:
    if door.stop is None:
        return 0
    board = book.one(door.stop, f"{key}.stop").width
    width = (board - (door.stop_lanes - 1) * job.kerf) // door.stop_lanes
    if width <= 0 or 2 * width >= door.width:
        raise InputError(
            f"{door.stop_lanes} stops can't be ripped from {door.stop!r}, {size_text(job.tape, board)} wide, "
            f"for an opening {size_text(job.tape, door.width)} wide",
            f"{key}.stop_lanes",
        )
    return width


def door_needs(job: Job, book: Book) -> Needed:
    """Ask for what the job's doors are cut from, and check them; `fasteners` counts the rest."""
    openings = openings_of(job, book)
    metal = [_head_metal(opening, place, book) for place, opening in enumerate(openings, start=1)]
    return Needed(
        runs=tuple(run for _, runs in metal for run in runs),
        parts=tuple(
            part
            for opening, (parts, _) in zip(openings, metal, strict=True)
            for part in (*_parts(opening, book), *parts)
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
    if door.casing:
        head = door.width + 2 * book.one(door.casing, f"{opening.key}.casing").width
        yield Part(f"{name} casing leg", door.casing, door.height, count=2, needed=_FIRST + 3)
        yield Part(f"{name} casing head", door.casing, head, needed=_FIRST + 4)
    if door.stop:
        wide = opening.stop_width if door.stop_lanes > 1 else 0
        for label, long, number in _sides("stop", opening.stop_lengths):
            yield Part(f"{name} {label}", door.stop, long, wide, number, needed=_FIRST + 6)
    if door.stop and door.seal:
        book.require(door.seal, f"{opening.key}.seal")
        lengths = (door.height,) * 2 + (door.width,) * (door.stop_sides - 2)
        for label, long, number in _sides("seal", lengths):
            yield Part(f"{name} {label}", door.seal, long, count=number, needed=_FIRST + 7)


def _head_metal(opening: Opening, place: int, book: Book) -> tuple[tuple[Part, ...], tuple[Run, ...]]:
    """Give the metal over a door's head casing; none where the job asks for none."""
    door = opening.door
    if not door.head_metal:
        return (), ()
    casing = book.one(door.casing, f"{opening.key}.casing").width if door.casing else 0
    long = door.width + 2 * (casing + door.head_metal_past)
    item = (door.head_metal, f"{opening.key}.head_metal")
    return head_metal(opening.name, f"HD{place}", item, long, _FIRST + 5, book)


def head_metal(
    name: str, mark: str, item: tuple[str, str], long: int, needed: int, book: Book
) -> tuple[tuple[Part, ...], tuple[Run, ...]]:
    """
    Give the metal over a head: one piece, or lapped ones where none is long enough, as over a garage door.

    Parameters
    ----------
    item
        Its key in the price book, and the job's key that names it.
    """
    longest = max(size.length for size in book.require(*item))
    label = f"{name} head metal"
    if long <= longest:
        return (Part(label, item[0], long, needed=needed),), ()
    return (), (Run(label, item[0], long, _LAP, FOOT, mark=mark, needed=needed),)


def _sides(what: str, lengths: tuple[int, ...]) -> tuple[tuple[str, int, int], ...]:
    """Name the two legs and what runs across at head and sill: label, length, how many."""
    across = "head" if len(lengths) == 3 else "head and sill"
    return (f"{what} leg", lengths[0], 2), (f"{what} {across}", lengths[2], len(lengths) - 2)


def _slab_parts(opening: Opening) -> Iterator[Part]:
    name, door, slab = opening.name, opening.door, opening.slab
    yield from _skin_parts(f"{name} face", slab.face, door.leaves, turn=False)
    if slab.backing:
        yield from _skin_parts(f"{name} backing", slab.backing, door.leaves, turn=True)
    for label, lengths in opening.members():
        yield from _alike(f"{name} {label}", door.stile, lengths, door.leaves, _FIRST + 1)
    if door.leaves == 2:
        yield Part(f"{name} meeting strip", door.stile, slab.height, needed=_FIRST + 2)
    if door.bottom_piece:
        yield from _alike(f"{name} bottom piece", door.bottom_piece, (slab.width,), door.leaves, _FIRST + 2)


def _alike(label: str, material: str, lengths: tuple[int, ...], leaves: int, needed: int) -> Iterator[Part]:
    """Ask for lengths, equal ones together; a number tells different ones apart."""
    kinds = Counter(lengths)
    for place, (length, number) in enumerate(sorted(kinds.items(), reverse=True), start=1):
        own = label if len(kinds) == 1 else f"{label} {place}"
        yield Part(own, material, length, count=number * leaves, needed=needed)


def _skin_parts(label: str, skin: Skin, leaves: int, *, turn: bool) -> Iterator[Part]:
    kinds = Counter(skin.pieces())
    for place, ((width, height), number) in enumerate(kinds.items(), start=1):
        own = label if len(kinds) == 1 else f"{label} {place}"
        yield Part(own, skin.material, height, width, number * leaves, may_turn=turn, needed=_FIRST)


def _checks(opening: Opening, job: Job, book: Book) -> Iterator[Check]:
    tape = job.tape
    yield _slab_check(opening, tape)
    yield from _seam_checks(opening, job, book)
    if opening.door.casing:
        yield Check(
            "note",
            "casing",
            _PRACTICE,
            f"{opening.name}: nail the casing legs first, measure over both, then cut the head.",
        )
    if opening.door.leaves == 2:
        yield Check(
            "note",
            "meeting strip",
            _PRACTICE,
            f"{opening.name}: screw the strip to one leaf; it covers the gap between the leaves.",
        )
    if opening.door.bottom_piece:
        yield _bottom_check(opening, book, tape)
    if opening.hinges:
        yield _hinge_check(opening, tape)
    if opening.stop_width:
        yield from _stop_checks(opening, tape)
        if opening.door.seal:
            yield _seal_check(opening, tape)


def _slab_check(opening: Opening, tape: TapeUnit) -> Check:
    door, slab = opening.door, opening.slab
    size, hole = size_text(tape, slab.width, slab.height), size_text(tape, door.width, door.height)
    what = f"{opening.name}: {'each leaf' if door.leaves == 2 else 'the slab'} is {size} in an opening {hole}"
    if door.gap >= INCH // 4:
        return Check("pass", "gap around the slab", _PRACTICE, f"{what}.")
    return Check(
        "warn",
        "gap around the slab",
        _PRACTICE,
        f"{what}: wood swells outdoors, leave 1/4 in on every side or it may bind.",
    )


def _seam_checks(opening: Opening, job: Job, book: Book) -> Iterator[Check]:
    slab, tape = opening.slab, job.tape
    skins = [("face", slab.face)] + ([("backing", slab.backing)] if slab.backing else [])
    for side, skin in skins:
        places = [f"{size_text(tape, line)} from its left edge, under a stile" for line in skin.upright]
        places += [f"{size_text(tape, line)} from its foot, under a rail" for line in skin.level]
        if places:
            yield Check(
                "note",
                "seam in a skin",
                _PRACTICE,
                f"{opening.name}: the {side} has a seam {' and '.join(places)}, apart from the other skin's.",
            )
    if slab.face.level:
        yield Check(
            "warn",
            "level joint in siding",
            "IRC R703.5, from memory (not re-checked)",
            f"{opening.name}: lap or flash the level seam in the face, behind its rail.",
        )
    if opening.door.leaves == 1 and any(skin.upright or skin.level for _, skin in skins):
        yield _offer(opening, job, book)


def _offer(opening: Opening, job: Job, book: Book) -> Check:
    pair = opening.door.model_copy(update={"leaves": 2})
    try:
        leaf = slab_of(pair, opening.key, job.panel, book, job.tape)
    except InputError:
        way = "would leave no room between stiles and rails"
    else:
        whole = not (leaf.face.upright or leaf.face.level)
        size = size_text(job.tape, leaf.width, leaf.height)
        way = f"makes a double door, each leaf {size}, its face {'from one sheet' if whole else 'seamed too'}"
    return Check(
        "note",
        "double door",
        _PRACTICE,
        f"{opening.name}: the slab outgrows the sheet; leaves = 2 {way}.",
    )


def _bottom_check(opening: Opening, book: Book, tape: TapeUnit) -> Check:
    door = opening.door
    wide = book.one(door.bottom_piece or "", f"{opening.key}.bottom_piece").width
    over, past = wide - door.hang, door.hang - door.gap
    what = f"{opening.name}: the bottom piece hangs {size_text(tape, door.hang)} below the slab"
    if over < INCH:
        return Check(
            "warn",
            "bottom piece",
            _PRACTICE,
            f"{what}: only {size_text(tape, max(over, 0))} is left to fasten to the slab; 1 in is the least.",
        )
    if past <= 0:
        return Check(
            "warn", "bottom piece", _PRACTICE, f"{what} and doesn't reach past the foot of the opening."
        )
    return Check(
        "pass",
        "bottom piece",
        _PRACTICE,
        f"{what}, {size_text(tape, past)} past the foot of the opening, and overlaps the slab by "
        f"{size_text(tape, over)}. It must swing clear outside.",
    )


def _hinge_check(opening: Opening, tape: TapeUnit) -> Check:
    rule, high = hinges_for(opening.slab.height), size_text(tape, opening.slab.height)
    what = f"{opening.name}: {opening.hinges} hinges on a slab {high} high"
    if opening.hinges >= rule:
        pads = opening.door.hinge_pad
        pad = f"; under each strap, beside the stile, a pad {size_text(tape, pads)} long" if pads else ""
        return Check("pass", "hinges", _HINGES, f"{what}{pad}.")
    return Check("warn", "hinges", _HINGES, f"{what}: one for every 30 in or part of it makes {rule}.")


def _stop_checks(opening: Opening, tape: TapeUnit) -> Iterator[Check]:
    door, wide = opening.door, opening.stop_width
    over = size_text(tape, max(wide - door.gap, 0))
    what = (
        f"{opening.name}: stops {size_text(tape, wide)} wide, {door.stop_lanes} from one {door.stop}, overlap"
    )
    clear = f"leave {size_text(tape, door.width - 2 * wide)} clear"
    good = wide - door.gap >= INCH * 3 // 8
    yield Check(
        "pass" if good else "warn",
        "stop overlap",
        _PRACTICE,
        f"{what} the slab by {over} and {clear}" + ("." if good else "; 3/8 in is the least."),
    )
    yield Check(
        "note",
        "stops",
        _PRACTICE,
        f"{opening.name}: set the stops {size_text(tape, door.set_back)} behind the closed slab, about "
        f"{size_text(tape, opening.slab.stack + door.set_back)} behind the face of its stiles; legs first, "
        "then what goes across, measured; sawn face to the frame.",
    )
    if door.stop_lanes > 1:
        yield Check(
            "pass" if wide >= INCH else "warn",
            "ripping strips",
            _PRACTICE,
            f"{opening.name}: rip stops along a guide while the board is long, before cutting to length "
            "where you can; never rip short narrow strips freehand.",
        )


def _seal_check(opening: Opening, tape: TapeUnit) -> Check:
    thick, room = opening.door.seal_thickness, opening.door.set_back
    what = f"{opening.name}: a seal {size_text(tape, thick)} thick in a space of {size_text(tape, room)}"
    if thick > room:
        return Check("pass", "seal", _PRACTICE, f"{what}; foam closes to about half.")
    return Check("warn", "seal", _PRACTICE, f"{what} is never pressed; it must be thicker than the space.")
