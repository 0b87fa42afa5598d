"""A Report as plan.json, buy.csv and cut.csv."""

from __future__ import annotations

import json
from collections.abc import Iterator

from cli.files import csv_text
from cli.report import Bill, BuyLine, Comparison, PriceLimit, Report, RuleCost, Trial
from cli.schema import (
    AssumedEntry,
    BuyEntry,
    CheckEntry,
    CutEntry,
    CutPieceEntry,
    KeepEntry,
    LaidPieceEntry,
    LayEntry,
    LevelEntry,
    MaterialEntry,
    PlanFile,
    PriceLimitEntry,
    RuleEntry,
    SavingEntry,
    ShapeEntry,
    StepEntry,
    TripEntry,
)
from cli.scraps import offcuts
from optimizer.lengths import TapeUnit, as_number
from optimizer.plan import Course, Cut, Leftover, Outcome, Plan
from optimizer.words import Stock

__all__ = ["as_json", "buy_csv", "cut_csv", "gap_of", "in_units", "plan_file", "status"]


def gap_of(plan: Plan) -> float | None:
    """Give what lies between cost and bound in per cent of the cost; None where either has no price."""
    known, bound = (plan.total, plan.bound) if plan.yards is None else (plan.yards.cost, plan.yards.bound)
    if known is None or bound is None:
        return None
    return 100 * (known - bound) / known if known else 0.0


def status(report: Report) -> str:
    """Say in a few words how far the purchase is proved, and for which cuts."""
    plan = report.plan
    aim = "cheapest" if report.priced else "fewest pieces"
    families = "; ".join(dict.fromkeys(o.family for o in plan.outcomes if o.family))
    if plan.proved:
        return f"proved {aim}" + (f" for {families}" if families else "")
    gap = gap_of(plan)
    if gap is not None:
        return f"within {gap:.1f} % of the bound" + (f" for {families}" if families else "")
    open_ones = ", ".join(o.material for o in plan.outcomes if not o.proved)
    return f"not proved {aim}: {open_ones}"


def plan_file(report: Report) -> PlanFile:
    """Give a report as what plan.json holds; free of clock times, so that equal plans give equal files."""
    takeoff, plan, bill, unit = report.takeoff, report.plan, report.bill, report.takeoff.unit
    layers = {run.label: run.layer for run in report.problem.runs}
    stocks = {stock.key: stock for stock in report.problem.stocks}
    unpriced = {stock.material for stock in report.problem.stocks if stock.price is None}
    return PlanFile(
        format="seamwise-plan/1",
        title=takeoff.title,
        status=status(report),
        proved=plan.proved,
        priced=report.priced,
        unit=unit,
        currency=report.book.currency,
        buy=tuple(_buy(line) for line in bill.lines),
        total=in_units(bill.subtotal),
        bound=in_units(plan.bound),
        tax=in_units(bill.tax) if bill.tax_percent else None,
        total_with_tax=in_units(bill.total),
        pieces=plan.pieces,
        cut=tuple(_cut(cut, unit) for cut in plan.cut),
        lay=tuple(_lay(course, unit, layers.get(course.run, "")) for course in plan.lay),
        keep=tuple(_keep(left, unit, stocks[left.stock]) for left in offcuts(report)),
        check=(
            *(
                CheckEntry(level=c.level, rule=c.rule, source=c.source, message=c.message)
                for c in takeoff.checks
            ),
            *_spare_checks(bill),
        ),
        assumed=tuple(_assumed(trial) for trial in report.trials),
        materials=tuple(_material(outcome, outcome.material not in unpriced) for outcome in plan.outcomes),
        savings=tuple(_saving(comparison) for comparison in report.comparisons),
        rules=tuple(_rule(rule_cost) for rule_cost in report.rule_costs),
        rack_value=bill.rack_value / 100,
        trips=tuple(
            TripEntry(yard=t.yard, number=t.number, cost=t.number * t.each / 100, weight_kg=t.grams / 1000)
            for t in plan.trips
        ),
        yards=None if plan.yards is None else _material(plan.yards, True),
        price_limits=tuple(_price_limit(limit) for limit in report.limits),
        cut_short=report.cut_short,
        done=report.done,
    )


