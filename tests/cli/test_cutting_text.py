"""Saw cuts in words, checked against the cuts they stand for."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st
from sample_report import KERF, at, door_cut, metal, roof_cuts

from cli.batches import gather
from cli.cutting_text import set_ups
from optimizer.plan import Cut, CutPiece, SawCut

BOARD = at("192")


def words(cut, kind="sheet", kept=()):
    return [step.words for step in set_ups(gather([cut])[0], kind, "in", kept)]


def test_a_rip_into_two_pieces_is_one_sentence():
    """Both halves of a ripped sheet are named where they come off."""
    assert words(roof_cuts()[2]) == ["Rip 23-7/8 in off the near long edge: A2.2; the rest is B2.2."]


def test_strips_are_named_by_what_they_become():
    """A strip that still has to be crosscut is called by its pieces, the one left by what it is left of."""
    assert words(roof_cuts()[3]) == [
        "Rip 23-7/8 in off the near long edge: a strip for A2.1 and A2.3.",
        "Crosscut 47-7/8 in off the left end of that strip: A2.1; the rest is A2.3.",
        "Crosscut 47-7/8 in off the left end of the rest of the sheet: B2.1; the rest is B2.3.",
    ]


def test_kept_and_wasted_rests_are_told_apart():
    """What the plan keeps is given its size; what it doesn't is waste."""
    cut, right, strip = door_cut()

    assert words(cut, kept=(right,)) == [
        "Crosscut 71-1/2 in off the left end: a block for door back; keep the rest, 24-1/4 x 47-7/8 in.",
        "Rip 35-1/2 in off the near long edge of that block: door back; the rest is waste.",
    ]
    assert words(cut, kept=(strip,))[1].endswith("keep the rest, 71-1/2 x 12-1/4 in.")


def test_metal_is_not_sawn():
    """Drip edge is cut with snips, a shingle with a knife: neither is crosscut."""
    stick = metal()[0][2]

    assert words(stick, "stick") == ["Cut 80 in off the left end: EA.2; the rest is waste."]


def repeated(count: int) -> Cut:
    step = at("14-1/2") + KERF
    pieces = tuple(CutPiece("block", n * step, 0, at("14-1/2"), at("3-1/2")) for n in range(count))
    steps = tuple(
        SawCut("crosscut", n * step, 0, BOARD - n * step, at("3-1/2"), at("14-1/2")) for n in range(count)
    )
    return Cut("W1", "2x4 16 ft", BOARD, at("3-1/2"), KERF, pieces, steps)


@given(st.integers(2, 13))
def test_equal_cuts_in_a_row_are_one_step(count):
    """Cuts that take the same off the rest again and again are told once, with how many."""
    (step,) = set_ups(gather([repeated(count)])[0], "board", "in")

    assert len(step.cuts) == count
    assert f"{count} x block" in step.words


def test_every_cut_belongs_to_one_step():
    """The sentences together stand for every saw cut, in order."""
    for cut in (*roof_cuts(), door_cut()[0], repeated(5)):
        told = [saw for step in set_ups(gather([cut])[0], "sheet", "in") for saw in step.cuts]
        assert told == list(cut.steps)


def test_copies_with_labels_of_their_own_get_letters():
    """One list of steps serves all copies, so letters stand for their labels."""
    first = roof_cuts()[3]
    second = replace(
        first, id="S9", pieces=tuple(replace(p, label=p.label.replace("A", "C")) for p in first.pieces)
    )
    (batch,) = gather([first, second])

    assert batch.names == ("a", "b", "c", "d")
    assert set_ups(batch, "sheet", "in")[1].words.endswith("that strip: a; the rest is b.")


def test_what_is_too_thin_for_the_tape_is_not_called_nothing():
    """An edge trimmed by less than a mark of the tape is said to be less than it, never 0 in."""
    length, thin = at("36"), at("1/16") // 2
    steps = (SawCut("crosscut", 0, 0, length, 0, thin),)
    cut = Cut("M1", "shingle", length, 0, 0, (CutPiece("S1", thin, 0, length - thin, 0),), steps)

    assert words(cut, "stick") == ["Cut less than 1/16 in off the left end: waste; the rest is S1."]
