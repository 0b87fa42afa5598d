"""Pieces of a frame gathered into parts: equal ones together, lengths of one kind numbered."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from optimizer.lengths import INCH, parse_length
from takeoff.frame_pieces import FramePiece, gathered, needed_of, own_or


def piece(length: int, kind: str = "stud", **more: object) -> FramePiece:
    return FramePiece(kind, "2x4", length, "square", **more)


def test_equal_pieces_are_one_part():
    """Ten pieces asked for one by one are one part of ten, with one line for the helper."""
    found = needed_of(piece(96 * INCH) for _ in range(10))

    assert [(p.label, p.count, p.length) for p in found.parts] == [("stud", 10, 96 * INCH)]
    assert [(m.label, m.count) for m in found.members] == [("stud", 10)]


def test_several_lengths_are_numbered_longest_first():
    """Kinds keep the order they came in, lengths go down within one."""
    found = gathered([piece(10), piece(900, "plate"), piece(200), piece(200)])

    assert [(p.kind, p.length, p.count) for p in found] == [
        ("stud 1", 200, 2),
        ("stud 2", 10, 1),
        ("plate", 900, 1),
    ]


def test_rounding_makes_no_second_length():
    """A few thousandths of a millimetre between left and right are one length, the longer; a mark is kept."""
    near, mark = 1_000_003, parse_length("92-5/8 in")

    assert [(p.length, p.count) for p in gathered([piece(near), piece(near - 2)])] == [(near, 2)]
    assert [p.length for p in gathered([piece(mark), piece(mark - 1)])] == [mark]


@given(st.lists(st.integers(1, 5_000_000), min_size=1, max_size=12))
def test_nothing_is_lost_or_shortened(lengths):
    """Gathered pieces are as many as were asked for, and none is shorter than asked."""
    found = gathered(piece(length) for length in lengths)
    longest_first = sorted(lengths, reverse=True)
    given_out = sorted((p.length for p in found for _ in range(p.count)), reverse=True)

    assert len(given_out) == len(lengths)
    assert all(got >= asked for got, asked in zip(given_out, longest_first, strict=True))
    assert all(got - asked <= 8 for got, asked in zip(given_out, longest_first, strict=True))


def test_a_word_stands_for_another_material():
    """ "stud" for a plate means the studs' lumber; none stays none."""
    assert own_or("stud", "stud", "2x4") == "2x4"
    assert own_or("2x6", "stud", "2x4") == "2x6"
    assert own_or(None, "stud", "2x4") is None
