"""What is asked of shaped surfaces where all there is would be too much to list."""

from __future__ import annotations

import pytest

from optimizer import patterns
from optimizer.engine import Clock
from optimizer.errors import NoPlan
from optimizer.lengths import INCH
from optimizer.models.shaped_questions import questions_of
from optimizer.words import SeamRule, Stock, Support, Surface

GAP = INCH // 8
SHEET = Stock("osb 4x8", "osb", "sheet", 96 * INCH - GAP, 48 * INCH - GAP, 1000)
RULE = SeamRule(GAP, 3, 24 * INCH, 24 * INCH, 24 * INCH, end_slack=INCH // 4, top_slack=INCH // 2)
# 100 in up the slope leave a sliver over two full courses, so that there are several stacks of widths.
CORNERS = ((0, 0), (240 * INCH, 0), (120 * INCH, 100 * INCH))
END = Surface(
    "end",
    "osb",
    240 * INCH,
    100 * INCH,
    tuple(Support(24 * INCH * n) for n in range(1, 10)),
    RULE,
    outline=CORNERS,
)


def stacks(most_ways: int, monkeypatch: pytest.MonkeyPatch) -> int:
    """Count the stacks of course widths in the widest question that so many ways allow."""
    monkeypatch.setattr(patterns, "MOST_WAYS", most_ways)
    widest, _ = list(questions_of([SHEET], [1000], [END], [], {}, INCH // 8, Clock(20)))[-1]
    return len(widest.stacks["end"])


def test_fewer_stacks_are_asked_for_where_all_are_too_many(monkeypatch):
    """Rather than have no plan, the slanting pieces of fewer stacks are listed: three, two, one."""
    assert [stacks(ways, monkeypatch) for ways in (20_000, 1_000, 500)] == [3, 2, 1]


def test_too_many_sizes_in_one_stack_are_refused(monkeypatch):
    """Where even one stack of long pieces is too much, there is no plan, and the reason is told."""
    with pytest.raises(NoPlan, match="too many different sizes"):
        stacks(40, monkeypatch)
