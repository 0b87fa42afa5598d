"""`seamwise new`: a commented starter job, with its price book beside it."""

from __future__ import annotations

from argparse import Namespace
from pathlib import Path

from cli.files import print_out, write_files
from cli.starter import starter_job, starter_prices
from optimizer.errors import InputError

__all__ = ["run"]


def run(arguments: Namespace) -> None:
    """
    Write both files, or neither; one that exists is left alone.

    Raises
    ------
    InputError
        If the name does not end in .toml, a file is there already, or one can't be written.
    """
    target = Path(arguments.file)
    if target.suffix.lower() != ".toml":
        raise InputError("a job file's name ends in .toml", str(target))
    prices = f"{target.stem}-prices.csv"
    texts = {target.name: starter_job(prices), prices: starter_prices()}
    job, book = write_files(target.parent, texts, replace=False)
    print_out(f"Wrote {job} and its price book {book} (prices invented). Now: seamwise plan {job}\n")
