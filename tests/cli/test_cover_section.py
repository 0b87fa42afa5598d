"""The cover of a roof in the report: courses drawn and tabled, whole strips counted, a takeoff in short."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from dataclasses import replace

import pytest
from rich.console import Console
from sample_report import sample_report
from small_jobs import job_of

from cli.by_area import beside_area
from cli.paper import Paper, paper_for
from cli.plan_json import plan_file
from cli.report import Report
from cli.sections.buy import print_buy
from cli.sections.cut import print_cut
from cli.sections.lay import print_lay
from cli.takeoff_json import takeoff_json
from cli.takeoff_list import print_takeoff
from optimizer.engine import Clock
from optimizer.solve import cheapest_plan
from optimizer.words import Count
from takeoff.book import Book
from takeoff.collect import take_off
from takeoff.sizes import standard_book

BOOK = standard_book()
PRICED = Book(tuple(replace(item, price=1000) for item in BOOK.items))


def report_of(book: Book = BOOK, **keys: object) -> Report:
    """Plan the cover alone of a roof 16 x 10 ft at 6 in 12, in a report that is a sample otherwise."""
    takeoff = take_off(job_of(**{"shingles": {}, "starter": {}, "underlayment": {}} | keys), book)
    problem = takeoff.problem(book.stocks())
    runs = tuple(run for run in problem.runs if run.layer)
    problem = replace(problem, surfaces=(), runs=runs, parts=(), counts=(), spare=())
    plan = cheapest_plan(problem, Clock(20))
    return replace(sample_report(), takeoff=takeoff, book=book, problem=problem, plan=plan)


def printed(report: Report, section: Callable[[Report, Paper], None], width: int = 80) -> str:
    stream = io.StringIO()
    section(report, paper_for(Console(file=stream, width=width), report.takeoff.unit))
    return stream.getvalue()


@pytest.fixture(scope="module")
def report() -> Report:
    return report_of()


def test_alike_courses_share_a_line(report):
    """Slope 80.5 + 3/8 in: 17 courses at 5 in, the pattern of seven told once, with all that follow it."""
    text = printed(report, print_lay)

    assert "Door side shingles" in text
    assert "17 courses, 192-1/2 in (16 ft 1/2 in) along. Lower edges: every 5 in." in text
    assert "1, 8, 15" in text
    assert "31, 4 x 36," in text


def test_the_second_half_is_told_in_a_word(report):
    """Both halves are pieced alike, so the second one's heading says so."""
    text = printed(report, print_lay)

    assert "Far side shingles  the same as door side shingles" in text
    assert text.count("1, 8, 15") == 1


def test_the_lowest_courses_are_drawn(report):
    """Eight courses, the upper ones above, each begun a step farther left than the one below."""
    text = printed(report, print_lay)
    bars = [line for line in text.splitlines() if line[:4].strip().isdigit() and "├" in line]
    shingles = bars[-8:]

    assert [line.split()[0] for line in shingles] == list("87654321")
    firsts = [line.index("┼") for line in shingles]
    assert firsts[1] < firsts[2] < firsts[3] < firsts[4] < firsts[5] < firsts[6] < firsts[7]


@pytest.mark.parametrize("width", [60, 80, 120])
def test_no_line_is_wider_than_the_page(report, width):
    """Bars, tables and words keep to the page."""
    text = printed(report, print_lay, width)

    assert max(map(len, text.splitlines())) <= width


def test_courses_stay_out_of_the_runs_along_the_edges(report):
    """Nothing here runs along an edge."""
    assert "Along the edges" not in printed(report, print_lay)


def test_courses_that_begin_farther_in_are_told():
    """On a hip every course begins somewhere else."""
    text = printed(report_of(roof="hip", width="12 ft"), print_lay)

    assert "Begins at" in text


def test_whole_strips_are_counted_not_listed(report):
    """A whole strip needs no label; an end piece does."""
    text = printed(report, print_cut)

    assert "for the door side shingles" in text
    assert "DS2.2" not in text
    assert "DS2.1" in text


def test_strips_without_waste_are_not_tight(report):
    """A knife takes nothing off, so a strip that is used up needs no thin blade."""
    assert any(cut.tight for cut in report.plan.cut)
    assert "tight" not in printed(report, print_cut)


def test_a_count_by_area_stands_beside_the_plan():
    """Rolls and bundles here, and by area with a tenth added, and the money between them."""
    text = printed(report_of(PRICED), print_buy)

    assert "The cover beside a count by area" in text
    assert "shingles: shingle" in text
    assert "This plan saves" in text


def test_a_count_by_area_without_prices_shows_packs_alone(report):
    """Nothing to save where nothing has a price."""
    text = printed(report, print_buy)

    assert "The cover beside a count by area" in text
    assert "shingles: shingle" in text


def test_rows_by_area_add_up():
    """192-1/2 in x 80-7/8 in a half: 216.3 sq ft and a tenth are 191 strips, 8 bundles of 27."""
    report = report_of(PRICED)
    rows = {row.material: row for row in beside_area(report.takeoff.by_area, report.plan, PRICED.stocks())}
    shingle = rows["shingle"]

    assert shingle.layers == ("shingles",)
    assert (shingle.area_packs, shingle.area_cost) == (8, 8000)
    assert shingle.packs == -(-shingle.used // 27) == shingle.cost // 1000
    assert shingle.saved == 8000 - shingle.cost


def test_the_takeoff_tells_courses_together():
    """Seventeen courses are one line, and what is no course stays as it is."""
    stream = io.StringIO()
    takeoff = take_off(job_of(shingles={}, starter={}), BOOK)
    print_takeoff(takeoff, Console(file=stream, width=100))
    text = stream.getvalue()

    assert "door side shingles, courses 1 to 17" in text
    assert "door side shingles, course 2" not in text
    assert "door side starter " in text
    assert any(isinstance(count, Count) and count.label == "shingle nails" for count in takeoff.counts)


def test_a_takeoff_in_json_tells_how_courses_lie():
    """Layer, place and stagger of every course, and what a count by area would take."""
    told = json.loads(takeoff_json(take_off(job_of(shingles={}), BOOK)))
    second = next(run for run in told["runs"] if run["label"] == "door side shingles, course 2")

    assert (second["layer"], second["bottom"], second["stagger"]) == ("door side shingles", "5", "4")
    assert second["beside"] == "door side shingles, course 1"
    assert told["by_area"] == [
        {"layer": "shingles", "material": "shingle", "pieces": {"shingle bundle": 191}}
    ]


def test_the_json_names_layers(report):
    """Another program can tell which courses belong together, and where each lies."""
    lay = [entry for entry in plan_file(report).lay if entry.layer == "door side shingles"]

    assert len(lay) == 17
    assert [entry.bottom for entry in lay[:3]] == ["0", "5", "10"]
