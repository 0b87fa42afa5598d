"""Boards: published one-dimensional cutting-stock sets, solved, timed and held against best known values."""

from __future__ import annotations

import argparse
import json
import re
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from statistics import mean, median
from typing import Any

from benchmarks.workshop import run_workshop
from optimizer.columns import Bars
from optimizer.engine import Clock, LinearModel, run_cpsat, run_highs
from optimizer.models.board_grid import Boards, cheapest_boards
from optimizer.models.cutting_stock import bars_from, cheapest_cutting

__all__ = ["main"]

SETS = (
    "textbook_1d",
    "falkenauer_u",
    "falkenauer_t",
    "scholl_1",
    "scholl_2",
    "scholl_3_hard",
    "schwerin",
    "waescher_gau",
    "delorme_random",
    "gschwind_irnich",
    "hard28",
    "delorme_ai",
    "delorme_ani",
    "mlcsp_belov",
    "mlcsp_correia",
    "mlcsp_crainic3",
    "mlcsp_delorme_martinovic",
    "mlcsp_hemmelmayr2",
    "mlcsp_hs_concave_convex",
    "mlcsp_hs_linear",
    "mlcsp_monaci",
)
BY_SIZE = ("delorme_ai", "delorme_ani")
"""Sets whose rows are size classes: the number of pieces stands first in an instance's name."""

BUSIEST = 6
"""How many seconds of the day a second of processor time may take, for solvers that know no other."""
PLAIN_SECONDS = 20.0
PLAIN_ROWS = 30_000


@dataclass(frozen=True, slots=True)
class Instance:
    """A published question and what is known of its answer."""

    name: str
    row: str
    bars: Bars
    pieces: tuple[tuple[int, int], ...]
    stocks: tuple[tuple[int, int | None, int], ...]
    best: int | None
    optimal: bool
    lower: int | None
    computed: bool = False
    """True if the known value was not published but computed, too."""


@dataclass(frozen=True, slots=True)
class Result:
    """What came of one instance."""

    instance: Instance
    cost: int | None
    bound: int
    seconds: float
    witnesses: tuple[str, ...]
    impossible: bool = False
    work: float = 0.0
    """Seconds of processor time: what the instance takes where nothing else runs."""
    error: str = ""
    """What kept it from an answer."""

    @property
    def proved(self) -> bool:
        """True if nothing can be cheaper, or it is proved that the stock is too little."""
        return self.impossible or self.cost == self.bound

    @property
    def twice(self) -> bool:
        """True if it is proved, and two witnesses vouch for the bound."""
        return self.proved and len(set(self.witnesses)) > 1

    @property
    def worse(self) -> bool:
        """True if a better value is known, or nothing was found."""
        best = self.instance.best
        if self.cost is None:
            return not self.impossible
        return best is not None and self.cost > best

    @property
    def fault(self) -> str:
        """Say how the result contradicts what is proved elsewhere: a bug here or there; "" if it does not."""
        instance = self.instance
        if self.error:
            return self.error
        if self.impossible and instance.best is not None:
            return f"said to be impossible, known {instance.best}"
        if not self.impossible and instance.best is not None and self.bound > instance.best:
            return f"bound {self.bound} above the known {instance.best}"
        if (
            self.cost is not None
            and instance.optimal
            and instance.best is not None
            and self.cost < instance.best
        ):
            return f"cost {self.cost} below the optimum {instance.best}"
        if self.cost is not None and instance.lower is not None and self.cost < instance.lower:
            return f"cost {self.cost} below the bound {instance.lower}"
        return ""


def _instances(path: Path) -> Iterator[Instance]:
    """Read a set; an instance has one stock length or a list of them."""
    for raw in json.loads(path.read_text())["instances"]:
        stocks = tuple(tuple(s) for s in raw.get("stock") or [[raw["capacity"], None, 1]])
        pieces = tuple((length, demand) for length, demand in raw["items"])
        bars, _ = bars_from(pieces, stocks)
        row = path.stem
        if row in BY_SIZE:
            number = re.match(r"\d+", raw["name"])
            row += f" {number[0] if number else '?'}"
        yield Instance(
            raw["name"],
            row,
            bars,
            pieces,
            stocks,
            raw.get("best_known"),
            bool(raw.get("optimal")),
            raw.get("lower_bound"),
            "computed" in raw.get("bks_source", ""),
        )


