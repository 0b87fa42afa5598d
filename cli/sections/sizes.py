"""Sizes: what each dimension's values cost, and which small change saves most."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from fractions import Fraction

from cli.options import Planned
from cli.paper import Column, Paper
from cli.sections.options import per_cent
from cli.sizes import Candidate, Curve, called

__all__ = ["print_sizes", "savings"]

_BAR = 24
"""Columns of the bar that stands for the cost above the least."""


def _change(curve: Curve, candidate: Candidate, paper: Paper) -> str:
    """Say how a candidate differs from the job: `take 1-1/2 in off rake_overhang`."""
    name = called(curve.key)
    if curve.now is None:
        return f"make {name} {candidate.shown}"
    more = candidate.place - curve.now
    size = paper.size(abs(int(more))) if curve.length else f"{float(abs(more)):g}"
    return f"add {size} to {name}" if more > 0 else f"take {size} off {name}"


def savings(base: Planned, found: Sequence[Curve], paper: Paper) -> Iterator[tuple[int, str]]:
    """Give, for every key, the smallest change that saves most, and the largest one that costs nothing."""
    panel = base.loaded.job.panel
    deck = {s.key: s.pack for s in base.problem.stocks if s.material == panel}
    sheets = sum(b.count * deck[b.stock] for b in base.plan.buy if b.stock in deck and not b.from_rack)
    total = base.bill.total
    if total is None:
        return
    for curve in found:
        # Of a key the job leaves out, no value is nearer than another: the first that saves most is told.
        now = curve.now
        priced = [c for c in curve.candidates if c.cents is not None]
        cheaper = [c for c in priced if c.cents is not None and c.cents < total]
        if cheaper:
            best = min(cheaper, key=lambda c: (c.cents or 0, 0 if now is None else abs(c.place - now)))
            cents = total - (best.cents or 0)
            fewer = sheets - best.panels
            word = f"{abs(fewer)} sheet{'s' * (abs(fewer) != 1)}"
            of_sheets = f"{word} {'fewer' if fewer > 0 else 'more'} and " if fewer else ""
            sure = "" if best.proved else " (not proved to the end)"
            share = per_cent(cents, total).lstrip("+")
            told = f"{of_sheets}{paper.amount(cents)} less, {share} of the whole"
            yield cents, f"{_change(curve, best, paper)}: {told}{sure}."
        free = [c for c in priced if c.cents == total and now is not None and c.place > now]
        if free:
            most = max(free, key=lambda c: c.place)
            yield 0, f"{_change(curve, most, paper)}: costs nothing."


def print_sizes(base: Planned, found: Sequence[Curve], paper: Paper) -> None:
    """
    Print the changes that save, then every key's costs as a table with bars.

    Parameters
    ----------
    base
        The plan as the job has it.
    found
        A curve for each key.
    paper
        Where it is printed.
    """
    paper.title("Sizes")
    if base.bill.total is None:
        paper.say("Not priced: without prices no size is cheaper than another.")
        return
    sure = "" if base.plan.proved else " (not proved to the end)"
    paper.say(f"As the job has it: {paper.amount(base.bill.total)}{sure}.")
    if not found:
        paper.say("Stopped before another size was planned.")
        return
    paper.say("One dimension changed at a time:")
    told = sorted(savings(base, found, paper), key=lambda row: -row[0])
    for _, words in told:
        paper.point("-", f"{words[:1].upper()}{words[1:]}")
    if not told:
        paper.say("No change tried saves anything.")
    for curve in found:
        _table(curve, base.bill.total, paper)


def _table(curve: Curve, total: int, paper: Paper) -> None:
    costs = [c.cents for c in curve.candidates if c.cents is not None]
    if not costs:
        paper.heading(curve.key, "no value tried has a plan")
        for candidate in curve.candidates[:1]:
            paper.say(candidate.reason)
        return
    least, most = min(costs), max(costs)
    paper.heading(curve.key, "each bar: the cost above the least here")
    rows = []
    for candidate in curve.candidates:
        mark = "*" if candidate.place == curve.now else ""
        if candidate.cents is None:
            rows.append((f"{candidate.shown}{mark}", "-", "", "", candidate.reason))
            continue
        long = round(Fraction(candidate.cents - least, most - least) * _BAR) if most > least else 0
        more = candidate.cents - total
        beside = f"{'+' if more > 0 else ''}{paper.money(more)}" if more else ""
        proved = "" if candidate.proved else " ?"
        rows.append(
            (
                f"{candidate.shown}{mark}",
                paper.money(candidate.cents) + proved,
                beside,
                f"{candidate.panels:,}",
                paper.marks.along * long,
            )
        )
    paper.table(
        [
            Column("Value", right=True),
            Column("Total", right=True),
            Column("Beside", right=True),
            Column("Panels", right=True),
            Column("", breaks=True),
        ],
        rows,
    )
    notes = []
    if any(c.place == curve.now for c in curve.candidates):
        notes.append("* as the job has it")
    if any(c.cents is not None and not c.proved for c in curve.candidates):
        notes.append("? not proved to the end")
    if notes:
        paper.say("; ".join(notes) + ".")
