"""Lists of lumber as a workshop has them, drawn at random and planned with kerf by the product's model."""

from __future__ import annotations

import random
import time
from dataclasses import dataclass
from statistics import mean, median

from optimizer.engine import Clock
from optimizer.lengths import FOOT, INCH
from optimizer.models.boards import plan_lengths
from optimizer.words import Part, Saw, Stock

__all__ = ["run_workshop"]

SEED = 11
STOCKS = (8, 10, 12, 14, 16, 20)
"""Lengths in feet."""


@dataclass(frozen=True, slots=True)
class _Job:
    stocks: tuple[Stock, ...]
    parts: tuple[Part, ...]


def _jobs(number: int) -> list[_Job]:
    """Draw jobs of up to 300 pieces in 40 sizes, to 1/16 in; prices by the foot, give or take a tenth."""
    draw = random.Random(SEED)
    jobs = []
    for _ in range(number):
        stocks = tuple(
            Stock(
                f"board {feet}", "pine", "board", feet * FOOT, 0, round(feet * 62 * draw.uniform(0.92, 1.12))
            )
            for feet in STOCKS
        )
        sizes = draw.randint(4, 40)
        pieces = draw.randint(max(20, sizes), 300)
        counts = [1] * sizes
        for _ in range(pieces - sizes):
            counts[draw.randrange(sizes)] += 1
        parts = tuple(
            Part(f"part {place}", "pine", draw.randint(6 * 16, 16 * 12 * 16) * INCH // 16, count=count)
            for place, count in enumerate(counts)
        )
        jobs.append(_Job(stocks, parts))
    return jobs


def run_workshop(number: int, seconds: float, every: bool) -> bool:
    """Plan so many jobs; print what came of them; tell whether all were proved by two witnesses."""
    times, proved, gaps = [], 0, []
    for place, job in enumerate(_jobs(number)):
        begun = time.monotonic()
        outcome = plan_lengths("pine", job.stocks, job.parts, (), Saw(), Clock(seconds)).outcome
        times.append(time.monotonic() - begun)
        proved += outcome.proved
        gaps.append(1 - outcome.bound / outcome.cost)
        if every or not outcome.proved:
            print(
                f"  job {place}: {sum(part.count for part in job.parts)} pieces in {len(job.parts)} sizes, "
                f"{outcome.cost} cents, bound {outcome.bound}, {times[-1]:.2f} s, "
                f"{', '.join(outcome.witnesses)}",
                flush=True,
            )
    print(
        f"{proved} of {number} workshop jobs proved by two witnesses; median {median(times):.2f} s, "
        f"mean {mean(times):.2f} s, worst {max(times):.2f} s; worst gap {100 * max(gaps):.3f} %"
    )
    return proved == number
