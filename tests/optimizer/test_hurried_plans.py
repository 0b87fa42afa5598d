"""Plans that had to be given before they were finished are plans all the same."""

from __future__ import annotations

import pytest

from optimizer.engine import Clock
from optimizer.errors import TimeUp
from optimizer.lengths import INCH
from optimizer.solve import cheapest_plan
from optimizer.words import Problem, SeamRule, Stock, Support, Surface

GAP = INCH // 8
RULE = SeamRule(GAP, 3, 24 * INCH, 24 * INCH, 24 * INCH, end_slack=INCH // 4, top_slack=INCH // 2)
PANELS = tuple(
    Stock(f"panel {feet}", "panel", "sheet", 12 * feet * INCH - GAP, 48 * INCH - GAP, price)
    for feet, price in ((8, 1435), (10, 1990))
)


@pytest.mark.parametrize("seconds", [0.1, 0.5, 0.8, 1.2, 2.0])
@pytest.mark.parametrize(("height", "spacing", "sizes"), [(200, 12, 1), (100, 16, 2)])
def test_a_plan_in_a_hurry_passes_its_audit(height, spacing, sizes, seconds):
    """However short the time, what is given is audited, and its bound is not above its cost."""
    rafters = tuple(Support(at * INCH) for at in range(0, 241, spacing))
    halves = tuple(
        Surface(mark, "panel", 240 * INCH, height * INCH, rafters, RULE, mark=mark) for mark in "AB"
    )
    try:
        plan = cheapest_plan(Problem(PANELS[:sizes], halves), Clock(seconds))
    except TimeUp:
        return

    assert plan.total == sum(line.cost for line in plan.buy)
    assert plan.bound <= plan.total
