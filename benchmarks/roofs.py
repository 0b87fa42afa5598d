"""Roof decks of many sizes, planned and timed: what is proved, how fast, and what it saves."""

from __future__ import annotations

import argparse
import random
import statistics
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from cli.study import NOTHING, by_area, by_hand, halves_apart
from cli.variants import Purchase, Unanswered, Variants, deck_of
from optimizer.engine import Clock
from optimizer.errors import NoPlan
from optimizer.lengths import FOOT, INCH
from optimizer.money import format_cents
from optimizer.solve import cheapest_plan
from optimizer.words import Problem
from takeoff.book import Book
from takeoff.collect import take_off
from takeoff.job import parse_job
from takeoff.sizes import standard_book

__all__ = ["main"]

PRICES = {"4x8": 2840, "4x9": 3480, "4x10": 3990}
"""Invented, in cents."""

PANEL = "osb-7/16"


@dataclass(frozen=True, slots=True)
class Roof:
    """A building to deck: what a job file would say, and the sheets the yard has."""

    name: str
    length: str
    width: str
    pitch: str
    spacing: str = "24 in"
    rules: str = "usual"
    rake: str = "0 in"
    sizes: tuple[str, ...] = ("4x8",)

    def problem(self) -> Problem:
        """Take the deck off."""
        job = {
            "length": self.length,
            "width": self.width,
            "pitch": self.pitch,
            "rafter_spacing": self.spacing,
            "rake_overhang": self.rake,
            "rules": self.rules,
        }
        book = _book(self.sizes)
        return deck_of(take_off(parse_job(job, self.name), book).problem(book.stocks()))


