"""Every layer of ten buildings, roof, walls and frame, planned and timed, beside area with a tenth added."""

from __future__ import annotations

import argparse
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Any

from cli.by_area import AreaRow, beside_area
from optimizer.engine import Clock
from optimizer.errors import NoPlan, TimeUp
from optimizer.lengths import FOOT
from optimizer.money import format_cents
from optimizer.plan import Plan
from optimizer.solve import cheapest_plan
from optimizer.words import Problem, Surface
from takeoff.book import Book, Item
from takeoff.collect import take_off
from takeoff.job import parse_job
from takeoff.needs import ByArea, Takeoff
from takeoff.sizes import standard_book

__all__ = ["main"]

PRICES = {
    "osb-7/16": 2840,
    "felt-15": 3180,
    "felt-30": 3350,
    "synthetic-sheet": 11900,
    "ice-barrier": 8900,
    "shingle": 3490,
    "shingle-metric": 3720,
    "laminated-shingle": 3950,
    "starter-strip": 3850,
    "ridge-vent": 1140,
    "ridge-vent-roll": 5200,
    "ridge-cap": 5600,
}
"""Invented, in cents; what is not here is priced by its size."""


@dataclass(frozen=True, slots=True)
class House:
    """A building with its roof cover: what a job file would say."""

    name: str
    length: str
    width: str
    pitch: str
    keys: dict[str, Any] = field(default_factory=dict)
    frame: bool = True

    def takeoff(self, book: Book, whole: bool = False) -> Takeoff:
        """Take roof and door off; walls, and the frame where the yard's lumber is long enough, if `whole`."""
        cover: dict[str, Any] = {
            "rake_overhang": "12 in",
            "underlayment": {},
            "starter": {},
            "shingles": {},
            "ridge_cap": {},
            "fascia": {},
            "rake_board": {},
            "door": [{"width": "36 in", "height": "80 in"}],
        }
        if whole:
            cover |= WALLS | (FRAME if self.frame else {})
        job = {"length": self.length, "width": self.width, "pitch": self.pitch} | cover | self.keys
        return take_off(parse_job({k: v for k, v in job.items() if v is not None}, self.name), book)


WALLS: dict[str, Any] = {
    "walls": {},
    "window": [{"width": "24 in", "height": "36 in"}],
    "soffit": {"vent": "soffit-vent"},
    "frieze": {},
    "floor": {},
    "paint": {},
    "sealant": {},
    "adhesive": {},
}
FRAME: dict[str, Any] = {"framing": {"rafter": "2x6", "ridge": "2x8", "stud": "2x4", "header": "2x8"}}
METRIC = {"material": "shingle-metric"}
LAMINATED = {"material": "laminated-shingle", "kind": "laminated"}
VENT: dict[str, Any] = {"ridge_slot": {}, "ridge_vent": {}}

HOUSES = (
    House("shed 6 x 8", "8 ft", "6 ft", "6", {"rake_overhang": "0 in"}),
    House("shed 8 x 12, two layers", "12 ft", "8 ft", "3"),
    House("cider house 12 x 16, vent", "16 ft", "12 ft", "8", VENT),
    House(
        "workshop 12 x 20, single slope", "20 ft", "12 ft", "3", {"roof": "single-slope", "ridge_cap": None}
    ),
    House(
        "workshop 12 x 20, laminated",
        "20 ft",
        "12 ft",
        "8",
        {"shingles": LAMINATED, "ridge_cap": {"material": "ridge-cap"}, **VENT},
    ),
    House("garage 24 x 22, ice barrier", "24 ft", "22 ft", "5", {"ice_barrier": {}}),
    House("garage 24 x 24, metric strips", "24 ft", "24 ft", "7", {"shingles": METRIC}),
    House(
        "stable 36 x 20, felt 30", "36 ft", "20 ft", "9", {"underlayment": {"material": "felt-30"}, **VENT}
    ),
    House(
        "machine hall 50 x 30, synthetic",
        "50 ft",
        "30 ft",
        "4",
        {"underlayment": {"material": "synthetic-sheet", "side_lap": "4 in", "end_lap": "6 in"}},
    ),
    House("barn 60 x 36, strips for all", "60 ft", "36 ft", "6", {"starter": {"material": "strips"}}, False),
)


@dataclass(frozen=True, slots=True)
class Row:
    """
    What one building came to.

    Parameters
    ----------
    short
        Materials that were bought too little of.
    open, gap
        Materials not proved cheapest, and how far the whole purchase lies above its bound, in percent.
    """

    name: str
    layers: tuple[AreaRow, ...]
    short: tuple[str, ...]
    seconds: float
    cpu: float
    open: tuple[str, ...]
    gap: float = 0.0


def _price(item: Item) -> int:
    """Price by the square foot, the board foot or the foot; what is counted costs a dollar."""
    if item.material in PRICES:
        return PRICES[item.material]
    if item.kind == "sheet":
        return 110 * item.length * item.width // FOOT**2
    if item.kind == "board":
        return 90 * 12 * item.length * item.width * item.thickness // FOOT**3
    return 100 if item.kind == "each" else 80 * item.length // FOOT


def _book() -> Book:
    book = standard_book()
    return replace(book, items=tuple(replace(item, price=_price(item)) for item in book.items))


