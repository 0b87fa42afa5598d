"""Drawings: to scale, inside the page, with every line where a cut is."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st
from sample_report import INCH, KERF, door_cut, half_courses, lumber, metal, roof_cuts

from cli.batches import gather
from cli.cutting_text import set_ups
from cli.draw import Canvas, Scale, bar, sheet
from cli.draw_lay import half, run_bar
from cli.paper import BOX_MARKS, PLAIN_MARKS
from optimizer.plan import Cut, CutPiece, LaidPiece, SawCut


def test_lines_that_meet_are_joined():
    """Two boxes that share a side make one joint, not two corners."""
    canvas = Canvas(7, 3, BOX_MARKS)
    canvas.box(0, 0, 3, 2)
    canvas.box(3, 0, 6, 2)

    assert canvas.lines() == ("┌──┬──┐", "│  │  │", "└──┴──┘")


@given(st.sets(st.integers(0, 400), min_size=2), st.integers(1, 40))
def test_scale_keeps_order_and_parts_what_is_apart(edges, per_character):
    """Farther edges lie farther on; edges that are not merged have room between them."""
    scale = Scale(edges, Fraction(per_character), 0)
    places = [scale.at(edge) for edge in sorted(edges)]

    assert all(right - left >= 2 for left, right in pairwise(places))


def test_two_sides_of_a_kerf_are_one_line():
    """A saw cut is drawn as a line, not as a thin piece."""
    scale = Scale((0, 500, 501, 1000), Fraction(10), 2)

    assert scale.at(500) == scale.at(501) == 50


@st.composite
def cut_sheets(draw):
    """Cut a sheet by random edge-to-edge cuts; every rectangle at the end is a piece."""
    length, width = 96 * INCH, 48 * INCH
    whole = [(0, 0, length, width)]
    steps = []
    for _ in range(draw(st.integers(0, 9))):
        x, y, long, wide = whole.pop(draw(st.integers(0, len(whole) - 1)))
        kind = draw(st.sampled_from(["rip", "crosscut"]))
        reach = wide if kind == "rip" else long
        if reach < 3 * INCH:
            whole.append((x, y, long, wide))
            continue
        at = draw(st.integers(INCH, reach - INCH - KERF))
        steps.append(SawCut(kind, x, y, long, wide, at))
        if kind == "rip":
            whole += [(x, y, long, at), (x, y + at + KERF, long, wide - at - KERF)]
        else:
            whole += [(x, y, at, wide), (x + at + KERF, y, long - at - KERF, wide)]
    pieces = tuple(CutPiece(f"p{n}", *box) for n, box in enumerate(whole))
    return Cut("S1", "board", length, width, KERF, pieces, tuple(steps))


@given(cut_sheets(), st.integers(30, 90))
def test_any_sheet_fits_its_page_and_names_its_steps(cut, columns):
    """However a sheet is cut, no row outgrows the page, and every piece is named in a drawing or a step."""
    (batch,) = gather([cut])
    steps = set_ups(batch, "sheet", "in")
    numbered = [(number, saw) for number, step in enumerate(steps, 1) for saw in step.cuts]
    rows = sheet(batch, numbered, columns, Fraction(cut.length, columns - 1), "in", BOX_MARKS)
    told = " ".join([*rows, *(step.words for step in steps)])

    assert max(map(len, rows)) <= columns
    assert all(piece.label in told for piece in cut.pieces)


def test_a_sheet_is_drawn_to_scale():
    """Half of a sheet's length is half of its drawing: 47-7/8 in of 95-7/8 in lies in the middle column."""
    (batch,) = gather([roof_cuts()[3]])
    rows = sheet(batch, (), 41, Fraction(batch.first.length, 40), "in", BOX_MARKS)

    assert rows[0].index("┬") == 20
    assert len(rows) == 11


def test_step_numbers_stand_on_their_lines():
    """The rip's number is on the line across, the crosscut's on the line down."""
    (batch,) = gather([door_cut()[0]])
    numbered = list(enumerate(batch.first.steps, 1))
    rows = sheet(batch, numbered, 41, Fraction(batch.first.length, 40), "in", BOX_MARKS)

    assert "─2─" in next(row for row in rows if row.startswith("├"))
    assert rows[1][30] == "1"


