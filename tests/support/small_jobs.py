"""Jobs of three numbers and whatever else a test is about."""

from __future__ import annotations

from typing import Any

from optimizer.lengths import parse_length
from takeoff.job import Job, parse_job
from takeoff.needs import Needed

__all__ = ["inches", "job_of", "levels"]

THREE = {"length": "16 ft", "width": "10 ft", "pitch": 6}


def job_of(**keys: Any) -> Job:
    """Read a job from the three numbers and these keys; None takes a key away."""
    return parse_job({key: value for key, value in (THREE | keys).items() if value is not None}, "job.toml")


def inches(text: str) -> int:
    """Read inches as written: 95-7/8."""
    return parse_length(text, "in")


def levels(found: Needed, rule: str) -> list[str]:
    """Give the level of every check of a rule: pass, warn or note."""
    return [check.level for check in found.checks if check.rule == rule]
