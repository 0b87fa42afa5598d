"""The frame of a roof as parts: counts, lengths, cuts, and what is refused."""

from __future__ import annotations

from itertools import pairwise
from math import sqrt
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_jobs import inches, job_of, levels

from optimizer.engine import Clock
from optimizer.errors import InputError
from optimizer.lengths import INCH
from optimizer.solve import cheapest_plan
from optimizer.words import Problem, Stock
from takeoff import take_off
from takeoff.building import building_of
from takeoff.counted import spaced
from takeoff.framing import roof_frame_needs
from takeoff.needs import Needed
from takeoff.sizes import standard_book

BOOK = standard_book()
FRAME = {"rafter": "2x6", "ridge": "2x8"}


def frame(framing: dict[str, Any] | None = None, **keys: Any) -> Needed:
    """Take off the frame over 16 x 10 ft at 6 in 12 with 12 in of eave: half span 60, rafters 24 in apart."""
    job = job_of(framing={**FRAME, **(framing or {})}, **keys)
    return roof_frame_needs(job, building_of(job, BOOK), BOOK)


def part(found: Needed, label: str):
    (one,) = (part for part in found.parts if part.label == label)
    return one


def test_without_a_table_nothing_is_framed():
    """A job that names no frame asks for none of it, and says nothing about it."""
    job = job_of()

    assert roof_frame_needs(job, building_of(job, BOOK), BOOK) == Needed()


def test_common_rafters_by_hand():
    """(60 + 12) x slope factor, less 3/4 in of ridge, and the plumb cuts' reach of 5-1/2 x 1/2 in."""
    rafter = part(frame(), "common rafter")
    factor = sqrt(1.25)

    # Nine rafter lines on 16 ft, a pair on each.
    assert rafter.count == 18
    assert rafter.length / INCH == pytest.approx((72 - 0.75) * factor + 2.75, abs=1e-3)
    assert rafter.slant == inches("2-3/4")


def test_no_ridge_board_no_shortening():
    """Without a ridge board the rafters meet in the middle, and no run is listed."""
    found = frame({"ridge": False})

    assert part(found, "common rafter").length / INCH == pytest.approx(72 * sqrt(1.25) + 2.75, abs=1e-3)
    assert found.runs == ()


def test_square_tails_do_not_nest():
    """A square tail ends with the top edge: the piece is shorter by the slant, and nests with no other."""
    square = part(frame(tails="square"), "common rafter")

    assert square.slant == 0
    assert square.length / INCH == pytest.approx((72 - 0.75) * sqrt(1.25), abs=1e-3)


def test_a_fascia_shortens_the_tail():
    """The overhang is measured to the fascia's face: its 3/4 in is no rafter's."""
    plain, boarded = part(frame(), "common rafter"), part(frame(fascia={}), "common rafter")

    assert (plain.length - boarded.length) / INCH == pytest.approx(0.75 * sqrt(1.25), abs=1e-3)


def test_where_the_deck_ends_changes_no_rafter():
    """A deck that covers the fascia lies on the same rafters."""
    covered, plain = frame(fascia={}, deck_to="fascia"), frame(fascia={})

    assert abs(part(covered, "common rafter").length - part(plain, "common rafter").length) <= 16


def test_barge_rafters_may_be_of_other_lumber():
    """An overhanging rake has four barge rafters, of the rafters' lumber or their own, with its own slant."""
    alike, own = frame(rake_overhang="12 in"), frame({"barge": "2x4"}, rake_overhang="12 in")

    assert part(alike, "barge rafter").count == 4
    assert part(alike, "barge rafter").length == part(alike, "common rafter").length
    assert part(own, "barge rafter").material == "2x4"
    assert part(own, "barge rafter").slant == inches("1-3/4")
    assert not [p for p in frame({"barge": False}, rake_overhang="12 in").parts if "barge" in p.label]


def test_the_ridge_runs_out_to_the_barge_rafters():
    """In one piece where a board is long enough, else jointed on rafters."""
    (short,) = frame(rake_overhang="12 in").runs
    (long,) = frame(length="40 ft").runs

    assert (short.length, short.seams) == (inches("216"), ())
    assert long.length == inches("480")
    assert long.seams
    assert all(0 < seam < long.length for seam in long.seams)


