"""`seamwise takeoff`: what the building needs, before anything is optimised."""

from __future__ import annotations

from argparse import Namespace

from rich.console import Console

from cli.files import print_out, standard_output
from cli.loading import load, taken_off
from cli.takeoff_json import takeoff_json
from cli.takeoff_list import print_takeoff

__all__ = ["run"]


def run(arguments: Namespace) -> None:
    """Print the takeoff, or write it as JSON."""
    loaded = load(arguments)
    takeoff = taken_off(loaded)
    if arguments.json:
        print_out(takeoff_json(takeoff))
        return
    console = Console(highlight=False)
    with standard_output(), console.capture() as printed:
        print_takeoff(takeoff, console)
    print_out(printed.get())
