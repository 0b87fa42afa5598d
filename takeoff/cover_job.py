"""What a person may type about the roof's cover: underlayment, ice barrier, starter, shingles, vent, cap."""

from __future__ import annotations

from decimal import Decimal
from typing import Literal

from pydantic import Field

from takeoff.fields import Length, LengthOrZero, Table, Whole, typed
from takeoff.trim_job import NailTable

__all__ = [
    "STRIPS",
    "IceBarrierTable",
    "RidgeCapTable",
    "RidgeVentTable",
    "ShingleTable",
    "StarterTable",
    "UnderlaymentTable",
]

STRIPS = "strips"
"""In the place of a material: cut from the strips that the courses are laid in."""


class UnderlaymentTable(Table):
    """`[underlayment]`: felt or a synthetic sheet under the shingles, in courses up the slope."""

    material: str = Field(
        "felt-15", min_length=1, description="roll under the shingles: key in the price book, with its width"
    )
    layers: Literal[1, 2] | None = Field(
        None, description="1 or 2; left out, 2 where the pitch is below 4 in 12", examples=["2"]
    )
    side_lap: Length = typed("2 in", "upper course over lower, where there is one layer")
    end_lap: Length = typed("4 in", "one roll over the next; some makers of synthetic sheet ask for 6 in")
    offset: LengthOrZero = typed("6 ft", "from the end lap of a course to those of the next, at least")
    over_ridge: LengthOrZero = typed("6 in", "how far each side laps over a ridge without a slot")
    shortest: Length = typed("24 in", "no piece shorter than this")
    nail: NailTable = typed({"material": "cap-nail", "length": "1 in"}, "cap nails")
    nail_spacing: Length = typed("12 in", "from cap nail to cap nail along a course")
    row_spacing: Length = typed("14 in", "from row to row of cap nails up the slope")
    lap_spacing: Length | None = Field(
        None,
        description='along the side laps; left out, as nail_spacing, and 6 in with rules = "windy"',
        examples=['"6 in"'],
    )


class IceBarrierTable(Table):
    """`[ice_barrier]`: self-adhered sheet from the eaves up, where ice dams occur."""

    material: str = Field(
        "ice-barrier", min_length=1, description="self-adhered roll: key in the price book, with its width"
    )
    unheated_detached: bool = Field(
        False, description="true for a detached building without a heated floor: the code then asks for none"
    )
    inside: LengthOrZero = typed("24 in", "how far it reaches inside the wall line, measured level")
    steep: LengthOrZero = typed(
        "36 in", "least length up the slope where the pitch is 8 in 12 or more; 0 where the code has none"
    )
    side_lap: Length = typed("3-1/2 in", "upper course over lower")
    end_lap: Length = typed("6 in", "one roll over the next")
    offset: LengthOrZero = typed("6 ft", "from the end lap of a course to those of the next, at least")
    under_felt: LengthOrZero = typed("4 in", "how far the underlayment laps over it")
    shortest: Length = typed("24 in", "no piece shorter than this")


class StarterTable(Table):
    """`[starter]`: the strip under the first course, and up the rakes if wanted."""

    material: str = Field(
        "starter-strip",
        min_length=1,
        description=(
            'key in the price book; or "strips": cut from the strips of the courses. A pack of double-width '
            "pieces counts the strips they part into"
        ),
    )
    rakes: bool = Field(True, description="true if starter runs up the rakes too")
    back_up: Length = typed("5 in", "how far its joints are set off from those of the first course")


class ShingleTable(Table):
    """`[shingles]`: asphalt shingles, course by course."""

    material: str = Field(
        "shingle",
        min_length=1,
        description="key in the price book: length and width of one strip, pack the strips in a bundle",
    )
    kind: Literal["strip", "laminated"] = Field(
        "strip", description='"strip" with cut-outs between tabs, or "laminated"'
    )
    tabs: Whole = Field(3, ge=1, le=6, description="tabs on one strip, each of them a cap for the ridge")
    exposure: Length | None = Field(
        None,
        description="left out, 5 in for strips up to 36 in long and 5-5/8 in for metric ones",
        examples=['"5 in"'],
    )
    step: Length | None = Field(
        None,
        description="how far each course is backed up; left out, 5 in on a 36 in strip, others in proportion",
        examples=['"6 in"'],
    )
    offset: Length = typed("4 in", "from a joint to those of the next course, at least")
    sliver: Length = typed("6 in", "no piece shorter than this")
    eave_past: LengthOrZero = typed("3/8 in", "first course past the edge metal at the eave")
    rake_past: LengthOrZero = typed("1/4 in", "past the edge metal at the rakes; 0 is flush")
    nails: Literal[4, 5, 6, 8] | None = Field(
        None, description='in one strip; left out, 4, and 6 with rules = "windy"', examples=["6"]
    )
    nail: NailTable = typed({"material": "roofing-nail", "length": "1-1/4 in"}, "shingles to the deck")


class RidgeVentTable(Table):
    """`[ridge_vent]`: a vent over the ridge slot, which `[ridge_slot]` describes."""

    material: str = Field(
        "ridge-vent", min_length=1, description="rigid sections or a roll: key in the price book"
    )
    net_free_area: Decimal = Field(Decimal(18), gt=0, le=200, description="square inches in one foot of vent")
    ceiling: bool = Field(
        False, description="true if a ceiling closes off the space under the roof: then the ratio is checked"
    )
    intake: Decimal | None = Field(
        None, ge=0, description="net free square inches of all soffit vents together", examples=["288"]
    )
    shortest: Length = typed("6 in", "no piece shorter than this")
    nail: NailTable = typed({"material": "ridge-nail", "length": "2 in"}, "vent to the deck")
    nail_spacing: Length = typed("12 in", "along each side of the vent")


class RidgeCapTable(Table):
    """`[ridge_cap]`: caps over ridge and hips."""

    material: str = Field(
        STRIPS,
        min_length=1,
        description='key in the price book; or "strips": cut from strips with cut-outs, a cap from each tab',
    )
    exposure: Length | None = Field(
        None, description="left out, that of the shingles", examples=['"6-5/8 in"']
    )
    nail: NailTable = typed({"material": "ridge-nail", "length": "2 in"}, "two in each cap")