def _short(problem: Problem, plan: Plan) -> Iterator[str]:
    """Name what the purchase can't cover: less stock, by length or by area, than is asked of it."""
    stocks = {stock.key: stock for stock in problem.stocks}
    sheets = {stock.material for stock in problem.stocks if stock.kind == "sheet"}
    have: Counter[str] = Counter()
    for line in plan.buy:
        stock = stocks[line.stock]
        size = stock.length * (stock.width if stock.material in sheets else 1) or 1
        have[stock.material] += line.count * stock.pack * size
    asked: Counter[str] = Counter()
    for run in problem.runs:
        asked[run.material] += run.length
    for part in problem.parts:
        if part.material in sheets or not part.width:
            # Ends that slant alike nest: a piece takes its long points less the slant.
            asked[part.material] += part.count * (part.length - part.slant) * (part.width or 1)
    for surface in problem.surfaces:
        # Gaps and slack at the ends are no panel: a fiftieth is more than they come to.
        asked[surface.material] += _area(surface) * 49 // 50
    for count in problem.counts:
        asked[count.material] += count.quantity
    yield from (material for material, size in asked.items() if have[material] < size)


def _area(surface: Surface) -> int:
    """Give a surface's own area, holes left out."""
    sides = pairwise((*surface.outline, *surface.outline[:1]))
    whole = sum(x * later_y - later_x * y for (x, y), (later_x, later_y) in sides) // 2
    return (whole or surface.length * surface.height) - sum(h.length * h.height for h in surface.holes)


def _by_size(problem: Problem, known: frozenset[str]) -> Iterator[ByArea]:
    """Count by area what is cut from sheets, by length what is cut to length, a tenth added."""
    for material in dict.fromkeys(stock.material for stock in problem.stocks):
        sizes = [s for s in problem.stocks if s.material == material and s.kind != "each"]
        surfaces = [s for s in problem.surfaces if s.material == material]
        parts = [p for p in problem.parts if p.material == material]
        runs = [r for r in problem.runs if r.material == material]
        if material in known or not sizes or not (surfaces or parts or runs):
            continue
        if sizes[0].kind == "sheet":
            whole = sum(map(_area, surfaces)) + sum(p.length * p.width * p.count for p in parts)
            pieces = [(s.key, -(-whole * 11 // (10 * s.length * s.width))) for s in sizes]
        else:
            whole = sum(r.length for r in runs) + sum(p.length * p.count for p in parts)
            pieces = [(s.key, -(-whole * 11 // (10 * s.length))) for s in sizes]
        yield ByArea("sheets" if sizes[0].kind == "sheet" else "lengths", material, tuple(pieces))


def solve(house: House, book: Book, seconds: float, whole: bool = False) -> Row:
    """Take off and plan one building, all layers, under a clock."""
    start, cpu = time.monotonic(), time.process_time()
    takeoff = house.takeoff(book, whole)
    problem = replace(takeoff.problem(book.stocks()), spare=())
    try:
        plan = cheapest_plan(problem, Clock(seconds))
    except (NoPlan, TimeUp) as error:
        return Row(house.name, (), (), time.monotonic() - start, time.process_time() - cpu, (str(error),))
    spent, cpu = time.monotonic() - start, time.process_time() - cpu
    known = frozenset(count.material for count in takeoff.by_area)
    counts = (*_by_size(problem, known), *takeoff.by_area)
    open_ones = tuple(outcome.material for outcome in plan.outcomes if not outcome.proved)
    layers = beside_area(counts, plan, problem.stocks)
    return Row(house.name, layers, tuple(_short(problem, plan)), spent, cpu, open_ones, _gap(plan))


def _gap(plan: Plan) -> float:
    if not plan.total or plan.bound is None:
        return 0.0
    return 100 * (plan.total - plan.bound) / plan.total


def _print(row: Row) -> None:
    short = f"; SHORT OF {', '.join(row.short)}" if row.short else ""
    proof = f"open: {', '.join(row.open)}, within {row.gap:.2f} %" if row.open else "proved"
    print(f"{row.name}: {row.seconds:.1f} s, {row.cpu:.1f} s of processor time, {proof}{short}")
    for layer in row.layers:
        saved = "-" if layer.saved is None else format_cents(layer.saved)
        name = f"{', '.join(layer.layers)}: {layer.material}"
        print(f"  {name:52}{layer.packs:6}{layer.area_packs:9}{saved:>12}")


def _summary(rows: list[Row]) -> str:
    cover = [layer for row in rows for layer in row.layers if layer.layers not in (("sheets",), ("lengths",))]
    saved = sum(layer.saved or 0 for layer in cover)
    spent = sum(layer.area_cost or 0 for layer in cover)
    less = sum(layer.packs < layer.area_packs for layer in cover)
    more = sum(layer.packs > layer.area_packs for layer in cover)
    short = sum(bool(row.short) for row in rows)
    return (
        f"{short} of {len(rows)} short; {sum(not row.open for row in rows)} proved; worst "
        f"{max(row.seconds for row in rows):.1f} s, {max(row.cpu for row in rows):.1f} s of processor time\n"
        f"cover and wall skin: less than by area in {less} of {len(cover)} materials, more in {more}; "
        f"{format_cents(saved)} of {format_cents(spent)} saved (invented prices)"
    )


def main(argv: list[str]) -> int:
    """Plan every building and print the table."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks layers", description=__doc__)
    parser.add_argument("--seconds", type=float, default=10.0, help="for each building (default 10)")
    parser.add_argument("--roof", action="store_true", help="leave walls and frame out")
    arguments = parser.parse_args(argv)
    book = _book()
    print(f"{'  layers: material':54}{'packs':>6}{'by area':>9}{'saved':>12}")
    rows = []
    for house in HOUSES:
        rows.append(solve(house, book, arguments.seconds, not arguments.roof))
        _print(rows[-1])
    print(_summary(rows))
    return 1 if any(row.short for row in rows) else 0
