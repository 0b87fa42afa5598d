"""From arguments to a job and a price book."""

from __future__ import annotations

from argparse import Namespace
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from cli.files import STANDARD_INPUT, Source, read_toml
from cli.price_book import PriceBook, read_price_book
from cli.rack import read_rack, with_rack
from cli.yard_books import read_yards
from optimizer.errors import InputError
from optimizer.words import Problem, Yard
from takeoff.carry import carried
from takeoff.collect import take_off
from takeoff.fit import check_fit
from takeoff.job import Job, parse_job
from takeoff.needs import Takeoff
from takeoff.sizes import standard_book

__all__ = ["Loaded", "load", "question", "reloaded", "taken_off"]


@dataclass(frozen=True, slots=True)
class Loaded:
    """A job as typed and as read, with its price book."""

    source: Source
    job: Job
    prices: PriceBook


def load(arguments: Namespace) -> Loaded:
    """
    Read the job and the price book that the arguments name.

    Without a price book the usual sizes stand in, unpriced.

    Raises
    ------
    InputError
        If something can't be used; names the file, the line and the key.
    """
    source = _source(arguments)
    job = _parsed(source)
    return Loaded(source, job, _prices(arguments.prices, source, job))


def reloaded(loaded: Loaded, data: Mapping[str, Any]) -> Loaded:
    """
    Give a job with other data; its prices are read again only where it names other yards.

    Raises
    ------
    InputError
        As `load` does.
    """
    source = replace(loaded.source, data=dict(data))
    job = _parsed(source)
    if (job.yard, job.carry, job.rack) != (loaded.job.yard, loaded.job.carry, loaded.job.rack):
        return Loaded(source, job, _prices(None, source, job))
    return Loaded(source, job, loaded.prices)


def _parsed(source: Source) -> Job:
    try:
        return parse_job(source.data, source.name)
    except InputError as error:
        key = error.where.removeprefix(source.name).removeprefix(": ")
        raise InputError(error.message, source.place(key)) from None


def taken_off(loaded: Loaded) -> Takeoff:
    """
    Take off a job.

    Raises
    ------
    InputError
        If the job can't be built as it is, or a part fits no stock; names the file, the line and the key.
    """
    book = loaded.prices.book
    try:
        takeoff = take_off(loaded.job, book)
        check_fit(loaded.job, book, takeoff)
        return takeoff
    except InputError as error:
        raise InputError(error.message, loaded.source.place(error.where)) from None


def question(loaded: Loaded, takeoff: Takeoff) -> Problem:
    """Ask for all of a takeoff from what yards and rack have, trips counted where they matter."""
    job = loaded.job
    load = job.carry.load if job.carry else None
    yards = tuple(Yard(yard.name, yard.trip) for yard in job.yard)
    return replace(
        takeoff.problem(loaded.prices.book.stocks()),
        yards=yards or ((Yard(""),) if load is not None else ()),
        load=load,
        tax=Fraction(job.tax_percent or 0) / 100,
    )


def _source(arguments: Namespace) -> Source:
    typed = {key: getattr(arguments, key) for key in ("length", "width", "pitch")}
    given = {key: value for key, value in typed.items() if value is not None}
    if arguments.job is None:
        missing = [f"--{key}" for key in typed if key not in given]
        if missing:
            raise InputError(
                f"{', '.join(missing)} missing; give a job file, or --length, --width and --pitch together",
                "command line",
            )
        return Source(given, "command line")
    if given:
        raise InputError(
            f"--{next(iter(given))} stands beside the job file {arguments.job}; write it in the job, or "
            "leave the file out",
            "command line",
        )
    if arguments.job == arguments.prices == STANDARD_INPUT:
        raise InputError("the job and the price book can't both come from standard input", "command line")
    return read_toml(arguments.job)


def _prices(given: str | None, source: Source, job: Job) -> PriceBook:
    if given is not None:
        if job.yard:
            raise InputError(
                "--prices stands beside a [[yard]] of the job, which names prices of its own; leave one out",
                "command line",
            )
        found = read_price_book(given)
    elif job.yard:
        found = read_yards(
            job.yard,
            lambda prices: str(source.folder / prices),
            lambda number: source.place(f"yard[{number}].prices"),
        )
    elif job.prices is not None:
        try:
            found = read_price_book(str(source.folder / job.prices))
        except InputError as error:
            if error.where != str(source.folder / job.prices):
                raise
            raise InputError(
                f"the price book {error.where}: {error.message}", source.place("prices")
            ) from None
    else:
        found = PriceBook(standard_book(), "")
    book = replace(found.book, currency=job.currency or found.book.currency)
    if job.rack is not None:
        path = source.folder / job.rack
        try:
            book = with_rack(book, read_rack(path))
        except InputError as error:
            if error.where != str(path):
                raise
            raise InputError(f"the rack {error.where}: {error.message}", source.place("rack")) from None
    return replace(found, book=carried(book, job))
