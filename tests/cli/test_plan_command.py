"""`seamwise plan` as a process of its own, from files to exit code, on small real jobs."""

from __future__ import annotations

import csv
import json
import os
import pty
import select
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from cli.schema import PlanFile

ROOT = Path(__file__).resolve().parents[2]
THREE = ("--length", "16ft", "--width", "10ft", "--pitch", "6")
BARN = ("--length", "120ft", "--width", "80ft", "--pitch", "5")


def command(*arguments):
    return [sys.executable, "-m", "cli.main", *map(str, arguments)]


def settings(**more):
    kept = {k: v for k, v in os.environ.items() if k not in ("NO_COLOR", "FORCE_COLOR", "COLUMNS")}
    return {**kept, "PYTHONPATH": str(ROOT), **more}


def seamwise(*arguments, cwd=ROOT, **environment):
    """Run the command and give the finished process, its output as text."""
    return subprocess.run(
        command(*arguments),
        cwd=cwd,
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=300,
        env=settings(**environment),
    )


@pytest.fixture(scope="module")
def starter(tmp_path_factory):
    """Give a directory that holds the starter job and its price book."""
    folder = tmp_path_factory.mktemp("starter")
    assert seamwise("new", folder / "house.toml").returncode == 0
    return folder


def test_three_numbers_are_enough():
    """Length, width and pitch alone give a whole report: 80 columns, no colour, nothing on stderr."""
    done = seamwise("plan", *THREE)

    assert (done.returncode, done.stderr) == (0, "")
    for part in ("BUY", "CUT", "LAY", "KEEP", "CHECK"):
        assert f"\n{part} " in done.stdout
    assert "ot priced" in done.stdout
    assert "\x1b" not in done.stdout
    assert max(map(len, done.stdout.splitlines())) <= 80


def test_json_is_all_there_is_on_standard_output():
    """--json prints a plan under the schema and not a word more; unpriced money is null."""
    done = seamwise("plan", *THREE, "--json")
    plan = PlanFile.model_validate_json(done.stdout)

    assert (done.returncode, done.stderr) == (0, "")
    assert (plan.total, plan.bound, plan.priced, plan.proved) == (None, None, False, True)
    assert all(line.unit_price is None for line in plan.buy)


def test_the_starter_job_plans_as_it_is(starter):
    """What `new` writes is planned, priced, and says that its prices are invented."""
    done = seamwise("plan", starter / "house.toml")

    assert (done.returncode, done.stderr) == (0, "")
    assert "invented" in done.stdout
    assert "ot priced" not in done.stdout


def test_out_writes_files_that_agree(starter, tmp_path):
    """plan.json, buy.csv, cut.csv and site.html go into a new directory and tell the same plan."""
    done = seamwise("plan", starter / "house.toml", "--json", "--out", tmp_path / "deep" / "out")
    folder = tmp_path / "deep" / "out"

    assert done.returncode == 0, done.stderr
    assert sorted(path.name for path in folder.iterdir()) == ["buy.csv", "cut.csv", "plan.json", "site.html"]
    assert (folder / "plan.json").read_text() == done.stdout
    plan = PlanFile.model_validate_json(done.stdout)
    with (folder / "buy.csv").open(newline="") as file:
        buy = list(csv.DictReader(file))
    assert [row["item"] for row in buy[: len(plan.buy)]] == [line.stock for line in plan.buy]
    with (folder / "cut.csv").open(newline="") as file:
        pieces = [row["piece"] for row in csv.DictReader(file)]
    assert pieces == [piece.label for cut in plan.cut for piece in cut.pieces]


def test_the_same_job_gives_the_same_file(starter):
    """Two runs write the same bytes, from the plan down to the last offcut."""
    first, second = (json.loads(seamwise("plan", starter / "house.toml", "--json").stdout) for _ in range(2))

    # What is studied beside the plan has a time limit of its own, and may be left out on a busy machine.
    for beside in ("assumed", "savings", "rules", "price_limits"):
        del first[beside], second[beside]
    assert first == second


@pytest.mark.parametrize("target", ["house.toml", "house.toml/deeper"])
def test_out_that_is_no_directory(starter, target):
    """A file in the place of the directory is one sentence and exit code 2, and nothing is printed."""
    done = seamwise("plan", *THREE, "--out", starter / target)

    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr.count("\n") == 1


