"""Edge metal, fascia and rake boards: what runs along the edges of the roof."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from math import ceil

from optimizer.errors import InputError
from optimizer.lengths import INCH, size_text
from optimizer.words import Part, Run
from takeoff.book import Book
from takeoff.building import Building, EdgeKind, EdgeLine, Plane
from takeoff.job import Job
from takeoff.needs import Assumption, Check, Needed
from takeoff.trim_job import DripEdgeTable, FasciaTable, RakeBoardTable

__all__ = ["edge_needs", "fascia_runs", "metal_runs", "rake_slant"]

_PRACTICE = "common practice, no source"
_METAL = "IRC R905.2.8.5, page seen (secondary)"
_BOARDS, _EAVE_METAL, _RAKE_METAL = 10, 20, 30
"""Boards go on before the metal that covers them, eave metal before the underlayment, rake metal after it."""

_JOINTED = Check(
    "note",
    "rake board joints",
    _PRACTICE,
    "No board is long enough for the rakes: cut their joints plumb and back each with a cleat.",
)


def edge_needs(job: Job, building: Building, book: Book) -> Needed:
    """Ask for the metal and the boards along every edge of the roof, with the checks made on them."""
    runs = metal_runs(job, building, book)
    checks = list(_metal_checks(job, building, runs))
    parts: tuple[Part, ...] = ()
    if job.fascia:
        fascia = fascia_runs(job.fascia, building, book)
        runs += fascia
        checks.extend(_fascia_checks(job, building, fascia))
    if job.rake_board:
        parts, jointed = _rake_boards(job.rake_board, job.tails, building, book)
        runs += jointed
        checks.extend(_rake_checks(job.rake_board, job, building, book))
        if jointed:
            checks.append(_JOINTED)
    return Needed(
        runs=runs, parts=parts, checks=tuple(checks), assumptions=tuple(_assumptions(job, building))
    )


def metal_runs(job: Job, building: Building, book: Book) -> tuple[Run, ...]:
    """
    Give the runs of edge metal: eaves, high edge, then rakes, the first half's before the second's.

    A rake is measured from the eave up. The first half's rake metal folds over the peak, the second half's is
    trimmed there.

    Raises
    ------
    InputError
        If the book lacks the metal, or a stick of it is no longer than the lap.
    """
    table, tape = job.drip_edge, job.tape
    high, rake = (table.eave if key == "eave" else key for key in (table.high, table.rake))
    for key, material in (("eave", table.eave), ("high", high), ("rake", rake)):
        if material:
            sticks = book.require(material, f"drip_edge.{key}")
            stick = min(item.length for item in sticks)
            if stick <= table.lap:
                raise InputError(
                    f"a lap of {size_text(tape, table.lap)} leaves nothing of a stick of {material}, "
                    f"{size_text(tape, stick)} long; the usual lap is 2 in",
                    "drip_edge.lap",
                )
    last = _RAKE_METAL + max(2, len(building.planes))
    runs: list[Run] = []
    for half, plane in enumerate(building.planes):
        more = _over_the_top(table, building, plane)
        kinds: dict[EdgeKind, tuple[str | None, int, str, int]] = {
            "eave": (table.eave, 2 * table.corner, "E", _EAVE_METAL + half),
            "rake": (rake, more, "R", _RAKE_METAL + half),
            "high edge": (high, 2 * table.corner, "H", last),
        }
        for line, label, sign in _outer(building, plane):
            material, extra, letter, needed = kinds[line.kind]
            if material:
                length = line.finish + extra
                shortest, mark = min(table.shortest, length), f"{plane.mark}{letter}{sign}"
                runs.append(
                    Run(f"{label} metal", material, length, table.lap, shortest, mark=mark, needed=needed)
                )
    return tuple(sorted(runs, key=lambda run: run.needed))


def _outer(building: Building, plane: Plane) -> Iterator[tuple[EdgeLine, str, str]]:
    """Give the lines where only this plane ends, each with a label and an end of a mark of its own."""
    seen: Counter[tuple[str, str]] = Counter()
    lines = [line for line in building.lines_of("eave", "rake", "high edge") if line.planes == (plane.name,)]
    order = {"eave": 0, "rake": 1, "high edge": 2}
    for line in sorted(lines, key=lambda line: (order[line.kind], line.side)):
        seen[line.kind, line.side] += 1
        again = seen[line.kind, line.side]
        number = str(again) if again > 1 else ""
        yield line, f"{line.label} {number}".rstrip(), f"{line.side[:1].upper()}{number}"


def _over_the_top(table: DripEdgeTable, building: Building, plane: Plane) -> int:
    """Give how much longer rake metal is than the rake: one side's folds over the ridge, upper laps lower."""
    ridges = [line.planes for line in building.lines_of("ridge") if len(line.planes) > 1]
    fold = table.fold if any(names[0] == plane.name for names in ridges) else 0
    above = any(plane.name in line.planes[1:] for line in building.lines_of("break"))
    return fold + (table.lap if above else 0)