def _assumed(trial: Trial) -> AssumedEntry:
    return AssumedEntry(
        key=trial.assumption.key,
        message=trial.assumption.message,
        alternative=trial.alternative or None,
        starred=trial.changes,
        effect=trial.effect,
    )


def _saving(comparison: Comparison) -> SavingEntry:
    return SavingEntry(
        against=comparison.against,
        how=comparison.how,
        pieces=comparison.pieces,
        cost=in_units(comparison.cost),
        saved_pieces=comparison.saved_pieces,
        saved=in_units(comparison.saved),
        proved=comparison.proved,
        note=comparison.note,
    )


def _rule(cost: RuleCost) -> RuleEntry:
    return RuleEntry(
        rules=cost.rules,
        chosen=cost.chosen,
        pieces=cost.pieces,
        cost=in_units(cost.cost),
        more_pieces=cost.more_pieces,
        more=in_units(cost.more),
        proved=cost.proved,
        reason=cost.reason,
    )


def _price_limit(limit: PriceLimit) -> PriceLimitEntry:
    return PriceLimitEntry(
        stock=limit.item,
        price=limit.price / 100,
        at_or_below=in_units(limit.below),
        at_or_above=in_units(limit.above),
    )


def _spare_checks(bill: Bill) -> Iterator[CheckEntry]:
    for material, found, asked in bill.short_of_spares:
        yield CheckEntry(
            level="warn",
            rule="spare",
            source="the price book",
            message=f"{found} of {asked} spare {material} bought; the yard has no more.",
        )


def in_units(cents: int | None) -> float | None:
    """Write cents in the currency's own units, as JSON holds money; None where nothing is priced."""
    return None if cents is None else cents / 100


def _buy(line: BuyLine) -> BuyEntry:
    return BuyEntry(
        stock=line.item,
        count=line.count,
        unit_price=in_units(line.unit_price),
        cost=in_units(line.cost),
        from_rack=line.from_rack,
        pack=line.pack,
        spare=line.spare,
        weight_kg=None if line.weight is None else line.weight / 1000,
        returnable=line.returnable,
        yard=line.yard,
        more=line.more,
    )


def _cut(cut: Cut, unit: TapeUnit) -> CutEntry:
    return CutEntry(
        id=cut.id,
        stock=cut.stock,
        length=as_number(cut.length, unit),
        width=as_number(cut.width, unit),
        kerf=as_number(cut.kerf, unit),
        pieces=tuple(
            CutPieceEntry(
                label=p.label,
                x=as_number(p.x, unit),
                y=as_number(p.y, unit),
                length=as_number(p.length, unit),
                width=as_number(p.width, unit),
                turned=p.turned,
                corners=_corners(p.corners, unit),
                openings=_rectangles(p.openings, unit),
            )
            for p in cut.pieces
        ),
        steps=tuple(
            StepEntry(
                kind=s.kind,
                x=as_number(s.x, unit),
                y=as_number(s.y, unit),
                length=as_number(s.length, unit),
                width=as_number(s.width, unit),
                at=as_number(s.at, unit),
            )
            for s in cut.steps
        ),
        repeat=cut.repeat,
        tight=cut.tight,
        from_rack=cut.from_rack,
        shaping=tuple(
            ShapeEntry(
                kind=s.kind, label=s.label, points=(_corner(s.points[0], unit), _corner(s.points[1], unit))
            )
            for s in cut.shaping
        ),
    )


def _corner(corner: tuple[int, int], unit: TapeUnit) -> tuple[str, str]:
    return as_number(corner[0], unit), as_number(corner[1], unit)


def _corners(corners: tuple[tuple[int, int], ...], unit: TapeUnit) -> tuple[tuple[str, str], ...]:
    return tuple(_corner(corner, unit) for corner in corners)


def _rectangles(
    openings: tuple[tuple[int, int, int, int], ...], unit: TapeUnit
) -> tuple[tuple[str, str, str, str], ...]:
    return tuple(
        (*_corner((x, y), unit), *_corner((length, width), unit)) for x, y, length, width in openings
    )


