"""Trim around windows."""

from __future__ import annotations

from small_jobs import job_of

from optimizer.lengths import INCH
from takeoff.sizes import standard_book
from takeoff.windows import window_needs

WINDOW = {"width": "24 in", "height": "36 in"}


def needs(**keys):
    return window_needs(job_of(window=[{**WINDOW, **keys}]), standard_book())


def test_trim_of_a_window():
    """Legs 36, head 24 + 2 x 3-1/2, sill with 1 in horns, metal 1/4 in past the casing at each end."""
    parts = {part.label: (part.length / INCH, part.count) for part in needs().parts}

    assert parts == {
        "window sill": (33, 1),
        "window casing leg": (36, 2),
        "window casing head": (31, 1),
        "window head metal": (31.5, 1),
    }


def test_without_a_sill_casing_goes_all_round():
    """A fourth board closes the foot."""
    parts = {part.label: part.count for part in needs(sill=False).parts}
    assert parts["window casing head and foot"] == 2


def test_bare_openings_take_nothing():
    """Without casing, sill and metal nothing is cut, and the bare head is warned of."""
    found = needs(casing=False, sill=False, head_metal=False)

    assert found.parts == ()
    assert found.counts == ()
    assert [check.level for check in found.checks if check.rule == "head metal"] == ["warn"]


def test_trim_is_nailed_in_pairs():
    """Every 16 in: sill 33 in 4, legs 36 in 4 each, head 31 in 3: fifteen pairs."""
    (count,) = needs().counts
    assert count.quantity == 30
