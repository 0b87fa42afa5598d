"""The audit of what is cut: every cut a real sequence of saw cuts, every piece cut once in its size."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, groupby

from optimizer.audit_corners import Outline, alike, freed_complaints, kept_free, taken_up
from optimizer.complaint import Complaint
from optimizer.plan import FROM_LEFTOVERS, Course, Cut, CutPiece, Plan, SawCut
from optimizer.words import Part, Problem, Stock

__all__ = ["cut_complaints", "stages"]

MOST_STAGES = 3
"""Rip, crosscut, trim, or crosscut, rip, trim: what the plans' proofs cover."""

_Rectangle = tuple[int, int, int, int]
"""x, y, length, width."""


@dataclass(frozen=True, slots=True)
class _Replay:
    """What a stock has become after its steps: every rectangle left, the stages taken, the first bad step."""

    regions: frozenset[_Rectangle]
    stages: int
    fault: str


def _replayed(cut: Cut) -> _Replay:
    """Cut a whole stock step by step; a stage ends where a rectangle is next cut the other way."""
    regions: dict[_Rectangle, tuple[int, str]] = {(0, 0, cut.length, cut.width): (0, "")}
    most = 0
    for number, step in enumerate(cut.steps, start=1):
        region = (step.x, step.y, step.length, step.width)
        if region not in regions:
            return _Replay(frozenset(regions), most, f"step {number} cuts a rectangle that is not there")
        along = step.length if step.kind == "crosscut" else step.width
        if not 0 < step.at < along:
            return _Replay(frozenset(regions), most, f"step {number} misses its rectangle")
        taken, kind = regions.pop(region)
        taken += kind != step.kind
        most = max(most, taken)
        for half in _halves(step, cut.kerf):
            regions[half] = (taken, step.kind)
    return _Replay(frozenset(regions), most, "")


def _halves(step: SawCut, kerf: int) -> Iterator[_Rectangle]:
    """Give the two rectangles a saw cut leaves; only one where the kerf runs out over the far edge."""
    past = step.at + kerf
    match step.kind:
        case "crosscut":
            yield step.x, step.y, step.at, step.width
            if past < step.length:
                yield step.x + past, step.y, step.length - past, step.width
        case "rip":
            yield step.x, step.y, step.length, step.at
            if past < step.width:
                yield step.x, step.y + past, step.length, step.width - past


def stages(cut: Cut) -> int:
    """
    Count a cut's stages: the most runs of cuts in one direction that any piece of the stock goes through.

    Examples
    --------
    >>> whole = Cut("1", "panel", 96, 48, 0, pieces=(), steps=())
    >>> stages(whole)
    0
    """
    return _replayed(cut).stages


def cut_complaints(problem: Problem, plan: Plan) -> Iterator[Complaint]:
    """Check every cut on its own, then that together they yield each piece once, then what is left."""
    stocks = {(stock.key, stock.from_rack): stock for stock in problem.stocks}
    for identity, times in Counter(cut.id for cut in plan.cut).items():
        if times > 1:
            yield Complaint("cut id", identity, f"names {times} cuts")
    unlimited = {o.material for o in plan.outcomes if FROM_LEFTOVERS in o.family}
    for cut in plan.cut:
        stock = stocks.get((cut.stock, cut.from_rack))
        if stock is None:
            where = "in the rack" if cut.from_rack else "to buy"
            yield Complaint("stock", cut.id, f"there is no {cut.stock} {where}")
        else:
            yield from _stock(problem, cut, stock)
        yield from _steps(cut, stock is not None and stock.material in unlimited)
    yield from _yields(problem, plan, stocks)
    yield from _leftovers(plan)


def _stock(problem: Problem, cut: Cut, stock: Stock) -> Iterator[Complaint]:
    if stock.kind == "each":
        yield Complaint("stock", cut.id, f"{stock.key} is counted, not cut")
    if (cut.length, cut.width) != (stock.length, stock.width):
        yield Complaint("stock size", cut.id, f"{cut.length} x {cut.width} is not the size of {stock.key}")
    if cut.kerf != problem.saw.kerf(stock.kind):
        yield Complaint("kerf", cut.id, f"{cut.kerf}, not {problem.saw.kerf(stock.kind)}")
    if cut.repeat < 1:
        yield Complaint("repeat", cut.id, f"cut {cut.repeat} times")


