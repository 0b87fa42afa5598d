"""The tree over sums of bars: its bound is true, its plans hold, and it settles what lumber lists ask."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optimizer.engine import Clock, run_highs
from optimizer.errors import NoPlan
from optimizer.lengths import FOOT, INCH
from optimizer.models import boards
from optimizer.models.board_lp import LumberLp
from optimizer.models.board_master import Question, build
from optimizer.models.board_plunge import plunge
from optimizer.models.board_prices import safe_prices, within
from optimizer.models.board_tree import settled
from optimizer.models.boards import _columns, _question, plan_lengths
from optimizer.words import Part, Run, Saw, Stock

WIDE = INCH * 7 // 2


def stock(feet: int, price: int | None, **more: object) -> Stock:
    return Stock(f"2x4 {feet} ft", "2x4", "board", feet * FOOT, WIDE, price, **more)


def plates(feet: int, count: int) -> list[Run]:
    seams = tuple(range(16 * INCH, feet * FOOT, 16 * INCH))
    return [Run(f"plate {n}", "2x4", feet * FOOT, shortest=4 * FOOT, seams=seams) for n in range(count)]


def question(stocks: list[Stock], parts: list[Part], runs: list[Run]) -> Question:
    return _question("2x4", stocks, parts, runs, Saw())


def exact_cost(asked: Question) -> int | None:
    """All patterns, one integer program; None if there is too little stock."""
    columns = _columns(asked, 6_000)
    assert columns is not None
    solved = run_highs(build(asked, columns, False, 0).model, Clock(30))
    assert solved.optimal or solved.infeasible
    return solved.cost


SIZES = st.lists(
    st.tuples(st.integers(20, 140), st.integers(1, 4), st.sampled_from([0, 0, 3, 5])), min_size=1, max_size=3
)
STOCKS = st.lists(
    st.tuples(st.sampled_from([6, 8, 10]), st.integers(200, 500), st.sampled_from([None, None, 2])),
    min_size=1,
    max_size=2,
    unique_by=lambda one: one[0],
)


def drawn(sizes, kinds, plate) -> Question:
    stocks = [stock(12, 600), *(stock(feet, price, available=few) for feet, price, few in kinds)]
    parts = [
        Part(f"part {n}", "2x4", inches * INCH, count=count, slant=slant * INCH)
        for n, (inches, count, slant) in enumerate(sizes)
    ]
    return question(stocks, parts, plates(plate, 1) if plate else [])


@given(SIZES, STOCKS, st.sampled_from([0, 9, 13]))
def test_the_tree_comes_to_what_all_patterns_come_to(sizes, kinds, plate):
    """Where all patterns can be listed, plan and bound are their optimum; limits, slants, seams included."""
    asked = drawn(sizes, kinds, plate)
    found = settled(asked, None, Clock(30))

    assert found is not None
    assert found.layout is not None
    cost = sum(asked.bars[bar].cost for bar, counts in found.layout.bars if any(counts))
    assert found.bound == cost == exact_cost(asked)
    assert len(found.witnesses) > 1


@given(SIZES, STOCKS, st.sampled_from([0, 9, 13]))
def test_a_list_of_patterns_holds_a_cheapest_plan(sizes, kinds, plate):
    """The patterns that a plan of some cost may need are enough for the cheapest plan there is."""
    asked = drawn(sizes, kinds, plate)
    cost = exact_cost(asked)
    assert cost is not None
    alone = [tuple(int(kind == one) for kind in range(len(asked.bars))) for one in range(len(asked.bars))]
    lp = LumberLp(asked, alone)
    limits = [float("inf") if bar.limit is None else float(bar.limit) for bar in asked.bars]
    lp.ask([0.0] * len(alone), limits)
    assert lp.generate(Clock(30))
    safe = safe_prices(lp)
    columns = within(lp, safe, cost + 100)

    assert columns is not None
    assert safe.bound <= cost * safe.scale
    assert run_highs(build(asked, columns, False, 0).model, Clock(30)).cost == cost


@given(SIZES, STOCKS, st.sampled_from([0, 9, 13]), st.integers(0, 3))
def test_what_a_plunge_makes_is_a_plan(sizes, kinds, plate, number):
    """Its bars hold what they yield, yield all that is asked, and are no more than were allowed."""
    asked = drawn(sizes, kinds, plate)
    lp = LumberLp(
        asked, [tuple(int(k == one) for k in range(len(asked.bars))) for one in range(len(asked.bars))]
    )
    allowed = [40 if bar.limit is None else bar.limit for bar in asked.bars]
    layout = plunge(lp, allowed, number, Clock(30))

    assert layout is not None
    made = [sum(counts[n] for _, counts in layout.bars) for n in range(len(asked.pieces))]
    wanted = list(asked.demands)
    for (run, many, _), paths in zip(asked.seamed, layout.paths, strict=True):
        assert len(paths) == many
        for path in paths:
            assert [path[0].tail, *(arc.head for arc in path)] == [*(arc.tail for arc in path), run.length]
            for arc in path:
                take = arc.end - arc.start + asked.kerf
                wanted[next(n for n, p in enumerate(asked.pieces) if (p.take, p.slant) == (take, 0))] += 1
    assert all(m >= w for m, w in zip(made, wanted, strict=True))
    for kind, bar in enumerate(asked.bars):
        own = [counts for number, counts in layout.bars if number == kind]
        assert len(own) <= allowed[kind]
        for counts in own:
            slants = {p.slant for p, n in zip(asked.pieces, counts, strict=True) if n}
            taken = sum(p.take * n for p, n in zip(asked.pieces, counts, strict=True))
            assert taken + sum(slants) <= bar.room


def test_boards_are_a_whole_number_of_feet():
    """
    Eleven pieces of 38 in from 8 and 10 ft boards at 40 cents a foot: worked out by hand.

    An 8 ft board holds two, a 10 ft board three; 3 x 10 ft + 1 x 8 ft hold eleven and cost 1520.
    """
    asked = question([stock(8, 320), stock(10, 400)], [Part("part", "2x4", 38 * INCH, count=11)], [])
    found = settled(asked, None, Clock(30))

    assert found is not None
    assert found.bound == 1520


def test_too_little_stock_is_shown():
    """Where the yard has three boards and four are needed, that is said, not searched for."""
    asked = question([stock(8, 365, available=3)], [Part("stud", "2x4", 92 * INCH, count=4)], [])

    with pytest.raises(NoPlan):
        settled(asked, None, Clock(30))


def test_a_known_plan_is_left_alone_if_none_is_cheaper():
    """Asked for something cheaper than the cheapest plan, it shows that there is nothing."""
    asked = question([stock(8, 365)], [Part("stud", "2x4", 92 * INCH, count=4)], [])
    found = settled(asked, 4 * 365, Clock(30))

    assert found is not None
    assert found.layout is None
    assert found.bound == 4 * 365


def test_what_the_tree_is_not_for():
    """Runs with seams anywhere, and bars sold by the pack, are left to others."""
    free = [Run("strip", "2x4", 20 * FOOT, shortest=FOOT)]
    packs = [stock(12, 645, pack=4)]

    assert settled(question([stock(12, 645)], [], free), None, Clock(5)) is None
    assert settled(question(packs, [Part("stud", "2x4", 92 * INCH)], []), None, Clock(5)) is None


@given(SIZES, st.integers(2, 5), st.sampled_from([0, 9, 13]), st.sampled_from([None, 900]))
def test_packs_of_one_size_are_the_fewest_bars(sizes, pack, plate, price):
    """By the tree or by all patterns: packs cost the same, and both ways are proved."""
    parts = [
        Part(f"part {n}", "2x4", inches * INCH, count=count, slant=slant * INCH)
        for n, (inches, count, slant) in enumerate(sizes)
    ]
    runs = plates(plate, 1) if plate else []
    outcomes = []
    for few in (boards.FEW_COLUMNS, 0):
        with pytest.MonkeyPatch.context() as patch:
            patch.setattr(boards, "FEW_COLUMNS", few)
            outcomes.append(
                plan_lengths("2x4", [stock(12, price, pack=pack)], parts, runs, Saw(), Clock(30)).outcome
            )

    assert outcomes[0].proved
    assert outcomes[1].proved
    assert outcomes[0].cost == outcomes[1].cost


def test_a_frame_of_many_sizes_is_proved():
    """Studs, cripples and gable studs beside jointed plates: the cheapest purchase, by two witnesses."""
    stocks = [stock(feet, 45 * feet + feet * feet // 2) for feet in (8, 10, 12, 14, 16, 20)]
    parts = [Part("stud", "2x4", 741 * INCH // 8, count=40)]
    parts += [Part(f"gable stud {n}", "2x4", (6 + 11 * n) * INCH, count=4) for n in range(1, 7)]
    parts += [Part("trimmer", "2x4", 157 * INCH // 2, count=4), Part("cripple", "2x4", 41 * INCH, count=3)]
    runs = plates(24, 4) + [Run(f"end {n}", "2x4", 233 * INCH, seams=()) for n in range(4)]
    outcome = plan_lengths("2x4", stocks, parts, runs, Saw(), Clock(60)).outcome

    assert outcome.proved
