"""Soffits in strips or boards, their lookouts, and the air that their vents let in."""

from __future__ import annotations

from decimal import Decimal
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
from optimizer.words import Problem
from takeoff import take_off
from takeoff.book import Book, Item
from takeoff.building import building_of
from takeoff.needs import Needed
from takeoff.sizes import standard_book
from takeoff.soffit import soffit_intake, soffit_needs

BOOK = standard_book()


def soffit(table: dict[str, Any] | None = None, book: Book = BOOK, **keys: Any) -> Needed:
    """Take off the soffits of 16 x 10 ft at 6 in 12 with 12 in of eave and no rake."""
    job = job_of(soffit=table or {}, **keys)
    return soffit_needs(job, building_of(job, book), book)


def intake(table: dict[str, Any], book: Book = BOOK, **keys: Any) -> Decimal | None:
    job = job_of(soffit=table, **keys)
    return soffit_intake(job, building_of(job, book), book)


def test_without_a_table_there_is_no_soffit():
    """A job that names none asks for none, and has no intake."""
    job = job_of()

    assert soffit_needs(job, building_of(job, BOOK), BOOK) == Needed()
    assert soffit_intake(job, building_of(job, BOOK), BOOK) is None


def test_a_sloped_soffit_is_as_deep_as_the_tails_are_long():
    """12 in level is 12 x slope factor under the tails; level on lookouts it is 12 in."""
    sloped, level = soffit(), soffit({"how": "level"})

    assert [s.height / INCH for s in sloped.surfaces] == pytest.approx([12 * sqrt(1.25)] * 2, abs=1e-3)
    assert {s.height for s in level.surfaces} == {inches("12")}
    assert {s.length for s in sloped.surfaces} == {inches("192")}
    assert [s.label for s in sloped.surfaces] == ["door side eave soffit", "far side eave soffit"]


def test_a_fascia_takes_its_thickness_off_the_depth():
    """The soffit reaches to the fascia's back."""
    assert {s.height for s in soffit({"how": "level"}, fascia={}).surfaces} == {inches("11-1/4")}


def test_joints_lie_on_tails():
    """Seams of an eave soffit are the rafters' lines, never its ends."""
    surface = soffit().surfaces[0]

    assert [support.at / INCH for support in surface.supports if support.seam][1:-1] == [
        24 * bay for bay in range(1, 8)
    ]
    assert not surface.supports[0].seam
    assert not surface.supports[-1].seam


def test_overhanging_rakes_have_soffits_too():
    """Four of them, as deep as the rake overhangs; none where the job says so or nothing overhangs."""
    rakes = [s for s in soffit(rake_overhang="12 in").surfaces if "rake" in s.label]

    assert len(rakes) == 4
    assert {s.height for s in rakes} == {inches("12")}
    assert not [s for s in soffit({"rakes": False}, rake_overhang="12 in").surfaces if "rake" in s.label]
    assert levels(soffit(eave_overhang="0 in"), "soffit") == ["warn"]


def test_a_level_soffit_has_lookouts_and_ledgers():
    """A ledger along each wall, a lookout from it to every tail: 12 in less 1-1/2 in."""
    found = soffit({"how": "level"})
    (lookout,) = found.parts

    assert (lookout.count, lookout.length) == (18, inches("10-1/2"))
    assert [run.length for run in found.runs] == [inches("192"), inches("192")]
    assert soffit({"how": "level", "lookout": False}).parts == ()


def test_boards_lie_side_by_side():
    """13.4 in of depth takes three 1x6 boards a side, jointed on tails only where none is long enough."""
    found = soffit({"material": "1x6"})

    assert found.surfaces == ()
    assert len(found.runs) == 6
    assert {run.seams for run in found.runs} == {()}
    assert all(run.seams for run in soffit({"material": "1x6"}, length="40 ft").runs)


def test_a_soffit_is_no_nail():
    """What is neither sheet nor board is refused."""
    with pytest.raises(InputError, match=r"soffit\.material"):
        soffit({"material": "drip-edge"})


