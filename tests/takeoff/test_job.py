"""What a job file may hold, and what it is told when it holds something else."""

from __future__ import annotations

import tomllib
from fractions import Fraction
from typing import Any

import pytest
from pydantic import ValidationError
from small_jobs import inches, job_of

from optimizer.errors import InputError
from optimizer.lengths import INCH, MILLIMETRE
from takeoff.job import parse_job

MINIMAL = 'length = "16 ft"\nwidth = "10 ft"\npitch = 6\n'


def test_three_keys_are_enough():
    """Length, width and pitch make a job; all else has a default."""
    job = parse_job(tomllib.loads(MINIMAL), "job.toml")

    assert (job.length, job.width, job.pitch) == (192 * INCH, 120 * INCH, Fraction(1, 2))
    assert (job.roof, job.rules, job.panel, job.spare) == ("gable", "usual", "osb-7/16", 1)
    assert (job.eave_overhang, job.rake_overhang, job.rafter_spacing) == (12 * INCH, 0, 24 * INCH)
    assert job.sides == ("door side", "far side")
    assert (job.door, job.part, job.fascia) == ((), (), None)


def test_imperial_and_metric_mix_in_one_job():
    """Every length carries its own unit."""
    job = job_of(length="4.88 m", width="10' 6-1/2\"", eave_overhang="305 mm")

    assert job.length == 4880 * MILLIMETRE
    assert job.width == inches("126-1/2")
    assert job.eave_overhang == 305 * MILLIMETRE


