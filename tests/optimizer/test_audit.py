"""Every rule of the audit: a sound plan broken in exactly that way gives exactly that complaint."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Any, get_args

import pytest
from off_by_one import numbers
from plain_plan import cut_alone, plain_plan, priced

from optimizer.audit import Rule, audit_plan, stages
from optimizer.plan import Bought, Course, Cut, CutPiece, LaidPiece, Leftover, Outcome, Plan, SawCut, Trip
from optimizer.words import Count, Part, Problem, Run, Saw, SeamRule, Stock, Support, Surface, Yard

# One unit stands for one inch here: the audit does not care.
RULE = SeamRule(
    gap=2,
    min_supports=3,
    shortest=21,
    stagger=20,
    narrowest=15,
    blocked_below=25,
    end_slack=1,
    top_slack=1,
)
# A line every 10; the one at 40 takes no seam, the one at 60 bears nothing.
LINES = tuple(Support(at, bears=at != 60, seam=at != 40) for at in range(0, 101, 10))
FRONT = Surface("front", "panel", 100, 50, LINES, RULE, (Part("block", "2x4", 12, count=2),), "F")
METAL = Run("eave", "metal", length=25, lap=2, shortest=6, mark="E")
FASCIA = Run("fascia", "1x6", length=26, seams=(10, 20), mark="A")
SKIN = Part("skin", "panel", length=20, width=10, may_turn=True)
SIGN = Part("sign", "panel", length=18, width=8)
LEG = Part("leg", "2x4", length=15, count=2)
TAIL = Part("tail", "2x4", length=14, count=2, slant=4)
PROBLEM = Problem(
    stocks=(
        Stock("offcut", "panel", "sheet", 40, 30, price=50, from_rack=True),
        Stock("panel", "panel", "sheet", 60, 30, price=1700, available=20),
        Stock("panel long", "panel", "sheet", 70, 30, price=2000),
        Stock("2x4", "2x4", "board", 40, 4, price=300),
        Stock("1x6", "1x6", "board", 14, 6, price=250),
        Stock("metal", "metal", "stick", 10, price=400),
        Stock("nails", "nails", "each", price=900, pack=100),
        Stock("bolts", "bolts", "each", price=20),
    ),
    surfaces=(FRONT,),
    runs=(METAL, FASCIA),
    parts=(SKIN, SIGN, LEG, TAIL),
    counts=(Count("deck nails", "nails", 250),),
    saw=Saw(sheet=1, board=1, stick=0),
    spare=(("panel", 1),),
)


def course(number: int, bottom: int, width: int, *ends: tuple[int, int]) -> Course:
    """Give a course of the front, with the seams its pieces make."""
    pieces = tuple(LaidPiece(f"F{number}.{i}", *end) for i, end in enumerate(ends, start=1))
    return Course(
        f"front {number}",
        "front",
        number,
        100,
        width,
        bottom,
        tuple(line.at for line in LINES),
        tuple(end + 1 for _, end in ends[:-1]),
        pieces,
        blocked=width + 2 < 25,
    )


def run_course(run: Run, *ends: tuple[int, int]) -> Course:
    """Give a run pieced at these places."""
    pieces = tuple(LaidPiece(f"{run.mark}.{i}", *end) for i, end in enumerate(ends, start=1))
    seams = tuple(end - run.lap // 2 for _, end in ends[:-1])
    return Course(run.label, "", 0, run.length, 0, 0, (), seams, pieces)


# Seam at 50 below, at 30 and 80 above: 20 apart. Heights 30 + 2 + 17 = 49 of 50, the slack is 1.
LOWER = course(1, 0, 30, (0, 49), (51, 100))
UPPER = course(2, 32, 17, (0, 29), (31, 79), (81, 100))
EAVE = run_course(METAL, (0, 10), (8, 18), (16, 25))
BOARD = run_course(FASCIA, (0, 10), (10, 20), (20, 26))
LAY = (LOWER, UPPER, EAVE, BOARD)

# Two slanting tails nested in one 2x4: 14, one kerf, and 14 less the slant of 4.
NESTED = Cut(
    "T",
    "2x4",
    40,
    4,
    1,
    (CutPiece("tail", 0, 0, 14, 4), CutPiece("tail", 15, 0, 10, 4)),
    (SawCut("crosscut", 0, 0, 40, 4, 14), SawCut("crosscut", 15, 0, 25, 4, 10)),
)


def good(
    *lay: Course, problem: Problem = PROBLEM, drop: tuple[str, ...] = (), add: tuple[Cut, ...] = ()
) -> Plan:
    """Give a sound plan of a lay-out; cuts that hold a label of `drop` give way to those of `add`."""
    plan = plain_plan(problem, lay or LAY)
    dropped = {cut.id for cut in plan.cut if any(piece.label in drop for piece in cut.pieces)}
    dropped |= {cut.id for cut in plan.cut if any(piece.label == "tail" for piece in cut.pieces)}
    return priced(
        problem,
        lay or LAY,
        [*(cut for cut in plan.cut if cut.id not in dropped), NESTED, *add],
        [left for left in plan.keep if left.cut not in dropped],
    )


def cut_of(plan: Plan, label: str) -> Cut:
    """Find the first cut that holds a label."""
    return next(cut for cut in plan.cut if any(piece.label == label for piece in cut.pieces))


def alter(plan: Plan, label: str, **changes: Any) -> Plan:
    """Change the first cut that holds a label."""
    old = cut_of(plan, label)
    return replace(plan, cut=tuple(replace(c, **changes) if c is old else c for c in plan.cut))


def move(plan: Plan, label: str, **changes: Any) -> Plan:
    """Change the first cut piece with a label, and nothing else."""
    pieces = cut_of(plan, label).pieces
    first = next(piece for piece in pieces if piece.label == label)
    return alter(plan, label, pieces=tuple(replace(p, **changes) if p is first else p for p in pieces))


def row(plan: Plan, key: str, **changes: Any) -> Plan:
    """Change a line of Buy."""
    return replace(plan, buy=tuple(replace(r, **changes) if r.stock == key else r for r in plan.buy))


def outcome(plan: Plan, material: str, **changes: Any) -> Plan:
    """Change what one material claims."""
    return replace(
        plan,
        outcomes=tuple(replace(o, **changes) if o.material == material else o for o in plan.outcomes),
    )


def panel_cut(label: str, length: int, width: int, identity: str = "X", stock: str = "panel") -> Cut:
    """Cut one piece from a sheet."""
    sheet = next(s for s in PROBLEM.stocks if s.key == stock)
    return cut_alone(identity, sheet, PROBLEM.saw.kerf(sheet.kind), label, length, width)[0]


Broken = Callable[[], tuple[Problem, Plan]]
CASES: list[tuple[Rule, str, Broken]] = []


def breaks(rule: Rule) -> Callable[[Callable[[], Plan | tuple[Problem, Plan]]], Broken]:
    """Enter a broken plan under the rule it breaks."""

    def enter(make: Callable[[], Plan | tuple[Problem, Plan]]) -> Broken:
        def case() -> tuple[Problem, Plan]:
            made = make()
            return (PROBLEM, made) if isinstance(made, Plan) else made

        CASES.append((rule, make.__name__, case))
        return case

    return enter


def test_a_sound_plan_passes():
    """The plan that the cases below break has nothing to complain of."""
    assert audit_plan(PROBLEM, good()) == ()


def test_an_empty_problem_asks_for_nothing():
    """No problem, no plan, no complaint."""
    assert audit_plan(Problem(()), Plan((), (), (), (), (), 0, 0, 0)) == ()


# ---------------------------------------------------------------- what is laid


@breaks("unknown run")
def names_a_run_nobody_asked_for() -> Plan:
    """An empty course of a run that is not in the problem."""
    return replace(good(), lay=(*LAY, Course("gutter", "", 0, 5, 0, 0, (), (), ())))


@breaks("unknown run")
def names_a_surface_nobody_asked_for() -> Plan:
    return replace(good(), lay=(*LAY, Course("back 1", "back", 1, 5, 0, 0, (), (), ())))


@breaks("uncovered")
def leaves_a_surface_bare() -> tuple[Problem, Plan]:
    bare = replace(PROBLEM, surfaces=(FRONT, replace(FRONT, label="back", mark="B")))
    return bare, good()


@breaks("uncovered")
def leaves_a_run_bare() -> Plan:
    return good(LOWER, UPPER, EAVE)


@breaks("uncovered")
def leaves_a_course_bare() -> Plan:
    return good(LOWER, replace(UPPER, pieces=(), seams=()), EAVE, BOARD)


@breaks("laid twice")
def lays_a_run_twice() -> Plan:
    return good(*LAY, replace(BOARD, pieces=(LaidPiece("A.4", 0, 10),)))


@breaks("course number")
def skips_a_number() -> Plan:
    return good(LOWER, replace(UPPER, course=3), EAVE, BOARD)


@breaks("course number")
def numbers_a_run() -> Plan:
    return good(LOWER, UPPER, replace(EAVE, course=1), BOARD)


@breaks("course length")
def says_another_length() -> Plan:
    return good(replace(LOWER, length=99), UPPER, EAVE, BOARD)


@breaks("course length")
def says_another_length_of_a_run() -> Plan:
    return good(LOWER, UPPER, replace(EAVE, length=26), BOARD)


@breaks("bottom")
def leaves_no_gap_between_courses() -> Plan:
    return good(LOWER, replace(UPPER, bottom=31, width=18), EAVE, BOARD)


@breaks("bottom")
def begins_above_the_edge() -> Plan:
    return good(replace(LOWER, bottom=1, width=29), UPPER, EAVE, BOARD)


@breaks("bottom")
def lifts_a_run() -> Plan:
    return good(LOWER, UPPER, replace(EAVE, bottom=1), BOARD)


@breaks("top")
def stops_short_of_the_top() -> Plan:
    return good(LOWER, replace(UPPER, width=16), EAVE, BOARD)


@breaks("top")
def reaches_over_the_top() -> Plan:
    return good(LOWER, replace(UPPER, width=19), EAVE, BOARD)


@breaks("narrowest")
def lays_too_narrow_a_course() -> tuple[Problem, Plan]:
    # 17 + 2 = 19 < 20
    strict = replace(PROBLEM, surfaces=(replace(FRONT, rule=replace(RULE, narrowest=20)),))
    return strict, good(problem=strict)


@breaks("blocked")
def forgets_the_blocking_mark() -> Plan:
    return good(LOWER, replace(UPPER, blocked=False), EAVE, BOARD)


@breaks("blocked")
def marks_a_wide_course() -> Plan:
    return good(replace(LOWER, blocked=True), UPPER, EAVE, BOARD)


@breaks("piece length")
def lays_a_piece_of_no_length() -> tuple[Problem, Plan]:
    run = replace(METAL, lap=0, length=20, shortest=0)
    problem = replace(PROBLEM, runs=(run, FASCIA))
    plan = good(LOWER, UPPER, run_course(run, (0, 10), (10, 20)), BOARD, problem=problem)
    empty = run_course(run, (0, 10), (10, 20), (20, 20))
    return problem, replace(plan, lay=(LOWER, UPPER, empty, BOARD))


@breaks("end")
def begins_too_late() -> Plan:
    return good(course(1, 0, 30, (2, 49), (51, 100)), UPPER, EAVE, BOARD)


@breaks("end")
def stops_too_early() -> Plan:
    return good(course(1, 0, 30, (0, 49), (51, 98)), UPPER, EAVE, BOARD)


@breaks("end")
def reaches_over_the_end() -> Plan:
    return good(course(1, 0, 30, (0, 49), (51, 101)), UPPER, EAVE, BOARD)


@breaks("end")
def stops_a_run_early() -> Plan:
    return good(LOWER, UPPER, run_course(METAL, (0, 10), (8, 18), (16, 24)), BOARD)


@breaks("gap")
def leaves_too_wide_a_gap() -> Plan:
    return good(course(1, 0, 30, (0, 49), (52, 100)), UPPER, EAVE, BOARD)


@breaks("gap")
def lets_pieces_overlap() -> Plan:
    return good(course(1, 0, 30, (0, 49), (48, 100)), UPPER, EAVE, BOARD)


@breaks("lap")
def laps_too_little() -> Plan:
    return good(LOWER, UPPER, run_course(METAL, (0, 10), (9, 18), (16, 25)), BOARD)


@breaks("seam")
def puts_a_seam_beside_its_support() -> Plan:
    return good(course(1, 0, 30, (0, 50), (52, 100)), UPPER, EAVE, BOARD)


@breaks("seam")
def puts_a_seam_on_a_support_that_takes_none() -> tuple[Problem, Plan]:
    free = replace(PROBLEM, surfaces=(replace(FRONT, rule=replace(RULE, stagger=0)),))
    lower = course(1, 0, 30, (0, 39), (41, 100))
    return free, good(lower, UPPER, EAVE, BOARD, problem=free)


@breaks("seam")
def puts_a_joint_where_none_may_fall() -> Plan:
    return good(LOWER, UPPER, EAVE, run_course(FASCIA, (0, 10), (10, 19), (19, 26)))


@breaks("seams listed")
def lists_another_seam() -> Plan:
    return good(replace(LOWER, seams=(60,)), UPPER, EAVE, BOARD)


@breaks("seams listed")
def lists_too_few_seams_of_a_run() -> Plan:
    return good(LOWER, UPPER, replace(EAVE, seams=EAVE.seams[:-1]), BOARD)


@breaks("supports listed")
def shows_another_support() -> Plan:
    return good(replace(LOWER, supports=(5, *LOWER.supports)), UPPER, EAVE, BOARD)


@breaks("supports listed")
def shows_supports_under_a_run() -> Plan:
    return good(LOWER, UPPER, replace(EAVE, supports=(0,)), BOARD)


@breaks("min supports")
def lays_a_piece_over_too_few() -> tuple[Problem, Plan]:
    # Lines 50, 60, 70, but 60 bears nothing: the middle piece of the upper course has two.
    free = replace(PROBLEM, surfaces=(replace(FRONT, rule=replace(RULE, stagger=0, shortest=0)),))
    upper = course(2, 32, 17, (0, 49), (51, 69), (71, 100))
    return free, good(LOWER, upper, EAVE, BOARD, problem=free)


@breaks("shortest")
def lays_too_short_a_piece() -> tuple[Problem, Plan]:
    # 100 - 81 + 2 = 21 < 22
    strict = replace(PROBLEM, surfaces=(replace(FRONT, rule=replace(RULE, shortest=22)),))
    return strict, good(problem=strict)


@breaks("shortest")
def lays_too_short_a_piece_of_a_run() -> Plan:
    return good(LOWER, UPPER, run_course(METAL, (0, 10), (8, 13), (11, 20), (18, 25)), BOARD)


@breaks("stagger")
def puts_seams_too_near() -> tuple[Problem, Plan]:
    # 30 is 20 from 50: one less than 21, and 80 is 30 away.
    strict = replace(PROBLEM, surfaces=(replace(FRONT, rule=replace(RULE, stagger=21)),))
    return strict, good(problem=strict)


# ---------------------------------------------------------------- what is cut


@breaks("label")
def gives_two_pieces_one_label() -> Plan:
    same = replace(UPPER, pieces=(*UPPER.pieces[:-1], replace(UPPER.pieces[-1], label="F2.2")))
    return good(LOWER, same, EAVE, BOARD)


@breaks("label")
def labels_a_piece_like_a_part() -> Plan:
    same = replace(UPPER, pieces=(*UPPER.pieces[:-1], replace(UPPER.pieces[-1], label="skin")))
    return good(LOWER, same, EAVE, BOARD)


@breaks("cut id")
def gives_two_cuts_one_name() -> Plan:
    plan = replace(good(), keep=())
    return alter(plan, "sign", id=cut_of(plan, "leg").id)


@breaks("stock")
def cuts_a_stock_that_is_none() -> Plan:
    plan = good()
    sheets = plan.buy[1]
    skin = cut_of(plan, "skin")
    plan = _recounted(plan, sheets, sheets.count - 1, 1700)
    fewer = row(plan, "panel", needed=sheets.needed - 1)
    return replace(
        alter(fewer, "skin", stock="no panel"),
        keep=tuple(left for left in plan.keep if left.cut != skin.id),
    )


@breaks("stock")
def cuts_something_counted() -> tuple[Problem, Plan]:
    problem = replace(
        PROBLEM,
        stocks=(*PROBLEM.stocks, Stock("peg", "dowel", "each", 5, 1, price=1)),
        parts=(*PROBLEM.parts, Part("pin", "dowel", 5)),
    )
    plan = good(problem=problem)
    assert cut_of(plan, "pin").steps == ()
    return problem, plan


@breaks("stock size")
def cuts_a_larger_sheet_than_it_buys() -> Plan:
    plan = replace(good(), keep=())
    old = cut_of(plan, "skin")
    larger = cut_alone("X", Stock("", "", "sheet", 61, 30), 1, "skin", 20, 10)[0]
    return alter(plan, "skin", length=61, steps=larger.steps, id=old.id)


@breaks("kerf")
def forgets_the_kerf() -> Plan:
    plan = replace(good(), keep=())
    return alter(plan, "leg", kerf=0)


@breaks("repeat")
def cuts_a_stock_no_times() -> Plan:
    plan = good(drop=("leg",))
    none = cut_alone("none", PROBLEM.stocks[3], 1, "leg", 15, 0)[0]
    twice = replace(none, id="twice", repeat=2)
    sound = priced(PROBLEM, LAY, [*plan.cut, twice], plan.keep)
    assert audit_plan(PROBLEM, sound) == ()
    return replace(sound, cut=(*sound.cut, replace(none, repeat=0)))


@breaks("stock")
def cuts_from_the_rack_what_is_bought() -> Plan:
    plan = good()
    studs = next(r for r in plan.buy if r.stock == "2x4")
    return row(alter(plan, "leg", from_rack=True), "2x4", needed=studs.needed - 1)


@breaks("step")
def saws_beside_the_stock() -> Plan:
    plan = good()
    steps = cut_of(plan, "leg").steps
    return alter(plan, "leg", steps=(replace(steps[0], at=40),))


@breaks("step")
def saws_a_rectangle_that_is_gone() -> Plan:
    plan = good()
    steps = cut_of(plan, "leg").steps
    return alter(plan, "leg", steps=(*steps, *steps))


@breaks("step")
def stops_in_the_middle_of_a_sheet() -> Plan:
    """A cut along part of a sheet's width is no edge-to-edge cut."""
    plan = good()
    steps = cut_of(plan, "skin").steps
    return alter(plan, "skin", steps=(replace(steps[0], length=30), *steps[1:]))


