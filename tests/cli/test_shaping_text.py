"""Slanting cuts and openings in words: marks that a person can measure with a tape."""

from __future__ import annotations

from dataclasses import replace

from hand_made import box, door_cut, hip_cut, points

from cli.batches import gather
from cli.cutting_text import freed, set_ups
from cli.shaping_text import shaping_set_ups
from optimizer.lengths import INCH
from optimizer.plan import Cut, CutPiece, ShapeCut


def told(cut: Cut) -> list[str]:
    (batch,) = gather([cut])
    return [step.words for step in shaping_set_ups(batch, "in")]


def test_a_cut_between_two_pieces_is_told_once():
    """One pair of marks, one cut, two pieces; both sides of it belong to the step."""
    (batch,) = gather([hip_cut()])
    first = shaping_set_ups(batch, "in")[0]

    assert first.words == (
        "On the block for A1.1 and B1.2 mark 60 in on the near edge and 36 in on the far edge; "
        "saw from mark to mark, right of the line: A1.1 and B1.2."
    )
    assert len(first.cuts) == 2


def test_a_piece_with_two_slants_is_done_after_the_second():
    """Marks at a corner are called by it; the first cut gives a side, the second the piece."""
    assert told(hip_cut())[1:] == [
        "On the block for C1.1 mark the near right corner and 20 in on the far edge; saw from mark to mark, "
        "right of the line: a side of C1.1.",
        "On the same mark the near left corner and 20 in on the far edge; saw from mark to mark, left of the "
        "line: C1.1.",
    ]


def test_saw_cuts_free_the_block_of_a_shaped_piece():
    """Until it is shaped, what the saw frees is the block for it."""
    (batch,) = gather([hip_cut()])

    assert set_ups(batch, "sheet", "in")[-1].words.endswith(": the block for C1.1; the rest is waste.")


def test_marks_on_the_ends_and_inside():
    """A slant between the ends is marked up them from the near edge; a bend inside by both distances."""
    corners = points((0, 0), (40, 0), (40, 10), (20, 20), (0, 14))
    piece = CutPiece("A1.1", *box(0, 0, 40, 20), corners=corners)
    cut = Cut(
        "S1",
        "osb",
        40 * INCH,
        20 * INCH,
        INCH // 8,
        (piece,),
        (),
        shaping=(
            ShapeCut("slant", "A1.1", (corners[2], corners[3])),
            ShapeCut("slant", "A1.1", (corners[3], corners[4])),
        ),
    )
    inside = replace(cut, shaping=(ShapeCut("slant", "A1.1", (corners[2], points((20, 15))[0])),))

    assert told(cut) == [
        "On the sheet mark 10 in up the right end and 20 in on the far edge; saw from mark to mark, right of "
        "the line: a side of A1.1.",
        "On the same mark 14 in up the left end and 20 in on the far edge; saw from mark to mark, left of "
        "the line: A1.1.",
    ]
    assert "a point 20 in along and 15 in up" in told(inside)[0]


def test_an_opening_says_where_it_begins_and_what_comes_out():
    """Distances from the left end and the near edge; what is trimmed from it has no step of its own."""
    assert told(door_cut()) == [
        "Cut out of G2.1 80 x 36 in, 10 in from the left end and 6 in from the near edge, the kerf "
        "inside; trim what comes out to 79 x 35 in: door face."
    ]


def test_an_opening_at_an_edge_is_a_notch():
    """The side it lies at is named."""
    piece = CutPiece("A1.1", *box(0, 0, 96, 48), openings=(box(20, 0, 30, 10),))
    cut = Cut(
        "S1",
        "osb",
        96 * INCH,
        48 * INCH,
        0,
        (piece,),
        (),
        shaping=(ShapeCut("cut out", "A1.1", points((20, 0), (50, 10))),),
    )

    assert told(cut)[0].startswith("Notch A1.1 30 x 10 in, 20 in from the left end and at the near edge,")


def test_copies_are_told_by_their_letters():
    """Cuts alike in shape share one list; their pieces go by letters."""
    one = hip_cut()
    names = {"A1.1": "X1.1", "B1.2": "Y1.2", "C1.1": "Z1.1"}
    other = replace(
        one,
        id="S2",
        pieces=tuple(replace(piece, label=names[piece.label]) for piece in one.pieces),
        shaping=tuple(replace(step, label=names[step.label]) for step in one.shaping),
    )
    (batch,) = gather([one, other])

    assert next(step.words for step in shaping_set_ups(batch, "in")).startswith(
        "On the block for a and b mark"
    )


def test_plain_cuts_have_no_shaping():
    """Nothing is told of a cut whose pieces are all rectangles."""
    assert told(replace(hip_cut(), shaping=())) == []


def test_what_the_saw_frees():
    """The rectangles after all saw cuts: a block, its waste, the second block, its waste, the rest."""
    regions = freed(hip_cut())

    assert box(0, 0, 90, 24) in regions
    assert box(0, 24.125, 40, 20) in regions
    assert len(regions) == 5
