"""Many pieces cut from packs: planned at a glance where nothing can be cheaper, else searched for."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer.engine import Clock
from optimizer.models import board_bulk
from optimizer.models.board_bulk import by_the_pack
from optimizer.models.boards import plan_lengths
from optimizer.solve import cheapest_plan
from optimizer.words import Part, Problem, Saw, Stock


def strips(pack, price=100):
    return Stock("bundle", "strip", "stick", 36, 0, price, pack=pack)


def parts(*counted):
    return tuple(Part(f"part {length}", "strip", length, count=count) for length, count in counted)


def test_a_plan_at_a_glance_is_proved_by_its_lengths():
    """110 whole strips and 60 halves are 140 strips, in 6 bundles of 27; so long are all pieces together."""
    plan = cheapest_plan(Problem((strips(27),), parts=parts((36, 110), (18, 60))), Clock(20))
    (outcome,) = plan.outcomes

    assert (outcome.cost, outcome.bound, outcome.proved) == (600, 600, True)
    assert outcome.witnesses == ("lengths added up", "HiGHS")


def test_where_lengths_alone_do_not_show_it_the_search_does():
    """120 pieces of 20 in take a strip each, 12 bundles of 10, though together they are 67 strips long."""
    plan = cheapest_plan(Problem((strips(10),), parts=parts((20, 120))), Clock(20))
    (outcome,) = plan.outcomes

    assert (outcome.cost, outcome.bound, outcome.proved) == (1200, 1200, True)
    assert "lengths added up" not in outcome.witnesses


def test_single_strips_and_few_pieces_are_searched(monkeypatch):
    """Where there are no packs, or few pieces, all ties are looked at."""
    asked = []
    known = board_bulk._added_up
    monkeypatch.setattr(board_bulk, "_added_up", lambda *question: asked.append(1) or known(*question))

    plan_lengths("strip", [strips(1)], parts((12, 120)), [], Saw(), Clock(20))
    plan_lengths("strip", [strips(27)], parts((12, 20)), [], Saw(), Clock(20))
    assert asked == []
    plan_lengths("strip", [strips(27)], parts((12, 120)), [], Saw(), Clock(20))
    assert asked == [1]


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 36), st.integers(1, 60)), min_size=2, max_size=9), st.integers(2, 40)
)
def test_no_plan_is_cheaper_than_all_lengths_and_none_is_short(counted, pack):
    """Any pieces, any pack: the bound holds, every piece is cut, and what is proved meets its bound."""
    counted = tuple(dict(counted).items())
    plan = cheapest_plan(Problem((strips(pack),), parts=parts(*counted)), Clock(20))
    (outcome,) = plan.outcomes
    total = sum(length * count for length, count in counted)

    assert outcome.bound <= outcome.cost
    assert outcome.cost >= -(-total // (36 * pack)) * 100
    if outcome.proved:
        assert outcome.bound == outcome.cost


def test_a_limit_of_packs_is_kept():
    """Too few bundles for a first fit are no plan at a glance."""
    from optimizer.models.boards import _question

    question = _question(
        "strip",
        [Stock("bundle", "strip", "stick", 36, 0, 100, available=3, pack=27)],
        parts((36, 110)),
        [],
        Saw(),
    )
    assert by_the_pack(question, Clock(5)) is None