def test_a_part_that_no_stock_holds(tmp_path):
    """A part that outgrows every stock is named, with how much it outgrows the largest, and exit code 2."""
    (tmp_path / "job.toml").write_text(
        'length = "16 ft"\nwidth = "10 ft"\npitch = 6\n'
        '[[part]]\nname = "long shelf"\nmaterial = "1x8"\nlength = "21 ft"\n'
    )
    done = seamwise("plan", "job.toml", cwd=tmp_path)

    assert (done.returncode, done.stdout) == (2, "")
    assert "job.toml, line 7: part[1].length: 'long shelf' fits no 1x8: it is 12 in longer" in done.stderr
    assert done.stderr.count("\n") == 1


def test_rules_that_allow_no_plan(tmp_path):
    """Rules that leave no lay-out are exit code 2, with the rule to relax and what the deck then takes."""
    (tmp_path / "job.toml").write_text('length = "16 ft"\nwidth = "10 ft"\npitch = 6\nrule.supports = 6\n')
    done = seamwise("plan", "job.toml", cwd=tmp_path)

    assert (done.returncode, done.stdout) == (2, "")
    assert "with rule.supports = 3 in the job the deck takes 8 sheets" in done.stderr
    assert done.stderr.count("\n") == 1


def test_a_reader_that_leaves_ends_in_silence():
    """A pipe that is closed early is no error message."""
    process = subprocess.Popen(
        command("plan", *THREE), cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env=settings()
    )
    process.stdout.close()
    with process.stderr:
        assert process.stderr.read() == b""
    assert process.wait(timeout=300) == 141


SLOW = """
import sys, time
import cli.planning as command
from cli.main import entry

found = command.cheapest_plan

def slow(problem, clock):
    {before}
    print("waiting", file=sys.stderr, flush=True)
    while clock.left() or {deaf}:
        time.sleep(0.01)
    {after}

command.cheapest_plan = slow
sys.argv = ["seamwise", "plan", "--length", "16ft", "--width", "10ft", "--pitch", "6"]
entry()
"""


