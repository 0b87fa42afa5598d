"""Seams and cuts together: a plan by colours, a bound by blocks of courses, the whole model between them."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise, product
from math import inf

import pytest
from hypothesis import assume, event, given, settings
from strategies import RULES, roofs

from optimizer.engine import Clock, LinearModel, run_highs
from optimizer.errors import NoPlan, TimeUp
from optimizer.lengths import INCH
from optimizer.models import polish as polishing
from optimizer.models.block_growth import BlockGrowth
from optimizer.models.blocks import steps_of
from optimizer.models.colours import build_colours, peel, read_colours, windows
from optimizer.models.decking import decking_of
from optimizer.models.joint import build_joint, read_joint
from optimizer.models.polish import polish
from optimizer.models.runs import plan_surfaces
from optimizer.models.seams import Arc, Lines, lines_of, too_near
from optimizer.offcuts import leftovers_of
from optimizer.words import Part, Saw, SeamRule, Stock, Support, Surface

USUAL, LEAN = RULES["usual"], RULES["lean"]
GAP = USUAL.gap
PANEL = Stock("panel", "panel", "sheet", 96 * INCH - GAP, 48 * INCH - GAP, 1000)
PLAIN = SeamRule(0, 2, 24 * INCH, 24 * INCH, 24 * INCH)
"""No gap and no slack: sizes can be added in the head."""


def half(length, height, rule=USUAL, spacing=24, label="A"):
    """A surface with a support every `spacing` inches, both ends included."""
    lines = tuple(Support(at * INCH) for at in range(0, length + 1, spacing))
    return Surface(label, "panel", length * INCH, height * INCH, lines, rule, mark=label)


def short_sheets(kerf=1):
    """Sheets of 48 x 24 in, and a saw that makes two 24s of one impossible, or not."""
    return [Stock("short", "panel", "sheet", 48 * INCH, 24 * INCH, 1000)], kerf


def ask(surfaces, stocks=(PANEL,), parts=(), kerf=GAP, shrunk=True, edge=0):
    edges = {surface.label: edge for surface in surfaces}
    return decking_of(stocks, [s.price for s in stocks], surfaces, parts, edges, kerf, shrunk)


def deck_of(problem):
    """Ask for a roof's deck from its smallest panel; leave out roofs without a stack of courses."""
    panels = [stock for stock in problem.stocks if stock.material == "panel"][:1]
    decking = ask(problem.surfaces, panels, problem.parts, problem.saw.sheet, edge=150)
    assume(all(decking.stacks.values()))
    return decking


def least(linear, seconds=2):
    """Give the least cost; infinity if nothing is feasible, None if that isn't known in time."""
    solved = run_highs(linear, Clock(seconds))
    return inf if solved.infeasible else solved.cost if solved.optimal else None


def bound_by_blocks(decking, steps=6000):
    """Give the bound of blocks with so many steps; infinity if a surface can't be laid, None if unknown."""
    growth = BlockGrowth(decking, steps)
    if not all(growth.tables.possible().values()):
        return inf
    allowed = growth.tables.possible()
    priced = growth.price(allowed, Clock(5))
    return None if priced is None else priced.least(allowed)


def all_three(decking):
    """Give the bound by blocks, and the least cost by the whole model and by two colours."""
    return [
        bound_by_blocks(decking),
        least(build_joint(decking).linear),
        least(build_colours(decking).linear),
    ]


@pytest.mark.parametrize(
    ("stagger", "courses", "sheets"),
    [
        # Four bays of 24 from sheets of 48: 48 + 48 is two sheets. Two 24s and a kerf outgrow a sheet,
        # so the course between, 24 + 48 + 24, takes three.
        (24, 1, 2),
        (24, 2, 5),
        (24, 3, 7),
        (24, 4, 10),
        (0, 2, 4),
        (0, 3, 6),
    ],
)
def test_all_models_agree_on_what_can_be_counted_by_hand(stagger, courses, sheets):
    """Every other course pays a sheet for its stagger, and none where there is none to keep."""
    stocks, kerf = short_sheets()
    deck = half(96, 24 * courses, replace(PLAIN, stagger=stagger * INCH))

    assert all_three(ask([deck], stocks, kerf=kerf)) == [1000 * sheets] * 3


