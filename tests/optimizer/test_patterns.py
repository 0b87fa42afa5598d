"""Ways to cut sheets: every packing once, every way exact, and as good as trying every saw cut."""

from __future__ import annotations

import os
import subprocess
import sys
from itertools import combinations_with_replacement
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from oracle import cheapest_cutting

from optimizer import patterns
from optimizer.engine import Clock, LinearModel, run_highs
from optimizer.patterns import Node, Way, cutting_of, packings
from optimizer.words import Stock

SHEET = Stock("sheet", "panel", "sheet", 10, 6, 100)


def cheapest_of(cutting, demand, costs=(1,), slackest=0):
    """Give the least cost of as many pieces of each size; None if they can't be cut."""
    model = LinearModel()
    cuts = cutting.build(model, costs, sum(demand.values()), slackest)
    for size, number in demand.items():
        model.row(cuts.pieces.get(size, ()), lower=number)
    return run_highs(model, Clock(20)).cost


def sheets_for(demand, sheet=SHEET, kerf=0, slackest=0):
    """Give the fewest sheets that yield as many pieces of each size."""
    return cheapest_of(cutting_of([sheet], sorted(demand), kerf), demand, slackest=slackest)


def test_packings_of_two_sizes_are_listed_largest_first():
    """Into 11, kerf 1: 4+1+4 = 9 leaves 2 - 1; 4+1+3 = 8 leaves 3 - 1; 3+1+3+1+3 = 11."""
    assert list(packings([3, 4], room=11, kerf=1)) == [(4, 4), (4, 3), (3, 3, 3)]


def test_the_last_kerf_may_run_out_over_the_edge():
    """Two fours and a kerf of 1 fill 9 exactly; 8 has room for one only."""
    assert list(packings([4], room=9, kerf=1)) == [(4, 4)]
    assert list(packings([4], room=8, kerf=1)) == [(4,)]


@pytest.mark.parametrize(("sizes", "room"), [([], 10), ([11], 10)])
def test_where_nothing_fits_there_is_no_packing(sizes, room):
    """No sizes, or all of them too large: not even an empty packing."""
    assert list(packings(sizes, room, kerf=1)) == []


@given(st.sets(st.integers(1, 12), min_size=1, max_size=4), st.integers(0, 26), st.integers(0, 3))
def test_packings_are_the_multisets_to_which_nothing_can_be_added(sizes, room, kerf):
    """Exactly those that fit and leave no room for the smallest size, each once."""

    def fits(chosen):
        return sum(chosen) + kerf * (len(chosen) - 1) <= room

    maximal = {
        tuple(sorted(chosen, reverse=True))
        for number in range(1, room + 1)
        for chosen in combinations_with_replacement(sorted(sizes), number)
        if fits(chosen) and not fits((*chosen, min(sizes)))
    }
    found = list(packings(sorted(sizes), room, kerf))

    assert len(found) == len(set(found))
    assert set(found) == maximal


@st.composite
def cuttings(draw):
    """Draw a sheet of some steps, one to three sizes that fit it, and a kerf."""
    long, wide = draw(st.integers(4, 12)), draw(st.integers(2, 8))
    size = st.tuples(st.integers(1, long), st.integers(1, wide))
    sizes = draw(st.lists(size, min_size=1, max_size=3, unique=True))
    sheet = Stock("sheet", "panel", "sheet", long, wide, 100)
    return cutting_of([sheet], sizes, draw(st.integers(0, 2)))


@given(cuttings())
def test_every_way_to_cut_adds_up(cutting):
    """Parts, a kerf between two, and what is left make up the rectangle; nothing is negative."""
    for way in cutting.ways:
        along = way.cut == "crosscut"
        sizes = [part.length if along else part.width for part in way.parts]
        room = way.source.length if along else way.source.width
        assert way.slack >= 0
        assert sum(sizes) + cutting.kerf * (len(sizes) - 1) + way.slack == room
        other = {part.width if along else part.length for part in (way.source, *way.parts)}
        assert len(other) == 1


@given(cuttings())
def test_no_way_to_cut_stands_twice(cutting):
    """And every part of a way is a piece, or there is a way to cut it."""
    sources = {way.source for way in cutting.ways}

    assert len(cutting.ways) == len(set(cutting.ways))
    for way in cutting.ways:
        assert all(part.stage == "piece" or part in sources for part in way.parts)