def fascia_runs(table: FasciaTable, building: Building, book: Book) -> tuple[Run, ...]:
    """
    Give the fascia of every eave, and of a single slope's high edge.

    It runs between the rake boards, whose ends cover it, or from mitre to mitre where there are hips and
    valleys. In one piece where a board is long enough, unless the job allows joints; those fall on rafter
    tails.
    """
    longest = max(item.length for item in book.require(table.material, "fascia.material"))
    rake = building.rake
    runs = []
    for half, plane in enumerate(building.planes):
        rakes = _rakes(building, plane)
        for line, label, sign in _outer(building, plane):
            if line.kind == "rake":
                continue
            length = line.finish - sum(rakes) * (rake.finish - rake.framing)
            tails = _tails(building, plane, line, rakes)
            whole = length <= longest and table.joints == "where needed"
            runs.append(
                Run(
                    f"{label} fascia",
                    table.material,
                    length,
                    shortest=min(table.shortest, length),
                    seams=() if whole else tuple(at for at in tails if 0 < at < length),
                    mark=f"{plane.mark}{'HF' if line.kind == 'high edge' else 'F'}{sign}",
                    needed=_BOARDS + half,
                )
            )
    return tuple(runs)


def _rakes(building: Building, plane: Plane) -> tuple[bool, bool]:
    """Tell whether a plane's left and right end are rakes."""
    sides = {line.side for line in building.lines_of("rake") if line.planes == (plane.name,)}
    return "left" in sides, "right" in sides


