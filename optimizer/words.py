"""
The question: what must be covered, cut and counted, from which stock, under which seam rules.

Every length is an integer of base units (`optimizer.lengths`), all money an integer of cents. Nothing
here knows a solver, a file or a building.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from optimizer.lengths import INCH
from optimizer.money import least_cost, price_at

__all__ = [
    "Corner",
    "Count",
    "Hole",
    "Kind",
    "Part",
    "Problem",
    "Run",
    "Saw",
    "SeamRule",
    "Stock",
    "Support",
    "Surface",
    "Yard",
]

Kind = Literal["sheet", "board", "stick", "roll", "each"]


@dataclass(frozen=True, slots=True)
class Stock:
    """
    One thing that can be bought, or that lies in the rack.

    Parameters
    ----------
    key
        Names this size alone, as `osb-7/16 4x8`.
    material
        What pieces ask for; several stocks of one material are sizes of it.
    kind
        sheet: cut in two directions. board: cut to length, or ripped into lanes first. stick: cut to
        length with snips or knife, pieces may lap. roll: a stick that is very long. each: counted.
    length, width
        Usable size; the length runs along the grain or a sheet's long axis. Width 0 where it is not cut.
    price
        Cents for one pack; None where no price is known.
    available
        Packs the yard has; None where there is no limit.
    pack
        Pieces in one pack: what `price` buys.
    from_rack
        True for an offcut already owned; `price` is then the value it is stated at, before tax as all prices
        are. It is one piece unless `available` says that there are more alike.
    breaks
        (packs, price) of every quantity price break, both in order: who buys so many packs or more pays that
        price for every one of them. More packs than needed may then cost less.
    yard
        Name of the yard that sells it; "" where there is only one.
    weight
        Grams of one pack; None where unknown.
    """

    key: str
    material: str
    kind: Kind
    length: int = 0
    width: int = 0
    price: int | None = None
    available: int | None = None
    pack: int = 1
    from_rack: bool = False
    breaks: tuple[tuple[int, int], ...] = ()
    yard: str = ""
    weight: int | None = None

    def __post_init__(self) -> None:
        """Let an offcut be one piece where nothing else is said: every model and the audit read it here."""
        if self.from_rack and self.available is None:
            object.__setattr__(self, "available", 1)

    def price_of(self, packs: int) -> int | None:
        """Give the price of each of so many packs bought together."""
        return None if self.price is None else price_at(self.price, self.breaks, packs)

    def cheapest(self, packs: int) -> tuple[int, int | None]:
        """Give how many packs to buy where `packs` are needed, and what they cost together."""
        if self.price is None:
            return packs, None
        return least_cost(self.price, self.breaks, packs, self.available)


@dataclass(frozen=True, slots=True)
class Yard:
    """A yard that can be gone to, and the cents that one trip to it costs, there and back."""

    name: str
    trip: int = 0


@dataclass(frozen=True, slots=True)
class Support:
    """A line across a surface: `at` is its centre from the left end; may bear a piece, may take a seam."""

    at: int
    bears: bool = True
    seam: bool = True


@dataclass(frozen=True, slots=True)
class SeamRule:
    """
    How the pieces of a surface meet.

    Parameters
    ----------
    gap
        Left open between two pieces, in both directions.
    min_supports
        Bearing supports under every piece, those its ends rest on included.
    shortest
        Least length of a piece, measured with one gap (24 in means that 23-7/8 in passes at a 1/8 in gap).
    stagger
        Least distance between a seam and every seam of a neighbouring course.
    narrowest
        Least width of a course, measured with one gap.
    blocked_below
        A course narrower than this (with one gap) needs blocking along both its long edges; 0: never.
    end_slack
        How far a piece may stop short of the left or right end of the surface.
    top_slack
        How far the last course may stop short of the top.
    """

    gap: int
    min_supports: int
    shortest: int
    stagger: int
    narrowest: int
    blocked_below: int = 0
    end_slack: int = 0
    top_slack: int = 0


Corner = tuple[int, int]
"""A point: along the courses from the left end, across them from the first course's outer edge."""


@dataclass(frozen=True, slots=True)
class Hole:
    """
    A rectangle of a surface that stays open: a skylight, a chimney, a door, a window.

    Pieces may end at it or be cut out; `x`, `y` is its corner nearest the surface's origin.
    """

    label: str
    x: int
    y: int
    length: int
    height: int


