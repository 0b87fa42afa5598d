"""Pieces that outgrow every stock are found before anything is planned."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from small_jobs import job_of

from optimizer.errors import InputError
from optimizer.words import Part, Run
from takeoff.collect import take_off
from takeoff.fit import check_fit
from takeoff.sizes import standard_book

BOOK = standard_book()
SHELF = {"name": "shelf", "material": "1x8", "length": "4 ft"}
BACK = {"name": "back", "material": "plywood-15/32", "length": "4 ft", "width": "2 ft"}


def fitted(book=BOOK, **keys: Any) -> None:
    job = job_of(**keys)
    check_fit(job, book, take_off(job, book))


@pytest.mark.parametrize(
    ("part", "where", "says"),
    [
        # Boards come up to 20 ft.
        (
            SHELF | {"length": "21 ft"},
            "part[2].length",
            "'shelf' fits no 1x8: it is 12 in longer than 1x8 20 ft",
        ),
        # Not a sixteenth of an inch, but something.
        (SHELF | {"length": "240-1/32 in"}, "part[2].length", "it is 1/16 in longer than 1x8 20 ft"),
        # Sheets are 95-7/8 x 47-7/8 in.
        (BACK | {"length": "98 in"}, "part[2].length", "it is 2-1/8 in longer than plywood-15/32 4x8"),
        (BACK | {"width": "50 in"}, "part[2].width", "it is 2-1/8 in wider than plywood-15/32 4x8"),
        (
            BACK | {"length": "98 in", "width": "50 in"},
            "part[2].length",
            "it is 2-1/8 in longer and 2-1/8 in wider than plywood-15/32 4x8",
        ),
        # Turned, it is 80 in long, and 90 in is 42-1/8 in too wide; lying along, 80 in is 32-1/8 in too wide.
        (
            BACK | {"length": "90 in", "width": "80 in", "grain": "free"},
            "part[2].width",
            "it is 32-1/8 in wider",
        ),
    ],
)
def test_a_part_that_outgrows_every_stock_is_named(part, where, says):
    """The part, its key, by how much it is too large, and beside which size."""
    with pytest.raises(InputError) as caught:
        fitted(part=[SHELF | {"name": "other"}, part])

    assert caught.value.where == where
    assert says in caught.value.message


@pytest.mark.parametrize(
    "part",
    [
        SHELF | {"length": "20 ft"},
        SHELF | {"length": "50 ft", "jointed": True},
        BACK | {"length": "95-7/8 in", "width": "47-7/8 in"},
        BACK | {"length": "40 in", "width": "90 in", "grain": "free"},
    ],
)
def test_what_fits_is_let_through(part):
    """Exactly as large as the stock is not too large; jointed lengths and turned parts fit."""
    fitted(part=[part])


def test_a_material_the_yard_has_none_of():
    """Where no size is left the yard is the reason, not the part."""
    gone = replace(
        BOOK, items=tuple(replace(i, available=0 if i.material == "1x8" else None) for i in BOOK.items)
    )

    with pytest.raises(InputError, match="no 1x8 left for 'shelf'"):
        fitted(book=gone, part=[SHELF])


def test_a_size_the_yard_has_none_of_holds_nothing():
    """With the 20 ft boards gone, a part of 19 ft is 12 in too long for the next."""
    gone = replace(
        BOOK, items=tuple(replace(i, available=0 if i.size == "20 ft" else None) for i in BOOK.items)
    )

    with pytest.raises(InputError, match="12 in longer than 1x8 18 ft"):
        fitted(book=gone, part=[SHELF | {"length": "19 ft"}])


def test_a_run_that_may_have_no_seam_must_fit_whole():
    """A run with no place for a seam is one piece; what the building asks for has no key of the job."""
    job = job_of()
    long = Run("ledger", "2x4", 21 * 12 * 40640, seams=())
    takeoff = replace(take_off(job, BOOK), runs=(replace(long, seams=None), long))

    with pytest.raises(InputError, match="'ledger' fits no 2x4: it is 12 in longer than 2x4 20 ft") as caught:
        check_fit(job, BOOK, takeoff)
    assert caught.value.where == ""


def test_what_is_counted_is_not_measured():
    """Something sold by number has no size to outgrow."""
    job = job_of()
    takeoff = replace(take_off(job, BOOK), parts=(Part("hinge", "strap-hinge", 100),))

    check_fit(job, BOOK, takeoff)
