"""`python -m benchmarks TABLE`: measure one family of questions; each table has options of its own."""

from __future__ import annotations

import sys
from importlib import import_module

TABLES = ("boards", "layers", "roofs", "sheets")


def main(argv: list[str]) -> int:
    """Run one table; give the exit code."""
    if not argv or argv[0] not in TABLES:
        print(
            f"usage: python -m benchmarks {{{','.join(TABLES)}}} [options]; --help after a table lists them"
        )
        return 2
    return int(import_module(f"benchmarks.{argv[0]}").main(argv[1:]))


if __name__ == "__main__":
    raise SystemExit(main(sys.argv[1:]))