class _WorkClock(Clock):
    """A clock that counts the seconds of this process alone, whatever else the machine does."""

    def __init__(self, seconds: float) -> None:
        super().__init__(seconds)
        self._until = time.process_time() + seconds

    def left(self) -> float:
        return max(0.0, self._until - time.process_time())

    def wait(self) -> float:
        return BUSIEST * self.left()

    def share(self, seconds: float) -> Clock:
        return _WorkClock(min(seconds, self.left()))


def _solve(instance: Instance, seconds: float, processor: bool = False) -> Result:
    begun, worked = time.monotonic(), time.process_time()
    clock = _WorkClock(seconds) if processor else Clock(seconds)
    found, error = Boards(None, None, 0, ()), ""
    try:
        found = cheapest_boards(instance.pieces, instance.stocks, clock, second=True)
    except Exception as caught:  # One instance must not end the run of all: it is told as that one's fault.
        error = f"{type(caught).__name__}: {caught}"
    spent = time.monotonic() - begun
    work = time.process_time() - worked
    return Result(instance, found.cost, found.bound, spent, found.witnesses, found.impossible, work, error)


def _row(name: str, results: Sequence[Result]) -> str:
    known = [r for r in results if r.instance.best is not None]
    equal = sum(r.cost == r.instance.best for r in known)
    better = sum(r.cost is not None and r.cost < (r.instance.best or 0) for r in known)
    return (
        f"{name:28} {len(results):5} {sum(r.proved for r in results):7} {sum(r.twice for r in results):6} "
        f"{equal:6} {better:7} "
        f"{sum(r.worse for r in results):6} {mean(r.seconds for r in results):8.2f} "
        f"{max(r.seconds for r in results):8.2f} {mean(r.work for r in results):8.2f} "
        f"{max(r.work for r in results):8.2f}"
    )


# -- what a plain model does with the same question


def _arc_flow(bars: Bars) -> LinearModel | None:
    """Every place of every piece, nothing ruled out; None where that is too large to try."""
    steps: set[tuple[int, int]] = set()
    reached = {0}
    for place, size in enumerate(bars.sizes):
        for at in sorted(reached):
            for _ in range(bars.demands[place]):
                if at + size > max(bars.rooms):
                    break
                steps.add((at, place))
                reached.add(at + size)
                at += size
        if len(steps) > PLAIN_ROWS:
            return None
    model = LinearModel()
    total = sum(bars.demands)
    flow: dict[int, list[tuple[int, int]]] = {}
    made: list[list[tuple[int, int]]] = [[] for _ in bars.sizes]
    for at, place in sorted(steps):
        column = model.column(upper=bars.demands[place])
        made[place].append((column, 1))
        flow.setdefault(at, []).append((column, -1))
        flow.setdefault(at + bars.sizes[place], []).append((column, 1))
    for room, cost, limit in zip(bars.rooms, bars.costs, bars.limits, strict=True):
        column = model.column(cost, total if limit is None else limit)
        flow.setdefault(0, []).append((column, 1))
        flow.setdefault(room, []).append((column, -1))
    places = sorted(flow)
    for left, right in pairwise(places):
        if left:
            column = model.column(upper=total)
            flow[left].append((column, -1))
            flow[right].append((column, 1))
    for terms in flow.values():
        model.row(terms, lower=0, upper=0)
    for terms, demand in zip(made, bars.demands, strict=True):
        model.row(terms, lower=demand)
    return model


