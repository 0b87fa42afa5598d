"""The printed report: what it says, how wide it is, and that a pipe gets plain text."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import pytest
from rich.console import Console
from sample_report import INCH, sample_report

from cli.console import render
from cli.report import Report


def printed(report: Report, width: int, encoding: str = "utf-8") -> str:
    stream = io.TextIOWrapper(io.BytesIO(), encoding=encoding, newline="\n")
    render(report, Console(file=stream, width=width))
    stream.flush()
    return stream.buffer.getvalue().decode(encoding)


def part(text: str, name: str) -> str:
    """Cut one of the five parts out of a report."""
    parts = re.split(r"^([A-Z]+) [═=]+$", text, flags=re.MULTILINE)
    return parts[parts.index(name) + 1]


def unpriced() -> Report:
    report = sample_report()
    bill = replace(
        report.bill,
        lines=tuple(replace(line, unit_price=None, cost=None) for line in report.bill.lines),
        subtotal=None,
        tax=None,
        total=None,
        unpriced=("osb-7/16 4x8", "2x4 8 ft", "drip-edge 10 ft"),
    )
    problem = replace(
        report.problem, stocks=tuple(replace(stock, price=None) for stock in report.problem.stocks)
    )
    return replace(report, bill=bill, problem=problem, priced=False, comparisons=(), rule_costs=(), remark="")


@pytest.mark.parametrize("width", [80, 100])
def test_reads_as_the_golden_text(golden, width):
    """The whole report, as a person read and approved it."""
    golden(f"console/sample-{width}.txt", printed(sample_report(), width))


def test_reads_as_the_golden_text_without_box_characters(golden):
    """The report for a stream that knows ASCII alone."""
    golden("console/sample-80-ascii.txt", printed(sample_report(), 80, "ascii"))


@pytest.mark.parametrize("width", [40, 60, 72, 80, 97, 120, 200])
@pytest.mark.parametrize("unit", ["in", "mm"])
def test_no_line_is_wider_than_the_console(width, unit):
    """Whatever the width, every line fits it."""
    report = sample_report()
    report = replace(report, takeoff=replace(report.takeoff, unit=unit))

    assert max(map(len, printed(report, width).splitlines())) <= width


def test_a_pipe_gets_no_escape_codes_and_no_blanks_at_line_ends():
    """What goes into a file is plain text."""
    text = printed(sample_report(), 80)

    assert "\x1b" not in text
    assert not [line for line in text.splitlines() if line != line.rstrip()]


def test_has_the_five_parts_in_order():
    """Buy, Cut, Lay, Keep, Check: nothing before its turn."""
    headings = re.findall(r"^([A-Z]+) ═+$", printed(sample_report(), 80), flags=re.MULTILINE)

    assert headings == ["BUY", "CUT", "LAY", "KEEP", "CHECK"]


@pytest.mark.parametrize("width", [60, 80, 120])
def test_every_label_laid_is_also_cut(width):
    """Whoever carries a piece up the ladder finds its label in Cut and in Lay."""
    report = sample_report()
    text = printed(report, width)
    labels = {piece.label for course in report.plan.lay for piece in course.pieces}

    assert [label for label in labels if label not in part(text, "LAY")] == []
    assert [label for label in labels if label not in part(text, "CUT")] == []


def test_marks_what_is_measured_first_and_no_other():
    """The last piece of a course and the top course are marked; the first piece of the eave course is not."""
    text = part(printed(sample_report(), 100), "LAY")

    assert all(f"{label}(m)" in text for label in ("A1.2", "A2.1", "A2.2", "A2.3", "B1.2", "B2.1"))
    assert "A1.1(m)" not in text


def test_says_for_which_side_an_offcut_is_set_aside():
    """Pieces for the second half that come out of the first half's sheets name the half they serve."""
    assert "Set aside for the far side: B2.2." in part(printed(sample_report(), 120), "CUT")


