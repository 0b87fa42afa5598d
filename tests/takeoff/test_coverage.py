"""Paint, sealant, adhesive and tape, held against published rates."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from math import pi
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_jobs import job_of

from optimizer.errors import InputError
from optimizer.lengths import INCH
from takeoff import Takeoff, take_off
from takeoff.building import building_of
from takeoff.coverage import adhesive_tubes, bead_feet, paint_quarts, tube_volume
from takeoff.floor import floor_of
from takeoff.frame_job import AdhesiveTable
from takeoff.sizes import standard_book

BOOK = standard_book()


def counted(**keys: Any) -> dict[str, int]:
    return {count.label: count.quantity for count in taken(**keys).counts}


def taken(**keys: Any) -> Takeoff:
    return take_off(job_of(**keys), BOOK)


# A supplier's page citing a maker's table: feet of a tube are 18 / (bead area x 12); for a round bead the
# 18.3 cubic inches of its 10.1 oz tube.
@pytest.mark.parametrize(("sixteenths", "feet"), [(2, "96"), (3, "42.7"), (4, "24"), (6, "10.7"), (8, "6")])
def test_square_joints_from_a_tube(sixteenths, feet):
    """The published feet of a square joint."""
    found = bead_feet(Fraction(18), Fraction(sixteenths, 16), "square")

    assert round(float(found), 1) == float(feet)


@pytest.mark.parametrize(("sixteenths", "feet"), [(2, 124), (3, 55), (4, 31), (6, 13.8)])
def test_round_beads_from_a_tube(sixteenths, feet):
    """The published feet of a round bead."""
    found = bead_feet(Fraction(183, 10), Fraction(sixteenths, 16), "round")

    assert float(found) == pytest.approx(feet, rel=0.01)


def test_volumes_of_tubes():
    """231 cubic inches in a gallon of 128 ounces: 10.1 oz is 18.2 cubic inches, 28 oz 50.5."""
    # The same page prints 18.3 for 10.1 oz, 48.7 for 27 oz and 54.1 for 30 oz.
    assert float(tube_volume(Decimal("10.1"))) == pytest.approx(18.3, abs=0.1)
    assert float(tube_volume(Decimal(27))) == pytest.approx(48.7, abs=0.1)
    assert float(tube_volume(Decimal(30))) == pytest.approx(54.1, abs=0.1)


@given(st.integers(1, 200), st.integers(1, 16))
def test_a_round_bead_goes_farther(ounces, sixteenths):
    """A round bead takes pi / 4 of a square one of the same thickness."""
    volume, bead = tube_volume(Decimal(ounces)), Fraction(sixteenths, 16)

    assert float(bead_feet(volume, bead, "round")) == pytest.approx(
        float(bead_feet(volume, bead, "square")) * 4 / pi, rel=1e-6
    )


def test_sealant_by_hand():
    """A door 36 x 80 in takes 16.3 ft of the 24.3 ft in a tube, 1/4 in square; extra length adds up."""
    door = [{"width": "36 in", "height": "80 in"}]

    assert counted(sealant={}, door=door)["sealant"] == 1
    assert counted(sealant={"extra_length": "8 ft"}, door=door)["sealant"] == 2
    assert counted(sealant={"extra_length": "8 ft", "shape": "round"}, door=door)["sealant"] == 1
    assert "sealant" not in counted(sealant={})


def test_paint_by_hand():
    """350 sq ft to the gallon, 87.5 to the quart, rounded up; primer at its own rate."""
    assert paint_quarts(Fraction(88), 1, 350, 0) == 2
    found = counted(paint={"extra_area": 350, "waste_percent": 0})

    assert found["paint, quarts"] == 8
    assert found["primer, quarts"] == -(-350 * 4 // 250)
    assert "primer, quarts" not in counted(paint={"extra_area": 350, "primer": False})


def test_painted_faces_by_hand():
    """Two fascias of 16 ft, 1x6: a face of 5-1/2 in and two edges of 3/4 in make 7 in: 18-2/3 sq ft."""
    (note,) = (c.message for c in taken(fascia={}, paint={}).checks if c.rule == "paint")

    assert note.startswith("19 sq ft (1x6 19)")


def test_the_frame_is_not_painted():
    """Studs of the same lumber as a window's sill, and collar ties of the fascia's, are behind the skin."""
    keys = {"fascia": {}, "paint": {}, "window": [{"width": "24 in", "height": "36 in"}]}
    framing = {"rafter": "2x6", "stud": "2x4", "collar_tie": "1x6"}

    assert counted(**keys, framing=framing)["paint, quarts"] == counted(**keys)["paint, quarts"]


def test_a_deck_of_the_soffits_material_is_not_painted():
    """Where soffits are cut from the deck's panels only the soffits are painted."""
    alone = counted(paint={}, soffit={"material": "soffit-panel"})
    shared = counted(paint={}, soffit={"material": "osb-7/16"})

    assert shared["paint, quarts"] == alone["paint, quarts"]


