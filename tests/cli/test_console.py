"""The printed report: what it says, how wide it is, and that a pipe gets plain text."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import pytest
from rich.console import Console
from sample_report import INCH, sample_report

from cli.console import render
from cli.paper import paper_for
from cli.report import Report
from optimizer.words import Stock


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


def test_labels_of_like_cuts_stand_in_saw_order():
    """Whole sheets S1, S2, S5, S6 are told in that order, the one to measure first among them."""
    text = part(printed(sample_report(), 80), "CUT")

    assert re.search(r"A1\.1 +A1\.2\(m\) +B1\.1 +B1\.2\(m\)", text)


def test_copies_of_a_cut_are_counted():
    """Where one cut stands for two boards, its label says so."""
    report = sample_report()
    cut = report.plan.cut[0]
    twice = replace(cut, id="S9", repeat=2, pieces=(replace(cut.pieces[0], label="shelf"),))
    report = replace(report, plan=replace(report.plan, cut=(cut, twice)))

    assert "2 x shelf" in part(printed(report, 80), "CUT")


def test_says_for_which_side_an_offcut_is_set_aside():
    """Pieces for the second half that come out of the first half's sheets name the half they serve."""
    assert "Set aside for the far side: B2.2." in part(printed(sample_report(), 120), "CUT")


def test_the_half_decked_first_is_at_home():
    """A sheet that serves both halves is cut for the first one, wherever its pieces lie; B2.2 is kept."""
    report = sample_report()
    cut = next(cut for cut in report.plan.cut if cut.id == "S3")
    near, far = cut.pieces
    swapped = replace(cut, pieces=(replace(near, label=far.label), replace(far, label=near.label)))
    cuts = tuple(swapped if one is cut else one for one in report.plan.cut)
    text = part(printed(replace(report, plan=replace(report.plan, cut=cuts)), 120), "CUT")

    assert "Set aside for the far side: B2.2." in text
    assert "Set aside for the door side" not in text


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


def test_a_spare_that_the_yard_lacks_is_told():
    """A spare that could not be bought does not vanish without a word."""
    report = sample_report()
    report = replace(report, bill=replace(report.bill, short_of_spares=(("osb-7/16", 0, 1),)))

    assert "Spare osb-7/16: 0 of 1 bought; the yard has no more." in part(printed(report, 80), "BUY")


def test_a_plan_without_prices_leaves_money_blank():
    """Not priced: no amounts anywhere, and the proof is about pieces."""
    text = printed(unpriced(), 80)

    assert "Not priced: osb-7/16 4x8, 2x4 8 ft, drip-edge 10 ft." in text
    assert "proved fewest pieces" in text
    assert not re.search(r"\d\.\d\d\b", part(text, "BUY"))


@pytest.mark.parametrize(
    ("unit", "grams", "told"),
    [
        ("in", 20_412, "45 lb"),
        ("in", 14 * 20_412, "630 lb"),
        ("in", 20_500, "46 lb"),
        ("mm", 23_000, "23 kg"),
    ],
)
def test_weights_round_up_but_not_past_what_was_written(unit, grams, told):
    """45 lb are 20,411.7 g, kept as 20,412: that is still 45 lb, and fourteen of them 630 lb."""
    assert paper_for(Console(file=io.StringIO()), unit).weight(grams) == told


def test_a_metric_form_tells_one_limit():
    """Lay and the order of the work call the same half inch 12 mm."""
    report = sample_report()
    report = replace(report, takeoff=replace(report.takeoff, unit="mm"))

    assert "differ by more than 12 mm" in part(printed(report, 120), "LAY")


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

    assert "Not listed: 1 scrap, less than 12 in along the grain or 1-1/2 in across it." in part(text, "KEEP")
    assert "24-1/4 x 1/8" not in text


def test_a_strip_across_the_grain_is_a_scrap():
    """Two inches off a sheet's end are two inches of grain, however wide the sheet."""
    report = sample_report()
    strip = replace(report.plan.keep[0], length=2 * INCH, width=48 * INCH)
    report = replace(report, plan=replace(report.plan, keep=(strip,)))

    assert "Nothing worth keeping is left over." in part(printed(report, 80), "KEEP")


def test_a_seal_is_kept_by_its_length():
    """A roll is narrow by nature: 20 in of foam 3/8 in wide is no scrap."""
    report = sample_report()
    rest = replace(report.plan.keep[0], stock="foam-seal 17 ft", length=20 * INCH, width=INCH * 3 // 8)
    stocks = (*report.problem.stocks, Stock("foam-seal 17 ft", "foam-seal", "roll", 204 * INCH, rest.width))
    report = replace(
        report,
        plan=replace(report.plan, keep=(rest,)),
        problem=replace(report.problem, stocks=stocks),
    )

    assert "foam-seal 17 ft" in part(printed(report, 80), "KEEP")


def test_leftovers_of_one_size_are_one_line():
    """Two rests that read alike on the tape, a hair apart by arithmetic, count together, in saw order."""
    report = sample_report()
    first = report.plan.keep[0]
    longer = replace(first, length=first.length + 1, cut="S9")
    report = replace(report, plan=replace(report.plan, keep=(first, longer)))
    text = part(printed(report, 80), "KEEP")

    assert re.findall(r"24-1/4 x 47-7/8 in +(\d) .* (\S+, \S+)$", text, re.MULTILINE) == [
        ("2", f"{first.cut}, S9")
    ]


def test_a_ridge_slot_is_told_where_it_is_laid():
    """Lay gives the slot's line, where it stops, and the saw's depth."""
    report = sample_report()
    slot = (
        ("ridge slot: edge down from the peak", 2 * INCH),
        ("ridge slot: stops short of each end", 12 * INCH),
        ("ridge slot: depth of the saw", INCH // 2),
    )
    report = replace(report, takeoff=replace(report.takeoff, dimensions=slot))
    told = part(printed(report, 80), "LAY").partition("Ridge slot")[2]

    assert "cut on each slope once both are decked" in told
    assert re.search(r"edge down from the peak +2 in\n +stops short of each end +12 in\n", told)
    assert re.search(r"depth of the saw +1/2 in\n", told)


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
