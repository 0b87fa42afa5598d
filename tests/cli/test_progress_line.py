"""The line that shows progress: best, bound, gap and time left, in money where there are prices."""

from __future__ import annotations

import re

from cli.solving import ProgressLine
from optimizer.engine import Progress
from optimizer.words import Stock


class Terminal:
    """Standard error as a terminal that keeps what is written."""

    def __init__(self) -> None:
        self.written = ""

    def isatty(self) -> bool:
        return True

    def write(self, text: str) -> None:
        self.written += text

    def flush(self) -> None:
        pass


def shown(monkeypatch, price: int | None) -> str:
    terminal = Terminal()
    monkeypatch.setattr("sys.stderr", terminal)
    stocks = (Stock("1x6 8 ft", "1x6", "board", 100, 10, price=price),)
    ProgressLine(stocks, 30.0)(Progress("1x6", 15680, 15575))
    return terminal.written


def test_money_where_every_size_has_a_price(monkeypatch):
    """Cents as money, the gap in per cent, and the seconds that are left."""
    line = shown(monkeypatch, 760)

    assert re.search(r"planning 1x6, best 156.80, bound 155.75, gap 0.7 %, (29|30) s left", line)


def test_pieces_without_prices(monkeypatch):
    """Where something has no price the plan counts pieces, and so does the line."""
    assert "best 15,680 pieces" in shown(monkeypatch, None)
