"""Long work in a thread of its own, so that Ctrl-C ends the search and not the program; a progress line."""

from __future__ import annotations

import sys
import threading
import time
from collections.abc import Callable, Iterable
from typing import Generic, TypeVar

from optimizer.engine import Clock, Progress
from optimizer.errors import TimeUp
from optimizer.money import format_cents
from optimizer.words import Stock

__all__ = ["ProgressLine", "StatusLine", "finish_or_stop"]

T = TypeVar("T")


class _Work(threading.Thread, Generic[T]):
    """Calls a function and keeps what it gave or raised."""

    def __init__(self, work: Callable[[], T]) -> None:
        super().__init__(daemon=True)
        self._work = work
        self.gave: T | None = None
        self.raised: BaseException | None = None
        self.over = threading.Event()

    def run(self) -> None:
        try:
            self.gave = self._work()
        except BaseException as error:  # handed on to the thread that waits
            self.raised = error
        finally:
            self.over.set()

    def wait(self) -> None:
        """
        Wait until the work is over.

        On an event, for a join that is interrupted may take the thread for ended; in short spells, for on
        some systems a wait without end can't be interrupted.
        """
        while not self.over.wait(0.5):
            pass


def finish_or_stop(work: Callable[[], T], clock: Clock) -> tuple[T, bool]:
    """
    Run work that obeys a clock; Ctrl-C stops the clock and then still waits for what the work gives.

    Returns
    -------
    tuple
        What the work gave, and True if it was stopped early.

    Raises
    ------
    KeyboardInterrupt
        At a second Ctrl-C, or if the work had nothing to give yet.
    """
    thread = _Work(work)
    thread.start()
    stopped = False
    try:
        thread.wait()
    except KeyboardInterrupt:
        stopped = True
        clock.stop()
        thread.wait()
    if stopped and isinstance(thread.raised, TimeUp):
        raise KeyboardInterrupt
    if thread.raised is not None:
        raise thread.raised
    return thread.gave, stopped  # type: ignore[return-value]  # T may itself be None


class StatusLine:
    """One line on standard error that is written over and over; silent where that is not a terminal."""

    def __init__(self) -> None:
        self._shown = ""
        self._live = sys.stderr.isatty()

    def show(self, text: str) -> None:
        """Write a text over the last one, as much of it as fits on a narrow terminal."""
        if self._live:
            self._write(text[:79])

    def clear(self) -> None:
        """Wipe the line."""
        if self._shown:
            self._write("")

    def _write(self, text: str) -> None:
        sys.stderr.write("\r" + text.ljust(len(self._shown)) + ("" if text else "\r"))
        sys.stderr.flush()
        self._shown = text


class ProgressLine(StatusLine):
    """
    A status line of a search: best, bound, gap and the time that is left.

    Parameters
    ----------
    stocks
        All that may be bought: the progress of a material is in cents where each of its sizes has a price,
        else in pieces.
    seconds
        That the whole work may take.
    """

    def __init__(self, stocks: Iterable[Stock], seconds: float) -> None:
        self._unpriced = {stock.material for stock in stocks if stock.price is None}
        self._end = time.monotonic() + seconds
        super().__init__()

    def __call__(self, progress: Progress) -> None:
        """Show progress."""
        self.show(self._text(progress))

    def _text(self, progress: Progress) -> str:
        amount = "{:,} pieces".format if progress.material in self._unpriced else format_cents
        parts = [f"planning {progress.material}"]
        if progress.best is not None:
            parts.append(f"best {amount(progress.best)}")
        if progress.bound is not None:
            parts.append(f"bound {amount(progress.bound)}")
        if progress.best and progress.bound is not None:
            parts.append(f"gap {100 * (progress.best - progress.bound) / progress.best:.1f} %")
        parts.append(f"{max(0, round(self._end - time.monotonic())):,} s left")
        return ", ".join(parts)
