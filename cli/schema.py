"""plan.json as pydantic models: what an outside program may rely on."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from optimizer.words import Kind

__all__ = [
    "AssumedEntry",
    "BuyEntry",
    "CheckEntry",
    "CutEntry",
    "CutPieceEntry",
    "DoneEntry",
    "HandEntry",
    "KeepEntry",
    "LaidPieceEntry",
    "LayEntry",
    "LevelEntry",
    "MaterialEntry",
    "PlanFile",
    "PriceLimitEntry",
    "RuleEntry",
    "SavingEntry",
    "ShapeEntry",
    "StepEntry",
    "TripEntry",
]

Number = str
"""A length in the plan's `unit`, exact: a decimal as `95.875`, or a fraction as `5/127` where none is."""

Corner = tuple[Number, Number]
"""A point: x and y."""

Rectangle = tuple[Number, Number, Number, Number]
"""x, y of its corner nearest the origin, length along x and width along y."""

Money = float
"""An amount in `currency` with at most two decimals; read it as a decimal number to keep it exact."""


class FileModel(BaseModel):
    """Base of everything written: no unknown keys, no later changes."""

    model_config = ConfigDict(extra="forbid", frozen=True, defer_build=True)


class BuyEntry(FileModel):
    """A line of the shopping list; spares and stock from the rack have lines of their own."""

    stock: str
    count: int = Field(ge=0, description="packs")
    unit_price: Money | None = Field(description="for one pack; null where not priced")
    cost: Money | None = Field(description="of what comes from the rack, the value it is stated at")
    from_rack: bool
    pack: int = Field(ge=1, description="pieces in one pack")
    spare: bool = Field(description="bought only to be safe; no cut needs it")
    weight_kg: float | None = Field(description="of the whole line; null where unknown")
    returnable: bool = Field(description="the yard takes unopened packs back")
    yard: str = Field(
        "", description="where it is bought; empty where there is only one place, or from the rack"
    )
    more: int = Field(0, description="packs bought only because a price break then makes each cheaper")


class CutPieceEntry(FileModel):
    """A piece where it lies on its stock, from the stock's corner: x along its length, y across."""

    label: str
    x: Number
    y: Number
    length: Number = Field(description="taken up along x")
    width: Number = Field(description="taken up along y")
    turned: bool = Field(description="the piece's own length lies along y")
    corners: tuple[Corner, ...] = Field((), description="of a piece that is no rectangle, in order")
    openings: tuple[Rectangle, ...] = Field((), description="cut out of it")


class StepEntry(FileModel):
    """
    One saw cut, edge to edge through the rectangle (x, y, length, width) of the stock.

    A crosscut takes the kerf from x + at to x + at + kerf, a rip from y + at.
    """

    kind: Literal["rip", "crosscut"]
    x: Number
    y: Number
    length: Number
    width: Number
    at: Number


class ShapeEntry(FileModel):
    """
    A cut that shapes a piece once its rectangle is free, between two points of the stock.

    A slant runs straight from one to the other; a cut-out takes the rectangle between them, kerf inside.
    """

    kind: Literal["slant", "cut out"]
    label: str
    points: tuple[Corner, Corner]


class CutEntry(FileModel):
    """One piece of stock and all that is cut from it; `repeat` of them are cut alike."""

    id: str
    stock: str
    length: Number
    width: Number
    kerf: Number
    pieces: tuple[CutPieceEntry, ...]
    steps: tuple[StepEntry, ...]
    repeat: int = Field(ge=1)
    tight: bool = Field(description="less than a quarter inch to spare along or across some row of pieces")
    from_rack: bool
    shaping: tuple[ShapeEntry, ...] = Field((), description="made after the steps")


class LaidPieceEntry(FileModel):
    """A piece in its place, from the left end of its plane or run."""

    label: str
    start: Number
    end: Number
    corners: tuple[Corner, ...] = Field(
        (), description="along and across the courses, of a piece that is no rectangle as wide as its course"
    )
    openings: tuple[Rectangle, ...] = Field((), description="cut out of it")


class LayEntry(FileModel):
    """One course of a plane (counted from 1 at the bottom), or one run (course 0, plane empty)."""

    run: str
    plane: str
    course: int = Field(ge=0)
    length: Number
    width: Number
    supports: tuple[Number, ...]
    seams: tuple[Number, ...]
    pieces: tuple[LaidPieceEntry, ...]
    bottom: Number = Field(description="from the plane's lower edge to the lower edge of the course")
    blocked: bool = Field(description="both long edges need blocking")
    begins: Number = Field("0", description="where it begins, from the plane's left end")
    open: tuple[tuple[Number, Number], ...] = Field(
        (), description="from and to: where a hole takes the whole course"
    )
    layer: str = Field(
        "", description="what a run is a course of, as `door side shingles`; bottom is within it"
    )


