"""Surfaces and pieces that are no rectangles: drawn true to shape, inside the page, every piece named."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hand_made import box, door_cut, gable_wall, hip_cut, hip_side, points
from hypothesis import given
from hypothesis import strategies as st

from cli.batches import gather
from cli.canvas import Canvas, Scale
from cli.cutting_text import set_ups
from cli.draw import sheet
from cli.draw_shaped import shaped
from cli.paper import BOX_MARKS, PLAIN_MARKS
from cli.shaping_text import shaping_set_ups
from cli.tracing import Tracer, box_of, stretch_at
from optimizer.lengths import INCH
from optimizer.plan import Course, CutPiece, LaidPiece
from optimizer.words import Hole, Support, Surface


def test_a_hip_side_is_drawn_true_to_shape():
    """Ends that rise at 45 degrees gain two columns a row, for a row is as high as two columns are wide."""
    surface, courses = hip_side()
    (view,) = shaped(surface, courses, 55, "in", PLAIN_MARKS)
    rows = [row for row in view.lines if "/" in row]
    left = [row.index("/") for row in rows]

    assert left[0] > left[-1] == 0
    assert all(before - after in (1, 2, 3) for before, after in pairwise(left))
    assert rows[0].index("\\") + rows[0].index("/") == pytest.approx(54, abs=1)
    assert {len(row) for row in rows[1:]} == {row.rindex("\\") + 1 for row in rows[1:]}


def test_what_is_above_is_above_and_what_is_left_is_left():
    """The top course is drawn over the first, its pieces in order; ticks name the rafters."""
    surface, courses = hip_side()
    (view,) = shaped(surface, courses, 78, "in", BOX_MARKS, frozenset({"S2.1"}))
    text = "\n".join(view.lines)

    assert text.index("S2.1(m)") < text.index("S1.1") < text.index("S1.2") < text.index("S1.3")
    assert view.lines[-1].split() == ["24", "48", "72", "96", "120", "144", "168", "192"]
    assert view.lines[-2].count(BOX_MARKS.tick) == 8


def test_corners_carry_the_numbers_of_the_form():
    """1 at the lower left, then anticlockwise."""
    surface, courses = hip_side()
    (view,) = shaped(surface, courses, 78, "in", PLAIN_MARKS, numbered=True)

    assert view.lines[0].strip().strip("-") == "4-------3".replace("-------", view.lines[0].strip()[1:-1])
    assert view.lines[0].strip()[0] == "4"
    assert view.lines[-3].startswith("1-")
    assert view.lines[-3].endswith("-2")


def test_an_upright_wall_stands_upright():
    """Up is up: the door stands on the floor, panels side by side, the peak over their joint."""
    surface, courses = gable_wall()
    (view,) = shaped(surface, courses, 60, "in", PLAIN_MARKS)
    rows = view.lines
    text = "\n".join(rows)
    door = next(row for row in rows if "door" in row)

    assert "open" in text
    assert "80 x 36" in text
    assert "143-7/8 x" in text
    assert text.index("/") < text.index("door")
    assert door.index("door") > rows[-3].index("+", 1)
    # The floor line ends as it begins, at the wall's corners; joints are ticked from the left.
    assert rows[-1].split() == ["0", "48", "96"]
    # The peak is in the middle, the eaves at the ends.
    middle = len(rows[-3]) // 2
    first = next(n for n, row in enumerate(rows) if row.strip())
    assert abs(rows[first].index(rows[first].strip()[0]) - middle) <= 2


def test_no_joint_crosses_an_opening():
    """Where two panels meet at a door their joint ends above it, and the floor line runs on."""
    surface, courses = gable_wall()
    door = Hole("door", *box(0, 30, 80, 36))
    (view,) = shaped(replace(surface, holes=(door,)), courses, 60, "in", PLAIN_MARKS)
    row = next(row for row in view.lines if "80 x 36" in row)
    left, right = (row.index("80 x 36") + n for n in (-1, len("80 x 36")))

    assert row[left] in " |"
    assert "|" not in row[left + 1 : right]
    assert "+" not in view.lines[-3][left + 2 : right - 2]


def test_too_wide_a_surface_is_parted_at_its_supports():
    """Every part fits the page, all pieces are named, and the parts join where one ends."""
    length = 1200 * INCH
    at = tuple(24 * INCH * n for n in range(1, 50))
    outline = points((0, 0), (1200, 0), (1152, 48), (48, 48))
    supports = tuple(Support(a) for a in at)
    rule = hip_side()[0].rule
    surface = Surface("long", "osb", length, 48 * INCH, supports, rule, mark="L", outline=outline)
    seams = [0, *range(96 * INCH, length, 96 * INCH), length]
    pieces = [LaidPiece(f"L1.{n}", a, b) for n, (a, b) in enumerate(pairwise(seams), 1)]
    pieces[0] = LaidPiece("L1.1", 0, 96 * INCH, points((0, 0), (96, 0), (96, 48), (48, 48)))
    pieces[-1] = LaidPiece(
        pieces[-1].label, seams[-2], length, points((1152, 0), (1200, 0), (1152.1, 47.9), (1152, 47.9))
    )
    courses = [Course("long 1", "long", 1, length, 48 * INCH, 0, at, tuple(seams[1:-1]), tuple(pieces))]
    views = shaped(surface, courses, 80, "in", BOX_MARKS)
    told = " ".join(line for view in views for line in view.lines)

    assert len(views) > 1
    assert max(len(line) for view in views for line in view.lines) <= 80
    assert all(before.end == after.start for before, after in pairwise(views))
    assert (views[0].start, views[-1].end) == (0, length)
    named = {label for view in views for label in view.unnamed}
    assert all((piece.label in told) != (piece.label in named) for piece in pieces)


@st.composite
def trapezoids(draw: st.DrawFn) -> tuple[Surface, tuple[Course, ...]]:
    """Draw a trapezoid in one to three courses of one piece each."""
    base, high = draw(st.integers(100, 400)), draw(st.integers(24, 120))
    left, right = (draw(st.integers(0, base // 2 - 10)) for _ in range(2))
    outline = points((0, 0), (base, 0), (base - right, high), (left, high))
    supports = tuple(Support(24 * INCH * n) for n in range(1, base // 24 + 1))
    surface = Surface(
        "t", "osb", base * INCH, high * INCH, supports, hip_side()[0].rule, mark="T", outline=outline
    )
    count = draw(st.integers(1, 3))
    courses = []
    for number in range(count):
        low, top = high * number / count, high * (number + 1) / count
        ends = [(left * y / high, base - right * y / high) for y in (low, top)]
        corners = points((ends[0][0], low), (ends[0][1], low), (ends[1][1], top), (ends[1][0], top))
        piece = LaidPiece(f"T{number + 1}.1", min(x for x, _ in corners), max(x for x, _ in corners), corners)
        courses.append(
            Course(
                f"t{number}",
                "t",
                number + 1,
                piece.end - piece.start,
                round((top - low) * INCH),
                round(low * INCH),
                tuple(support.at for support in supports),
                (),
                (piece,),
                begins=piece.start,
            )
        )
    return surface, tuple(courses)


@given(trapezoids(), st.integers(40, 120), st.sampled_from([BOX_MARKS, PLAIN_MARKS]))
def test_any_trapezoid_fits_its_page_and_names_its_pieces(drawn, columns, marks):
    """However a plane slants, no row outgrows the page; every piece is named once, in it or under it."""
    surface, courses = drawn
    views = shaped(surface, courses, columns, "in", marks, numbered=True)
    told = "\n".join(line for view in views for line in view.lines)

    assert max(len(line) for view in views for line in view.lines) <= columns
    assert all(line == line.rstrip() for view in views for line in view.lines)
    unnamed = " ".join(label for view in views for label in view.unnamed)
    for course in courses:
        assert (told + unnamed).count(course.pieces[0].label) == 1


def test_pieces_of_one_slanting_cut_share_its_line():
    """Two nested pieces are parted by one line, numbered once; dots fall to the floor."""
    (batch,) = gather([hip_cut()])
    steps = (*set_ups(batch, "sheet", "in"), *shaping_set_ups(batch, "in"))
    numbered = [(number, saw) for number, step in enumerate(steps, 1) for saw in step.cuts]
    rows = sheet(batch, numbered, 60, Fraction(batch.first.length, 59), "in", PLAIN_MARKS)
    text = "\n".join(rows)
    nested = rows[next(n for n, row in enumerate(rows) if "A1.1" in row)]

    assert max(map(len, rows)) <= 60
    assert nested.count("\\") + nested.count(" 5 ") == 1
    assert all(name in text for name in ("A1.1", "B1.2", "C1.1"))
    assert ".  ." in text
    assert text.count("5") == 1 + "53-13/16".count("5")


def test_an_opening_is_drawn_with_what_comes_out_of_it():
    """The face cut from a door's opening is named inside it; an opening that gives nothing is dotted."""
    (batch,) = gather([door_cut()])
    rows = sheet(batch, (), 60, Fraction(batch.first.length, 59), "in", PLAIN_MARKS)
    alone = replace(door_cut(), pieces=door_cut().pieces[:1])
    (empty,) = gather([alone])
    bare = "\n".join(sheet(empty, (), 60, Fraction(alone.length, 59), "in", PLAIN_MARKS))

    assert any("door face" in row for row in rows)
    assert ".  ." in bare


