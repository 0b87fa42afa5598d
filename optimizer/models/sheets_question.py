"""
A cutting question in small whole numbers: kerf added, the common step divided out, equal parts merged.

Adding the kerf to every part and every sheet leaves a question without kerf that has the same answers: n
pieces in a row take n - 1 kerfs, and the last kerf may run out over the edge.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import gcd

from optimizer.cut_trees import TIGHT
from optimizer.errors import NoPlan
from optimizer.lengths import INCH, format_length
from optimizer.words import Part, Saw, Stock

__all__ = ["Item", "Question", "Shape", "Sheet", "question_of"]


@dataclass(frozen=True, slots=True)
class Sheet:
    """
    A stock in steps, kerf added: its size, the cost of a pack, packs there are, pieces in a pack.

    A row of pieces longer than `loose_length` or `loose_width` is tight.
    """

    length: int
    width: int
    cost: int
    packs: int | None = None
    pack: int = 1
    loose_length: int = 0
    loose_width: int = 0

    @property
    def limit(self) -> int | None:
        """Pieces there are; None without limit."""
        return None if self.packs is None else self.packs * self.pack


@dataclass(frozen=True, slots=True)
class Item:
    """Equal parts in steps, kerf added: `width` 0 keeps the stock's width, `count` of them are wanted."""

    length: int
    width: int
    count: int
    may_turn: bool = False


@dataclass(frozen=True, slots=True, order=True)
class Shape:
    """An item as it lies on a sheet: `along` the sheet's length and `across` it."""

    along: int
    across: int
    item: int
    turned: bool = False


@dataclass(frozen=True)
class Question:
    """Sheets and items; `step` base units make one step; `parts[i]` are the parts that became item i."""

    sheets: tuple[Sheet, ...]
    items: tuple[Item, ...]
    kerf: int = 0
    step: int = 1
    stocks: tuple[Stock, ...] = ()
    parts: tuple[tuple[Part, ...], ...] = ()

    def shapes(self, sheet: Sheet) -> tuple[Shape, ...]:
        """List how items can lie on a sheet, leaving out those that don't fit it."""
        return tuple(
            s for s in self._every_shape(sheet) if s.along <= sheet.length and s.across <= sheet.width
        )

    def _every_shape(self, sheet: Sheet) -> Iterator[Shape]:
        for number, item in enumerate(self.items):
            if not item.count:
                continue
            yield Shape(item.length, item.width or sheet.width, number)
            if item.may_turn and item.width and item.width != item.length:
                yield Shape(item.width, item.length, number, turned=True)

    @cached_property
    def counts(self) -> tuple[int, ...]:
        """How many of each item are wanted."""
        return tuple(item.count for item in self.items)

    def asking(self, counts: Sequence[int]) -> Question:
        """Ask for other numbers of the same items."""
        items = tuple(replace(i, count=n) for i, n in zip(self.items, counts, strict=True))
        return replace(self, items=items)

    def cost(self, used: Sequence[int]) -> int:
        """Give what so many pieces of each sheet cost, bought in whole packs."""
        return sum(-(-n // s.pack) * s.cost for n, s in zip(used, self.sheets, strict=True))


def question_of(stocks: Sequence[Stock], parts: Sequence[Part], saw: Saw) -> Question:
    """
    Put stocks of one material and the parts wanted from them into steps.

    Raises
    ------
    NoPlan
        If a part fits no stock; the text says which part and how far it outgrows the largest stock.
    """
    kerf = saw.kerf(stocks[0].kind) if stocks else 0
    wanted = [p for p in parts if p.count > 0]
    for part in wanted:
        _check_fits(stocks, part)
    merged: dict[tuple[int, int, bool], list[Part]] = {}
    for part in sorted(wanted, key=lambda p: (-p.length, -p.width, p.may_turn)):
        turns = part.may_turn and part.width not in (0, part.length)
        merged.setdefault((part.length, part.width, turns), []).append(part)
    sizes = [x for length, width, _ in merged for x in (length, width) if x]
    if any(width == 0 for _, width, _ in merged):
        sizes += [s.width for s in stocks]
    step = gcd(*(x + kerf for x in sizes)) or 1
    priced = all(s.price is not None for s in stocks)
    used = [s for s in stocks if any(_fits(s, p) for p in wanted) and s.available != 0]
    return Question(
        tuple(_sheet(s, kerf, step, priced) for s in used),
        tuple(
            Item((x + kerf) // step, (w + kerf) // step if w else 0, sum(p.count for p in same), turn)
            for (x, w, turn), same in merged.items()
        ),
        kerf,
        step,
        tuple(used),
        tuple(tuple(same) for same in merged.values()),
    )


def _sheet(stock: Stock, kerf: int, step: int, priced: bool) -> Sheet:
    sheet = Sheet(
        (stock.length + kerf) // step,
        (stock.width + kerf) // step,
        (stock.price or 0) if priced else stock.pack,
        stock.available,
        stock.pack,
    )
    return replace(
        sheet,
        loose_length=(stock.length + kerf - TIGHT) // step,
        loose_width=(stock.width + kerf - TIGHT) // step,
    )


def _fits(stock: Stock, part: Part) -> bool:
    if part.length <= stock.length and part.width <= stock.width:
        return True
    turns = part.may_turn and part.width > 0
    return turns and part.width <= stock.length and part.length <= stock.width


def _check_fits(stocks: Sequence[Stock], part: Part) -> None:
    if any(_fits(s, part) for s in stocks):
        return
    what = f"{part.label} ({part.material})"
    if not stocks:
        raise NoPlan(f"no stock of {part.material} is offered, and {part.label} needs it")

    def excess(stock: Stock, turned: bool) -> tuple[int, int]:
        length, width = (part.width, part.length) if turned else (part.length, part.width)
        return max(0, length - stock.length), max(0, width - stock.width)

    ways = [(s, t) for s in stocks for t in ((False, True) if part.may_turn and part.width else (False,))]
    stock, turned = min(ways, key=lambda way: (sum(excess(*way)), -way[0].length, -way[0].width))
    over, wide = excess(stock, turned)
    said = [f"{_inches(x)} in too {word}" for x, word in ((over, "long"), (wide, "wide")) if x]
    raise NoPlan(f"{what} is {' and '.join(said)} for {stock.key}, the stock that comes nearest")


def _inches(length: int) -> str:
    """Write an excess, rounded up to a sixteenth: a piece too long by a hair is too long."""
    step = INCH // 16
    return format_length(-(-length // step) * step, "in")