def test_what_is_painted_may_be_said():
    """Only the materials named; one that nothing is made of is refused with its place."""
    assert counted(fascia={}, rake_board={"material": "1x8"}, paint={"materials": ["1x8"]})
    with pytest.raises(InputError, match=r"paint\.materials\[1\]"):
        counted(paint={"materials": ["1x12"]})


@given(st.integers(0, 5000), st.integers(0, 5000), st.integers(1, 4), st.integers(100, 500))
def test_more_area_takes_no_less_paint(first, second, coats, rate):
    """Paint grows with the area, and is always enough for it."""
    less, more = sorted((first, second))

    assert paint_quarts(Fraction(less), coats, rate, 10) <= paint_quarts(Fraction(more), coats, rate, 10)
    assert paint_quarts(Fraction(more), coats, rate, 0) * rate >= 4 * more * coats


def tubes(**keys: Any) -> Fraction:
    job = job_of(floor=keys.pop("floor", {}), adhesive=keys.pop("adhesive", {}), **keys)
    floor = floor_of(job, building_of(job, BOOK), BOOK)
    assert floor is not None
    assert job.adhesive is not None
    return adhesive_tubes(floor, job.adhesive)


def test_adhesive_is_no_less_than_the_published_rule():
    """Three quarters of a 10-1/2 oz tube for each 4 x 8 ft over joists 16 in apart."""
    # Trade journal, page seen (secondary). 16 x 12 ft are six panels: 4-1/2 tubes.
    found = tubes(length="16 ft", width="12 ft", adhesive={"tube": 10.5})

    assert found >= Fraction(9, 2)
    assert found <= Fraction(9, 2) * 2


def test_adhesive_follows_bead_and_joists():
    """A thicker bead and closer joists take more, a larger tube fewer."""
    usual = tubes()

    assert tubes(adhesive={"bead": "3/8 in"}) > usual
    assert tubes(floor={"joist_spacing": "12 in"}) > usual
    assert tubes(adhesive={"tube": 10}) > usual
    assert AdhesiveTable.model_validate({}).bead == INCH * 3 // 16


def test_adhesive_without_a_floor_is_told():
    """Nothing to glue is a warning, not a silent zero; other beads may be given."""
    found = taken(adhesive={})

    assert [check.level for check in found.checks if check.rule == "adhesive"] == ["warn"]
    assert not [count for count in found.counts if count.material == "adhesive"]
    assert counted(adhesive={"extra_length": "100 ft"})["construction adhesive"] >= 1


def test_tape_covers_every_joint_a_lay_out_may_have():
    """At least the ridge and the level joints of both halves, by the foot."""
    # 16 ft of ridge; slope 80-1/2 in is two courses, so one level joint a half.
    assert counted(sealant={"deck_tape": "deck-tape"})["deck tape, feet"] >= 3 * 16


def test_quarts_are_bought_as_gallons_where_the_book_has_them():
    """A gallon in the book is a pack of four quarts."""
    assert {item.pack for item in BOOK.sizes("paint")} == {1, 4}


def test_tape_round_openings_by_hand():
    """
    A window of 24 x 36 in and a door of 36 x 80 in, 6 in past each corner.

    Window: 2 x (24 + 12) + 2 x (36 + 6) = 156 in; door: 36 + 12 + 2 x (80 + 6) = 220 in; 376 in are 31.3 ft.
    """
    window, door = {"width": "24 in", "height": "36 in"}, {"width": "36 in", "height": "80 in"}
    taped = {"opening_tape": "flashing-tape"}

    assert counted(sealant=taped, window=[window], door=[door])["opening tape, feet"] == 32
    assert "opening tape, feet" not in counted(sealant={}, window=[window])