def _assignment(bars: Bars, best: int) -> LinearModel | None:
    """Every piece kind to every bar there could be; None where that is too large to try."""
    model = LinearModel()
    made: list[list[tuple[int, int]]] = [[] for _ in bars.sizes]
    for room, cost, limit in zip(bars.rooms, bars.costs, bars.limits, strict=True):
        number = best // cost if cost else sum(bars.demands)
        for _ in range(number if limit is None else min(number, limit)):
            bought = model.column(cost, 1)
            terms = [(bought, -room)]
            for place, (size, demand) in enumerate(zip(bars.sizes, bars.demands, strict=True)):
                column = model.column(upper=min(demand, room // size))
                terms.append((column, size))
                made[place].append((column, 1))
            model.row(terms, upper=0)
        if len(model.costs) > PLAIN_ROWS:
            return None
    for terms, demand in zip(made, bars.demands, strict=True):
        model.row(terms, lower=demand)
    return model


def _plain(results: Sequence[Result]) -> tuple[str, bool]:
    """
    Time plain models on the first instance of each row that this optimizer proved.

    Where the known values were computed, three instances are also held against the arc-flow's optimum.

    Returns
    -------
    tuple
        What to print, and whether all optima agree.
    """
    rows: dict[str, list[Result]] = {}
    for result in results:
        if result.proved:
            rows.setdefault(result.instance.row, []).append(result)
    lines, unlike = [], []
    for name, arc_flow in (("plain arc-flow in HiGHS", True), ("plain CP-SAT assignment", False)):
        proved, agreed = 0, 0
        ratios: list[float] = []
        for result in (
            r for row in rows.values() for r in row[: 1 + 2 * row[0].instance.computed * arc_flow]
        ):
            begun = time.monotonic()
            bars, clock = result.instance.bars, Clock(PLAIN_SECONDS)
            model = _arc_flow(bars) if arc_flow else _assignment(bars, result.cost or 0)
            solved = model and (run_highs if arc_flow else run_cpsat)(model, clock)
            if not solved or not (solved.optimal or solved.infeasible):
                continue
            agreed += solved.cost == result.cost
            if solved.cost != result.cost:
                unlike.append(f"{result.instance.name}: {result.cost}, {name} {solved.cost}")
            if result is rows[result.instance.row][0]:
                proved += 1
                ratios.append((time.monotonic() - begun) / max(result.seconds, 1e-3))
        times = f"; {median(ratios):.1f} times as long there, by the median" if ratios else ""
        lines.append(f"{name}: {proved} of {len(rows)} proved in {PLAIN_SECONDS:.0f} s each{times}")
        if agreed:
            lines[-1] += f"; cost the same in {agreed}"
    return "\n".join(lines + unlike), not unlike


def _load() -> None:
    """Load the compiled loops once, untimed."""
    cheapest_cutting(Bars((3, 2), (4, 5), (7, 5), (None, 2), (7, 6)), Clock(60))


def main(argv: Sequence[str] | None = None) -> int:
    """Run the sets that are there; print a row for each, plain models' times, and a last line for all."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks boards", description=__doc__)
    parser.add_argument(
        "--instances", type=Path, default=Path("benchmarks/instances"), help="the folder of the JSON sets"
    )
    parser.add_argument("--seconds", type=float, default=60.0, help="for each instance (default 60)")
    parser.add_argument(
        "--processor", action="store_true", help="count processor time, where other work slows the machine"
    )
    parser.add_argument("--sample", type=int, default=0, help="about so many of each row; 0: all")
    parser.add_argument("--sets", nargs="*", default=list(SETS), choices=list(SETS))
    parser.add_argument("--list", action="store_true", help="print every instance")
    parser.add_argument(
        "--workshop", type=int, metavar="N", help="instead: N random lists of lumber, with kerf, drawn alike"
    )
    chosen = parser.parse_args(argv)
    if chosen.workshop:
        _load()
        return 0 if run_workshop(chosen.workshop, chosen.seconds, chosen.list) else 1
    paths = [chosen.instances / f"{name}.json" for name in chosen.sets]
    if not any(path.exists() for path in paths):
        print(f"no set was found in {chosen.instances}: say where the JSON files are with --instances DIR")
        return 2
    _load()
    print(
        f"{'set':28} {'count':>5} {'proved':>7} {'twice':>6} {'equal':>6} {'better':>7} {'worse':>6} "
        f"{'mean s':>8} {'max s':>8} {'mean cpu':>8} {'max cpu':>8}"
    )
    every: list[Result] = []
    for path in paths:
        if path.exists():
            every += _run_set(path, chosen)
    if not every:
        print("the sets are empty")
        return 2
    plain, agreed = _plain(every)
    print(plain)
    print(f"processor time: mean {mean(r.work for r in every):.2f} s")
    print(
        f"{sum(r.proved for r in every)} of {len(every)} proved; "
        f"{sum(r.worse for r in every)} worse than best known; mean {mean(r.seconds for r in every):.2f} s"
    )
    return 0 if agreed and not any(r.fault for r in every) else 1


def _run_set(path: Path, chosen: Any) -> list[Result]:
    rows: dict[str, list[Instance]] = {}
    for instance in _instances(path):
        rows.setdefault(instance.row, []).append(instance)
    every = []
    for row, instances in sorted(rows.items(), key=lambda one: (len(one[0]), one[0])):
        step = max(1, len(instances) // chosen.sample) if chosen.sample else 1
        results = []
        for instance in instances[::step]:
            result = _solve(instance, chosen.seconds, chosen.processor)
            results.append(result)
            if chosen.list or result.fault:
                print(
                    f"  {instance.name}: {result.cost}, bound {result.bound}, best known {instance.best}, "
                    f"{result.seconds:.2f} s, {result.work:.2f} s cpu, "
                    f"{', '.join(result.witnesses)} {result.fault}",
                    flush=True,
                )
        print(_row(row, results), flush=True)
        every += results
    return every