STAGES = {
    "sheet": {"strip", "segment"},
    "strip": {"block"},
    "block": {"piece"},
    "segment": {"slat"},
    "slat": {"piece"},
}


@given(cuttings())
def test_the_saw_turns_at_every_stage_and_three_times_at_most(cutting):
    """Rip, crosscut, rip; or crosscut, rip, crosscut."""
    turns = {"strip": "crosscut", "block": "rip", "segment": "rip", "slat": "crosscut"}
    for way in cutting.ways:
        assert {part.stage for part in way.parts} <= STAGES[way.source.stage]
        assert way.cut == turns.get(way.source.stage, way.cut)


@pytest.mark.parametrize(
    ("demand", "kerf", "sheets"),
    [
        # 10 x 6 holds two by three of 5 x 2.
        ({(5, 2): 6}, 0, 1),
        ({(5, 2): 7}, 0, 2),
        # With a kerf of 1 only one column of two: 5 + 1 + 5 = 11 > 10, and 2 + 1 + 2 = 5, + 3 > 6.
        ({(5, 2): 2}, 1, 1),
        ({(5, 2): 3}, 1, 2),
        # 4 + 1 + 5 = 10 along, 2 + 1 + 3 = 6 across: the kerfs just fit.
        ({(4, 2): 1, (5, 2): 1, (4, 3): 1, (5, 3): 1}, 1, 1),
        # Pieces never turn: 6 x 10 does not fit 10 x 6.
        ({(6, 10): 1}, 0, None),
        ({(10, 6): 3}, 0, 3),
    ],
)
def test_the_fewest_sheets_are_those_counted_by_hand(demand, kerf, sheets):
    """Rows of pieces, with and without kerf."""
    assert sheets_for(demand, kerf=kerf) == sheets


def test_a_sheet_crosscut_first_yields_what_no_rip_through_it_could():
    """
    Two halves ripped at different heights, then crosscut: one sheet of 8 x 5, all of it used.

    Left 4 long: 4 x 3 above two of 2 x 2. Right 4 long: 4 x 4 above two of 2 x 1.
    12 + 8 + 16 + 4 = 40 = 8 * 5.
    """
    demand = {(4, 3): 1, (2, 2): 2, (4, 4): 1, (2, 1): 2}
    sheet = Stock("sheet", "panel", "sheet", 8, 5, 100)
    cutting = cutting_of([sheet], sorted(demand), 0)
    ripped = patterns.Cutting(
        cutting.stocks,
        tuple(way for way in cutting.ways if (way.source.stage, way.cut) != ("sheet", "crosscut")),
        cutting.kerf,
        cutting.stages,
    )

    assert cheapest_of(cutting, demand) == 1
    assert cheapest_of(ripped, demand) == 2


def test_a_strip_may_be_as_wide_as_several_pieces():
    """
    A strip of 4, crosscut at 6: left a 6 x 4, right two of 4 x 2 one above the other, ripped last.

    Below it a strip of 2. A strip as wide as one piece alone would need a second rip through the sheet.
    """
    # 6 * 4 + 2 * (4 * 2) + 10 * 2 = 60 = 10 * 6.
    assert sheets_for({(6, 4): 1, (4, 2): 2, (10, 2): 1}) == 1


@st.composite
def demands(draw):
    """Draw up to four pieces of at most two sizes, for one or two sizes of sheet."""
    stocks = tuple(
        Stock(f"sheet {long}x{wide}", "panel", "sheet", long, wide, draw(st.integers(1, 30)))
        for long, wide in sorted(
            draw(st.sets(st.tuples(st.integers(3, 7), st.integers(2, 5)), min_size=1, max_size=2))
        )
    )
    size = st.tuples(st.integers(1, 6), st.integers(1, 4))
    sizes = draw(st.lists(size, min_size=1, max_size=2, unique=True))
    demand = {size: draw(st.integers(1, 3)) for size in sizes}
    return stocks, demand, draw(st.integers(0, 1))


@settings(max_examples=60)
@given(demands())
def test_ways_to_cut_cost_what_trying_every_saw_cut_costs(question):
    """All three-stage cuts of all sheets, tried one by one, come to the same least cost."""
    stocks, demand, kerf = question
    pieces = [(*size, False) for size, number in demand.items() for _ in range(number)]
    cutting = cutting_of(stocks, sorted(demand), kerf)

    assert cutting.stages == 3
    assert cheapest_of(cutting, demand, [s.price for s in stocks]) == cheapest_cutting(stocks, pieces, kerf)


