"""What a person may type about edge metal, fascia, rake boards, doors and what fastens them."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from takeoff.fields import Length, LengthOrZero, Table

__all__ = ["Door", "DripEdge", "Fascia", "Fastener", "Fasteners", "Material", "RakeBoards", "TrimKeys"]


def _switch(value: object) -> object:
    if value is False:
        return None
    return {} if value is True else value


def _typed(value: object, says: str | None = None) -> Any:
    """Give a default as a person would type it; it is read when the table is validated."""
    return Field(default=value, description=says)


def _false_is_none(value: object) -> object:
    if value is True:
        raise ValueError("write the key of a material in the price book, or false for none")
    return None if value is False else value


Material = Annotated[str | None, BeforeValidator(_false_is_none)]
"""The key of a material in the price book; `false` leaves the thing out."""


class Fastener(Table):
    """A nail or screw: its key in the price book, and how long it is."""

    material: str
    length: Length


class DripEdge(Table):
    """Metal along the eaves, the rakes and, on a single slope, the high edge."""

    eave: str = "drip-edge"
    rake: str | None = Field(None, description="left out: the same as at the eave")
    high: str | None = Field(None, description="the high edge of a single slope; left out: as at the eave")
    lap: LengthOrZero = _typed("2 in", "the upper piece over the lower")
    corner: LengthOrZero = _typed("3 in", "how far an eave piece runs past each corner")
    fold: LengthOrZero = _typed("3 in", "how far one half's rake metal folds over the peak")
    shortest: LengthOrZero = _typed("12 in", "no piece shorter than this")


class Fascia(Table):
    """The board along the rafter tails; its joints fall on tails only."""

    material: str = "1x6"
    shortest: LengthOrZero = _typed("4 ft", "no piece of a jointed fascia shorter than this")


class RakeBoards(Table):
    """The boards up the two gable edges, plumb cut at the peak."""

    material: str = "1x6"
    foot: Literal["plumb", "square"] = _typed("plumb", "how the lower end is cut")
    shortest: LengthOrZero = _typed("4 ft", "no piece of a jointed rake board shorter than this")


class Door(Table):
    """
    A site-built door: slab, casing, stops, seal and hinges of one opening.

    Width and height are those of the finished opening, between the faces that the slab closes between.
    """

    name: str = "door"
    width: Length
    height: Length
    gap: LengthOrZero = _typed("1/4 in", "left open on every side of the slab")
    leaves: Literal[1, 2] = 1
    meeting_gap: LengthOrZero | None = Field(None, description="between two leaves; left out: as the gap")
    face: str = _typed("siding-panel", "outer skin, grooves upright")
    backing: Material = _typed("roof", 'inner skin; "roof": the panel of the roof; false: none')
    stile: str = _typed("1x4", "stiles, rails, brace and hinge pads")
    middle_rail: bool = True
    brace: bool = True
    bottom_piece: Material = _typed("1x4", "across the foot of the slab, hanging below it")
    hang: LengthOrZero = _typed("1/2 in", "how far the bottom piece hangs below the slab")
    casing: Material = "1x4"
    stop: Material = _typed("2x4", "the board the stops are ripped from")
    stop_sides: Literal[3, 4] = 3
    stop_lanes: int = Field(2, ge=1, le=6, description="strips that one board is ripped into")
    set_back: LengthOrZero = _typed("1/8 in", "from the closed slab to the stop")
    seal: Material = _typed("foam-seal", "stuck to the stop, pressed by the slab")
    seal_thickness: Length = _typed("1/4 in", "before it is pressed")
    head_metal: Material = _typed("head-flashing", "over the head casing")
    head_metal_past: LengthOrZero = _typed("1/4 in", "past the casing at each end")
    hinge: Material = "strap-hinge"
    hinges: int | None = Field(None, ge=2, le=6, description="for each leaf; left out: by the slab's height")
    screws_per_hinge: int = Field(6, ge=1, le=20)
    hinge_pad: LengthOrZero = _typed("6 in", "block that carries a strap beyond the stile; 0: none")


class Fasteners(Table):
    """Nails and screws by the job they do, with the spacings that set their number."""

    deck: Fastener = _typed({"material": "nail-8d-common", "length": "2-1/2 in"})
    deck_edge_spacing: Length = _typed("6 in", "where the edge of a panel is supported")
    deck_field_spacing: Length = _typed("12 in", "at the supports between")
    clip: str = "panel-clip"
    edge_metal: Fastener = _typed({"material": "roofing-nail", "length": "1-1/4 in"})
    edge_metal_spacing: Length = _typed("12 in")
    trim: Fastener = _typed({"material": "trim-nail", "length": "2-1/2 in"}, "fascia, rakes, casing")
    trim_spacing: Length = _typed("16 in", "pairs of nails in rake boards and casing")
    slab: Fastener = _typed({"material": "slab-screw", "length": "1-5/8 in"}, "skins to stiles, rails")
    slab_spacing: Length = _typed("6 in")
    stop: Fastener = _typed({"material": "stop-screw", "length": "2-1/2 in"})
    stop_spacing: Length = _typed("16 in")
    hinge: Fastener = _typed({"material": "hinge-screw", "length": "1-1/2 in"})
    waste_percent: int = Field(20, ge=0, le=100, description="bent and dropped ones on top")


class TrimKeys(Table):
    """
    The keys of a job that are about trim; the job itself extends this table.

    `false` or `true` may stand for `drip_edge`, `fascia` and `rake_boards`: none at all, or all defaults.
    """

    drip_edge: Annotated[DripEdge | None, BeforeValidator(_switch)] = _typed({})
    fascia: Annotated[Fascia | None, BeforeValidator(_switch)] = None
    rake_boards: Annotated[RakeBoards | None, BeforeValidator(_switch)] = None
    doors: tuple[Door, ...] = ()
    fasteners: Fasteners = _typed({})
