"""What is left of a stock after its saw cuts: the regions that no piece uses."""

from __future__ import annotations

from collections.abc import Iterator

from optimizer.errors import Bug
from optimizer.plan import Cut, CutPiece, Leftover

__all__ = ["leftovers_of"]

_Region = tuple[int, int, int, int]


def leftovers_of(cut: Cut) -> tuple[Leftover, ...]:
    """
    Replay the saw cuts of one stock and list what no piece uses, in base units.

    Raises
    ------
    Bug
        If a cut doesn't run edge to edge through a region that exists.
    """
    regions: set[_Region] = {(0, 0, cut.length, cut.width)}
    for step in cut.steps:
        x, y, length, width = region = (step.x, step.y, step.length, step.width)
        if region not in regions:
            raise Bug(f"cut {cut.id} of {cut.stock} saws a region that is not there")
        regions.remove(region)
        past = step.at + cut.kerf
        if step.kind == "crosscut":
            regions.add((x, y, step.at, width))
            if past < length:
                regions.add((x + past, y, length - past, width))
        else:
            regions.add((x, y, length, step.at))
            if past < width:
                regions.add((x, y + past, length, width - past))
    # Of a region that a shaped piece lies in nothing is kept, but for what comes out of its openings.
    free = {region for region in regions if not any(piece.lies_in(region) for piece in cut.pieces)}
    free |= {out for piece in cut.pieces for out in _out_of(piece, cut)}
    return tuple(
        Leftover(cut.stock, length, width, cut.id, x, y, cut.repeat) for x, y, length, width in sorted(free)
    )


def _out_of(piece: CutPiece, cut: Cut) -> Iterator[_Region]:
    """Give what comes out of a piece's openings, less a kerf all round, unless it is cut up itself."""
    for x, y, length, width in piece.openings:
        out = (x + cut.kerf, y + cut.kerf, length - 2 * cut.kerf, width - 2 * cut.kerf)
        whole = out[2] > 0 and out[3] > 0
        if whole and not any(other.lies_in(out) for other in cut.pieces if other is not piece):
            yield out