def test_the_yard_runs_out():
    """One cheap sheet and no more: the second piece comes from the dear one, 100 + 150."""
    few = Stock("few", "panel", "sheet", 10, 6, 100, available=1)
    dear = Stock("dear", "panel", "sheet", 10, 6, 150)
    cutting = cutting_of([few, dear], [(10, 6)], 0)

    assert cheapest_of(cutting, {(10, 6): 2}, (100, 150)) == 250
    assert cheapest_of(cutting_of([few], [(10, 6)], 0), {(10, 6): 2}, (100,)) is None


def test_whole_packs_are_bought():
    """Four sheets from packs of three: two packs."""
    packed = Stock("packed", "panel", "sheet", 10, 6, 100, pack=3)

    assert sheets_for({(10, 6): 4}, packed) == 2


def test_ways_with_too_little_to_spare_can_be_left_out():
    """Two fives just fill 10; with 1 to spare asked for, each takes a sheet. A whole sheet needs no saw."""
    assert sheets_for({(5, 6): 2}, slackest=0) == 1
    assert sheets_for({(5, 6): 2}, slackest=1) == 2
    assert sheets_for({(10, 6): 2}, slackest=1) == 2


@pytest.mark.parametrize(("parts", "slack", "tight"), [(1, 0, False), (1, 1, True), (2, 0, True)])
def test_a_way_is_sawn_unless_it_is_the_whole_rectangle(parts, slack, tight):
    """One part with nothing left over is no cut."""
    node = Node("strip", 10, 3)

    assert Way(Node("sheet", 10, 6), "rip", (node,) * parts, slack).tight is tight


def test_too_many_ways_are_cut_down_to_two_stages_and_say_so(monkeypatch):
    """Strips are then as wide as one piece, and the cutting names no third stage."""
    sizes = [(6, 4), (4, 2), (10, 2)]
    assert cutting_of([SHEET], sizes, 0).stages == 3
    # Widths 2 and 4 add up to 2, 4 and 6; with 0 that is one sum more than allowed.
    monkeypatch.setattr(patterns, "MOST_SUMS", 3)

    assert cutting_of([SHEET], sizes, 0).stages == 2


def test_pieces_that_can_be_cut_in_too_many_ways_are_refused_early(monkeypatch):
    """Listing stops at the limit instead of running on; the caller then plans with fewer sizes."""
    monkeypatch.setattr(patterns, "MOST_WAYS", 3)

    with pytest.raises(patterns.TooManyWays):
        cutting_of([SHEET], [(6, 4), (4, 2), (10, 2)], 0, limit=3)


def test_ways_come_in_the_same_order_whatever_python_hashes():
    """Equal questions give equal models in every process, so columns can't follow a set's order."""
    code = (
        "from optimizer.patterns import cutting_of; from optimizer.words import Stock;"
        "print(cutting_of([Stock('s', 'p', 'sheet', 96, 48, 1)], [(40, 20), (30, 10), (24, 24)], 1))"
    )
    root = Path(patterns.__file__).parents[1]
    printed = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": str(root)},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2", "3")
    }

    assert len(printed) == 1


def test_listing_ends_with_the_clock():
    """Ways that can't be listed in time are too many, as those that pass the limit are."""
    assert cutting_of([SHEET], [(3, 2)], 0, clock=Clock(20)) == cutting_of([SHEET], [(3, 2)], 0)
    with pytest.raises(patterns.TooManyWays):
        cutting_of([SHEET], [(3, 2)], 0, clock=Clock(0))


def test_a_limit_of_ways_is_for_those_that_are_left():
    """Where sums of pieces make too many ways, those without are listed, up to a limit of their own."""
    board = Stock("sheet", "panel", "sheet", 97, 49, 100)
    sizes = [(length, width) for length in (8, 11, 13, 17, 19, 23) for width in (5, 7, 9, 12)]
    found = cutting_of([board], sizes, 0)

    assert found.stages == 2
    assert cutting_of([board], sizes, 0, limit=len(found.ways)).ways == found.ways
    with pytest.raises(patterns.TooManyWays):
        cutting_of([board], sizes, 0, limit=len(found.ways) - 1)
