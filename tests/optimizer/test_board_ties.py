"""Ties between lumber plans of equal cost: every level changes a plan that is as cheap, and in its turn."""

from __future__ import annotations

import pytest

from optimizer.engine import Clock, LinearModel, run_highs
from optimizer.lengths import FOOT
from optimizer.models import board_ties
from optimizer.models.board_master import build
from optimizer.models.boards import _columns, _question
from optimizer.words import Part, Saw, Stock


def board(feet, price):
    return Stock(f"1x4 {feet} ft", "1x4", "board", feet * FOOT, 0, price)


def master_of(stocks, lengths):
    parts = [Part(f"p{n}", "1x4", feet * FOOT) for n, feet in enumerate(lengths)]
    question = _question("1x4", stocks, parts, [], Saw(board=0))
    return build(question, _columns(question, 6_000), pooled=False, waste=0)


def costing(master, cost, gains):
    """Give the solution of that cost that gains most, where every time a way is used counts as stated."""
    linear = master.model
    model = LinearModel([0] * len(linear.costs), list(linear.uppers), list(linear.lines))
    model.row(enumerate(linear.costs), upper=cost)
    for column, gain in gains.items():
        model.costs[column] = -gain
    return run_highs(model, Clock(20)).values


def bars(master, values):
    """Give the bars as how long each is, and the pieces in it, in feet."""
    found = []
    for column, time in zip(master.columns, master.times, strict=True):
        kerf, pieces = master.question.kerf, master.question.pieces
        held = [(p.take - kerf) // FOOT for p, n in zip(pieces, column.counts, strict=True) for _ in range(n)]
        length = master.question.bars[column.bar].stock.length // FOOT
        found += [(length, tuple(sorted(held, reverse=True)))] * values[time]
    return sorted(found, reverse=True)


def tidied(master, values):
    """Give the last of the ever better solutions."""
    *_, last = [values, *board_ties.ties(master, values, Clock(60))]
    return bars(master, last)


@pytest.fixture
def two_or_one():
    """Two pieces of 8 ft: two boards at 4.00 each, or one of 16 ft at 8.00; begun with two."""
    master = master_of([board(8, 400), board(16, 800)], [8, 8])
    start = costing(master, 800, dict.fromkeys(master.times, 1))
    assert bars(master, start) == [(8, (8,)), (8, (8,))]
    return master, start


@pytest.fixture
def alike_or_not():
    """Two each of 5, 4 and 1 ft from two boards of 10 ft: 5 + 5 and 4 + 4 + 1 + 1, or twice 5 + 4 + 1."""
    master = master_of([board(10, 500)], [5, 5, 4, 4, 1, 1])
    halves = next(t for c, t in zip(master.columns, master.times, strict=True) if c.counts == (2, 0, 0))
    start = costing(master, 1000, {halves: 1})
    assert bars(master, start) == [(10, (5, 5)), (10, (4, 4, 1, 1))]
    return master, start


@pytest.fixture
def one_rest_or_two():
    """6, 4 and 3 ft from two boards of 10 ft: 4 and 3 ft over, or 7 ft in one piece."""
    master = master_of([board(10, 500)], [6, 4, 3])
    alone = next(t for c, t in zip(master.columns, master.times, strict=True) if c.counts == (1, 0, 0))
    start = costing(master, 1000, {alone: 1})
    assert bars(master, start) == [(10, (6,)), (10, (4, 3))]
    return master, start


def test_money_being_equal_one_board_is_cut_and_not_two(two_or_one, monkeypatch):
    """Fewer pieces to carry; without that level both stay."""
    assert tidied(*two_or_one) == [(16, (8, 8))]

    monkeypatch.setattr(board_ties, "_pieces", lambda master: {})
    monkeypatch.setattr(board_ties, "MOST_WAYS", 0)
    assert tidied(*two_or_one) == [(8, (8,)), (8, (8,))]


def test_money_and_boards_being_equal_boards_are_cut_alike(alike_or_not, monkeypatch):
    """One setting of the stops for both boards; without that level there are two."""
    assert tidied(*alike_or_not) == [(10, (5, 4, 1)), (10, (5, 4, 1))]

    monkeypatch.setattr(board_ties, "MOST_WAYS", 0)
    assert tidied(*alike_or_not) == [(10, (5, 5)), (10, (4, 4, 1, 1))]


def test_all_else_being_equal_the_rest_is_one_long_piece(one_rest_or_two, monkeypatch):
    """7 ft can still become something; without that level 4 and 3 ft are left."""
    assert tidied(*one_rest_or_two) == [(10, (6, 4)), (10, (3,))]

    monkeypatch.setattr(board_ties, "_leftovers", lambda master: {})
    assert tidied(*one_rest_or_two) == [(10, (6,)), (10, (4, 3))]


def test_a_level_gives_nothing_up_that_one_before_it_reached():
    """
    Six pieces of 4 ft: one board of 16 ft and one of 8 ft, or two of 12 ft, cost the same; so do three of 8.

    Two boards come before three; then two cut alike before two cut differently, though no rest is longer.
    """
    master = master_of([board(8, 400), board(12, 600), board(16, 800)], [4] * 6)
    start = costing(master, 1200, dict.fromkeys(master.times, 1))

    assert len(bars(master, start)) == 3
    assert tidied(master, start) == [(12, (4, 4, 4)), (12, (4, 4, 4))]


def test_no_tie_is_worth_a_cent():
    """A board of 16 ft at 8.01 saves a board, and is not bought."""
    master = master_of([board(8, 400), board(16, 801)], [8, 8])
    start = run_highs(master.model, Clock(20)).values

    assert tidied(master, start) == [(8, (8,)), (8, (8,))]
