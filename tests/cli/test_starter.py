"""The starter job: valid as written, complete, and true about the defaults."""

from __future__ import annotations

import re
import tomllib

import pytest

from cli.starter import starter_job
from takeoff.job import Job, parse_job
from takeoff.keys import job_keys

TEXT = starter_job("my-prices.csv")
LIVE = [line for line in TEXT.splitlines() if line and not line.startswith(("#", "["))]


def test_parses_as_it_is():
    """The starter job is a job."""
    job = parse_job(tomllib.loads(TEXT), "starter")

    assert job.prices == "my-prices.csv"
    assert job.title == "Cider house in the orchard"


def test_about_fifteen_live_lines():
    """A builder has about fifteen lines to look at; all others are asleep."""
    assert 12 <= len(LIVE) <= 20


def test_every_key_is_there_once_a_table():
    """Every key of a job stands in the starter, live or asleep."""
    for key in job_keys():
        assert re.search(rf"^(# )?{re.escape(key.name)} = ", TEXT, re.MULTILINE), key


def test_waking_a_default_changes_nothing():
    """Every line that is asleep with a default says what holds without it."""
    plain = parse_job(tomllib.loads(TEXT), "starter")
    defaults = {(key.table, f"# {key.name} = {key.default}") for key in job_keys() if key.default}
    tables = {key.table for key in job_keys() if key.table}
    lines = TEXT.splitlines()
    # A table that is off unless the job has it stays asleep, for it means something just by being there.
    for table in tables:
        if Job.model_fields[table.partition(".")[0]].default in (None, ()):
            for heading in {f"# [{table}]", f"# [[{table}]]"} & set(lines):
                lines = _without(lines, heading)
    woken, table = "", ""
    for line in lines:
        if heading := re.fullmatch(r"(?:# )?\[+([\w.]+)\]+", line):
            table, line = heading[1], line.removeprefix("# ")
        awake = (table, line.partition("  #")[0]) in defaults
        woken += f"{line.removeprefix('# ') if awake else line}\n"

    assert parse_job(tomllib.loads(woken), "starter") == plain


def _without(lines: list[str], heading: str) -> list[str]:
    start = lines.index(heading)
    end = next((i for i in range(start, len(lines)) if not lines[i]), len(lines))
    return lines[:start] + lines[end:]


@pytest.mark.parametrize("line", LIVE)
def test_no_live_line_is_long(line):
    """Live lines fit a screen."""
    assert len(line) <= 108
