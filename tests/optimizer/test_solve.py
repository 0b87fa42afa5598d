"""One answer from many models: what is bought adds up, and the same question gets the same plan."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from strategies import RULES

from optimizer import solve
from optimizer.engine import Clock
from optimizer.errors import Bug, NoPlan, TimeUp
from optimizer.lengths import INCH
from optimizer.offcuts import leftovers_of
from optimizer.solve import cheapest_plan
from optimizer.words import Count, Part, Problem, Run, Stock, Support, Surface

RULE = RULES["usual"]
GAP = RULE.gap
PANEL = Stock("panel 4x8", "panel", "sheet", 96 * INCH - GAP, 48 * INCH - GAP, 2840)
STUD = Stock("2x4 8 ft", "2x4", "board", 96 * INCH, 7 * INCH // 2, 400)
NAILS = Stock("nails", "nails", "each", price=640, pack=140)


def half(length, height, rule=RULE, mark="A", spacing=24, **more):
    lines = tuple(Support(at * INCH) for at in range(0, length + 1, spacing))
    return Surface(f"half {mark}", "panel", length * INCH, height * INCH, lines, rule, mark=mark, **more)


def plan(problem, seconds=30):
    return cheapest_plan(problem, Clock(seconds))


def bought(answer):
    return {(line.stock, line.from_rack): (line.count, line.needed, line.spare) for line in answer.buy}


WHOLE_JOB = Problem(
    (PANEL, STUD, NAILS),
    (half(192, 84), half(192, 84, mark="B")),
    runs=(Run("fascia", "2x4", 190 * INCH, seams=(96 * INCH,), mark="F"),),
    parts=(Part("leg", "2x4", 40 * INCH, count=3),),
    counts=(Count("deck nails", "nails", 300),),
)


def test_every_material_is_answered_once_and_the_money_adds_up():
    """
    Flush rakes, 192 x 84 in: eight panels. Studs: 96 and 94 of fascia, three legs of 40, two of them in one.

    Legs of 40 + 40 in the third stud, the last in a fourth: the fascia leaves 2 in. Nails: three packs.
    """
    answer = plan(WHOLE_JOB)

    assert bought(answer) == {
        ("panel 4x8", False): (8, 8, 0),
        ("2x4 8 ft", False): (4, 4, 0),
        ("nails", False): (3, 300, 0),
    }
    # 8 * 28.40 + 4 * 4.00 + 3 * 6.40 = 227.20 + 16.00 + 19.20
    assert answer.total == answer.bound == 26240
    assert [outcome.material for outcome in answer.outcomes] == ["panel", "2x4", "nails"]
    assert answer.proved
    assert answer.pieces == 12


def test_without_tie_breaks_the_purchase_and_its_proof_are_the_same():
    """Ties are between plans of equal cost: leaving them unsettled buys as much, and says so."""
    with_ties, without = plan(WHOLE_JOB), cheapest_plan(WHOLE_JOB, Clock(30), ties=False)

    assert bought(without) == bought(with_ties)
    assert (without.total, without.bound, without.proved) == (with_ties.total, with_ties.bound, True)
    assert with_ties.outcomes[0].levels
    assert without.outcomes[0].levels == ()


def test_cuts_are_numbered_by_kind_in_the_order_of_the_work():
    """Sheets from S1, boards from B1; what is kept names the cut it comes from."""
    answer = plan(WHOLE_JOB)
    ids = [cut.id for cut in answer.cut]

    assert ids == sorted(ids, key=lambda name: (name[0] != "S", int(name[1:])))
    assert {name[0] for name in ids} == {"S", "B"}
    assert answer.keep == tuple(rest for cut in answer.cut for rest in leftovers_of(cut))


def test_sheets_cut_alike_one_after_the_other_are_one_cut():
    """Four shelves, two from a sheet: one drawing, twice."""
    shelf = Part("shelf", "panel", 90 * INCH, 23 * INCH, 4)
    answer = plan(Problem((PANEL,), parts=(shelf,)))

    assert [cut.repeat for cut in answer.cut] == [2]
    assert answer.pieces == 2


def test_a_door_back_comes_out_of_what_the_deck_leaves():
    """8 ft by 60 in: the second panel is ripped at 12, and holds a part of 90 x 35 beside it."""
    lean = replace(RULE, min_supports=2, narrowest=12 * INCH)
    deck = half(96, 60, lean)
    door = Part("door back", "panel", 90 * INCH, 35 * INCH)

    assert bought(plan(Problem((PANEL,), (deck,), parts=(door,)))) == {("panel 4x8", False): (2, 2, 0)}


def test_blocking_of_a_narrow_course_is_cut_from_its_own_material():
    """
    One narrow course, both its edges blocked: two edges of four pieces 22-1/2 in, four from a stud.

    4 * 22.5 + 3 kerfs = 90.375 of 96; a second stud for the other four.
    """
    lean = replace(RULE, min_supports=2, narrowest=12 * INCH, blocked_below=24 * INCH)
    block = Part("block", "2x4", 45 * INCH // 2, count=4)
    decks = tuple(half(96, 60, lean, mark, blocking=(block,)) for mark in "ABC")
    answer = plan(Problem((PANEL, STUD), decks))

    assert sum(course.blocked for course in answer.lay) == 1
    assert bought(answer) == {("panel 4x8", False): (4, 4, 0), ("2x4 8 ft", False): (2, 2, 0)}


def test_an_offcut_in_the_rack_is_used_before_the_yard():
    """One panel at a stated value of 1.00 serves as the second: 28.40 + 1.00."""
    rack = Stock("rest", "panel", "sheet", PANEL.length, PANEL.width, 100, available=1, from_rack=True)
    answer = plan(Problem((PANEL, rack), (half(96, 96),)))

    assert bought(answer) == {("panel 4x8", False): (1, 1, 0), ("rest", True): (1, 1, 0)}
    assert answer.total == 2940


@pytest.mark.parametrize(
    ("available", "count", "spare"),
    [(None, 4, 2), (9, 4, 2), (3, 3, 1), (2, 2, 0)],
)
def test_spare_panels_are_bought_as_far_as_the_yard_has_them(available, count, spare):
    """Two are needed and two to spare asked for."""
    few = replace(PANEL, available=available)
    answer = plan(Problem((few,), (half(96, 96),), spare=(("panel", 2),)))

    assert bought(answer) == {("panel 4x8", False): (count, 2, spare)}
    assert answer.total == count * 2840
    assert answer.proved


def test_spare_panels_beyond_what_the_yard_has_are_taken_of_the_next_size():
    """Two of 8 ft needed and no third there; the 4 ft size that is used anyway gives the spare one."""
    eight = replace(PANEL, available=2)
    four = Stock("panel 4x4", "panel", "sheet", 48 * INCH - GAP, PANEL.width, 1900)
    surfaces = (half(96, 96), half(48, 48, mark="B"))
    answer = plan(Problem((eight, four), surfaces, spare=(("panel", 1),)))

    assert bought(answer) == {("panel 4x8", False): (2, 2, 0), ("panel 4x4", False): (2, 1, 1)}


def test_a_spare_panel_lies_in_an_open_pack_where_there_is_one():
    """Two of a pack of three: the third is the spare one, and no second pack is bought."""
    packed = replace(PANEL, pack=3)
    answer = plan(Problem((packed,), (half(96, 96),), spare=(("panel", 1),)))

    assert bought(answer) == {("panel 4x8", False): (1, 2, 1)}


def test_without_a_price_there_is_no_total():
    """The fewest panels, and money left blank."""
    answer = plan(Problem((replace(PANEL, price=None),), (half(192, 84),)))

    assert (answer.total, answer.bound, answer.pieces) == (None, None, 4)
    assert answer.proved


def test_nothing_asked_costs_nothing():
    """No surfaces, no parts: an empty plan, not an error."""
    answer = plan(Problem((PANEL,)))

    assert (answer.buy, answer.cut, answer.total) == ((), (), 0)


@pytest.mark.parametrize(
    ("problem", "words"),
    [
        (Problem((STUD,), (half(96, 48),)), "no stock of panel is known"),
        (Problem((PANEL,), counts=(Count("screws", "screws", 4),)), "no stock of screws is known"),
        (
            Problem((PANEL,), (half(96, 48),), runs=(Run("strip", "panel", 90 * INCH),)),
            "strip is a run, and panel covers surfaces",
        ),
        (Problem((STUD,), parts=(Part("beam", "2x4", 100 * INCH),)), "beam"),
    ],
)
def test_what_no_stock_can_answer_is_named(problem, words):
    """One sentence that names the material or the piece."""
    with pytest.raises(NoPlan, match=words):
        plan(problem)


def test_a_plan_that_fails_its_audit_is_never_given(monkeypatch):
    """A cut too few is our bug, and says so."""
    joined = solve._joined

    def forgetful(*args):
        whole = joined(*args)
        return replace(whole, cut=whole.cut[1:])

    monkeypatch.setattr(solve, "_joined", forgetful)

    with pytest.raises(Bug, match="failed its audit"):
        plan(Problem((PANEL,), (half(192, 84),)))


def timeless(answer):
    """Leave out the seconds, the only thing that may differ."""
    return replace(answer, outcomes=tuple(replace(outcome, seconds=0.0) for outcome in answer.outcomes))


NARROW_LINES = Problem((PANEL,), (half(192, 84, spacing=16), half(192, 84, mark="B", spacing=16)))


@pytest.mark.parametrize("problem", [WHOLE_JOB, NARROW_LINES], ids=["whole job", "16 in"])
def test_the_same_question_gets_the_same_plan(problem):
    """Asked twice, a proved plan is equal in every field but the seconds."""
    first, second = plan(problem), plan(problem)

    assert first.proved
    assert timeless(first) == timeless(second)


def test_the_same_question_gets_the_same_plan_in_every_process():
    """Python hashes text anew in every process; the plan does not follow."""
    code = (
        "from dataclasses import replace\n"
        "from test_solve import WHOLE_JOB, plan, timeless\n"
        "print(timeless(plan(WHOLE_JOB)))\n"
    )
    here = Path(__file__)
    printed = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={
                **os.environ,
                "PYTHONHASHSEED": seed,
                "PYTHONPATH": os.pathsep.join(
                    (str(here.parents[2]), str(here.parents[1] / "support"), str(here.parent))
                ),
            },
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2")
    }

    assert len(printed) == 1


def test_what_hangs_on_nothing_does_not_wait_for_a_surface(monkeypatch):
    """Edge metal is planned before the deck, lumber that may have to give blocking after it."""
    asked = []
    surfaces, lengths = solve._plan_surfaces, solve._plan_lengths

    def note_surfaces(material, *rest):
        asked.append(material)
        return surfaces(material, *rest)

    def note_lengths(material, *rest):
        asked.append(material)
        return lengths(material, *rest)

    monkeypatch.setattr(solve, "_plan_surfaces", note_surfaces)
    monkeypatch.setattr(solve, "_plan_lengths", note_lengths)
    metal = Stock("metal 10 ft", "metal", "stick", 120 * INCH, price=800)
    block = Part("block", "2x4", 22 * INCH, count=7)
    problem = replace(
        WHOLE_JOB,
        stocks=(*WHOLE_JOB.stocks, metal),
        surfaces=tuple(replace(surface, blocking=(block,)) for surface in WHOLE_JOB.surfaces),
        runs=(*WHOLE_JOB.runs, Run("eave", "metal", 190 * INCH, mark="E")),
    )
    answer = plan(problem)

    assert asked == ["metal", "panel", "2x4"]
    assert answer.proved


def test_a_question_that_found_no_time_is_asked_again(monkeypatch):
    """Where the short time before the surfaces brings nothing, what is left after them does."""
    lengths, times = solve._plan_lengths, []

    def slow(material, *rest):
        times.append(material)
        if len(times) == 1:
            raise TimeUp("no plan was found in the time given")
        return lengths(material, *rest)

    monkeypatch.setattr(solve, "_plan_lengths", slow)
    answer = plan(WHOLE_JOB)

    assert times == ["2x4", "2x4"]
    assert answer.proved
