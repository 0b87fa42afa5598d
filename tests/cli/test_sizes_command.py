"""seamwise sizes: every candidate planned anew; what saves, what costs nothing, what can't be read."""

from __future__ import annotations

import json

import pytest

from cli.main import main

PRICES = """\
key,kind,size,length,width,thickness,span,weight,price,pack,available,returnable,note
osb-7/16,sheet,4x8,95-7/8 in,47-7/8 in,7/16 in,24/16,45 lb,10.00,1,,yes,
drip-edge,stick,10 ft,10 ft,,,,3 lb,8.00,1,,yes,
nail-8d-common,each,5 lb box,,,,,5 lb,15.00,5000,,,
"""


@pytest.fixture
def job(tmp_path):
    (tmp_path / "prices.csv").write_text(PRICES, encoding="utf-8")
    path = tmp_path / "shed.toml"
    path.write_text(
        'length = "8 ft"\nwidth = "8 ft"\npitch = 6\neave_overhang = "0 in"\nprices = "prices.csv"\n',
        encoding="utf-8",
    )
    return str(path)


def sized(capsys, *arguments: str):
    assert main(["sizes", *arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def planned_total(capsys, job: str, tmp_path, **changed: str) -> str:
    """Plan the job itself with a key changed, as a user would."""
    text = (tmp_path / "shed.toml").read_text()
    for key, value in changed.items():
        text = "\n".join(line for line in text.splitlines() if not line.startswith(f"{key} ="))
        text = f"{key} = {value}\n{text}\n"
    other = tmp_path / "other.toml"
    other.write_text(text, encoding="utf-8")
    assert main(["plan", str(other), "--json"]) == 0
    return json.loads(capsys.readouterr().out)["total"]


def test_every_candidate_costs_what_planning_it_costs(job, capsys, tmp_path):
    """Three lengths of the building, each as dear as its own job planned by itself."""
    found = sized(capsys, job, "--vary", "length=96 in..100 in by 2 in")
    (curve,) = found["curves"]

    assert [c["value"] for c in curve["candidates"]] == ["96 in", "98 in", "100 in"]
    for candidate in curve["candidates"]:
        own = planned_total(capsys, job, tmp_path, length=f'"{candidate["value"]}"')
        assert candidate["total"] == own


def test_the_jobs_own_value_is_marked(job, capsys):
    """The place of the job on its curve."""
    (curve,) = sized(capsys, job, "--vary", "pitch=5..7 by 1")["curves"]

    assert [c["now"] for c in curve["candidates"]] == [False, True, False]
    assert curve["candidates"][1]["total"] == sized(capsys, job, "--vary", "pitch=6..6 by 1")["total"]


def test_a_change_that_saves_is_told(job, capsys, tmp_path):
    """A building 1 in longer than its sheets takes more of them: going back saves, and is told as such."""
    path = tmp_path / "shed.toml"
    path.write_text(path.read_text().replace('"8 ft"', '"97 in"', 1), encoding="utf-8")
    (curve,) = sized(capsys, job, "--vary", "length=96 in..97 in by 1 in")["curves"]
    short, long = curve["candidates"]
    assert main(["sizes", job, "--vary", "length=96 in..97 in by 1 in"]) == 0
    printed = " ".join(capsys.readouterr().out.split())

    assert short["total"] < long["total"]
    fewer = long["panels"] - short["panels"]
    assert f"Take 1 in off the plan length: {fewer} sheet" in printed
    assert f"{long['total'] - short['total']:.2f} less" in printed


def test_a_key_the_job_leaves_out_is_told_by_its_value(job, capsys, tmp_path):
    """A stagger that the job leaves to its rules can't be taken off or added to; it is made so and so."""
    path = tmp_path / "shed.toml"
    path.write_text(f"{path.read_text()}[rule]\nsupports = 2\n", encoding="utf-8")
    assert main(["sizes", job, "--vary", "rule.shortest=24 in..72 in by 48 in"]) == 0
    printed = " ".join(capsys.readouterr().out.split())
    (curve,) = sized(capsys, job, "--vary", "rule.shortest=24 in..72 in by 48 in")["curves"]
    least = min(c["total"] for c in curve["candidates"])

    assert not any(c["now"] for c in curve["candidates"])
    total = sized(capsys, job, "--vary", "pitch=6..6 by 1")["total"]
    assert ("Make rule.shortest" in printed) == (least < total)


def test_a_value_without_a_plan_says_why(job, capsys):
    """A length of nothing can't be built; the others are planned."""
    (curve,) = sized(capsys, job, "--vary", "length=2 in..98 in by 96 in")["curves"]

    assert curve["candidates"][0]["total"] is None
    assert curve["candidates"][0]["reason"]
    assert curve["candidates"][1]["total"]


@pytest.mark.parametrize(
    ("vary", "told"),
    [
        ("length", "is no range"),
        ("length=1..2", "is no range"),
        ("depth=1 in..2 in by 1 in", "no key of the job"),
        ("length=9 ft..8 ft by 1 in", "goes up"),
        ("length=1 ft..90 ft by 1/8 in", "more than 200 candidates"),
        ("length=wide..wider by 1 in", "length"),
        ("title=1..2 by 1", "title"),
        ("rule.depth=1 in..2 in by 1 in", "unknown key"),
        ("length.depth=1 in..2 in by 1 in", "no key of the job"),
        ("door.3.width=1 in..2 in by 1 in", "door"),
    ],
)
def test_a_slip_in_a_range_is_told(job, capsys, vary, told):
    """Exit code 2, and a sentence that names what is wrong."""
    assert main(["sizes", job, "--vary", vary]) == 2
    assert told in capsys.readouterr().err
