"""Runs side by side: their seams keep apart, whoever gets which piece; the audit sees where they don't."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optimizer.audit_lay import lay_complaints
from optimizer.engine import Clock
from optimizer.errors import NoPlan
from optimizer.lengths import FOOT, INCH
from optimizer.models.free_runs import Share
from optimizer.models.neighbours import in_zones, set_apart, staggered
from optimizer.plan import Plan
from optimizer.solve import cheapest_plan
from optimizer.words import Problem, Run, Stock


def courses(number, length, stagger, lap=0, begins=0):
    """Give runs one above the other, each beside the one before."""
    return [
        Run(
            f"course {n}",
            "felt",
            length,
            lap,
            mark=f"C{n}",
            layer="felt",
            begins=begins * n,
            bottom=n * 34,
            beside=f"course {n - 1}" if n else "",
            stagger=stagger if n else 0,
        )
        for n in range(number)
    ]


def seams_of(plan: Plan) -> list[list[int]]:
    return [
        [2 * course.begins + left.end + right.start for left, right in pairwise(course.pieces)]
        for course in sorted(plan.lay, key=lambda course: course.run)
    ]


def test_pieces_change_places_until_seams_are_apart():
    """Two courses cut alike, 7 + 3: the second is laid from the other end, its seam at 3."""
    runs = courses(2, 10, 4)
    alike = ((Share(0, 7), Share(1, 3)), (Share(2, 7), Share(3, 3)))

    assert set_apart(runs, [0, 0], alike) == (alike[0], (Share(3, 3), Share(2, 7)))


def test_whole_courses_part_those_with_seams():
    """Halves 5 + 5 can't lie beside each other; the course without a seam goes between them."""
    runs = courses(3, 10, 4)
    half = (Share(0, 5), Share(1, 5))
    found = set_apart(runs, [0, 0, 0], (half, half, (Share(2, 10),)))

    assert found == (half, (Share(2, 10),), half)


def test_nothing_is_found_where_nothing_can_be():
    """Two courses in halves have their seams at 5 whatever is done."""
    half = (Share(0, 5), Share(1, 5))

    assert set_apart(courses(2, 10, 4), [0, 0], (half, half)) is None


def test_pieces_stay_with_runs_of_their_kind():
    """A run of another kind keeps its pieces, even where changing them would help."""
    half = (Share(0, 5), Share(1, 5))

    assert set_apart(courses(2, 10, 4), [0, 1], (half, half)) is None


def test_seams_are_measured_along_the_layer():
    """The second course begins 5 farther right, so halves of both have seams 5 apart."""
    half = (Share(0, 5), Share(1, 5))

    assert set_apart(courses(2, 10, 4, begins=5), [0, 0], (half, half)) == (half, half)


def test_zones_keep_every_second_run_half_way_between():
    """Stagger 4: one course's seams lie at 4, 12, 20, the next one's at 8, 16, wherever the runs begin."""
    zoned = in_zones(courses(3, 22, 4))

    assert [run.seams for run in zoned] == [(0, 8, 16), (4, 12, 20), (0, 8, 16)]
    shifted = in_zones(courses(2, 22, 4, begins=1))
    assert shifted[1].seams == (3, 11, 19)


def test_only_free_runs_with_a_stagger_are_looked_at():
    """Runs whose seams are given, or that have no neighbour, need no care."""
    one, two = courses(2, 10, 4)

    assert staggered([one, two])
    assert not staggered([one, replace(two, seams=(3,))])
    assert not staggered([one])


felt = st.builds(
    lambda number, feet, inches, roll, lap, offset: (
        courses(number, feet * FOOT + inches * INCH, offset * INCH, lap * INCH),
        Stock("roll", "felt", "roll", roll * FOOT, price=100),
    ),
    st.integers(2, 9),
    st.integers(8, 90),
    st.integers(0, 11),
    st.sampled_from((40, 65, 72, 144)),
    st.sampled_from((0, 3, 4, 6)),
    st.sampled_from((24, 48, 72)),
)


@settings(max_examples=40, deadline=None)
@given(felt)
def test_courses_of_felt_keep_their_offset(job):
    """Whatever roof and roll, seams of neighbouring courses lie the offset apart, and the audit agrees."""
    runs, roll = job
    plan = cheapest_plan(Problem((roll,), runs=tuple(runs)), Clock(20))

    for below, above in pairwise(seams_of(plan)):
        assert all(abs(a - b) >= 2 * runs[1].stagger for a in below for b in above)
    assert plan.outcomes[0].bound <= plan.outcomes[0].cost


