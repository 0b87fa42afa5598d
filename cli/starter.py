"""The starter job: an example's live lines, and every other key as a comment with its default."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from importlib.resources import files
from itertools import groupby
from textwrap import wrap
from typing import Any

from takeoff.keys import Key, job_keys, toml

__all__ = ["example", "starter_job", "starter_prices"]

_WIDE = 108
JOB, PRICES = "cider-house.toml", "cider-house-prices.csv"

_HEAD = """\
# A job for seamwise: a cider house in an orchard, made up from end to end. Change it into your own building.
#
# Live lines differ from the default, or show where a thing is written. A line that starts with # is asleep:
# it shows a default, or an example where a key is left out by default; take the # away to change it. A table
# is asleep as a whole: wake its [heading] together with its keys. Lines that start with ## only explain.
#
# Lengths are written like "12 ft 4-1/2 in", "148.5 in", "3771.9 mm" or "2.44 m".
"""


def example(name: str) -> str:
    """Give the text of one of the example files."""
    return (files("cli") / "examples" / name).read_text(encoding="utf-8")


def starter_prices() -> str:
    """Give the example's price book."""
    return example(PRICES)


def starter_job(prices: str) -> str:
    """
    Write the starter job.

    Parameters
    ----------
    prices
        Name of its price book, a file beside it.
    """
    live = tomllib.loads(example(JOB)) | {"prices": prices}
    blocks = [_HEAD]
    for (table, repeated), group in groupby(job_keys(), key=lambda key: (key.table, key.repeated)):
        keys = tuple(group)
        found = _at(live, table)
        entries: Sequence[Mapping[str, Any] | None] = found if isinstance(found, list) else [found]
        blocks += ["\n".join(_block(table, repeated, keys, entry)) + "\n" for entry in entries]
    return "\n".join(blocks)


def _at(live: Mapping[str, Any], table: str) -> Any:
    found: Any = live
    for name in table.split(".") if table else ():
        found = found.get(name) if isinstance(found, Mapping) else None
    return found


def _block(table: str, repeated: bool, keys: Sequence[Key], live: Mapping[str, Any] | None) -> Iterator[str]:
    """Write one table; without a live entry all of it is asleep."""
    if table:
        heading = f"[[{table}]]" if repeated else f"[{table}]"
        yield heading if live is not None else f"# {heading}"
    for key in keys:
        if live is not None and key.name in live:
            line = f"{key.name} = {toml(live[key.name])}"
        else:
            line = f"# {key.name} = {key.default or key.example}"
        told = key.description
        if line.startswith("#") and not (key.default or key.required or "left out" in told):
            told += " (left out by default)"
        if len(line) + len(told) + 4 <= _WIDE:
            yield f"{line}  # {told}"
        else:
            yield from wrap(told, _WIDE, initial_indent="## ", subsequent_indent="## ")
            yield line