def _tails(building: Building, plane: Plane, line: EdgeLine, rakes: tuple[bool, bool]) -> tuple[int, ...]:
    """
    Give the rafter tails at an eave or a high edge, from the left end of its fascia.

    A mitred fascia begins outside the deck's corner at a hip, inside it at a valley.
    """
    rake, eave = building.rake, building.eave
    level = 0 if line.kind == "eave" else plane.slope
    begins, _ = plane.stretch(level)
    if rakes[0]:
        begins += rake.deck - rake.framing
    else:
        widens = plane.stretch(plane.slope // 2)[0] < begins
        begins += (eave.finish - eave.deck) * (1 if widens else -1)
    standing = plane.rafters[1 if rakes[0] else 0 : len(plane.rafters) - (1 if rakes[1] else 0)]
    return tuple(rafter.at - begins for rafter in standing if level in plane.reach(rafter.at))


def rake_slant(width: int, pitch: Fraction) -> int:
    """Give how far the long point of a plumb cut lies beyond its short point: width x rise / run."""
    return ceil(width * pitch)


def _rake_boards(
    table: RakeBoardTable, tails: str, building: Building, book: Book
) -> tuple[tuple[Part, ...], tuple[Run, ...]]:
    """
    Give the rake boards long point to long point: whole boards, or runs where they may or must be jointed.

    At a joint, cut plumb as well, one piece reaches over the next by as much as the cut slants.

    Boards that meet at a gambrel's break are mitred there, so that their ends are not parallel.
    """
    longest = max(item.length for item in book.require(table.material, "rake_board.material"))
    wide = book.one(table.material, "rake_board.material").width
    boards = max(2, len(building.planes))
    parts: list[Part] = []
    runs: list[Run] = []
    for half, plane in enumerate(building.planes):
        plumb, needed = rake_slant(wide, plane.pitch), _BOARDS + boards + half
        at_break, above = _at_break(building, plane)
        slant = plumb if (table.foot or tails) == "plumb" and not above else 0
        outer = [(line, label, sign) for line, label, sign in _outer(building, plane) if line.kind == "rake"]
        whole: Counter[int] = Counter()
        for line, label, sign in outer:
            length = line.finish + slant
            if length <= longest and table.joints == "where needed":
                whole[length] += 1
                continue
            runs.append(
                Run(
                    f"{label} board",
                    table.material,
                    length,
                    lap=plumb,
                    shortest=min(table.shortest, length),
                    mark=f"{plane.mark}B{sign}",
                    needed=needed,
                )
            )
        for number, (length, count) in enumerate(whole.items(), 1):
            label = f"{plane.name} rake board{f' {number}' if number > 1 else ''}"
            nests = 0 if at_break else slant
            parts.append(Part(label, table.material, length, count=count, slant=nests, needed=needed))
    return tuple(parts), tuple(runs)


def _at_break(building: Building, plane: Plane) -> tuple[bool, bool]:
    """Tell whether a plane meets another at a break, and whether it lies above it."""
    breaks = [line.planes for line in building.lines_of("break")]
    return any(plane.name in names for names in breaks), any(plane.name in names[1:] for names in breaks)


def _metal_checks(job: Job, building: Building, runs: tuple[Run, ...]) -> Iterator[Check]:
    table, tape = job.drip_edge, job.tape
    has_rakes = bool(building.lines_of("rake"))
    edges = (("eaves", table.eave), ("rakes", table.rake)) if has_rakes else (("eaves", table.eave),)
    bare = [edge for edge, key in edges if _none(table, key)]
    if bare:
        where = " and ".join(bare)
        yield Check("warn", "edge metal", _METAL, f"No metal at the {where}: a shingle roof needs it there.")
    else:
        dressed = " and ".join(edge for edge, _ in edges).capitalize()
        yield Check("pass", "edge metal", _METAL, f"{dressed} have edge metal.")
    if not runs:
        return
    good = table.lap >= 2 * INCH
    yield Check(
        "pass" if good else "warn",
        "edge metal lap",
        _METAL,
        f"Pieces lap {size_text(tape, table.lap)}, the upper over the lower"
        + ("." if good else "; 2 in is the least."),
    )
    yield Check(
        "note",
        "edge metal and underlayment",
        _METAL,
        "Eave metal first, then the underlayment over it"
        + (", then the rake metal over that" if building.lines_of("rake") else "")
        + "; the metal reaches 2 in or more onto the deck and 1/4 in or more below it.",
    )
    if table.eave:
        yield Check(
            "note",
            "eave metal at the corners",
            _PRACTICE,
            f"Eave metal runs {size_text(tape, table.corner)} past each corner: notch it and fold it round.",
        )
    if has_rakes and not _none(table, table.rake):
        yield Check("note", "rake metal", _PRACTICE, _rake_note(job, building))


def _none(table: DripEdgeTable, key: str | None) -> bool:
    """Tell whether an edge goes without metal, by its own key or because it follows the eave."""
    return (table.eave if key == "eave" else key) is None


def _rake_note(job: Job, building: Building) -> str:
    start = "Rake metal starts mitred at the eave and is laid upwards"
    if building.high is not None and _none(job.drip_edge, job.drip_edge.high):
        return f"{start}, cut off plumb at the high edge."
    if building.high is not None:
        return f"{start}; the high edge's metal goes on last and folds down over its upper end."
    fold = size_text(job.tape, job.drip_edge.fold)
    if len(building.planes) != 2 or not building.lines_of("ridge"):
        lap = f"; at a break the upper laps the lower {size_text(job.tape, job.drip_edge.lap)}"
        return (
            f"{start}{lap if building.lines_of('break') else ''}; where two planes meet at a ridge, leave "
            f"one side's upper ends loose until the other is decked, then fold them {fold} over the peak."
        )
    first, second = (plane.name for plane in building.planes)
    return (
        f"{start}; leave the {first}'s upper ends loose until the {second} is decked, then fold them {fold} "
        f"over the peak and trim the {second}'s at the peak."
    )


def _fascia_checks(job: Job, building: Building, runs: tuple[Run, ...]) -> Iterator[Check]:
    for run in runs:
        jointed = run.seams != ()
        rakes = bool(building.lines_of("rake"))
        ends = "; the rake boards cover its ends" if job.rake_board and rakes else ""
        ends += "; mitred at hips and valleys" if building.lines_of("hip", "valley") else ""
        yield Check(
            "note",
            "fascia joints",
            _PRACTICE,
            f"{run.label}: {size_text(job.tape, run.length)}, "
            + f"{'joints, if any, on the middle of rafter tails' if jointed else 'in one piece'}{ends}.",
        )


def _rake_checks(table: RakeBoardTable, job: Job, building: Building, book: Book) -> Iterator[Check]:
    wide = book.one(table.material, "rake_board.material").width
    if not building.lines_of("rake"):
        return
    pitches = dict.fromkeys(plane.pitch for plane in building.planes)
    slant = " or ".join(size_text(job.tape, rake_slant(wide, pitch)) for pitch in pitches)
    foot, top = table.foot or job.tails, "peak" if building.high is None else "high edge"
    ends = (
        "both ends slant alike, so boards cut one after the other share a cut"
        if foot == "plumb"
        else "the foot is square"
    )
    if building.lines_of("break"):
        ends = "at the break both are mitred to half the angle between them"
    yield Check(
        "note",
        "plumb cuts",
        "arithmetic: board width x rise / run",
        f"Rake boards {size_text(job.tape, wide)} wide: plumb cut at the {top}, its long point {slant} "
        f"beyond its short point; {ends}.",
    )


def _assumptions(job: Job, building: Building) -> Iterator[Assumption]:
    if "lap" not in job.drip_edge.model_fields_set:
        yield Assumption(
            "drip_edge.lap", "2 in", "pieces of edge metal lap 2 in, the least a code asks for", "3 in"
        )
    if job.fascia is None:
        yield Assumption("fascia", None, "no fascia boards", {})
    if job.rake_board is None and building.lines_of("rake"):
        yield Assumption("rake_board", None, "no rake boards", {})