def test_the_offset_costs_nothing_where_pieces_can_be_exchanged():
    """Five courses of 75 ft from rolls of 72 ft take as many rolls as without the offset."""
    roll = Stock("roll", "felt", "roll", 72 * FOOT, price=100)
    with_offset, without = (
        cheapest_plan(Problem((roll,), runs=tuple(courses(5, 75 * FOOT, offset, 4 * INCH))), Clock(20))
        for offset in (72 * INCH, 0)
    )

    assert with_offset.total == without.total
    assert with_offset.proved


def test_where_no_exchange_helps_zones_do():
    """Runs of exactly two rolls would be halved alike; other seams cost a roll more, and are found."""
    roll = Stock("roll", "felt", "roll", 40 * FOOT, price=100)
    runs = courses(2, 80 * FOOT, 6 * FOOT)
    plan = cheapest_plan(Problem((roll,), runs=tuple(runs)), Clock(20))

    below, above = seams_of(plan)
    assert all(abs(a - b) >= 12 * FOOT for a in below for b in above)
    assert plan.total == 500
    assert plan.outcomes[0].bound == 400


def test_a_stagger_wider_than_the_stock_allows_is_refused():
    """Rolls of 10 ft can't keep seams 30 ft apart on courses of 28 ft."""
    roll = Stock("roll", "felt", "roll", 10 * FOOT, price=100)

    with pytest.raises(NoPlan):
        cheapest_plan(Problem((roll,), runs=tuple(courses(2, 28 * FOOT, 30 * FOOT))), Clock(5))


@pytest.fixture(scope="module")
def laid():
    """Lay three courses of 50 from rolls of 40, their seams 9 apart."""
    roll = Stock("roll", "felt", "roll", 40, price=100)
    problem = Problem((roll,), runs=tuple(courses(3, 50, 9)))
    plan = cheapest_plan(problem, Clock(20))
    assert list(lay_complaints(problem, plan)) == []
    return problem, plan


def told(problem, plan, **changes):
    """Change the last course that has a seam, and give the rules that the audit then finds broken."""
    place = max(n for n, course in enumerate(plan.lay) if course.seams)
    lay = (*plan.lay[:place], replace(plan.lay[place], **changes), *plan.lay[place + 1 :])
    return {complaint.rule for complaint in lay_complaints(problem, replace(plan, lay=lay))}


def test_the_audit_sees_seams_too_near(laid):
    """A stagger wider than the plan kept is a complaint and nothing else is."""
    problem, plan = laid
    strict = replace(problem, runs=tuple(replace(run, stagger=49 * bool(run.beside)) for run in problem.runs))

    assert {complaint.rule for complaint in lay_complaints(strict, plan)} == {"stagger"}


def test_the_audit_sees_a_course_in_another_place(laid):
    """A course that lies higher or farther right than its run is a complaint."""
    problem, plan = laid

    assert told(problem, plan, bottom=35 * 34) == {"bottom"}
    assert "bottom" in told(problem, plan, begins=1)


def test_the_audit_sees_a_neighbour_that_is_not_laid(laid):
    """A course whose neighbour is missing is a complaint beside the missing one's own."""
    problem, plan = laid
    rules = {complaint.rule for complaint in lay_complaints(problem, replace(plan, lay=plan.lay[1:]))}

    assert rules == {"uncovered", "stagger"}


def test_first_pieces_come_off_the_far_end():
    """Pieces that meet with the stock's own ends: 6 off the far end of a strip of 10, 3 off the near one."""
    strip = Stock("strip", "felt", "stick", 10, price=100)
    lower = Run("lower", "felt", 16, seams=(6,), mark="L", own_ends=True)
    upper = Run("upper", "felt", 13, seams=(10,), mark="U", own_ends=True)
    plan = cheapest_plan(Problem((strip,), runs=(lower, upper)), Clock(20))
    (cut,) = (cut for cut in plan.cut if len(cut.pieces) > 1)

    assert [(piece.label, piece.x, piece.length) for piece in cut.pieces] == [("U.2", 0, 3), ("L.1", 4, 6)]
    # Snip off 3, then 1 that is waste; what remains is the piece.
    assert [(step.x, step.at) for step in cut.steps] == [(0, 3), (3, 1)]


def test_a_piece_alone_comes_off_the_far_end_too():
    """The waste is cut off first."""
    strip = Stock("strip", "felt", "stick", 10, price=100)
    run = Run("course", "felt", 16, seams=(6,), mark="C", own_ends=True)
    plan = cheapest_plan(Problem((strip,), runs=(run,)), Clock(20))

    assert [(cut.pieces[0].label, cut.pieces[0].x, len(cut.steps)) for cut in plan.cut] == [
        ("C.2", 0, 0),
        ("C.1", 4, 1),
    ]
    assert not plan.cut[1].tight
