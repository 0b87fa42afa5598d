"""`seamwise takeoff`: what the building needs, before anything is optimised."""

from __future__ import annotations

import sys
from argparse import Namespace

from rich.console import Console

from cli.loading import load, taken_off
from cli.takeoff_json import takeoff_json
from cli.takeoff_list import print_takeoff

__all__ = ["run"]


def run(arguments: Namespace) -> None:
    """Print the takeoff, or write it as JSON."""
    loaded = load(arguments)
    takeoff = taken_off(loaded)
    if arguments.json:
        sys.stdout.write(takeoff_json(takeoff))
        return
    console = Console(highlight=False)
    with console.capture() as printed:
        print_takeoff(takeoff, console)
    sys.stdout.write(printed.get())