def test_a_course_may_have_two_seams_nearer_than_the_stagger_to_each_other():
    """
    Only neighbours' seams are kept apart: 132 + 24 + 132 below 72 + 144 + 72, 60 in from seam to seam.

    From sheets of 144, as wide as a course: three whole or nearly so, 72 + 24, and 72: five.
    """
    lines = tuple(Support(at * INCH) for at in (0, 72, 132, 156, 216, 288))
    deck = replace(half(288, 48, replace(PLAIN, stagger=48 * INCH)), supports=lines)
    sheet = Stock("long", "panel", "sheet", 144 * INCH, 24 * INCH, 1000)

    assert all_three(ask([deck], [sheet], kerf=1)) == [5000] * 3


def test_a_stagger_wider_than_the_roof_leaves_no_lay_out():
    """Seams are needed in both courses, and no two are 96 in apart: every model says so."""
    stocks, kerf = short_sheets()
    deck = half(96, 48, replace(PLAIN, stagger=96 * INCH))

    assert all_three(ask([deck], stocks, kerf=kerf)) == [inf] * 3


@settings(max_examples=16)
@given(roofs(longest=8, rules=("usual", "lean")))
def test_bounds_lie_below_the_truth_and_plans_above(problem):
    """Blocks, of two courses or more, at most the whole model, that at most two colours, at any spacing."""
    decking = deck_of(problem)
    blocks, whole, colours = all_three(decking)
    pairs = bound_by_blocks(decking, steps=0)
    assume(None not in (pairs, blocks, whole, colours))
    for name, here in (("pairs", pairs), ("blocks", blocks), ("colours", colours)):
        event(f"{name} {'meet' if here == whole else 'miss'} the whole")

    assert max(pairs, blocks) <= whole <= colours


@settings(max_examples=12)
@given(roofs(longest=8, rules=("usual", "lean")))
def test_lay_outs_read_from_either_model_keep_the_stagger(problem):
    """Courses run from end to end in pieces that meet, neighbours' seams apart."""
    decking = deck_of(problem)
    for build, read in ((build_colours, read_colours), (build_joint, read_joint)):
        model = build(decking)
        solved = run_highs(model.linear, Clock(2))
        assume(solved.values is not None)
        laid = read(decking, model, solved.values)
        for label, (stack, courses) in laid.items():
            lines = decking.lines[label]
            assert len(courses) == len(stack.widths)
            seams = []
            for course in courses:
                assert [a.head for a in course[:-1]] == [a.tail for a in course[1:]]
                assert (course[0].tail, course[-1].head) == (0, lines.last)
                seams.append([a.head for a in course[:-1]])
            for below, above in pairwise(seams):
                assert not any(too_near(lines, one, other) for one in below for other in above)


def courses_of(lines):
    """List every course of a surface as its arcs, one after the other."""

    def onwards(line):
        if line == lines.last:
            yield ()
        for arc in lines.arcs:
            if arc.tail == line:
                yield from ((arc, *rest) for rest in onwards(arc.head))

    return list(onwards(0))


def block_paths(steps, courses, last):
    """List every path through states as the courses it makes."""

    def onwards(state):
        if state == (last,) * courses:
            yield ((),) * courses
        for step in steps:
            if step.before == state:
                for laid in onwards(step.after):
                    place = step.course
                    yield (*laid[:place], (step.arc, *laid[place]), *laid[place + 1 :])

    return list(onwards((0,) * courses))


