"""What is left after the saw: every region that no piece uses, and nothing else."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimizer.errors import Bug
from optimizer.offcuts import leftovers_of
from optimizer.plan import Cut, CutPiece, Leftover, SawCut


def sheet(steps, pieces=(), kerf=1, repeat=1):
    """Cut a sheet of 20 x 10."""
    return Cut("S1", "sheet", 20, 10, kerf, tuple(pieces), tuple(steps), repeat)


def rectangles(cut):
    return [(left.x, left.y, left.length, left.width) for left in leftovers_of(cut)]


def test_a_crosscut_leaves_what_lies_beyond_its_kerf():
    """12 and a kerf of 1 from 20: 7 are left, from 13 on."""
    cut = sheet([SawCut("crosscut", 0, 0, 20, 10, 12)], [CutPiece("a", 0, 0, 12, 10)])

    assert rectangles(cut) == [(13, 0, 7, 10)]


def test_a_rip_leaves_what_lies_above_its_kerf():
    """6 and a kerf of 1 from 10: 3 are left, from 7 on."""
    cut = sheet([SawCut("rip", 0, 0, 20, 10, 6)], [CutPiece("a", 0, 0, 20, 6)])

    assert rectangles(cut) == [(0, 7, 20, 3)]


@pytest.mark.parametrize("at", [19, 20])
def test_a_kerf_may_run_out_over_the_edge(at):
    """Where the rest is no wider than the kerf it is dust, and nothing is left."""
    cut = sheet([SawCut("crosscut", 0, 0, 20, 10, at)], [CutPiece("a", 0, 0, at, 10)])

    assert rectangles(cut) == []


def test_cuts_go_on_in_what_earlier_cuts_left():
    """Ripped at 6, the strip crosscut at 12: beside the piece 7 x 6 are left, above both 20 x 3."""
    cut = sheet(
        [SawCut("rip", 0, 0, 20, 10, 6), SawCut("crosscut", 0, 0, 20, 6, 12)], [CutPiece("a", 0, 0, 12, 6)]
    )

    assert rectangles(cut) == [(0, 7, 20, 3), (13, 0, 7, 6)]


def test_a_leftover_knows_its_stock_and_how_many_there_are():
    """Three sheets cut alike leave three alike."""
    cut = sheet([SawCut("crosscut", 0, 0, 20, 10, 12)], [CutPiece("a", 0, 0, 12, 10)], repeat=3)

    assert leftovers_of(cut) == (Leftover("sheet", 7, 10, "S1", 13, 0, 3),)


def test_a_whole_sheet_in_use_leaves_nothing():
    """No cut, one piece as large as the sheet."""
    assert rectangles(sheet([], [CutPiece("a", 0, 0, 20, 10)])) == []


@pytest.mark.parametrize(
    "steps",
    [
        # Not edge to edge: the region is 20 long.
        [SawCut("crosscut", 0, 0, 18, 10, 12)],
        # Already sawn apart.
        [SawCut("crosscut", 0, 0, 20, 10, 12), SawCut("rip", 0, 0, 20, 10, 5)],
    ],
)
def test_a_cut_through_what_is_not_there_is_a_bug(steps):
    """Every cut runs edge to edge through a region that exists."""
    with pytest.raises(Bug, match="S1 of sheet saws a region that is not there"):
        leftovers_of(sheet(steps))


@st.composite
def sawn(draw):
    """Saw a sheet apart at random; some regions become pieces."""
    kerf = draw(st.integers(0, 3))
    regions = [(0, 0, 20, 10)]
    steps = []
    for _ in range(draw(st.integers(0, 6))):
        x, y, length, width = region = draw(st.sampled_from(regions))
        kind = draw(st.sampled_from(("crosscut", "rip")))
        along = length if kind == "crosscut" else width
        at = draw(st.integers(1, along))
        rest = along - at - kerf
        regions.remove(region)
        regions.append((x, y, at, width) if kind == "crosscut" else (x, y, length, at))
        if rest > 0 and kind == "crosscut":
            regions.append((x + at + kerf, y, rest, width))
        elif rest > 0:
            regions.append((x, y + at + kerf, length, rest))
        steps.append(SawCut(kind, x, y, length, width, at))
    chosen = draw(st.sets(st.sampled_from(regions)))
    pieces = [CutPiece(str(number), *region) for number, region in enumerate(sorted(chosen))]
    return sheet(steps, pieces, kerf)


@given(sawn())
def test_pieces_leftovers_and_dust_make_up_the_sheet(cut):
    """Not a square of the sheet is lost or counted twice."""
    dust = sum(
        min(cut.kerf, s.length - s.at) * s.width
        if s.kind == "crosscut"
        else min(cut.kerf, s.width - s.at) * s.length
        for s in cut.steps
    )
    used = sum(p.length * p.width for p in cut.pieces)
    left = sum(rest.length * rest.width for rest in leftovers_of(cut))

    assert used + left + dust == cut.length * cut.width
