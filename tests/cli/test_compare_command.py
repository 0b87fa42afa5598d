"""seamwise compare: options planned anew beside the plan; what is swapped must be there to swap."""

from __future__ import annotations

import json

import pytest

from cli.main import main

PRICES = """\
key,kind,size,length,width,thickness,span,weight,price,pack,available,returnable,note
osb-7/16,sheet,4x8,95-7/8 in,47-7/8 in,7/16 in,24/16,45 lb,10.00,1,,yes,
osb-7/16,sheet,4x9,107-7/8 in,47-7/8 in,7/16 in,24/16,50 lb,12.00,1,,yes,
osb-19/32,sheet,4x8,95-7/8 in,47-7/8 in,19/32 in,40/20,62 lb,20.00,1,,yes,
drip-edge,stick,10 ft,10 ft,,,,3 lb,8.00,1,,yes,
nail-8d-common,each,5 lb box,,,,,5 lb,15.00,500,,,
"""


@pytest.fixture
def job(tmp_path):
    (tmp_path / "prices.csv").write_text(PRICES, encoding="utf-8")
    path = tmp_path / "shed.toml"
    path.write_text(
        'length = "8 ft"\nwidth = "8 ft"\npitch = 6\nprices = "prices.csv"\ncurrency = "USD"\n',
        encoding="utf-8",
    )
    return str(path)


def compared(capsys, *arguments: str):
    assert main(["compare", *arguments, "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_another_panel_costs_what_its_sheets_cost_more(job, capsys):
    """Every sheet of the same size 10.00 dearer: as much more as there are sheets, the rest alike."""
    found = compared(capsys, job, "--swap", "osb-7/16=osb-7/16 4x8", "--swap", "osb-7/16=osb-19/32")
    short, thick = found["options"]
    sheets = next(c["after"] for c in thick["changes"] if c["item"].startswith("osb-19/32"))

    assert float(thick["total"]) - float(short["total"]) == 10 * sheets
    assert any("8 in more than the rafters stand apart" in note for note in thick["notes"])


def test_one_size_only_never_costs_less(job, capsys):
    """With fewer sizes to choose from nothing gets cheaper, and only that size is bought."""
    found = compared(capsys, job, "--swap", "osb-7/16=osb-7/16 4x9")
    (option,) = found["options"]

    assert float(option["beside"]) >= 0
    assert all(c["after"] == 0 for c in option["changes"] if c["item"] == "osb-7/16 4x8")


def test_a_key_may_be_set(job, capsys):
    """What is no material is a key of the job; its value is read as the job would."""
    found = compared(capsys, job, "--swap", "rafter_spacing=24 in,spare=0")

    assert found["options"][0]["option"] == "rafter_spacing=24 in,spare=0"
    assert float(found["options"][0]["beside"]) <= -10


def test_the_same_again_changes_nothing(job, capsys):
    """A key set to what it is leaves Buy alone."""
    found = compared(capsys, job, "--swap", "rafter_spacing=24 in")

    assert found["options"][0]["changes"] == []
    assert float(found["options"][0]["beside"]) == 0


def test_an_option_without_a_plan_says_why(job, capsys):
    """A rule that nothing can keep is told in its row; the others are not harmed."""
    found = compared(capsys, job, "--swap", "rule.supports=9", "--swap", "osb-7/16=osb-19/32")

    assert "no plan" in found["options"][0]["reason"]
    assert "total" in found["options"][1]


@pytest.mark.parametrize(
    ("swap", "told"),
    [
        ("osb-7/16", "is no swap"),
        ("osb-7/16=tin", "no 'tin'"),
        ("tin=osb-7/16", "neither a key of the job nor a material"),
        ("yard=North", "there is no yard 'North'"),
        ("rule.gap=wide", "rule.gap"),
    ],
)
def test_a_slip_in_a_swap_is_told(job, capsys, swap, told):
    """Exit code 2, and a sentence that names what is wrong."""
    assert main(["compare", job, "--swap", swap]) == 2
    assert told in capsys.readouterr().err


def test_the_table_shows_every_option(job, capsys):
    """The job's own line first, each option below it with its share of the whole."""
    assert main(["compare", job, "--swap", "osb-7/16=osb-19/32"]) == 0
    printed = capsys.readouterr().out

    assert "as the job has it" in printed
    assert "osb-7/16=osb-19/32" in printed
    assert "%" in printed
