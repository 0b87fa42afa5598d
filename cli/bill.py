"""The shopping list added up: spares apart, weight, tax, and what has to be carried."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from cli.report import Bill, BuyLine
from optimizer.money import price_at, tax_on
from optimizer.plan import Bought, Plan
from takeoff.book import Book, Item

__all__ = ["add_up", "spare_packs"]


def add_up(
    plan: Plan, book: Book, tax_percent: Decimal | None, spare: Iterable[tuple[str, int]] = ()
) -> Bill:
    """
    Add up what a plan buys.

    Parameters
    ----------
    spare
        The spares asked for: pairs of material and number.
    tax_percent
        Sales tax on the whole, in percent; None where the job names none.
    """
    items = {item.key: item for item in book.items if not item.from_rack}
    racked = {item.key: item for item in book.items if item.from_rack}
    lines = tuple(
        line
        for bought in _by_yard(plan, items)
        for line in _lines(bought, (racked if bought.from_rack else items).get(bought.stock))
    )
    paid = [line for line in lines if not line.from_rack]
    subtotal = _sum(line.cost for line in paid)
    tax = None if subtotal is None else tax_on(subtotal, Fraction(tax_percent or 0) / 100)
    trips = sum(trip.number * trip.each for trip in plan.trips)
    bought = [items[b.stock] for b in plan.buy if b.stock in items and not b.from_rack]
    straight = (item for item in bought if item.length and item.kind != "roll")
    longest = max(straight, key=lambda item: item.length, default=None)
    return Bill(
        lines=lines,
        subtotal=subtotal,
        tax_percent="" if tax_percent is None else f"{tax_percent.normalize():f}",
        tax=tax,
        total=None if subtotal is None or tax is None else subtotal + tax + trips,
        weight=sum(line.weight or 0 for line in paid),
        unweighed=tuple(dict.fromkeys(line.item for line in paid if line.weight is None)),
        longest=(longest.key, longest.length) if longest else None,
        heaviest=_heaviest(plan, items),
        unopened=tuple(_unopened(plan, items)),
        unpriced=tuple(dict.fromkeys(line.item for line in paid if line.cost is None)),
        short_of_spares=tuple(_short_of_spares(plan, items, spare)),
        rack_value=sum(line.cost or 0 for line in lines if line.from_rack),
        trips=plan.trips,
    )


def _by_yard(plan: Plan, items: Mapping[str, Item]) -> list[Bought]:
    """Order what is bought by yard, as the trips are; where there are any, the rack comes last."""
    order = {trip.yard: place for place, trip in enumerate(plan.trips)}

    def place(bought: Bought) -> int:
        if bought.from_rack:
            return len(order)
        item = items.get(bought.stock)
        return order.get(item.yard, 0) if item else 0

    return sorted(plan.buy, key=place) if order else list(plan.buy)


def _sum(amounts: Iterable[int | None]) -> int | None:
    """Add amounts up; one that is unknown leaves the sum unknown."""
    total = 0
    for amount in amounts:
        if amount is None:
            return None
        total += amount
    return total


def _lines(bought: Bought, item: Item | None) -> list[BuyLine]:
    """Give a line for what the cuts need and one for what is bought only to be safe."""
    pack = item.pack if item else 1
    spares = spare_packs(bought, pack)
    grams = item.weight if item else None

    def line(count: int, spare: bool) -> BuyLine:
        return BuyLine(
            item=bought.stock,
            size=item.size if item else "",
            count=count,
            pack=pack,
            unit_price=bought.unit_price,
            cost=None if bought.unit_price is None else count * bought.unit_price,
            weight=None if grams is None else count * grams,
            spare=spare,
            from_rack=bought.from_rack,
            returnable=bool(item and item.returnable),
            yard=item.yard if item else "",
        )

    whole = [line(bought.count - spares, False)] if bought.count > spares else []
    if item is not None and whole:
        whole = [_at_its_break(whole[0], bought, item)]
    return [*whole, *([line(spares, True)] if spares else [])]


def _at_its_break(line: BuyLine, bought: Bought, item: Item) -> BuyLine:
    """Tell how many packs are bought only because that makes each of them cheaper."""
    more = _added(bought, item)
    if not more or item.price is None or bought.cost is None:
        return line
    asked = bought.count - more
    alone = asked * price_at(item.price, item.breaks, asked)
    least = max(count for count, _ in item.breaks if count <= bought.count)
    return replace(line, more=more, least=least, dearer=alone - bought.cost)


def _added(bought: Bought, item: Item) -> int:
    """Count the packs that a price break adds to what is needed and what is spare."""
    asked = -(-(bought.needed + bought.spare) // item.pack)
    reached = any(asked < least <= bought.count for least, _ in item.breaks)
    return bought.count - asked if reached else 0


def spare_packs(bought: Bought, pack: int) -> int:
    """Give how many packs are bought only for the spare pieces in them."""
    return min(bought.count - -(-bought.needed // pack), bought.spare) if bought.spare else 0


def _short_of_spares(
    plan: Plan, items: Mapping[str, Item], spare: Iterable[tuple[str, int]]
) -> Iterator[tuple[str, int, int]]:
    for material, asked in spare:
        mine = [b for b in plan.buy if b.stock in items and items[b.stock].material == material]
        found = sum(b.spare for b in mine)
        if mine and found < asked:
            yield material, found, asked


def _heaviest(plan: Plan, items: Mapping[str, Item]) -> tuple[str, str, int] | None:
    """Give the heaviest piece that is laid on a plane, by its share of its stock's weight."""
    laid = {piece.label for course in plan.lay if course.plane for piece in course.pieces}
    found = [
        (
            item.weight * piece.length * piece.width // (item.pack * cut.length * cut.width),
            piece.label,
            cut.stock,
        )
        for cut in plan.cut
        if (item := items.get(cut.stock)) is not None and item.weight is not None
        for piece in cut.pieces
        if piece.label in laid and cut.width
    ]
    if not found:
        return None
    grams, label, stock = max(found, key=lambda piece: piece[0])
    return label, stock, grams


def _unopened(plan: Plan, items: Mapping[str, Item]) -> Iterator[tuple[str, int]]:
    for bought in plan.buy:
        item = items.get(bought.stock)
        if item is not None and item.returnable and not bought.from_rack:
            # What a price break adds must stay bought, or the break is lost.
            whole = bought.count - _added(bought, item) - -(-bought.needed // item.pack)
            if whole > 0:
                yield item.key, whole
