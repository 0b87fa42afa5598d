"""Cut plans printed in manuals, planned again; the manuals allow no kerf."""

from __future__ import annotations

from fractions import Fraction

import pytest

from optimizer.engine import Clock
from optimizer.lengths import FOOT, INCH
from optimizer.models.boards import plan_lengths
from optimizer.plan import MaterialPlan
from optimizer.words import Part, Saw, Stock

NO_KERF = Saw(board=0)


def planned(lengths: dict[int, int], *feet: int) -> MaterialPlan:
    """Cut pieces (inches: how many) from boards that cost by the foot."""
    stocks = [Stock(f"{n} ft", "2x4", "board", n * FOOT, INCH * 7 // 2, n) for n in feet]
    parts = [Part(f"{inches} in", "2x4", inches * INCH, count=count) for inches, count in lengths.items()]
    plan = plan_lengths("2x4", stocks, parts, [], NO_KERF, Clock(10))
    assert plan.outcome.proved
    return plan


def boards(plan: MaterialPlan) -> dict[str, int]:
    found: dict[str, int] = {}
    for cut in plan.cuts:
        found[cut.stock] = found.get(cut.stock, 0) + cut.repeat
    return found


@pytest.mark.parametrize(
    ("inches", "feet", "pieces"),
    # US Army EN0069, para. 4-5 to 4-9: 4 ft 6 in, two per 10 ft; 3 ft, two per 8 ft and three per 10 ft.
    [(54, 10, 2), (36, 8, 2), (36, 10, 3)],
)
def test_pieces_in_a_length(inches, feet, pieces):
    """So many pieces come from one length, and one more takes another."""
    assert boards(planned({inches: pieces}, feet)) == {f"{feet} ft": 1}
    assert boards(planned({inches: pieces + 1}, feet)) == {f"{feet} ft": 2}


def test_the_armys_work_table():
    """Four pieces of 4 ft 6 in and nine of 3 ft take five 10 ft 2x4, 33 board feet; no mix takes more."""
    # US Army EN0069, para. 4-5 to 4-9: all 2x4 of one table.
    found = boards(planned({54: 4, 36: 9}, 8, 10))

    assert boards(planned({54: 4, 36: 9}, 10)) == {"10 ft": 5}
    assert Fraction(5 * 2 * 4 * 10, 12) == pytest.approx(33.33, abs=0.01)
    assert sum(int(key.split()[0]) * count for key, count in found.items()) <= 50


def test_the_armys_brace_stakes():
    """Four stakes of 2 ft 4 in come from one 10 ft length; 8 ft gives only three, 12 ft leaves too much."""
    # US Army EN0069, lesson 4 answers.
    assert boards(planned({28: 4}, 8, 10, 12)) == {"10 ft": 1}


def test_the_armys_tent_frame():
    """Four uprights of 5 ft 1 in leave room for two of 3 ft 7 in; with two rails, six 10 ft 2x4."""
    # US Army EN01136, lesson 5 answers.
    assert boards(planned({61: 4, 43: 2, 120: 2}, 10)) == {"10 ft": 6}
