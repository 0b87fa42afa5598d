"""Between sheet plans of one cost: from a plan that is worse at one level to one that is better."""

from __future__ import annotations

from optimizer.engine import Clock
from optimizer.lengths import INCH
from optimizer.models.sheets_close import Closing
from optimizer.models.sheets_master import Master
from optimizer.models.sheets_question import question_of
from optimizer.models.sheets_tidy import Tidied, tidy
from optimizer.models.sheets_trees import Pattern, join
from optimizer.words import Part, Saw, Stock

SHEET = Stock("4x8", "ply", "sheet", 96 * INCH, 48 * INCH, 1000)
WIDE = Stock("8x8", "ply", "sheet", 96 * INCH, 96 * INCH, 2000)


def tidied(
    stocks: tuple[Stock, ...], strips: dict[int, int], plan: list[list[int]], other: list[list[int]]
) -> Tidied:
    """
    Tidy a plan of strips 90 in long, given by their widths in inches sheet by sheet.

    `strips` says how many of each width are wanted; `other` are sheets that might be cut instead.
    """
    parts = tuple(Part(f"{w}", "ply", 90 * INCH, w * INCH, n) for w, n in strips.items())
    question = question_of(stocks, parts, Saw())
    master = Master(question, Clock(60))

    def pattern(widths: list[int]) -> Pattern:
        number = 0 if sum(widths) <= 48 else 1
        shapes = {question.parts[x.item][0].width: x for x in question.shapes(question.sheets[number])}
        return Pattern(number, join("rip", [shapes[w * INCH] for w in widths]))

    first = [pattern(widths) for widths in plan]
    master.add([*first, *(pattern(widths) for widths in other)])
    known = Closing(master, "ply", [master.area()], plan=first)
    return tidy(known, lambda question, cost: None, Clock(60))


def sheets(tidied: Tidied) -> list[tuple[int, ...]]:
    """Give the strips on each sheet."""
    return sorted(tuple(sorted(int(p.label) for p in c.pieces)) for c in tidied.cuts for _ in range(c.repeat))


def test_a_looser_sheet_is_chosen_before_a_larger_leftover():
    """40 with 8 leaves 1/8 in of 48-1/4 in, and 18 in beside the 30; 30 with 8 leaves room on both sheets."""
    odd = Stock("odd", "ply", "sheet", 96 * INCH, 193 * INCH // 4, 1000)

    made = tidied((odd,), {40: 1, 30: 1, 8: 1}, [[40, 8], [30]], [[40], [30, 8]])

    assert sheets(made) == [(8, 30), (40,)]
    assert dict(made.levels)["slack"] == "proved"


def test_one_sheet_is_chosen_before_two():
    """Two strips of 40 in: two sheets at 10.00 or one of twice the width at 20.00."""
    made = tidied((SHEET, WIDE), {40: 2}, [[40], [40]], [[40, 40]])

    assert [c.stock for c in made.cuts] == ["8x8"]


def test_sheets_cut_alike_are_chosen_before_different_ones():
    """Two of 22 in, two of 18 in: both sheets take one of each, where the plan had like with like."""
    made = tidied((SHEET,), {22: 2, 18: 2}, [[22, 22], [18, 18]], [[22, 18]])

    assert [c.repeat for c in made.cuts] == [2]
    assert sheets(made) == [(18, 22), (18, 22)]


def test_one_large_leftover_is_chosen_before_two_small_ones():
    """Strips of 20, 18, 12 and 8 in: all but the 12 on one sheet leave 36 in of the other, not 28."""
    made = tidied((SHEET,), {20: 1, 18: 1, 12: 1, 8: 1}, [[20, 8], [18, 12]], [[20, 18, 8], [18, 12, 8]])

    assert sheets(made) == [(8, 18, 20), (12,)]


def test_money_comes_before_every_tie_break():
    """A wide sheet at 30.00 would save a sheet, but two at 10.00 cost less: they stay."""
    dear = Stock("8x8", "ply", "sheet", 96 * INCH, 96 * INCH, 3000)

    made = tidied((SHEET, dear), {40: 2}, [[40], [40]], [[40, 40]])

    assert [(c.stock, c.repeat) for c in made.cuts] == [("4x8", 2)]
