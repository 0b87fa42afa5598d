"""What the proofs of sheet plans stand on: each piece held against another way to reckon the same."""

from __future__ import annotations

import random
from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer.engine import Clock, run_highs
from optimizer.models.sheets_branch import refuted
from optimizer.models.sheets_check import worth_again
from optimizer.models.sheets_close import Closing
from optimizer.models.sheets_flow import build_flow, read_flow
from optimizer.models.sheets_master import Cover, Master, cheapest_purchase, least_cost
from optimizer.models.sheets_mend import Mending
from optimizer.models.sheets_pricing import frames_of
from optimizer.models.sheets_proper import Proper
from optimizer.models.sheets_question import Item, Question, Sheet
from optimizer.models.sheets_search import shelves
from optimizer.models.sheets_sieve import sieve_of
from optimizer.models.sheets_trees import Node, Tree, leaves
from optimizer.models.sheets_two import cut_in_two_stages
from optimizer.models.sheets_yields import yields_again


@st.composite
def questions(draw: st.DrawFn) -> Question:
    """Draw one or two sheets and up to four items, every item on every sheet."""
    sheets = draw(st.lists(st.tuples(st.integers(6, 14), st.integers(6, 12)), min_size=1, max_size=2))
    length, width = min(x for x, _ in sheets), min(y for _, y in sheets)
    items = draw(
        st.lists(
            st.builds(
                Item,
                st.integers(2, length),
                st.integers(2, width),
                st.integers(1, 3),
                st.booleans(),
            ),
            min_size=1,
            max_size=4,
        )
    )
    return Question(tuple(Sheet(x, y, x * y + 3) for x, y in sheets), tuple(items))


def worths(question: Question, values: list[int]) -> tuple[int, ...]:
    """Price every sheet by the tables."""
    worth = [0] * len(question.sheets)
    for frame in frames_of(question):
        priced = frame.price(np.array(values, dtype=np.int64))
        for s in frame.sheets:
            worth[s] = max(worth[s], int(priced.value(question.sheets[s])))
    return tuple(worth)


def depth(tree: Tree) -> int:
    return 1 + max(depth(c) for c in tree.children) if isinstance(tree, Node) else 0


@settings(max_examples=80)
@given(questions(), st.lists(st.integers(0, 50), min_size=4, max_size=4))
def test_tables_and_lists_agree(question, values):
    """The dynamic program and the lists that no pair dominates give every sheet the same worth."""
    assert worths(question, values) == worth_again(question, values[: len(question.items)])


@settings(max_examples=60)
@given(questions(), st.lists(st.integers(1, 50), min_size=4, max_size=4))
def test_patterns_read_back_are_worth_what_the_table_says(question, values):
    """The best pattern fits its sheet in three stages and holds exactly the table's worth."""
    for frame in frames_of(question):
        priced = frame.price(np.array(values, dtype=np.int64))
        for s in frame.sheets:
            sheet = question.sheets[s]
            for pattern in priced.patterns(s):
                assert pattern.tree.along <= sheet.length
                assert pattern.tree.across <= sheet.width
                assert depth(pattern.tree) <= 3
                assert sum(values[x.item] for x in leaves(pattern.tree)) == priced.value(sheet)


@settings(max_examples=40)
@given(questions(), st.lists(st.integers(1, 50), min_size=4, max_size=4))
def test_listed_patterns_hold_the_best_within_the_counts(question, values):
    """Of all patterns listed none exceeds a count, and the worthiest is what a flow of one sheet yields."""
    values = values[: len(question.items)]
    worth = {}
    for frame in frames_of(question):
        priced = frame.price(np.array(values, dtype=np.int64))
        for s in frame.sheets:
            proper = Proper(priced, s, 10**6, Clock(60))
            for made, strips in proper.every(1, 10**6).items():
                assert proper.pattern(strips).yields(len(question.items)) == made
                assert all(m <= n for m, n in zip(made, question.counts, strict=True))
                worth[s] = max(worth.get(s, 0), sum(v * m for v, m in zip(values, made, strict=False)))
    for s in range(len(question.sheets)):
        assert worth.get(s, 0) == best_of_one(question, s, values)


def best_of_one(question: Question, sheet: int, values: list[int]) -> int:
    """Ask the flow model for the worthiest pieces one sheet can hold: each count in turn is tried."""
    best = 0
    for wanted in product(*(range(n + 1) for n in question.counts)):
        value = sum(v * n for v, n in zip(values, wanted, strict=False))
        if value <= best:
            continue
        asked = Question((question.sheets[sheet],), question.asking(wanted).items)
        if not any(wanted):
            continue
        built = build_flow(asked, frames_of(asked))
        built.model.uppers[built.packs[0]] = 1
        if run_highs(built.model, Clock(20)).values is not None:
            best = value
    return best


