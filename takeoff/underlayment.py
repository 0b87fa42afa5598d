"""Underlayment and ice barrier: rolls laid in courses up the slope, their laps, their nails."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from optimizer.errors import InputError
from optimizer.lengths import INCH, MILLIMETRE, size_text
from optimizer.words import Count, Run
from takeoff.book import Book, Item
from takeoff.building import Building, Plane, slope_of
from takeoff.cover_job import IceBarrierTable, UnderlaymentTable
from takeoff.cover_planes import Face, Row, has_eave, rows_up, sides, top_past
from takeoff.cover_stock import cut_to_length
from takeoff.job import Job
from takeoff.needs import Assumption, ByArea, Check, Needed

__all__ = ["barrier_reach", "underlayment_needs"]

_PRACTICE = "common practice, no source"
_LAPS = "IRC Table R905.1.1(2); NAVEDTRA 14044, roof construction"
_LOW = "NAVEDTRA 14044, roof construction"
_ICE = "IRC R905.1.2, page seen (secondary)"
_CAPS = "one maker's sheet, page seen (secondary)"
_BARRIER, _FELT = 22, 24
"""Both go on after the eave metal and before the rake metal."""

_STEEP = 8
"""In 12: from here on editions of the code until 2021 ask for a least length up the slope."""


def underlayment_needs(job: Job, building: Building, book: Book) -> Needed:
    """
    Ask for the rolls under the shingles, with their nails and the checks on both.

    Raises
    ------
    InputError
        If the book lacks a roll or its width, or a lap is wider than the roll.
    """
    runs: list[Run] = []
    checks: list[Check] = []
    rough: list[ByArea] = []
    barrier = job.ice_barrier
    covered = dict.fromkeys((plane.name for plane in building.planes), 0)
    if barrier is not None:
        checks += _barrier_checks(job, barrier, building)
        if not barrier.unheated_detached:
            rolls = _Rolls(job, book, barrier.material, "ice_barrier")
            for half, plane in enumerate(building.planes):
                own = _barrier_runs(barrier, rolls, job, building, plane, half)
                runs += own
                if own:
                    covered[plane.name] = own[-1].bottom + rolls.width
            rough.append(rolls.by_area("ice barrier", runs))
    table = job.underlayment
    counts: tuple[Count, ...] = ()
    if table is not None:
        rolls = _Rolls(job, book, table.material, "underlayment")
        felt = []
        for half, plane in enumerate(building.planes):
            felt += _felt_runs(table, rolls, job, building, plane, half, covered[plane.name])
        felt += _valley_runs(table, building)
        runs += felt
        counts = (_cap_nails(table, rolls, felt, job),)
        rough.append(rolls.by_area("underlayment", felt))
        checks += _felt_checks(job, table, building, rolls)
    return Needed(
        runs=tuple(runs),
        counts=counts,
        checks=tuple(checks),
        assumptions=tuple(_assumptions(job)),
        by_area=tuple(rough),
    )


@dataclass(frozen=True, slots=True)
class _Rolls:
    """The rolls of one layer, and what its courses are made of."""

    job: Job
    book: Book
    material: str
    key: str

    @property
    def sizes(self) -> tuple[Item, ...]:
        return cut_to_length(self.material, f"{self.key}.material", self.book)

    @property
    def width(self) -> int:
        widths = {item.width for item in self.sizes}
        if 0 in widths:
            raise InputError(f"the price book gives no width for {self.material!r}", f"{self.key}.material")
        if len(widths) > 1:
            raise InputError(
                f"the price book gives {self.material!r} in several widths; each needs its own key",
                f"{self.key}.material",
            )
        return widths.pop()

    def exposure(self, lap: int) -> int:
        """
        Give how far each course rises over the last, in base units.

        Raises
        ------
        InputError
            If the book gives the roll no width or several, or the lap leaves nothing of it.
        """
        if lap >= self.width:
            raise InputError(
                f"a lap of {size_text(self.job.tape, lap)} leaves nothing of a roll "
                f"{size_text(self.job.tape, self.width)} wide",
                f"{self.key}.side_lap",
            )
        return self.width - lap

    def by_area(self, layer: str, runs: Sequence[Run]) -> ByArea:
        """Count rolls by the area they cover and a tenth more, end laps left out as the habit is."""
        length = sum(run.length for run in runs)
        return ByArea(
            layer,
            self.material,
            tuple((item.key, -(-length * 11 // (10 * item.length))) for item in self.sizes),
        )


def _runs(
    rows: Sequence[Row],
    name: str,
    layer: str,
    mark: str,
    needed: int,
    table: UnderlaymentTable | IceBarrierTable,
) -> list[Run]:
    """Give the runs of courses from the bottom up, each staggered against the one below."""
    runs: list[Run] = []
    for row in rows:
        runs.append(
            Run(
                f"{name}, course {row.number}",
                table.material,
                row.length,
                table.end_lap,
                min(table.shortest, row.length),
                mark=f"{mark}{row.number}",
                needed=needed,
                layer=layer,
                begins=row.begins,
                bottom=row.bottom,
                beside=runs[-1].label if runs and table.offset else "",
                stagger=table.offset if runs else 0,
            )
        )
    return runs


def barrier_reach(table: IceBarrierTable, job: Job, building: Building, plane: Plane) -> int:
    """
    Give how far up the slope an ice barrier must reach, from the deck's lower edge.

    Level, from the edge to the wall line and so far inside: (overhang + wall + inside) x slope factor.
    """
    level = building.eave.deck + job.wall_thickness + table.inside
    steep = table.steep if plane.pitch * 12 >= _STEEP else 0
    return max(slope_of(level, plane.pitch), steep)


def _barrier_runs(
    table: IceBarrierTable, rolls: _Rolls, job: Job, building: Building, plane: Plane, half: int
) -> list[Run]:
    if not has_eave(building, plane):
        return []
    # Over a hip, and past a valley, as far as one roll laps the next: a butt joint there would leak.
    left, right = sides(building, plane, 0, table.end_lap, table.end_lap)
    reach = min(barrier_reach(table, job, building, plane), plane.slope)
    exposure = rolls.exposure(table.side_lap)
    rows = rows_up(Face(plane, left, right, 0, plane.slope), rolls.width, exposure, reach - table.side_lap)
    layer = f"{plane.name} ice barrier"
    return _runs(rows, layer, layer, f"{plane.mark}I", _BARRIER + half, table)


def _layers(table: UnderlaymentTable, plane: Plane) -> int:
    return table.layers or (2 if plane.pitch * 12 < 4 else 1)


def _felt_runs(
    table: UnderlaymentTable,
    rolls: _Rolls,
    job: Job,
    building: Building,
    plane: Plane,
    half: int,
    covered: int,
) -> list[Run]:
    """Give the courses of one plane; where there are two layers a starter strip goes below them."""
    left, right = sides(building, plane, 0, table.over_ridge, table.over_ridge)
    start = max(covered - (job.ice_barrier.under_felt if job.ice_barrier else 0), 0) if covered else 0
    double = _layers(table, plane) == 2
    lap = _side_lap(table, rolls, plane)
    top = plane.slope + _past_top(table, job, building, plane)
    face = Face(plane, left, right, 0, top)
    rows = rows_up(face, rolls.width, rolls.exposure(lap), top if double else top - lap, start)
    layer = f"{plane.name} underlayment"
    runs = _runs(rows, layer, layer, f"{plane.mark}U", _FELT + half, table)
    if double and runs:
        strip = replace(runs[0], label=f"{layer}, starter strip", mark=f"{plane.mark}U0")
        beside = strip.label if table.offset else ""
        runs = [strip, replace(runs[0], beside=beside, stagger=table.offset), *runs[1:]]
    return runs


def _valley_runs(table: UnderlaymentTable, building: Building) -> Iterator[Run]:
    """Give a sheet up every valley, laid before the courses that lap over it from both sides."""
    for number, line in enumerate(building.lines_of("valley"), start=1):
        length = line.length + table.over_ridge
        yield Run(
            f"{line.label} underlayment",
            table.material,
            length,
            table.end_lap,
            min(table.shortest, length),
            mark=f"VU{number}",
            needed=_FELT,
            layer="valley underlayment",
        )


def _side_lap(table: UnderlaymentTable, rolls: _Rolls, plane: Plane) -> int:
    """Give the side lap; two layers lap by half the roll and an inch more: 19 in of 36, 25 in of 48."""
    return rolls.width // 2 + INCH if _layers(table, plane) == 2 else table.side_lap


def _past_top(table: UnderlaymentTable, job: Job, building: Building, plane: Plane) -> int:
    """Give how far the layer runs past the deck's upper edge: over a ridge, to a slot's edge, to metal."""
    past = top_past(job, building, plane)
    return past if plane.top == "high edge" or past < 0 else table.over_ridge


def _cap_nails(table: UnderlaymentTable, rolls: _Rolls, runs: Sequence[Run], job: Job) -> Count:
    """Count the nails of every course: a row along its side lap, further rows up to the next."""
    along_lap = table.lap_spacing or (6 * INCH if job.rules == "windy" else table.nail_spacing)
    rows = -(-rolls.exposure(table.side_lap) // table.row_spacing)
    number = 0
    for run in runs:
        number += -(-run.length // along_lap) + 1
        number += (rows - 1) * (-(-run.length // table.nail_spacing) + 1)
    return Count("underlayment nails", table.nail.material, number)


def _barrier_checks(job: Job, table: IceBarrierTable, building: Building) -> Iterator[Check]:
    if table.unheated_detached:
        yield Check(
            "pass",
            "ice barrier",
            "IRC R905.1.2, exception, from memory (not re-checked)",
            "A detached building without a heated floor needs no ice barrier.",
        )
        return
    for plane in building.planes:
        if has_eave(building, plane):
            reach = barrier_reach(table, job, building, plane)
            yield Check(
                "pass",
                "ice barrier",
                _ICE,
                f"{plane.name}: {size_text(job.tape, reach)} up the slope from the eave, "
                f"{size_text(job.tape, table.inside)} or more inside the wall line measured level.",
            )


def _felt_checks(job: Job, table: UnderlaymentTable, building: Building, rolls: _Rolls) -> Iterator[Check]:
    tape = job.tape
    yield from _layer_checks(job, table, building, rolls)
    good = table.end_lap >= 4 * INCH - INCH // 16 and table.offset >= 1800 * MILLIMETRE
    yield Check(
        "pass" if good else "warn",
        "underlayment end laps",
        _LAPS,
        f"One roll laps the next by {size_text(tape, table.end_lap)}; end laps of neighbouring courses lie "
        f"{size_text(tape, table.offset)} or more apart"
        + ("." if good else "; 4 in and 6 ft are the least."),
    )
    yield from _felt_notes(job, table, building)


def _felt_notes(job: Job, table: UnderlaymentTable, building: Building) -> Iterator[Check]:
    """Tell what no number of the job is held against: edges, nails, wind, valleys, ice."""
    tape = job.tape
    yield Check(
        "note",
        "underlayment at the edges",
        f"{_LOW}; IRC R905.2.8.5, page seen (secondary)",
        "Over the metal at the eaves"
        + (", trimmed flush at the rakes and under the metal there; " if building.lines_of("rake") else "; ")
        + _top_words(job, table, building),
    )
    yield Check(
        "note",
        "underlayment nails",
        _CAPS,
        f"Cap nails {size_text(tape, table.nail_spacing)} apart along a course, rows "
        f"{size_text(tape, table.row_spacing)} apart. In high wind a code asks for 6 in along side laps and "
        "12 in elsewhere, from memory (not re-checked).",
    )
    if job.rules == "windy":
        yield Check(
            "note",
            "underlayment in wind",
            "FEMA fact sheet 19",
            "From 120 mph design wind: tape the joints of the deck with self-adhered strips 4 in wide, then "
            "lay felt 30.",
        )
    if building.lines_of("valley"):
        yield Check(
            "note",
            "underlayment in valleys",
            _PRACTICE,
            "One sheet the width of a roll lies up every valley, its middle on the line, below the courses "
            "of both sides.",
        )
    if job.ice_barrier is None:
        yield Check(
            "note",
            "ice barrier",
            f"{_ICE}; the exception from memory (not re-checked)",
            "None here. Where ice dams occur the code asks for one, to 24 in inside the wall line, except on "
            "detached buildings without a heated floor: see [ice_barrier].",
        )


def _layer_checks(job: Job, table: UnderlaymentTable, building: Building, rolls: _Rolls) -> Iterator[Check]:
    for plane in building.planes:
        low = plane.pitch * 12 < 4
        lap = size_text(job.tape, _side_lap(table, rolls, plane))
        if _layers(table, plane) == 2:
            yield Check(
                "pass",
                "underlayment layers",
                _LOW,
                f"{plane.name}: two layers, each course over {lap} of the one below, on a starter strip "
                f"{lap} wide torn from a roll.",
            )
        elif low:
            yield Check(
                "warn",
                "underlayment layers",
                _LOW,
                f"{plane.name}: one layer; below 4 in 12 shingles need two.",
            )
        else:
            good = table.side_lap >= 50 * MILLIMETRE
            yield Check(
                "pass" if good else "warn",
                "underlayment layers",
                _LAPS,
                f"{plane.name}: one layer, upper course over lower by {lap}"
                + ("." if good else "; 2 in is the least."),
            )


def _top_words(job: Job, table: UnderlaymentTable, building: Building) -> str:
    if all(plane.top == "high edge" for plane in building.planes):
        return "at the high edge under its metal."
    if job.ridge_slot is not None:
        return "cut off at the edge of the ridge slot."
    lines = ((building.lines_of("ridge"), "ridge"), (building.lines_of("hip"), "hip"))
    where = " and ".join(f"{name}s" if len(found) > 1 else name for found, name in lines if found)
    if not where:
        return "at the top as the next plane or wall asks for."
    return f"each side laps {size_text(job.tape, table.over_ridge)} over the {where}."


def _assumptions(job: Job) -> Iterator[Assumption]:
    table = job.underlayment
    if table is not None and "end_lap" not in table.model_fields_set:
        yield Assumption("underlayment.end_lap", "4 in", "rolls of underlayment lap 4 in end to end", "6 in")
