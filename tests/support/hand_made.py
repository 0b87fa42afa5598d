"""Shaped surfaces with plans made by hand: a hip's side, a gable wall with a door, nested pieces."""

from __future__ import annotations

from optimizer.lengths import INCH
from optimizer.plan import Course, Cut, CutPiece, LaidPiece, SawCut, ShapeCut
from optimizer.words import Hole, SeamRule, Support, Surface

__all__ = ["GAP", "RULE", "box", "door_cut", "gable_wall", "hip_cut", "hip_side", "points"]

GAP = INCH // 8
RULE = SeamRule(GAP, 3, 24 * INCH, 24 * INCH, 24 * INCH)


def points(*pairs: tuple[float, float]) -> tuple[tuple[int, int], ...]:
    """Give corners from inches."""
    return tuple((round(x * INCH), round(y * INCH)) for x, y in pairs)


def box(x: float, y: float, length: float, width: float) -> tuple[int, int, int, int]:
    """Give a rectangle from inches."""
    return tuple(round(size * INCH) for size in (x, y, length, width))  # type: ignore[return-value]


def hip_side() -> tuple[Surface, tuple[Course, ...]]:
    """Give a trapezoid 216 in long and 96 in high with ends of 45 degrees, in two courses."""
    outline = points((0, 0), (216, 0), (120, 96), (96, 96))
    supports = tuple(Support(24 * INCH * n) for n in range(1, 9))
    at = tuple(support.at for support in supports)
    surface = Surface("side", "osb", 216 * INCH, 96 * INCH, supports, RULE, mark="S", outline=outline)
    low = (
        LaidPiece("S1.1", 0, 72 * INCH, points((0, 0), (71.9375, 0), (71.9375, 47.875), (47.875, 47.875))),
        LaidPiece("S1.2", round(72.0625 * INCH), round(143.9375 * INCH)),
        LaidPiece(
            "S1.3",
            144 * INCH,
            216 * INCH,
            points((144.0625, 0), (216, 0), (168.125, 47.875), (144.0625, 47.875)),
        ),
    )
    high = (
        LaidPiece(
            "S2.1", 48 * INCH, 168 * INCH, points((48, 48), (168, 48), (120.25, 95.75), (95.75, 95.75))
        ),
    )
    wide = 47 * INCH + INCH * 7 // 8
    return surface, (
        Course("side, course 1", "side", 1, 216 * INCH, wide, 0, at, (72 * INCH, 144 * INCH), low),
        Course(
            "side, course 2", "side", 2, 120 * INCH, wide - GAP, 48 * INCH, at, (), high, begins=48 * INCH
        ),
    )


def hip_cut() -> Cut:
    """Cut two pieces of one slant from a block, head to tail, then a triangle alone from the rest."""
    # A 45 degree cut takes 1/8 x sqrt(2), here 3/16 in, along the block.
    left = points((0, 0), (60, 0), (36, 24), (0, 24))
    right = points((60.1875, 0), (90, 0), (90, 24), (36.1875, 24))
    tip = points((0, 24.125), (40, 24.125), (20, 44.125))
    return Cut(
        "S1",
        "osb 4x8",
        96 * INCH,
        48 * INCH,
        GAP,
        (
            CutPiece("A1.1", *box(0, 0, 60, 24), corners=left),
            CutPiece("B1.2", *box(36.1875, 0, 53.8125, 24), corners=right),
            CutPiece("C1.1", *box(0, 24.125, 40, 20), corners=tip),
        ),
        (
            SawCut("rip", *box(0, 0, 96, 48), at=24 * INCH),
            SawCut("crosscut", *box(0, 0, 96, 24), at=90 * INCH),
            SawCut("rip", *box(0, 24.125, 96, 23.875), at=20 * INCH),
            SawCut("crosscut", *box(0, 24.125, 96, 20), at=40 * INCH),
        ),
        shaping=(
            ShapeCut("slant", "A1.1", (left[1], left[2])),
            ShapeCut("slant", "B1.2", (right[3], right[0])),
            ShapeCut("slant", "C1.1", (tip[1], tip[2])),
            ShapeCut("slant", "C1.1", (tip[2], tip[0])),
        ),
    )


def gable_wall() -> tuple[Surface, tuple[Course, ...]]:
    """Give an upright wall 96 in wide, 96 to 144 in high, a door of 36 x 80 in beside its middle joint."""
    outline = points((0, 0), (96, 0), (144, 48), (96, 96), (0, 96))
    door = Hole("door", *box(0, 54, 80, 36))
    surface = Surface(
        "gable",
        "siding",
        144 * INCH,
        96 * INCH,
        (Support(95 * INCH),),
        RULE,
        mark="G",
        outline=outline,
        holes=(door,),
        edges=(48 * INCH,),
        upright=True,
    )
    left = points((0, 0), (96, 0), (143.9, 47.9), (0, 47.9))
    right = points((0, 48.1), (143.9, 48.1), (96, 96), (0, 96))
    wide = round(47.9 * INCH)
    return surface, (
        Course("g1", "gable", 1, 144 * INCH, wide, 0, (), (), (LaidPiece("G1.1", 0, 144 * INCH, left),)),
        Course(
            "g2",
            "gable",
            2,
            144 * INCH,
            wide,
            round(48.1 * INCH),
            (),
            (),
            (LaidPiece("G2.1", 0, 144 * INCH, right, (box(0, 54, 80, 36),)),),
        ),
    )


def door_cut() -> Cut:
    """Cut a whole panel with an opening; what comes out of it is a door's face."""
    whole = CutPiece("G2.1", *box(0, 0, 96, 48), openings=(box(10, 6, 80, 36),))
    face = CutPiece("door face", *box(10.125, 6.125, 79, 35))
    return Cut(
        "S9",
        "siding 4x8",
        96 * INCH,
        48 * INCH,
        GAP,
        (whole, face),
        (),
        shaping=(
            ShapeCut("cut out", "G2.1", points((10, 6), (90, 42))),
            ShapeCut("cut out", "door face", points((10.125, 6.125), (89.125, 41.125))),
        ),
    )
