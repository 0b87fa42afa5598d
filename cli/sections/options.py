"""Options side by side: what each costs beside the plan, and what changes with it."""

from __future__ import annotations

from collections.abc import Sequence

from cli.options import Changed, Option, Planned
from cli.paper import Column, Paper
from optimizer.money import format_cents

__all__ = ["changed_words", "per_cent", "print_options"]


def per_cent(part: int, whole: int) -> str:
    """
    Write a difference in per cent of the whole, to a tenth, with its sign.

    Examples
    --------
    >>> per_cent(1435, 116697), per_cent(-50, 100), per_cent(0, 100)
    ('+1.2 %', '-50.0 %', '0.0 %')
    """
    tenths = (abs(part) * 2000 + whole) // (2 * whole)
    sign = "" if not tenths else "-" if part < 0 else "+"
    return f"{sign}{tenths // 10}.{tenths % 10} %"


def changed_words(change: Changed, total: int | None) -> str:
    """
    Write a line of Buy that differs, with its share of the whole purchase.

    Examples
    --------
    >>> changed_words(Changed("osb-7/16 4x8", 15, 14, -1435), 116697)
    'osb-7/16 4x8: 15 to 14, -14.35 (-1.2 %)'
    """
    cost = ""
    if change.cents:
        share = f" ({per_cent(change.cents, total)})" if total else ""
        cost = f", {'+' if change.cents > 0 else ''}{format_cents(change.cents)}{share}"
    return f"{change.item}: {change.before:,} to {change.after:,}{cost}"


def print_options(base: Planned, found: Sequence[Option], paper: Paper) -> None:
    """
    Print a table of all options, then what changes with each.

    Parameters
    ----------
    base
        The plan as the job has it.
    found
        The options beside it, as they were asked for.
    paper
        Where it is printed.
    """
    money = base.bill.total is not None
    paper.title("Options")
    columns = [Column("Option", breaks=True)]
    if money:
        columns += [Column("Total", right=True), Column("Beside", right=True), Column("Of all", right=True)]
    columns += [Column("Weight", right=True), Column("Proved", breaks=True)]
    rows = [_row("as the job has it", base, None, base, paper, money)]
    for option in found:
        if option.found is None:
            rows.append((option.name, *["-"] * (len(columns) - 2), ""))
        else:
            rows.append(_row(option.name, option.found, option.more, base, paper, money))
    paper.gap()
    paper.table(columns, rows)
    if not found:
        paper.say("Stopped before an option was planned.")
    for option in found:
        if option.found is None:
            paper.heading(option.name)
            paper.say(f"{option.reason[:1].upper()}{option.reason[1:].rstrip('.')}.")
            continue
        paper.heading(option.name, "what changes")
        if not option.changed and not option.notes:
            paper.say("Nothing: the same is bought.")
        for change in option.changed:
            paper.point("-", changed_words(change, base.bill.total))
        for note in option.notes:
            paper.point(">", f"{_capital(note, base, option.found)}{note[1:].rstrip('.')}.")


def _capital(note: str, *planned: Planned) -> str:
    """Begin a sentence, but leave a key as it is written in the price book."""
    keys = {item.material for each in planned for item in each.loaded.prices.book.items}
    return note[:1] if note.split(" ")[0].rstrip(",") in keys else note[:1].upper()


def _row(
    name: str, found: Planned, more: int | None, base: Planned, paper: Paper, money: bool
) -> tuple[str, ...]:
    prices: tuple[str, ...] = ()
    if money:
        beside = "" if more is None else f"{'+' if more > 0 else ''}{paper.money(more)}"
        share = "" if more is None or not base.bill.total else per_cent(more, base.bill.total)
        prices = (paper.money(found.bill.total) or "not priced", beside, share)
    weight = paper.weight(found.bill.weight) if found.bill.weight else ""
    proved = "yes" if found.plan.proved else "not all"
    return (name, *prices, weight, proved)
