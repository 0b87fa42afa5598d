"""A takeoff as JSON: what a building needs, for other programs."""

from __future__ import annotations

import json
from typing import Any

from optimizer.lengths import TapeUnit, as_number
from optimizer.words import Part, Surface
from takeoff.needs import Takeoff

__all__ = ["takeoff_json"]


def takeoff_json(takeoff: Takeoff) -> str:
    """Write a takeoff; lengths are exact numbers in its unit, as text, like those of plan.json."""
    unit = takeoff.unit
    document: dict[str, Any] = {
        "format": "seamwise-takeoff/1",
        "title": takeoff.title,
        "unit": unit,
        "dimensions": {name: as_number(length, unit) for name, length in takeoff.dimensions},
        "surfaces": [_surface(surface, unit) for surface in takeoff.surfaces],
        "runs": [
            {
                "label": run.label,
                "material": run.material,
                "length": as_number(run.length, unit),
                "lap": as_number(run.lap, unit),
                "shortest": as_number(run.shortest, unit),
                "seams": None if run.seams is None else [as_number(at, unit) for at in run.seams],
                "layer": run.layer,
                "begins": as_number(run.begins, unit),
                "bottom": as_number(run.bottom, unit),
                "beside": run.beside,
                "stagger": as_number(run.stagger, unit),
            }
            for run in takeoff.runs
        ],
        "parts": [_part(part, unit) for part in takeoff.parts],
        "by_area": [
            {"layer": count.layer, "material": count.material, "pieces": dict(count.pieces)}
            for count in takeoff.by_area
        ],
        "frame": [
            {
                "label": member.label,
                "count": member.count,
                "length": as_number(member.length, unit),
                "ends": member.ends,
            }
            for member in takeoff.members
        ],
        "counts": [
            {"label": count.label, "material": count.material, "quantity": count.quantity}
            for count in takeoff.counts
        ],
        "check": [
            {"level": c.level, "rule": c.rule, "source": c.source, "message": c.message}
            for c in takeoff.checks
        ],
        "assumed": [{"key": a.key, "message": a.message} for a in takeoff.assumptions],
    }
    return json.dumps(document, indent=2) + "\n"


def _surface(surface: Surface, unit: TapeUnit) -> dict[str, Any]:
    rule = surface.rule
    return {
        "label": surface.label,
        "material": surface.material,
        "length": as_number(surface.length, unit),
        "height": as_number(surface.height, unit),
        "upright": surface.upright,
        "outline": [[as_number(size, unit) for size in corner] for corner in surface.outline],
        "holes": [
            {
                "label": hole.label,
                **{name: as_number(getattr(hole, name), unit) for name in ("x", "y", "length", "height")},
            }
            for hole in surface.holes
        ],
        "edges": None if surface.edges is None else [as_number(at, unit) for at in surface.edges],
        "supports": [
            {"at": as_number(support.at, unit), "bears": support.bears, "seam": support.seam}
            for support in surface.supports
        ],
        "rule": {
            "min_supports": rule.min_supports,
            **{
                name: as_number(getattr(rule, name), unit)
                for name in (
                    "gap",
                    "shortest",
                    "stagger",
                    "narrowest",
                    "blocked_below",
                    "end_slack",
                    "top_slack",
                )
            },
        },
    }


def _part(part: Part, unit: TapeUnit) -> dict[str, Any]:
    return {
        "label": part.label,
        "material": part.material,
        "length": as_number(part.length, unit),
        "width": as_number(part.width, unit) if part.width else None,
        "count": part.count,
        "may_turn": part.may_turn,
        "slant": as_number(part.slant, unit),
    }
