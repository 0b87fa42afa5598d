"""Prices of pieces: what sheets are worth at them, and what they leave out of a deck."""

from __future__ import annotations

import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, event, given, settings
from hypothesis import strategies as st
from strategies import RULES, roofs

from optimizer.engine import Clock, LinearModel, run_highs
from optimizer.lengths import INCH
from optimizer.models.block_growth import BlockGrowth
from optimizer.models.blocks import FAR, Paths
from optimizer.models.closing import Question, closed, thinned
from optimizer.models.decking import decking_of
from optimizer.models.joint import build_joint
from optimizer.models.seams import lines_of
from optimizer.patterns import cutting_of
from optimizer.words import Part, Stock, Support, Surface
from optimizer.yields import Yields

GAP = INCH // 8
PANEL = Stock("panel", "panel", "sheet", 96 * INCH - GAP, 48 * INCH - GAP, 1000)
NINE = Stock("nine", "panel", "sheet", 108 * INCH - GAP, 48 * INCH - GAP, 1190)


def half(length, height, rule, spacing=24, label="A"):
    lines = tuple(Support(at * INCH) for at in range(0, length + 1, spacing))
    return Surface(label, "panel", length * INCH, height * INCH, lines, rule, mark=label)


def ask(surfaces, stocks=(PANEL,), parts=(), only=None, edge=150):
    edges = {surface.label: edge for surface in surfaces}
    return decking_of(stocks, [s.price for s in stocks], surfaces, parts, edges, GAP, True, only)


def one_stack(decking):
    """Keep the first stack of every surface."""
    return replace(decking, stacks={label: stacks[:1] for label, stacks in decking.stacks.items()})


sizes = st.lists(st.tuples(st.integers(2, 9), st.integers(2, 6)), min_size=1, max_size=5, unique=True)


@settings(max_examples=30)
@given(sizes, st.lists(st.integers(0, 30), min_size=5, max_size=5))
def test_a_sheet_is_worth_what_its_best_pieces_are_worth(found, worths):
    """The table gives the same as an integer program over the ways to cut one sheet."""
    sheet = Stock("sheet", "panel", "sheet", 12, 8, 1)
    cutting = cutting_of([sheet], found, 1)
    prices = np.array(worths[: len(found)])
    table = Yields(cutting, found)
    model = LinearModel()
    cuts = cutting.build(model, [0], 1000)
    model.uppers[0] = 1
    for size, worth in zip(found, worths, strict=False):
        sold = model.column(-worth, 1000)
        model.row([*cuts.pieces.get(size, ()), (sold, -1)], lower=0)

    assert table.tops(table.values(prices)) == [-run_highs(model, Clock(20)).cost]


@settings(max_examples=30)
@given(sizes, st.lists(st.integers(1, 30), min_size=5, max_size=5))
def test_the_best_ways_are_worth_what_they_say(found, worths):
    """The pieces of the best sheet add up to its worth, and the others come after it."""
    sheet = Stock("sheet", "panel", "sheet", 12, 8, 1)
    table = Yields(cutting_of([sheet], found, 1), found)
    prices = np.array(worths[: len(found)])
    values = table.values(prices)
    best = [sum(prices[p] * n for p, n in pieces.items()) for pieces, _ in table.best(values, 0, 5)]

    assert best[:1] == table.tops(values)
    assert best == sorted(best, reverse=True)


def test_a_way_within_reach_is_kept_and_one_beyond_it_is_not():
    """On a sheet of 12 at 1 a unit of length, pieces of 5 leave 2, pieces of 4 leave none: 2 is needed."""
    sheet = Stock("sheet", "panel", "sheet", 12, 8, 12)
    cutting = cutting_of([sheet], [(5, 8), (4, 8)], 0)
    table = Yields(cutting, [(5, 8), (4, 8)])
    values = table.values(np.array([5, 4]))

    def parts(room):
        kept = table.within(values, [12], room)
        return {tuple(p.length for p in way.parts) for way in kept.ways if len(way.parts) > 1}

    assert (4, 4, 4) in parts(0)
    assert (5, 5) not in parts(1)
    assert (5, 5) in parts(2)