@breaks("stages")
def turns_the_saw_three_times() -> Plan:
    steps = (
        SawCut("rip", 0, 0, 60, 30, 25),
        SawCut("crosscut", 0, 0, 60, 25, 40),
        SawCut("rip", 0, 0, 40, 25, 10),
        SawCut("crosscut", 0, 0, 40, 10, 20),
    )
    cut = Cut("X", "panel", 60, 30, 1, (CutPiece("skin", 0, 0, 20, 10),), steps)
    assert stages(cut) == 4
    return good(drop=("skin",), add=(cut,))


@breaks("inside")
def cuts_beyond_the_edge() -> Plan:
    return move(good(), "leg", x=30)


@breaks("inside")
def cuts_before_the_edge() -> Plan:
    return move(good(), "skin", y=-1)


@breaks("overlap")
def cuts_two_pieces_from_the_same_wood() -> Plan:
    one = cut_alone("X", PROBLEM.stocks[3], 1, "leg", 15, 0)[0]
    return good(drop=("leg",), add=(replace(one, pieces=(*one.pieces, CutPiece("leg", 10, 0, 15, 4))),))


@breaks("overlap")
def cuts_two_pieces_from_the_same_metal() -> Plan:
    """Sticks have no width, yet two pieces of one must lie apart."""
    piece = CutPiece("E.1", 0, 0, 10, 0)
    cut = Cut("X", "metal", 10, 0, 0, (piece, replace(piece, label="E.2")), ())
    return good(drop=("E.1", "E.2"), add=(cut,))


