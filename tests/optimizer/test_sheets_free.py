"""Many rectangles in any number of stages: plans that hold, bounds that are never too high."""

from __future__ import annotations

import random
from collections import Counter

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from oracle import fits_sheet

from optimizer.engine import Clock
from optimizer.models.sheets_bounds import sheets_needed
from optimizer.models.sheets_columns import Columns
from optimizer.models.sheets_free import Freely, cut_freely
from optimizer.models.sheets_grid import Grid
from optimizer.models.sheets_master import Cover, least_cost
from optimizer.models.sheets_pricing import sums
from optimizer.models.sheets_question import Item, Question, Shape, Sheet
from optimizer.models.sheets_ruin import Ruins
from optimizer.models.sheets_trees import Node, Tree, leaves

ANY_STAGE = 99


def question(sheets: list[tuple[int, int]], pieces: list[tuple[int, int]], turn: bool = False) -> Question:
    """Ask for pieces from sheets that cost their area (one size: 1)."""
    items = tuple(Item(a, b, n, turn and a != b) for (a, b), n in sorted(Counter(pieces).items()))
    return Question(tuple(Sheet(x, y, 1 if len(sheets) == 1 else x * y) for x, y in sheets), items)


def depth(tree: Tree) -> int:
    return 1 + max(depth(c) for c in tree.children) if isinstance(tree, Node) else 0


def apart(draw: random.Random, length: int, width: int, pieces: int) -> list[tuple[int, int]]:
    """Cut a sheet apart into so many pieces, edge to edge, at random."""
    found = [(length, width)]
    while len(found) < pieces:
        found.sort(key=lambda p: p[0] * p[1])
        x, y = found.pop()
        if x > y:
            at = draw.randint(1, x - 1)
            found += [(at, y), (x - at, y)]
        else:
            at = draw.randint(1, y - 1)
            found += [(x, at), (x, y - at)]
    return found


@st.composite
def one_sheet(draw: st.DrawFn) -> tuple[int, int, list[tuple[int, int]], bool]:
    """Draw a small sheet and up to five pieces that fit it, turning or not."""
    length, width = draw(st.integers(4, 8)), draw(st.integers(4, 8))
    pieces = draw(st.lists(st.tuples(st.integers(1, length), st.integers(1, width)), min_size=1, max_size=5))
    return length, width, pieces, draw(st.booleans())


@settings(max_examples=60)
@given(one_sheet())
def test_no_bound_denies_what_one_sheet_holds(case):
    """If trying every cut frees all pieces from one sheet, no bound asks for two."""
    length, width, pieces, turn = case
    asked = question([(length, width)], pieces, turn)
    if not fits_sheet(length, width, tuple((a, b, turn) for a, b in pieces), 0, ANY_STAGE):
        return

    assert sheets_needed(asked) == 1
    assert Columns(asked, []).generate(Clock(20), None) <= 1


@settings(max_examples=40)
@given(one_sheet())
def test_the_search_finds_what_one_sheet_holds(case):
    """If trying every cut frees all pieces from one sheet, ruin and recreate puts them on one."""
    length, width, pieces, turn = case
    asked = question([(length, width)], pieces, turn)
    if not fits_sheet(length, width, tuple((a, b, turn) for a, b in pieces), 0, ANY_STAGE):
        return

    made = cut_freely(asked, Clock(20))

    assert (made.cost, made.proved) == (1, True)


@pytest.mark.parametrize("seed", range(3))
def test_sheets_cut_apart_go_back_together(seed):
    """Four sheets cut apart at random, in any number of stages, are planned back into four."""
    draw = random.Random(seed)
    pieces = [p for _ in range(4) for p in apart(draw, 50, 40, 5)]

    made = cut_freely(question([(50, 40)], pieces), Clock(60))

    assert (made.cost, made.bound) == (4, 4)


@pytest.mark.parametrize(("stages", "turn"), [(None, False), (None, True), (3, False)])
def test_plans_hold_every_piece_once_inside_sheets(stages, turn):
    """Whatever the search gives: every piece is there, no tree outgrows its sheet, stages are kept."""
    draw = random.Random(7)
    pieces = [(draw.randint(5, 30), draw.randint(5, 30)) for _ in range(30)]
    asked = question([(50, 40), (60, 30)], pieces, turn)
    ruins = Ruins(asked, asked.counts, stages)

    assert ruins.run(10**9, 50, 10)
    held = Counter()
    for pattern in ruins.patterns():
        sheet = asked.sheets[pattern.sheet]
        assert pattern.tree.along <= sheet.length
        assert pattern.tree.across <= sheet.width
        assert stages is None or depth(pattern.tree) <= stages
        held.update(leaf.item for leaf in leaves(pattern.tree))
    assert [held[i] for i in range(len(asked.items))] == list(asked.counts)


