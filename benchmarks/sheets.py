"""Published sets of rectangles to cut from sheets: what is proved, how it compares with the best known."""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from benchmarks.greedy import greedy_cost, missing
from benchmarks.sheet_jobs import SHEETS, sheet_job
from optimizer.engine import Clock
from optimizer.models.sheets import plan_sheets
from optimizer.models.sheets_columns import Columns
from optimizer.models.sheets_free import Freely, cut_freely
from optimizer.models.sheets_question import Item, Question, Sheet, question_of
from optimizer.models.sheets_two import cut_in_two_stages
from optimizer.words import Saw

__all__ = ["main"]


@dataclass(frozen=True, slots=True)
class Form:
    """
    How a set is asked: may parts turn, and under which key the file gives its best known value.

    `guillotine` is False where best known values are not for cuts from edge to edge. With `area` a sheet
    costs its area, whatever the file says: the published values of that set are areas.
    """

    name: str
    turns: bool
    key: str | None = None
    two_stages: bool = False
    guillotine: bool = True
    area: bool = False


@dataclass(frozen=True, slots=True)
class Result:
    """
    What came out for one instance; `best` and `greedy` are None where there is no such cost.

    `seconds` are the processor's: other work on the machine counts little in them.
    """

    name: str
    cost: int | None
    bound: int
    best: int | None
    greedy: int | None
    seconds: float
    fault: str = ""
    witnesses: int | None = None

    @property
    def proved(self) -> bool:
        """True if the bound meets the cost; where witnesses are counted, two must vouch for it."""
        vouched = self.witnesses is None or self.witnesses > 1
        return self.cost is not None and self.bound >= self.cost and vouched


WORKSHOP: dict[str, tuple[int, int | None, int]] = {
    "workshop, 40 parts": (40, None, 60),
    "workshop, 40 parts of 20 sizes": (40, 20, 10),
    "workshop, 300 parts of 40 sizes": (300, 40, 3),
}
"""Pieces, sizes (None: 5 to 9) and how many jobs."""

FIXED, TURNING = Form("fixed", False), Form("turning", True)
SETS = {
    "class_2bp": (Form("fixed", False, "guillotine_oriented"), Form("turning", True, "guillotine_rotated")),
    "furniture_a43": (
        Form("fixed", False, "guillotine_oriented"),
        Form("turning", True, "guillotine_rotated"),
    ),
    "cintra_gcutd_multi_sheet": (
        Form("fixed, 2 stages", False, "2stage_nonexact_horizontal_oriented", True),
        Form("turning, 2 stages", True, "2stage_nonexact_horizontal_rotated", True),
    ),
    "atp_cutting_stock": (FIXED,),
    "cintra_gcutd_one_sheet": (FIXED,),
    "classic_cutting_stock_30": (FIXED,),
    "imahori": (FIXED,),
    "hopper_turton_m": (FIXED,),
    "ortmann_nice_path": (FIXED,),
    "multi_sheet_misc": (
        Form("fixed, 2 stages", False, two_stages=True),
        Form("turning, 2 stages", True, two_stages=True),
    ),
    "pisinger_2dvsbpp": (Form("fixed", False, guillotine=False, area=True),),
}


def _question(instance: dict[str, Any], form: Form) -> Question:
    """Read an instance; where there is one size of sheet it costs 1."""
    unit = len(instance["sheets"]) == 1
    return Question(
        tuple(
            Sheet(w, h, 1 if unit else w * h if form.area else cost, n)
            for w, h, n, cost in instance["sheets"]
        ),
        tuple(Item(w, h, n, form.turns and w != h) for w, h, n in instance["items"]),
    )


def _best_known(instance: dict[str, Any], form: Form) -> int | None:
    best = instance.get("best_known")
    if isinstance(best, dict):
        best = best.get(form.key)
    return None if best is None else int(best)


def _fault(instance: dict[str, Any], form: Form, known: Freely) -> str:
    """Say what can't be: a bound above a plan's cost, a cost below a proved one; "" if nothing."""
    if not form.guillotine:
        lowest = instance["results"]["non_guillotine_oriented"]["lower_bound"]
        return f"below the bound {lowest}" if known.cost is not None and known.cost < lowest else ""
    best = _best_known(instance, form)
    if best is not None and known.bound > best:
        return f"bound {known.bound} above the known plan of {best}"
    optimal = instance.get("optimal")
    proved = isinstance(optimal, dict) and form.key is not None and optimal.get(form.key)
    if proved and best is not None and known.cost is not None and known.cost < best:
        return f"{known.cost} below the proved {best}"
    return ""


def _warm_up() -> None:
    """Let what is compiled be compiled before a clock runs."""
    small = Question((Sheet(9, 9, 1),), (Item(5, 5, 2), Item(3, 4, 1)))
    cut_freely(small, Clock(60))
    Columns(small, []).generate(Clock(60), None)