@breaks("region")
def leaves_a_piece_uncut() -> Plan:
    return move(good(), "leg", x=1)


@breaks("region")
def forgets_the_last_cut() -> Plan:
    plan = replace(good(), keep=())
    return alter(plan, "skin", steps=cut_of(plan, "skin").steps[:-1])


@breaks("unknown piece")
def cuts_what_nobody_asked_for() -> Plan:
    return good(add=(panel_cut("shelf", 20, 10),))


@breaks("material")
def cuts_from_the_wrong_material() -> tuple[Problem, Plan]:
    problem = replace(PROBLEM, stocks=(*PROBLEM.stocks, Stock("ply", "ply", "sheet", 60, 30, price=1)))
    cut = cut_alone("X", problem.stocks[-1], 1, "skin", 20, 10)[0]
    return problem, good(problem=problem, drop=("skin",), add=(cut,))


@breaks("turned")
def turns_a_part_with_grain() -> Plan:
    cut = cut_alone("X", PROBLEM.stocks[1], 1, "sign", 8, 18, turned=True)[0]
    return good(drop=("sign",), add=(cut,))


@breaks("turned")
def turns_a_part_and_says_nothing() -> Plan:
    return good(drop=("skin",), add=(panel_cut("skin", 10, 20),))


@breaks("turned")
def turns_a_deck_piece() -> Plan:
    """The third piece of the upper course, 19 x 17, laid across its sheet."""
    cut = cut_alone("X", PROBLEM.stocks[1], 1, "F2.3", 17, 19, turned=True)[0]
    return good(drop=("F2.3",), add=(cut,))