@pytest.mark.parametrize(
    ("length", "spacing", "stagger", "courses"),
    [
        (144, 24, 24, 2),
        (144, 24, 48, 2),
        (144, 24, 0, 2),
        (128, 16, 24, 2),
        (96, 12, 24, 2),
        (96, 12, 36, 2),
        (120, 24, 24, 3),
        (120, 24, 24, 4),
        (96, 12, 24, 3),
        (96, 24, 0, 3),
        (120, 24, 24, 1),
    ],
)
def test_paths_through_states_are_exactly_the_staggered_blocks(length, spacing, stagger, courses):
    """Courses that keep the stagger to their neighbours are one path, and every path is such courses."""
    rule = replace(USUAL, stagger=stagger * INCH)
    lines = lines_of(half(length, 48, rule, spacing), 96 * INCH, shrunk=False)
    everything = courses_of(lines)
    staggered = {
        laid
        for laid in product(everything, repeat=courses)
        if not any(
            too_near(lines, one.head, other.head)
            for low, high in pairwise(laid)
            for one in low
            for other in high
        )
    }
    found = block_paths(steps_of(lines, courses), courses, lines.last)

    assert staggered
    assert len(found) == len(set(found))
    assert set(found) == staggered


def test_steps_beyond_a_number_are_not_listed():
    """A table of no reasonable size is not begun."""
    lines = lines_of(half(144, 48), 96 * INCH, shrunk=False)
    number = len(steps_of(lines, 2))

    assert steps_of(lines, 2, number) == steps_of(lines, 2)
    assert steps_of(lines, 2, number - 1) == ()


def test_a_window_holds_a_line_and_those_nearer_than_the_stagger():
    """At 12 in apart and a stagger of 24: a line and the next."""
    lines = Lines((0, 12, 24, 36, 48), (), 24)

    assert windows(lines) == [range(1, 3), range(2, 4), range(3, 4)]


def test_without_a_stagger_there_are_no_windows():
    """No two seams are too near, not even on one line."""
    assert windows(Lines((0, 12, 24), (), 0)) == []


def test_flows_are_split_into_courses_longest_piece_first():
    """Two courses of 0-1-2 and 0-2: the long piece makes the first."""
    near, far, whole = Arc(0, 1, 0, 10), Arc(1, 2, 10, 10), Arc(0, 2, 0, 20)
    lines = Lines((0, 10, 20), (near, far, whole), 0)

    assert peel(lines, {near: 1, far: 1, whole: 1}) == [(whole,), (near, far)]


def test_surfaces_with_equal_lines_share_their_flows():
    """Two alike are one family; another length makes a second."""
    alike = [half(96, 84, label=label) for label in "AB"]
    decking = ask([*alike, half(120, 84, label="C")])

    assert [[s.label for s in group] for _, group in decking.families()] == [["A", "B"], ["C"]]


def planned(surfaces, parts=(), stocks=(PANEL,), edge=0, kerf=GAP, seconds=30):
    edges = {surface.label: edge for surface in surfaces}
    return plan_surfaces("panel", stocks, surfaces, parts, Saw(sheet=kerf), Clock(seconds), edges)


@pytest.mark.parametrize(
    ("edge", "sheets", "blocked"),
    [
        # Three slopes of 60 in and one panel long. Narrow courses of 12 are blocked along two edges.
        # Unblocked, 24 + 36 each: a sheet for every 36, and two for three 24s: five.
        # One slope as 48 + 12: 48, 36 + 12, 36, 24 + 24: four sheets and two edges.
        (100, 4, 1),  # 4000 + 200 < 5000
        (499, 4, 1),  # 4000 + 998 < 5000
        (501, 5, 0),  # 4000 + 1002 > 5000
    ],
)
def test_blocking_under_a_narrow_course_is_weighed_against_sheets(edge, sheets, blocked):
    """It is used while two edges cost less than a sheet, and not a cent beyond."""
    plan = planned([half(96, 60, LEAN, label=label) for label in "ABC"], edge=edge)

    assert plan.outcome.proved
    assert plan.outcome.cost == plan.outcome.bound == 1000 * sheets
    assert sum(course.blocked for course in plan.courses) == blocked


def test_a_part_that_may_turn_lies_whichever_way_saves_a_sheet():
    """36 x 90 turned lies in what the deck leaves of a sheet; held to its grain it takes one more."""
    # 8 ft by 60 in: 48 + 12, the narrow course beside a part 90 long and 35 wide in the second sheet.
    deck = half(96, 60, replace(LEAN, blocked_below=0))
    door = Part("door back", "panel", 35 * INCH, 90 * INCH, may_turn=True)
    turned = planned([deck], [door])

    assert turned.outcome.cost == 2000
    assert [piece.turned for cut in turned.cuts for piece in cut.pieces if piece.label == "door back"] == [
        True
    ]
    with pytest.raises(NoPlan, match="door back fits no sheet of panel"):
        planned([deck], [replace(door, may_turn=False)])