def _results(path: Path, form: Form, most: int, seconds: float) -> Iterator[Result]:
    data = json.loads(path.read_text(encoding="utf-8"))
    instances = data["instances"]
    chosen = instances[:: max(1, len(instances) // most)] if most else instances
    _warm_up()
    for instance in chosen:
        question = _question(instance, form)
        begun = time.process_time()
        known = (cut_in_two_stages if form.two_stages else cut_freely)(question, Clock(seconds))
        yield Result(
            instance["name"],
            known.cost,
            known.bound,
            _best_known(instance, form),
            greedy_cost(question),
            time.process_time() - begun,
            _fault(instance, form, known),
        )


def _workshop(pieces: int, sizes: int | None, jobs: int, seconds: float) -> Iterator[Result]:
    """Plan random jobs with the product's own model, kerf 1/8 in; a first one only loads the solvers."""
    plan_sheets("ply", SHEETS, sheet_job(jobs, pieces, sizes), Saw(), Clock(5.0))
    for seed in range(jobs):
        parts = sheet_job(seed, pieces, sizes)
        begun = time.process_time()
        outcome = plan_sheets("ply", SHEETS, parts, Saw(), Clock(seconds)).outcome
        yield Result(
            f"job {seed}",
            outcome.cost,
            outcome.bound,
            None,
            greedy_cost(question_of(SHEETS, parts, Saw())),
            time.process_time() - begun,
            witnesses=len(outcome.witnesses),
        )


def _runs(options: argparse.Namespace) -> Iterator[tuple[str, Iterator[Result]]]:
    """Give every row's name and results, those of the workshop first."""
    for name in options.sets:
        if name in WORKSHOP:
            pieces, sizes, jobs = WORKSHOP[name]
            yield name, _workshop(pieces, sizes, options.sample or jobs, options.seconds)
            continue
        path = options.instances / f"{name}.json"
        for form in SETS[name] if path.exists() else ():
            yield f"{name}, {form.name}", _results(path, form, options.sample, options.seconds)


def _row(name: str, results: Sequence[Result]) -> str:
    known = [r for r in results if r.best is not None and r.cost is not None]
    equal = sum(r.cost == r.best for r in known)
    worse = sum(r.cost > r.best for r in known if r.cost is not None and r.best is not None)
    gaps = [(r.cost - r.bound) / r.bound for r in results if r.cost is not None and r.bound]
    ratios = [r.greedy / r.cost for r in results if r.cost and r.greedy is not None]
    ratio = f"{sum(ratios) / len(ratios):6.2f}" if ratios else "     -"
    return (
        f"{name:42} {len(results):4} {sum(r.proved for r in results):6} {equal:5} "
        f"{len(known) - equal - worse:6} {worse:5} {sum(r.cost or 0 for r in known):11} "
        f"{sum(r.best or 0 for r in known):11} {100 * sum(gaps) / max(1, len(gaps)):6.2f} {ratio} "
        f"{sum(r.seconds for r in results) / max(1, len(results)):6.1f} "
        f"{max((r.seconds for r in results), default=0.0):6.1f}"
    )


def main(argv: Sequence[str] | None = None) -> int:
    """Run the sets that are there and print a row for each and a last line for all."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks sheets", description=__doc__)
    parser.add_argument(
        "--instances", type=Path, default=Path("benchmarks/instances"), help="where the JSON sets are"
    )
    parser.add_argument("--seconds", type=float, default=60.0, help="for each instance")
    parser.add_argument(
        "--sample", type=int, default=0, help="take about so many instances of each set; 0: all"
    )
    names = [*WORKSHOP, *SETS]
    parser.add_argument("--sets", nargs="*", default=names, choices=names, metavar="SET")
    parser.add_argument("--list", action="store_true", help="print every instance")
    options = parser.parse_args(argv)
    print(
        f"{'set':42} {'n':>4} {'proved':>6} {'equal':>5} {'better':>6} {'worse':>5} {'cost':>11} "
        f"{'best known':>11} {'gap %':>6} {'greedy':>6} {'mean s':>6} {'max s':>6}"
    )
    every: list[Result] = []
    for name, run in _runs(options):
        results = []
        for result in run:
            results.append(result)
            if result.fault:
                print(f"  FAULT {name}, {result.name}: {result.fault}", flush=True)
            if options.list:
                print(f"  {result}", flush=True)
        print(_row(name, results), flush=True)
        every += results
    if not every:
        print(f"no sets found in {options.instances}")
        return 1
    if missing():
        print(missing())
    worse = sum(r.cost is None or (r.best is not None and r.cost > r.best) for r in every)
    print(
        f"{sum(r.proved for r in every)} of {len(every)} proved; {worse} worse than best known; "
        f"mean {sum(r.seconds for r in every) / len(every):.1f} s"
    )
    return 2 if any(r.fault for r in every) else 0