@breaks("size")
def cuts_a_deck_piece_short() -> Plan:
    return good(drop=("F2.3",), add=(panel_cut("F2.3", 18, 17),))


@breaks("size")
def cuts_a_deck_piece_narrow() -> Plan:
    return good(drop=("F2.3",), add=(panel_cut("F2.3", 19, 16),))


@breaks("size")
def rips_a_part_that_keeps_its_width() -> Plan:
    one = cut_alone("X", PROBLEM.stocks[3], 1, "leg", 15, 3)[0]
    other = cut_alone("Y", PROBLEM.stocks[3], 1, "leg", 15, 4)[0]
    return good(drop=("leg",), add=(one, other))


@breaks("slant")
def nests_a_tail_behind_nothing() -> Plan:
    """Both tails as short as only the second may be: the first has no room for its slant."""
    steps = (SawCut("crosscut", 0, 0, 40, 4, 10), SawCut("crosscut", 11, 0, 29, 4, 10))
    pieces = (CutPiece("tail", 0, 0, 10, 4), CutPiece("tail", 11, 0, 10, 4))
    plan = good()
    return alter(plan, "tail", pieces=pieces, steps=steps)


@breaks("missing piece")
def forgets_a_part() -> Plan:
    return good(drop=("skin",))


@breaks("missing piece")
def forgets_a_deck_piece() -> Plan:
    return good(drop=("F1.1",))


