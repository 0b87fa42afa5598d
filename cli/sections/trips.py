"""Of Buy: what is bought where, how often each yard is gone to, and how far prices may move."""

from __future__ import annotations

from cli.paper import Column, Paper
from cli.report import Bill, BuyLine, PriceLimit, Report

__all__ = ["group_of", "print_limits", "print_trips", "sums"]


def group_of(line: BuyLine, bill: Bill) -> str:
    """Head the lines of one yard, or of the rack; "" where everything is bought in one place."""
    if not any(trip.yard for trip in bill.trips):
        return ""
    return "From the rack:" if line.from_rack else f"At {line.yard}:"


def sums(bill: Bill, paper: Paper) -> list[tuple[str, str, str, str]]:
    """Give what leads from the costs to the total: name, count, price, cost."""
    rows = []
    paid = [trip for trip in bill.trips if trip.each]
    if bill.tax_percent or paid:
        rows.append(("Subtotal", "", "", paper.money(bill.subtotal)))
    if bill.tax_percent:
        rows.append((f"Tax {bill.tax_percent} %", "", "", paper.money(bill.tax)))
    for trip in paid:
        name = f"Trips to {trip.yard}" if trip.number > 1 else f"Trip to {trip.yard}"
        rows.append((name, f"{trip.number:,}", paper.money(trip.each), paper.money(trip.number * trip.each)))
    return rows


def print_trips(report: Report, paper: Paper) -> None:
    """Print what price breaks add, what the rack gives, and how often which yard is gone to."""
    bill, problem = report.bill, report.problem
    for line in bill.lines:
        if line.more:
            each = f"from {line.least:,} on each costs {paper.money(line.unit_price)}"
            alone = f"{paper.money(line.dearer)} more" if line.dearer else "as much"
            paper.say(
                f"{line.item}: {line.more:,} more bought than needed, since {each}; to buy without them "
                f"would cost {alone}."
            )
    if any(line.from_rack for line in bill.lines):
        value = f"; it is stated at {paper.money(bill.rack_value)}" if bill.rack_value else ""
        paper.say(f"What comes from the rack is no part of the sums{value}.")
    if len(problem.yards) > 1 and report.plan.yards is not None:
        names = [trip.yard for trip in bill.trips]
        several = f"at {', '.join(names[:-1])} and {names[-1]}, as listed"
        place = f"everything at {names[0]}" if len(names) == 1 else several
        best = "Cheapest" if report.plan.yards.proved else "Cheapest found"
        paper.say(f"{best} of {len(problem.yards)} yards, trips counted: {place}.")
    if problem.load is not None:
        for trip in bill.trips:
            where = f" to {trip.yard}" if trip.yard else ""
            times = "1 trip" if trip.number == 1 else f"{trip.number:,} trips"
            most = paper.weight(problem.load)
            paper.say(f"{times}{where}: {paper.weight(trip.grams)} to carry, {most} in one trip at most.")


def print_limits(limits: tuple[PriceLimit, ...], paper: Paper) -> None:
    """Print between which prices each item may lie while this plan stays the cheapest."""
    shown = [limit for limit in limits if limit.below is not None or limit.above is not None]
    if not shown:
        return
    paper.heading("When another plan would be cheapest", "one price changed, the others kept")
    columns = [
        Column("Item", breaks=True),
        Column("Price", right=True),
        Column("at or below", right=True),
        Column("at or above", right=True),
    ]
    rows = [
        (limit.item, *(paper.money(cents) or "-" for cents in (limit.price, limit.below, limit.above)))
        for limit in shown
    ]
    paper.table(columns, rows)
