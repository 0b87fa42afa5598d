"""The shopping list added up: spares apart, weight, tax, and what has to be carried."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from decimal import ROUND_HALF_UP, Decimal

from cli.report import Bill, BuyLine
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
    items = {item.key: item for item in book.items}
    lines = tuple(line for bought in plan.buy for line in _lines(bought, items.get(bought.stock)))
    subtotal = _sum(line.cost for line in lines)
    tax = None
    if subtotal is not None:
        exact = Decimal(subtotal) * (tax_percent or Decimal(0)) / 100
        tax = int(exact.quantize(Decimal(1), ROUND_HALF_UP))
    bought = [items[b.stock] for b in plan.buy if b.stock in items]
    straight = (item for item in bought if item.length and item.kind != "roll")
    longest = max(straight, key=lambda item: item.length, default=None)
    return Bill(
        lines=lines,
        subtotal=subtotal,
        tax_percent="" if tax_percent is None else f"{tax_percent.normalize():f}",
        tax=tax,
        total=None if subtotal is None or tax is None else subtotal + tax,
        weight=sum(line.weight or 0 for line in lines),
        unweighed=tuple(dict.fromkeys(line.item for line in lines if line.weight is None)),
        longest=(longest.key, longest.length) if longest else None,
        heaviest=_heaviest(plan, items),
        unopened=tuple(_unopened(plan, items)),
        unpriced=tuple(dict.fromkeys(line.item for line in lines if line.cost is None)),
        short_of_spares=tuple(_short_of_spares(plan, items, spare)),
    )


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
    lines = []
    for count, spare in ((bought.count - spares, False), (spares, True)):
        if count:
            lines.append(
                BuyLine(
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
                )
            )
    return lines


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
            whole = bought.count - -(-bought.needed // item.pack)
            if whole > 0:
                yield item.key, whole
