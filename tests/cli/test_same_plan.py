"""Same inputs, same bytes: on one worker or several, on a slow day, on another interpreter's hash seed."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from argparse import Namespace
from pathlib import Path

import pytest

from cli.loading import load
from cli.planning import files_of, planned_report
from optimizer import clock as clocks
from optimizer import engine
from optimizer.engine import Clock

ROOT = Path(__file__).resolve().parents[2]
JOB = """\
length = "12 ft"
width = "8 ft"
pitch = 5
rake_overhang = "12 in"
prices = "{prices}"
tax_percent = 6.5

[underlayment]

[fascia]
material = "1x6"

[rake_board]
material = "1x6"

[[door]]
width = "36 in"
height = "80 in"

[[part]]
name = "shelf"
material = "1x8"
length = "31 in"
count = 11

[[part]]
name = "skin"
material = "siding-panel"
length = "47 in"
width = "20 in"
count = 9
"""
PLANNED = (
    "import sys; from optimizer import clock; clock.FAR = clock.LEAST = 1e4; from cli.main import main; "
    "sys.exit(main(sys.argv[1:]))"
)
SECONDS = 100_000.0
"""So many that no deadline is near."""


@pytest.fixture
def job(tmp_path):
    path = tmp_path / "shed.toml"
    prices = ROOT / "cli" / "examples" / "cider-house-prices.csv"
    path.write_text(JOB.format(prices=prices.as_posix()), encoding="utf-8")
    return path


def files(job, seconds=SECONDS):
    """Give what is written for a job, but the page, and what plan.json holds."""
    arguments = Namespace(job=str(job), prices=None, length=None, width=None, pitch=None)
    report, faults = planned_report(load(arguments), Clock(seconds))
    assert faults == ()
    written = files_of(report)
    return {name: written[name] for name in ("plan.json", "buy.csv", "cut.csv")}, json.loads(
        written["plan.json"]
    )


def test_one_worker_and_several_write_the_same(job, monkeypatch):
    """To the byte, all that was studied included; proved, and cut short by nothing."""
    usual, plan = files(job)
    assert plan["proved"]
    assert plan["cut_short"] == []
    assert plan["savings"]
    assert plan["price_limits"]

    for workers in (1, 3):
        monkeypatch.setattr(engine, "CPSAT_WORKERS", workers)
        assert files(job)[0] == usual


def test_a_day_that_flies_changes_nothing(job, monkeypatch):
    """On a machine a thousand times slower, work ends where it does on this one: no choice reads a clock."""
    usual, _ = files(job)
    monkeypatch.setattr(clocks, "FAR", 1000 * clocks.FAR)
    monkeypatch.setattr(clocks, "LEAST", 1000 * clocks.LEAST)

    class Flying:
        @staticmethod
        def monotonic():
            return 1000 * time.monotonic()

    monkeypatch.setattr(clocks, "time", Flying)
    assert files(job, seconds=1000 * SECONDS)[0] == usual


def test_a_deadline_that_cuts_in_is_told(job, monkeypatch):
    """Where the study has no time left, plan and purchase are the same, and plan.json says what was cut."""
    usual, whole = files(job)
    studied = planned_report.__globals__["_study"]

    class Stopping:
        late = False

        @classmethod
        def monotonic(cls):
            return time.monotonic() + (2 * SECONDS if cls.late else 0.0)

    def study(*arguments):
        Stopping.late = True
        return studied(*arguments)

    monkeypatch.setattr(clocks, "time", Stopping)
    monkeypatch.setitem(planned_report.__globals__, "_study", study)
    written, plan = files(job)

    assert plan["cut_short"] == ["study"]
    assert written["buy.csv"] == usual["buy.csv"]
    assert written["cut.csv"] == usual["cut.csv"]
    assert {k for k in plan if plan[k] != whole[k]} <= {
        "cut_short",
        "savings",
        "rules",
        "assumed",
        "price_limits",
    }


def test_another_hash_seed_changes_nothing(job, tmp_path):
    """Nothing is read off a set in whatever order it happens to have."""
    written = []
    for seed in ("1", "2"):
        subprocess.run(
            [
                sys.executable,
                "-c",
                PLANNED,
                "plan",
                str(job),
                "--out",
                str(tmp_path / seed),
                "--seconds",
                "900",
            ],
            cwd=ROOT,
            env={**os.environ, "PYTHONHASHSEED": seed},
            check=True,
            capture_output=True,
        )
        written.append(
            [(tmp_path / seed / name).read_bytes() for name in ("plan.json", "buy.csv", "cut.csv")]
        )

    assert written[0] == written[1]