@breaks("missing piece")
def forgets_the_blocking() -> Plan:
    return good(drop=("block",))


@breaks("cut twice")
def cuts_a_part_once_more() -> Plan:
    return good(add=(panel_cut("skin", 20, 10),))


@breaks("cut twice")
def cuts_a_deck_piece_once_more() -> Plan:
    return good(add=(panel_cut("F1.1", 49, 30),))


@breaks("leftover")
def keeps_what_it_uses() -> Plan:
    plan = good()
    cut = cut_of(plan, "skin")
    return replace(plan, keep=(*plan.keep, Leftover("panel", 20, 10, cut.id)))


@breaks("leftover")
def keeps_what_is_not_there() -> Plan:
    plan = good()
    return replace(plan, keep=(*plan.keep[1:], replace(plan.keep[0], length=plan.keep[0].length + 1)))


@breaks("leftover")
def keeps_an_offcut_twice() -> Plan:
    plan = good()
    return replace(plan, keep=(*plan.keep, plan.keep[0]))


@breaks("leftover")
def keeps_an_offcut_of_nothing() -> Plan:
    return replace(good(), keep=(Leftover("panel", 1, 1, "nowhere"),))


@breaks("leftover")
def names_another_stock() -> Plan:
    plan = good()
    return replace(plan, keep=(replace(plan.keep[0], stock="1x6"), *plan.keep[1:]))


