import random
from dataclasses import replace
from functools import cache
from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer.audit_cuts import cut_complaints
from optimizer.audit_lay import lay_complaints
from optimizer.engine import Clock
from optimizer.errors import InputError, NoPlan
from optimizer.lengths import FOOT, INCH
from optimizer.models.boards import plan_lengths
from optimizer.plan import Bought, MaterialPlan, Plan
from optimizer.witness import OWN_BRANCHING
from optimizer.words import Part, Problem, Run, Saw, Stock

NO_KERF = Saw(board=0)


def board(length, price=1, available=None, pack=1):
    return Stock(f"board {length}", "pine", "board", length, 0, price, available, pack)


def part(length, count=1, slant=0):
    return Part(f"part {length}/{slant}", "pine", length, count=count, slant=slant)


def planned(stocks, parts=(), runs=(), saw=NO_KERF, seconds=20):
    """Plan, and hold the answer against the audit before giving it."""
    found = plan_lengths("pine", stocks, parts, runs, saw, Clock(seconds))
    complaints = complaints_of(Problem(tuple(stocks), runs=tuple(runs), parts=tuple(parts), saw=saw), found)
    assert not complaints, complaints
    assert cost_of(stocks, found) == found.outcome.cost
    return found


def complaints_of(problem, found: MaterialPlan):
    cuts = tuple(replace(cut, id=str(number)) for number, cut in enumerate(found.cuts))
    plan = Plan((Bought("", 0, 0, None, None),), cuts, found.courses, (), (found.outcome,), None, None, 0)
    return [*cut_complaints(problem, plan), *lay_complaints(problem, plan)]


