"""From counts of ways to cut to real sheets: order, places, steps, and what the saw wastes."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plain_plan import priced

from optimizer.audit import audit_plan
from optimizer.cut_trees import TIGHT, Need, cut_sheets
from optimizer.engine import Clock, LinearModel, run_highs
from optimizer.lengths import INCH
from optimizer.offcuts import leftovers_of
from optimizer.patterns import cutting_of
from optimizer.plan import CutPiece, SawCut
from optimizer.words import Part, Problem, Saw, Stock


def solved(stocks, needs, kerf, slackest=0):
    """Cut the needs from the cheapest sheets."""
    cutting = cutting_of(stocks, sorted({need.size for need in needs}), kerf)
    model = LinearModel()
    cuts = cutting.build(model, [s.price for s in stocks], len(needs), slackest)
    for size in sorted({need.size for need in needs}):
        model.row(cuts.pieces.get(size, ()), lower=sum(need.size == size for need in needs))
    values = run_highs(model, Clock(20)).values
    assert values is not None
    return cut_sheets(replace(cutting, ways=tuple(cuts.ways)), lambda way: values[cuts.ways[way]], needs)


def sheet(length, width, key="sheet", price=100, available=None):
    return Stock(key, "panel", "sheet", length, width, price, available)


def needs_of(*sizes):
    return [Need(size, f"p{number}") for number, size in enumerate(sizes, 1)]


def test_a_row_of_pieces_is_placed_a_kerf_apart():
    """Two of 9 x 6 from 20 x 6 with a kerf of 1: at 0 and at 10, one cut at 9 and one to trim."""
    (cut,) = solved([sheet(20, 6)], needs_of((9, 6), (9, 6)), kerf=1)

    assert cut.pieces == (CutPiece("p1", 0, 0, 9, 6), CutPiece("p2", 10, 0, 9, 6))
    # Beyond the first kerf 20 - 10 = 10 are left; the second cut frees 9 of them.
    assert cut.steps == (SawCut("crosscut", 0, 0, 20, 6, 9), SawCut("crosscut", 10, 0, 10, 6, 9))


def test_the_last_piece_that_ends_with_the_sheet_needs_no_cut():
    """9 + 1 + 10 = 20: one cut makes two pieces."""
    (cut,) = solved([sheet(20, 6)], needs_of((9, 6), (10, 6)), kerf=1)

    assert len(cut.steps) == 1


def test_a_whole_sheet_is_not_sawn():
    """A piece as large as the sheet: no steps, and not tight."""
    (cut,) = solved([sheet(20, 6)], needs_of((20, 6)), kerf=1)

    assert (cut.steps, cut.tight) == ((), False)


def test_cuts_of_the_first_stage_come_before_those_of_the_second():
    """Ripped at 4 and 3, then each strip crosscut: every step saws what an earlier one left."""
    (cut,) = solved([sheet(20, 8)], needs_of((12, 4), (7, 4), (20, 3)), kerf=1)

    kinds = [step.kind for step in cut.steps]
    # 4 + 1 + 3 = 8 across and 12 + 1 + 7 = 20 along: nothing to trim.
    assert kinds == ["rip", "crosscut"]
    assert leftovers_of(cut) == ()


def test_what_no_piece_is_cut_from_stays_whole():
    """A way that yields two fives serves one: what lies beyond the first stays in one piece."""
    (cut,) = solved([sheet(20, 6)], needs_of((9, 6)), kerf=1)

    assert [piece.label for piece in cut.pieces] == ["p1"]
    assert [(rest.x, rest.length, rest.width) for rest in leftovers_of(cut)] == [(10, 10, 6)]


def test_sheets_are_cut_in_the_order_their_pieces_are_needed():
    """A small piece, a whole sheet, a small piece: the first sheet gives both small ones."""
    cuts = solved([sheet(20, 6)], needs_of((9, 6), (20, 6), (9, 6)), kerf=1)

    assert [[piece.label for piece in cut.pieces] for cut in cuts] == [["p1", "p3"], ["p2"]]


def test_a_turned_part_says_so():
    """The mark of a need that lies across goes along to its piece."""
    (cut,) = solved([sheet(20, 6)], [Need((9, 6), "back", turned=True)], kerf=1)

    assert cut.pieces[0].turned


@pytest.mark.parametrize(
    ("spare", "tight"),
    [(0, True), (1, True), (TIGHT - 1, True), (TIGHT, False), (INCH, False)],
)
def test_a_row_with_less_than_a_quarter_inch_to_spare_is_tight(spare, tight):
    """Two pieces, a kerf, and what is left over (common practice, no source)."""
    size = 10 * INCH
    (cut,) = solved(
        [sheet(2 * size + INCH // 8 + spare, 6 * INCH)],
        needs_of((size, 6 * INCH), (size, 6 * INCH)),
        INCH // 8,
    )

    assert cut.tight is tight


def test_a_strip_too_tight_is_marked_however_roomy_the_rows_are():
    """Ripped into 3 and 3 from 6 of width, nothing to spare, though 11 of 20 are left along."""
    (cut,) = solved([sheet(20 * INCH, 6 * INCH)], needs_of(*[(9 * INCH, 3 * INCH)] * 4), 0)

    assert cut.tight


def test_ways_with_room_to_spare_part_what_can_be_parted():
    """
    Two of 5 x 3 from 10 x 7: one above the other in two strips, 5 to spare, not side by side in one.

    With two strips of 3 across 7 are 1 to spare; each strip then holds one piece and 5 are left.
    """
    (cut,) = solved([sheet(10 * INCH, 7 * INCH)], needs_of(*[(5 * INCH, 3 * INCH)] * 2), 0, TIGHT)

    assert not cut.tight
    assert [(piece.x, piece.y) for piece in cut.pieces] == [(0, 0), (0, 3 * INCH)]


@st.composite
def questions(draw):
    """Draw one or two sizes of sheet, a kerf, and parts that fit, all of whole steps."""
    stocks = tuple(
        sheet(long, wide, f"sheet {long}x{wide}", draw(st.integers(1, 40)))
        for long, wide in sorted(
            draw(st.sets(st.tuples(st.integers(6, 16), st.integers(4, 9)), min_size=1, max_size=2))
        )
    )
    size = st.tuples(st.integers(1, 16), st.integers(1, 9))
    fitting = size.filter(lambda s: any(s[0] <= t.length and s[1] <= t.width for t in stocks))
    sizes = draw(st.lists(fitting, min_size=1, max_size=3, unique=True))
    parts = tuple(
        Part(f"part {number}", "panel", long, wide, draw(st.integers(1, 4)))
        for number, (long, wide) in enumerate(sizes)
    )
    return Problem(stocks, parts=parts, saw=Saw(sheet=draw(st.integers(0, 2))))


def cut_all(problem):
    needs = [Need((p.length, p.width), p.label) for p in problem.parts for _ in range(p.count)]
    cuts = solved(problem.stocks, needs, problem.saw.sheet)
    return [replace(cut, id=f"S{number}") for number, cut in enumerate(cuts, 1)]


@settings(max_examples=80)
@given(questions())
def test_every_sheet_replays(problem):
    """Step by step, every piece comes off as a region of its own, in three stages, and none is missing."""
    cuts = cut_all(problem)
    keep = [rest for cut in cuts for rest in leftovers_of(cut)]

    assert audit_plan(problem, priced(problem, (), cuts, keep)) == ()


@settings(max_examples=40)
@given(questions())
def test_pieces_leftovers_and_dust_make_up_every_sheet(problem):
    """A kerf as far as it lies on the sheet, every piece and every leftover: the whole area."""
    for cut in cut_all(problem):
        dust = 0
        for step in cut.steps:
            along, across = (
                (step.length, step.width) if step.kind == "crosscut" else (step.width, step.length)
            )
            dust += min(cut.kerf, along - step.at) * across
        used = sum(piece.length * piece.width for piece in cut.pieces)
        left = sum(rest.length * rest.width for rest in leftovers_of(cut))
        assert used + left + dust == cut.length * cut.width


@settings(max_examples=40)
@given(questions())
def test_no_step_is_made_for_nothing(problem):
    """Every region that a cut makes holds a piece, or lies at the end of its row as a leftover."""
    for cut in cut_all(problem):
        # n cuts make n + 1 regions, one fewer for each kerf that runs out over the edge.
        run_out = sum(
            step.at + cut.kerf >= (step.length if step.kind == "crosscut" else step.width)
            for step in cut.steps
        )
        regions = len(cut.steps) + 1 - run_out
        assert regions == len(cut.pieces) + len(leftovers_of(cut))
        rows = {(step.kind, step.x + step.length, step.y + step.width) for step in cut.steps}
        assert len(leftovers_of(cut)) <= len(rows)