# ---------------------------------------------------------------- what is bought


@breaks("bought stock")
def buys_what_nobody_sells() -> Plan:
    plan = good()
    return replace(plan, buy=(*plan.buy, Bought("string", 1, 0, 0, 0)))


@breaks("bought twice")
def buys_on_two_lines() -> Plan:
    plan = good()
    again = plan.buy[-1]
    return replace(plan, buy=(*plan.buy, again), total=plan.total + again.cost, bound=plan.bound + again.cost)


@breaks("needed")
def needs_more_than_it_cuts() -> Plan:
    plan = good()
    bolts = next(r for r in plan.buy if r.stock == "1x6")
    return row(plan, "1x6", needed=bolts.needed - 1)


@breaks("needed")
def needs_fewer_nails_than_are_counted() -> Plan:
    return row(good(), "nails", needed=249)


@breaks("packs")
def buys_too_few_packs() -> Plan:
    return short_of("metal", 1)


@breaks("packs")
def buys_no_pack_for_its_spare() -> tuple[Problem, Plan]:
    """A spare stick is asked for and listed, but the packs hold only what is needed."""
    problem = replace(PROBLEM, spare=(*PROBLEM.spare, ("metal", 1)))
    return problem, row(good(), "metal", spare=1)


@breaks("available")
def buys_more_than_there_is() -> tuple[Problem, Plan]:
    plan = good()
    bought = next(r.count for r in plan.buy if r.stock == "2x4")
    stocks = tuple(replace(s, available=bought - 1) if s.key == "2x4" else s for s in PROBLEM.stocks)
    return replace(PROBLEM, stocks=stocks), plan


@breaks("available")
def uses_an_offcut_twice() -> Plan:
    plan = good(drop=("skin",))
    again = panel_cut("skin", 20, 10, stock="offcut")
    return priced(PROBLEM, LAY, [*plan.cut, replace(again, from_rack=True)], plan.keep)


@breaks("spare")
def buys_no_spare() -> Plan:
    return priced(replace(PROBLEM, spare=()), LAY, good().cut, good().keep)


@breaks("spare")
def buys_a_spare_nobody_asked_for() -> tuple[Problem, Plan]:
    return replace(PROBLEM, spare=()), good()


@breaks("unit price")
def pays_another_price() -> Plan:
    return paid("metal", 399)


@breaks("cost")
def multiplies_wrongly() -> Plan:
    plan = good()
    cost = next(r.cost for r in plan.buy if r.stock == "metal")
    return replace(row(plan, "metal", cost=cost - 1), total=plan.total - 1, bound=plan.bound - 1)


@breaks("total")
def adds_up_wrongly() -> Plan:
    plan = good()
    return replace(plan, total=plan.total + 1, bound=plan.bound + 1)


@breaks("bound")
def claims_a_higher_bound() -> Plan:
    plan = good()
    return replace(plan, bound=plan.bound + 1)


@breaks("bound")
def bounds_a_material_above_its_cost() -> Plan:
    plan = good()
    cost = next(o.cost for o in plan.outcomes if o.material == "nails")
    raised = outcome(plan, "nails", bound=cost + 1)
    return replace(raised, bound=plan.bound + cost + 1)


@breaks("bound")
def bounds_nothing() -> Plan:
    return replace(good(), bound=None)


@breaks("pieces")
def miscounts_the_pieces() -> Plan:
    plan = good()
    return replace(plan, pieces=plan.pieces + 1)


@breaks("outcome")
def says_nothing_of_a_material() -> Plan:
    plan = good()
    rest = tuple(o for o in plan.outcomes if o.material != "nails")
    gone = next(o.cost for o in plan.outcomes if o.material == "nails")
    return replace(plan, outcomes=rest, bound=plan.bound + gone)


@breaks("outcome cost")
def understates_a_cost() -> Plan:
    plan = good()
    cost = next(o.cost for o in plan.outcomes if o.material == "nails")
    return replace(outcome(plan, "nails", cost=cost - 1), bound=plan.bound + 1)


