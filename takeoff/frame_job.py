"""What a person may type about the frame, the floor, soffits, flashings and what is spread or squeezed."""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from pydantic import Field

from takeoff.fields import Length, LengthOrZero, Table, Whole, typed
from takeoff.trim_job import Material, NailTable

__all__ = [
    "AdhesiveTable",
    "BeadTable",
    "FlashingTable",
    "FloorTable",
    "FramingTable",
    "FriezeTable",
    "PaintTable",
    "SealantTable",
    "SoffitTable",
]


def _asleep(description: str, example: str) -> Material:
    """Declare a material that is left out unless the job names it."""
    found: Material = Field(
        None, description=f"{description}: key in the price book; left out, none", examples=[f'"{example}"']
    )
    return found


class FramingTable(Table):
    """`[framing]`: the frame as lumber to buy, in the builder's own sizes; nothing of it is designed here."""

    rafter: str = Field(
        min_length=1,
        description="lumber of the rafters, in the size your own design asks for: key in the price book",
        examples=['"2x6"'],
    )
    ridge: Material = _asleep("ridge board", "2x8")
    barge: Material = typed(
        "rafter", 'barge rafters at overhanging rakes; "rafter": the same; false for none'
    )
    seat: Length = typed("3-1/2 in", "level cut of the birdsmouth, from the outside of the wall")
    lookout: Material = typed("2x4", "lookouts, where lookouts = true; false for none")
    lookout_spacing: Length = typed("24 in", "lookouts up the rake, centre to centre")
    joist: Material = _asleep("ceiling joists, one beside each pair of rafters", "2x6")
    joist_lap: LengthOrZero = typed(
        "6 in", "lap over a bearing wall at mid-span where no board is long enough"
    )
    collar_tie: Material = _asleep("collar ties", "1x6")
    collar_down: Length | None = Field(
        None,
        description="from the peak down to their lower edge; left out, a third of the rise",
        examples=['"16 in"'],
    )
    collar_spacing: Length = typed("48 in", "from tie to tie, at most")
    stud: Material = _asleep("studs of the walls", "2x4")
    stud_length: Length | None = Field(
        None,
        description="full studs; left out, 92-5/8 in as precut, or what [walls] leaves between plates",
        examples=['"92-5/8 in"'],
    )
    stud_spacing: Length | None = Field(
        None, description="centre to centre; left out, that of [walls], or 16 in", examples=['"16 in"']
    )
    corner_studs: Whole = Field(3, ge=2, le=4, description="studs in each corner")
    plate: Material = typed("stud", 'top plates; "stud": the same lumber; false for none')
    bottom_plate: Material = typed("plate", 'bottom plates; "plate": the same; false for none')
    top_plates: Literal[1, 2] = Field(2, description="1, or 2 with their joints lapped")
    plate_joints: Literal["where needed", "on studs"] = Field(
        "where needed",
        description='"where needed": none where a board is long enough; "on studs": wherever it saves lumber',
    )
    plate_shortest: Length = typed("4 ft", "no piece of a jointed plate or ridge shorter than this")
    gable_studs: bool = Field(True, description="studs from the end walls' plates up to the end rafters")
    header: Material = _asleep("headers over the openings, in your own size", "2x8")
    header_plies: Whole = Field(2, ge=1, le=4, description="pieces side by side in one header")
    nail: NailTable = typed({"material": "nail-16d-common", "length": "3-1/2 in"}, "face and end nails")
    toe_nail: NailTable = typed({"material": "nail-8d-common", "length": "2-1/2 in"}, "toe nails")


class FloorTable(Table):
    """`[floor]`: a deck of tongue-and-groove panels on joists."""

    panel: str = Field("tg-osb-23/32", min_length=1, description="floor panels: key in the price book")
    length: Length | None = Field(
        None, description="across the joists; left out, as the building", examples=['"16 ft"']
    )
    width: Length | None = Field(
        None, description="along the joists; left out, as the building", examples=['"12 ft"']
    )
    joist: Material = _asleep("joists, in your own size", "2x8")
    joist_spacing: Length = typed("16 in", "centre to centre")
    joist_thickness: Length = typed("1-1/2 in", "actual, where no joist lumber is named")
    joist_lap: LengthOrZero = typed("6 in", "lap over a beam at mid-span where no board is long enough")
    rim: Material = typed("joist", 'boards across the joists\' ends; "joist": the same; false for none')
    sill: Material = _asleep("sill plates under the joists, treated", "2x6")
    shortest: Length = typed("4 ft", "no piece of a jointed rim or sill shorter than this")
    nail: NailTable = typed({"material": "nail-8d-common", "length": "2-1/2 in"}, "panels to joists")
    edge_nails: Length = typed("6 in", "nail spacing along panel ends")
    field_nails: Length = typed("12 in", "nail spacing along the joists in between")
    spare: Whole = Field(0, ge=0, le=99, description="extra floor panels to buy")


