"""Buy: the shopping list, what it adds up to, how far it is proved, and what the plan saved."""

from __future__ import annotations

from collections import defaultdict

from cli.by_area import beside_area
from cli.paper import Column, Paper
from cli.report import Bill, BuyLine, Comparison, Report, RuleCost
from cli.sections.trips import group_of, print_limits, print_trips, sums
from optimizer.plan import Outcome

__all__ = ["print_buy", "standing"]


def _percent_up(part: int, whole: int) -> str:
    """Write a share in per cent, rounded up to a tenth: a gap is never told smaller than it is."""
    tenths = -(-1000 * part // whole)
    return f"{tenths // 10}.{tenths % 10} %"


def standing(outcome: Outcome, priced: bool) -> str:
    """
    Say how far one material's purchase is proved.

    Parameters
    ----------
    outcome
        Of that material.
    priced
        False where the plan bought the fewest pieces, for want of a price.
    """
    best = "cheapest" if priced else "fewest pieces"
    covers = f" (for {outcome.family})" if outcome.family else ""
    if outcome.proved:
        return f"proved {best}{covers}"
    if outcome.bound == outcome.cost:
        return f"within 0 % of the bound{covers}; no second method has confirmed the bound yet"
    if outcome.bound <= 0:
        return f"not proved{covers}: no bound was found in the time given"
    return f"within {_percent_up(outcome.cost - outcome.bound, outcome.bound)} of the bound{covers}"


def _name(line: BuyLine) -> str:
    remark = "spare" if line.spare else "from the rack" if line.from_rack else ""
    packs = f"packs of {line.pack:,}" if line.pack > 1 else ""
    notes = ", ".join(filter(None, (remark, packs)))
    item = line.item.removesuffix(f" ({line.yard})") if line.yard else line.item
    name = item.removesuffix(line.size).strip() or item
    return f"{name}, {notes}" if notes else name


def _rows(bill: Bill, paper: Paper, money: bool) -> list[tuple[str, ...]]:
    rows: list[tuple[str, ...]] = []
    group = ""
    for line in bill.lines:
        if group_of(line, bill) != group:
            group = group_of(line, bill)
            rows.append((group, *[""] * (5 if money else 3)))
        price = paper.money(line.unit_price) or "not priced"
        weight = "" if line.weight is None else paper.weight(line.weight)
        # What an offcut is stated at is not paid, so it stands in no column that is added up.
        paid = ("", "") if line.from_rack else (price, paper.money(line.cost))
        prices = paid if money else ()
        rows.append((_name(line), line.size, f"{line.count:,}", *prices, weight))
    return rows


def _list(report: Report, paper: Paper) -> None:
    money = report.priced and any(line.unit_price is not None for line in report.bill.lines)
    columns = [Column("Item", breaks=True), Column("Size"), Column("Count", right=True)]
    if money:
        columns += [Column("Price", right=True), Column("Cost", right=True)]
    columns.append(Column("Weight", right=True))
    rows = _rows(report.bill, paper, money)
    bill = report.bill
    weight = paper.weight(bill.weight) if bill.weight else ""
    if not money:
        rows.append(("Weight together" if weight else "", "", "", weight))
    elif bill.total is None or bill.subtotal is None:
        rows.append(("Total: not priced", "", "", "", "", weight))
    else:
        rows += [(name, "", *rest, "") for name, *rest in sums(bill, paper)]
        rows.append((f"Total {paper.currency}".strip(), "", "", "", paper.money(bill.total), weight))
    paper.gap()
    paper.table(columns, rows, strong=True)


def _remarks(report: Report, paper: Paper) -> None:
    bill = report.bill
    paper.gap()
    for material, found, asked in bill.short_of_spares:
        paper.say(f"Spare {material}: {found} of {asked} bought; the yard has no more.", "bold")
    if bill.unpriced:
        paper.say(f"Not priced: {', '.join(bill.unpriced)}. No total can be given.")
    print_trips(report, paper)
    if report.remark:
        paper.say(report.remark)
    if bill.longest:
        paper.say(f"Longest to carry home: {bill.longest[0]}, {paper.span(bill.longest[1])}.")
    if bill.heaviest:
        label, item, grams = bill.heaviest
        paper.say(f"Heaviest to pass up: {label} of {item}, {paper.weight(grams)}.")
    if bill.unweighed:
        paper.say(f"Weight not known, left out of the sum: {', '.join(bill.unweighed)}.")
    for item, packs in bill.unopened:
        paper.say(f"May go back if it stays unopened: {packs:,} x {item}.")


def _proof(report: Report, paper: Paper) -> None:
    unpriced = {stock.material for stock in report.problem.stocks if stock.price is None}
    told: dict[str, list[str]] = defaultdict(list)
    for outcome in report.plan.outcomes:
        told[standing(outcome, outcome.material not in unpriced)].append(outcome.material)
    paper.heading("How far this is proved")
    if report.stopped:
        paper.say("The search was stopped early; this is the best plan found and checked until then.")
    elif report.cut_short:
        what = " and ".join(report.cut_short)
        paper.say(f"The time given ended the {what} early: --seconds with more of it may tell more.")
    yards = report.plan.yards
    if yards is not None:
        told[standing(yards, True)].append(yards.material)
    for words, materials in told.items():
        paper.point("-", f"{', '.join(materials)}: {words}")
    for outcome in report.plan.outcomes:
        if outcome.levels:
            ties = ", ".join(f"{level} {reached}" for level, reached in outcome.levels)
            paper.point("-", f"{outcome.material}, between plans of that cost: {ties}")


def _of_what(report: Report) -> str:
    """Say what comparisons are about: offcuts count at what they are stated at, though not paid."""
    sheets = {surface.material for surface in report.problem.surfaces[:1]}
    racked = any(stock.from_rack and stock.material in sheets for stock in report.problem.stocks)
    return "roof panels only" + (", offcuts at their stated value" if racked else "")


def _saved(report: Report, paper: Paper) -> None:
    comparisons = report.comparisons
    if not comparisons:
        return
    paper.heading("What planning it together saved", _of_what(report))
    money = any(row.cost is not None for row in comparisons)
    columns = [Column("Against", breaks=True), Column("Panels", right=True)]
    if money:
        columns.append(Column("Cost", right=True))
    columns.append(Column("This plan saves"))
    rows = []
    for row in comparisons:
        cost = (paper.money(row.cost),) if money else ()
        rows.append((row.against, f"{row.pieces:,}", *cost, _saves(row, paper)))
    paper.table(columns, rows)
    for row in comparisons:
        paper.point("-", ". ".join(filter(None, (f"{row.against}: {row.how}", row.note))))


def _saves(row: Comparison, paper: Paper) -> str:
    """Write what the plan spares beside another way, in money and in panels."""
    pieces, money = row.saved_pieces, row.saved or 0
    panels = f"{abs(pieces):,} panel{'s' * (abs(pieces) != 1)}"
    if pieces <= 0 and money <= 0:
        more = ", ".join(filter(None, (panels if pieces else "", paper.money(-money) if money else "")))
        return f"nothing; it takes {more} more" if more else "nothing"
    if not money:
        return panels
    count = f", {panels} {'fewer' if pieces > 0 else 'more'}" if pieces else ""
    return f"{paper.money(money)}{count}"


def _signed(number: int, words: str) -> str:
    return f"+{words}" if number > 0 else words


def _ruled(report: Report, paper: Paper) -> None:
    costs = report.rule_costs
    if not costs:
        return
    paper.heading("What other rules would cost", _of_what(report))
    money = any(row.cost is not None for row in costs)
    columns = [Column("Rules"), Column("Panels", right=True)]
    if money:
        columns.append(Column("Cost", right=True))
    columns.append(Column("Beside this plan", breaks=True))
    rows = []
    for row in costs:
        cost = (paper.money(row.cost),) if money else ()
        rows.append((row.rules, "-" if row.pieces is None else f"{row.pieces:,}", *cost, _beside(row, paper)))
    paper.table(columns, rows)


def _beside(row: RuleCost, paper: Paper) -> str:
    if row.chosen:
        return "this plan"
    if row.pieces is None or row.more_pieces is None:
        return row.reason or "no plan"
    told = "same panels" if not row.more_pieces else f"{row.more_pieces:+,} panels"
    if abs(row.more_pieces) == 1:
        told = told[:-1]
    if row.more:
        told += f", {_signed(row.more, paper.money(row.more))}"
    return told if row.proved else f"{told} (not proved)"


def _by_area(report: Report, paper: Paper) -> None:
    """Set the layers of the cover beside a count by area."""
    rows = beside_area(report.takeoff.by_area, report.plan, report.problem.stocks)
    if not rows:
        return
    paper.heading("The cover beside a count by area", "a tenth added to area or length, no lay-out")
    money = all(row.saved is not None for row in rows)
    columns = [Column("For", breaks=True), Column("Here", right=True), Column("By area", right=True)]
    if money:
        columns.append(Column("This plan saves", right=True))
    paper.table(
        columns,
        [
            (
                f"{', '.join(row.layers)}: {row.material}",
                f"{row.packs:,}",
                f"{row.area_packs:,}",
                *((paper.money(row.saved),) if money else ()),
            )
            for row in rows
        ],
    )


def print_buy(report: Report, paper: Paper) -> None:
    """
    Print the shopping list.

    Parameters
    ----------
    report
        What is printed.
    paper
        Where it is printed.
    """
    paper.title("Buy")
    _list(report, paper)
    _remarks(report, paper)
    _proof(report, paper)
    _saved(report, paper)
    _ruled(report, paper)
    print_limits(report.limits, paper)
    _by_area(report, paper)
