"""A building becomes the surfaces, runs, parts and counts that cover it; nothing here optimises."""

from __future__ import annotations

from takeoff.collect import take_off
from takeoff.job import Job, parse_job
from takeoff.needs import Takeoff

__all__ = ["Job", "Takeoff", "parse_job", "take_off"]