def test_limited_sheets_are_not_overdrawn():
    """Two cheap sheets and no more: the third piece goes on the dear one."""
    asked = Question((Sheet(10, 10, 1, 2), Sheet(10, 10, 3)), (Item(8, 8, 3),))

    made = cut_freely(asked, Clock(20))

    assert (made.cost, made.bound) == (5, 5)


def test_a_plan_that_leaves_something_out_is_not_kept():
    """An empty plan costs nothing and is refused all the same."""
    known = Freely(Question((Sheet(10, 10, 1),), (Item(8, 8, 1),)))
    known.offer([])

    assert known.cost is None


def test_many_limited_sheets_are_bounded_by_what_they_cost_together():
    """Of 200 sheets needed only 100 are cheap: the bound pays the dear price for the others."""
    asked = Question((Sheet(10, 10, 1, 100), Sheet(10, 10, 3)), (Item(10, 10, 200),))

    assert least_cost(asked, [Cover((1,), (1, 1), 200)]) == 100 * 1 + 100 * 3


def test_a_table_of_many_places_is_read_back():
    """A long rectangle with room for one piece and places at every step leads back to that piece."""
    shapes = [Shape(1500, 3, 0), Shape(1, 4, 1)]
    grid = Grid(shapes, range(3001), range(5), np.array([7, 1], dtype=np.int64))

    assert grid.tree(2999, 3) == shapes[0]


def test_three_pieces_over_half_a_sheet_need_three_sheets():
    """Areas say 2, dual feasible functions 3: no two 6 x 6 pieces share a 10 x 10 sheet."""
    assert sheets_needed(question([(10, 10)], [(6, 6)] * 3)) == 3


@given(
    st.lists(st.tuples(st.integers(1, 9), st.integers(1, 7), st.integers(1, 20)), min_size=1, max_size=4),
    st.integers(4, 9),
    st.integers(4, 7),
)
def test_the_table_is_worth_what_its_tree_holds(shapes, length, width):
    """The tree read back from the table fits the sheet and holds exactly the worth that the table says."""
    inside = [Shape(a, b, i) for i, (a, b, _) in enumerate(shapes) if a <= length and b <= width]
    values = np.array([v for _, _, v in shapes], dtype=np.int64)
    if not inside:
        return
    xs = sorted(sums([(s.along, length) for s in inside], length))
    ys = sorted(sums([(s.across, width) for s in inside], width))
    grid = Grid(inside, xs, ys, values)
    tree = grid.tree(length, width)

    assert tree.along <= length
    assert tree.across <= width
    assert sum(int(values[leaf.item]) for leaf in leaves(tree)) == grid.value(length, width)


@pytest.mark.parametrize("budget", [10**9, 30_000])
def test_a_long_search_stays_inside_its_tables(budget):
    """Thousands of rounds, sheets opened and closed: rows in use and rows left make the whole table."""
    draw = random.Random(3)
    pieces = [(draw.randint(2, 40), draw.randint(2, 40)) for _ in range(25)]
    asked = question([(50, 40), (60, 30), (45, 45)], pieces, turn=True)
    ruins = Ruins(asked, asked.counts, None)
    ruins.run(budget, 50, 10)
    ruins.run(budget // 3, 5000, 10)
    rows, live = ruins.yard.tree.shape[0], int(ruins.yard.tree[:, 9].sum())

    assert live + int(ruins.yard.head[2]) == rows
    assert len([root for root, _ in ruins.yard.slots if root >= 0]) <= len(pieces)


def test_a_budget_below_nothing_places_nothing():
    """Where pieces fit into what is owned already, nothing cheaper is sought, and no table is broken."""
    from optimizer.models.sheets_question import question_of
    from optimizer.models.sheets_ruin import Ruins
    from optimizer.words import Part, Saw, Stock

    stocks = (Stock("rest", "panel", "sheet", 90, 40, 0, 5, from_rack=True),)
    question = question_of(stocks, (Part("square", "panel", 20, 20, 8),), Saw(sheet=0))
    ruins = Ruins(question, question.counts, 3)

    assert ruins.run(0, 50, 10)
    assert ruins.used[0] >= 1
    ruins.run(-1, 50, 10)
    assert all(n >= 0 for n in ruins.used)
    assert ruins.yard.head[0] >= 0
