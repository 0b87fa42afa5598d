"""Of Buy: yards, trips, price breaks, the rack and price limits, as they are printed."""

from __future__ import annotations

import io
from dataclasses import replace

from rich.console import Console
from sample_report import sample_report

from cli.console import render
from cli.report import Bill, BuyLine, PriceLimit
from optimizer.plan import Outcome, Trip
from optimizer.words import Yard

LINES = (
    BuyLine("osb 4x8 (Near)", "4x8", 10, 1, 1300, 13_000, 200_000, yard="Near", more=2, least=10, dearer=150),
    BuyLine("nail box", "box", 1, 100, 460, 460, 454, yard="Far"),
    BuyLine("2x4 rest", "rest", 1, 1, 200, 200, None, from_rack=True),
)
TRIPS = (Trip("Near", 2, 400, 200_000), Trip("Far", 1, 1150, 454))
BILL = Bill(LINES, 13_460, "5", 673, 13_460 + 673 + 800 + 1150, 200_454, rack_value=200, trips=TRIPS)


def printed(report):
    out = io.StringIO()
    render(report, Console(file=out, width=80, highlight=False))
    # Without the breaks between lines, so that a sentence is found wherever it breaks.
    return " ".join(out.getvalue().split()), out.getvalue()


def report(proved=True, trips=TRIPS, bill=BILL, **more):
    sample = sample_report()
    cost = bill.total or 0
    yards = Outcome("yards and trips", cost, cost, proved, "every choice of yards", ("a", "b"))
    problem = replace(sample.problem, yards=(Yard("Near", 400), Yard("Far", 1150)), load=150_000)
    plan = replace(sample.plan, trips=trips, yards=yards)
    return replace(sample, bill=bill, plan=plan, problem=problem, **more)


def test_the_list_is_grouped_by_yard():
    """Each yard heads its own lines, the rack comes last, and trips stand between tax and total."""
    _, text = printed(report())
    lines = [line.strip() for line in text.splitlines()]
    heads = [line for line in lines if line in ("At Near:", "At Far:", "From the rack:")]

    assert heads == ["At Near:", "At Far:", "From the rack:"]
    assert "osb" in lines[lines.index("At Near:") + 1]
    assert "(Near)" not in lines[lines.index("At Near:") + 1]
    rows = [line.split() for line in lines]
    assert ["Trips", "to", "Near", "2", "4.00", "8.00"] in rows
    assert ["Trip", "to", "Far", "1", "11.50", "11.50"] in rows
    assert max(map(len, text.splitlines())) <= 80


def test_what_is_beside_the_list_is_told():
    """More than needed and why, what the rack is worth, where it is cheapest, how often one has to go."""
    text, _ = printed(report())

    assert (
        "osb 4x8 (Near): 2 more bought than needed, since from 10 on each costs 13.00; to buy without them "
        "would cost 1.50 more." in text
    )
    assert "What comes from the rack is no part of the sums; it is stated at 2.00." in text
    assert "Cheapest of 2 yards, trips counted: at Near and Far, as listed." in text
    assert "2 trips to Near: 441 lb to carry, 331 lb in one trip at most." in text
    assert "5 % tax and trips included" in text
    assert "yards and trips: proved cheapest (for every choice of yards)" in text


def test_one_yard_for_everything():
    """Where one trip is cheapest the sentence says so; what is not proved is not called cheapest."""
    only = replace(BILL, trips=TRIPS[:1])
    text, _ = printed(report(proved=False, trips=TRIPS[:1], bill=only))

    assert "Cheapest found of 2 yards, trips counted: everything at Near." in text


def test_price_limits_are_a_table():
    """Between which prices the plan stays cheapest; a dash where there is no such price."""
    limits = (PriceLimit("2x4 8 ft", 365, None, 401), PriceLimit("2x4 16 ft", 920, 800, None))
    _, text = printed(replace(sample_report(), limits=limits))
    rows = [line.split() for line in text.splitlines()]

    assert ["2x4", "8", "ft", "3.65", "-", "4.01"] in rows
    assert ["2x4", "16", "ft", "9.20", "8.00", "-"] in rows


def test_without_any_of_it_nothing_is_said():
    """A job with one price book and nothing to carry reads as ever."""
    text, _ = printed(sample_report())

    for word in ("trips", "Trip to", "From the rack:", "another plan", "more bought"):
        assert word not in text
