"""The slab of a site-built door: its skins and their seams, the stiles and rails that cover them."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from optimizer.errors import InputError
from optimizer.lengths import INCH, TapeUnit, ceil_sqrt, size_text
from takeoff.book import Book
from takeoff.trim_job import DoorTable

__all__ = ["Skin", "Slab", "hinges_for", "leaf_size", "slab_of"]

_FACE_SEAMS = (((), ()), ((2,), ()), ((), (2,)), ((2,), (2,)))
_BACKING_SEAMS = (((), ()), ((), (2,)), ((2,), ()), ((), (3,)), ((3,), ()), ((3,), (3,)))
"""Where a skin may be split, best first: upright and level seams, as parts of the width and of the height."""


@dataclass(frozen=True, slots=True)
class Skin:
    """
    One face of a slab.

    Parameters
    ----------
    upright, level
        Seams: upright ones by their distance from the left edge, level ones from the foot.
    """

    material: str
    thickness: int
    width: int
    height: int
    upright: tuple[int, ...] = ()
    level: tuple[int, ...] = ()

    def pieces(self) -> tuple[tuple[int, int], ...]:
        """Give width and height of every piece, from the left, then from the foot."""
        return tuple(
            (width, height)
            for height in _between((0, *self.level, self.height))
            for width in _between((0, *self.upright, self.width))
        )


@dataclass(frozen=True, slots=True)
class Slab:
    """
    One leaf of a door; all leaves of a door are alike.

    Parameters
    ----------
    member_width, member_thickness
        Of the lumber that stiles, rails and braces are cut from.
    rails
        Centres of the rails between foot rail and head rail, from the foot.
    stiles
        Centres of the stiles between the two outer ones, from the left.
    """

    width: int
    height: int
    face: Skin
    backing: Skin | None
    member_width: int
    member_thickness: int
    rails: tuple[int, ...]
    stiles: tuple[int, ...]

    @property
    def stack(self) -> int:
        """Thickness from the inner face of the slab to the outer face of its stiles."""
        return self.skins + self.member_thickness

    @property
    def skins(self) -> int:
        """Thickness of the skins together."""
        return self.face.thickness + (self.backing.thickness if self.backing else 0)

    @property
    def rail_length(self) -> int:
        """Length of a rail, cut between the outer stiles."""
        return self.width - 2 * self.member_width

    def rows(self) -> tuple[int, ...]:
        """Give the clear heights between neighbouring rails, from the foot."""
        return _clear(self.height, self.rails, self.member_width)

    def fields(self) -> tuple[tuple[int, int], ...]:
        """Give width and height of the openings between stiles and rails, row by row from the foot."""
        columns = _clear(self.width, self.stiles, self.member_width)
        return tuple((width, height) for height in self.rows() for width in columns)

    def braces(self) -> tuple[int, ...]:
        """
        Give the length of one brace for each field, corner to corner.

        Nothing that lies along the diagonal of a rectangle reaches farther along it than the diagonal
        itself, so this is enough for any pointed end.
        """
        return tuple(ceil_sqrt(width**2 + height**2) for width, height in self.fields())


def _between(lines: tuple[int, ...]) -> tuple[int, ...]:
    return tuple(after - before for before, after in pairwise(lines))


def _clear(whole: int, centres: tuple[int, ...], member: int) -> tuple[int, ...]:
    """Give the clear widths between members: one at each end of `whole`, one on each centre."""
    starts = (0, *(centre - member // 2 for centre in centres), whole - member)
    return tuple(step - member for step in _between(starts))


def hinges_for(height: int) -> int:
    """
    Count the hinges of a slab: one for every 30 in of height or part of it, at least two.

    Examples
    --------
    >>> [hinges_for(inches * INCH) for inches in (40, 60, 61, 90, 91, 120)]
    [2, 2, 3, 3, 4, 4]
    """
    return max(2, -(-height // (30 * INCH)))


def leaf_size(door: DoorTable, leaves: int) -> tuple[int, int]:
    """Give width and height of one leaf: the opening less the gap on every side and between leaves."""
    return (door.width - (leaves + 1) * door.gap) // leaves, door.height - 2 * door.gap


def slab_of(door: DoorTable, key: str, panel: str, book: Book, tape: TapeUnit) -> Slab:
    """
    Give one leaf of a door, with seams in its skins only where a sheet can't cover it whole.

    The face keeps its grooves upright; the backing may lie either way. Every seam lies under a stile or a
    rail, and no seam of one skin lies on a seam of the other.

    Parameters
    ----------
    key
        The door's place in the job, as `door[1]`, for messages.
    panel
        The roof's panel, which serves as backing when the door says "roof".
    tape
        What the lengths in a message are written in.

    Raises
    ------
    InputError
        If the opening is too small for stiles and rails, or too large for one seam each way in a skin.
    """
    width, height = leaf_size(door, door.leaves)
    member = book.one(door.stile, f"{key}.stile")
    if width <= 2 * member.width or height <= 2 * member.width:
        raise InputError(
            f"an opening of {size_text(tape, door.width, door.height)} leaves no room between stiles and "
            f"rails {size_text(tape, member.width)} wide; check its unit, or name a narrower stile",
            key,
        )
    face = _skin(door.face, (width, height), _FACE_SEAMS, book, f"{key}.face", tape)
    backing = None
    if door.backing is not None:
        material = panel if door.backing == "roof" else door.backing
        backing = _skin(material, (width, height), _BACKING_SEAMS, book, f"{key}.backing", tape, face)
    skins = (face, backing) if backing else (face,)
    middle = {height // 2} if door.middle_rail else set()
    slab = Slab(
        width,
        height,
        face,
        backing,
        member.width,
        member.thickness,
        rails=tuple(sorted(middle.union(*(skin.level for skin in skins)))),
        stiles=tuple(sorted({line for skin in skins for line in skin.upright})),
    )
    if min(side for field in slab.fields() for side in field) <= 0:
        raise InputError("the opening is too small for its stiles and rails; try middle_rail = false", key)
    return slab


def _skin(
    material: str,
    size: tuple[int, int],
    ways: tuple[tuple[tuple[int, ...], tuple[int, ...]], ...],
    book: Book,
    key: str,
    tape: TapeUnit,
    face: Skin | None = None,
) -> Skin:
    """Give the first way to split a skin whose pieces all fit a sheet; `face` is the skin it lies behind."""
    width, height = size
    thickness = book.one(material, key).thickness
    for upright, level in ways:
        skin = Skin(
            material,
            thickness,
            width,
            height,
            tuple(width // part for part in upright),
            tuple(height // part for part in level),
        )
        apart = face is None or not (
            set(skin.upright) & set(face.upright) or set(skin.level) & set(face.level)
        )
        if apart and all(_fits(piece, material, book, turn=face is not None) for piece in skin.pieces()):
            return skin
    raise InputError(
        f"a slab {size_text(tape, *size)} can't be covered by sheets of {material!r} with one seam each way; "
        "make it a double door (leaves = 2) or offer larger sheets",
        key,
    )


def _fits(piece: tuple[int, int], material: str, book: Book, *, turn: bool) -> bool:
    width, height = piece
    ways = ((width, height), (height, width)) if turn else ((width, height),)
    return any(w <= item.width and h <= item.length for item in book.sizes(material) for w, h in ways)
