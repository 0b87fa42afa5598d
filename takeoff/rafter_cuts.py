"""What a rafter measures: lengths and angles of common, hip, valley and jack rafters, by plain geometry."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from math import atan, ceil, degrees

from optimizer.lengths import floor_sqrt
from takeoff.building import Building, Plane, slope_of
from takeoff.planes import EdgeLine
from takeoff.rafters import Rafter

__all__ = [
    "LineCut",
    "RafterCut",
    "angle_text",
    "common_length",
    "gable_difference",
    "line_cut",
    "plumb_slant",
    "rafter_cut",
    "stand",
]


def common_length(run: Fraction | int, pitch: Fraction) -> int:
    """
    Give the theoretical length of a common rafter: outside of the wall to the centre of the ridge.

    Examples
    --------
    A run of 8 ft at 7 in 12 makes 111-1/8 in (NAVEDTRA 14044, roof framing):

    >>> from optimizer.lengths import FOOT, INCH
    >>> round(common_length(8 * FOOT, Fraction(7, 12)) * 16 / INCH) / 16
    111.125
    """
    return slope_of(run, pitch)


def gable_difference(spacing: int, pitch: Fraction) -> int:
    """Give how much longer each stud of a gable is than the one before."""
    return int(spacing * pitch)


def plumb_slant(width: int, pitch: Fraction) -> int:
    """Give how far the long point of a plumb cut lies beyond its short point."""
    return ceil(width * pitch)


def stand(width: int, seat: int, pitch: Fraction) -> int:
    """Give how high a rafter's top stands above the plate, plumb over the outside of the wall."""
    return slope_of(width, pitch) - int(seat * pitch)


def angle_text(pitch: Fraction) -> str:
    """
    Write an angle as a carpenter sets it: rise in 12, and degrees.

    Examples
    --------
    >>> angle_text(Fraction(8, 12)), angle_text(Fraction(29, 48))
    ('8 in 12, 33.7 deg', '7.25 in 12, 31.1 deg')
    """
    rise = f"{float(12 * pitch):.2f}".rstrip("0").rstrip(".")
    return f"{rise} in 12, {degrees(atan(pitch)):.1f} deg"


@dataclass(frozen=True, slots=True)
class RafterCut:
    """
    One rafter along its top edge.

    Parameters
    ----------
    top
        Length of the top edge, cut to cut.
    upper, lower
        What it ends against.
    """

    top: int
    upper: str
    lower: str

    @property
    def jack(self) -> bool:
        """True if an end meets a hip or a valley, and is cut with a cheek."""
        return "hip" in (self.upper, self.lower) or "valley" in (self.upper, self.lower)


def rafter_cut(
    rafter: Rafter, plane: Plane, building: Building, tails: str, ridge: int, hip: int
) -> RafterCut:
    """
    Give one rafter of a plane, from the deck above it.

    Parameters
    ----------
    tails
        Cut "plumb" or "square".
    ridge, hip
        Thickness of the ridge board and of hip or valley rafters; half of it is taken off along the run, and
        of a hip, which crosses at 45 degrees, half of its diagonal.
    """
    low, high = plane.reach(min(max(rafter.at, 0), plane.length))
    diagonal = slope_of(floor_sqrt(hip * hip // 2), plane.pitch)
    lower, upper = plane.ends(min(max(rafter.at, 0), plane.length))
    top = high - low
    if upper in ("hip", "valley"):
        top, upper = top - diagonal, "hip"
    elif upper in ("ridge", "peak"):
        top -= slope_of(Fraction(ridge, 2), plane.pitch)
    elif building.high is not None:
        top -= slope_of(building.high.deck - building.high.framing, plane.pitch)
    elif upper == "rake":
        upper = "high edge"
    if lower in ("hip", "valley"):
        return RafterCut(top - diagonal, upper, "valley")
    board = building.eave.deck - building.eave.framing
    return RafterCut(top - (board if tails == "square" else slope_of(board, plane.pitch)), upper, "eave")


@dataclass(frozen=True, slots=True)
class LineCut:
    """A hip or valley rafter: its top edge, and rise over run along it."""

    top: int
    pitch: Fraction


def line_cut(line: EdgeLine, ridge: int) -> LineCut:
    """Give the rafter along a hip or a valley; half the diagonal of the ridge board is taken off."""
    run = floor_sqrt(max(line.length**2 - line.rise**2, 1))
    pitch = Fraction(line.rise, run)
    return LineCut(line.framing - slope_of(floor_sqrt(ridge * ridge // 2), pitch), pitch)
