"""Surfaces that are no plain rectangles: planned, audited, and never cheaper than they can be."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from strategies import RULES, roofs

from optimizer.audit import audit_plan
from optimizer.engine import Clock
from optimizer.errors import NoPlan
from optimizer.lengths import INCH
from optimizer.solve import cheapest_plan
from optimizer.words import Hole, Part, Problem, Saw, SeamRule, Stock, Support, Surface

PANEL = Stock("osb 4x8", "osb", "sheet", 767 * INCH // 8, 383 * INCH // 8, 1500)
SIDING = Stock("siding 4x8", "siding", "sheet", 96 * INCH, 48 * INCH, 4000)
RULE = RULES["usual"]
UPRIGHT = SeamRule(gap=0, min_supports=0, shortest=0, stagger=0, narrowest=16 * INCH)


def rafters(length: int, spacing: int = 24) -> tuple[Support, ...]:
    """From the left end, in inches."""
    return tuple(Support(at * INCH) for at in range(spacing, length, spacing))


def hip(label: str, eave: int, ridge: int, slope: int, **changed) -> Surface:
    """A hip roof's plane: a trapezoid of these inches, a triangle where the ridge is 0."""
    side = (eave - ridge) * INCH // 2
    top = ((side + ridge * INCH, slope * INCH), (side, slope * INCH)) if ridge else ((side, slope * INCH),)
    return Surface(
        label,
        "osb",
        eave * INCH,
        slope * INCH,
        rafters(eave),
        RULE,
        mark=label,
        outline=((0, 0), (eave * INCH, 0), *top),
        **changed,
    )


