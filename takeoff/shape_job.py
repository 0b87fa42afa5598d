"""What a person may type about the shape of a roof beyond a gable: gambrel, wing, planes by their corners."""

from __future__ import annotations

from collections.abc import Collection
from itertools import pairwise
from typing import Annotated, Literal

from pydantic import Field, model_validator

from takeoff.fields import Length, LengthOrZero, Table
from takeoff.pitch import Pitch

__all__ = ["GambrelTable", "PlaneTable", "RoofKind", "SideKind", "WingTable", "misfit"]

RoofKind = Literal["gable", "single-slope", "gambrel", "hip", "pyramid", "L", "planes"]
"""The shapes a roof may have."""

SideKind = Literal["eave", "rake", "high edge", "ridge", "hip", "valley", "break", "none"]
"""What a side of a plane is; one that is "none" is counted with the plane it meets."""


class GambrelTable(Table):
    """`[gambrel]`: the flatter planes above the break; `pitch` is that of the steep ones below it."""

    upper_pitch: Pitch = Field(description="of the upper planes, written like pitch", examples=["6"])
    break_at: Length = Field(
        description="on plan, from the outside of framing to the break", examples=['"2 ft"']
    )


class WingTable(Table):
    """`[wing]`: the shorter leg of an L, of the same pitch; it stands out from the first side."""

    length: Length = Field(
        description="how far it stands out from the main part, outside of framing", examples=['"10 ft"']
    )
    width: Length | None = Field(
        None,
        description="outside of framing, across its ridge; left out, the main part's own span",
        examples=['"10 ft"'],
    )
    end: Literal["left", "right"] = Field(
        "left", description='at which end of the first side, seen from outside: "left" or "right"'
    )


class PlaneTable(Table):
    """
    `[[plane]]`: one plane of a roof given by the corners of its deck.

    Either `corners` within the plane, along the eave and up the slope, or `points` in space, where two
    planes that share two points meet.
    """

    name: str = Field(min_length=1, description="what the plane is called", examples=['"front"'])
    corners: tuple[tuple[LengthOrZero, LengthOrZero], ...] | None = Field(
        None,
        min_length=3,
        description="along the eave from the left, and up the slope, corner by corner",
        examples=['[["0 ft", "0 ft"], ["16 ft", "0 ft"], ["16 ft", "7 ft"], ["0 ft", "7 ft"]]'],
    )
    points: tuple[tuple[LengthOrZero, LengthOrZero, LengthOrZero], ...] | None = Field(
        None,
        min_length=3,
        description="instead of corners: two directions on plan, and the height",
        examples=['[["0 ft", "0 ft", "8 ft"], ["16 ft", "0 ft", "8 ft"], ["8 ft", "8 ft", "12 ft"]]'],
    )
    pitch: Pitch | None = Field(
        None, description="with corners: written like pitch above; left out, the roof's own", examples=["6"]
    )
    edges: tuple[SideKind, ...] | None = Field(
        None,
        description=(
            "what each side is, from the first corner to the second and so on: eave, rake, high edge, ridge, "
            'hip, valley, break, or "none" for one counted with the plane it meets; left out, as it lies'
        ),
        examples=['["eave", "rake", "ridge", "rake"]'],
    )
    rafters: Annotated[tuple[LengthOrZero, ...], Field(min_length=2)] | None = Field(
        None,
        description="centres from the plane's left end; left out, by rafter_spacing",
        examples=['["3/4 in", "24 in", "48 in"]'],
    )
    first_rafter: LengthOrZero | None = Field(
        None,
        description=(
            "centre of the first rafter from the plane's left end; left out, flush with an upright end, else "
            "one spacing from a slanting one"
        ),
        examples=['"3/4 in"'],
    )

    @model_validator(mode="after")
    def _agree(self) -> PlaneTable:
        if (self.corners is None) == (self.points is None):
            raise ValueError(f"{self.name}: give corners or points, one of the two")
        if self.points is not None and self.pitch is not None:
            raise ValueError(f"{self.name}: points give the pitch themselves; leave out pitch")
        given = len(self.corners or self.points or ())
        if self.edges is not None and len(self.edges) != given:
            raise ValueError(f"{self.name}: {given} corners make {given} sides; edges has {len(self.edges)}")
        if self.rafters is not None and self.first_rafter is not None:
            raise ValueError(f"{self.name}: give first_rafter or rafters, not both")
        if any(later <= earlier for earlier, later in pairwise(self.rafters or ())):
            raise ValueError(f"{self.name}: rafters must grow from left to right")
        return self


_ONLY: dict[str, tuple[RoofKind, ...]] = {
    "gambrel": ("gambrel",),
    "wing": ("L",),
    "plane": ("planes",),
    "second_pitch": ("gable",),
    "ridge_from": ("gable",),
    "slope_length": ("gable", "single-slope"),
    "ridge_length": ("gable", "single-slope"),
    "rafters": ("gable", "single-slope", "gambrel"),
    "first_rafter": ("gable", "single-slope", "gambrel"),
    "ridge_slot": ("gable", "gambrel", "hip", "L"),
}
"""Which shapes a key is for."""

_NEEDED: tuple[tuple[RoofKind, str], ...] = (("gambrel", "gambrel"), ("L", "wing"), ("planes", "plane"))


def misfit(roof: RoofKind, given: Collection[str]) -> str:
    """
    Say which key does not go with the shape of the roof, or which one it lacks; empty where all is well.

    Parameters
    ----------
    given
        Names of the keys that the job holds.

    Examples
    --------
    >>> misfit("hip", ["rafters"])
    'rafters: this key is for roof = "gable", "single-slope" or "gambrel"; leave it out'
    """
    for shape, table in _NEEDED:
        if roof == shape and table not in given:
            heading = "[[plane]] tables" if table == "plane" else f"a table [{table}]"
            return f'roof = "{roof}" needs {heading}'
    for key, shapes in _ONLY.items():
        if key in given and roof not in shapes:
            named = [f'"{shape}"' for shape in shapes]
            listed = " or ".join(filter(None, (", ".join(named[:-1]), named[-1])))
            if key == "ridge_slot" and roof == "single-slope":
                return "ridge_slot: a single slope has no ridge; leave the table out"
            return f"{key}: this key is for roof = {listed}; leave it out"
    if "second_pitch" in given and "pitch" not in given and "ridge_from" not in given:
        return "second_pitch: give pitch too, or ridge_from"
    return ""
