"""Patterns grown by duals, runs choosing their seams: a bound no plan undercuts, plans that come near it."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from optimizer.engine import Clock, run_highs
from optimizer.lengths import FOOT, INCH
from optimizer.models.board_growing import complete, grown
from optimizer.models.board_master import build
from optimizer.models.boards import _question, plan_lengths
from optimizer.words import Part, Run, Saw, Stock

WIDE = INCH * 7 // 2


def stock(feet: int, price: int | None, **more: object) -> Stock:
    return Stock(f"2x4 {feet} ft", "2x4", "board", feet * FOOT, WIDE, price, **more)


def plates(feet: int, count: int) -> list[Run]:
    seams = tuple(range(16 * INCH, feet * FOOT, 16 * INCH))
    return [Run(f"plate {n}", "2x4", feet * FOOT, shortest=4 * FOOT, seams=seams) for n in range(count)]


SIZES = st.lists(st.tuples(st.integers(20, 140), st.integers(1, 4)), min_size=1, max_size=3)


@given(SIZES, st.integers(10, 16), st.sampled_from([(365, 645), (None, None), (500, 800)]))
def test_the_bound_holds_for_the_exact_model(sizes, feet, prices):
    """On questions small enough to list all patterns, the grown bound is never above the proved cost."""
    stocks = [stock(8, prices[0]), stock(12, prices[1])]
    parts = [Part(f"part {n}", "2x4", inches * INCH, count=count) for n, (inches, count) in enumerate(sizes)]
    runs = plates(feet, 1)
    exact = plan_lengths("2x4", stocks, parts, runs, Saw(), Clock(15)).outcome
    found = grown(_question("2x4", stocks, parts, runs, Saw()), (), Clock(15))

    assert found is not None
    assert 0 < found.bound <= exact.cost
    assert found.witnesses[0] == "LP duals checked in integers"


@given(SIZES, st.integers(10, 16), st.integers(0, 3))
def test_a_complete_list_holds_a_cheapest_plan(sizes, feet, slant):
    """The patterns that a plan under some cost may need are enough to find the cheapest plan there is."""
    stocks = [stock(8, 365), stock(12, 600)]
    parts = [Part(f"part {n}", "2x4", inches * INCH, count=count) for n, (inches, count) in enumerate(sizes)]
    parts.append(Part("rafter", "2x4", 40 * INCH, count=2, slant=slant * INCH))
    runs = plates(feet, 1)
    exact = plan_lengths("2x4", stocks, parts, runs, Saw(), Clock(15)).outcome
    question = _question("2x4", stocks, parts, runs, Saw())
    found = grown(question, (), Clock(15))
    assert found is not None
    columns = complete(question, found, exact.cost + 365)
    assert columns is not None
    solved = run_highs(build(question, columns, False, 0).model, Clock(15))

    assert solved.bound == exact.cost
    assert complete(question, found, found.bound) == ()


@given(st.integers(2, 6), st.integers(0, 3))
def test_slanting_parts_take_their_slant_once(count, slant):
    """A bound with nesting rafters in it holds, too."""
    stocks = [stock(12, 600), stock(16, 790)]
    parts = [
        Part("rafter", "2x4", 50 * INCH, count=count, slant=slant * INCH),
        Part("stud", "2x4", 92 * INCH),
    ]
    runs = plates(14, 1)
    exact = plan_lengths("2x4", stocks, parts, runs, Saw(), Clock(15)).outcome
    found = grown(_question("2x4", stocks, parts, runs, Saw()), (), Clock(15))

    assert found is not None
    assert 0 < found.bound <= exact.cost


def test_what_this_model_is_not_for():
    """Runs with seams anywhere, and bars the yard has few of, are left to others."""
    free = [Run("strip", "2x4", 20 * FOOT, shortest=FOOT)]
    few = [stock(8, 365, available=3), stock(12, 645)]

    assert grown(_question("2x4", [stock(12, 645)], [], free, Saw()), (), Clock(5)) is None
    assert grown(_question("2x4", few, [], plates(10, 1), Saw()), (), Clock(5)) is None


def test_a_frame_of_many_sizes_comes_near_its_bound():
    """Studs, cripples and gable studs beside jointed plates: within a hundredth of the bound."""
    stocks = [stock(feet, 45 * feet + feet * feet // 2) for feet in (8, 10, 12, 14, 16, 20)]
    parts = [Part("stud", "2x4", 741 * INCH // 8, count=40)]
    parts += [Part(f"gable stud {n}", "2x4", (6 + 11 * n) * INCH, count=4) for n in range(1, 7)]
    parts += [Part("trimmer", "2x4", 157 * INCH // 2, count=4), Part("cripple", "2x4", 41 * INCH, count=3)]
    runs = plates(24, 4) + [Run(f"end {n}", "2x4", 233 * INCH, seams=()) for n in range(4)]
    outcome = plan_lengths("2x4", stocks, parts, runs, Saw(), Clock(20)).outcome

    assert outcome.cost * 99 <= outcome.bound * 100
