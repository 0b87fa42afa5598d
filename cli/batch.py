"""Many jobs planned side by side, on this machine's cores or on a cluster's."""

from __future__ import annotations

import os
import signal
from argparse import Namespace
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import (
    BrokenExecutor,
    CancelledError,
    Executor,
    Future,
    ProcessPoolExecutor,
    as_completed,
)
from contextlib import contextmanager
from dataclasses import dataclass, replace
from multiprocessing import active_children, get_context
from pathlib import Path

from cli.loading import Loaded, load
from cli.plan_json import gap_of
from cli.planning import files_of, planned_report
from optimizer.engine import Clock
from optimizer.errors import Bug, InputError, SeamwiseError, TimeUp
from optimizer.lengths import TapeUnit

__all__ = ["Row", "jobs_in", "plan_all", "solvers"]


@dataclass(frozen=True, slots=True)
class Row:
    """
    What one job came to.

    Parameters
    ----------
    job
        Name of its file.
    length, width
        Of the building, in base units; 0 where the job could not be read.
    total
        Cents, tax and trips included; None where not priced or not planned.
    gap
        Between cost and bound, in per cent of the cost; None where it is not known.
    error
        Why there is no plan; None where there is one.
    faults
        What was left out of the report for a fault of this program's own.
    """

    job: str
    title: str = ""
    unit: TapeUnit = "in"
    length: int = 0
    width: int = 0
    currency: str = ""
    total: int | None = None
    pieces: int = 0
    weight: int = 0
    proved: bool = False
    gap: float | None = None
    error: SeamwiseError | None = None
    faults: tuple[str, ...] = ()


def jobs_in(folder: Path) -> tuple[Path, ...]:
    """
    Give the job files of a folder, by name.

    Raises
    ------
    InputError
        If it is no folder, or holds none.
    """
    if not folder.is_dir():
        what = "this is a file" if folder.exists() else "there is no such directory"
        raise InputError(f"{what}; name a directory of job files (*.toml)", str(folder))
    found = tuple(sorted(path for path in folder.glob("*.toml") if path.is_file()))
    if not found:
        raise InputError("there is no job file (*.toml) in this directory", str(folder))
    return found


@contextmanager
def solvers(workers: int | None, cluster: str | None) -> Iterator[Executor]:
    """
    Open what plans the jobs: so many processes of this machine, one a core if left out, or a Dask cluster.

    Raises
    ------
    InputError
        If Dask is not installed, or no scheduler answers at the address.
    """
    if cluster is None:
        with ProcessPoolExecutor(workers or os.cpu_count(), get_context("spawn"), _deaf) as pool:
            try:
                yield pool
            except KeyboardInterrupt:
                for process in active_children():
                    process.terminate()
                raise
        return
    try:
        from distributed import Client
    except ImportError:
        raise InputError(
            "Dask is not installed; add it with pip install 'seamwise[cluster]'", "--cluster"
        ) from None
    try:
        client = Client(cluster, timeout=10)
    except (OSError, ValueError) as error:
        raise InputError(f"no scheduler answers at {cluster!r} ({error})", "--cluster") from None
    with client:
        yield client.get_executor()


def _deaf() -> None:
    """Leave Ctrl-C to the process that waits for this one."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)


def plan_all(
    jobs: Sequence[Path],
    seconds: float,
    executor: Executor,
    done: Callable[[Row, dict[str, str]], None],
) -> tuple[Row, ...]:
    """
    Plan all jobs, each with its own time; one that can't be planned is no reason to leave the others.

    Ctrl-C leaves out those that have not begun.

    Parameters
    ----------
    done
        Called with every job as it is done, and what to write of it by file name.

    Returns
    -------
    tuple
        A row for each job, in their order.
    """
    rows = {path: Row(path.name) for path in jobs}
    waiting: dict[Future[tuple[Row, dict[str, str]]], Path] = {}
    for path in jobs:
        try:
            loaded = _loaded(path)
        except InputError as error:
            rows[path] = replace(rows[path], error=error)
            done(rows[path], {})
        else:
            waiting[executor.submit(_plan, path.name, loaded, seconds)] = path
    left = set(waiting)
    while left:
        try:
            for future in as_completed(left):
                left.discard(future)
                row, texts = _result(future, rows[waiting[future]])
                rows[waiting[future]] = row
                done(row, texts)
        except KeyboardInterrupt:
            cancelled = [future for future in left if future.cancel()]
            if not cancelled:
                raise
    return tuple(rows.values())


def _loaded(path: Path) -> Loaded:
    return load(Namespace(job=str(path), prices=None, length=None, width=None, pitch=None))


def _result(future: Future[tuple[Row, dict[str, str]]], row: Row) -> tuple[Row, dict[str, str]]:
    try:
        return future.result()
    except CancelledError:
        return replace(row, error=TimeUp("not begun when it was interrupted")), {}
    except BrokenExecutor as error:
        return replace(row, error=Bug(f"the process that planned it ended ({error})")), {}


def _plan(name: str, loaded: Loaded, seconds: float) -> tuple[Row, dict[str, str]]:
    """Plan one job, in a process of its own."""
    job = loaded.job
    row = Row(name, job.title, job.tape, job.length, job.width, loaded.prices.book.currency)
    try:
        report, faults = planned_report(loaded, Clock(seconds))
        texts = files_of(report)
    except SeamwiseError as error:
        return replace(row, error=error), {}
    except Exception as error:
        return replace(row, error=Bug(f"{type(error).__name__}: {error}")), {}
    plan, bill = report.plan, report.bill
    return (
        replace(
            row,
            total=bill.total,
            pieces=plan.pieces,
            weight=bill.weight,
            proved=plan.proved,
            gap=gap_of(plan),
            faults=tuple(faults),
        ),
        texts,
    )
