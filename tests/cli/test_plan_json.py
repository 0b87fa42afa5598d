"""plan.json, buy.csv and cut.csv: exact, valid under the schema, and the same every time."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace
from fractions import Fraction

import pytest
from pydantic import ValidationError
from sample_report import sample_report

from cli.plan_json import as_json, buy_csv, cut_csv, plan_file, status
from cli.schema import PlanFile
from optimizer.lengths import INCH, MILLIMETRE

REPORT = sample_report()


def table(text):
    return list(csv.DictReader(io.StringIO(text)))


def test_reads_back_under_the_schema():
    """What is written is read back by the models that describe it, and is the same."""
    assert PlanFile.model_validate_json(as_json(REPORT)) == plan_file(REPORT)


def test_the_agreed_names_are_there():
    """Every name that outside programs rely on stands where they look for it."""
    document = json.loads(as_json(REPORT))

    assert document["format"] == "seamwise-plan/1"
    assert {"stock", "count", "unit_price", "cost", "from_rack"} <= document["buy"][0].keys()
    assert {"id", "stock", "length", "width", "kerf", "pieces", "steps", "repeat"} <= document["cut"][
        0
    ].keys()
    assert {"label", "x", "y", "length", "width"} <= document["cut"][0]["pieces"][0].keys()
    assert {"run", "plane", "course", "length", "width", "supports", "seams", "pieces"} <= document["lay"][
        0
    ].keys()
    assert {"label", "start", "end"} <= document["lay"][0]["pieces"][0].keys()
    assert {"stock", "length", "width", "cut"} <= document["keep"][0].keys()
    assert {"level", "rule", "source", "message"} <= document["check"][0].keys()


@pytest.mark.parametrize(("unit", "scale"), [("in", INCH), ("mm", MILLIMETRE)])
def test_lengths_are_exact(unit, scale):
    """Every length of every cut is the base-unit length to the last one, in either unit."""
    report = replace(REPORT, takeoff=replace(REPORT.takeoff, unit=unit))
    written = plan_file(report).cut

    for cut, entry in zip(report.plan.cut, written, strict=True):
        assert Fraction(entry.length) * scale == cut.length
        for piece, piece_entry in zip(cut.pieces, entry.pieces, strict=True):
            assert (Fraction(piece_entry.x) * scale, Fraction(piece_entry.length) * scale) == (
                piece.x,
                piece.length,
            )


def test_dust_is_not_kept():
    """A rest of 1/8 in is in nobody's rack: the plan knows of it, the file lists what can be used."""
    first = REPORT.plan.keep[0]
    dust = replace(first, length=INCH // 8)
    report = replace(REPORT, plan=replace(REPORT.plan, keep=(first, dust)))

    assert [(entry.cut, Fraction(entry.length) * INCH) for entry in plan_file(report).keep] == [
        (first.cut, first.length)
    ]


def test_money_adds_up_as_written():
    """The costs in buy sum to the total, and a cost is count times price, in cents."""
    document = plan_file(REPORT)
    cents = [round(100 * line.cost) for line in document.buy if line.cost is not None]

    assert sum(cents) == round(100 * document.total)
    for line in document.buy:
        assert round(100 * line.cost) == line.count * round(100 * line.unit_price)


def test_no_clock_in_the_file():
    """A plan that took longer is written the same."""
    outcomes = tuple(replace(outcome, seconds=99.0) for outcome in REPORT.plan.outcomes)
    slow = replace(REPORT, seconds=99.0, plan=replace(REPORT.plan, outcomes=outcomes))

    assert as_json(slow) == as_json(REPORT)


def test_a_key_too_many_is_refused():
    """The schema lets no unknown key pass."""
    document = json.loads(as_json(REPORT)) | {"extra": 1}

    with pytest.raises(ValidationError, match="extra"):
        PlanFile.model_validate(document)


def test_unpriced_is_null_not_zero():
    """Without prices the money is null and the status speaks of pieces."""
    plan = replace(
        REPORT.plan,
        total=None,
        bound=None,
        buy=tuple(replace(b, unit_price=None, cost=None) for b in REPORT.plan.buy),
        outcomes=tuple(replace(o, proved=True) for o in REPORT.plan.outcomes),
    )
    bill = replace(REPORT.bill, subtotal=None, tax=None, total=None)
    document = plan_file(replace(REPORT, plan=plan, bill=bill, priced=False))

    assert (document.total, document.bound, document.total_with_tax) == (None, None, None)
    assert document.status.startswith("proved fewest pieces")


def test_an_open_gap_is_said():
    """100.00 bought where nothing below 98.00 can do is a gap of 2.0 %."""
    outcomes = tuple(replace(o, proved=False) for o in REPORT.plan.outcomes)
    plan = replace(REPORT.plan, total=10_000, bound=9_800, outcomes=outcomes)

    assert status(replace(REPORT, plan=plan)).startswith("within 2.0 % of the bound")


def test_buy_csv():
    """buy.csv has a line an item and its sums agree with the bill."""
    rows = table(buy_csv(REPORT.bill, "USD"))
    sums = {row["item"]: row["cost"] for row in rows}

    assert len(rows) >= len(REPORT.bill.lines) + 1
    assert sums["subtotal"].replace(".", "") == str(REPORT.bill.subtotal)


def test_cut_csv():
    """cut.csv has a line for every piece of every cut, in saw order."""
    rows = table(cut_csv(REPORT.plan.cut, "in", REPORT.problem.stocks))

    assert [(row["cut"], row["piece"]) for row in rows] == [
        (cut.id, piece.label) for cut in REPORT.plan.cut for piece in cut.pieces
    ]


def test_a_spare_that_the_yard_lacks_is_a_warning():
    """The last check says how many of the spares asked for are bought."""
    short = replace(REPORT, bill=replace(REPORT.bill, short_of_spares=(("osb-7/16", 0, 1),)))
    last = plan_file(short).check[-1]

    assert (last.level, last.rule) == ("warn", "spare")
    assert last.message == "0 of 1 spare osb-7/16 bought; the yard has no more."
    assert plan_file(short).check[:-1] == plan_file(REPORT).check