def _lay(course: Course, unit: TapeUnit, layer: str) -> LayEntry:
    return LayEntry(
        run=course.run,
        plane=course.plane,
        course=course.course,
        length=as_number(course.length, unit),
        width=as_number(course.width, unit),
        supports=tuple(as_number(at, unit) for at in course.supports),
        seams=tuple(as_number(at, unit) for at in course.seams),
        pieces=tuple(
            LaidPieceEntry(
                label=p.label,
                start=as_number(p.start, unit),
                end=as_number(p.end, unit),
                corners=_corners(p.corners, unit),
                openings=_rectangles(p.openings, unit),
            )
            for p in course.pieces
        ),
        bottom=as_number(course.bottom, unit),
        blocked=course.blocked,
        begins=as_number(course.begins, unit),
        open=_corners(course.open, unit),
        layer=layer,
    )


def _keep(left: Leftover, unit: TapeUnit, stock: Stock) -> KeepEntry:
    return KeepEntry(
        stock=left.stock,
        length=as_number(left.length, unit),
        width=as_number(left.width, unit),
        cut=left.cut,
        x=as_number(left.x, unit),
        y=as_number(left.y, unit),
        repeat=left.repeat,
        material=stock.material,
        kind=stock.kind,
    )


def _material(outcome: Outcome, priced: bool) -> MaterialEntry:
    scale = 100 if priced else 1
    return MaterialEntry(
        material=outcome.material,
        cost=outcome.cost / scale,
        bound=outcome.bound / scale,
        proved=outcome.proved,
        family=outcome.family,
        witnesses=outcome.witnesses,
        levels=tuple(LevelEntry(level=level, status=text) for level, text in outcome.levels),
    )


def as_json(report: Report) -> str:
    """Write plan.json."""
    return json.dumps(plan_file(report).model_dump(mode="json"), indent=2) + "\n"


def _cents(cents: int | None) -> str | None:
    return None if cents is None else f"{cents // 100}.{cents % 100:02d}"


def buy_csv(bill: Bill, currency: str) -> str:
    """Write the shopping list as a table, a line an item, then the sums."""
    rows: list[tuple[object, ...]] = [
        (
            line.item,
            line.count,
            line.pack,
            _cents(line.unit_price),
            _cents(line.cost),
            currency,
            None if line.weight is None else f"{line.weight / 1000:.1f}",
            _note(line),
            line.yard,
        )
        for line in bill.lines
    ]
    paid = [trip for trip in bill.trips if trip.each]
    sums = [("subtotal", bill.subtotal)]
    if bill.tax_percent:
        sums.append((f"tax {bill.tax_percent} %", bill.tax))
    rows += [(name, None, None, None, _cents(cents), currency, None, "", "") for name, cents in sums]
    rows += [
        ("trip", t.number, 1, _cents(t.each), _cents(t.number * t.each), currency, None, "", t.yard)
        for t in paid
    ]
    if bill.tax_percent or paid:
        rows.append(("total", None, None, None, _cents(bill.total), currency, None, "", ""))
    header = ("item", "count", "pack", "unit_price", "cost", "currency", "weight_kg", "note", "yard")
    return csv_text(header, rows)


def _note(line: BuyLine) -> str:
    if line.more:
        return f"{line.more} more than needed, cheaper each from {line.least} on"
    return "spare" if line.spare else "from the rack, at its stated value" if line.from_rack else ""


def _listed(points: tuple[tuple[str, ...], ...]) -> str:
    """Write corners, or rectangles, in one cell: their numbers apart by blanks, they by semicolons."""
    return "; ".join(" ".join(point) for point in points)


def cut_csv(cuts: tuple[Cut, ...], unit: TapeUnit, stocks: tuple[Stock, ...]) -> str:
    """Write the cut list as a table, a line a piece, in saw order; lengths and corners exact, in its unit."""
    kinds = {stock.key: stock.kind for stock in stocks}
    rows = [
        (
            cut.id,
            cut.stock,
            kinds.get(cut.stock, ""),
            cut.repeat,
            piece.label,
            as_number(piece.x, unit),
            as_number(piece.y, unit),
            as_number(piece.length, unit),
            as_number(piece.width, unit),
            unit,
            "tight" if cut.tight else "",
            _listed(_corners(piece.corners, unit)),
            _listed(_rectangles(piece.openings, unit)),
        )
        for cut in cuts
        for piece in cut.pieces
    ]
    header = (
        "cut",
        "stock",
        "kind",
        "repeat",
        "piece",
        "x",
        "y",
        "length",
        "width",
        "unit",
        "note",
        "corners",
        "openings",
    )
    return csv_text(header, rows)
