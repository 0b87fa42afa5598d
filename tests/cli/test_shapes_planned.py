"""Small roofs of every shape, planned, audited and drawn from end to end."""

from __future__ import annotations

from collections import Counter
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from small_jobs import job_of

from cli.batches import gather
from cli.cutting_text import set_ups
from cli.draw import sheet
from cli.draw_lay import half
from cli.draw_shaped import shaped
from cli.paper import BOX_MARKS
from cli.shaping_text import shaping_set_ups
from cli.tracing import box_of
from optimizer.engine import Clock
from optimizer.lengths import INCH
from optimizer.plan import Plan
from optimizer.solve import cheapest_plan
from optimizer.words import Problem, Surface
from takeoff.building import building_of
from takeoff.roof import roof_needs
from takeoff.rules import rules_of
from takeoff.sizes import standard_book

BOOK = standard_book()
SMALL: dict[str, Any] = {"eave_overhang": "6 in"}
SHAPES: dict[str, dict[str, Any]] = {
    "pyramid": {"roof": "pyramid", "length": "8 ft", "width": "8 ft"},
    "hip": {"roof": "hip", "length": "10 ft", "width": "7 ft"},
    "gambrel": {
        "roof": "gambrel",
        "pitch": 15,
        "length": "8 ft",
        "width": "8 ft",
        "gambrel": {"upper_pitch": 5, "break_at": "2 ft"},
    },
    "L": {"roof": "L", "length": "10 ft", "width": "6 ft", "wing": {"length": "3 ft"}},
    "uneven": {"length": "8 ft", "width": "8 ft", "ridge_from": "3 ft"},
    "planes": {
        "roof": "planes",
        "plane": [
            {
                "name": "lean-to",
                "corners": [["0 ft", "0 ft"], ["12 ft", "0 ft"], ["12 ft", "4 ft"], ["2 ft", "6 ft"]],
            }
        ],
    },
}


@pytest.fixture(scope="module", params=SHAPES)
def planned(request: pytest.FixtureRequest) -> tuple[Problem, Plan]:
    """Plan one roof; `cheapest_plan` lets nothing through that its audit complains of."""
    job = job_of(**SMALL, **SHAPES[request.param])
    surfaces = roof_needs(job, building_of(job, BOOK), BOOK, rules_of(job)).surfaces
    stocks = tuple(item.stock() for key in (job.panel, job.blocking) for item in BOOK.sizes(key))
    problem = Problem(stocks, surfaces)
    return problem, cheapest_plan(problem, Clock(60.0), ties=False)


def twice(corners: tuple[tuple[int, int], ...]) -> int:
    ring = (*corners, corners[0])
    return sum(x * v - u * y for (x, y), (u, v) in pairwise(ring))


def whole(surface: Surface) -> tuple[tuple[int, int], ...]:
    return surface.outline or box_of(0, 0, surface.length, surface.height)


def test_pieces_cover_their_planes(planned):
    """The pieces' areas add up to the plane's, less what gaps and slack leave open."""
    problem, plan = planned
    for surface in problem.surfaces:
        courses = [course for course in plan.lay if course.plane == surface.label]
        laid = sum(
            twice(piece.corners or box_of(piece.start, 0, piece.end - piece.start, course.width)) / 2
            for course in courses
            for piece in course.pieces
        )
        area = twice(whole(surface)) / 2
        open_at_most = len(courses) * surface.length * INCH + surface.height * INCH * sum(
            len(course.pieces) for course in courses
        )
        assert area - open_at_most <= laid <= area


def test_every_piece_is_cut_in_its_shape(planned):
    """Each label is cut once; a slanting piece has slanting cuts, and words for them."""
    _, plan = planned
    laid = {piece.label: piece for course in plan.lay for piece in course.pieces}
    cut = Counter(piece.label for one in plan.cut for piece in one.pieces for _ in range(one.repeat))

    assert cut == Counter(dict.fromkeys(laid, 1))
    for one in plan.cut:
        slants = {step.label for step in one.shaping}
        assert slants == {piece.label for piece in one.pieces if piece.corners}
    for batch in gather(plan.cut):
        told = " ".join(step.words for step in shaping_set_ups(batch, "in"))
        assert bool(told) == bool(batch.first.shaping)


@pytest.mark.parametrize("columns", [78, 118])
def test_every_plane_and_sheet_is_drawn_inside_its_page(planned, columns):
    """At 80 and at 120 columns each piece of every plane is named, in the drawing or under it."""
    problem, plan = planned
    for surface in problem.surfaces:
        courses = [course for course in plan.lay if course.plane == surface.label]
        views = (
            half(courses, surface.height, columns, "in", BOX_MARKS)
            if surface.plain
            else shaped(surface, courses, columns, "in", BOX_MARKS, numbered=True)
        )
        told = " ".join([*(line for view in views for line in view.lines), *views[-1].unnamed])
        assert all(len(line) <= columns for view in views for line in view.lines)
        assert all(piece.label in told for course in courses for piece in course.pieces)
    for batch in gather(plan.cut):
        steps = (*set_ups(batch, "sheet", "in"), *shaping_set_ups(batch, "in"))
        numbered = [(number, saw) for number, step in enumerate(steps, 1) for saw in step.cuts]
        rows = sheet(batch, numbered, 48, Fraction(batch.first.length, 47), "in", BOX_MARKS)
        assert max(map(len, rows)) <= 48


def test_a_hips_two_halves_are_mirror_images():
    """The two sides and the two ends of a hip are alike, and each is its own mirror image."""
    job = job_of(**SMALL, **SHAPES["hip"])
    front, far, left, right = (building_of(job, BOOK)).planes

    assert (front.outline, front.rafters) == (far.outline, far.rafters)
    assert (left.outline, left.rafters) == (right.outline, right.rafters)
    for plane in (front, left):
        assert {(plane.length - x, y) for x, y in plane.outline} == set(plane.outline)
        assert {plane.length - rafter.at for rafter in plane.rafters} == {r.at for r in plane.rafters}