def test_waste_is_hatched_and_what_is_kept_is_not():
    """Hatching stands for what falls to the floor, nothing else."""
    cut, right, strip = door_cut()
    (batch,) = gather([cut])
    scale = Fraction(cut.length, 40)

    assert "/  /" in "".join(sheet(batch, (), 41, scale, "in", BOX_MARKS))
    kept = "".join(sheet(batch, (), 41, scale, "in", BOX_MARKS, (right, strip)))
    assert "/  /" not in kept
    assert kept.count("keep") == 2


def test_a_bar_shows_pieces_and_rest():
    """An 84 in leg of a 96 in board takes seven eighths of the bar; the rest is hatched."""
    (batch,) = gather(lumber()[0][:1])
    drawn = bar(batch, 60, Fraction(batch.first.length, 48), "in", PLAIN_MARKS)

    assert drawn == "+------------ casing leg  84 -------------+/////+"


def test_more_pieces_than_columns_still_fit_the_page():
    """Fifty short blocks on a bar of sixty columns: lines may touch, but none falls off the page."""
    step = 2 * INCH + KERF
    pieces = tuple(CutPiece("block", n * step, 0, 2 * INCH, 3 * INCH) for n in range(50))
    (batch,) = gather([Cut("W1", "2x4", 50 * step, 3 * INCH, KERF, pieces, ())])

    assert len(bar(batch, 60, Fraction(batch.first.length, 59), "in", PLAIN_MARKS)) <= 60


def test_a_half_has_its_eave_below():
    """The first course is the lowest row of labels, the ridge course the highest, seams where they are."""
    (view,) = half(half_courses("door side", "A"), 72 * INCH, 78, "in", BOX_MARKS)
    text = "\n".join(view.lines)

    assert text.index("A2.1") < text.index("A1.1")
    assert next(row.index("┬") for row in view.lines if "┬" in row) == round(48 / 192 * 77)


def test_rafters_are_ticked_below_the_eave():
    """One tick a rafter, and the places that have room are written."""
    (view,) = half(half_courses("door side", "A"), 72 * INCH, 78, "in", PLAIN_MARKS)

    assert view.lines[-2].count("'") == 9
    assert view.lines[-1].split() == ["0", "24", "48", "72", "96", "120", "144", "168", "192"]


def test_rafters_that_carry_seams_are_named_before_the_others():
    """At 12 in on centre not every place has room; 47-1/2 and 143-1/2, where the seams lie, are written."""
    rafters = tuple(12 * INCH * place - INCH // 2 for place in range(1, 16))
    seams = (rafters[3], rafters[11])
    courses = [replace(course, supports=rafters, seams=seams) for course in half_courses("door side", "A")]
    (view,) = half(courses[:1], 72 * INCH, 78, "in", PLAIN_MARKS)

    assert view.lines[-2].count("'") == 15
    assert len(view.lines[-1].split()) < 15
    assert {"47-1/2", "143-1/2"} <= set(view.lines[-1].split())


def test_a_long_surface_is_drawn_in_parts_that_join():
    """On a narrow page the parts follow each other without a gap, and each fits."""
    views = half(half_courses("door side", "A"), 72 * INCH, 20, "in", BOX_MARKS)

    assert views[0].start == 0
    assert views[-1].end == 192 * INCH
    assert all(left.end == right.start for left, right in pairwise(views))
    assert max(len(row) for view in views for row in view.lines) <= 20


def test_a_long_surface_names_its_short_pieces():
    """A piece of 32 in beside one of 96 in is drawn wide enough for its label, on more parts if need be."""
    (first, _) = half_courses("door side", "A")
    ends = [place * INCH for place in (0, 96, 192, 224, 320, 416, 512, 608, 704, 736, 832, 928, 1024, 1120)]
    laid = tuple(LaidPiece(f"A6.{n}", *both) for n, both in enumerate(pairwise(ends), 10))
    course = replace(first, length=ends[-1], seams=tuple(ends[1:-1]), pieces=laid)
    views = half([course], 48 * INCH, 78, "in", BOX_MARKS)
    text = "\n".join(line for view in views for line in view.lines)

    assert [piece.label for piece in laid if piece.label not in text] == []


def test_a_run_shows_pieces_and_seams():
    """Two pieces of metal, a seam between them, the label of each."""
    run = metal()[1][0]
    drawn = run_bar(run, 70, Fraction(run.length, 69), "in", PLAIN_MARKS)

    assert "EA.1  120" in drawn
    assert "EA.2  80" in drawn
    assert drawn.count("+") == 3