@dataclass(frozen=True, slots=True)
class Surface:
    """
    A plane to be covered in courses, each pieced from sheets whose long axis lies along it.

    A rectangle, unless `outline` says otherwise. Courses lie flat from the bottom up, or stand side by side
    (`upright`): then `length` is the height of the tallest and `height` runs along the floor.

    Parameters
    ----------
    label
        Unique; the pieces' labels start with `mark`.
    length
        Along the courses.
    height
        Across the courses, from the first course's outer edge to the top.
    supports
        From left to right.
    blocking
        Parts that one long edge of a course needs when it must be blocked (`SeamRule.blocked_below`).
    mark
        Short prefix of the piece labels; the pieces of a course read `mark` course `.` position.
    needed
        Orders the cutting: what has a smaller number is wanted on site first.
    outline
        Corners in order, anticlockwise, inside (0, 0) to (length, height); empty for the whole rectangle.
        Every line along the courses must meet the inside in one stretch at most.
    holes
        Left open.
    edges
        Where two courses may meet, across the courses; None means anywhere, as the course widths fall.
    upright
        The courses stand side by side. Only whoever draws or describes the surface asks for it.
    laid, below
        Courses that are laid already under this surface, which numbers its own on from them, and the seams of
        the last of those.
    may_flip
        A piece may be laid with either face up, so that right-hand pieces nest with left-hand ones.
    """

    label: str
    material: str
    length: int
    height: int
    supports: tuple[Support, ...]
    rule: SeamRule
    blocking: tuple[Part, ...] = ()
    mark: str = ""
    needed: int = 0
    outline: tuple[Corner, ...] = ()
    holes: tuple[Hole, ...] = ()
    edges: tuple[int, ...] | None = None
    upright: bool = False
    may_flip: bool = False
    laid: int = 0
    below: tuple[int, ...] = ()

    @property
    def plain(self) -> bool:
        """True for a whole rectangle without holes, whose courses may meet anywhere."""
        return not self.outline and not self.holes and self.edges is None and not self.laid


@dataclass(frozen=True, slots=True)
class Run:
    """
    A line to be covered from stock cut to length: edge metal, a fascia, a seal.

    Parameters
    ----------
    length
        What the pieces together must cover, laps not counted twice.
    lap
        How far a piece lies over the next at a seam; 0 for a butt joint.
    shortest
        Least length of a piece.
    seams
        Where seams may fall, from the left end; None means anywhere, an empty tuple nowhere.
    mark
        Short prefix of the piece labels; the pieces of a run read `mark` `.` position.
    needed
        Orders the cutting: runs with a smaller number are wanted on site first.
    layer, begins, bottom
        For a run that is one of many side by side: what they are together, as `door side shingles`; where it
        begins along that, and where its lower edge lies across it.
    beside, stagger
        The run whose seams this one's keep away from, and how far, both measured along the layer.
    own_ends
        Pieces meet with the stock's own ends where that can be: the first one comes off a bar's far end.
    """

    label: str
    material: str
    length: int
    lap: int = 0
    shortest: int = 0
    seams: tuple[int, ...] | None = None
    mark: str = ""
    needed: int = 0
    layer: str = ""
    begins: int = 0
    bottom: int = 0
    beside: str = ""
    stagger: int = 0
    own_ends: bool = False


@dataclass(frozen=True, slots=True)
class Part:
    """
    A length or a rectangle that must be cut whole, `count` times over.

    Parameters
    ----------
    length
        Along the grain; for mitred or plumb-cut ends from long point to long point.
    width
        0 keeps the stock's own width; otherwise the part is ripped or cut from a sheet.
    may_turn
        True if grain does not matter and the part may lie across the sheet.
    slant
        For a part whose two ends are cut parallel and slanting: how much farther the long point of an
        end reaches than its short point. Such parts nest: `n` of them take `slant` once a board.
    needed
        Orders the cutting: parts with a smaller number are wanted on site first.
    """

    label: str
    material: str
    length: int
    width: int = 0
    count: int = 1
    may_turn: bool = False
    slant: int = 0
    needed: int = 0


@dataclass(frozen=True, slots=True)
class Count:
    """So many pieces of something sold by number: nails, hinges, clips, tubes."""

    label: str
    material: str
    quantity: int


@dataclass(frozen=True, slots=True)
class Saw:
    """Width that a cut turns to dust, by kind of stock: a saw in sheets and boards, snips in sticks."""

    sheet: int = INCH // 8
    board: int = INCH // 8
    stick: int = 0
    roll: int = 0

    def kerf(self, kind: Kind) -> int:
        """Give the kerf for one kind of stock; nothing that is counted is cut."""
        match kind:
            case "sheet":
                return self.sheet
            case "board":
                return self.board
            case "stick":
                return self.stick
            case "roll":
                return self.roll
            case "each":
                return 0


@dataclass(frozen=True, slots=True)
class Problem:
    """
    Everything that must be covered, cut and counted, and all the stock there is.

    `spare` asks for so many extra pieces of a material (pairs of material and number) beyond what is cut.
    `yards` are those the stocks name, empty where trips don't matter; `load` is the grams that one trip
    carries, None for no limit; `tax` is what is added to prices, as a part of them.
    """

    stocks: tuple[Stock, ...]
    surfaces: tuple[Surface, ...] = ()
    runs: tuple[Run, ...] = ()
    parts: tuple[Part, ...] = ()
    counts: tuple[Count, ...] = ()
    saw: Saw = field(default_factory=Saw)
    spare: tuple[tuple[str, int], ...] = ()
    yards: tuple[Yard, ...] = ()
    load: int | None = None
    tax: Fraction = Fraction(0)
