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
STOCKS = tuple(
    Stock(f"panel {feet}", "panel", "sheet", 12 * feet * INCH - GAP, 48 * INCH - GAP, price)
    for feet, price in ((8, 1435), (9, 1890), (10, 2360))
)


@pytest.mark.parametrize("seconds", [0.02, 0.1, 0.3, 1.0])
def test_a_plan_in_a_hurry_passes_its_audit(seconds):
    """However short the time, what is given is audited, and its bound is not above its cost."""
    rafters = tuple(Support(at * INCH) for at in range(0, 481, 16))
    halves = tuple(Surface(mark, "panel", 480 * INCH, 171 * INCH, rafters, RULE, mark=mark) for mark in "AB")
    try:
        plan = cheapest_plan(Problem(STOCKS, halves), Clock(seconds))
    except TimeUp:
        return

    assert plan.total == sum(line.cost for line in plan.buy)
    assert plan.bound <= plan.total
