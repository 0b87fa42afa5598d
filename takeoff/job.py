"""What a user may type, key by key: the tables of a job file."""

from __future__ import annotations

from decimal import Decimal
from itertools import pairwise
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, ValidationError, model_validator

from optimizer.lengths import FOOT, INCH, MILLIMETRE, TapeUnit
from takeoff.complaints import input_error
from takeoff.cover_job import (
    IceBarrierTable,
    RidgeCapTable,
    RidgeVentTable,
    ShingleTable,
    StarterTable,
    UnderlaymentTable,
)
from takeoff.fields import Length, LengthOrZero, Table, Whole, typed
from takeoff.frame_job import (
    AdhesiveTable,
    FlashingTable,
    FloorTable,
    FramingTable,
    FriezeTable,
    PaintTable,
    SealantTable,
    SoffitTable,
)
from takeoff.pitch import Pitch
from takeoff.roof_openings import RoofOpeningTable
from takeoff.shape_job import GambrelTable, PlaneTable, RoofKind, WingTable, misfit
from takeoff.trim_job import DoorTable, DripEdgeTable, FasciaTable, FastenerTable, RakeBoardTable
from takeoff.wall_job import SidingTable, WallTable, WindowTable
from takeoff.yard_job import CarryTable, YardTable, check_yards

__all__ = ["Job", "PartTable", "RidgeSlotTable", "RuleTable", "parse_job"]


def _one_or_each(value: object) -> object:
    return value if isinstance(value, list | tuple) else (value,)


PerSide = Annotated[tuple[Length, ...], BeforeValidator(_one_or_each), Field(min_length=1, max_length=2)]
"""One length for both halves, or one for each, in the order of `sides`."""


class RuleTable(Table):
    """`[rule]`: single values that replace those of the rule set."""

    supports: Whole | None = Field(
        None, ge=2, le=9, description="rafters under every deck piece, at least", examples=["3"]
    )
    stagger: Length | None = Field(
        None, description="from a seam to the seams of the next course, at least", examples=['"24 in"']
    )
    shortest: Length | None = Field(None, description="shortest deck piece", examples=['"24 in"'])
    narrowest: Length | None = Field(None, description="narrowest course", examples=['"24 in"'])
    blocked_below: LengthOrZero | None = Field(
        None, description="a course narrower than this gets blocking along both edges", examples=['"24 in"']
    )
    gap: LengthOrZero | None = Field(None, description="gap between panels", examples=['"1/8 in"'])
    end_slack: LengthOrZero | None = Field(
        None, description="how far a course may stop short of each rake", examples=['"1/4 in"']
    )
    ridge_slack: LengthOrZero | None = Field(
        None, description="how far the last course may stop short of the ridge", examples=['"1/2 in"']
    )
    rake_bays: Whole | None = Field(
        None,
        ge=0,
        le=9,
        description="bays inside the gable wall that a panel carrying an overhang must reach",
        examples=["2"],
    )
    barge_bears: bool | None = Field(
        None, description="whether the barge rafter of an overhang counts as a support", examples=["false"]
    )
    edge_nails: Length | None = Field(None, description="nail spacing along panel ends", examples=['"6 in"'])
    field_nails: Length | None = Field(
        None, description="nail spacing along the rafters in between", examples=['"12 in"']
    )


class RidgeSlotTable(Table):
    """`[ridge_slot]`: an open slot along the ridge for a vent."""

    how: Literal["cut in place", "deck held short"] = Field(
        "cut in place", description='"cut in place" after decking to the ridge, or "deck held short"'
    )
    clear: Length = typed("3/4 in", "open width on each side, beside the ridge board")
    ridge_board: LengthOrZero = typed("1-1/2 in", "thickness of the ridge board, 0 for none")
    stop_short: LengthOrZero = typed("12 in", "where the slot stops, from each end of the deck")


