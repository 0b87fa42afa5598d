"""Wall skin: upright panels on every wall and gable, cut at level joints, open at doors and windows."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from optimizer.errors import InputError
from optimizer.lengths import INCH, TapeUnit, size_text
from optimizer.words import Corner, Hole, SeamRule, Surface
from takeoff.book import Book
from takeoff.building import Building
from takeoff.job import Job
from takeoff.panelling import Panelling
from takeoff.wall_job import WallTable
from takeoff.wall_openings import WallOpening, wall_openings
from takeoff.walls_geometry import Wall, standing_walls

__all__ = [
    "Skin",
    "SkinPart",
    "narrowest_of",
    "on_plates",
    "skin_parts",
    "skins_of",
    "surface_of",
]

_NEEDED = 4
"""The skin goes on before the roof's boards."""

_LEVELS = ("W", "X", "Y", "Z")
"""First letter of the labels of panels, by the level of their part of the wall."""

_REST = INCH * 3 // 4
"""What a plate must give each of two panels that meet on it."""


@dataclass(frozen=True, slots=True)
class Skin:
    """
    The skin of one wall, seen from outside: along from its own left edge, up from its foot.

    Parameters
    ----------
    left
        Its left edge from the left corner of the framing; negative where it runs past.
    top
        Where it ends: corners from left to right.
    plate
        Top of the (lower) top plate.
    joints
        Level joints: how high the upper edge of the lower panels lies.
    openings
        Left open: doors from the foot up, windows.
    """

    wall: Wall
    left: int
    width: int
    top: tuple[Corner, ...]
    plate: int
    joints: tuple[int, ...]
    openings: tuple[Hole, ...]

    @property
    def peak(self) -> int:
        """Give its greatest height."""
        return max(up for _, up in self.top)


@dataclass(frozen=True, slots=True)
class SkinPart:
    """
    What lies between two level joints of a skin.

    Parameters
    ----------
    level
        0 from the foot, 1 above the first joint, and so on.
    low, left
        Its lowest and its leftmost point, on the skin.
    corners
        (along, up) from there, anticlockwise from the lower left one.
    studs, edges
        Stud centres, and where two panels may meet: stud centres and sides of openings.
    """

    skin: Skin
    level: int
    low: int
    left: int
    corners: tuple[Corner, ...]
    studs: tuple[int, ...]
    edges: tuple[int, ...]

    @property
    def width(self) -> int:
        """Give its reach along the floor."""
        return max(along for along, _ in self.corners)

    @property
    def height(self) -> int:
        """Give its reach upwards."""
        return max(up for _, up in self.corners)

    @property
    def label(self) -> str:
        """Name it as its surface is named."""
        names = ("", ", above its joint", ", above its second joint", ", above its third joint")
        return f"{self.skin.wall.label}{names[self.level]}"

    @property
    def twice_area(self) -> int:
        """Give twice its area, openings not taken off."""
        ring = pairwise((*self.corners, self.corners[0]))
        return sum(x * later_up - later_x * up for (x, up), (later_x, later_up) in ring)

    def height_at(self, along: int) -> int:
        """Give how high it is, so far from its left end."""
        heights = [
            up0 + (up1 - up0) * (along - x0) // (x1 - x0)
            for (x0, up0), (x1, up1) in pairwise((*self.corners, self.corners[0]))
            if x0 != x1 and min(x0, x1) <= along <= max(x0, x1)
        ]
        return max(heights, default=0)


def skins_of(job: Job, building: Building, book: Book, panels: Panelling) -> tuple[Skin, ...]:
    """
    Give the skin of every wall.

    Raises
    ------
    InputError
        If an opening doesn't fit into its wall.
    """
    openings = wall_openings(job, building, book)
    return tuple(
        _skin(wall, panels, [o for o in openings if o.wall == wall.name])
        for wall in standing_walls(job, building, book)
    )