def _steps(cut: Cut, free: bool) -> Iterator[Complaint]:
    """
    Check that the steps can be sawn, and that each leaves every piece on its own, exactly its size.

    `free` lets the cuts take any number of stages, where the plan says that some parts came after the rest.
    """
    replay = _replayed(cut)
    if replay.fault:
        yield Complaint("step", cut.id, replay.fault)
    if replay.stages > MOST_STAGES and not free:
        yield Complaint("stages", cut.id, f"{replay.stages} stages, at most {MOST_STAGES}")
    faulty = set()
    for piece in cut.pieces:
        if not _inside(cut, piece):
            faulty.add(taken_up(piece))
            yield Complaint("inside", cut.id, f"{piece.label} does not lie within the stock")
    yield from freed_complaints(cut, replay.regions)
    shaped = [piece for piece in cut.pieces if piece.corners or piece.openings]
    for one, other in combinations(cut.pieces, 2):
        if _overlap(one, other) and not (one in shaped or other in shaped):
            faulty |= {taken_up(one), taken_up(other)}
            yield Complaint("overlap", cut.id, f"{one.label} and {other.label} share wood")
    for piece in cut.pieces:
        rectangle = taken_up(piece)
        if piece in shaped or any(_out_of(piece, other, cut.kerf) for other in shaped):
            continue
        if not replay.fault and rectangle not in faulty and rectangle not in replay.regions:
            yield Complaint("region", cut.id, f"the steps do not free {piece.label} in its size")


def _out_of(piece: CutPiece, other: CutPiece, kerf: int) -> bool:
    """Tell whether a piece comes out of an opening of another, a kerf within it."""
    return any(
        x + kerf <= piece.x
        and y + kerf <= piece.y
        and piece.x + piece.length <= x + length - kerf
        and piece.y + piece.width <= y + width - kerf
        for x, y, length, width in other.openings
    )


def _inside(cut: Cut, piece: CutPiece) -> bool:
    return (
        piece.x >= 0
        and piece.y >= 0
        and piece.length > 0
        # A stick has no width of its own, nor do its pieces.
        and (piece.width > 0 or piece.width == cut.width == 0)
        and piece.x + piece.length <= cut.length
        and piece.y + piece.width <= cut.width
    )


def _overlap(one: CutPiece, other: CutPiece) -> bool:
    beside = one.x + one.length <= other.x or other.x + other.length <= one.x
    above = one.y + one.width <= other.y or other.y + other.width <= one.y
    flat = one.width == other.width == 0
    return not beside and (flat or not above)


@dataclass(frozen=True, slots=True)
class _Want:
    """A piece that must be cut; `width` 0 stands for the stock's own."""

    label: str
    material: str
    length: int
    width: int
    may_turn: bool = False
    slant: int = 0
    shape: Outline = ((), ())
    may_flip: bool = False

    def fits(self, cut: Cut, piece: CutPiece) -> bool:
        """Tell whether a cut piece has this size and shape, whichever way it lies."""
        shape = (
            tuple((x - piece.x, y - piece.y) for x, y in piece.corners),
            tuple((x - piece.x, y - piece.y, a, b) for x, y, a, b in piece.openings),
        )
        if self.shape != shape and not alike(self.shape, shape, self.length, self.width, self.may_flip):
            return False
        if self._lies(cut, piece.length, piece.width):
            return True
        return self.width > 0 and self._lies(cut, piece.width, piece.length)

    def well_turned(self, cut: Cut, piece: CutPiece) -> bool:
        """Tell whether a piece of this size lies the way it says, and may."""
        if not piece.turned:
            return self._lies(cut, piece.length, piece.width)
        return self.may_turn and self.width > 0 and self._lies(cut, piece.width, piece.length)

    def _lies(self, cut: Cut, length: int, width: int) -> bool:
        # Behind another of its slant, a part takes up no more than its length less the slant.
        return length in (self.length, self.length - self.slant) and width == (self.width or cut.width)


def _wants(problem: Problem, plan: Plan) -> Counter[_Want]:
    """Add up every piece that lay, parts and blocking ask for."""
    wants: Counter[_Want] = Counter()
    for surface in problem.surfaces:
        courses = [course for course in plan.lay if course.plane == surface.label]
        for course in courses:
            wants.update(_laid(course, surface.material, course.width, surface.may_flip))
        rule = surface.rule
        edges = 2 * sum(course.width + rule.gap < rule.blocked_below for course in courses)
        for part in surface.blocking:
            wants[_part(part)] += edges * part.count
    for run in problem.runs:
        for course in plan.lay:
            if not course.plane and course.run == run.label:
                wants.update(_laid(course, run.material, 0))
    for part in problem.parts:
        wants[_part(part)] += part.count
    return +wants