def test_single_slope_rafters_reach_over_both_walls():
    """(120 + 12 + 12) x slope factor and the plumb cuts' reach; two birdsmouths; no warning of thrust."""
    found = frame(roof="single-slope")
    (member,) = (m for m in found.members if m.label == "common rafter")

    assert part(found, "common rafter").length / INCH == pytest.approx(144 * sqrt(1.25) + 2.75, abs=1e-3)
    assert member.ends.endswith("two birdsmouths")
    assert levels(found, "rafter ties") == []


def test_joists_stand_beside_the_rafters():
    """One beside each pair, from outside to outside; where no board is long enough two lap at mid-span."""
    whole = frame({"joist": "2x6"})
    lapped = frame({"joist": "2x6", "joist_lap": "12 in"}, width="24 ft", length="32 ft")

    assert (part(whole, "ceiling joist").count, part(whole, "ceiling joist").length) == (9, inches("120"))
    assert (part(lapped, "ceiling joist").count, part(lapped, "ceiling joist").length) == (34, inches("150"))


def test_collar_ties_lie_a_third_of_the_rise_down():
    """Rise 30 in, lower edge 10 in down: 2 x 10 / pitch = 40 in; on every second pair of nine, ends too."""
    tie = part(frame({"collar_tie": "1x6"}), "collar tie")

    assert (tie.length, tie.count) == (inches("40"), 5)