def _skin(wall: Wall, panels: Panelling, openings: Sequence[WallOpening]) -> Skin:
    table = panels.table
    left, right = _short(wall, panels)
    width = wall.width - left - right
    top = _top(wall, left, width, table.below)
    holes = []
    for opening in openings:
        # Below a door the skin is cut away down to its foot.
        foot = 0 if opening.sill == 0 else opening.sill + table.below
        head = opening.head + table.below
        holes.append(Hole(opening.name, foot, opening.left - left, head - foot, opening.width))
    plate = wall.plate + table.below
    joints = table.joints
    if joints is None:
        joints = tuple(_joints(wall, top, plate, panels))
    peak = max(up for _, up in top)
    return Skin(wall, left, width, top, plate, tuple(j for j in joints if j < peak), tuple(holes))


def _short(wall: Wall, panels: Panelling) -> tuple[int, int]:
    """
    Give how far the skin stops short of the wall's left and right corner; negative where it runs past.

    Behind a corner board the last panel stops a hair short where it has to be ripped anyway, so that two
    halves come out of one panel.
    """
    if panels.past == "none":
        whole = any((wall.width + panels.gap) % (item.width + panels.gap) == 0 for item in panels.sizes)
        return 0, 0 if whole else panels.table.corner_gap
    # Going round, every second wall is an end.
    mine = "ends" if (ord(wall.mark) - ord("A")) % 2 else "sides"
    past = -panels.thickness if panels.past == mine else 0
    left, right = (0 if inside else past for inside in wall.inside)
    return left, right