class SoffitTable(Table):
    """`[soffit]`: what closes the overhangs from below: sheets in strips, or boards side by side."""

    material: str = Field("soffit-panel", min_length=1, description="sheet or board: key in the price book")
    how: Literal["level", "sloped"] = Field(
        "sloped", description='"sloped" under the rafters, or "level" on lookouts from the wall'
    )
    rakes: bool = Field(True, description="under overhanging rakes as well")
    lookout: Material = typed(
        "2x4", "blocks along the rakes; level soffit: lookouts and the ledger on the wall; false for none"
    )
    shortest: Length = typed("24 in", "no piece shorter than this")
    gap: LengthOrZero = typed("1/8 in", "between pieces end to end")
    vent: Material = _asleep("vents let into the eave soffit", "soffit-vent")
    vent_spacing: Length = typed("4 ft", "from vent to vent, at most")
    vent_area: Decimal = Field(
        Decimal(26), gt=0, le=1000, description="net free area of one vent, sq in, as its maker says"
    )
    nail: NailTable = typed({"material": "trim-nail-2", "length": "2 in"}, "soffit to its framing")
    nail_spacing: Length = typed("6 in", "along its edges and every support")


class FriezeTable(Table):
    """`[frieze]`: the board on the wall under the soffit, and up the gable walls."""

    material: str = Field("1x6", min_length=1, description="key in the price book")
    rakes: bool = Field(True, description="up the gable walls as well")
    shortest: LengthOrZero = typed("4 ft", "no piece of a jointed frieze shorter than this")
    nail: NailTable = typed({"material": "trim-nail-2-1/2", "length": "2-1/2 in"}, "frieze to the wall")


class FlashingTable(Table):
    """`[flashing]`: metal where the roof meets a wall, beyond edge metal and the heads of openings."""

    high_wall: Material = _asleep("along a single slope's high edge, where it meets a wall", "wall-flashing")
    side_walls: Literal["left", "right", "both"] | None = Field(
        None,
        description='rakes that meet a wall: "left", "right" or "both"; left out, none',
        examples=['"left"'],
    )
    step: Material = typed("step-flashing", "pieces up a side wall, one a course; false for none")
    exposure: Length = typed("5 in", "of the roofing, for step flashing")
    step_lap: LengthOrZero = typed("2 in", "least lap of one step piece over the next")
    step_length: Length = typed("8 in", "of one step piece up the slope")
    kickout: Material = typed("kickout-flashing", "at the foot of a side wall; false for none")
    valley: Material = typed("valley-metal", "in the valleys of a roof that has any; false for none")
    lap: LengthOrZero = typed("4 in", "upper piece over lower, of wall and valley metal")
    past: LengthOrZero = typed("2 in", "how far wall metal runs past each end, folded round")
    shortest: LengthOrZero = typed("12 in", "no piece shorter than this")
    nail: NailTable = typed({"material": "roofing-nail", "length": "1-1/4 in"}, "flashing to deck or wall")
    nail_spacing: Length = typed("12 in", "along wall and valley metal")


class PaintTable(Table):
    """`[paint]`: paint by area and coats, counted in quarts."""

    material: str = Field("paint", min_length=1, description="by the quart: key in the price book")
    coats: Whole = Field(2, ge=1, le=9, description="coats of it")
    per_gallon: Whole = Field(350, ge=20, le=2000, description="sq ft that a gallon covers once")
    primer: Material = typed("primer", "a coat under the first, by the quart; false for none")
    primer_per_gallon: Whole = Field(250, ge=20, le=2000, description="sq ft that a gallon of it covers")
    materials: tuple[str, ...] | None = Field(
        None,
        min_length=1,
        description="what is painted, keys in the price book; left out, all outside wood that has a table",
        examples=['["1x6", "siding-panel"]'],
    )
    extra_area: Whole = Field(0, ge=0, le=100_000, description="sq ft besides, as existing walls")
    waste_percent: Whole = Field(10, ge=0, le=100, description="left in brush, roller and can")


class BeadTable(Table):
    """A bead from a tube: its size and shape, and what a tube holds."""

    material: str = Field(min_length=1, description="tubes: key in the price book", examples=['"sealant"'])
    bead: Length = Field(description="thickness of the bead", examples=['"1/4 in"'])
    shape: Literal["round", "square"] = Field(
        "square", description='"square" fills a joint, "round" is a free bead of that thickness'
    )
    tube: Decimal = Field(Decimal("10.1"), ge=1, le=200, description="fluid ounces in one tube")
    waste_percent: Whole = Field(10, ge=0, le=100, description="left in the tubes and wiped off")


class SealantTable(BeadTable):
    """`[sealant]`: round openings, behind wall flashing, and wherever the job adds length."""

    material: str = Field("sealant", min_length=1, description="tubes: key in the price book")
    bead: Length = typed("1/4 in", "thickness of the bead")
    extra_length: LengthOrZero = typed("0 in", "length of other joints to seal")
    deck_tape: Material = _asleep("self-adhered tape over all joints of the deck, by the foot", "deck-tape")
    opening_tape: Material = _asleep(
        "self-adhered flashing tape round windows and doors, under their trim, by the foot", "flashing-tape"
    )


class AdhesiveTable(BeadTable):
    """`[adhesive]`: construction adhesive under the floor's panels, and wherever the job adds length."""

    material: str = Field("adhesive", min_length=1, description="tubes: key in the price book")
    bead: Length = typed("3/16 in", "thickness of the bead")
    tube: Decimal = Field(Decimal(28), ge=1, le=200, description="fluid ounces in one tube")
    extra_length: LengthOrZero = typed("0 in", "length of other beads")