def interrupted(times, before="plan = found(problem, clock)", after="return plan", deaf=False):
    """Run a plan that takes all the time there is, interrupt it, and give code and both streams."""
    process = subprocess.Popen(
        [sys.executable, "-c", SLOW.format(before=before, after=after, deaf=deaf)],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        env=settings(),
        # Where the tests run in the background, interrupts are ignored, and children inherit that.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )
    assert process.stderr.readline() == "waiting\n"
    for _ in range(times):
        process.send_signal(signal.SIGINT)
        time.sleep(0.3)
    printed, complained = process.communicate(timeout=60)
    return process.returncode, printed, complained


def test_ctrl_c_shows_the_best_plan_so_far():
    """An interrupt while solving ends the search, not the program: what was found is printed."""
    code, printed, complained = interrupted(1)

    assert (code, complained) == (0, "")
    assert "BUY" in printed


def test_ctrl_c_before_there_is_a_plan():
    """An interrupt before anything was found says so, with an exit code of its own."""
    late = "from optimizer.errors import TimeUp; raise TimeUp('nothing yet')"
    code, printed, complained = interrupted(1, before="", after=late)

    assert (code, printed, complained) == (130, "", "seamwise: interrupted before there was a plan\n")


def test_a_second_ctrl_c_ends_it_at_once():
    """Work that doesn't stop when it is told to is left behind at the second interrupt."""
    code, printed, complained = interrupted(2, before="", after="", deaf=True)

    assert (code, printed, complained) == (130, "", "seamwise: interrupted before there was a plan\n")


def test_seconds_end_the_search():
    """When the time given is up before there is a plan, the sentence says what to do, with exit code 3."""
    done = seamwise("plan", *BARN, "--seconds", "0.01")

    assert (done.returncode, done.stdout) == (3, "")
    assert "--seconds" in done.stderr


def on_a_terminal(*arguments, **environment):
    """Run the command with both streams on a terminal of their own; give what each showed."""
    masters, slaves = zip(pty.openpty(), pty.openpty(), strict=True)
    process = subprocess.Popen(
        command(*arguments),
        cwd=ROOT,
        stdin=subprocess.DEVNULL,
        stdout=slaves[0],
        stderr=slaves[1],
        env=settings(TERM="xterm", COLUMNS="80", **environment),
    )
    for slave in slaves:
        os.close(slave)
    shown = dict.fromkeys(masters, b"")
    live = set(masters)
    while live:
        for master in select.select(list(live), [], [])[0]:
            try:
                chunk = os.read(master, 65536)
            except OSError:  # what Linux says when the other side has closed
                chunk = b""
            shown[master] += chunk
            if not chunk:
                live.remove(master)
                os.close(master)
    assert process.wait(timeout=300) == 0
    return [shown[master].decode() for master in masters]


def test_a_terminal_gets_a_progress_line_and_colour():
    """On a terminal a progress line comes and goes on standard error; the report is set off in bold."""
    report, progress = on_a_terminal("plan", *THREE)

    assert "\x1b[" in report
    assert "planning osb-7/16, best" in progress
    assert progress.endswith("\r")
    assert "\n" not in progress


def test_no_color_is_obeyed():
    """NO_COLOR leaves no colour in the report, terminal or not."""
    report, _ = on_a_terminal("plan", *THREE, NO_COLOR="1")

    for colour in range(30, 38):
        assert f"\x1b[{colour}m" not in report
        assert f";{colour}m" not in report


TWO_YARDS = """
length = "16 ft"
width = "10 ft"
pitch = 6
tax_percent = 5
[carry]
longest = "12 ft"
load = "500 lb"
[[yard]]
name = "Near"
prices = "near.csv"
trip = 5
[[yard]]
name = "Far"
prices = "far.csv"
trip = 9.50
[fascia]
material = "1x6"
"""


@pytest.fixture
def two_yards(tmp_path):
    """Give a job with two yards: panels are cheaper at the far one, and the near one has price breaks."""
    book = (ROOT / "cli/examples/cider-house-prices.csv").read_text(encoding="utf-8")
    near = book.replace(",note", ",note,breaks")
    far = near.replace("45 lb,14.35", "45 lb,11.95")
    near = near.replace("3 lb,7.95,1,,yes,", "3 lb,7.95,1,,yes,,6=6.60")
    (tmp_path / "near.csv").write_text(near, encoding="utf-8")
    (tmp_path / "far.csv").write_text(far, encoding="utf-8")
    (tmp_path / "house.toml").write_text(TWO_YARDS, encoding="utf-8")
    return tmp_path


def test_two_yards_from_files_to_plan(two_yards):
    """Yards, trips, breaks and what can't be carried go through everything, and the money adds up."""
    done = seamwise("plan", two_yards / "house.toml", "--json")
    assert (done.returncode, done.stderr) == (0, "")
    plan = PlanFile.model_validate_json(done.stdout)

    assert plan.yards is not None
    assert plan.yards.proved
    goods = round(100 * plan.total)
    tax = (goods * 5 + 50) // 100
    trips = sum(round(100 * trip.cost) for trip in plan.trips)
    assert round(100 * plan.total_with_tax) == goods + tax + trips == round(100 * plan.yards.cost)
    assert sum(round(100 * line.cost) for line in plan.buy) == goods
    assert {line.yard for line in plan.buy} == {trip.yard for trip in plan.trips} <= {"Near", "Far"}
    left_out = next(check for check in plan.check if check.rule == "left out")
    assert left_out.message.startswith("1x6 16 ft can't be carried: longer than 12 ft.")
    assert not any("16 ft" in line.stock for line in plan.buy)


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('prices = "far.csv"', 'prices = "fra.csv"', "line 15: yard[2].prices: the price book"),
        ('name = "Far"', 'name = "Near"', "two yards are named 'Near'"),
        ("trip = 5", 'trip = "five"', "yard[1].trip: 'five' is not an amount of money"),
        ('longest = "12 ft"', 'longest = "7 ft"', "no size of 'osb-7/16' can be carried; see [carry]"),
        ('load = "500 lb"', "load = 500", "carry.load: 500 has no unit"),
        ("[carry]", "[cary]", "did you mean carry?"),
    ],
)
def test_a_slip_about_yards_is_one_sentence(two_yards, old, new, told):
    """What is wrong with a yard or with what can be carried ends with code 2 and names the place."""
    job = two_yards / "house.toml"
    job.write_text(TWO_YARDS.replace(old, new), encoding="utf-8")
    done = seamwise("plan", job)

    assert done.returncode == 2
    assert told in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_prices_stand_in_one_place(two_yards):
    """A price book on the command line beside yards in the job is refused."""
    done = seamwise("plan", two_yards / "house.toml", "--prices", two_yards / "near.csv")

    assert done.returncode == 2
    assert "--prices stands beside a [[yard]]" in done.stderr
