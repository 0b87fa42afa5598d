"""take_off(): asks every trade in turn and adds their answers into one Takeoff."""

from __future__ import annotations

from collections import Counter

from optimizer.errors import InputError
from optimizer.words import Saw
from takeoff.assumptions import assumed
from takeoff.book import Book
from takeoff.building import Building, building_of
from takeoff.carry import carry_checks
from takeoff.checks import roof_checks
from takeoff.cover import cover_needs
from takeoff.coverage import coverage_needs
from takeoff.edges import edge_needs
from takeoff.fasteners import fastener_needs, with_waste
from takeoff.flashing import flashing_needs
from takeoff.floor import floor_needs
from takeoff.frame_nails import frame_nail_needs
from takeoff.framing import roof_frame_needs
from takeoff.free_parts import part_needs
from takeoff.frieze import frieze_needs
from takeoff.job import Job
from takeoff.needs import Member, Needed, Takeoff
from takeoff.openings import door_needs
from takeoff.roof import is_metric, panel_sizes, roof_needs
from takeoff.rules import rules_of
from takeoff.siding import siding_needs
from takeoff.site import cautions, dimensions, measurements, plane_views, work_steps
from takeoff.soffit import soffit_needs
from takeoff.wall_frame import wall_frame_needs
from takeoff.walls import wall_needs
from takeoff.windows import window_needs

__all__ = ["take_off"]


def take_off(job: Job, book: Book) -> Takeoff:
    """
    Work out all that a job needs, with the checks made and the assumptions it stands on.

    Raises
    ------
    InputError
        If the job contradicts itself, breaks a rule that nothing may break, or names what the book lacks.
    """
    panels = panel_sizes(job, book)
    rules = rules_of(job, is_metric(panels))
    building = building_of(job, book)
    checks = roof_checks(job, building, book, rules)
    needs = (
        roof_needs(job, building, book, rules),
        edge_needs(job, building, book),
        cover_needs(job, building, book),
        door_needs(job, book),
        *(
            with_waste(need, job, book)
            for need in (
                wall_needs(job, building, book),
                siding_needs(job, building, book),
                window_needs(job, book),
            )
        ),
        fastener_needs(job, building, book),
        part_needs(job, book),
    )
    outside = (*needs, *_closing_needs(job, building, book))
    coverage = coverage_needs(job, building, book, outside)
    needs = (*outside, *_frame_needs(job, building, book), coverage)
    _check_names(job, needs)
    return Takeoff(
        title=job.title,
        unit=job.tape,
        surfaces=tuple(surface for need in needs for surface in need.surfaces),
        runs=tuple(run for need in needs for run in need.runs),
        parts=tuple(part for need in needs for part in need.parts),
        counts=tuple(count for need in needs for count in need.counts),
        saw=Saw(sheet=job.kerf, board=job.kerf),
        spare=tuple(spare for spare in _spares(job, needs) if spare[1]),
        dimensions=dimensions(job, building, panels),
        checks=(
            *checks,
            *(check for need in needs for check in need.checks),
            *carry_checks(job, book, needs),
        ),
        assumptions=assumed(job, building, book)
        + tuple(assumption for need in needs for assumption in need.assumptions),
        steps=_in_order(work_steps(job, building, panels, rules), needs),
        measure=measurements(job, building) + tuple(row for need in needs for row in need.measure),
        cautions=cautions(building),
        members=_as_built(needs),
        views=tuple(view for need in needs for view in need.views),
        by_area=tuple(rough for need in needs for rough in need.by_area),
        planes=plane_views(building),
    )


def _closing_needs(job: Job, building: Building, book: Book) -> tuple[Needed, ...]:
    """Ask what closes the roof against the walls: soffit, frieze, flashing."""
    return (
        soffit_needs(job, building, book),
        frieze_needs(job, building, book),
        flashing_needs(job, building, book),
    )


def _frame_needs(job: Job, building: Building, book: Book) -> tuple[Needed, ...]:
    """Ask the trades that frame, and count their nails together."""
    frame = (
        roof_frame_needs(job, building, book),
        wall_frame_needs(job, building, book),
        floor_needs(job, building, book),
    )
    return (*frame, frame_nail_needs(job, book, frame))


def _spares(job: Job, needs: tuple[Needed, ...]) -> tuple[tuple[str, int], ...]:
    """Give the spare panels asked for: of the roof, then of what else is laid in panels."""
    spares: Counter[str] = Counter({job.panel: job.spare})
    for need in needs:
        spares.update(dict(need.spare))
    return tuple(spares.items())


def _as_built(needs: tuple[Needed, ...]) -> tuple[Member, ...]:
    """List the frame in the order it goes up: that in which its parts are wanted."""
    wanted = {part.label: part.needed for need in needs for part in need.parts}
    members = (member for need in needs for member in need.members)
    return tuple(sorted(members, key=lambda member: wanted[member.label]))


def _in_order(roof: tuple[str, ...], needs: tuple[Needed, ...]) -> tuple[str, ...]:
    """Put the steps of every trade before or after those of the roof's deck."""
    steps = sorted((step for need in needs for step in need.steps), key=lambda step: step.when)
    before = (step.words for step in steps if step.when < 0)
    return (*before, *roof, *(step.words for step in steps if step.when >= 0))


def _check_names(job: Job, needs: tuple[Needed, ...]) -> None:
    """Refuse a part of the job's own that is named like something else in the plan."""
    labels: Counter[str] = Counter()
    for need in needs:
        labels.update(surface.label for surface in need.surfaces)
        labels.update(run.label for run in need.runs)
        labels.update(part.label for part in need.parts)
    for place, table in enumerate(job.part, start=1):
        if labels[table.name] > 1:
            raise InputError(
                f"{table.name!r} already names something else in the plan; choose another name",
                f"part[{place}].name",
            )