class KeepEntry(FileModel):
    """What is left of a stock after all cuts."""

    stock: str
    length: Number
    width: Number
    cut: str = Field(description="id of the cut it comes from")
    x: Number
    y: Number
    repeat: int = Field(ge=1)
    material: str = Field("", description="what it is a rest of, by its key in the price book")
    kind: Kind = Field("sheet", description="how that is cut")


class CheckEntry(FileModel):
    """A rule of the trade held against the building."""

    level: Literal["pass", "note", "warn", "fail"]
    rule: str
    source: str
    message: str


class LevelEntry(FileModel):
    """How far one level of the objective (money, slack, pieces ...) is settled."""

    level: str
    status: str


class MaterialEntry(FileModel):
    """How far one material's purchase is proved; `cost` and `bound` are money, or pieces if not priced."""

    material: str
    cost: float
    bound: float
    proved: bool
    family: str = Field(description="the cuts and lay-outs that the proof covers")
    witnesses: tuple[str, ...]
    levels: tuple[LevelEntry, ...]


class AssumedEntry(FileModel):
    """A key the job left out; `starred` if its likely alternative changes Buy, null if that was not tried."""

    key: str
    message: str
    alternative: str | None
    starred: bool | None
    effect: str


class SavingEntry(FileModel):
    """What the plan saves on the deck beside another way of buying it."""

    against: str
    how: str
    pieces: int
    cost: Money | None
    saved_pieces: int
    saved: Money | None
    proved: bool
    note: str


class RuleEntry(FileModel):
    """The deck under one rule set; null where the rules allow no lay-out."""

    rules: str
    chosen: bool
    pieces: int | None
    cost: Money | None
    more_pieces: int | None
    more: Money | None
    proved: bool
    reason: str


class TripEntry(FileModel):
    """How often a yard is gone to; `cost` is that of all those trips."""

    yard: str = Field(description="empty where there is only one place to buy at")
    number: int = Field(ge=1)
    cost: Money
    weight_kg: float = Field(description="of all that is known of what is bought there")


class PriceLimitEntry(FileModel):
    """From which prices of an item on another plan is cheapest, all other prices kept; null: none found."""

    stock: str
    price: Money
    at_or_below: Money | None
    at_or_above: Money | None


class HandEntry(FileModel):
    """So many single pieces of stock that were in hand when the rest was planned, used again or not."""

    stock: str
    material: str
    length: Number
    width: Number
    count: int = Field(ge=1)


class DoneEntry(FileModel):
    """What was done before a plan of the rest: the next one goes on from there."""

    laid: tuple[str, ...] = Field(description="labels of all pieces in place")
    lay: tuple[LayEntry, ...] = Field(
        description="the courses and runs in place, from their planes' lower edges"
    )
    in_hand: tuple[HandEntry, ...]
    changed: tuple[str, ...] = Field((), description="KEY=VALUE of every measure that came out otherwise")


class PlanFile(FileModel):
    """A whole plan: Buy, Cut, Lay, Keep, Check."""

    format: Literal["seamwise-plan/1"]
    title: str
    status: str
    proved: bool
    priced: bool
    unit: Literal["in", "mm"]
    currency: str
    buy: tuple[BuyEntry, ...]
    total: Money | None = Field(
        description="sum of the costs in buy, before tax, the rack's left out; null where not priced"
    )
    bound: Money | None = Field(
        description="no plan of the family named costs less, rack_value included; null where not priced"
    )
    tax: Money | None = Field(description="null where the job names no tax")
    total_with_tax: Money | None = Field(description="all that is to be paid: total, tax and trips")
    pieces: int = Field(description="sheets, boards, sticks and rolls bought")
    cut: tuple[CutEntry, ...]
    lay: tuple[LayEntry, ...]
    keep: tuple[KeepEntry, ...]
    check: tuple[CheckEntry, ...]
    assumed: tuple[AssumedEntry, ...]
    materials: tuple[MaterialEntry, ...]
    savings: tuple[SavingEntry, ...]
    rules: tuple[RuleEntry, ...]
    rack_value: Money = Field(0.0, description="what comes from the rack, at its stated value")
    trips: tuple[TripEntry, ...] = Field((), description="empty where the job counts none")
    yards: MaterialEntry | None = Field(
        None, description="how far the choice of yards is proved: money with tax, trips and rack_value"
    )
    price_limits: tuple[PriceLimitEntry, ...] = ()
    cut_short: tuple[Literal["plan", "study"], ...] = Field(
        (),
        description="what --seconds or Ctrl-C ended before its work was done: only that may come out "
        "otherwise when the same job is planned again; the study is savings, rules, assumed and price_limits",
    )
    done: DoneEntry | None = Field(None, description="of a plan of the rest; lay then begins above it")
