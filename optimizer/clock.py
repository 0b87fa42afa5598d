"""How long a search may take: an allowance of work, counted the same everywhere, and a fence in seconds."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from math import sqrt

__all__ = ["Clock", "Progress"]

FAR = 20.0
"""Seconds of the day that a share of one second's work may take, for a machine may be slow or busy."""

LEAST = 10.0
"""Seconds of the day that any share may take besides: to compile something for the first time, for one."""

MOST = 0.8
"""Part of the time left that any share may take; a share of nearly all the work may take more."""


@dataclass(frozen=True, slots=True)
class Progress:
    """What is known of one material while it is being solved; cents, or pieces where nothing is priced."""

    material: str
    best: int | None
    bound: int | None


class _Meter:
    """Shared by a clock and its shares: the work done, one stop that ends them all, the fences met."""

    def __init__(self) -> None:
        self.done = 0.0
        self.fences = 0
        self.stopped = False
        self._lock = threading.Lock()
        self._cancels: list[Callable[[], None]] = []

    def stop(self) -> None:
        with self._lock:
            self.stopped = True
            cancels = list(self._cancels)
        for cancel in cancels:
            cancel()

    @contextmanager
    def holding(self, cancel: Callable[[], None]) -> Iterator[None]:
        with self._lock:
            self._cancels.append(cancel)
            late = self.stopped
        if late:
            cancel()
        try:
            yield
        finally:
            with self._lock:
                self._cancels.remove(cancel)


class Clock:
    """
    An allowance of work with a deadline round it; the deadline can also be called early, from another thread.

    Work is counted in seconds, those of a usual machine, but it is counted: a solver's rounds and iterations,
    patterns listed, sheets taken apart. So what fits into an allowance is the same on every machine, busy or
    not, and equal questions get equal answers. The deadline is for people who wait, and `fences` tells
    whether it cut anything short.

    Parameters
    ----------
    seconds
        Of work, and of wall time from now.
    watch
        Called with every `Progress`.
    """

    def __init__(self, seconds: float, watch: Callable[[Progress], None] | None = None) -> None:
        self._start = time.monotonic()
        self._fence = self._start + seconds
        self._watch = watch
        self._meter = _Meter()
        self._allowed = seconds

    def left(self) -> float:
        """Give the seconds of work that remain; 0 once stopped, or when the deadline is past."""
        if self._meter.stopped:
            return 0.0
        work = max(0.0, self._allowed - self._meter.done)
        if work and time.monotonic() >= self._fence:
            self.late()
            return 0.0
        return work

    def wait(self) -> float:
        """Give the seconds of the day until the deadline; 0 once stopped."""
        return 0.0 if self._meter.stopped else max(0.0, self._fence - time.monotonic())

    def spend(self, seconds: float) -> None:
        """Count work that was done; the same for equal work, whatever time it took."""
        self._meter.done += seconds

    def late(self) -> None:
        """Note that the deadline ended something that had work left."""
        self._meter.fences += not self._meter.stopped

    @property
    def fences(self) -> int:
        """Give how often a deadline, this one's or that of a share, cut work short."""
        return self._meter.fences

    @property
    def worked(self) -> float:
        """Give the seconds of work counted so far, by whoever shares this clock."""
        return self._meter.done

    def spent(self) -> float:
        """Give the seconds of the day since the start."""
        return time.monotonic() - self._start

    def stop(self) -> None:
        """End every solve that runs under this clock or a share of it, and let none start."""
        self._meter.stop()

    def share(self, seconds: float) -> Clock:
        """
        Give a clock that allows at most `seconds` of what work is left and obeys the same stop.

        Its deadline lies far behind that, but leaves some of the time to what comes after.
        """
        left, wait = self.left(), self.wait()
        share = Clock(min(seconds, left), self._watch)
        part = share._allowed / left if left else 0.0
        share._meter = self._meter
        share._fence = share._start + min(LEAST + FAR * share._allowed, max(MOST, sqrt(part)) * wait)
        share._allowed += self._meter.done
        return share

    def holding(self, cancel: Callable[[], None]) -> AbstractContextManager[None]:
        """Let `stop` call `cancel` while the block runs."""
        return self._meter.holding(cancel)

    def tell(self, progress: Progress) -> None:
        """Pass progress on to whoever watches."""
        if self._watch is not None:
            self._watch(progress)