def test_a_part_that_outgrows_every_sheet_is_named_with_by_how_much():
    """100 in from 95-7/8 is 4-1/8 too long."""
    with pytest.raises(NoPlan, match=r"skin fits no sheet of panel: it is 4-1/8 in \(104 mm\) too long"):
        planned([half(96, 48)], [Part("skin", "panel", 100 * INCH, 20 * INCH)])


def test_a_part_without_a_width_takes_the_sheets_whole_width():
    """40 in of a sheet as wide as it comes."""
    plan = planned([half(96, 48)], [Part("skin", "panel", 40 * INCH)])

    assert plan.outcome.cost == 2000
    assert [p.width for cut in plan.cuts for p in cut.pieces if p.label == "skin"] == [PANEL.width]


def test_without_prices_the_fewest_sheets_are_sought():
    """216 x 84 in, nothing priced: sheets count one each."""
    plan = planned([half(192, 84)], stocks=[replace(PANEL, price=None)])

    # 192 x 48 are two sheets, 192 x 36 two more: what their rips leave is 12 wide.
    assert (plan.outcome.cost, plan.outcome.proved) == (4, True)


@pytest.mark.parametrize(
    ("surface", "words"),
    [
        (half(96, 20), "A: no stack of courses fits"),
        (half(216, 48, replace(USUAL, min_supports=6)), "A: no row of pieces fits: each must rest on 6"),
        (half(216, 96, replace(USUAL, stagger=120 * INCH)), "no lay-out keeps the seams"),
        (half(96, 0), "A has no area"),
    ],
)
def test_what_leaves_no_lay_out_is_named(surface, words):
    """The surface, and the rule to relax."""
    with pytest.raises(NoPlan, match=words) as raised:
        planned([surface])
    assert not isinstance(raised.value, TimeUp)


def test_time_that_is_up_is_not_taken_for_rules_that_allow_nothing():
    """With no time at all, it says so."""
    with pytest.raises(TimeUp, match="in the time given"):
        planned([half(216, 84)], seconds=0)


def test_a_yard_with_too_few_sheets_leaves_no_plan():
    """Two courses of 8 ft take two sheets, and there is one."""
    with pytest.raises(NoPlan, match="too few sheets"):
        planned([half(96, 96)], stocks=[replace(PANEL, available=1)])


def test_a_proof_names_the_cuts_and_lay_outs_it_covers():
    """Cuts, seams and stacks of courses; blocking where it is priced."""
    family = planned([half(96, 84)]).outcome.family
    blocked = planned([half(96, 60, LEAN, label=label) for label in "ABC"], edge=100).outcome.family

    assert family.startswith("saw cuts of up to 3 stages, seams on the centres of supports")
    assert "stacks of course widths tried" in blocked
    assert blocked.endswith("blocking at its price by length")


def test_money_being_equal_a_course_has_fewer_pieces(monkeypatch):
    """
    One piece of 96 from one sheet, though 48 + 48 without kerf or gap cost no more.

    Where that step is turned round there are four pieces. (Slack, which comes before, is set aside.)
    """
    monkeypatch.setattr(polishing, "TIGHT", 0)
    sheet = Stock("sheet", "panel", "sheet", 96 * INCH, 48 * INCH, 1000)
    plan = planned([half(96, 48, PLAIN)], stocks=[sheet], kerf=0)

    assert [len(course.pieces) for course in plan.courses] == [1]
    assert dict(plan.outcome.levels)["pieces"] == "best of its kind"

    costed = polishing._with_costs
    monkeypatch.setattr(
        polishing, "_with_costs", lambda m, costs: costed(m, {c: -n for c, n in costs.items()})
    )
    most = planned([half(96, 48, PLAIN)], stocks=[sheet], kerf=0)
    assert ([len(course.pieces) for course in most.courses], most.outcome.cost) == ([4], plan.outcome.cost)