def test_never_calls_an_open_gap_proved():
    """A cost above its bound is given with the gap, rounded up: 31.60 over 31.00 is 1.94 %, told as 2.0 %."""
    text = part(printed(sample_report(), 80), "BUY")

    assert "drip-edge: within 2.0 % of the bound" in text
    assert "Proved cheapest." not in printed(sample_report(), 80)


def test_a_bound_met_without_a_second_witness_is_not_proved():
    """Where cost and bound meet but one method stands alone, the report says so."""
    report = sample_report()
    lone = replace(report.plan.outcomes[1], proved=False)
    report = replace(report, plan=replace(report.plan, outcomes=(lone,)))

    assert "no second method has confirmed" in printed(report, 120)
    assert "proved cheapest" not in printed(report, 120)


def test_a_plan_without_prices_leaves_money_blank():
    """Not priced: no amounts anywhere, and the proof is about pieces."""
    text = printed(unpriced(), 80)

    assert "Not priced: osb-7/16 4x8, 2x4 8 ft, drip-edge 10 ft." in text
    assert "proved fewest pieces" in text
    assert not re.search(r"\d\.\d\d\b", part(text, "BUY"))


def test_stars_come_first_among_the_assumed():
    """An assumption that changes Buy stands before one that doesn't, with what it changes."""
    report = sample_report()
    report = replace(report, trials=report.trials[::-1])
    assumed = part(printed(report, 120), "CHECK").partition("Assumed")[2]

    assert assumed.index("* Eaves overhang 12 in") < assumed.index("- The usual rules hold")
    assert "With 16 in: +1 osb-7/16 4x8, +14.60" in assumed


def test_largest_leftover_first():
    """Keep is ordered by area, then lengths of what has no width."""
    kept = re.findall(r"([\d-]+(?:/\d+)?(?: x [\d/-]+)? in) ", part(printed(sample_report(), 80), "KEEP"))

    assert kept == ["24-1/4 x 47-7/8 in", "71-1/2 x 12-1/4 in", "12-7/8 x 3-1/2 in", "40 in"]


def test_words_beyond_ascii_fold_where_they_must():
    """A message with a multiplication sign or an accent never breaks an ASCII pipe."""
    report = sample_report()
    report = replace(report, remark="8 \u00d7 4 \u2014 prix inventés")

    assert "8 x 4 - prix invent?s" in printed(report, 80, "ascii")


def test_scraps_are_counted_not_listed():
    """A sliver is no offcut: one over 12 in long but 1/8 in wide is left out of Keep, and of the drawing."""
    report = sample_report()
    sliver = replace(report.plan.keep[0], width=INCH // 8)
    report = replace(report, plan=replace(report.plan, keep=(sliver, *report.plan.keep[1:])))
    text = printed(report, 80)

    assert "Not listed: 1 scrap, less than 12 in long or 1-1/2 in wide." in part(text, "KEEP")
    assert "24-1/4 x 1/8" not in text


@pytest.mark.parametrize(
    ("panels", "cents", "told"),
    [
        (2, 500, "5.00 USD less, 2 panels fewer"),
        (-1, 415, "4.15 USD less, 1 panel more"),
        (0, 30, "0.30 USD less"),
        (1, None, "1 panel fewer"),
    ],
)
def test_the_summary_names_what_is_spared(panels, cents, told):
    """Money first; panels beside it, more or fewer."""
    report = sample_report()
    row = replace(report.comparisons[0], saved_pieces=panels, saved=cents)

    assert f"Beside the halves planned apart: {told}." in printed(replace(report, comparisons=(row,)), 80)


def test_nothing_spared_is_not_boasted_of():
    """Where the other way costs no more, the summary is silent and Buy says so."""
    report = sample_report()
    row = replace(report.comparisons[0], saved_pieces=-1, saved=-1460)
    text = printed(replace(report, comparisons=(row,)), 80)

    assert "Beside the halves" not in text
    assert "nothing; it takes 1 panel, 14.60 more" in text