def test_vents_by_number():
    """16 ft at 4 ft apart: four on each side; 26 sq in each make 208."""
    found = soffit({"vent": "soffit-vent"})

    assert {c.label: c.quantity for c in found.counts}["soffit vents"] == 8
    assert intake({"vent": "soffit-vent"}) == 208
    assert intake({"vent": "soffit-vent", "vent_area": 20}) == 160
    assert intake({}) is None


def test_vents_by_length():
    """A vent sold in lengths runs along each wall, its area counted by the foot."""
    book = Book((*BOOK.items, Item("strip-vent", "8 ft", "stick", 96 * INCH)))
    found = soffit({"vent": "strip-vent", "vent_area": 9}, book)

    assert [run.length for run in found.runs] == [inches("192")] * 2
    assert intake({"vent": "strip-vent", "vent_area": 9}, book) == 9 * 32


@pytest.mark.parametrize(("area", "level"), [(26, "pass"), (4, "warn")])
def test_intake_is_held_against_the_low_half(area, level):
    """160 sq ft of plan: half of 1/300 is 38.4 sq in; 208 is enough, 32 is not."""
    # IRC R806.2 (2012): 1/300 where 40 to 50 % of it is high and the balance low.
    assert levels(soffit({"vent": "soffit-vent", "vent_area": area}), "soffit vents") == [level]


def test_no_vents_are_a_note():
    """An open shed needs none, so none is only told."""
    assert levels(soffit(), "soffit vents") == ["note"]


@given(st.integers(8, 40), st.sampled_from([12, 16, 24]), st.sampled_from(["sloped", "level"]))
def test_soffits_plan_and_pass_their_audit(feet, over, how):
    """Strips from sheets, joints on tails, whatever the length and the overhang."""
    keys = {"length": f"{feet} ft", "eave_overhang": f"{over} in", "rake_overhang": "12 in"}
    found = soffit({"how": how}, **keys, ridge_along="length")
    stocks = tuple(item.stock() for item in BOOK.items if item.material == "soffit-panel")
    plan = cheapest_plan(Problem(stocks, found.surfaces), Clock(15), ties=False)
    sheets = sum(line.count for line in plan.buy)

    assert sheets * 32 * 144 * INCH**2 >= sum((s.length - INCH) * (s.height - INCH) for s in found.surfaces)


def test_every_surface_has_a_view():
    """The drawing of each strip says from where it is seen."""
    found = soffit(rake_overhang="12 in")

    assert [view.surface for view in found.views] == [surface.label for surface in found.surfaces]


def test_the_ridge_vents_check_knows_the_soffits_vents():
    """Without an intake of its own the ridge vent is held against the soffit's vents; a typed one wins."""
    keys = {"ridge_slot": {}, "ridge_vent": {"ceiling": True}, "soffit": {"vent": "soffit-vent"}}
    found = take_off(job_of(**keys), BOOK)
    typed = take_off(job_of(**{**keys, "ridge_vent": {"ceiling": True, "intake": 1}}), BOOK)

    def told(takeoff):
        return next(check.message for check in takeoff.checks if check.rule == "soffit intake")

    # Eight vents of 26 sq in.
    assert "intake 208" in told(found)
    assert "intake 1" in told(typed)


def test_blocks_stand_where_the_joints_of_a_rake_soffit_lie():
    """2 ft apart up each of four rakes, from the gable wall to the barge rafter; lookouts replace them."""
    found = soffit(rake_overhang="12 in")
    rakes = [s for s in found.surfaces if "rake" in s.label]
    (blocks,) = (part for part in found.parts if part.label == "rake soffit block")

    assert blocks.count == sum(len(s.supports) - 2 for s in rakes)
    assert blocks.length == rakes[0].height - inches("1-1/2")
    assert [c.quantity for c in found.counts if c.label == "toe nails of the soffit's framing"] == [
        -(-blocks.count * 4 * 6 // 5)
    ]
    for keys in ({"lookouts": True}, {"rake_overhang": "0 in"}):
        assert not soffit(**{"rake_overhang": "12 in", **keys}).parts
    for table in ({"lookout": False}, {"rakes": False}):
        assert not soffit(table, rake_overhang="12 in").parts