def _top(wall: Wall, left: int, width: int, below: int) -> tuple[Corner, ...]:
    """Carry the top of a wall on, at its own slope, to the edges of the skin."""
    points = wall.top

    def up(along: int) -> int:
        pairs = list(pairwise(points))
        (x0, up0), (x1, up1) = next((pair for pair in pairs if along <= pair[1][0]), pairs[-1])
        return up0 + int(Fraction((up1 - up0) * (along - x0), x1 - x0) // 1)

    inner = [(x, u) for x, u in points[1:-1] if left < x < left + width]
    ends = [(left, up(left)), *inner, (left + width, up(left + width))]
    return tuple((x - left, u + below) for x, u in ends)


def _joints(wall: Wall, top: Sequence[Corner], plate: int, panels: Panelling) -> Iterator[int]:
    """
    Say where level joints lie when the job doesn't: on the top plates of a gable if panels reach so far.

    Elsewhere a joint lies a panel's length up, over blocking.
    """
    peak, corner = max(up for _, up in top), min(top[0][1], top[-1][1])
    plates = panels.table.top_plates
    highest = min(plate - _REST, corner)
    wanted = min(plate - plates // 2, corner)
    low = 0
    while peak - low > panels.longest:
        joint = low + panels.longest
        on_plates = plate - plates + _REST <= min(joint, highest)
        if wall.kind == "gable" and low < wanted and on_plates:
            joint = min(joint, wanted)
        yield joint
        low = joint + panels.end_gap


def skin_parts(skin: Skin, panels: Panelling, tape: TapeUnit) -> tuple[SkinPart, ...]:
    """
    Cut a skin at its level joints.

    Raises
    ------
    InputError
        If a part is still higher than the longest panel, or there are too many of them.
    """
    lows = (0, *(joint + panels.end_gap for joint in skin.joints))
    highs = (*skin.joints, skin.peak)
    if len(lows) > len(_LEVELS):
        raise InputError(
            f"the {skin.wall.label} would have {len(skin.joints)} level joints; longer panels are needed",
            "walls.material",
        )
    parts = []
    for level, (low, high) in enumerate(zip(lows, highs, strict=True)):
        if low >= skin.peak:
            continue
        part = _part(skin, level, low, min(high, skin.peak), panels.frame.stud_spacing)
        if part.height > panels.longest:
            raise InputError(
                f"{part.label} would be {size_text(tape, part.height)} high, the longest "
                f"{panels.table.material} is {size_text(tape, panels.longest)}; add a level joint",
                "walls.joints",
            )
        parts.append(part)
    return tuple(parts)


def _part(skin: Skin, level: int, low: int, high: int, spacing: int) -> SkinPart:
    line = _between(skin.top, low, high)
    left, right = line[0][0], line[-1][0]
    corners = [(left, low), (right, low), *reversed(line)]
    ring = tuple(dict.fromkeys((x - left, up - low) for x, up in corners))
    studs = range(spacing, skin.width, spacing)
    sides = {
        side
        for hole in skin.openings
        if hole.x < high and hole.x + hole.length > low
        for side in (hole.y, hole.y + hole.height)
    }
    inside = tuple(x - left for x in studs if left < x < right)
    edges = tuple(sorted({*inside, *(x - left for x in sides if left < x < right)}))
    return SkinPart(skin, level, low, left, ring, inside, edges)


def _between(top: Sequence[Corner], low: int, high: int) -> list[Corner]:
    """Give the upper edge of a skin where it lies above `low`, cut off at `high`."""
    points: list[Corner] = []

    def add(along: Fraction | int, up: int) -> None:
        point = (int(along), up)
        if not points or points[-1] != point:
            points.append(point)

    for (x0, up0), (x1, up1) in pairwise(top):
        crossings = {Fraction(0), Fraction(1)}
        for level in (low, high):
            if up0 != up1 and 0 < Fraction(level - up0, up1 - up0) < 1:
                crossings.add(Fraction(level - up0, up1 - up0))
        for part in sorted(crossings):
            up = up0 + (up1 - up0) * part
            if up >= low:
                add(x0 + (x1 - x0) * part, min(int(up), high))
    return _straight(points)


def _straight(points: Sequence[Corner]) -> list[Corner]:
    """Leave out the points in the middle of a level stretch."""
    return [
        point
        for place, point in enumerate(points)
        if not (0 < place < len(points) - 1 and points[place - 1][1] == point[1] == points[place + 1][1])
    ]


def narrowest_of(part: SkinPart, panels: Panelling) -> int:
    """
    Give the narrowest strip that the rule may ask for: `walls.narrowest`, or the most that can be kept to.

    Raises
    ------
    InputError
        If even the narrowest strips are wider than the panels.
    """
    gap, table = panels.gap, panels.table
    lines = (0, *part.edges, part.width)
    best = {0: part.width + gap}
    for place, line in enumerate(lines[1:], start=1):
        ways = []
        for before in lines[:place]:
            # At an end of the wall no gap is left; half of one on either side of a joint.
            width = line - before - gap // 2 * ((before > 0) + (line < part.width))
            if before in best and width <= panels.widest:
                ways.append(min(best[before], width + gap))
        if ways:
            best[line] = max(ways)
    if part.width not in best:
        raise InputError(
            f"{part.label}: no panel of {table.material} is wide enough to reach from one stud to the "
            "next; they may stand no farther apart than a panel is wide",
            "walls.stud_spacing",
        )
    return min(table.narrowest, best[part.width])


def surface_of(part: SkinPart, panels: Panelling) -> Surface:
    """Give a part of a skin as a surface: courses stand upright, side by side from the left."""
    rectangle = {(0, 0), (part.width, 0), (part.width, part.height), (0, part.height)}
    # Along the courses is up the wall, across them along the floor; that mirrors the wall.
    outline = tuple((up, along) for along, up in reversed(part.corners))
    return Surface(
        label=part.label,
        material=panels.table.material or "",
        length=part.height,
        height=part.width,
        supports=(),
        rule=SeamRule(
            gap=panels.gap,
            min_supports=0,
            shortest=0,
            stagger=0,
            narrowest=narrowest_of(part, panels),
        ),
        mark=f"{_LEVELS[part.level]}{part.skin.wall.mark}",
        needed=_NEEDED,
        outline=() if set(part.corners) == rectangle else outline,
        holes=tuple(_holes(part)),
        edges=part.edges,
        upright=True,
        may_flip=panels.table.either_face,
    )


def _holes(part: SkinPart) -> Iterator[Hole]:
    for hole in part.skin.openings:
        low, high = max(hole.x - part.low, 0), min(hole.x + hole.length - part.low, part.height)
        left, right = max(hole.y - part.left, 0), min(hole.y + hole.height - part.left, part.width)
        if low < high and left < right:
            yield Hole(hole.label, low, left, high - low, right - left)


def on_plates(skin: Skin, joint: int, table: WallTable) -> bool:
    """Tell whether a level joint lies on the top plates, with room for both panels' edges."""
    return skin.plate - table.top_plates + _REST <= joint <= skin.plate - _REST
