"""seamwise rack: a plain CSV of offcuts; a plan draws on it first; nothing is lost or half-written."""

from __future__ import annotations

import json
import multiprocessing
from pathlib import Path

import pytest

from cli.main import main
from cli.rack import change_rack, offcut, put_in, read_rack
from optimizer.lengths import INCH

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
        'length = "8 ft"\nwidth = "8 ft"\npitch = 6\nprices = "prices.csv"\nrack = "rack.csv"\n',
        encoding="utf-8",
    )
    return path


def rack(*arguments: str) -> int:
    return main(["rack", *arguments])


def counts(path) -> dict[str, int]:
    return {item.key: item.available for item in read_rack(Path(path))}


def test_what_is_added_is_listed_and_taken(tmp_path, capsys):
    """Two of one size are counted together; one taken leaves one; both taken leave none."""
    path = str(tmp_path / "rack.csv")
    assert rack("add", path, "osb-7/16", "48in", "24in", "--count", "2", "--value", "1.50") == 0
    assert rack("add", path, "2x4", "5 ft") == 0
    assert counts(path) == {"osb-7/16 48 x 24 in": 2, "2x4 60 in": 1}
    assert rack("list", path) == 0
    assert "48 x 24 in" in capsys.readouterr().out
    assert rack("take", path, "osb-7/16 48 x 24 in") == 0
    assert counts(path)["osb-7/16 48 x 24 in"] == 1
    assert rack("take", path, "osb-7/16 48 x 24 in") == 0
    assert counts(path) == {"2x4 60 in": 1}


def planned(job, capsys):
    capsys.readouterr()
    assert main(["plan", str(job), "--json"]) == 0
    return json.loads(capsys.readouterr().out)


def test_a_plan_draws_on_the_rack_first(job, tmp_path, capsys):
    """Two whole sheets on the rack, stated at nothing: two fewer are bought."""
    path = str(tmp_path / "rack.csv")
    assert rack("add", path, "drip-edge", "1 in") == 0
    before = planned(job, capsys)
    assert rack("add", path, "osb-7/16", "95-7/8in", "47-7/8in", "--count", "2") == 0
    after = planned(job, capsys)

    assert before["total"] - after["total"] == 20
    assert [b["count"] for b in after["buy"] if b["from_rack"]] == [2]


def test_a_plan_carried_out_takes_and_gives_back(job, tmp_path, capsys):
    """What the plan drew is gone, and what it leaves over lies on the rack; the file stays readable."""
    path = str(tmp_path / "rack.csv")
    assert rack("add", path, "osb-7/16", "95-7/8in", "47-7/8in") == 0
    assert main(["plan", str(job), "--out", str(tmp_path / "out")]) == 0
    plan = str(tmp_path / "out" / "plan.json")
    assert rack("take", path, "--plan", plan) == 0
    assert counts(path) == {}
    assert rack("add", path, "--plan", plan) == 0
    keep = json.loads(Path(plan).read_text())["keep"]

    assert sum(counts(path).values()) == sum(left["repeat"] for left in keep)
    assert planned(job, capsys)["total"]


@pytest.mark.parametrize("action", ["take", "add"])
def test_a_plan_is_carried_out_once(job, tmp_path, capsys, action):
    """The second time is refused, with the line that says it was done; without that line it is done again."""
    path = tmp_path / "rack.csv"
    assert rack("add", str(path), "osb-7/16", "95-7/8in", "47-7/8in", "--count", "3") == 0
    assert main(["plan", str(job), "--out", str(tmp_path / "out")]) == 0
    assert rack("add", str(path), "osb-7/16", "95-7/8in", "47-7/8in", "--count", "3") == 0
    plan = str(tmp_path / "out" / "plan.json")
    assert rack(action, str(path), "--plan", plan) == 0
    capsys.readouterr()
    before = path.read_text()
    assert rack(action, str(path), "--plan", plan) == 2
    assert "rack.csv, line 2: done already" in capsys.readouterr().err
    assert path.read_text() == before

    path.write_text("".join(line for line in before.splitlines(True) if not line.startswith("# done: ")))
    assert rack(action, str(path), "--plan", plan) == 0
    assert path.read_text() != before


def test_a_rack_remembers_what_was_done_for_plans(job, tmp_path, capsys):
    """
    Offcuts that come and go, and another plan, leave the lines of the first as they are.

    The scrap of edge metal was typed without a kind, and taken for a board until a plan told better.
    """
    path = tmp_path / "rack.csv"
    assert rack("add", str(path), "drip-edge", "1 in") == 0
    for length in ("8 ft", "9 ft"):
        job.write_text(job.read_text().replace('length = "8 ft"', f'length = "{length}"'))
        assert main(["plan", str(job), "--out", str(tmp_path / length)]) == 0
        assert rack("add", str(path), "--plan", str(tmp_path / length / "plan.json")) == 0
        assert rack("add", str(path), "2x4", "5 ft") == 0
    done = [
        line for line in path.read_text().splitlines() if line.startswith("# done: put in what is left of")
    ]

    assert len(set(done)) == 2
    assert {item.kind for item in read_rack(path) if item.material == "drip-edge"} == {"stick"}
    assert rack("add", str(path), "--plan", str(tmp_path / "8 ft" / "plan.json")) == 2