@settings(max_examples=25)
@given(questions())
def test_the_flow_model_and_the_pattern_bound_agree(question):
    """The flow model's optimum is never below the pattern bound, and its patterns make all that is wanted."""
    master = Master(question, Clock(30))
    costs = master.piece_costs()
    _, duals = master.relax(costs, [None] * len(costs), 10 * (sum(costs) + 1))
    bound = least_cost(question, [master.cover(duals)])
    built = build_flow(question, master.frames)
    solved = run_highs(built.model, Clock(30))
    made = [0] * len(question.items)
    for pattern in read_flow(built, solved.values):
        made = [a + b for a, b in zip(made, pattern.yields(len(made)), strict=True)]

    assert bound <= solved.cost
    assert all(m >= n for m, n in zip(made, question.counts, strict=True))


@settings(max_examples=25)
@given(questions())
def test_the_sieve_keeps_a_plan(question):
    """What the sieve leaves of the flow model still has a plan for the cheapest purchase that has one."""
    built = build_flow(question, frames_of(question))
    solved = run_highs(built.model, Clock(30))
    purchase = [solved.values[c] for c in built.packs]
    master = Master(question, Clock(30))
    costs = master.piece_costs()
    _, duals = master.relax(costs, [None] * len(costs), 10 * (sum(costs) + 1))
    sieved = build_flow(question, master.frames, sieve_of(master.cover(duals), purchase))
    for column, n in zip(sieved.packs, purchase, strict=True):
        sieved.model.uppers[column] = n

    assert run_highs(sieved.model, Clock(30)).cost == solved.cost


def on_one_sheet(yields: list[tuple[int, ...]]) -> list[tuple[int, tuple[int, ...]]]:
    return [(0, made) for made in yields]


def test_an_odd_cycle_is_refuted_by_rounding():
    """Three pieces, every pattern holds two of them: the LP says 1.5 sheets, halving the rows' sum says 2."""
    pool = on_one_sheet([(1, 1, 0), (0, 1, 1), (1, 0, 1)])

    assert refuted(pool, (1, 1, 1), (1,), Clock(20))
    assert not refuted(pool, (1, 1, 1), (2,), Clock(20))


@settings(max_examples=60)
@given(
    st.lists(st.tuples(*[st.integers(0, 2)] * 3), min_size=1, max_size=5, unique=True),
    st.tuples(*[st.integers(0, 4)] * 3),
    st.integers(1, 4),
)
def test_only_what_cannot_be_is_refuted(yields, wanted, sheets):
    """Refuted or not is exactly what trying every number of every pattern says."""
    can = any(
        sum(times) <= sheets
        and all(sum(t * y[i] for t, y in zip(times, yields, strict=True)) >= wanted[i] for i in range(3))
        for times in product(range(sheets + 1), repeat=len(yields))
    )

    assert refuted(on_one_sheet(yields), wanted, (sheets,), Clock(20)) != can


@given(
    st.lists(st.tuples(st.integers(1, 9), st.integers(1, 9), st.integers(0, 4)), min_size=1, max_size=3),
    st.lists(st.integers(0, 30), min_size=1, max_size=2),
)
def test_the_cheapest_purchase_is_the_cheapest(sheets, wanted):
    """Cuts with limited packs: the purchase is what trying all purchases gives."""
    question = Question(tuple(Sheet(1, 1, cost, limit) for cost, _, limit in sheets), ())
    worth = tuple(v for _, v, _ in sheets)
    covers = [Cover((), worth if k == 0 else worth[::-1], w) for k, w in enumerate(wanted)]
    costs = [
        sum(n * c for n, (c, _, _) in zip(pieces, sheets, strict=True))
        for pieces in product(*(range(limit + 1) for _, _, limit in sheets))
        if all(cover.holds(pieces) for cover in covers)
    ]
    found = cheapest_purchase(question, covers)

    assert (None if found is None else found[0]) == min(costs, default=None)


def workshop(seed: int) -> Question:
    draw = random.Random(seed)
    items = [
        Item(draw.randint(10, 60), draw.randint(10, 40), draw.randint(1, 6), draw.random() < 0.5)
        for _ in range(6)
    ]
    return Question((Sheet(96, 48, 30), Sheet(120, 48, 39)), tuple(items))


@pytest.mark.parametrize("seed", range(4))
def test_shelves_and_the_search_hold_everything(seed):
    """The plan made at once, and the plan sought within the same sheets, hold all that is wanted."""
    question = workshop(seed)
    at_once = shelves(question)
    used = [sum(p.sheet == s for p in at_once) for s in range(2)]
    again = Mending(question, Clock(60)).within(used, 40)
    for plan in (at_once, again):
        made = [0] * 6
        for pattern in plan:
            assert pattern.tree.along <= question.sheets[pattern.sheet].length
            assert pattern.tree.across <= 48
            made = [a + b for a, b in zip(made, pattern.yields(6), strict=True)]
        assert tuple(made) == question.counts