@pytest.mark.parametrize("courses", [1, 2, 3])
def test_the_cheapest_path_costs_what_its_pieces_cost(courses):
    """Followed from the left end it reaches the right one, and no path over any step is cheaper."""
    lines = lines_of(half(144, 48, RULES["usual"]), 96 * INCH, shrunk=True)
    paths = Paths(lines, courses)
    draw = random.Random(courses)
    costs = np.array([[draw.randint(1, 99)] for _ in paths.moves])
    left = paths.to_go(costs)
    path = paths.cheapest(costs, left, 0)
    through = paths.through(costs)

    assert 0 < left[0, 0] < FAR
    assert costs[path, 0].sum() == left[0, 0] == through.min()
    assert {through[step, 0] for step in path} == {left[0, 0]}


@settings(max_examples=12)
@given(roofs(longest=8, rules=("usual", "lean")), st.integers(0, 3))
def test_what_is_left_out_is_in_no_lay_out_within_the_limit(problem, sheets):
    """The whole model without what is too dear has the same optimum, or none where that is too dear, too."""
    panels = [stock for stock in problem.stocks if stock.material == "panel"][:1]
    edges = {surface.label: 150 for surface in problem.surfaces}
    costs = [panels[0].price]
    whole = decking_of(panels, costs, problem.surfaces, problem.parts, edges, problem.saw.sheet, True)
    assume(all(whole.stacks.values()))
    only = {label: stacks[:1] for label, stacks in whole.stacks.items()}
    decking = decking_of(panels, costs, problem.surfaces, problem.parts, edges, problem.saw.sheet, True, only)
    growth = BlockGrowth(decking)
    priced = growth.price(decking.stacks, Clock(5))
    assume(priced is not None)
    truth = run_highs(build_joint(decking).linear, Clock(4))
    assume(truth.optimal)
    limit = priced.least(decking.stacks) + sheets * costs[0]
    left = closed(growth.tables, priced, limit)
    event("within the limit" if truth.cost <= limit else "beyond the limit")

    assert left is not None
    if truth.cost <= limit:
        assert run_highs(build_joint(left).linear, Clock(20)).cost == truth.cost
    assert closed(growth.tables, priced, priced.least(decking.stacks) - costs[0]) is None


def test_closing_leaves_less():
    """Up to the bound itself hardly anything is left of a deck; a few sheets above it, nearly all is."""
    decking = ask([half(216, 84, RULES["usual"], 12), half(216, 84, RULES["usual"], 12, "B")], only=None)
    decking = one_stack(decking)
    growth = BlockGrowth(decking)
    priced = growth.price(decking.stacks, Clock(20))
    question = Question(growth, priced)
    bound = priced.least(decking.stacks)
    tight, loose = question.within(bound), question.within(bound + 20 * PANEL.price)

    assert len(tight.all.cutting.ways) < len(loose.all.cutting.ways) <= len(decking.cutting.ways)
    assert tight.pieces() < loose.pieces()
    assert set(tight.few.cutting.ways) <= set(tight.all.cutting.ways)
    assert question.within(bound - PANEL.price) is None


def test_scarce_sheets_raise_the_bound_and_parts_are_counted():
    """Two cheap sheets for three parts of a sheet each: the third comes from a dearer one."""
    deck = half(96, 48, RULES["usual"])
    parts = [Part("skin", "panel", 90 * INCH, 40 * INCH, 2)]
    stocks = [replace(PANEL, available=2), NINE]
    growth = BlockGrowth(one_stack(ask([deck], stocks, parts)))
    stacks = growth.tables.decking.stacks

    assert growth.price(stacks, Clock(20)).least(stacks) == 1000 + 1000 + 1190


def test_too_little_stock_gives_no_prices():
    """One sheet for two sheets' worth of deck, and no other."""
    growth = BlockGrowth(one_stack(ask([half(96, 96, RULES["usual"])], [replace(PANEL, available=1)])))

    assert growth.price(growth.tables.decking.stacks, Clock(20)) is None


@pytest.mark.parametrize(("spacing", "kept"), [(12, True), (24, False)])
def test_lines_closer_than_the_stagger_are_thinned(spacing, kept):
    """At 12 in every other line remains, beginning with the first or the second; at 24 in all do."""
    decking = one_stack(ask([half(192, 48, RULES["usual"], spacing)]))
    (label,) = decking.stacks
    lines = decking.lines[label]
    seams = []
    for rest in (0, 1):
        thin = thinned(decking, rest)
        (width,) = decking.stacks[label][0].widths
        seams.append({arc.head for arc in thin.arcs(lines, width)} - {lines.last})

    assert seams[0].isdisjoint(seams[1]) == kept
    assert (seams[0] | seams[1]) <= set(lines.inner())
