"""What is asked of shaped surfaces where all there is would be too much to list."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer import patterns
from optimizer.engine import Clock, run_highs
from optimizer.errors import NoPlan
from optimizer.lengths import INCH
from optimizer.models.shaped import build_shaped
from optimizer.models.shaped_first import first_values
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


@settings(max_examples=5)
@given(st.integers(30, 130), st.integers(0, 120), st.sampled_from([12, 16, 24]), st.booleans())
def test_a_first_plan_is_a_solution(height, top, spacing, upright):
    """What is laid course by course, or strip by strip, obeys every row of the model, and costs no less."""
    left = (240 - top) * INCH // 2
    corners = ((0, 0), (240 * INCH, 0), (left + top * INCH, height * INCH), (left, height * INCH))
    surface = replace(
        END,
        height=height * INCH,
        outline=corners if top else (corners[0], corners[1], (left, height * INCH)),
        supports=tuple(Support(spacing * INCH * n) for n in range(1, 240 // spacing)),
    )
    if upright:
        edges = tuple(48 * INCH * n for n in range(1, 5))
        surface = replace(surface, supports=(), edges=edges, length=90 * INCH, height=240 * INCH, outline=())
    sheets = [SHEET, replace(SHEET, key="osb 4x10", length=120 * INCH - GAP, price=1300)]
    try:
        question, _ = next(questions_of(sheets, [1000, 1300], [surface], [], {}, INCH // 8, Clock(20)))
    except NoPlan:
        return
    model = build_shaped(question)
    values = first_values(question, model, Clock(20))

    if values is None:
        return
    assert not model.linear.broken(values)
    cheapest = run_highs(model.linear, Clock(60)).cost
    assert cheapest is not None
    assert model.linear.cost_of(values) >= cheapest


def test_a_stack_of_courses_gets_a_first_plan():
    """Seams above keep their distance from those below, though the fewest pieces alone would not."""
    question, _ = next(questions_of([SHEET], [1000], [END], [], {}, INCH // 8, Clock(20)))
    model = build_shaped(question)

    assert first_values(question, model, Clock(20)) is not None