def test_a_unit_serves_bare_numbers():
    """`unit` gives bare numbers their unit and the report its tape; decimals stay exact."""
    job = job_of(unit="mm", length=4880, width=3000.5, rafter_spacing=600)

    assert (job.length, job.width) == (4880 * MILLIMETRE, 6001 * MILLIMETRE // 2)
    assert job.tape == "mm"
    assert job.eave_overhang == 12 * INCH


def test_nothing_needs_no_unit():
    """A bare 0 is the same in every unit, where a length may be nothing."""
    assert job_of(eave_overhang=0).eave_overhang == 0
    with pytest.raises(InputError, match="length: 0 is no length"):
        job_of(length=0)


@pytest.mark.parametrize(
    ("length", "width", "tape"), [("4.88 m", "3 m", "mm"), ("16 ft", "3 m", "in"), ("16 ft", "10 ft", "in")]
)
def test_the_tape_follows_the_plan(length: str, width: str, tape: str):
    """Without `unit`, the report is in millimetres only if the plan is metric on both sides."""
    assert job_of(length=length, width=width).tape == tape


def test_a_job_cannot_be_changed():
    """A job is frozen once read."""
    with pytest.raises(ValidationError):
        job_of().length = 5


def test_one_measured_length_serves_both_halves_or_each_has_its_own():
    """A single slope length and a pair are both read."""
    assert job_of(slope_length="84 in").slope_length == (84 * INCH,)
    assert job_of(slope_length=["84 in", "84-1/4 in"]).slope_length == (inches("84"), inches("84-1/4"))


COMPLAINTS: list[tuple[dict[str, Any], str]] = [
    ({"eave_overhand": "12 in"}, "job.toml: eave_overhand: unknown key; did you mean eave_overhang?"),
    ({"zzz": 1}, "job.toml: zzz: unknown key; the keys here are title, length, width"),
    ({"stagger": "24 in"}, "job.toml: stagger: unknown key here; stagger belongs in [rule]"),
    ({"rule": {"spare": 2}}, "rule.spare: unknown key here; spare belongs in the top level, above the first"),
    ({"doors": []}, "job.toml: doors: unknown key; did you mean door?"),
    ({"length": None}, 'job.toml: length: this key is needed, as length = "16 ft"'),
    ({"pitch": None}, "job.toml: give pitch, or peak_height and wall_height together"),
    ({"peak_height": "12 ft", "wall_height": "9 ft"}, "peak_height and wall_height, not both"),
    (
        {"pitch": None, "peak_height": "9 ft", "wall_height": "9 ft"},
        "peak_height must be more than wall_height",
    ),
    ({"eave_overhang": 12}, 'eave_overhang: 12 has no unit; write "12 in" or "12 mm"'),
    ({"length": True}, 'length: write a length in quotes with its unit, like "12 ft 4-1/2 in"'),
    ({"length": "-3 ft"}, "length: '-3 ft' is negative"),
    ({"length": "0 ft"}, "length: '0 ft' is no length; it must be more than 0"),
    ({"length": "5 furlongs"}, "length: '5 furlongs' is not a length; write it like 12 ft 4-1/2 in"),
    ({"length": "nan in"}, "'nan in' is not a length"),
    ({"unit": "in", "length": float("inf")}, "length: inf is not a length"),
    ({"length": "16000 ft"}, "length is over 1000 ft; check its unit"),
    ({"roof": "onion"}, "roof: 'onion' is not known here; write 'gable', 'single-slope', 'gambrel', 'hip'"),
    ({"roof": "hip", "rafters": ["1 in", "20 in"]}, "rafters: this key is for roof ="),
    ({"roof": "pyramid", "ridge_slot": {}}, 'ridge_slot: this key is for roof = "gable", "gambrel", "hip"'),
    ({"roof": "L"}, 'roof = "L" needs a table [wing]'),
    ({"roof": "planes"}, 'roof = "planes" needs [[plane]] tables'),
    ({"second_pitch": 4, "pitch": None, "peak_height": "12 ft", "wall_height": "8 ft"}, "give pitch too"),
    ({"length": float("nan")}, "length: nan is not a length"),
    ({"kerf": "2 in"}, "kerf is over 1/2 in; check its unit"),
    ({"spare": -1}, "spare: -1 is too small; write 0 or more"),
    ({"spare": 100}, "spare: 100 is too large; write 99 or less"),
    ({"spare": "x"}, "spare: 'x' is not a whole number"),
    ({"spare": 1.5}, "spare: 1.5 is not a whole number"),
    ({"spare": True}, "spare: true is not a number"),
    ({"lookouts": "perhaps"}, "lookouts: 'perhaps' is neither true nor false"),
    ({"title": 5}, "title: 5 is not text; write it in quotes"),
    ({"panel": ""}, "panel: '' is empty; write a name, or leave the key out"),
    ({"rule": 3}, "rule: 3 is not a table; write its keys below a line [rule]"),
    ({"fascia": True}, "fascia: true is not a table; write its keys below a line [fascia]"),
    ({"fastener": {"deck": "nail"}}, "fastener.deck: 'nail' is not a table; write its keys below a line [f"),
    ({"part": 3}, "part: 3 is not a list; write one [[part]] table for each"),
    ({"part": [3]}, "part[1]: 3 is not a table; write its keys below a line [[part]]"),
    ({"part": {"name": "shelf"}}, "part: this is one table; write [[part]], in double brackets, above each"),
    ({"rafters": "24 in"}, "rafters: '24 in' is not a list; write it in brackets, as rafters = [...]"),
    (
        {"slope_length": ["7 ft"] * 3},
        "slope_length: ['7 ft', '7 ft', '7 ft'] has too many entries; 2 at most",
    ),
    ({"sides": ["a"]}, "sides[2]: ['a'] has too few entries; it needs 2"),
    ({"sides": ["a", "a"]}, "both are named 'a'"),
    ({"rafters": ["1 in"]}, "rafters"),
    ({"rafters": ["1 in", "0 in"]}, "rafters must grow from left to right"),
    ({"rafters": ["0 in", "9 in"], "first_rafter": "1 in"}, "give first_rafter or rafters, not both"),
    ({"rafter_spacing": "1 in"}, "rafter_spacing must be more than rafter_thickness"),
    ({"roof": "single-slope", "ridge_slot": {}}, "a single slope has no ridge"),
    (
        {"roof": "single-slope", "slope_length": ["1 ft", "1 ft"]},
        "slope_length: a single slope has one plane",
    ),
    ({"ridge_length": ["3 ft", "3 fot"]}, "ridge_length[2]: '3 fot' is not a length"),
    ({"door": [{"width": "3 ft"}]}, "door[1].height: this key is needed"),
    ({"tax_percent": "much"}, "tax_percent: 'much' is not a number"),
]


@pytest.mark.parametrize(("keys", "said"), COMPLAINTS)
def test_a_complaint_names_the_key_the_value_and_what_would_be_right(keys: dict[str, Any], said: str):
    """Every slip gets one line that names the file and the key."""
    with pytest.raises(InputError) as caught:
        job_of(**keys)

    assert said in str(caught.value)
    assert str(caught.value).startswith("job.toml: ")
    assert "\n" not in str(caught.value)


def test_an_unknown_key_is_told_before_a_missing_one():
    """A mistyped key is the likely reason why another is missing."""
    with pytest.raises(InputError, match="lenght: unknown key; did you mean length"):
        parse_job({"lenght": "16 ft", "width": "10 ft", "pitch": 6}, "job.toml")


PART = {"name": "shelf", "material": "2x4", "length": "4 ft"}
PART_COMPLAINTS: list[tuple[dict[str, Any], str]] = [
    ({"jointed": True, "width": "3 in"}, "a jointed part is pieced from whole widths"),
    ({"jointed": True, "ends": "parallel", "slant": "1 in"}, 'a jointed part has ends = "square"'),
    ({"ends": "parallel"}, "those need slant"),
    ({"slant": "1 in"}, 'slant goes with ends = "parallel"'),
    ({"ends": "parallel", "slant": "4 ft"}, "slant leaves nothing of the length"),
    ({"ends": "opposed", "slant": "2 ft"}, "slant leaves nothing of the length"),
    ({"count": 0}, "part[1].count: 0 is too small; write 1 or more"),
]


@pytest.mark.parametrize(("keys", "said"), PART_COMPLAINTS)
def test_a_part_must_agree_with_itself(keys: dict[str, Any], said: str):
    """Keys of a part that exclude each other are refused."""
    with pytest.raises(InputError) as caught:
        job_of(part=[PART | keys])

    assert said in str(caught.value)


def test_two_parts_need_two_names():
    """Labels name pieces, so every part has its own."""
    with pytest.raises(InputError, match="every name must be different"):
        job_of(part=[PART, PART])