def cost_of(stocks, found):
    total = 0
    for stock in stocks:
        used = sum(cut.repeat for cut in found.cuts if cut.stock == stock.key)
        assert stock.available is None or used <= stock.available * stock.pack
        each = stock.price if all(s.price is not None for s in stocks) else stock.pack
        total += -(-used // stock.pack) * each
    return total


def boards_used(found):
    return sum(cut.repeat for cut in found.cuts)


@pytest.mark.parametrize("kind", ["board", "stick", "roll"])
def test_a_proof_names_what_is_cut(kind):
    """A stick of metal is no board."""
    found = planned([replace(board(10), kind=kind)], [part(4)], saw=Saw(board=0, stick=0, roll=0))

    assert found.outcome.family == f"cuts to length of single {kind}s"


def test_work_table_cuts_nine_short_pieces_from_three_boards():
    """Nine pieces of 3 ft take three 10 ft boards, and two of 4 ft 6 in take one."""
    # US Army carpentry manual, work table take-off (paragraphs 4-5 to 4-9); no kerf in the manual.
    ten = [board(10 * FOOT)]

    assert planned(ten, [part(3 * FOOT, 9)]).outcome.cost == 3
    assert planned(ten, [part(54 * INCH, 4)]).outcome.cost == 2
    assert planned(ten, [part(3 * FOOT, 9), part(54 * INCH, 4)]).outcome.cost == 5


def test_brace_stakes_come_from_one_ten_foot_board():
    """Four stakes of 2 ft 4 in are cheapest from one 10 ft length."""
    # US Army carpentry manual, lesson 4 answers: 8 ft gives only three, 12 ft leaves 2 ft 8 in.
    yard = [board(8 * FOOT, 800), board(10 * FOOT, 1000), board(12 * FOOT, 1200)]

    found = planned(yard, [part(28 * INCH, 4)])

    assert [(cut.length, cut.repeat) for cut in found.cuts] == [(10 * FOOT, 1)]


def test_tent_frame_takes_six_boards():
    """Uprights of 5 ft 1 in leave offcuts that give the centre uprights; two boards are rails."""
    # US Army carpentry manual, lesson 5 answers; no kerf in the manual.
    parts = [part(61 * INCH, 4), part(43 * INCH, 2), part(10 * FOOT, 2)]

    assert planned([board(10 * FOOT)], parts).outcome.cost == 6


def test_master_rolls_of_5600():
    """The well-known master-roll example takes 73 rolls."""
    # "Cutting stock problem", Wikipedia: 13 widths from rolls 5600 mm wide.
    widths = [1380, 1520, 1560, 1710, 1820, 1880, 1930, 2000, 2050, 2100, 2140, 2150, 2200]
    rolls = [22, 25, 12, 14, 18, 18, 20, 10, 12, 14, 16, 18, 20]

    found = planned([board(5600)], [part(w, n) for w, n in zip(widths, rolls, strict=True)])

    assert (found.outcome.cost, found.outcome.bound, found.outcome.proved) == (73, 73, True)


def test_a_small_proof_needs_no_third_solver(monkeypatch):
    """Where the LP's own duals fall short of the bound, branching on it is asked before CP-SAT is loaded."""
    # 8 + 2, 5 + 5 and 5: three boards of 10 are 18. The LP halves a board of two fives: 6 + 1.5 x 6 = 15.
    # 25 of pieces need three boards of 10 or two of others: 10 + 13 holds 23, and 2 x 13 costs 22.
    monkeypatch.setattr("optimizer.models.boards.run_cpsat", None)
    found = planned([board(10, 6), board(13, 11)], [part(8), part(5, 3), part(2)])

    assert (found.outcome.cost, found.outcome.proved) == (18, True)
    assert found.outcome.witnesses == ("HiGHS", OWN_BRANCHING)


def test_kerf_runs_out_over_the_edge():
    """n pieces take n - 1 kerfs; what is shorter than a kerf is dust."""
    saw = Saw(board=3)

    # 30 + 3 + 30 + 3 + 30 = 96: three fit 96 with nothing left, and 98 with dust left; 95 hold only two.
    assert boards_used(planned([board(96)], [part(30, 3)], saw=saw)) == 1
    assert boards_used(planned([board(98)], [part(30, 3)], saw=saw)) == 1
    assert boards_used(planned([board(95)], [part(30, 3)], saw=saw)) == 2


def test_slanting_parts_nest():
    """Parts with parallel slanting ends take their slant once a board, not once a part."""
    # 3 x (40 - 10) + 10 = 100.
    assert boards_used(planned([board(100)], [part(40, 3, slant=10)])) == 1
    assert boards_used(planned([board(99)], [part(40, 3, slant=10)])) == 2


def test_pack_is_bought_whole():
    """Boards sold in twos cost two even where one would do."""
    found = planned([board(10, price=7, pack=2), board(11, price=5)], [part(10, 3)])

    # One pack and one single: 12; two packs: 14; three singles: 15.
    assert found.outcome.cost == 12


def test_offcut_of_a_run_serves_a_part():
    """A run and parts share boards of one material."""
    run = Run("eave", "pine", 14, mark="E")

    # 14 from two boards of 10 leaves 6: room for the part.
    assert planned([board(10)], [part(6)], [run]).outcome.cost == 2


def test_laps_are_paid_for():
    """Each seam of a lapped run takes the lap once more."""
    runs = [Run("eave", "pine", 18, lap=2, shortest=3, mark="E")]

    assert planned([board(10)], runs=runs).outcome.cost == 2
    assert planned([board(10)], runs=[Run("eave", "pine", 19, lap=2, shortest=3, mark="E")]).outcome.cost == 3


def test_six_runs_of_edge_metal_share_sticks():
    """Six runs cut from 10 ft sticks together take fewer than one by one."""
    stick = Stock("edge 10", "edge", "stick", 120 * INCH, 0, 899)
    runs = [
        Run(f"run {n}", "edge", length * INCH, lap=2 * INCH, shortest=12 * INCH, mark=f"R{n}")
        for n, length in enumerate([198, 198, 84, 84, 84, 84])
    ]
    together = plan_lengths("edge", [stick], [], runs, Saw(), Clock(20))
    apart = [plan_lengths("edge", [stick], [], [run], Saw(), Clock(20)) for run in runs]

    # Apart 2 + 2 + 1 + 1 + 1 + 1 = 8; together 732 in and six laps or more in 7 x 120 = 840.
    assert together.outcome.cost == 7 * 899
    assert together.outcome.proved
    assert sum(one.outcome.cost for one in apart) == 8 * 899
    assert not complaints_of(Problem((stick,), runs=tuple(runs)), together)


def test_seams_fall_only_where_they_may():
    """A run with given seams meets on them, even at the price of a board."""
    anywhere = planned([board(10)], runs=[Run("f", "pine", 20, mark="F")])
    on_tails = planned([board(10)], runs=[Run("f", "pine", 20, seams=(4, 8, 12, 16), mark="F")])

    assert (anywhere.outcome.cost, on_tails.outcome.cost) == (2, 3)


def test_without_prices_the_fewest_pieces_and_then_the_shortest_are_taken():
    """One missing price asks for the fewest pieces of stock, and then for short ones."""
    found = planned([board(8, None), board(12, 3)], [part(8), part(12)])

    assert found.outcome.cost == 2
    assert sorted(cut.length for cut in found.cuts) == [8, 12]


def test_long_leftover_beats_two_short_ones():
    """Among plans of equal cost and pieces the one with the longest leftover is taken."""
    # 5 + 4 and 3 leaves 1 and 7; 5 + 3 and 4 leaves 2 and 6.
    found = planned([board(10)], [part(5), part(4), part(3)])

    assert sorted(max(p.x + p.length for p in cut.pieces) for cut in found.cuts) == [3, 9]


def test_same_question_same_plan():
    """Asked twice, the answer is the same to the last label."""
    parts = [part(31, 4), part(27, 5), part(44, 3), part(18, 7)]

    assert (
        planned([board(96, 500), board(120, 640)], parts).cuts
        == planned([board(96, 500), board(120, 640)], parts).cuts
    )


def test_piece_that_outgrows_every_board_is_named():
    """The sentence names the piece and says by how much it is too long."""
    with pytest.raises(
        NoPlan, match=r"part .* is 130 in long, 10 in longer than the longest pine \(120 in\)"
    ):
        planned([board(10 * FOOT)], [part(130 * INCH)])


def test_run_that_may_have_no_seam_must_fit():
    """A run in one piece is named when no board is long enough."""
    with pytest.raises(NoPlan, match=r"eave is 130 in long.*may have no seam"):
        planned([board(10 * FOOT)], runs=[Run("eave", "pine", 130 * INCH, seams=(), mark="E")])


def test_run_without_legal_seams_is_named():
    """Where no choice of seams gives legal pieces, the run is named."""
    with pytest.raises(NoPlan, match="eave can't be pieced"):
        planned([board(10)], runs=[Run("eave", "pine", 20, shortest=8, seams=(5, 15), mark="E")])


def test_too_little_stock_is_said():
    """Where the yard has too little of every size there is no plan."""
    with pytest.raises(NoPlan, match="too little pine"):
        planned([board(10, available=1)], [part(10, 2)])


def test_one_material_has_one_kerf():
    """Stocks of one material that are cut in different ways are refused, not guessed at."""
    with pytest.raises(InputError, match="different kerfs"):
        plan_lengths("pine", [board(9), Stock("s", "pine", "stick", 9)], [part(3)], [], Saw(), Clock(5))


@st.composite
def yards(draw):
    lengths = draw(st.lists(st.integers(6, 14), min_size=1, max_size=3, unique=True))
    return [
        board(length, draw(st.integers(0, 9)), draw(st.none() | st.integers(0, 3)), draw(st.integers(1, 2)))
        for length in lengths
    ]


def cheapest(stocks, pieces, kerf):
    """Try every way to put pieces (length, slant) into bars: the least cost, or None."""
    pieces = tuple(sorted(pieces, reverse=True))

    def priced(numbers):
        return sum(-(-n // s.pack) * s.price for n, s in zip(numbers, stocks, strict=True))

    @cache
    def place(number, bars):
        if number == len(pieces):
            return priced([sum(bar[0] == kind for bar in bars) for kind in range(len(stocks))])
        length, slant = pieces[number]
        best = None
        for n, (kind, left, slants) in enumerate(bars):
            take = length - slant + kerf + (0 if slant in slants else slant)
            if take <= left:
                bar = (kind, left - take, slants | {slant})
                best = least(
                    best, place(number + 1, tuple(sorted((*bars[:n], bar, *bars[n + 1 :]), key=str)))
                )
        for kind, stock in enumerate(stocks):
            used = sum(bar[0] == kind for bar in bars)
            if (stock.available is None or used < stock.available * stock.pack) and length <= stock.length:
                bar = (kind, stock.length - length, frozenset({0, slant}))
                best = least(best, place(number + 1, tuple(sorted((*bars, bar), key=str))))
        return best

    return place(0, ())


def least(one, other):
    return other if one is None else one if other is None else min(one, other)


parts_lists = st.lists(st.tuples(st.integers(2, 9), st.integers(0, 1)), min_size=1, max_size=6)


@settings(max_examples=80, deadline=None)
@given(yards(), parts_lists, st.integers(0, 2))
def test_parts_cost_what_trying_everything_costs(stocks, sizes, kerf):
    """A plan of parts costs exactly what exhaustive search costs, or both find none."""
    parts = [Part(f"p{n}", "pine", length, slant=slant) for n, (length, slant) in enumerate(sizes)]
    expected = cheapest(stocks, sizes, kerf)
    if expected is None:
        with pytest.raises(NoPlan):
            planned(stocks, parts, saw=Saw(board=kerf))
        return
    found = planned(stocks, parts, saw=Saw(board=kerf))

    assert found.outcome.proved
    assert found.outcome.cost == expected


def pieced(run, longest):
    """List every multiset of piece lengths that covers a run."""
    least_length = max(run.shortest, run.lap + 1)
    if run.seams is not None:
        found = set()
        inner = [at for at in run.seams if 0 < at < run.length]
        for chosen in product((False, True), repeat=len(inner)):
            ends = [0, *(at for at, here in zip(inner, chosen, strict=True) if here), run.length]
            lengths = [
                b + (run.lap - run.lap // 2) * (b < run.length) - a + run.lap // 2 * (a > 0)
                for a, b in pairwise(ends)
            ]
            starts = [a - run.lap // 2 * (a > 0) for a in ends[:-1]]
            stops = [b + (run.lap - run.lap // 2) * (b < run.length) for b in ends[1:]]
            if min(starts) >= 0 and max(stops) <= run.length and run.shortest <= min(lengths):
                found.add(tuple(sorted(lengths)))
        return {lengths for lengths in found if max(lengths) <= longest}

    def compositions(total, pieces, smallest):
        if pieces == 1:
            if smallest <= total <= longest:
                yield (total,)
            return
        for first in range(smallest, min(longest, total // pieces) + 1):
            for rest in compositions(total - first, pieces - 1, first):
                yield (first, *rest)

    found = {(run.length,)} if run.shortest <= run.length <= longest else set()
    for pieces in range(2, 4):
        found |= set(compositions(run.length + (pieces - 1) * run.lap, pieces, least_length))
    return found


@st.composite
def run_lists(draw):
    lap = draw(st.integers(0, 2))
    runs = []
    for number in range(draw(st.integers(1, 2))):
        length = draw(st.integers(4, 11))
        seams = draw(
            st.none() | st.sets(st.integers(1, length - 1), max_size=4).map(lambda s: tuple(sorted(s)))
        )
        shortest = draw(st.integers(0, 4))
        runs.append(Run(f"r{number}", "pine", length, lap, shortest, seams, f"R{number}"))
    return runs


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.integers(6, 12), min_size=1, max_size=2, unique=True),
    st.integers(1, 9),
    run_lists(),
    st.lists(st.integers(2, 6), max_size=2),
    st.integers(0, 1),
)
def test_runs_cost_what_trying_everything_costs(lengths, price, runs, sizes, kerf):
    """Runs and parts together cost exactly what trying every piecing and packing costs."""
    stocks = [board(length, price + n) for n, length in enumerate(sorted(lengths))]
    longest = max(lengths)
    parts = [Part(f"p{n}", "pine", length) for n, length in enumerate(sizes)]
    choices = {
        tuple(sorted([*sizes, *(length for lengths_of in choice for length in lengths_of)]))
        for choice in product(*(pieced(run, longest) for run in runs))
    }
    expected = None
    for pieces in choices:
        expected = least(expected, cheapest(stocks, [(length, 0) for length in pieces], kerf))
    if expected is None:
        with pytest.raises(NoPlan):
            planned(stocks, parts, runs, Saw(board=kerf))
        return
    found = planned(stocks, parts, runs, Saw(board=kerf))

    assert found.outcome.bound <= expected <= found.outcome.cost
    assert found.outcome.proved


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.integers(9, 60), st.integers(1, 4)), min_size=2, max_size=6), st.integers(1, 4))
def test_kerf_is_length_added_to_everything(sizes, kerf):
    """Pieces and boards shortened by the kerf and cut with it cost what the long ones cost without."""
    stocks = [board(100, 9), board(73, 7)]
    parts = [Part(f"p{n}", "pine", length, count=count) for n, (length, count) in enumerate(sizes)]
    short = [replace(stock, length=stock.length - kerf) for stock in stocks]
    thin = [replace(part, length=part.length - kerf) for part in parts]

    without = planned(stocks, parts).outcome
    with_kerf = planned(short, thin, saw=Saw(board=kerf)).outcome

    assert without.proved
    assert with_kerf.proved
    assert without.cost == with_kerf.cost


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.integers(5, 60), st.integers(1, 4)), min_size=1, max_size=6), st.integers(0, 3))
def test_wider_kerf_never_costs_less(sizes, kerf):
    """What a wide saw can cut a narrow one can."""
    stocks = [board(100, 9), board(73, 7)]
    parts = [Part(f"p{n}", "pine", length, count=count) for n, (length, count) in enumerate(sizes)]

    narrow, wide = (planned(stocks, parts, saw=Saw(board=k)).outcome.cost for k in (kerf, kerf + 1))

    assert narrow <= wide


def lumber(sizes, seed, grid=INCH // 4):
    """A list of about 300 pieces of so many sizes, and six lengths to cut them from, prices invented."""
    draw = random.Random(seed)
    stocks = [
        board(feet * FOOT, round(feet * 62 * draw.uniform(0.92, 1.12))) for feet in (8, 10, 12, 14, 16, 20)
    ]
    parts = [
        Part(f"p{n}", "pine", draw.randint(40, 380) * grid, count=300 // sizes + draw.randint(-2, 2))
        for n in range(sizes)
    ]
    return stocks, parts


@pytest.mark.parametrize("sizes", [25, 40])
def test_long_list_of_lumber_is_proved(sizes):
    """Three hundred pieces of many sizes from six lengths are bought at a cost that is proved."""
    stocks, parts = lumber(sizes, seed=sizes)
    found = planned(stocks, parts, saw=Saw())

    assert found.outcome.proved


def test_lengths_that_share_no_step_are_cut_on_a_grid():
    """Pieces of odd base units still fit exactly, the bound still holds, and the two stay close."""
    stocks, parts = lumber(30, seed=3)
    odd = [replace(part, length=part.length + number) for number, part in enumerate(parts)]
    found = planned(stocks, odd, saw=Saw(), seconds=10).outcome

    assert found.bound <= found.cost < 1.01 * found.bound


def test_long_list_with_runs_and_slants_has_an_honest_bound():
    """Where column generation must piece runs first, the plan holds and the bound stays below it."""
    stocks, parts = lumber(30, seed=5)
    slanting = [replace(part, slant=INCH * (number % 2)) for number, part in enumerate(parts)]
    runs = [Run("fascia", "pine", 30 * FOOT, seams=tuple(range(2 * FOOT, 30 * FOOT, 2 * FOOT)), mark="F")]
    runs += [Run("trim", "pine", 25 * FOOT, shortest=2 * FOOT, mark="T")]
    found = planned(stocks, slanting, runs, saw=Saw(), seconds=10)

    assert 0 < found.outcome.bound <= found.outcome.cost


def test_packs_in_a_long_list_are_bought_whole():
    """The bound may open packs, the purchase may not."""
    stocks, parts = lumber(30, seed=9)
    packed = [replace(stock, pack=4, price=4 * stock.price) for stock in stocks]
    loose = planned(stocks, parts, saw=Saw(), seconds=10).outcome
    found = planned(packed, parts, saw=Saw(), seconds=10).outcome

    assert loose.bound <= found.bound <= found.cost


def test_too_little_stock_for_a_long_list_is_said():
    """Where the yard runs out on a long list the sentence says so."""
    stocks, parts = lumber(40, seed=1)
    with pytest.raises(NoPlan, match="too little"):
        planned([replace(stocks[-1], available=5)], parts, saw=Saw())
