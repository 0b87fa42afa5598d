"""What a person may type about edge metal, fascia, rake boards, doors and what fastens them."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field

from takeoff.fields import Length, LengthOrZero, Table, Whole, typed

__all__ = [
    "DoorTable",
    "DripEdgeTable",
    "FasciaTable",
    "FastenerTable",
    "Material",
    "NailTable",
    "RakeBoardTable",
]


def _false_is_none(value: object) -> object:
    if value is True:
        raise ValueError("write the key of a material in the price book, or false for none")
    return None if value is False else value


Material = Annotated[str | None, BeforeValidator(_false_is_none)]
"""The key of a material in the price book; `false` leaves the thing out."""


class DripEdgeTable(Table):
    """`[drip_edge]`: metal along the eaves, the rakes and, on a single slope, the high edge."""

    eave: Material = typed("drip-edge", "profile at the eaves: key in the price book; false for none")
    rake: Material = typed("eave", 'profile at the rakes; "eave": the same; false for none')
    high: Material = typed("eave", 'profile at a single slope\'s high edge; "eave": the same; false for none')
    lap: LengthOrZero = typed("2 in", "upper piece over lower")
    corner: LengthOrZero = typed("3 in", "how far eave metal runs past each corner, notched and folded")
    fold: LengthOrZero = typed("3 in", "how far one half's rake metal folds over the peak")
    shortest: LengthOrZero = typed("12 in", "no piece shorter than this")


class FasciaTable(Table):
    """`[fascia]`: the board along the rafter tails; its joints fall on tails only."""

    material: str = Field("1x6", min_length=1, description="key in the price book")
    joints: Literal["where needed", "on tails"] = Field(
        "where needed",
        description='"where needed": none where a board is long enough; "on tails": wherever it saves lumber',
    )
    shortest: LengthOrZero = typed("4 ft", "no piece of a jointed fascia shorter than this")


class RakeBoardTable(Table):
    """`[rake_board]`: the boards up the gable ends, plumb cut at the peak."""

    material: str = Field("1x6", min_length=1, description="key in the price book")
    foot: Literal["plumb", "square"] | None = Field(
        None, description="how the lower end is cut; left out, as the tails", examples=['"plumb"']
    )
    joints: Literal["where needed", "anywhere"] = Field(
        "where needed",
        description='"where needed": none where a board is long enough; "anywhere": wherever it saves lumber',
    )
    shortest: LengthOrZero = typed("4 ft", "no piece of a jointed rake board shorter than this")


class DoorTable(Table):
    """
    `[[door]]`: a site-built door: slab, casing, stops, seal and hinges of one opening.

    Width and height are those of the finished opening, between the faces that the slab closes between.
    """

    name: str = Field("door", min_length=1, description="what it is called on the labels")
    width: Length = Field(description="of the opening", examples=['"36 in"'])
    height: Length = Field(description="of the opening", examples=['"84 in"'])
    wall: str | None = Field(
        None,
        description="its wall, a side or an end; left out, the first side (single slope: the high wall)",
        examples=['"left end"'],
    )
    from_corner: LengthOrZero | None = Field(
        None,
        description="its left edge from the wall's left corner, seen from outside; left out, centred",
        examples=['"36 in"'],
    )
    gap: LengthOrZero = typed("1/4 in", "left open on every side of the slab, and between two leaves")
    leaves: Literal[1, 2] = Field(1, description="1, or 2 for a double door")
    face: str = Field("siding-panel", min_length=1, description="outer skin, grooves upright")
    backing: Material = typed("roof", 'inner skin; "roof": the panel of the roof; false for none')
    stile: str = Field("1x4", min_length=1, description="lumber of stiles, rails, brace and hinge pads")
    middle_rail: bool = Field(True, description="a rail at half height")
    brace: bool = Field(True, description="a brace across each field between rails")
    bottom_piece: Material = typed("1x4", "board across the foot, hanging below the slab; false for none")
    hang: LengthOrZero = typed("1/2 in", "how far the bottom piece hangs below the slab")
    casing: Material = typed("1x4", "boards around the opening; false for none")
    stop: Material = typed("2x4", "lumber the stops are ripped from; false for none")
    stop_sides: Literal[3, 4] = Field(3, description="3, or 4 with one along the sill")
    stop_lanes: Whole = Field(2, ge=1, le=6, description="strips that one board is ripped into")
    set_back: LengthOrZero = typed("1/8 in", "from the closed slab to the stop")
    seal: Material = typed("foam-seal", "stuck to the stop, pressed by the slab; false for none")
    seal_thickness: Length = typed("1/4 in", "of the seal before it is pressed")
    head_metal: Material = typed("head-flashing", "metal over the head casing; false for none")
    head_metal_past: LengthOrZero = typed("1/4 in", "how far it runs past the casing at each end")
    hinge: Material = typed("strap-hinge", "key in the price book; false for none")
    hinges: Whole | None = Field(
        None, ge=2, le=6, description="on each leaf; left out, by the slab's height", examples=["3"]
    )
    screws_per_hinge: Whole = Field(6, ge=1, le=20, description="screws in one hinge")
    hinge_pad: LengthOrZero = typed(
        "6 in", "length of the block under each strap beside the stile; 0 for none"
    )


class NailTable(Table):
    """A nail or screw: what it is and how long."""

    material: str = Field(min_length=1, description="key in the price book", examples=['"nail-8d-common"'])
    length: Length = Field(description="under the head to the point", examples=['"2-1/2 in"'])


class FastenerTable(Table):
    """`[fastener]`: the nails and screws of each job, and how far apart they are driven."""

    deck: NailTable = typed({"material": "nail-8d-common", "length": "2-1/2 in"}, "deck panels to rafters")
    clip: str = Field("panel-clip", min_length=1, description="clips between panels: key in the price book")
    edge_metal: NailTable = typed(
        {"material": "roofing-nail", "length": "1-1/4 in"}, "edge metal to the deck"
    )
    edge_metal_spacing: Length = typed("12 in", "along edge metal")
    fascia: NailTable = typed({"material": "trim-nail-2-1/2", "length": "2-1/2 in"}, "fascia to rafter tails")
    rake_board: NailTable = typed(
        {"material": "trim-nail-2", "length": "2 in"}, "rake boards to their rafters"
    )
    casing: NailTable = typed(
        {"material": "trim-nail-2-1/2", "length": "2-1/2 in"}, "casing to the door frame"
    )
    board_spacing: Length = typed("16 in", "from pair to pair along rake boards and casing")
    slab: NailTable = typed({"material": "slab-screw", "length": "1-5/8 in"}, "stiles and rails to the skins")
    slab_spacing: Length = typed("6 in", "along stiles, rails and braces")
    stop: NailTable = typed({"material": "stop-screw", "length": "2-1/2 in"}, "stops to the door frame")
    stop_spacing: Length = typed("16 in", "along stops")
    hinge: NailTable = typed({"material": "hinge-screw", "length": "1-1/2 in"}, "hinges to slab and frame")
    waste_percent: Whole = Field(
        20, ge=0, le=100, description="nails and screws added for bent and dropped ones"
    )
