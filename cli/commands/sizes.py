"""`seamwise sizes`: which small change of a dimension saves money."""

from __future__ import annotations

import json
from argparse import Namespace

from rich.console import Console

from cli.beside import planned_with
from cli.files import print_out, standard_output
from cli.loading import load
from cli.options import Planned
from cli.paper import paper_for
from cli.plan_json import in_units
from cli.sections.sizes import print_sizes
from cli.site.beside import write_beside
from cli.sizes import Curve, curves, ranges_of

__all__ = ["run"]


def run(arguments: Namespace) -> None:
    """Plan the job, then every candidate, and print what each costs."""
    loaded = load(arguments)
    ranges = ranges_of(loaded, arguments.vary)
    base, found = planned_with(loaded, arguments.seconds, 3, lambda base, clock: curves(base, ranges, clock))
    written = write_beside(arguments.out, base, curves=found)
    if arguments.json:
        print_out(_as_json(base, found))
        return
    console = Console(highlight=False)
    with standard_output(), console.capture() as printed:
        print_sizes(base, found, paper_for(console, base.takeoff.unit, loaded.prices.book.currency))
    print_out(printed.get())
    print_out(written)


def _as_json(base: Planned, found: list[Curve]) -> str:
    whole = {
        "format": "seamwise-sizes/1",
        "currency": base.loaded.prices.book.currency,
        "total": in_units(base.bill.total),
        "curves": [
            {
                "key": curve.key,
                "candidates": [
                    {
                        "value": c.shown,
                        "total": in_units(c.cents),
                        "panels": c.panels,
                        "proved": c.proved,
                        "now": c.place == curve.now,
                        "reason": c.reason,
                    }
                    for c in curve.candidates
                ],
            }
            for curve in found
        ],
    }
    return json.dumps(whole, indent=2, ensure_ascii=False) + "\n"
