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
        ("osb-7/16", "can't be read"),
        ("osb-7/16=tin", "no 'tin'"),
        ("tin=osb-7/16", "neither a key of the job nor a material"),
        ("yard=North", "there is no yard 'North'"),
        ("rule.gap=wide", "--swap rule.gap=wide"),
    ],
)
def test_a_slip_in_a_swap_is_told(job, capsys, swap, told):
    """Exit code 2, and a sentence that names what is wrong."""
    assert main(["compare", job, "--swap", swap]) == 2
    assert told in capsys.readouterr().err


def test_what_falls_away_with_a_thicker_panel_is_told(job, capsys, tmp_path):
    """A panel that spans the rafters by itself needs no clips, and its nail goes less deep."""
    book = tmp_path / "prices.csv"
    thin = "osb-3/8,sheet,4x8,95-7/8 in,47-7/8 in,3/8 in,24/0,38 lb,8.00,1,,yes,\n"
    clips = "panel-clip,each,box of 50,,,,,1 lb,6.00,50,,,\n"
    book.write_text(f"{PRICES}{thin}{clips}", encoding="utf-8")
    path = tmp_path / "shed.toml"
    path.write_text(f'panel = "osb-3/8"\n{path.read_text()}', encoding="utf-8")
    assert main(["compare", job, "--swap", "osb-3/8=osb-7/16"]) == 0
    printed = " ".join(capsys.readouterr().out.split())

    assert "panel edges need no clips and no blocking; before: clips" in printed
    assert "nail-8d-common, 2-1/2 in long, through a deck of 7/16 in" in printed
    assert "panel-clip box of 50: 1 to 0, -6.00 (-" in printed


def test_jointed_trim_beside_whole_pieces(job, capsys, tmp_path):
    """A 13 ft fascia takes a 16 ft board each; jointed on tails it takes two of 8 ft, which are cheaper."""
    book = tmp_path / "prices.csv"
    boards = "".join(
        f"1x6,board,{feet} ft,{feet} ft,5-1/2 in,3/4 in,,8 lb,{price},1,,yes,\n"
        for feet, price in ((8, "5.00"), (16, "30.00"))
    )
    book.write_text(f"{PRICES}{boards}", encoding="utf-8")
    path = tmp_path / "shed.toml"
    text = path.read_text().replace('"8 ft"', '"13 ft"', 1)
    path.write_text(f'{text}[fascia]\nmaterial = "1x6"\n', encoding="utf-8")
    (option,) = compared(capsys, job, "--swap", "fascia.joints=on tails")["options"]

    assert float(option["beside"]) == -40
    assert {c["item"]: (c["before"], c["after"]) for c in option["changes"]} == {
        "1x6 16 ft": (2, 0),
        "1x6 8 ft": (0, 4),
    }


def test_the_table_shows_every_option(job, capsys):
    """The job's own line first, each option below it with its share of the whole."""
    assert main(["compare", job, "--swap", "osb-7/16=osb-19/32"]) == 0
    printed = capsys.readouterr().out

    assert "as the job has it" in printed
    assert "osb-7/16=osb-19/32" in printed
    assert "%" in printed


def test_one_yard_against_another(job, capsys, tmp_path):
    """Of the same goods at another yard only the prices differ; where they are bought is told, trips too."""
    (tmp_path / "far.csv").write_text(PRICES.replace("10.00", "11.00"), encoding="utf-8")
    path = tmp_path / "shed.toml"
    text = path.read_text().replace('prices = "prices.csv"\n', "")
    yards = "".join(
        f'[[yard]]\nname = "{name}"\nprices = "{book}"\ntrip = {trip}\n'
        for name, book, trip in (("Near", "prices.csv", 3), ("Far", "far.csv", 9))
    )
    path.write_text(f"{text}{yards}", encoding="utf-8")
    (option,) = compared(capsys, job, "--swap", "yard=Far")["options"]

    assert [c["item"].split(" ")[0] for c in option["changes"]] == ["osb-7/16"]
    assert "bought at Far, trips 9.00; before: Near, trips 3.00" in option["notes"]
