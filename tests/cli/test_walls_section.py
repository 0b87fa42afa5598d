"""Walls in the report: siding's broken courses in one line, panels from outside, face down in Cut."""

from __future__ import annotations

import io
from dataclasses import replace

import pytest
from rich.console import Console
from sample_report import sample_report
from small_jobs import job_of

from cli.paper import paper_for
from cli.report import Report
from cli.sections.cut import print_cut
from cli.sections.lay import print_lay
from optimizer.engine import Clock
from optimizer.solve import cheapest_plan
from takeoff.collect import take_off
from takeoff.sizes import standard_book

DOOR = {"width": "36 in", "height": "80 in"}


def report_of(siding: bool) -> Report:
    """Plan the walls alone of a shed 12 x 8 ft, or their lap siding alone."""
    book = standard_book()
    keys = {"siding": {}, "walls": {"material": False}} if siding else {"walls": {}}
    takeoff = take_off(job_of(length="12 ft", width="8 ft", door=[DOOR], **keys), book)
    problem = takeoff.problem(book.stocks())
    runs = tuple(run for run in problem.runs if run.layer)
    walls = tuple(surface for surface in problem.surfaces if surface.upright)
    problem = replace(problem, surfaces=walls, runs=runs, parts=(), counts=(), spare=())
    plan = cheapest_plan(problem, Clock(20))
    return replace(sample_report(), takeoff=takeoff, book=book, problem=problem, plan=plan)


def printed(report: Report, section) -> str:
    stream = io.StringIO()
    section(report, paper_for(Console(file=stream, width=80), report.takeoff.unit))
    return stream.getvalue()


@pytest.fixture(scope="module")
def panels() -> Report:
    return report_of(siding=False)


def test_a_course_that_a_door_breaks_is_one_line():
    """Both stretches beside the door are drawn in the line of their course, and tabled by their part."""
    text = printed(report_of(siding=True), print_lay)

    drawn = [line for line in text.splitlines() if line.split()[:1] == ["1"] and "├" in line]
    first = drawn[0]
    assert first.count("├") == 2
    assert "Door side siding  pieces from the left, seen from outside" in text
    assert ", part 1" in text


def test_walls_are_seen_from_outside_with_a_form(panels):
    """A wall's heading says how it is seen; its form asks for framing, heights and the door's place."""
    text = printed(panels, print_lay)

    assert "Door side wall  seen from outside" in text
    assert "door, from the left corner" in text
    assert "Level joints, from the foot" in text


def test_cut_says_that_panels_lie_face_down(panels):
    """Who cuts them must know which face is up."""
    assert "Wall panels lie face down as drawn" in printed(panels, print_cut)
