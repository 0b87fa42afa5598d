"""seamwise plan --so-far: the rest planned with what is in hand; what does not fit the building is named."""

from __future__ import annotations

import json
from fractions import Fraction

import pytest

from cli.main import main

PRICES = """\
key,kind,size,length,width,thickness,span,weight,price,pack,available,returnable,note
osb-7/16,sheet,4x8,95-7/8 in,47-7/8 in,7/16 in,24/16,45 lb,10.00,1,,yes,
drip-edge,stick,10 ft,10 ft,,,,3 lb,8.00,1,,yes,
1x6,board,10 ft,10 ft,5-1/2 in,3/4 in,,8 lb,9.00,1,,yes,
nail-8d-common,each,5 lb box,,,,,5 lb,15.00,5000,,,
"""

JOB = """\
length = "16 ft"
width = "12 ft"
pitch = 6
prices = "prices.csv"
sides = ["orchard side", "lane side"]
[fascia]
material = "1x6"
"""


@pytest.fixture
def job(tmp_path):
    (tmp_path / "prices.csv").write_text(PRICES, encoding="utf-8")
    (tmp_path / "house.toml").write_text(JOB, encoding="utf-8")
    assert main(["plan", str(tmp_path / "house.toml"), "--out", str(tmp_path / "out")]) == 0
    return tmp_path


def rest(job, capsys, *words: str):
    capsys.readouterr()
    plan = str(job / "out" / "plan.json")
    assert main(["plan", str(job / "house.toml"), "--so-far", plan, *words, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def bought(plan) -> list[str]:
    return [line["stock"] for line in plan["buy"] if not line["from_rack"]]


def test_with_nothing_done_nothing_more_is_bought(job, capsys):
    """All that the plan bought is in hand, so that the same work costs nothing more."""
    plan = rest(job, capsys)

    assert bought(plan) == []
    assert plan["total"] == 0


def test_laid_courses_are_not_laid_again(job, capsys):
    """Above a laid course the numbers go on, and the first seams keep off those below."""
    before = json.loads((job / "out" / "plan.json").read_text())
    plan = rest(job, capsys, "--laid", "O1")
    courses = [c for c in plan["lay"] if c["plane"] == "orchard side"]
    below = next(c["seams"] for c in before["lay"] if c["plane"] == "orchard side" and c["course"] == 1)

    assert courses[0]["course"] == 2
    assert bought(plan) == []
    for seam in courses[0]["seams"]:
        assert all(abs(Fraction(seam) - Fraction(other)) >= 24 for other in below)


def test_what_is_done_altogether_is_gone(job, capsys):
    """A half that is decked and a fascia that is up are in no part of the new plan."""
    before = json.loads((job / "out" / "plan.json").read_text())
    courses = {c["course"] for c in before["lay"] if c["plane"] == "orchard side"}
    names = ",".join(f"O{n}" for n in courses)
    plan = rest(job, capsys, "--laid", names, "--laid", "OF")

    assert not any(c["plane"] == "orchard side" for c in plan["lay"])
    assert not any(c["run"] == "orchard side eave fascia" for c in plan["lay"])


def test_a_spoilt_sheet_is_made_up_for(job, capsys):
    """With two sheets spoilt and one spare, one more has to be fetched, or offcuts serve."""
    before = json.loads((job / "out" / "plan.json").read_text())
    sheets = [c["id"] for c in before["cut"] if c["id"].startswith("S") and c["repeat"] == 1][:2]
    plan = rest(job, capsys, *(word for s in sheets for word in ("--spoilt", s)))
    used = sum(line["count"] for line in plan["buy"] if line["stock"] == "osb-7/16 4x8")
    needed = sum(line["count"] for line in before["buy"] if "osb" in line["stock"] and not line["spare"])

    assert used == needed
    assert bought(plan) == ["osb-7/16 4x8"]


def test_a_measure_that_came_out_longer(job, capsys):
    """A slope 2 in longer than planned, nothing cut yet: the plan is for the new slope."""
    before = rest(job, capsys)
    slope = sum(Fraction(c["width"]) for c in before["lay"] if c["plane"] == "orchard side")
    plan = rest(job, capsys, "--changed", "eave_overhang=14 in")
    longer = sum(Fraction(c["width"]) for c in plan["lay"] if c["plane"] == "orchard side")

    # 2 in on plan, at 6 in 12: a little more than 2 in along the slope.
    assert 1.5 < longer - slope < 2.8


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--laid", "X1"), "'X1' is no piece, course or part"),
        (("--laid", "O2"), "from the first one on"),
        (("--laid", "O1.1"), "courses are laid whole"),
        (("--cut", "S99"), "no cut of the plan"),
        (("--laid", "O1", "--spoilt", "O1.1"), "laid and spoilt"),
        (("--laid", "O1", "--changed", "length=16 ft 4 in"), "O1."),
        (("--changed", "length"), "is no swap"),
    ],
)
def test_what_can_not_be_is_named(job, capsys, words, told):
    """Exit code 2, and which piece or name it is."""
    plan = str(job / "out" / "plan.json")
    assert main(["plan", str(job / "house.toml"), "--so-far", plan, *words]) == 2
    assert told in capsys.readouterr().err


def test_options_of_a_plan_begun_need_that_plan(job, capsys):
    """--laid by itself is about nothing."""
    assert main(["plan", str(job / "house.toml"), "--laid", "O1"]) == 2
    assert "--so-far" in capsys.readouterr().err


def test_the_report_says_whether_a_trip_is_needed(job, capsys):
    """Everything in hand: no other trip."""
    plan = str(job / "out" / "plan.json")
    assert main(["plan", str(job / "house.toml"), "--so-far", plan]) == 0
    assert "No other trip is needed" in " ".join(capsys.readouterr().out.split())
