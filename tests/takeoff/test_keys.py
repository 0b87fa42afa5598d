"""The list of keys that a starter file is written from."""

from __future__ import annotations

import tomllib

from small_jobs import job_of

from takeoff.job import Job, parse_job
from takeoff.keys import job_keys


def test_every_key_is_explained():
    """No key lacks its meaning, and each has a default or an example to show."""
    assert [key for key in job_keys() if not key.description] == []
    assert [key for key in job_keys() if not key.example] == []


def test_every_top_level_key_of_the_job_is_listed():
    """The list holds the job's own keys and all its tables."""
    listed = {key.name for key in job_keys() if not key.table} | {key.table for key in job_keys()}

    assert set(Job.model_fields) <= listed


def test_writing_every_default_out_changes_nothing():
    """A file that spells every default out is the same job as one that leaves them all out."""
    lines: dict[str, list[str]] = {}
    for key in job_keys():
        # A table that is off unless the job has it is switched on by its heading.
        off = key.table and Job.model_fields[key.table.partition(".")[0]].default is None
        if key.default and not key.repeated and not off:
            lines.setdefault(key.table, []).append(f"{key.name} = {key.default}")
    text = "\n".join(lines.pop("")) + "".join(
        f"\n[{name}]\n" + "\n".join(body) for name, body in lines.items()
    )
    three = {"length": "16 ft", "width": "10 ft", "pitch": 6}

    assert parse_job(tomllib.loads(text) | three, "spelt out") == job_of()


def test_every_example_can_be_read():
    """Each example is a value that its key takes, tried alone beside what its table needs."""
    refuses = {"peak_height", "wall_height"}
    for key in job_keys():
        if key.table or key.name in refuses:
            continue
        parse_job(
            {"length": "16 ft", "width": "10 ft", "pitch": 6} | _value(key.name, key.example), "example"
        )


def test_examples_of_tables_can_be_read():
    """Each example inside a table is read too, beside the roof that it is for."""
    tables: dict[str, list[str]] = {}
    shapes = {"[gambrel]": ("gambrel", 12), "[wing]": ("L", 6), "[[plane]]": ("planes", 6)}
    for key in job_keys():
        if key.table == "plane" and key.name in ("points", "rafters"):
            continue
        if key.table == "part" and key.name in ("slant", "ends", "width", "jointed"):
            continue
        if key.table:
            heading = f"[[{key.table}]]" if key.repeated else f"[{key.table}]"
            tables.setdefault(heading, []).append(f"{key.name} = {key.example}")
    texts = {heading: f"{heading}\n" + "\n".join(body) + "\n" for heading, body in tables.items()}
    for heading, (roof, pitch) in shapes.items():
        keys = {"length": "16 ft", "width": "10 ft", "pitch": pitch, "roof": roof}
        parse_job(tomllib.loads(texts.pop(heading)) | keys, heading)
    text = "".join(texts.values())

    job = parse_job(tomllib.loads(text) | {"length": "16 ft", "width": "10 ft", "pitch": 6}, "examples")

    assert len(job.door) == len(job.part) == 1


def _value(name: str, example: str) -> dict[str, object]:
    return tomllib.loads(f"{name} = {example}")
