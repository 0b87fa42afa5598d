"""`seamwise compare`: options side by side, each planned anew."""

from __future__ import annotations

import json
from argparse import Namespace

from rich.console import Console

from cli.beside import planned_with
from cli.files import print_out, standard_output
from cli.loading import load
from cli.options import Option, Planned, options, swapped
from cli.paper import paper_for
from cli.plan_json import in_units
from cli.sections.options import print_options
from cli.site.beside import write_beside

__all__ = ["run"]


def run(arguments: Namespace) -> None:
    """Plan the job, then every option, and print them side by side."""
    loaded = load(arguments)
    for swap in arguments.swap:
        swapped(loaded, swap)  # A slip is told before anything is planned.
    base, found = planned_with(
        loaded, arguments.seconds, 2, lambda base, clock: options(base, arguments.swap, clock)
    )
    written = write_beside(arguments.out, base, found=found)
    if arguments.json:
        print_out(_as_json(base, found))
        return
    console = Console(highlight=False)
    with standard_output(), console.capture() as printed:
        book = loaded.prices.book
        print_options(base, found, paper_for(console, base.takeoff.unit, book.currency))
    print_out(printed.get())
    print_out(written)


def _as_json(base: Planned, found: list[Option]) -> str:
    """Write the options as JSON; money in the currency's units, None where something has no price."""

    def planned_keys(plan: Planned) -> dict[str, object]:
        return {
            "total": in_units(plan.bill.total),
            "weight_kg": round(plan.bill.weight / 1000, 3),
            "pieces": plan.plan.pieces,
            "proved": plan.plan.proved,
        }

    rows = []
    for option in found:
        rows.append(
            {
                "option": option.name,
                **({} if option.found is None else planned_keys(option.found)),
                "beside": in_units(option.more),
                "changes": [
                    {"item": c.item, "before": c.before, "after": c.after, "cost": in_units(c.cents)}
                    for c in option.changed
                ],
                "notes": list(option.notes),
                "reason": option.reason,
            }
        )
    whole = {
        "format": "seamwise-options/1",
        "currency": base.loaded.prices.book.currency,
        "job": planned_keys(base),
        "options": rows,
    }
    return json.dumps(whole, indent=2, ensure_ascii=False) + "\n"