@pytest.mark.parametrize(
    ("row", "told"),
    [
        ("osb-7/16,sheet,a,4 foo,2 ft,,,,,,1,1,no,yes,", "line 2, length"),
        ("osb-7/16,shet,a,4 ft,2 ft,,,,,,1,1,no,yes,", "line 2, kind"),
        ("osb-7/16,sheet,a,4 ft,2 ft,,,,,,1,few,no,yes,", "line 2, available"),
    ],
)
def test_a_broken_row_is_named_not_dropped(tmp_path, capsys, row, told):
    """Listing and changing both refuse, with line and column, and leave the file as it is."""
    path = tmp_path / "rack.csv"
    header = (
        "key,kind,size,length,width,thickness,span,weight,price,breaks,pack,available,returnable,rack,note"
    )
    text = f"{header}\n{row}\n"
    path.write_text(text, encoding="utf-8")
    for words in (("list", str(path)), ("add", str(path), "osb-7/16", "4ft", "2ft")):
        assert rack(*words) == 2
        assert told in capsys.readouterr().err
    assert path.read_text() == text


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("{", "no JSON"),
        ("[]", "does not say its format"),
        ('{"format": "seamwise-plan/9"}', "seamwise-plan/9"),
        ('{"format": "seamwise-plan/1"}', "plan.json: title"),
    ],
)
def test_a_plan_of_another_kind_is_refused(tmp_path, capsys, text, told):
    """What is no plan, or one of another version, is named; the rack is not begun."""
    plan = tmp_path / "plan.json"
    plan.write_text(text, encoding="utf-8")
    assert rack("add", str(tmp_path / "rack.csv"), "--plan", str(plan)) == 2
    assert told in capsys.readouterr().err
    assert not (tmp_path / "rack.csv").exists()


@pytest.mark.parametrize(
    "words",
    [
        ("add", "RACK"),
        ("add", "RACK", "2x4"),
        ("add", "RACK", "2x4", "wide"),
        ("add", "RACK", "2x4", "4ft", "--count", "0"),
        ("add", "RACK", "2x4", "4ft", "--value", "dear"),
        ("add", "RACK", "2x4", "4ft", "--plan", "plan.json"),
        ("take", "RACK"),
        ("take", "RACK", "2x4 9 in"),
        ("list", "RACK"),
    ],
)
def test_a_slip_is_told_with_exit_code_2(tmp_path, words):
    """Whatever is missing or can't be read."""
    assert rack(*(str(tmp_path / "rack.csv") if w == "RACK" else w for w in words)) == 2


def _add_many(path: str, length: int) -> None:
    for _ in range(20):
        change_rack(Path(path), lambda held: put_in(held, offcut("2x4", "board", length * INCH, 0, "in")))


def test_two_commands_at_once_lose_nothing(tmp_path):
    """Two processes that add twenty offcuts each leave forty."""
    path = str(tmp_path / "rack.csv")
    context = multiprocessing.get_context("spawn")
    both = [context.Process(target=_add_many, args=(path, length)) for length in (40, 50)]
    for one in both:
        one.start()
    for one in both:
        one.join(120)

    assert counts(path) == {"2x4 40 in": 20, "2x4 50 in": 20}


def test_a_rack_that_is_held_is_told(tmp_path, capsys, monkeypatch):
    """Another program keeps the lock: a sentence and exit code 2, not a wait without end."""
    from filelock import FileLock

    monkeypatch.setattr("cli.rack._LOCK_SECONDS", 0.2)
    with FileLock(tmp_path / ".rack.csv.lock"):
        assert rack("add", str(tmp_path / "rack.csv"), "2x4", "4ft") == 2
    assert "another program holds this rack" in capsys.readouterr().err


def test_a_rack_in_no_directory_is_refused(tmp_path, capsys):
    """A slip in the path makes no directory: it is told, with exit code 2."""
    path = tmp_path / "nowhere" / "rack.csv"

    assert main(["rack", "add", str(path), "osb-7/16", "40in", "20in"]) == 2
    assert "no such directory" in capsys.readouterr().err
    assert not path.parent.exists()


def test_a_rack_that_is_not_there_is_told_at_its_key(job, capsys):
    """The job's line and key, and the file that was looked for beside it."""
    assert main(["plan", str(job)]) == 2
    told = capsys.readouterr().err
    assert "shed.toml, line 5: rack: the rack" in told
    assert "rack.csv: there is no such file" in told


def test_what_is_saved_is_weighed_with_the_rack_on_both_sides(job, tmp_path, capsys):
    """
    Two offcuts stated at 3.00 each: the plan and the halves planned apart both count those they use.

    What is saved is the one's cost less the other's, and the plan's is what Buy says, rack included.
    """
    path = str(tmp_path / "rack.csv")
    assert rack("add", path, "osb-7/16", "48in", "47-7/8in", "--count", "2", "--value", "3.00") == 0
    plan = planned(job, capsys)
    sheets = [line for line in plan["buy"] if line["stock"].startswith("osb-7/16") and not line["spare"]]
    spent = sum(line["cost"] for line in sheets if not line["from_rack"]) + plan["rack_value"]

    assert plan["rack_value"] > 0
    assert next(rule["cost"] for rule in plan["rules"] if rule["chosen"]) == spent
    for saving in plan["savings"]:
        assert saving["saved"] == round(saving["cost"] - spent, 2)