@breaks("proved")
def claims_a_proof_without_a_bound() -> Plan:
    return outcome(good(), "nails", proved=True, witnesses=("HiGHS", "CP-SAT"))


@breaks("proved")
def claims_a_proof_with_one_witness() -> Plan:
    plan = good()
    cost = next(o.cost for o in plan.outcomes if o.material == "nails")
    proved = outcome(plan, "nails", bound=cost, proved=True, witnesses=("HiGHS", "HiGHS"))
    return replace(proved, bound=plan.bound + cost)


@breaks("exact")
def pays_in_fractions() -> Plan:
    plan = good()
    return replace(plan, total=float(plan.total))


def short_of(key: str, packs: int) -> Plan:
    """Buy fewer packs, with all the money adding up."""
    plan = good()
    bought = next(r for r in plan.buy if r.stock == key)
    return _recounted(plan, bought, bought.count - packs, bought.unit_price)


def paid(key: str, price: int) -> Plan:
    """Pay another price, with all the money adding up but for the outcome's own."""
    plan = good()
    bought = next(r for r in plan.buy if r.stock == key)
    listed = next(o.cost for o in plan.outcomes if o.material == key)
    recounted = _recounted(plan, bought, bought.count, price)
    # The outcome is held against the problem's prices, so it keeps them.
    return replace(outcome(recounted, key, cost=listed), bound=recounted.total - plan.total + plan.bound)


def _recounted(plan: Plan, bought: Bought, count: int, price: int) -> Plan:
    """Change a line of Buy, and what its material (named like it) and the whole cost."""
    cost = count * price
    changed = row(plan, bought.stock, count=count, unit_price=price, cost=cost)
    listed = next(o.cost for o in plan.outcomes if o.material == bought.stock)
    return replace(
        outcome(changed, bought.stock, cost=listed + cost - bought.cost),
        total=plan.total + cost - bought.cost,
    )


# The nails weigh 3 kg a box and come from a yard of their own; a trip carries 4 kg.
YARDS = replace(
    PROBLEM,
    stocks=tuple(
        replace(s, yard="far", weight=3000) if s.key == "nails" else replace(s, yard="near")
        for s in PROBLEM.stocks
    ),
    yards=(Yard("near", 100), Yard("far", 700)),
    load=4000,
    tax=Fraction(5, 100),
)


def fetched(trips: tuple[Trip, ...] | None = None, problem: Problem = YARDS, more: int = 0) -> Plan:
    """Give a sound plan with its trips: three boxes of nails are 9 kg, three trips."""
    plan = good()
    sound = (Trip("near", 1, 100, 0), Trip("far", 3, 700, 9000))
    if trips is not None:
        return replace(plan, trips=trips)
    # 5 % of the total, rounded half up: twenty times it and ten, without the remainder.
    assert plan.total is not None
    cost = plan.total + (plan.total + 10) // 20 + 100 + 3 * 700 + more
    return replace(plan, trips=sound, yards=Outcome("yards", cost, cost - more, False, "", ()))


def test_a_sound_plan_with_trips_passes():
    """Every yard is gone to, often enough, and everything is added up."""
    assert audit_plan(YARDS, fetched()) == ()


@breaks("trips")
def forgets_a_yard() -> tuple[Problem, Plan]:
    return YARDS, fetched((Trip("near", 1, 100, 0),))


@breaks("trips")
def overloads_a_trip() -> tuple[Problem, Plan]:
    return YARDS, fetched((Trip("near", 1, 100, 0), Trip("far", 2, 700, 9000)))


@breaks("trips")
def goes_for_less() -> tuple[Problem, Plan]:
    return YARDS, fetched((Trip("near", 1, 100, 0), Trip("far", 3, 600, 9000)))


@breaks("trips")
def weighs_wrongly() -> tuple[Problem, Plan]:
    return YARDS, fetched((Trip("near", 1, 100, 0), Trip("far", 3, 700, 8000)))


@breaks("yards")
def leaves_tax_out() -> tuple[Problem, Plan]:
    return YARDS, fetched(more=1)


@breaks("yards")
def buys_at_no_known_yard() -> tuple[Problem, Plan]:
    sound = fetched()
    return replace(YARDS, yards=YARDS.yards[:1]), replace(sound, yards=None, trips=sound.trips[:1])


@breaks("proved")
def proves_the_yards_alone() -> tuple[Problem, Plan]:
    plan = fetched()
    return YARDS, replace(plan, yards=replace(plan.yards, proved=True, witnesses=("a",)))


NAILS = next(s for s in PROBLEM.stocks if s.key == "nails")
FROM_THREE = replace(
    PROBLEM,
    stocks=tuple(replace(s, breaks=((3, 800),)) if s is NAILS else s for s in PROBLEM.stocks),
)