def wall(label: str, long: int, high: int, holes=(), peak: int = 0, oc: int = 16) -> Surface:
    """Upright strips along a wall of these inches, meeting on studs and beside its holes."""
    edges = {at * INCH for at in range(oc, long, oc)} | {
        edge for hole in holes for edge in (hole.y, hole.y + hole.height)
    }
    outline = ()
    if peak:
        outline = (
            (0, 0),
            (high * INCH, 0),
            (peak * INCH, long * INCH // 2),
            (high * INCH, long * INCH),
            (0, long * INCH),
        )
    return Surface(
        label,
        "siding",
        max(peak, high) * INCH,
        long * INCH,
        (),
        UPRIGHT,
        mark=label,
        outline=outline,
        holes=holes,
        edges=tuple(sorted(edges)),
        upright=True,
    )


def plan_of(problem: Problem, seconds: float = 30):
    plan = cheapest_plan(problem, Clock(seconds))
    assert audit_plan(problem, plan) == ()
    return plan


def test_a_pyramid_roof_nests_its_corners():
    """
    Four triangles of 144 x 72 in: 576 sq ft would be 4 x 36 = 144 sq ft, 4.5 sheets of 32 sq ft.

    Nested head to tail they take 6; every end piece cut alone would take more.
    """
    planes = tuple(hip(mark, 144, 0, 72) for mark in "NESW")
    plan = plan_of(Problem((PANEL,), surfaces=planes))

    assert plan.proved
    assert plan.pieces == 6
    assert any(len(cut.pieces) > 1 and any(p.corners for p in cut.pieces) for cut in plan.cut)


def test_pieces_that_may_be_flipped_never_cost_more():
    """With either face up right-hand pieces nest with left-hand ones too."""
    planes = tuple(hip(mark, 192, 0, 100) for mark in "NESW")
    strict = plan_of(Problem((PANEL,), surfaces=planes))
    free = plan_of(Problem((PANEL,), surfaces=tuple(replace(p, may_flip=True) for p in planes)))

    assert free.total <= strict.total


def test_an_outline_that_is_the_rectangle_costs_what_the_rectangle_does():
    """216 x 84 in, both halves: 11 panels either way, found by different models."""
    supports = (Support(12 * INCH), *(Support(at * INCH) for at in range(36, 200, 24)), Support(204 * INCH))
    plain = tuple(Surface(m, "osb", 216 * INCH, 84 * INCH, supports, RULE, mark=m) for m in "AB")
    corners = ((0, 0), (216 * INCH, 0), (216 * INCH, 84 * INCH), (0, 84 * INCH))
    outlined = tuple(replace(surface, outline=corners) for surface in plain)

    assert (
        plan_of(Problem((PANEL,), surfaces=outlined)).total
        == plan_of(Problem((PANEL,), surfaces=plain)).total
    )


def test_a_skylight_is_cut_out_or_pieced_round():
    """A hole as wide as two bays and half a course deep stays open, and the plan is sound round it."""
    supports = tuple(Support(at * INCH) for at in range(0, 241, 24))
    roof = Surface("roof", "osb", 240 * INCH, 96 * INCH, supports, RULE, mark="R")
    holed = replace(roof, holes=(Hole("skylight", 96 * INCH, 24 * INCH, 48 * INCH, 48 * INCH),))
    plan = plan_of(Problem((PANEL,), surfaces=(holed,)))

    assert plan.proved
    assert any(piece.openings for course in plan.lay for piece in course.pieces)
    assert plan.total <= plan_of(Problem((PANEL,), surfaces=(roof,))).total


def test_a_chimney_through_a_whole_course_parts_it():
    """Where a hole takes all of a course's width, pieces end at it and the course says so."""
    supports = tuple(Support(at * INCH) for at in range(0, 241, 24))
    chimney = Hole("chimney", 96 * INCH, 0, 48 * INCH, 48 * INCH)
    roof = Surface("roof", "osb", 240 * INCH, 96 * INCH, supports, RULE, mark="R", holes=(chimney,))
    plan = plan_of(Problem((PANEL,), surfaces=(roof,)))

    first = plan.lay[0]
    assert first.open == ((96 * INCH, 144 * INCH),)
    assert all(p.end <= 96 * INCH or p.start >= 144 * INCH for p in first.pieces)


def test_strips_of_a_wall_meet_on_studs():
    """A wall of 144 x 90 in takes three sheets side by side."""
    plan = plan_of(Problem((SIDING,), surfaces=(wall("W", 144, 90),)))

    assert plan.pieces == 3
    assert [course.bottom // INCH for course in plan.lay] == [0, 48, 96]


def test_the_gable_ends_of_two_walls_share_sheets():
    """Two triangles of 144 x 48 in: each alone takes more than half of what both take."""
    gables = tuple(
        replace(
            wall(mark, 144, 1),
            length=48 * INCH,
            outline=((0, 0), (48 * INCH, 72 * INCH), (0, 144 * INCH)),
        )
        for mark in "GH"
    )
    alone = plan_of(Problem((SIDING,), surfaces=gables[:1]))
    both = plan_of(Problem((SIDING,), surfaces=gables))

    assert both.total <= 2 * alone.total
    assert both.proved


def test_a_door_skin_comes_out_of_its_opening():
    """The panel cut out for a door 36 x 80 in is its face skin, 79 x 35 in: no sheet more."""
    door = Hole("door", 0, 54 * INCH, 80 * INCH, 36 * INCH)
    skin = Part("door skin", "siding", 79 * INCH, 35 * INCH)
    bare = Problem((SIDING,), surfaces=(wall("W", 144, 90, (door,)),))
    plan = plan_of(replace(bare, parts=(skin,)))

    assert plan.total == plan_of(bare).total
    assert any(step.kind == "cut out" and step.label == "door skin" for c in plan.cut for step in c.shaping)


def test_a_part_too_large_for_the_opening_takes_a_sheet():
    """An inch more than the opening gives and the door skin is cut from a sheet of its own."""
    door = Hole("door", 0, 48 * INCH, 80 * INCH, 48 * INCH)
    skin = Part("door skin", "siding", 80 * INCH, 47 * INCH)
    bare = Problem((SIDING,), surfaces=(wall("W", 144, 90, (door,)),))
    plan = plan_of(replace(bare, parts=(skin,)))

    assert not any(step.label == "door skin" for cut in plan.cut for step in cut.shaping)


def test_a_surface_that_no_sheet_reaches_across_is_refused_by_name():
    """Studs 60 in apart leave no legal strip of 48 in sheets."""
    with pytest.raises(NoPlan, match="W: no sheet is wide enough"):
        cheapest_plan(Problem((SIDING,), surfaces=(wall("W", 180, 90, oc=60),)), Clock(5))


@st.composite
def planes(draw) -> Surface:
    """A trapezoid, leaning in or out at either end, on rafters 16 or 24 in apart."""
    eave, slope = draw(st.integers(60, 200)), draw(st.integers(30, 100))
    left, right = (draw(st.integers(-24, 48)) for _ in "ab")
    shift = max(0, -left)
    length = eave + shift + max(0, -right)
    corners = (
        (shift * INCH, 0),
        ((shift + eave) * INCH, 0),
        ((shift + eave - right) * INCH, slope * INCH),
        ((shift + left) * INCH, slope * INCH),
    )
    assume(eave - left - right > 10)
    return Surface(
        "P",
        "osb",
        length * INCH,
        slope * INCH,
        rafters(length, draw(st.sampled_from((16, 24)))),
        replace(RULE, min_supports=draw(st.sampled_from((2, 3))), shortest=12 * INCH),
        mark="P",
        outline=corners,
    )


@settings(max_examples=8)
@given(planes())
def test_a_leaning_plane_is_covered_to_its_outline(plane):
    """Whatever way its ends lean, its plan is sound and costs no less than its area."""
    try:
        plan = plan_of(Problem((PANEL,), surfaces=(plane,)), 4)
    except NoPlan:
        return
    (x0, _), (x1, _), (x2, top), (x3, _) = plane.outline
    area = ((x1 - x0) + (x2 - x3)) * top / 2

    # Gaps, and what may be left open at ends and top, take less than one part in twenty of a plane so large.
    assert plan.pieces * PANEL.length * PANEL.width > area * 0.9


@settings(max_examples=5)
@given(planes(), st.integers(1, 8))
def test_a_wider_kerf_never_costs_less(plane, eighths):
    """The same plane, the saw thicker: no fewer sheets."""
    problem = Problem((PANEL,), surfaces=(plane,), saw=Saw(sheet=0))
    try:
        thin = plan_of(problem, 4)
        thick = plan_of(replace(problem, saw=Saw(sheet=eighths * INCH // 8)), 4)
    except NoPlan:
        return
    assume(thin.proved and thick.proved)

    assert thin.total <= thick.total


@settings(max_examples=8)
@given(roofs(longest=16, halves=(1,)))
def test_two_exact_models_agree_on_rectangles(problem):
    """The same rectangle, once plain and once by its corners, with no slack anywhere: the same cost."""
    (plain,) = problem.surfaces
    tight = replace(plain, rule=replace(plain.rule, end_slack=0, top_slack=0, blocked_below=0))
    length, height = tight.length, tight.height
    outlined = replace(tight, outline=((0, 0), (length, 0), (length, height), (0, height)))
    asked = replace(problem, parts=(), runs=(), counts=(), spare=())
    try:
        one = plan_of(replace(asked, surfaces=(tight,)), 6)
        other = plan_of(replace(asked, surfaces=(outlined,)), 6)
    except NoPlan:
        return
    assume(one.proved and other.proved)

    assert one.total == other.total


def test_a_roof_and_walls_of_one_panel_never_cost_more_together():
    """One sheathing for both: at most what each takes by itself, and the plan is sound."""
    walls = tuple(replace(wall(m, 100, 90), material="osb") for m in "GH")
    panel = replace(PANEL, length=96 * INCH, width=48 * INCH)
    supports = tuple(Support(at * INCH) for at in range(0, 121, 24))
    deck = Surface("roof", "osb", 120 * INCH, 72 * INCH, supports, replace(RULE, gap=0), mark="R")
    together = plan_of(Problem((panel,), surfaces=(deck, *walls)))
    roof = plan_of(Problem((panel,), surfaces=(deck,)))
    faces = plan_of(Problem((panel,), surfaces=walls))

    assert together.total <= roof.total + faces.total
    assert together.total >= max(roof.total, faces.total)