def test_money_being_equal_sheets_have_room_to_spare(monkeypatch):
    """
    Two parts of 48 x 15 from one sheet of 96 x 47, or of 46 or 48: side by side they just fill its length.

    One above the other, 30 across and 48 along, there is room to spare; without that step some are tight.
    """

    def tight(wide):
        sheet = Stock("sheet", "panel", "sheet", 96 * INCH, wide * INCH, 1000)
        deck = half(96, wide, replace(PLAIN, narrowest=wide * INCH))
        plan = planned([deck], [Part("skin", "panel", 48 * INCH, 15 * INCH, 2)], [sheet], kerf=0)
        assert plan.outcome.cost == 2000
        assert dict(plan.outcome.levels)["slack"] == "best of its kind"
        return any(cut.tight for cut in plan.cuts)

    assert [tight(wide) for wide in (46, 47, 48)] == [False] * 3
    monkeypatch.setattr(polishing, "TIGHT", 0)
    assert any(tight(wide) for wide in (46, 47, 48))


def test_ways_to_cut_that_are_rarely_used_make_room_for_others():
    """From a solution with as many different ways as possible comes one with fewer, for the same money."""
    decking = ask([half(216, 84), half(216, 84, label="B")])
    built = build_colours(decking)
    capped = polishing._capped(built.linear, run_highs(built.linear, Clock(20)).cost)
    columns = tuple(built.cuts.ways.values())
    many = LinearModel([0] * len(capped.costs), list(capped.uppers), list(capped.lines))
    for column in columns:
        used = many.column(-1, 1)
        many.row([(column, 1), (used, -1)], lower=0)
    mixed = run_highs(many, Clock(20), nodes=5).values[: len(capped.costs)]
    tidied = polishing._fewer_set_ups(capped, built, mixed, Clock(20))

    assert capped.broken(tidied) == ""
    assert polishing._used(tidied, columns) < polishing._used(mixed, columns)


def test_all_else_being_equal_the_largest_leftover_is_kept(monkeypatch):
    """
    Two parts of 24 x 20 come off the end of a sheet of 96 x 48, so that 72 x 48 stays whole.

    Without that step a strip of 20 is ripped, and 96 x 28 is the largest rest.
    """
    sheet = Stock("sheet", "panel", "sheet", 96 * INCH, 48 * INCH, 1000)

    def largest():
        plan = planned(
            [half(96, 48, PLAIN)], [Part("skin", "panel", 24 * INCH, 20 * INCH, 2)], [sheet], kerf=0
        )
        assert plan.outcome.cost == 2000
        return max(rest.length * rest.width // INCH**2 for cut in plan.cuts for rest in leftovers_of(cut))

    assert largest() == 72 * 48
    monkeypatch.setattr(polishing, "_larger_leftovers", lambda linear, built, values, clock: values)
    assert largest() < 72 * 48


def test_a_large_model_is_left_as_the_money_left_it(monkeypatch):
    """Beyond a size the tie-breaks are not tried, and the plan says so."""
    monkeypatch.setattr(polishing, "LARGE", 0)

    levels = planned([half(96, 84)]).outcome.levels

    assert levels == tuple((level, "not tried") for level in ("slack", "pieces", "set-ups", "leftover"))


@settings(max_examples=10)
@given(roofs(longest=8, rules=("usual", "lean")))
def test_tie_breaks_never_cost_money_or_pieces(problem):
    """A polished solution holds in its model, costs as much, and has no more pieces where it stays roomy."""
    decking = deck_of(problem)
    built = build_colours(decking)
    solved = run_highs(built.linear, Clock(2))
    assume(solved.optimal)
    polished = polish(decking, built, solved.values, solved.cost, Clock(2))

    def pieces(model, values):
        return sum(amount * values[column] for column, amount in model.laid)

    assert polished.built.linear.broken(polished.values) == ""
    assert polished.built.linear.cost_of(polished.values) == solved.cost
    if polished.built is built:
        assert pieces(built, polished.values) <= pieces(built, solved.values)
    event(" ".join(f"{level} {how}" for level, how in polished.levels))