class PartTable(Table):
    """`[[part]]`: anything else that must be cut from the same stock."""

    name: str = Field(min_length=1, description="what it is called on the labels", examples=['"shelf"'])
    material: str = Field(min_length=1, description="key in the price book", examples=['"2x4"'])
    length: Length = Field(description="along the grain, long point to long point", examples=['"4 ft"'])
    width: Length | None = Field(
        None, description="left out, the stock keeps its own width", examples=['"16 in"']
    )
    count: Whole = Field(1, ge=1, le=10_000, description="how many")
    jointed: bool = Field(False, description="true if it may be pieced together end to end")
    grain: Literal["fixed", "free"] = Field(
        "fixed", description='"fixed" along the length, or "free" to lie across the sheet'
    )
    ends: Literal["square", "parallel", "opposed"] = Field(
        "square", description='"square", or slanting: "parallel" to each other or "opposed"'
    )
    slant: Length | None = Field(
        None, description="how much farther the long point of a slanting end reaches", examples=['"1 in"']
    )

    @model_validator(mode="after")
    def _agree(self) -> PartTable:
        if self.jointed and self.width is not None:
            raise ValueError(f"{self.name}: a jointed part is pieced from whole widths; leave out width")
        if self.jointed and self.ends != "square":
            raise ValueError(f'{self.name}: a jointed part has ends = "square"')
        if (self.ends == "square") != (self.slant is None):
            raise ValueError(
                f'{self.name}: slant goes with ends = "parallel" or "opposed", and those need slant'
            )
        if self.slant is not None and self.slant * (2 if self.ends == "opposed" else 1) >= self.length:
            raise ValueError(f"{self.name}: slant leaves nothing of the length between the ends")
        return self


