"""Parts too small to be planned with the surfaces."""

from __future__ import annotations

from dataclasses import replace

from strategies import RULES

from optimizer.audit import audit_plan
from optimizer.engine import Clock
from optimizer.lengths import INCH
from optimizer.models.small_parts import smallest_of
from optimizer.plan import FROM_LEFTOVERS
from optimizer.solve import cheapest_plan
from optimizer.words import Part, Problem, Stock, Support, Surface

RULE = RULES["usual"]
SHEET = Stock("panel 4x8", "panel", "sheet", 96 * INCH - INCH // 8, 48 * INCH - INCH // 8, 2840)


def _roof(parts: tuple[Part, ...]) -> Problem:
    supports = (
        Support(INCH * 3 // 4, seam=False),
        *(Support(at * INCH) for at in range(24, 192, 24)),
        Support(192 * INCH - INCH * 3 // 4, seam=False),
    )
    halves = tuple(
        Surface(name, "panel", 192 * INCH, 80 * INCH, supports, RULE, mark=name[0].upper())
        for name in ("door side", "far side")
    )
    return Problem((SHEET,), halves, parts=parts)


def _many_small() -> tuple[Part, ...]:
    return tuple(
        Part(f"cleat {n}", "panel", (6 + n) * INCH + n * INCH // 16, (3 + n) * INCH, 3, may_turn=True)
        for n in range(8)
    )


def test_many_small_parts_come_off_what_the_deck_leaves():
    """Each half leaves two strips 15 in wide and 8 ft long: room enough for two dozen cleats, at no cost."""
    bare, problem = _roof(()), _roof(_many_small())

    plan = cheapest_plan(problem, Clock(30))

    assert audit_plan(problem, plan) == ()
    assert plan.total == cheapest_plan(bare, Clock(30)).total
    assert FROM_LEFTOVERS in plan.outcomes[0].family
    assert plan.proved


def test_small_parts_that_what_is_left_can_not_hold_take_more_sheets():
    """Four hundred small squares need more than what eight sheets leave; the bound stays the deck's."""
    parts = tuple(
        Part(f"square {n}", "panel", (5 + n) * INCH, (5 + n) * INCH, 60, may_turn=True) for n in range(7)
    )
    problem = _roof(parts)

    plan = cheapest_plan(problem, Clock(45))

    assert audit_plan(problem, plan) == ()
    assert plan.outcomes[0].bound < plan.outcomes[0].cost
    assert not plan.proved


def test_sheets_in_a_pack_that_is_open_serve_small_parts_too():
    """Packs of twenty hold eight sheets for the deck and all that the cleats take: one pack is paid for."""
    parts = tuple(replace(part, count=40) for part in _many_small())
    packed = replace(SHEET, pack=20, price=50_000)

    plan = cheapest_plan(replace(_roof(parts), stocks=(packed,)), Clock(20))

    assert FROM_LEFTOVERS in plan.outcomes[0].family
    assert plan.pieces > 8
    assert plan.total == plan.outcomes[0].cost == 50_000


def test_the_smallest_size_is_set_apart_first_in_both_directions():
    """3 x 9 and 9 x 3 are one size; 4 x 4 has the longer short side."""
    parts = [Part("a", "p", 9, 3), Part("b", "p", 4, 4), Part("c", "p", 3, 9)]

    assert [part.label for part in smallest_of(parts)] == ["a", "c"]