@given(st.sampled_from(["24 in", "16 in", "12 in"]), st.sampled_from(["24 in", "32 in", "48 in", "60 in"]))
def test_collar_ties_are_never_too_far_apart(rafters, spacing):
    """However rafters and ties are spaced, the ties' number leaves no gap over the spacing."""
    found = frame({"collar_tie": "1x6", "collar_spacing": spacing}, rafter_spacing=rafters)
    gap, bay = inches(spacing.removesuffix(" in")), inches(rafters.removesuffix(" in"))
    lines = part(found, "common rafter").count // 2

    assert (part(found, "collar tie").count - 1) * max(gap // bay, 1) >= lines - 1


def test_lookouts_reach_from_the_second_rafter_to_the_barge():
    """24 in bay less half a rafter, plus the overhang less a whole one: 24 - 3/4 + 12 - 1-1/2 in."""
    lookout = part(frame(rake_overhang="12 in", lookouts=True), "lookout")

    assert lookout.length == inches("33-3/4")


def test_hip_roofs_have_hips_and_pairs_of_jacks():
    """Four hips; jacks in lengths that differ by spacing x slope factor, each length in eights."""
    found = frame(roof="hip")
    jacks = [p for p in found.parts if p.label.startswith("hip jack")]

    assert part(found, "hip rafter").count == 4
    assert [p.count for p in jacks] == [8] * len(jacks)
    steps = {(a.length - b.length) / INCH for a, b in pairwise(jacks)}
    assert steps
    assert all(step == pytest.approx(24 * sqrt(1.25), abs=1e-3) for step in steps)


def test_an_l_has_a_valley_and_its_jacks():
    """The inner corner of an L has one valley rafter, and jacks that end on it."""
    found = frame(roof="L", wing={"length": "8 ft", "width": "8 ft"})

    assert [p.count for p in found.parts if p.label.startswith("valley rafter")] == [1]
    assert any(p.label.startswith("valley jack") for p in found.parts)


def test_a_gambrel_has_two_lengths_of_rafters():
    """Lower rafters end at the break and stand on the walls; upper ones have no birdsmouth."""
    found = frame(roof="gambrel", pitch=20, gambrel={"upper_pitch": 6, "break_at": "18 in"})
    ends = {member.label: member.ends for member in found.members if "common" in member.label}

    assert sorted("birdsmouth" in text for text in ends.values()) == [False, True]


def test_a_seat_may_not_cut_a_rafter_through():
    """A seat as wide as that is refused, with the key that asks for it."""
    with pytest.raises(InputError, match=r"framing\.seat"):
        frame({"rafter": "2x4", "seat": "9 in"}, pitch=12)


@pytest.mark.parametrize(
    ("framing", "keys", "rule", "level"),
    [
        ({}, {}, "birdsmouth", "pass"),
        ({"rafter": "2x4", "seat": "5-1/2 in"}, {}, "birdsmouth", "warn"),
        ({}, {}, "ridge board", "pass"),
        ({"ridge": "2x6"}, {}, "ridge board", "warn"),
        ({}, {"pitch": 2}, "ridge board", "warn"),
        ({}, {}, "rafter ties", "warn"),
        ({}, {}, "collar ties", "note"),
        ({"collar_tie": "1x6"}, {}, "collar ties", "pass"),
        ({"collar_tie": "1x6", "collar_down": "24 in"}, {}, "collar ties", "warn"),
        ({"collar_tie": "1x6", "collar_spacing": "60 in"}, {}, "collar ties", "warn"),
        ({}, {}, "sizes of the frame", "note"),
        ({}, {}, "rafter length", "note"),
    ],
)
def test_what_is_checked_on_a_roof_frame(framing, keys, rule, level):
    """Every rule of the frame at the level it has for this roof."""
    assert level in levels(frame(framing, **keys), rule)


def test_joists_lift_the_warning_of_thrust():
    """With ceiling joists nothing is said about walls that spread."""
    assert levels(frame({"joist": "2x6"}), "rafter ties") == []


def test_every_member_is_a_part_and_every_check_has_a_source():
    """The list for the helper at the saw says what is cut, no more and no less."""
    found = frame({"joist": "2x6", "collar_tie": "1x6"}, rake_overhang="12 in", lookouts=True)

    assert [(p.label, p.count, p.length) for p in found.parts] == [
        (m.label, m.count, m.length) for m in found.members
    ]
    assert all(check.source and check.message for check in found.checks)


@given(st.integers(8, 30), st.integers(2, 14))
def test_rafters_grow_with_the_span(feet, rise):
    """A wider building never has a shorter rafter."""
    narrow = frame(width=f"{feet} ft", length="32 ft", pitch=rise)
    wide = frame(width=f"{feet + 1} ft", length="32 ft", pitch=rise)

    assert part(narrow, "common rafter").length < part(wide, "common rafter").length


@given(st.integers(0, 4000), st.integers(1, 700))
def test_spaced_leaves_no_gap(length, spacing):
    """So many things, first and last at the ends, stand no farther apart than asked; one fewer would."""
    number = spaced(length, spacing)

    assert (number - 1) * spacing >= length
    assert number == 1 or (number - 2) * spacing < length


@given(st.sampled_from([8, 10, 12]), st.sampled_from([3, 6, 9]))
def test_what_is_cut_is_bought(feet, rise):
    """The frame's lumber plans and passes its audit; no less is bought than is cut."""
    found = frame({"joist": "2x6"}, width=f"{feet} ft", pitch=rise)
    stocks = tuple(
        Stock(f"{m} {n}", m, "board", n * 12 * INCH, BOOK.sizes(m)[0].width, price)
        for m in ("2x6", "2x8")
        for n, price in ((8, 500), (12, 740), (16, 1010))
    )
    plan = cheapest_plan(Problem(stocks, (), found.runs, found.parts), Clock(20))
    lengths = {stock.key: stock.length for stock in stocks}
    bought = sum(lengths[line.stock] * line.count for line in plan.buy)
    cut = sum((p.length - p.slant) * p.count for p in found.parts) + sum(run.length for run in found.runs)

    assert cut <= bought


def test_the_frame_is_listed_as_it_goes_up():
    """Floor joists before studs, studs before ceiling joists, those before rafters and collar ties."""
    framing = {**FRAME, "joist": "2x6", "stud": "2x4", "collar_tie": "1x6"}
    found = take_off(job_of(framing=framing, floor={"joist": "2x8"}, soffit={"how": "level"}), BOOK)
    order = [member.label for member in found.members]
    wanted = ["floor joist", "stud", "ceiling joist", "common rafter", "collar tie", "soffit lookout"]

    assert [label for label in order if label in wanted] == wanted


@pytest.mark.parametrize("end", ["left", "right"])
def test_both_parts_of_an_l_have_ceiling_joists(end):
    """24 x 12 ft, a wing of 10 x 10 ft, rafters 24 in apart: 13 across the main part, 5 across the wing."""
    wing = {"length": "10 ft", "width": "10 ft", "end": end}
    found = frame({"joist": "2x6"}, roof="L", length="24 ft", width="12 ft", wing=wing)
    joists = {p.length // INCH: p.count for p in found.parts if p.label.startswith("ceiling joist")}

    assert joists == {144: 13, 120: 5}
    assert levels(found, "ceiling joists") == ["note"]


@pytest.mark.parametrize("roof", ["hip", "gambrel"])
def test_collar_ties_that_are_not_listed_are_told(roof):
    """A roof that gets none of the ties it names is no pass."""
    broken = {"upper_pitch": 4, "break_at": "2 ft"} if roof == "gambrel" else None
    found = frame({"collar_tie": "1x6"}, roof=roof, gambrel=broken)

    assert not [p for p in found.parts if p.label.startswith("collar tie")]
    assert levels(found, "collar ties") == ["warn"]