def _laid(course: Course, material: str, width: int, may_flip: bool = False) -> Iterator[_Want]:
    for piece in course.pieces:
        if piece.end <= piece.start:
            continue
        left, bottom, across = piece.start, course.bottom, width
        if piece.corners:
            bottom = min(y for _, y in piece.corners)
            across = max(y for _, y in piece.corners) - bottom
        length = piece.end - piece.start
        corners = tuple((x - left, y - bottom) for x, y in piece.corners)
        if frozenset(corners) == {(0, 0), (length, 0), (length, across), (0, across)}:
            corners = ()
        openings = tuple((x - left, y - bottom, a, b) for x, y, a, b in piece.openings)
        shape = (corners, openings)
        yield _Want(piece.label, material, length, across, shape=shape, may_flip=may_flip)


def _part(part: Part) -> _Want:
    return _Want(part.label, part.material, part.length, part.width, part.may_turn, part.slant)


def _yields(problem: Problem, plan: Plan, stocks: Mapping[tuple[str, bool], Stock]) -> Iterator[Complaint]:
    """Hold everything cut against everything wanted, label by label."""
    wants = _wants(problem, plan)
    laid = Counter(piece.label for course in plan.lay for piece in course.pieces)
    blocking = {part.label for surface in problem.surfaces for part in surface.blocking}
    laid.update(blocking | {part.label for part in problem.parts})
    for label, times in laid.items():
        if times > 1:
            yield Complaint("label", label, f"names {times} different pieces")
    named: dict[str, list[_Want]] = {}
    for want in wants:
        named.setdefault(want.label, []).append(want)
    got: Counter[_Want] = Counter()
    for cut in plan.cut:
        stock = stocks.get((cut.stock, cut.from_rack))
        for piece in cut.pieces:
            found = named.get(piece.label, [])
            if not found:
                yield Complaint("unknown piece", cut.id, f"nothing asks for {piece.label}")
                continue
            want = next((w for w in found if w.fits(cut, piece)), found[0])
            got[want] += cut.repeat
            yield from _piece(cut, stock, piece, want)
        yield from _slants(cut, named)
    for want, count in wants.items():
        if got[want] < count:
            yield Complaint("missing piece", want.label, f"cut {got[want]} times, not {count}")
        if got[want] > count:
            yield Complaint("cut twice", want.label, f"cut {got[want]} times, not {count}")


def _piece(cut: Cut, stock: Stock | None, piece: CutPiece, want: _Want) -> Iterator[Complaint]:
    if stock is not None and stock.material != want.material:
        yield Complaint("material", cut.id, f"{piece.label} is to be {want.material}")
    if not want.fits(cut, piece):
        size = f"{want.length} x {want.width or cut.width}"
        yield Complaint("size", cut.id, f"{piece.label} is {piece.length} x {piece.width}, not {size}")
    elif not want.well_turned(cut, piece):
        yield Complaint("turned", cut.id, f"{piece.label} may not lie that way")


def _slants(cut: Cut, named: Mapping[str, Sequence[_Want]]) -> Iterator[Complaint]:
    """
    Check that nested slanting parts take their slant once.

    Along a lane, one part of every row of neighbours with the same slant must take up its whole length: only
    the others find the wood for their slanting end in the waste beside their neighbour.
    """

    def lane(piece: CutPiece) -> tuple[int, int, int]:
        return piece.y, piece.width, piece.x

    def slanted(piece: CutPiece) -> _Want | None:
        found = (w for w in named.get(piece.label, ()) if w.slant and w.fits(cut, piece))
        return next(found, None)

    for _, row in groupby(sorted(cut.pieces, key=lane), key=lambda piece: lane(piece)[:2]):
        for slant, group in groupby(row, key=lambda piece: want.slant if (want := slanted(piece)) else 0):
            pieces = list(group)
            if slant and not any(_full(piece, slanted(piece)) for piece in pieces):
                yield Complaint("slant", cut.id, f"no room for the slant of {pieces[0].label}")


def _full(piece: CutPiece, want: _Want | None) -> bool:
    return want is not None and want.length == (piece.width if piece.turned else piece.length)


def _leftovers(plan: Plan) -> Iterator[Complaint]:
    """Check that what is kept is there, whole, and is nobody's piece."""
    cuts = {cut.id: cut for cut in plan.cut}
    kept: Counter[tuple[str, _Rectangle]] = Counter()
    for left in plan.keep:
        cut = cuts.get(left.cut)
        if cut is None:
            yield Complaint("leftover", left.cut, "comes from a cut that is not in the plan")
            continue
        rectangle = (left.x, left.y, left.length, left.width)
        kept[left.cut, rectangle] += left.repeat
        replay = _replayed(cut)
        free = kept_free(cut, replay.regions)
        if left.stock != cut.stock or (rectangle not in free and not replay.fault):
            yield Complaint("leftover", left.cut, f"{left.length} x {left.width} is not left of it")
        elif left.repeat < 1 or kept[left.cut, rectangle] > cut.repeat:
            yield Complaint("leftover", left.cut, f"{left.length} x {left.width} is not left so often")
