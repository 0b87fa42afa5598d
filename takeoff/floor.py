"""The floor: tongue-and-groove panels in courses across joists, and the joists, rims and sills under them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

from optimizer.errors import InputError
from optimizer.lengths import INCH, size_text
from optimizer.words import Count, Run, SeamRule, Support, Surface
from takeoff.book import Book, Item
from takeoff.building import Building
from takeoff.counted import counted_with_waste, stocked
from takeoff.frame_job import FloorTable
from takeoff.frame_pieces import FramePiece, needed_of, own_or
from takeoff.framed_walls import stud_lines
from takeoff.framing import joist_pieces
from takeoff.job import Job, RuleTable
from takeoff.needs import Assumption, Check, Needed, Step, View
from takeoff.roof import is_metric
from takeoff.rules import rules_of
from takeoff.spans import SPACING_TOLERANCE

__all__ = ["Floor", "floor_needs", "floor_of"]

_PRACTICE = "common practice, no source"
_SPAN = "IRC Table R503.2.1.1(1), second number of the rating; from memory (not re-checked)"
_SILLS, _JOISTS, _PANELS = 0, 1, 2
NAME = "floor"


@dataclass(frozen=True, slots=True)
class Floor:
    """
    The floor's frame: outside lengths, and the joists' centres from the left end of the panels' courses.

    Parameters
    ----------
    length, width
        Along the panels' courses, which lie across the joists; and along the joists.
    rim
        Thickness of the boards across the joists' ends; 0 for none.
    """

    table: FloorTable
    length: int
    width: int
    joist: str | None
    thick: int
    rim: int
    rim_material: str | None
    joists: tuple[int, ...]
    sizes: tuple[Item, ...]


def floor_of(job: Job, building: Building, book: Book) -> Floor | None:
    """
    Give the floor that a job asks for; joists run across the building unless the job gives sizes of its own.

    Raises
    ------
    InputError
        If the book lacks a material, or joists would touch.
    """
    table = job.floor
    if table is None:
        return None
    sizes = book.require(table.panel, "floor.panel")
    if any(item.kind != "sheet" for item in sizes):
        raise InputError(f"{table.panel!r} is not a sheet in the price book", "floor.panel")
    length, width = table.length or building.along, table.width or building.span
    thick = book.one(table.joist, "floor.joist").thickness if table.joist else table.joist_thickness
    material = own_or(table.rim, "joist", table.joist)
    rim = book.one(material, "floor.rim").thickness if material else 0
    if table.joist_spacing <= thick:
        raise InputError("joists stand closer than they are thick", "floor.joist_spacing")
    if length < 2 * thick or width <= 2 * rim:
        raise InputError("the floor is too small for two joists and their rims", "floor")
    joists = stud_lines(0, length, table.joist_spacing, thick)
    return Floor(table, length, width, table.joist, thick, rim, material, joists, sizes)


def floor_needs(job: Job, building: Building, book: Book) -> Needed:
    """Ask for the floor's panels and frame, with what fastens them and the checks on them."""
    floor = floor_of(job, building, book)
    if floor is None:
        return Needed()
    surface = _surface(floor, job)
    sawn = _sawn_joints(floor, surface)
    frame = needed_of(_frame(floor, sawn, book))
    found = replace(
        frame,
        surfaces=(surface,),
        runs=tuple(_runs(floor, book)),
        checks=tuple(_checks(floor, surface, sawn, job)),
        assumptions=tuple(_assumptions(floor)),
        spare=((floor.table.panel, floor.table.spare),),
        steps=tuple(_steps(floor, job)),
        views=(View(NAME, "seen from above", "the first wall", "far wall", "the joists"),),
    )
    return stocked(found, book, (_nails(floor, surface, job),))


