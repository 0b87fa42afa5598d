"""What a person may type about walls, their skin, lap siding and windows."""

from __future__ import annotations

from typing import Literal

from pydantic import Field, model_validator

from takeoff.fields import Length, LengthOrZero, Table, typed
from takeoff.trim_job import Material, NailTable

__all__ = ["SidingTable", "WallTable", "WindowTable"]


class WallTable(Table):
    """
    `[walls]`: how the walls are framed, as far as their skin needs to know, and panels on all of them.

    Heights count from the underside of the bottom plate, lengths along the floor from outside of framing.
    """

    material: Material = typed(
        "siding-panel", "panel siding or sheathing, long axis upright: key in the price book; false for none"
    )
    height: Length = typed(
        "8 ft",
        "of the framing, underside of bottom plate to top of top plate; single slope: the low wall",
    )
    open: tuple[str, ...] = typed(
        (), "walls that are not built: an open front, or a wall of the house that stands there already"
    )
    stud_spacing: Length = typed("16 in", "centre to centre, the first from the corner; [framing] may say it")
    stud_thickness: Length = typed("1-1/2 in", "actual thickness")
    rafter_depth: Length | None = Field(
        None,
        description="actual depth of the rafters; left out, as [framing] says, else 5-1/2 in",
        examples=['"5-1/2 in"'],
    )
    top_plates: Length = typed("3 in", "thickness of the top plates together")
    seat: LengthOrZero | None = Field(
        None,
        description="level cut of a rafter on the top plate; left out, as [framing] says, else 3-1/2 in",
        examples=['"3-1/2 in"'],
    )
    below: LengthOrZero = typed("1 in", "how far the skin reaches below the framing, over the floor's edge")
    clearance: LengthOrZero = typed("6 in", "from the ground to the foot of the skin")
    eave_top: Literal["plate", "rafter undersides"] = Field(
        "rafter undersides",
        description='where the skin ends at an eave: the top of the "plate" or the "rafter undersides"',
    )
    gable_top: Literal["rafter tops", "rafter undersides"] = Field(
        "rafter tops", description='where the skin ends at a gable: "rafter tops" or "rafter undersides"'
    )
    past: Literal["none", "sides", "ends"] | None = Field(
        None,
        description=(
            'whose skin runs past the other\'s edge at a corner: "none", the "sides" or the "ends"; left '
            "out, none behind corner boards, else the ends"
        ),
        examples=['"ends"'],
    )
    gap: LengthOrZero | None = Field(
        None,
        description="between panels; left out, 1/8 in if they are made that much narrower, else in their lap",
        examples=['"1/8 in"'],
    )
    narrowest: Length = typed("24 in", "no strip narrower than this where a wall can be laid so")
    corner_gap: LengthOrZero = typed(
        "1/8 in", "how far a ripped last panel stops short of the corner, behind its board"
    )
    joints: tuple[Length, ...] | None = Field(
        None,
        description="level joints, heights above the skin's foot; left out, as the longest panel calls for",
        examples=['["96 in"]'],
    )
    z_flashing: Material = typed("z-flashing", "metal along level joints; false for none")
    z_lap: LengthOrZero = typed("2 in", "lap of one length of it over the next")
    corner_board: Material = typed("1x4", "two boards up every corner; false for none")
    either_face: bool = Field(False, description="true if panels may show either face, as sheathing may")
    stud_rating: Length | None = Field(
        None,
        description="stud spacing stamped on the panels; left out, the usual one for their thickness",
        examples=['"16 in"'],
    )
    nail: NailTable = typed({"material": "siding-nail", "length": "2-1/2 in"}, "panels to studs")
    edge_nails: Length = typed("6 in", "nail spacing along panel edges")
    field_nails: Length = typed("12 in", "nail spacing along the studs in between")
    board_nail: NailTable = typed(
        {"material": "trim-nail-2-1/2", "length": "2-1/2 in"}, "corner boards, window trim"
    )


class SidingTable(Table):
    """`[siding]`: lap siding, in level courses up every wall."""

    material: str = Field("lap-siding", min_length=1, description="key in the price book")
    exposure: Length = typed("7 in", "the most that shows of a board; courses are evened out below it")
    starter: Material = typed("1x2", "strip under the first course; false for none")
    gap: LengthOrZero = typed("1/8 in", "left open at corner boards and casings")
    joints: Literal["where needed", "on studs"] = Field(
        "where needed",
        description='"where needed": none where a board is long enough; "on studs": wherever it saves lumber',
    )
    shortest: Length = typed("32 in", "no piece of a jointed course shorter than this")
    nail: NailTable = typed({"material": "siding-nail", "length": "2-1/2 in"}, "siding to studs")


class WindowTable(Table):
    """
    `[[window]]`: a bought window: its opening in a wall, and the trim around it.

    Width and height are those of the rough opening.
    """

    name: str = Field("window", min_length=1, description="what it is called on the labels")
    width: Length = Field(description="of the rough opening", examples=['"24 in"'])
    height: Length = Field(description="of the rough opening", examples=['"36 in"'])
    wall: str | None = Field(
        None, description='which wall, as "left end"; left out, the second side', examples=['"left end"']
    )
    from_corner: LengthOrZero | None = Field(
        None,
        description="its left edge from the wall's left corner, seen from outside; left out, centred",
        examples=['"36 in"'],
    )
    sill_height: LengthOrZero | None = Field(
        None,
        description="its foot above the underside of the bottom plate; left out, heads level with the doors'",
        examples=['"40 in"'],
    )
    casing: Material = typed("1x4", "boards at both sides and over the head; false for none")
    sill: Material = typed("2x4", "board along the foot, under the casing legs; false for none")
    horn: LengthOrZero = typed("1 in", "how far the sill runs past the casing at each end")
    head_metal: Material = typed("head-flashing", "metal over the head casing; false for none")
    head_metal_past: LengthOrZero = typed("1/4 in", "how far it runs past the casing at each end")

    @model_validator(mode="after")
    def _agree(self) -> WindowTable:
        if self.sill_height == 0:
            raise ValueError("sill_height: a window's sill lies above the floor")
        return self