class Job(Table):
    """
    One job: the top level of the file and, below it, its tables.

    Three keys are enough: `length`, `width` and `pitch`.
    """

    title: str = Field("Small building", description="heading of the report")
    length: Length = Field(description="plan length, outside of framing", examples=['"16 ft"'])
    width: Length = Field(description="plan width, outside of framing", examples=['"10 ft"'])
    pitch: Pitch | None = Field(
        None, description='rise in 12 as 6 or "6 in 12", or an angle as "30 deg"', examples=["6"]
    )
    peak_height: Length | None = Field(
        None, description="instead of pitch: height of the peak", examples=['"12 ft"']
    )
    wall_height: Length | None = Field(
        None,
        description="instead of pitch: height at the wall (single slope: the low wall)",
        examples=['"9 ft"'],
    )
    heights_on: Literal["rafter tops", "rafter undersides", "inside"] = Field(
        "rafter undersides",
        description=(
            'the line both heights are measured to: "rafter tops" or "rafter undersides" above the outside '
            'of the framing, or "inside" at the inner faces of the walls'
        ),
    )
    wall_thickness: Length = typed("3-1/2 in", 'wall framing, for heights_on = "inside"')
    unit: Literal["in", "mm"] | None = Field(
        None, description="unit of lengths written without one, and of the report", examples=['"in"']
    )
    roof: RoofKind = Field(
        "gable", description='"gable", "single-slope", "gambrel", "hip", "pyramid", "L" or "planes"'
    )
    second_pitch: Pitch | None = Field(
        None, description="pitch of a gable's second half; left out, as the first", examples=["4"]
    )
    ridge_from: Length | None = Field(
        None,
        description=(
            "on plan, from the outside of the first side's framing to a gable's ridge; left out, halfway, or "
            "where two pitches over walls of one height meet"
        ),
        examples=['"4 ft"'],
    )
    ridge_along: Literal["length", "width"] | None = Field(
        None,
        description="the side the ridge (single slope: the high edge) runs along; left out, the longer one",
        examples=['"length"'],
    )
    sides: tuple[str, str] = Field(
        ("door side", "far side"), description="names of the two halves, in the order they are decked"
    )
    ends: tuple[str, str] = Field(
        ("left end", "right end"), description="names of a hip roof's two ends, seen from the first side"
    )
    eave_overhang: LengthOrZero = typed(
        "12 in", "horizontal, from the framing to the finished face at the eave"
    )
    rake_overhang: LengthOrZero = typed("0 in", "the same at each gable end; 0 is flush with the framing")
    high_overhang: LengthOrZero | None = Field(
        None,
        description="the same at a single slope's high edge; left out, as eave_overhang",
        examples=['"12 in"'],
    )
    deck_to: Literal["framing", "fascia"] = Field(
        "framing", description='the deck ends at the "framing", or covers the "fascia" and rake boards'
    )
    tails: Literal["plumb", "square"] = Field("plumb", description='rafter tails cut "plumb" or "square"')
    rafter_spacing: Length = typed("24 in", "centre to centre")
    rafter_thickness: Length = typed("1-1/2 in", "actual thickness")
    first_rafter: LengthOrZero | None = Field(
        None,
        description="centre of the first rafter from the corner; left out, its outer face is flush",
        examples=['"3/4 in"'],
    )
    rafters: tuple[LengthOrZero, ...] | None = Field(
        None,
        min_length=2,
        description="centres as measured from the left corner, seen from the first side",
        examples=['["3/4 in", "24 in", "48 in"]'],
    )
    lookouts: bool = Field(False, description="true if lookouts carry the rake overhang")
    slope_length: PerSide | None = Field(
        None,
        description="as measured, peak to the deck's lower edge; one for both halves or one for each",
        examples=['["84 in", "84-1/4 in"]'],
    )
    ridge_length: PerSide | None = Field(
        None,
        description="as measured, the deck's length along the ridge; one for both halves or one for each",
        examples=['["16 ft", "192-1/4 in"]'],
    )
    rules: Literal["usual", "lean", "windy"] = Field("usual", description='"usual", "lean" or "windy"')
    panel: str = Field("osb-7/16", min_length=1, description="deck panels: key in the price book")
    edge_support: Literal["clips", "blocking"] = Field(
        "clips", description='between panels where the span calls for it: "clips" or "blocking"'
    )
    blocking: str = Field("2x4", min_length=1, description="lumber for blocking: key in the price book")
    spare: Whole = Field(1, ge=0, le=99, description="extra deck panels to buy, on a line of their own")
    kerf: LengthOrZero = typed("1/8 in", "width the saw turns to dust")
    tax_percent: Decimal | None = Field(
        None, ge=0, le=100, description="sales tax on the whole purchase", examples=["8.25"]
    )
    prices: str | None = Field(
        None,
        min_length=1,
        description="price book (CSV), looked for beside this file; left out, nothing is priced",
        examples=['"prices.csv"'],
    )
    yard: tuple[YardTable, ...] = Field((), description="yards to choose from, one [[yard]] table for each")
    carry: CarryTable | None = Field(None, description="what can be brought home")
    rack: str | None = Field(
        None,
        min_length=1,
        description="offcuts on the rack (CSV), looked for beside this file; a plan draws on them first",
        examples=['"rack.csv"'],
    )
    currency: str = Field("", description='written beside money, as "USD"')
    rule: RuleTable = typed({}, "single rules changed")
    ridge_slot: RidgeSlotTable | None = Field(None, description="a slot along the ridge for a vent")
    drip_edge: DripEdgeTable = typed({}, "edge metal")
    fascia: FasciaTable | None = Field(None, description="boards along the eaves")
    rake_board: RakeBoardTable | None = Field(None, description="boards up the rakes")
    ice_barrier: IceBarrierTable | None = Field(None, description="self-adhered sheet along the eaves")
    underlayment: UnderlaymentTable | None = Field(None, description="felt or a synthetic sheet on the deck")
    starter: StarterTable | None = Field(None, description="strips under the first course of shingles")
    shingles: ShingleTable | None = Field(None, description="asphalt shingles")
    ridge_vent: RidgeVentTable | None = Field(None, description="a vent over the ridge slot")
    ridge_cap: RidgeCapTable | None = Field(None, description="caps over ridge and hips")
    fastener: FastenerTable = typed({}, "nails and screws")
    roof_opening: tuple[RoofOpeningTable, ...] = Field(
        (), description="skylights and chimneys, one [[roof_opening]] table for each"
    )
    door: tuple[DoorTable, ...] = Field((), description="doors, one [[door]] table for each")
    walls: WallTable | None = Field(None, description="the walls and panels on them")
    siding: SidingTable | None = Field(None, description="lap siding")
    window: tuple[WindowTable, ...] = Field((), description="windows, one [[window]] table for each")
    framing: FramingTable | None = Field(None, description="the frame, in your own sizes")
    floor: FloorTable | None = Field(None, description="floor panels on joists")
    soffit: SoffitTable | None = Field(None, description="what closes the overhangs from below")
    frieze: FriezeTable | None = Field(None, description="the board on the wall under the soffit")
    flashing: FlashingTable | None = Field(None, description="metal where the roof meets a wall")
    paint: PaintTable | None = Field(None, description="paint by area and coats")
    sealant: SealantTable | None = Field(None, description="sealant by the bead")
    adhesive: AdhesiveTable | None = Field(None, description="construction adhesive by the bead")
    part: tuple[PartTable, ...] = Field((), description="anything else to cut from the same stock")
    gambrel: GambrelTable | None = Field(None, description="the upper planes of a gambrel")
    wing: WingTable | None = Field(None, description="the wing of an L")
    plane: tuple[PlaneTable, ...] = Field(
        (), max_length=26, description='the planes of roof = "planes", one [[plane]] table for each'
    )

    @model_validator(mode="after")
    def _agree(self) -> Job:
        heights = (self.peak_height, self.wall_height)
        bare = self.roof != "planes" or any(p.points is None and p.pitch is None for p in self.plane)
        if self.pitch is None and None in heights and bare:
            raise ValueError("give pitch, or peak_height and wall_height together")
        if self.pitch is not None and heights != (None, None):
            raise ValueError("give pitch, or peak_height and wall_height, not both")
        if self.peak_height is not None and self.wall_height is not None:
            _check_heights(self.peak_height, self.wall_height)
        for key, length in (("length", self.length), ("width", self.width)):
            if length > _LARGEST:
                raise ValueError(f"{key} is over 1000 ft; check its unit")
        if self.kerf > _WIDEST_KERF:
            raise ValueError("kerf is over 1/2 in; check its unit")
        if self.rafter_spacing <= self.rafter_thickness:
            raise ValueError("rafter_spacing must be more than rafter_thickness")
        fault = misfit(self.roof, [key for key, value in self if value not in (None, ())])
        if fault:
            raise ValueError(fault)
        if self.rafters is not None:
            _check_rafters(self.rafters, self.first_rafter)
        if self.sides[0] == self.sides[1]:
            raise ValueError(f"sides: both are named {self.sides[0]!r}; they need different names")
        for key, lengths in (("slope_length", self.slope_length), ("ridge_length", self.ridge_length)):
            if self.roof == "single-slope" and lengths is not None and len(lengths) > 1:
                raise ValueError(f"{key}: a single slope has one plane; give one length")
        check_yards(self.prices, self.yard)
        names = [part.name for part in self.part]
        if len(set(names)) != len(names):
            raise ValueError("part: two parts share a name; every name must be different")
        return self

    @property
    def tape(self) -> TapeUnit:
        """What the report's lengths are read on: the job's `unit`, else millimetres only if all is metric."""
        if self.unit is not None:
            return self.unit
        metric = all(length % (10 * MILLIMETRE) == 0 for length in (self.length, self.width))
        return "mm" if metric else "in"


_LARGEST = 1000 * FOOT
"""Far beyond any building this is meant for: a longer one is a slip of the unit."""


_WIDEST_KERF = INCH // 2
"""No blade for wood is nearly as thick."""


def _check_heights(peak: int, wall: int) -> None:
    if peak <= wall:
        raise ValueError("peak_height must be more than wall_height, both measured to the same line")


def _check_rafters(rafters: tuple[int, ...], first: int | None) -> None:
    if first is not None:
        raise ValueError("give first_rafter or rafters, not both")
    if any(later <= earlier for earlier, later in pairwise(rafters)):
        raise ValueError("rafters must grow from left to right")


def parse_job(data: dict[str, Any], source: str) -> Job:
    """
    Read a job from what its TOML file holds.

    Parameters
    ----------
    data
        As `tomllib` gives it.
    source
        Name of the file, for messages.

    Raises
    ------
    InputError
        If a key is unknown or missing, or a value can't be used; the message names the key, the value and
        what would be right.
    """
    unit = data.get("unit")
    context = {"unit": unit if unit in ("in", "mm") else None}
    try:
        job: Job = Job.model_validate(data, context=context)
    except ValidationError as error:
        raise input_error(error, Job, source) from None
    return job