def _book(sizes: Sequence[str]) -> Book:
    book = standard_book()
    panel = book.sizes(PANEL)[0]
    panels = [
        replace(panel, size=size, length=int(size[2:]) * FOOT - INCH // 8, price=PRICES[size])
        for size in sizes
    ]
    others = [replace(item, price=100) for item in book.items if item.material != PANEL]
    return replace(book, items=(*panels, *others))


ALL = ("4x8", "4x9", "4x10")

ROOFS = (
    Roof("shed 6 x 8", "8 ft", "6 ft", "6"),
    Roof("shed 8 x 12", "12 ft", "8 ft", "4", "16 in"),
    Roof("cider house 10 x 16", "16 ft", "10 ft", "6"),
    Roof("cider house, rakes 12 in", "16 ft", "10 ft", "6", rake="12 in"),
    Roof("cider house, 3 sheet sizes", "16 ft", "10 ft", "6", rake="12 in", sizes=ALL),
    Roof("workshop 12 x 20", "20 ft", "12 ft", "8", rake="12 in"),
    Roof("workshop 12 x 20, 16 in", "20 ft", "12 ft", "8", "16 in", rake="16 in"),
    Roof("workshop 12 x 20, 19.2 in", "20 ft", "12 ft", "8", "19.2 in"),
    Roof("workshop 12 x 20, 12 in", "20 ft", "12 ft", "8", "12 in", rake="12 in"),
    Roof("workshop 12 x 20, lean", "20 ft", "12 ft", "8", rules="lean", rake="12 in"),
    Roof("workshop 12 x 20, windy", "20 ft", "12 ft", "8", rules="windy"),
    Roof("garage 24 x 22", "24 ft", "22 ft", "5"),
    Roof("garage 24 x 22, 16 in", "24 ft", "22 ft", "5", "16 in", rake="12 in"),
    Roof("garage 24 x 24, lean", "24 ft", "24 ft", "7", rules="lean", rake="12 in"),
    Roof("garage 24 x 24, 3 sizes", "24 ft", "24 ft", "7", rake="12 in", sizes=ALL),
    Roof("stable 36 x 20", "36 ft", "20 ft", "9", rake="12 in"),
    Roof("stable 36 x 20, lean, 16 in", "36 ft", "20 ft", "9", "16 in", "lean", "12 in"),
    Roof("stable 36 x 20, 12 in", "36 ft", "20 ft", "9", "12 in"),
    Roof("machine hall 50 x 30", "50 ft", "30 ft", "4", rake="12 in"),
    Roof("machine hall 50 x 30, 19.2 in", "50 ft", "30 ft", "4", "19.2 in", rake="12 in"),
    Roof("barn 60 x 36", "60 ft", "36 ft", "6", rake="12 in"),
    Roof("barn 60 x 36, lean", "60 ft", "36 ft", "6", rules="lean", rake="12 in"),
    Roof("barn 80 x 50, 3 sizes", "80 ft", "50 ft", "8", rake="12 in", sizes=ALL),
    Roof("barn 120 ft x 12 courses", "120 ft", "72 ft", "8", rake="12 in"),
)


@dataclass(frozen=True, slots=True)
class Row:
    """What one roof came to; `cpu` is processor time, `gap` the part of the cost between cost and bound."""

    name: str
    sheets: int
    cost: int
    bound: int
    proved: bool
    seconds: float
    cpu: float
    problem: Problem

    @property
    def gap(self) -> float:
        """Give the gap in per cent of the cost."""
        return 100 * (self.cost - self.bound) / self.cost if self.cost else 0.0


def solve(name: str, problem: Problem, seconds: float) -> Row:
    """Plan one deck under a clock and time it; only the sheets count, not the blocking."""
    start, begun = time.monotonic(), time.process_time()
    plan = cheapest_plan(problem, Clock(seconds))
    spent, worked = time.monotonic() - start, time.process_time() - begun
    mine = [o for o in plan.outcomes if o.material == PANEL]
    sheets = sum(b.count for b in plan.buy if b.stock.startswith(PANEL))
    return Row(
        name,
        sheets,
        sum(o.cost for o in mine),
        sum(o.bound for o in mine),
        all(o.proved for o in mine),
        spent,
        worked,
        problem,
    )


def _saved(other: Purchase | None, row: Row) -> str:
    if other is None or other.cost is None:
        return "-"
    return format_cents(other.cost - row.cost)


def _comparisons(row: Row, seconds: float) -> tuple[str, str, str]:
    deck = row.problem
    variants = Variants({}, row.name, Book(()), Clock(seconds), seconds)
    try:
        apart = halves_apart(deck, NOTHING, variants) if len(deck.surfaces) > 1 else None
    except (NoPlan, Unanswered):
        apart = None
    hand = by_hand(deck)
    return _saved(apart, row), _saved(hand and hand[0], row), _saved(by_area(deck)[0], row)


def summary(rows: Sequence[Row]) -> str:
    """Give the last line: how many are proved, the times, the worst gap."""
    times, worked = [row.seconds for row in rows], [row.cpu for row in rows]
    return (
        f"{sum(row.proved for row in rows)} of {len(rows)} proved cheapest; "
        f"median {statistics.median(times):.2f} s; worst {max(times):.2f} s; of processor time "
        f"{statistics.median(worked):.2f} and {max(worked):.2f} s; "
        f"worst gap {max(row.gap for row in rows):.2f} %"
    )


def _table(seconds: float) -> list[Row]:
    print(
        f"{'roof':32}{'s':>7}{'cpu':>7}{'sheets':>8}{'cost':>12}{'bound':>12}  {'status':8}"
        f"{'apart':>10}{'by hand':>10}{'area+10%':>10}"
    )
    rows = []
    for roof in ROOFS:
        row = solve(roof.name, roof.problem(), seconds)
        rows.append(row)
        apart, hand, area = _comparisons(row, seconds)
        print(
            f"{row.name:32}{row.seconds:7.2f}{row.cpu:7.2f}{row.sheets:8}{format_cents(row.cost):>12}"
            f"{format_cents(row.bound):>12}  {'proved' if row.proved else 'open':8}"
            f"{apart:>10}{hand:>10}{area:>10}",
            flush=True,
        )
    print("apart, by hand, area+10%: money this plan saves against each (invented prices)")
    return rows


def _random_roofs(count: int, seed: int) -> Iterator[Roof]:
    """Draw gable roofs evenly over the four spacings and the three rule sets."""
    draw = random.Random(seed)
    for number in range(count):
        spacing = ("12 in", "16 in", "19.2 in", "24 in")[number % 4]
        yield Roof(
            f"random {number}",
            f"{draw.randint(8 * 12, 60 * 12)} in",
            f"{draw.randint(6 * 12, 36 * 12)} in",
            str(draw.randint(3, 12)),
            spacing,
            ("usual", "lean", "windy")[number // 4 % 3],
            draw.choice(("0 in", "0 in", "12 in", "16 in")),
        )


def _drawn(count: int, seed: int, seconds: float) -> list[Row]:
    rows = []
    for roof in _random_roofs(count, seed):
        try:
            row = solve(roof.name, roof.problem(), seconds)
        except NoPlan as error:
            print(f"{roof}: no legal lay-out ({error})", flush=True)
            continue
        rows.append(row)
        if not row.proved:
            sheets = (row.cost - row.bound) / PRICES["4x8"]
            spent = f"{row.seconds:.1f} s, {row.cpu:.1f} s of processor time"
            print(f"open by {sheets:.1f} sheets after {spent}: {roof}", flush=True)
    return rows


def _grown() -> list[Row]:
    """Double the length and double it again, then the courses: how does the time grow with the pieces."""
    rows = []
    base = None
    for length, courses in ((60, 6), (120, 6), (240, 6), (60, 12), (60, 24), (240, 24)):
        # The slope of each half is courses x 48 in less 16 in, so that the top course is ripped.
        slope = courses * 48 * INCH - 16 * INCH
        roof = Roof(f"{length} ft x {courses} courses", f"{length} ft", "20 ft", "6", rake="12 in")
        deck = roof.problem()
        surfaces = tuple(replace(surface, height=slope) for surface in deck.surfaces)
        tries = [solve(roof.name, replace(deck, surfaces=surfaces), 60) for _ in range(3)]
        row = replace(
            tries[0],
            seconds=statistics.median(row.seconds for row in tries),
            cpu=statistics.median(row.cpu for row in tries),
        )
        rows.append(row)
        pieces = length * courses
        base = base or (row.cpu, pieces)
        print(
            f"{row.name:24}{row.seconds:8.2f} s {row.cpu:8.2f} s of processor time {row.sheets:6} sheets  "
            f"{'proved' if row.proved else 'open':8} pieces x{pieces / base[1]:.0f}, "
            f"processor time x{row.cpu / base[0]:.1f}",
            flush=True,
        )
    return rows


def main(argv: Sequence[str]) -> int:
    """Run one of the three tables and end with one line that sums it up."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks roofs", description=__doc__)
    parser.add_argument("--seconds", type=float, default=30.0, help="for one roof (default 30)")
    parser.add_argument("--random", type=int, metavar="N", help="N random roofs instead of the table")
    parser.add_argument("--seed", type=int, default=1, help="of the random roofs (default 1)")
    parser.add_argument("--growth", action="store_true", help="length and courses doubled, and again")
    chosen = parser.parse_args(argv)
    # Solvers load once, untimed.
    solve(ROOFS[0].name, ROOFS[0].problem(), 30)
    if chosen.growth:
        rows = _grown()
    elif chosen.random:
        rows = _drawn(chosen.random, chosen.seed, chosen.seconds)
    else:
        rows = _table(chosen.seconds)
    print(summary(rows))
    return 0
