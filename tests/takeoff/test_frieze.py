"""The frieze: level boards along the eaves, sloping ones up the gables."""

from __future__ import annotations

from math import sqrt

import pytest
from small_jobs import inches, job_of

from optimizer.lengths import INCH
from takeoff.building import building_of
from takeoff.frieze import frieze_needs
from takeoff.needs import Needed
from takeoff.sizes import standard_book

BOOK = standard_book()


def frieze(table=None, **keys):
    job = job_of(frieze={} if table is None else table, **keys)
    return frieze_needs(job, building_of(job, BOOK), BOOK)


def test_without_a_table_there_is_none():
    """A job that names no frieze asks for none."""
    job = job_of()

    assert frieze_needs(job, building_of(job, BOOK), BOOK) == Needed()


def test_boards_along_walls_and_up_gables():
    """192 in along each wall; 60 x slope factor and the plumb cuts' reach up each half of each gable."""
    found = frieze(rake_overhang="12 in")

    assert [run.length for run in found.runs] == [inches("192")] * 2
    assert [(p.label, p.count) for p in found.parts] == [
        ("door side rake frieze", 2),
        ("far side rake frieze", 2),
    ]
    assert [p.length / INCH for p in found.parts] == pytest.approx([60 * sqrt(1.25) + 2.75] * 2, abs=1e-3)
    assert {p.slant for p in found.parts} == {inches("2-3/4")}


def test_gables_may_go_without():
    """`rakes = false` leaves the gables out."""
    assert frieze({"rakes": False}).parts == ()


def test_long_friezes_are_jointed():
    """Where no board is long enough: level ones where the rafters are, sloping ones with a plumb lap."""
    found = frieze(length="50 ft", width="48 ft")
    level = [run for run in found.runs if "eave" in run.label]
    sloping = [run for run in found.runs if "rake" in run.label]

    assert all(run.seams for run in level)
    assert len(sloping) == 4
    assert {run.lap for run in sloping} == {inches("2-3/4")}


def test_nails_by_hand():
    """A pair every 16 in: 13 places and 4 for joints on each wall, 6 up each of four slopes, a fifth more."""
    (nails,) = frieze(rake_overhang="12 in").counts
    # 192 / 16 + 1 = 13, and 192 / 48 more for joints; 69.8 / 16 rounded up + 1 = 6.
    assert nails.quantity == -(-2 * (2 * (13 + 4) + 4 * 6) * 6 // 5)


def test_a_hip_has_no_gables_to_speak_of():
    """What is said of boards up the gables is said where there are any."""
    for roof, told in (("gable", True), ("hip", False)):
        (check,) = (check for check in frieze(roof=roof).checks if check.rule == "frieze")
        assert ("gables" in check.message) == told
