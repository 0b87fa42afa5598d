"""Ridge vent and caps: lengths, net free area, caps from strips, and published counts."""

from __future__ import annotations

from fractions import Fraction

import pytest
from small_jobs import job_of

from optimizer.engine import Clock
from optimizer.errors import InputError
from optimizer.lengths import FOOT, INCH
from optimizer.solve import cheapest_plan
from optimizer.words import Problem
from takeoff.building import building_of
from takeoff.collect import take_off
from takeoff.ridge import caps_for, ridge_needs
from takeoff.sizes import standard_book


def needs(**keys):
    """Take off the ridge of a gable roof 16 x 10 ft: 192 in."""
    job = job_of(**keys)
    return ridge_needs(job, building_of(job, standard_book()), standard_book())


def told(found, rule):
    return [(c.level, c.message) for c in found.checks if c.rule == rule]


@pytest.mark.parametrize(("feet", "intake", "level"), [(16, 288, "pass"), (15, 270, "warn")])
def test_vent_length_of_a_makers_sheet(feet, intake, level):
    """A vent of 18 sq in a foot over 1,200 sq ft at 1/300, half of it high: 16 ft are enough, 15 are not."""
    # One maker's vent sheet gives the formula 1/2 x (attic / 300) x 144 / 18.
    slot = {"stop_short": f"{20 - feet / 2} ft"}
    vent = {"ceiling": True, "net_free_area": 18, "intake": intake}
    found = needs(length="40 ft", width="30 ft", rake_overhang="0 in", ridge_slot=slot, ridge_vent=vent)

    assert told(found, "ventilation ratio")[0][0] == level


def test_a_bundle_of_27_strips_caps_33_and_three_quarter_feet():
    """81 caps at 5 in, three from a strip; often quoted as about 35 ft."""
    # A roofer's page quotes 35 ft (secondary); the sum is 33.75.
    assert caps_for(33 * FOOT + 9 * INCH, 5 * INCH) == 81 + 1


def test_a_bundle_of_45_caps_covers_25_feet():
    """Purpose-made caps at 6-2/3 in."""
    # A product page: 45 pieces for 25 ft (secondary).
    assert caps_for(25 * FOOT, INCH * 20 // 3 + 1) == 45 + 1


def test_the_vent_runs_the_whole_ridge_and_the_slot_does_not():
    """192 in of vent; the slot stops 12 in short of each end."""
    found = needs(ridge_slot={}, ridge_vent={})

    assert [(run.label, run.length / INCH) for run in found.runs] == [("ridge vent", 192)]
    assert "stops 12 in short of each end" in told(found, "ridge vent")[0][1]


def test_a_vent_needs_a_slot():
    """Without an opening it vents nothing."""
    with pytest.raises(InputError, match="ridge_slot"):
        needs(ridge_vent={})


def test_without_a_ceiling_no_ratio_is_asked_for():
    """An open shed has no enclosed space under its roof."""
    assert told(needs(ridge_slot={}, ridge_vent={}), "ventilation ratio")[0][0] == "note"


@pytest.mark.parametrize(
    ("intake", "ratio", "soffit"),
    [
        # 160 sq ft ask for 153.6 sq in at 1/150 and 76.8 at 1/300; 14 ft of open vent give 252.
        (None, "warn", None),
        (300, "pass", "pass"),
        (100, "pass", "warn"),
        (0, "pass", "warn"),
    ],
)
def test_net_free_area_against_the_ratios(intake, ratio, soffit):
    """Vent and soffit together against the area; intake must not be less than exhaust."""
    vent = {"ceiling": True} | ({} if intake is None else {"intake": intake})
    found = needs(ridge_slot={}, ridge_vent=vent)

    assert told(found, "ventilation ratio")[0][0] == ratio
    assert [level for level, _ in told(found, "soffit intake")] == ([soffit] if soffit else [])
    assert "153.6 sq in at 1/150, 76.8 at 1/300; the vent gives 252" in told(found, "ventilation ratio")[0][1]


def test_too_little_net_free_area_is_told():
    """A vent of 2 sq in a foot gives 28, and 28 in the soffit: 56 in all, half of it high, of 76.8."""
    vent = {"ceiling": True, "net_free_area": 2, "intake": 28}
    found = needs(ridge_slot={}, ridge_vent=vent)

    ((level, message),) = told(found, "ventilation ratio")
    assert level == "warn"
    assert "1/300 holds: 20.8 sq in are missing" in message


def test_caps_from_strips():
    """192-1/2 in at 5 in: 39 and one to finish, each a third of a strip; two nails in each."""
    found = needs(shingles={}, ridge_cap={})

    ((label, material, length, count),) = [(p.label, p.material, p.length, p.count) for p in found.parts]
    assert (label, material, length / INCH, count) == ("ridge cap", "shingle", 12, 40)
    assert [(c.label, c.quantity) for c in found.counts] == [("ridge cap nails", 80)]


def test_caps_from_a_bundle():
    """Cap stock is counted."""
    found = needs(shingles={}, ridge_cap={"material": "ridge-cap"})

    assert [(c.label, c.quantity) for c in found.counts] == [("ridge caps", 40), ("ridge cap nails", 80)]


def test_laminated_shingles_must_buy_caps():
    """There are no tabs to cut."""
    laminated = {"material": "laminated-shingle", "kind": "laminated"}
    with pytest.raises(InputError, match="no tabs"):
        needs(shingles=laminated, ridge_cap={})
    assert needs(shingles=laminated, ridge_cap={"material": "ridge-cap"}).counts


@pytest.mark.parametrize(
    ("keys", "said"),
    [
        ({"roof": "single-slope", "shingles": {}, "ridge_cap": {}}, "neither ridge nor hip"),
        ({"ridge_cap": {}}, "exposure is not known"),
        ({"ridge_cap": {"exposure": "5 in"}}, "cut from shingles"),
        ({"shingles": {}, "ridge_cap": {"material": "felt-15"}}, "sold by number"),
    ],
)
def test_caps_that_can_not_be(keys, said):
    """No ridge, no shingles, no cap stock."""
    with pytest.raises(InputError, match=said):
        needs(**keys)


def test_caps_lie_at_the_cut_outs():
    """Caps come first on every strip, so that each is a whole tab; the far end serves the rakes."""
    book = standard_book()
    job = job_of(pitch=8, rake_overhang="12 in", rake_board={}, shingles={}, ridge_cap={}, starter={})
    found = take_off(job, book)
    strips = tuple(run for run in found.runs if run.material == "shingle")
    caps = tuple(part for part in found.parts if part.material == "shingle")
    plan = cheapest_plan(Problem(book.stocks(), runs=strips, parts=caps), Clock(20))

    places = [piece.x for cut in plan.cut for piece in cut.pieces if piece.label == "ridge cap"]
    assert places
    assert all(Fraction(place, 12 * INCH).denominator == 1 for place in places)


def test_nails_over_a_vent_are_longer():
    """2 in reach through 5/8 in of vent, two caps of 1/8 in and 7/16 in of deck; 1-1/4 in do not."""
    keys = {"ridge_slot": {}, "ridge_vent": {}, "shingles": {}}
    short = {"nail": {"material": "ridge-nail", "length": "1-1/4 in"}}

    assert told(needs(ridge_cap={}, **keys), "ridge cap nail")[0][0] == "pass"
    assert told(needs(ridge_cap=short, **keys), "ridge cap nail")[0][0] == "warn"
