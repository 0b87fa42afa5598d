"""As built: what is bought, cut and laid already; the rest is planned anew, with what is in hand first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from cli.schema import CutEntry, DoneEntry, HandEntry, LayEntry, PlanFile
from optimizer.errors import InputError
from optimizer.lengths import TapeUnit, as_number, parse_length, size_text
from optimizer.shapes import band_of, shape_of, slabs_of
from optimizer.words import Hole, Problem, Stock, Surface
from takeoff.book import Book, Item

__all__ = ["Done", "done_of", "in_hand", "left_to_do", "record", "unused"]


@dataclass(frozen=True, slots=True)
class Done:
    """
    What has been done of a plan.

    `laid` are the labels of pieces in place, those from before the plan included, `cut` the ids of stock that
    is cut, `spoilt` labels and ids that can't be used any more.
    """

    laid: frozenset[str]
    cut: frozenset[str]
    spoilt: frozenset[str]


def done_of(plan: PlanFile, laid: Sequence[str], cut: Sequence[str], spoilt: Sequence[str]) -> Done:
    """
    Understand what a user says is done.

    Parameters
    ----------
    laid
        Labels of pieces, or what they begin with: `O1` is all of course 1 of side O, `O` all courses of it.
    cut
        Ids of cuts; that of which something is laid or spoilt is cut anyway.
    spoilt
        Ids of cuts, or labels.

    Raises
    ------
    InputError
        If a name is nothing of the plan.
    """
    before = frozenset(plan.done.laid if plan.done else ())
    labels = {piece.label for each in plan.cut for piece in each.pieces} | before
    ids = {each.id for each in plan.cut}

    def named(name: str, option: str) -> set[str]:
        marks = f"{name}." if name[-1:].isdigit() else tuple(f"{name}{mark}" for mark in ".0123456789")
        found = {label for label in labels if label == name or label.startswith(marks)}
        if not found:
            raise InputError(f"{name!r} is no piece, course or part of the plan", option)
        return found

    on = {label for name in laid for label in named(name, "--laid")}
    for name in cut:
        if name not in ids:
            raise InputError(f"{name!r} is no cut of the plan; cuts are {_some(ids)}", "--cut")
    lost = {each for name in spoilt for each in ({name} if name in ids else named(name, "--spoilt"))}
    both = sorted(on & lost)
    if both:
        raise InputError(f"{both[0]!r} is laid and spoilt; leave it out of one", "--spoilt")
    begun = {e.id for e in plan.cut if any(piece.label in on | lost for piece in e.pieces)}
    return Done(before | on, frozenset({*cut, *begun, *(lost & ids)}), frozenset(lost))


def _some(names: set[str]) -> str:
    ordered = sorted(names, key=lambda name: (name[:1], len(name), name))
    return f"{ordered[0]} to {ordered[-1]}" if len(ordered) > 2 else ", ".join(ordered)


def in_hand(plan: PlanFile, done: Done, book: Book) -> tuple[Item, ...]:
    """
    Give what is there already: stock not yet cut, pieces cut and not laid, and what their stock left.

    Pieces cut to a slant or with an opening can serve only where they were meant to, so they are no stock.
    """
    items = {item.key: item for item in reversed(book.items)}
    whole: Counter[str] = Counter()
    for entry in plan.done.in_hand if plan.done else ():
        whole[entry.stock] += entry.count
        items.setdefault(entry.stock, _rest(entry, book, plan.unit))
    for line in plan.buy:
        if not (plan.done and line.from_rack):  # a plan of the rest lists what was in hand, used or not
            whole[line.stock] += line.count * line.pack
    found: list[Item] = []
    for each in plan.cut:
        if each.id in done.cut:
            whole[each.stock] -= each.repeat
            found += _of_cut(plan, each, done, items)
    for key, pieces in whole.items():
        item = items.get(key)
        if item is not None and pieces > 0:
            size = f"{item.size}, by the piece" if item.pack > 1 else item.size
            owned = replace(item, size=size, price=0, breaks=(), pack=1, weight=None, available=pieces)
            found.append(replace(owned, from_rack=True, yard="", elsewhere=False))
    return _merged(found)


def _rest(entry: HandEntry, book: Book, unit: TapeUnit) -> Item:
    """Give a piece of an earlier rest as the book would have it, which knows its material."""
    length, width = (parse_length(f"{size} {unit}") for size in (entry.length, entry.width))
    size = entry.stock.removeprefix(f"{entry.material} ")
    for item in book.items:
        if item.material == entry.material:
            return replace(item, size=size, length=length, width=width, pack=1, weight=None, breaks=())
    return Item(entry.material, size, "each", length, width)


def _of_cut(plan: PlanFile, cut: CutEntry, done: Done, items: Mapping[str, Item]) -> Iterator[Item]:
    item = items.get(cut.stock)
    if item is None or cut.id in done.spoilt:
        return
    left = [(each.length, each.width, each.repeat) for each in plan.keep if each.cut == cut.id]
    for piece in cut.pieces:
        if piece.label not in done.laid | done.spoilt and not piece.corners and not piece.openings:
            left.append((piece.length, piece.width, cut.repeat))
    for length, width, count in left:
        sizes = tuple(parse_length(f"{size} {plan.unit}") for size in (length, width))
        told = size_text(plan.unit, *(sizes if sizes[1] and item.kind == "sheet" else sizes[:1]))
        yield Item(
            item.material,
            told,
            item.kind,
            sizes[0],
            sizes[1] or item.width,
            item.thickness,
            item.span,
            price=0,
            available=count,
            from_rack=True,
        )


def unused(plan: PlanFile, done: Done) -> tuple[str, ...]:
    """Name the pieces that are cut but count as nothing, for their shape serves in one place only."""
    return tuple(
        piece.label
        for cut in plan.cut
        if cut.id in done.cut and cut.id not in done.spoilt
        for piece in cut.pieces
        if (piece.corners or piece.openings) and piece.label not in done.laid | done.spoilt
    )


def _merged(items: Sequence[Item]) -> tuple[Item, ...]:
    """Count together what is alike."""
    found: dict[tuple[str, int, int], Item] = {}
    for item in items:
        alike = item.key, item.length, item.width
        before = found.get(alike)
        count = (item.available or 0) + ((before.available or 0) if before else 0)
        found[alike] = replace(item, available=count)
    named: Counter[str] = Counter()
    told = []
    for item in found.values():
        named[item.key] += 1
        # A size told to the tape may stand for two that differ by less.
        name = item.size if named[item.key] == 1 else f"{item.size}, {named[item.key]}"
        told.append(replace(item, size=name))
    return tuple(told)


def record(
    plan: PlanFile, done: Done, problem: Problem, hand: Sequence[Item], changed: Sequence[str]
) -> DoneEntry:
    """
    Write down what is done, for the plan of the rest to carry.

    Parameters
    ----------
    problem
        The whole building's question, as it is now.
    hand
        What was in hand, as `in_hand` gave it.
    changed
        Every measure that came out otherwise, as typed.
    """
    unit = plan.unit
    return DoneEntry(
        laid=tuple(sorted(done.laid)),
        lay=tuple(
            entry
            for entry in (*(e for s in problem.surfaces for e in _courses(s, plan)), *_runs(plan))
            if all(piece.label in done.laid for piece in entry.pieces)
        ),
        in_hand=tuple(
            HandEntry(
                stock=item.key,
                material=item.material,
                length=as_number(item.length, unit),
                width=as_number(item.width, unit),
                count=item.available,
            )
            for item in hand
            if item.available
        ),
        changed=tuple(changed),
    )


def _runs(plan: PlanFile) -> list[LayEntry]:
    return [entry for entry in (*(plan.done.lay if plan.done else ()), *plan.lay) if not entry.plane]


def _courses(surface: Surface, plan: PlanFile) -> list[LayEntry]:
    """Give the courses of a surface from its lower edge, those from before the plan first."""
    before = [e for e in (plan.done.lay if plan.done else ()) if e.plane == surface.label]
    after = sorted((e for e in plan.lay if e.plane == surface.label), key=lambda e: e.course)
    if not before:
        return after
    start = _top(before[-1], surface, plan.unit)
    return [*before, *(_lifted(entry, start, plan.unit) for entry in after)]


def _top(entry: LayEntry, surface: Surface, unit: TapeUnit) -> int:
    """Give where the course above begins."""
    bottom, width = (parse_length(f"{size} {unit}") for size in (entry.bottom, entry.width))
    return bottom + width + surface.rule.gap


def _lifted(entry: LayEntry, by: int, unit: TapeUnit) -> LayEntry:
    """Count a course from a lower edge that lies so much further down."""

    def up(height: str) -> str:
        return as_number(parse_length(f"{height} {unit}") + by, unit)

    pieces = tuple(
        piece.model_copy(
            update={
                "corners": tuple((x, up(y)) for x, y in piece.corners),
                "openings": tuple((x, up(y), length, height) for x, y, length, height in piece.openings),
            }
        )
        for piece in entry.pieces
    )
    return entry.model_copy(update={"bottom": up(entry.bottom), "pieces": pieces})


def left_to_do(problem: Problem, plan: PlanFile, done: Done, stocks: tuple[Stock, ...]) -> Problem:
    """
    Leave out of a question what is done.

    Raises
    ------
    InputError
        If a course or a run is done in part, or a laid piece does not fit the building as it is now.
    """
    surfaces = []
    for surface in problem.surfaces:
        left = _above(surface, plan, done)
        if left is not None:
            surfaces.append(left)
    runs = []
    for run in problem.runs:
        entry = next((e for e in _runs(plan) if e.run == run.label), None)
        on = [piece.label in done.laid for piece in entry.pieces] if entry else []
        if any(on) and not all(on):
            raise InputError(f"{run.label} is done in part: name all of its pieces, or none", "--laid")
        if not any(on):
            runs.append(run)
    parts = tuple(part for part in problem.parts if part.label not in done.laid)
    return replace(problem, stocks=stocks, surfaces=tuple(surfaces), runs=tuple(runs), parts=parts, spare=())


def _above(surface: Surface, plan: PlanFile, done: Done) -> Surface | None:
    """Give what is left of a surface above its laid courses; None where nothing is."""
    entries = _courses(surface, plan)
    count = 0
    for number, entry in enumerate(entries):
        on = [piece.label in done.laid for piece in entry.pieces]
        if any(on) and (not all(on) or number != count):
            laid = ", ".join(p.label for p, is_on in zip(entry.pieces, on, strict=True) if is_on)
            raise InputError(
                f"{laid} of {entry.run}: courses are laid whole, from the first one on; name the others too",
                "--laid",
            )
        count += all(on)
    if not count:
        return surface
    if surface.edges is not None and count < len(entries):
        raise InputError(f"{surface.label}: panels side by side are named all together, or none", "--laid")
    top, unit = entries[count - 1], plan.unit
    for entry in entries[:count]:
        _check_fit(surface, entry, plan)
    if count == len(entries):
        return None
    start = _top(top, surface, unit)
    seams = tuple(parse_length(f"{seam} {unit}") for seam in top.seams)
    if start + surface.rule.narrowest - surface.rule.gap > surface.height:
        raise InputError(f"above {top.run} less is left than the narrowest course", "--changed")
    return _clipped(surface, start, count, seams)


def _clipped(surface: Surface, start: int, count: int, seams: tuple[int, ...]) -> Surface:
    """Cut off a surface below a height."""
    band = band_of(slabs_of(surface), start, surface.height)
    found = shape_of(band, -1, surface.length + 1, ())
    assert isinstance(found, tuple), "the surface reaches above its laid courses"
    shape, left, _ = found
    outline = tuple((left + x, y) for x, y in shape.corners)
    if not outline and (left, shape.length) != (0, surface.length):
        right, top = left + shape.length, shape.width
        outline = ((left, 0), (right, 0), (right, top), (left, top))
    holes = tuple(
        replace(hole, y=max(0, hole.y - start), height=hole.y + hole.height - max(hole.y, start))
        for hole in surface.holes
        if hole.y + hole.height > start
    )
    return replace(
        surface, height=surface.height - start, outline=outline, holes=holes, laid=count, below=seams
    )


def _check_openings(surface: Surface, entry: LayEntry, plan: PlanFile) -> None:
    """Refuse openings that are elsewhere, or of another size, than a laid piece was cut for."""
    bottom, width = (parse_length(f"{size} {plan.unit}") for size in (entry.bottom, entry.width))
    for piece in entry.pieces:
        if piece.corners and not piece.openings:
            continue
        start, end = (parse_length(f"{at} {plan.unit}") for at in (piece.start, piece.end))
        box = (start, bottom, end, bottom + width)
        clipped = (_within(hole, box) for hole in surface.holes)
        wanted = {rectangle for rectangle in clipped if rectangle is not None}
        found = set()
        for opening in piece.openings:
            x, y, length, height = (parse_length(f"{size} {plan.unit}") for size in opening)
            found.add((x, y, x + length, y + height))
        if wanted != found:
            raise InputError(
                f"{piece.label}, which is laid, is not cut for the openings that {surface.label} has now",
                "--changed",
            )


def _within(hole: Hole, box: tuple[int, int, int, int]) -> tuple[int, int, int, int] | None:
    """Give the part of a hole inside a box, as its two corners; None where they only touch."""
    x0, y0, x1, y1 = box
    x0, y0 = max(x0, hole.x), max(y0, hole.y)
    x1, y1 = min(x1, hole.x + hole.length), min(y1, hole.y + hole.height)
    return (x0, y0, x1, y1) if x0 < x1 and y0 < y1 else None


def _check_panel(surface: Surface, entry: LayEntry, plan: PlanFile) -> None:
    """Refuse an edge of an upright panel that is on no stud any more."""
    bottom, width = (parse_length(f"{size} {plan.unit}") for size in (entry.bottom, entry.width))
    studs = (0, *(surface.edges or ()), surface.height)
    for edge in (bottom, bottom + width):
        if all(abs(stud - edge) > surface.rule.gap for stud in studs):
            raise InputError(f"{entry.pieces[0].label}, which is laid, ends on no stud any more", "--changed")


def _check_fit(surface: Surface, entry: LayEntry, plan: PlanFile) -> None:
    """Refuse a building in which a laid piece is wrong."""
    unit, rule = plan.unit, surface.rule
    lines = {support.at for support in surface.supports if support.seam}
    for piece, seam in zip(entry.pieces, entry.seams, strict=False):
        if parse_length(f"{seam} {unit}") not in lines:
            raise InputError(
                f"the seam at {seam} {unit} beside {piece.label}, which is laid, is on no rafter any more",
                "--changed",
            )
    _check_openings(surface, entry, plan)
    if surface.upright:
        _check_panel(surface, entry, plan)
    if not surface.plain:
        return
    last = entry.pieces[-1]
    end = parse_length(f"{last.end} {unit}")
    if not surface.length - rule.end_slack <= end <= surface.length:
        raise InputError(
            f"{last.label}, which is laid, ends at {last.end} {unit}, and {surface.label} is now "
            f"{size_text(unit, surface.length)} long",
            "--changed",
        )