@pytest.mark.parametrize("seed", range(3))
def test_two_stages_keep_to_strips_and_cost_no_less_than_three(seed):
    """Rips first, every strip crosscut, pieces trimmed only: dearer than three stages or the same."""
    question = workshop(seed)
    two = cut_in_two_stages(question, Clock(5))
    built = build_flow(question, frames_of(question))
    three = run_highs(built.model, Clock(5))

    assert all(depth(p.tree) <= 2 for p in two.plan)
    assert two.bound <= two.cost
    assert three.bound <= two.cost


@settings(max_examples=60)
@given(questions(), st.lists(st.integers(0, 50), min_size=4, max_size=4), st.integers(0, 60))
def test_both_lists_of_yields_agree(question, values, spare):
    """Depth first over cuts and set by set: the fullest yields near the best worth are the same."""
    values = values[: len(question.items)]
    worth = worths(question, values)
    for s in range(len(question.sheets)):
        listed = set()
        for frame in frames_of(question):
            priced = frame.price(np.array(values, dtype=np.int64))
            listed |= set(Proper(priced, s, 10**6, Clock(60)).every(worth[s] - spare, 10**6))
        fullest = {
            a
            for a in listed
            if not any(a != b and all(x <= y for x, y in zip(a, b, strict=True)) for b in listed)
        }

        assert yields_again(question, s, values, worth[s] - spare) == fullest


@st.composite
def limited(draw: st.DrawFn) -> Question:
    """Draw a question whose cheapest sheet is an offcut: one of it, at little cost."""
    asked = draw(questions())
    rack = Sheet(draw(st.integers(4, 12)), draw(st.integers(4, 10)), draw(st.integers(1, 20)), 1)
    return Question((*asked.sheets, rack), asked.items)


@settings(max_examples=60)
@given(limited())
def test_two_exact_methods_agree(question):
    """Purchases settled one by one cost what the flow model, a program of its own, says; offcuts included."""
    master = Master(question, Clock(60))
    known = Closing(master, "m", [master.area()])
    known.offer(shelves(question))
    known.close()
    built = build_flow(question, frames_of(question))
    solved = run_highs(built.model, Clock(60))

    assert known.cost == known.bound
    assert (known.cost, solved.optimal) == (solved.cost, True)
    assert len(known.witnesses()) == 2


@settings(max_examples=40)
@given(questions(), st.lists(st.integers(0, 3), min_size=2, max_size=2))
def test_a_purchase_that_stretches_to_less_than_all_has_no_plan(question, pieces):
    """Below factor 1 the cut it gives refutes the purchase, and the flow model finds no plan within it."""
    purchase = pieces[: len(question.sheets)]
    master = Master(question, Clock(60))
    factor, duals = master.stretch(purchase)
    cover = master.cover(duals)
    built = build_flow(question, frames_of(question))
    for column, n in zip(built.packs, purchase, strict=True):
        built.model.uppers[column] = n
    solved = run_highs(built.model, Clock(60))

    assert factor < 1 + 1e-6 or cover.holds(purchase)
    if factor < 1 - 1e-3:
        assert not cover.holds(purchase)
    if not cover.holds(purchase):
        assert solved.infeasible


@settings(max_examples=40)
@given(questions())
def test_what_a_cut_admits_includes_every_plan(question):
    """Whatever the flow model uses for a purchase, the cut admits each of its sheets."""
    built = build_flow(question, frames_of(question))
    solved = run_highs(built.model, Clock(60))
    purchase = [solved.values[c] for c in built.packs]
    master = Master(question, Clock(60))
    _, duals = master.stretch(purchase)
    for cover in (master.cover(duals), master.area()):
        for pattern in read_flow(built, solved.values):
            assert cover.admits(pattern.sheet, pattern.yields(len(question.items)), purchase)


@pytest.mark.parametrize("seed", range(3))
def test_mending_keeps_all_pieces_and_limits(seed):
    """Rounded or taken apart, a plan makes all that is wanted from what there is, and gets no dearer."""
    asked = workshop(seed)
    few = Question((Sheet(96, 48, 30, 2), *asked.sheets[1:]), asked.items)
    master = Master(few, Clock(60))
    costs = master.piece_costs()
    relaxed, _ = master.relax(costs, [s.limit for s in few.sheets], 10 * (sum(costs) + 1))
    mending = Mending(few, Clock(60))
    plan = mending.rounded(list(zip(master.pool, relaxed.values, strict=False)), None)
    spent = few.cost([sum(p.sheet == s for p in plan) for s in range(2)])
    again = [found for found in (mending.again(plan) for _ in range(6)) if found is not None]

    for one in (plan, *again):
        used = [sum(p.sheet == s for p in one) for s in range(2)]
        made = np.array([p.yields(6) for p in one]).sum(0)
        assert (made >= few.counts).all()
        assert all(p.tree.along <= few.sheets[p.sheet].length and p.tree.across <= 48 for p in one)
        assert used[0] <= 2
        assert few.cost(used) <= spent
