"""What an audit says when a plan breaks a rule."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["Complaint", "Rule"]

Rule = Literal[
    # lay
    "unknown run",
    "uncovered",
    "laid twice",
    "course number",
    "course length",
    "bottom",
    "top",
    "narrowest",
    "blocked",
    "piece length",
    "end",
    "gap",
    "lap",
    "seam",
    "seams listed",
    "supports listed",
    "min supports",
    "shortest",
    "stagger",
    # cut
    "label",
    "cut id",
    "stock",
    "stock size",
    "kerf",
    "repeat",
    "step",
    "stages",
    "inside",
    "overlap",
    "region",
    "unknown piece",
    "material",
    "turned",
    "size",
    "slant",
    "missing piece",
    "cut twice",
    "leftover",
    # buy
    "bought stock",
    "bought twice",
    "needed",
    "packs",
    "available",
    "spare",
    "unit price",
    "cost",
    "total",
    "bound",
    "pieces",
    "trips",
    "yards",
    "outcome",
    "outcome cost",
    "proved",
    # everywhere
    "exact",
]
"""Every rule the audit knows, in the order it looks."""


@dataclass(frozen=True, slots=True)
class Complaint:
    """One rule that a plan breaks: which, where (a course, a cut, a line of Buy), and how."""

    rule: Rule
    where: str
    message: str
