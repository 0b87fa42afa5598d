"""The cover of a roof as bought, beside a count by area or length with a tenth added."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from cli.bill import spare_packs
from optimizer.plan import Plan
from optimizer.words import Stock
from takeoff.needs import ByArea

__all__ = ["AreaRow", "beside_area"]


@dataclass(frozen=True, slots=True)
class AreaRow:
    """
    One material: for which layers, what the plan buys of it, and what a count by area would.

    `used` is how many pieces the plan cuts or lays, the other numbers are packs, the costs cents, None where
    something has no price.
    """

    material: str
    layers: tuple[str, ...]
    used: int
    packs: int
    cost: int | None
    area_packs: int
    area_cost: int | None

    @property
    def saved(self) -> int | None:
        """Give the cents that the plan spares, below 0 where it takes more."""
        return None if self.cost is None or self.area_cost is None else self.area_cost - self.cost


def beside_area(counts: Sequence[ByArea], plan: Plan, stocks: Sequence[Stock]) -> tuple[AreaRow, ...]:
    """
    Set what a plan buys of every material beside what its layers would take by area.

    A count by area takes the one size that makes it cheapest.
    """
    rows = []
    for material in dict.fromkeys(count.material for count in counts):
        own = [count for count in counts if count.material == material]
        sizes = {s.key: s for s in stocks if s.material == material and not s.from_rack}
        pieces = {key: sum(dict(count.pieces)[key] for count in own) for key, _ in own[0].pieces}
        ways = [
            sizes[key].cheapest(-(-number // sizes[key].pack))
            for key, number in pieces.items()
            if key in sizes
        ]
        bought = [(b, b.count - spare_packs(b, sizes[b.stock].pack)) for b in plan.buy if b.stock in sizes]
        if not ways or not bought:
            continue
        area_packs, area_cost = min(ways, key=lambda way: (way[1] or 0, way[0]))
        priced = all(b.unit_price is not None for b, _ in bought)
        rows.append(
            AreaRow(
                material,
                tuple(count.layer for count in own),
                sum(b.needed for b, _ in bought),
                sum(packs for _, packs in bought),
                sum(packs * (b.unit_price or 0) for b, packs in bought) if priced else None,
                area_packs,
                area_cost,
            )
        )
    return tuple(rows)