def test_the_price_of_a_break_is_the_price():
    """Three boxes reach the break of three: each costs 8.00, not 9.00."""
    assert "unit price" in [c.rule for c in audit_plan(FROM_THREE, good())]
    assert audit_plan(FROM_THREE, _recounted(good(), bought_nails(), 3, 800)) == ()


@breaks("packs")
def buys_a_box_for_nothing() -> tuple[Problem, Plan]:
    return FROM_THREE, _recounted(good(), bought_nails(), 4, 800)


def bought_nails() -> Bought:
    return next(line for line in good().buy if line.stock == "nails")


# ---------------------------------------------------------------- the rules together


@pytest.mark.parametrize(
    ("rule", "case"), [(rule, case) for rule, _, case in CASES], ids=[name for _, name, _ in CASES]
)
def test_one_fault_gives_one_complaint(rule, case):
    """A plan broken in one way is told off for that, once, and for nothing else."""
    problem, plan = case()

    complaints = audit_plan(problem, plan)

    assert [complaint.rule for complaint in complaints] == [rule], complaints


def test_every_rule_has_been_seen_to_bite():
    """There is no rule that no broken plan above breaks."""
    assert {rule for rule, _, _ in CASES} == set(get_args(Rule))


@pytest.mark.parametrize("change", [-1, 1])
def test_no_number_of_a_plan_is_idle(change):
    """Whichever integer of a sound plan is off by one, the audit notices."""
    tight = replace(PROBLEM, surfaces=(replace(FRONT, rule=replace(RULE, end_slack=0, top_slack=1)),))
    plan = good(problem=tight)
    proved = replace(
        plan,
        outcomes=tuple(replace(o, bound=o.cost, proved=True, witnesses=("a", "b")) for o in plan.outcomes),
        # The spare panel is no part of what is proved: it is asked for, whatever it costs.
        bound=plan.total,
    )
    assert audit_plan(tight, proved) == ()

    unnoticed = [other for other in numbers(proved, change) if not audit_plan(tight, other)]

    assert unnoticed == []


def test_stages_count_turns_of_the_saw():
    """Strips of strips are one stage each; a cut the same way as the last opens no stage."""
    whole = Cut("1", "panel", 60, 30, 1, (), ())
    rip = SawCut("rip", 0, 0, 60, 30, 10)
    again = SawCut("rip", 0, 11, 60, 19, 9)
    across = SawCut("crosscut", 0, 11, 60, 9, 20)
    trim = SawCut("rip", 0, 11, 20, 9, 5)

    assert stages(whole) == 0
    assert stages(replace(whole, steps=(rip, again))) == 1
    assert stages(replace(whole, steps=(rip, again, across))) == 2
    assert stages(replace(whole, steps=(rip, again, across, trim))) == 3


def test_a_kerf_may_run_out_over_the_far_edge():
    """A cut a kerf or less before the edge leaves one rectangle, and is sound."""
    stock = Stock("2x4", "2x4", "board", 40, 4, price=1)
    problem = Problem((stock,), parts=(Part("long", "2x4", 39),), saw=Saw(board=2))
    cut = Cut("1", "2x4", 40, 4, 2, (CutPiece("long", 0, 0, 39, 4),), (SawCut("crosscut", 0, 0, 40, 4, 39),))

    assert audit_plan(problem, priced(problem, (), [cut])) == ()


def test_an_unpriced_plan_counts_pieces():
    """Without a price there is no total and no bound, and the outcome counts pieces."""
    problem = Problem((Stock("2x4", "2x4", "board", 40, 4),), parts=(Part("leg", "2x4", 15),), saw=Saw())
    cut = cut_alone("1", problem.stocks[0], problem.saw.board, "leg", 15, 0)[0]
    plan = Plan(
        (Bought("2x4", 1, 1, None, None),),
        (cut,),
        (),
        (),
        (Outcome("2x4", 1, 1, True, "saw cuts", ("a", "b")),),
        None,
        None,
        1,
    )

    assert audit_plan(problem, plan) == ()
    assert [c.rule for c in audit_plan(problem, replace(plan, total=0))] == ["total", "bound"]


def test_a_line_says_whether_it_is_bought():
    """An offcut of the rack is no line of the yard, whatever its name."""
    assert audit_plan(PROBLEM, row(good(), "offcut", from_rack=False)) != ()


def test_a_spare_the_yard_does_not_have_is_let_off():
    """Where the yard is out of what is bought, a missing spare is no fault of the plan."""
    plan = good()
    used = next(r for r in plan.buy if r.stock == "panel")
    stocks = tuple(
        replace(s, available=used.needed) if s.key == "panel" else s
        for s in PROBLEM.stocks
        if s.key != "panel long"
    )
    bare = replace(PROBLEM, stocks=stocks)

    assert audit_plan(bare, priced(replace(bare, spare=()), LAY, plan.cut, plan.keep)) == ()
