"""Random jobs of rectangles as a workshop has them, for the three-stage model with kerf: no file needed."""

from __future__ import annotations

import random

from optimizer.lengths import INCH
from optimizer.words import Part, Stock

__all__ = ["SHEETS", "sheet_job"]

SHEETS = (
    Stock("ply 4x8", "ply", "sheet", 96 * INCH, 48 * INCH, 2840),
    Stock("ply 4x9", "ply", "sheet", 108 * INCH, 48 * INCH, 3300),
    Stock("ply 4x10", "ply", "sheet", 120 * INCH, 48 * INCH, 3750),
)
"""Three sizes at invented prices."""


def sheet_job(seed: int, pieces: int, sizes: int | None = None) -> tuple[Part, ...]:
    """
    Draw parts of 5 to 9 sizes, or of so many: 10 to 60 in by 6 to 45 in, half of them free to turn.

    Skins, soffits and gable pieces have such sizes; half inches keep them apart.
    """
    draw = random.Random(seed)
    kinds = sizes or draw.randint(5, 9)
    counts = [1] * kinds
    for _ in range(pieces - kinds):
        counts[draw.randrange(kinds)] += 1
    return tuple(
        Part(
            f"P{number}",
            "ply",
            draw.randint(20, 120) * INCH // 2,
            draw.randint(12, 90) * INCH // 2,
            count,
            draw.random() < 0.5,
        )
        for number, count in enumerate(counts)
    )