def _surface(floor: Floor, job: Job) -> Surface:
    """Give the deck: the usual rules whatever those of the roof, for neither wind nor rakes reach it."""
    usual = job.model_copy(update={"rules": "usual", "rule": RuleTable.model_validate({})})
    rules = rules_of(usual, is_metric(floor.sizes))
    return Surface(
        label=NAME,
        material=floor.table.panel,
        length=floor.length,
        height=floor.width,
        supports=tuple(
            Support(at, seam=0 < place < len(floor.joists) - 1) for place, at in enumerate(floor.joists)
        ),
        rule=SeamRule(
            gap=rules.gap.value,
            min_supports=min(rules.supports.value, len(floor.joists)),
            shortest=rules.shortest.value,
            stagger=max(rules.stagger.value, floor.table.joist_spacing),
            narrowest=min(rules.narrowest.value, floor.width),
            end_slack=rules.end_slack.value,
            top_slack=rules.ridge_slack.value,
        ),
        mark="fl",
        needed=_PANELS,
    )


def _sawn_joints(floor: Floor, surface: Surface) -> int:
    """
    Count the joints between courses that lose tongue or groove to the saw.

    Full courses begin at the first wall and the last one is ripped at the far wall, where nothing joins it.
    Only where that one would be too narrow do two share the cut, and the lower one loses its edge.
    """
    rule = surface.rule
    module = max(item.width for item in floor.sizes) + rule.gap
    height = floor.width + rule.gap
    courses = -(-(height - rule.top_slack) // module)
    return int(courses > 1 and height - (courses - 1) * module < rule.narrowest)


def _frame(floor: Floor, sawn: int, book: Book) -> Iterator[FramePiece]:
    if floor.joist is None:
        return
    yield from joist_pieces(
        "floor joist",
        floor.joist,
        "floor.joist",
        floor.width - 2 * floor.rim,
        len(floor.joists),
        floor.table.joist_lap,
        "square, crown up",
        _JOISTS,
        book,
    )
    for _ in range(sawn):
        for before, after in pairwise(floor.joists):
            if after - before > floor.thick:
                clear = after - before - floor.thick
                yield FramePiece("floor blocking", floor.joist, clear, "square", needed=_JOISTS)


def _runs(floor: Floor, book: Book) -> Iterator[Run]:
    """Give rim boards and sill plates round the foot of the floor, jointed where joists are."""
    table, inside = floor.table, floor.joists[1:-1]
    if floor.rim_material:
        for name, mark in (("first", "r1"), ("far", "r2")):
            label = f"{name} rim of the floor"
            yield _run(label, floor.rim_material, floor.length, inside, mark, _JOISTS, table, book)
    if table.sill:
        between = floor.width - 2 * book.one(table.sill, "floor.sill").width
        across = tuple(range(table.joist_spacing, between, table.joist_spacing))
        for name, mark, length, joints in (
            ("first", "q1", floor.length, inside),
            ("far", "q2", floor.length, inside),
            ("left", "q3", between, across),
            ("right", "q4", between, across),
        ):
            yield _run(f"{name} sill", table.sill, length, joints, mark, _SILLS, table, book)


def _run(
    label: str,
    material: str,
    length: int,
    joints: tuple[int, ...],
    mark: str,
    needed: int,
    table: FloorTable,
    book: Book,
) -> Run:
    """Give a run in one piece where a board is long enough, else jointed where `joints` say."""
    longest = max(item.length for item in book.require(material, "floor"))
    shortest = min(table.shortest, length)
    seams = () if length <= longest else joints
    return Run(label, material, length, shortest=shortest, seams=seams, mark=mark, needed=needed)


def _nails(floor: Floor, surface: Surface, job: Job) -> Count:
    """Count the panels' nails for any lay-out that the rules allow, waste on top."""
    table, rule = floor.table, surface.rule
    courses = -(-floor.width // min(item.width + rule.gap for item in floor.sizes))
    ends = floor.width // table.edge_nails + courses
    field = floor.width // table.field_nails + courses
    least = max(rule.shortest, (rule.min_supports - 1) * table.joist_spacing)
    seams = max(floor.length // max(least, 1) - 1, 0)
    number = 2 * ends + (len(floor.joists) - 2) * field + seams * max(2 * ends - field, 0)
    return counted_with_waste("floor nails", table.nail.material, number, job.fastener.waste_percent)


def _checks(floor: Floor, surface: Surface, sawn: int, job: Job) -> Iterator[Check]:
    tape, table = job.tape, floor.table
    yield from _span_checks(floor, job)
    gap = size_text(tape, surface.rule.gap)
    yield Check(
        "note",
        "tongue-and-groove floor",
        f"APA builder tip on panel spacing; edge support: APA E30V Table 31 note b; the rest {_PRACTICE}",
        f"Long edges interlock and need no blocking; {gap} between ends, on the middle of a joist, "
        "staggered by a joist or more; every panel over three joists or more; groove to the first wall, "
        "tongue outwards. Tap the next panel on with a block; the width in the price book is what a panel "
        "covers less one gap.",
    )
    if sawn:
        yield Check(
            "warn",
            "tongue-and-groove floor",
            _PRACTICE,
            "Full courses would leave the last one too narrow, so two share the cut: the joint between "
            "them has no tongue and gets blocking between the joists"
            + ("." if floor.joist else ", which needs a floor.joist to be listed."),
        )
    if floor.joist is None:
        yield Check("note", "joists", "this job", "No joist lumber is named: the deck alone is listed.")
    yield Check(
        "note",
        "glue and nails",
        "trade journal rule, page seen (secondary); FEMA P-55 p. 9-6 for 6 and 12 in on roofs",
        f"Glue every joist and the groove, nail {size_text(tape, table.edge_nails)} at panel ends and "
        f"{size_text(tape, table.field_nails)} in between before the glue skins over"
        + ("." if job.adhesive else "; the adhesive is not in the list without an [adhesive] table."),
    )
    if table.edge_nails > 6 * INCH or table.field_nails > 12 * INCH:
        yield Check(
            "warn", "floor nail spacing", f"IRC Table R602.3(1); {_PRACTICE}", "At most 6 in and 12 in apart."
        )
    if table.nail.length < 2 * INCH:
        yield Check(
            "warn", "floor nail", _PRACTICE, "Floor nails should be 2 in or longer, deformed shanks best."
        )


def _span_checks(floor: Floor, job: Job) -> Iterator[Check]:
    """Hold the joists' spacing against the second number of the panel's rating."""
    tape = job.tape
    bay = max(after - before for before, after in pairwise(floor.joists))
    wide, panel = size_text(tape, bay), floor.table.panel
    spans = {item.span for item in floor.sizes}
    if None in spans:
        yield Check(
            "warn", "floor span", _SPAN, f"No rating is known for {panel}: read the stamp on the panel."
        )
        return
    rated = min(span[1] for span in spans if span is not None)
    if bay > rated * INCH + SPACING_TOLERANCE:
        raise InputError(
            f"joists {wide} apart are farther than {panel} spans as a floor, {rated} in; name a panel with "
            "a higher second number, or put the joists closer",
            "floor.joist_spacing",
        )
    yield Check("pass", "floor span", _SPAN, f"{panel} spans {rated} in as a floor; joists are {wide} apart.")


def _assumptions(floor: Floor) -> Iterator[Assumption]:
    if "joist_spacing" not in floor.table.model_fields_set:
        yield Assumption("floor.joist_spacing", "16 in", "floor joists 16 in on centre", "12 in")
    if floor.table.sill is None:
        yield Assumption("floor.sill", None, "no sill plates under the floor joists")


def _steps(floor: Floor, job: Job) -> Iterator[Step]:
    if floor.joist:
        yield Step(
            -60, "Level the sills or beams, set the rim and end joists, check the diagonals, then fill in."
        )
    yield Step(
        -59, "Snap a line one panel from the first wall; lay the floor from it, glue a course, nail it."
    )
