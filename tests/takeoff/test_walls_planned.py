"""Walls planned end to end: every wall covered once, doors out of their own openings."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from hypothesis import given, settings
from hypothesis import strategies as st
from small_jobs import job_of

from optimizer.engine import Clock
from optimizer.lengths import INCH
from optimizer.solve import cheapest_plan
from takeoff.collect import take_off
from takeoff.sizes import standard_book


def planned(seconds=20, **keys):
    """Plan the wall skin of a job, and nothing else of it; the plan has passed its audit."""
    book = standard_book()
    problem = take_off(job_of(**{"walls": {}, **keys}), book).problem(book.stocks())
    walls = tuple(surface for surface in problem.surfaces if surface.upright)
    faces = tuple(part for part in problem.parts if part.material == walls[0].material)
    problem = replace(problem, surfaces=walls, parts=faces, runs=(), counts=(), spare=())
    return problem, cheapest_plan(problem, Clock(seconds))


def twice(corners):
    return sum(x * b - a * y for (x, y), (a, b) in pairwise((*corners, corners[0])))


def box(length, height):
    return ((0, 0), (length, 0), (length, height), (0, height))


@settings(deadline=None, max_examples=8)
@given(
    length=st.integers(96, 160),
    width=st.integers(72, 96),
    pitch=st.integers(3, 12),
    door=st.integers(28, 40),
    roof=st.sampled_from(["gable", "single-slope", "hip"]),
)
def test_pieces_add_up_to_the_walls(length, width, pitch, door, roof):
    """What is laid is as large as the walls without their openings: nothing bare, nothing covered twice."""
    problem, plan = planned(
        length=f"{length} in",
        width=f"{width} in",
        pitch=pitch,
        roof=roof,
        rafters=None,
        door=[{"width": f"{door} in", "height": "78 in"}],
        walls={"stud_spacing": "24 in"},
    )
    wanted = sum(
        twice(surface.outline or box(surface.length, surface.height))
        - 2 * sum(hole.length * hole.height for hole in surface.holes)
        for surface in problem.surfaces
    )
    laid = sum(
        twice(piece.corners or box(piece.end - piece.start, course.width))
        - 2 * sum(a * b for _, _, a, b in piece.openings)
        for course in plan.lay
        for piece in course.pieces
    )

    # Corners are rounded to the unit: less than a unit times the length of every seam.
    assert abs(wanted - laid) < 400 * INCH * len(plan.lay)


def test_the_door_of_a_shed_comes_out_of_its_wall():
    """12 x 8 ft, 8 ft panels enough: its face is cut from the opening it closes."""
    problem, plan = planned(
        length="12 ft", width="8 ft", door=[{"width": "36 in", "height": "80 in"}], walls={}
    )

    face = next(part.label for part in problem.parts)
    cut = next(cut for cut in plan.cut if any(piece.label == face for piece in cut.pieces))
    assert any(piece.openings for piece in cut.pieces)
