"""A job planned, and then whatever is set beside its plan, in one allowance of time."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TypeVar

from cli.loading import Loaded
from cli.options import Planned, planned
from cli.solving import ProgressLine, finish_or_stop
from optimizer.engine import Clock

__all__ = ["planned_with"]

T = TypeVar("T")


def planned_with(
    loaded: Loaded, seconds: float, parts: int, others: Callable[[Planned, Clock], Iterable[T]]
) -> tuple[Planned, list[T]]:
    """
    Plan a job in one of so many parts of the time, and in the rest what is set beside it.

    Ctrl-C ends the search and keeps what was found.

    Parameters
    ----------
    others
        Gives, from the plan and a clock, one after the other what stands beside the plan.
    """
    line = ProgressLine(loaded.prices.book.stocks(), seconds)
    clock = Clock(seconds, watch=line)
    found: list[T] = []
    try:
        share = clock.share(clock.left() / parts)
        base, stopped = finish_or_stop(lambda: planned(loaded, share), clock)
        if not stopped:
            finish_or_stop(lambda: found.extend(others(base, clock)), clock)
    finally:
        line.clear()
    return base, found