def test_cuts_of_other_shapes_are_no_batch():
    """Two cuts with the same rectangles but other corners are drawn apart."""
    one = hip_cut()
    plain = CutPiece("C1.2", *box(0, 24.125, 40, 20))
    other = replace(one, id="S2", pieces=(*one.pieces[:2], plain), shaping=one.shaping[:2])

    assert len(gather([one, other])) == 2
    assert len(gather([one, one])) == 1


def test_a_flat_slant_stands_on_feet():
    """A line that gains many columns a row is held together by strokes along its foot."""
    across, up = Scale((0, 400), Fraction(10), 0), Scale((0, 40), Fraction(20), 0)
    tracer = Tracer(Canvas(across.end + 1, up.end + 1, PLAIN_MARKS), across, up)
    tracer.side((0, 0), (400, 40))

    assert tracer.canvas.lines() == (
        "                     ___________________/",
        " ___________________/",
        "/",
    )


def test_a_label_keeps_to_the_inside():
    """In a triangle there is room low down; where there is none at all, nothing is written."""
    corners = ((0, 0), (200, 0), (100, 100))
    across, up = Scale((0, 100, 200), Fraction(10), 0), Scale((0, 100), Fraction(20), 0)
    tracer = Tracer(Canvas(across.end + 1, up.end + 1, PLAIN_MARKS), across, up)
    tracer.outline(corners)

    assert not tracer.label(corners, [("far too long a label",)])
    assert tracer.label(corners, [("far too long a label",), ("label",)])
    row = next(row for row in tracer.canvas.lines() if "label" in row)
    assert row.index("/") < row.index("label") < row.index("\\")


def test_stretches_of_a_shape():
    """A level line meets a rectangle from side to side, and misses it above."""
    assert stretch_at(box_of(2, 3, 10, 5), Fraction(4)) == (2, 12)
    assert stretch_at(box_of(2, 3, 10, 5), Fraction(9)) is None
