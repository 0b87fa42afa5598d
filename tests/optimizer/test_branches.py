"""The tree over course widths: splitting loses nothing, no bound is too high, plans don't depend on time."""

from __future__ import annotations

import time
from dataclasses import replace
from itertools import product

import pytest
from hypothesis import assume, given, settings
from strategies import RULES, roofs

from optimizer import engine
from optimizer.engine import Clock, LinearModel, run_highs
from optimizer.lengths import INCH
from optimizer.models.block_growth import BlockGrowth
from optimizer.models.branches import Branch, split
from optimizer.models.decking import decking_of
from optimizer.models.joint import build_joint
from optimizer.models.runs import plan_surfaces
from optimizer.words import Saw, Stock, Support, Surface

LEAN = RULES["lean"]
GAP = LEAN.gap
PANEL = Stock("panel", "panel", "sheet", 96 * INCH - GAP, 48 * INCH - GAP, 1000)
NINE = Stock("nine", "panel", "sheet", 108 * INCH - GAP, 48 * INCH - GAP, 1190)
TEN = Stock("ten", "panel", "sheet", 120 * INCH - GAP, 48 * INCH - GAP, 1310)


def half(length, height, label="A", spacing=24, rule=LEAN):
    lines = tuple(Support(at * INCH) for at in range(0, length + 1, spacing))
    return Surface(label, "panel", length * INCH, height * INCH, lines, rule, mark=label)


def ask(surfaces, only=None, edge=150, stocks=(PANEL,)):
    edges = {surface.label: edge for surface in surfaces}
    return decking_of(stocks, [s.price for s in stocks], surfaces, (), edges, GAP, True, only)


def leaves(decking, allowed):
    """Split until every surface has one stack."""
    if all(len(stacks) == 1 for stacks in allowed.values()):
        yield tuple(stacks[0] for stacks in allowed.values())
        return
    for part in split(decking, allowed):
        yield from leaves(decking, part)


@pytest.mark.parametrize("labels", ["A", "AB", "ABC"])
def test_splitting_surfaces_alike_gives_every_choice_once_up_to_their_names(labels):
    """Of surfaces that differ in their names only, every multiset of stacks comes once."""
    decking = ask([half(96, 64, label) for label in labels])
    found = [tuple(sorted(leaf, key=str)) for leaf in leaves(decking, decking.stacks)]
    wanted = {tuple(sorted(leaf, key=str)) for leaf in product(*decking.stacks.values())}

    assert len(wanted) > 1
    assert len(found) == len(set(found))
    assert set(found) == wanted


def test_splitting_different_surfaces_gives_every_choice_once():
    """Surfaces of other lengths can't be exchanged: every pair of stacks comes once."""
    decking = ask([half(96, 64, "A"), half(120, 64, "B")])
    found = list(leaves(decking, decking.stacks))

    assert len(found) == len(set(found))
    assert set(found) == set(product(*decking.stacks.values()))


@settings(max_examples=8)
@given(roofs(longest=8, rules=("lean",)))
def test_a_bound_from_prices_holds_for_every_choice_of_stacks(problem):
    """What prices say of any choice, in pairs or larger blocks, is no more than its cheapest lay-out."""
    panels = [stock for stock in problem.stocks if stock.material == "panel"][:1]
    surfaces = problem.surfaces[:2]
    edges = {surface.label: 150 for surface in surfaces}

    def question(only=None):
        return decking_of(panels, [panels[0].price], surfaces, (), edges, problem.saw.sheet, True, only)

    decking = question()
    assume(all(decking.stacks.values()))
    for steps in (0, 6000):
        priced = BlockGrowth(decking, steps).price(decking.stacks, Clock(5))
        assume(priced is not None)
        for leaf in list(leaves(decking, decking.stacks))[:4]:
            only = {label: (stack,) for label, stack in zip(decking.stacks, leaf, strict=True)}
            solved = run_highs(build_joint(question(only)).linear, Clock(2))
            if solved.optimal:
                assert priced.least(only) <= solved.cost
                assert priced.hint(only) <= priced.least(only) << 36


def test_a_branch_keeps_the_best_bound_and_who_showed_it():
    """A bound that a solver alone shows is kept apart from the checked one, and gives way to a higher."""
    branch, model = Branch({}, 10, 10), LinearModel()
    branch.lift(30, model)

    assert (branch.bound, branch.checked, branch.claim) == (30, 10, model)
    branch.lift(20)
    assert (branch.bound, branch.checked, branch.claim) == (30, 20, model)
    branch.lift(40)
    assert (branch.bound, branch.checked, branch.claim) == (40, 40, None)


def planned(surfaces, seconds=60, stocks=(PANEL,), edge=150):
    edges = {surface.label: edge for surface in surfaces}
    plan = plan_surfaces("panel", stocks, surfaces, (), Saw(sheet=GAP), Clock(seconds), edges)
    return replace(plan, outcome=replace(plan.outcome, seconds=0.0))


@pytest.mark.parametrize("spacing", [16, 24])
def test_equal_questions_get_equal_plans_on_a_slow_machine_and_with_more_time(spacing, monkeypatch):
    """Proved plans are the same to the last cut whatever the clock says and however slow the solver is."""
    surfaces = [half(192, 112, "A", spacing), half(192, 112, "B", spacing)]
    first = planned(surfaces)
    run = engine._load

    def slowly(*args, **named):
        time.sleep(0.05)
        return run(*args, **named)

    monkeypatch.setattr(engine, "_load", slowly)

    assert first.outcome.proved
    assert planned(surfaces, seconds=600) == first


@pytest.mark.parametrize("rule", ["usual", "lean"])
def test_three_surfaces_are_planned_together(rule):
    """Two gable halves and a porch: proved, and never dearer than the porch planned apart."""
    halves = [replace(half(168, 84, label), rule=RULES[rule]) for label in "AB"]
    porch = replace(half(120, 64, "P"), rule=RULES[rule])
    together, apart = planned([*halves, porch], edge=0), [planned(s, edge=0) for s in (halves, [porch])]

    assert together.outcome.proved
    assert {course.plane for course in together.courses} == {"A", "B", "P"}
    assert together.outcome.cost <= sum(plan.outcome.cost for plan in apart)
    assert len({len(plan.courses) for plan in apart}) == 2
    assert len(together.outcome.witnesses) == 2


def test_several_sheet_sizes_with_small_price_steps_are_proved():
    """Prices that differ by little leave no room to round up, and the bound meets the cost all the same."""
    plan = planned([half(168, 84, label, 16) for label in "AB"], stocks=(PANEL, NINE, TEN))

    assert plan.outcome.proved
