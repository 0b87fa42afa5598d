"""site.html: one page for the cutting station and the roof, to read on a phone or print."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib.resources import files

from cli.batches import Batch, gather, labels, measured_last
from cli.cutting_text import set_ups
from cli.options import Option
from cli.plan_json import as_json
from cli.report import Bill, Report
from cli.scraps import offcuts
from cli.sections.buy import standing
from cli.sections.options import changed_words, per_cent
from cli.shaping_text import shaping_set_ups
from cli.site.svg import curve_svg, cut_svg, lay_svg, run_svg, slender
from cli.sizes import Curve, called
from optimizer.lengths import INCH, TapeUnit, size_text
from optimizer.money import format_cents
from optimizer.plan import Course, Cut, CutPiece, Leftover
from optimizer.words import Surface
from takeoff.needs import View

__all__ = ["site_html"]

_SHORT = 48 * INCH
"""Stock shorter than this, as a shingle, is drawn small."""

_ALONG = "Along the edges"


@dataclass(frozen=True, slots=True)
class _Piece:
    """A piece to tick off: `key` is its own alone; `size` and `note` are written beside its label."""

    key: str
    label: str
    size: str
    note: str


@dataclass(frozen=True, slots=True)
class _Copy:
    """One piece of stock that is cut like others of its card, or several with how they are all cut."""

    name: str
    pieces: tuple[_Piece, ...]
    how: str = ""


@dataclass(frozen=True, slots=True)
class _Cut:
    """A card of Cut: one drawing and one list of steps for all that are cut alike."""

    title: str
    stock: str
    note: str
    svg: str
    shape: str
    steps: tuple[str, ...]
    remarks: tuple[str, ...]
    copies: tuple[_Copy, ...]


@dataclass(frozen=True, slots=True)
class _Lay:
    """A card of Lay: one surface, or all runs."""

    title: str
    seen: str
    extent: str
    svg: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    heads: tuple[str, ...]
    runs: bool = False


def site_html(report: Report, found: Sequence[Option] = (), curves: Sequence[Curve] = ()) -> str:
    """
    Write the page: what to buy, cut, lay and keep, with cautions; it needs no network.

    Parameters
    ----------
    found
        Options planned beside the plan, and `curves` of what other sizes cost, if there are any.

    Notes
    -----
    A piece that is ticked off is remembered by the browser under the plan's own fingerprint, so that another
    plan starts with none.
    """
    from jinja2 import Environment, StrictUndefined

    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    )
    template = environment.from_string((files("cli.site") / "site.html.j2").read_text(encoding="utf-8"))
    unit = report.takeoff.unit
    cuts = tuple(_cuts(report))
    return template.render(
        title=report.takeoff.title,
        fingerprint=hashlib.sha256(as_json(report).encode()).hexdigest()[:16],
        summary=_summary(report),
        buy=tuple(_buy(report)),
        sums=_sums(report.bill),
        currency=report.book.currency,
        priced=report.bill.total is not None,
        proof=_proof(report),
        cuts=cuts,
        lays=(*_lays(report), *_runs(report)),
        keep=tuple(_keep(report)),
        pieces=sum(len(copy.pieces) for cut in cuts for copy in cut.copies),
        measure=[
            (name, "by eye" if at is None else size_text(unit, at)) for name, at in report.takeoff.measure
        ],
        steps=report.takeoff.steps,
        nails=[check.message for check in report.takeoff.checks if "nail" in check.rule],
        warnings=[c for c in report.takeoff.checks if c.level in ("warn", "fail")],
        cautions=report.takeoff.cautions,
        remark=report.remark,
        options=[_option(option, report.bill.total) for option in found],
        curves=[_curve(curve) for curve in curves],
    )


def _option(option: Option, total: int | None) -> dict[str, object]:
    """Give an option's row: name, total, what it costs beside the plan, and what changes."""
    if option.found is None:
        return {"name": option.name, "total": "", "more": "", "share": "", "changes": [option.reason]}
    more = "" if option.more is None else f"{'+' if option.more > 0 else ''}{format_cents(option.more)}"
    changes = [changed_words(c, total) for c in option.changed]
    return {
        "name": option.name,
        "total": _money(option.found.bill.total),
        "more": more,
        "share": "" if option.more is None or not total else per_cent(option.more, total),
        "changes": [*changes, *option.notes] or ["the same is bought"],
    }


def _curve(curve: Curve) -> tuple[str, str]:
    points = [
        (float(c.place), c.cents, c.shown, c.place == curve.now)
        for c in curve.candidates
        if c.cents is not None
    ]
    name = called(curve.key)
    return name, curve_svg(name, points) if points else ""


def _summary(report: Report) -> str:
    bill = report.bill
    if bill.total is None:
        return "Not priced: the plan buys the fewest pieces."
    proved = "Proved cheapest." if report.plan.proved else "Not proved to the end: see Buy."
    taxed = f", {bill.tax_percent} % tax included" if bill.tax_percent else ""
    return (
        f"Everything together: {format_cents(bill.total)} {report.book.currency}".strip()
        + f"{taxed}. {proved}"
    )


def _buy(report: Report) -> Iterator[tuple[str, str, str, str, str]]:
    """Give item, size, count, price and cost of every line."""
    for line in report.bill.lines:
        notes = [
            word
            for word, true in (
                ("spare", line.spare),
                ("from the rack", line.from_rack),
                (line.yard, line.yard),
            )
            if true
        ]
        packs = [f"packs of {line.pack:,}"] if line.pack > 1 else []
        name = ", ".join((line.item.removesuffix(line.size).strip() or line.item, *notes, *packs))
        prices = ("", "") if line.from_rack else (_money(line.unit_price), _money(line.cost))
        yield (name, line.size, f"{line.count:,}", *prices)


def _money(cents: int | None) -> str:
    return "" if cents is None else format_cents(cents)


def _sums(bill: Bill) -> list[tuple[str, str]]:
    if bill.total is None:
        return []
    rows = []
    trips = [trip for trip in bill.trips if trip.each]
    if bill.tax_percent or trips:
        rows.append(("Subtotal", _money(bill.subtotal)))
    if bill.tax_percent:
        rows.append((f"Tax {bill.tax_percent} %", _money(bill.tax)))
    for trip in trips:
        rows.append((f"Trips to {trip.yard}, {trip.number:,}", format_cents(trip.number * trip.each)))
    return [*rows, ("Total", format_cents(bill.total))]


def _proof(report: Report) -> list[str]:
    unpriced = {stock.material for stock in report.problem.stocks if stock.price is None}
    told: dict[str, list[str]] = {}
    for outcome in report.plan.outcomes:
        told.setdefault(standing(outcome, outcome.material not in unpriced), []).append(outcome.material)
    return [f"{', '.join(materials)}: {words}" for words, materials in told.items()]


def _cuts(report: Report) -> Iterator[_Cut]:
    unit = report.takeoff.unit
    kinds = {stock.key: stock.kind for stock in report.problem.stocks}
    upright = {surface.label for surface in report.problem.surfaces if surface.upright}
    measured = measured_last(report.plan.lay, upright)
    slants = {part.label: part.slant for part in report.problem.parts if part.slant}
    layered = {run.label: run.layer for run in report.problem.runs if run.layer}
    layers = {p.label: layered[c.run] for c in report.plan.lay if c.run in layered for p in c.pieces}
    kept: dict[str, tuple[Leftover, ...]] = {}
    for rest in offcuts(report):
        kept[rest.cut] = (*kept.get(rest.cut, ()), rest)
    seen: Counter[str] = Counter()
    trimmed: dict[str, list[_Copy]] = {}
    for batch in gather(report.plan.cut):
        first = batch.first
        rests = kept.get(first.id, ())
        steps = (*set_ups(batch, kinds.get(first.stock, "board"), unit, rests), *shaping_set_ups(batch, unit))
        numbered = [(number, cut) for number, step in enumerate(steps, 1) for cut in step.cuts]
        tight = first.tight and first.kerf > 0
        notes = [word for word, true in (("tight", tight), ("from the rack", first.from_rack)) if true]
        if first.steps and first.length < _SHORT and all(p.label in layers for p in first.pieces):
            pieces = tuple(p for copy in _copies(batch, measured, unit, seen, "{}") for p in copy.pieces)
            how = " ".join(step.words for step in steps)
            trimmed.setdefault(first.stock, []).append(_Copy(batch.numbers, pieces, how))
            continue
        strips = () if first.steps else _layered(batch, layers)
        yield _Cut(
            batch.numbers,
            first.stock,
            ", ".join([*([f"{batch.count} alike"] if batch.count > 1 else []), *notes]),
            cut_svg(batch, numbered, rests, unit),
            _shape(batch.first),
            tuple(step.words for step in steps) or ("Whole: no cut.",),
            (*_slanting(batch, slants, unit), *strips),
            () if strips else tuple(_copies(batch, measured, unit, seen)),
        )
    for stock, copies in trimmed.items():
        told = (
            "A list without drawings: so many short strips are cut on the roof as each course comes to them."
        )
        yield _Cut("Strips cut to length", stock, "", "", "", (), (told,), tuple(copies))


def _shape(cut: Cut) -> str:
    """Tell how large its drawing is to be."""
    if cut.length < _SHORT:
        return "small"
    return "thin" if slender(cut) else ""


def _layered(batch: Batch, layers: Mapping[str, str]) -> tuple[str, ...]:
    """Count whole strips by the layer they go to: one is as good as any other, so none is ticked off."""
    own = [(labels(cut)[0], cut.repeat) for cut in batch.cuts]
    if len(batch.names) > 1 or not all(label in layers for label, _ in own):
        return ()
    whole: Counter[str] = Counter()
    for label, repeat in own:
        whole[layers[label]] += repeat
    return tuple(f"{number} for the {layer}." for layer, number in whole.items())


def _slanting(batch: Batch, slants: Mapping[str, int], unit: TapeUnit) -> Iterator[str]:
    for label in dict.fromkeys(label for cut in batch.cuts for label in labels(cut)):
        if label in slants:
            back = size_text(unit, slants[label])
            yield f"{label}: long point to long point; both ends slant, the short point {back} back."


def _copies(
    batch: Batch,
    measured: frozenset[str],
    unit: TapeUnit,
    seen: Counter[str],
    where: str = "{} in the drawing",
) -> Iterator[_Copy]:
    """List every piece of stock of a batch with the pieces to tick off, each once."""
    for cut in batch.cuts:
        for copy in range(cut.repeat):
            name = f"{cut.id}, {copy + 1} of {cut.repeat}" if cut.repeat > 1 else cut.id
            pieces = []
            ordered = sorted(cut.pieces, key=lambda piece: (piece.y, piece.x))
            for name_drawn, piece in zip(batch.names, ordered, strict=True):
                seen[piece.label] += 1
                drawn = where.format(name_drawn) if name_drawn not in (piece.label, "the piece") else ""
                first = "measure its place first" if piece.label in measured else ""
                pieces.append(
                    _Piece(
                        f"{piece.label} {seen[piece.label]}",
                        piece.label,
                        _size(piece, unit),
                        "; ".join(filter(None, (drawn, first))),
                    )
                )
            yield _Copy(name, tuple(pieces))


def _size(piece: CutPiece, unit: TapeUnit) -> str:
    lengths = (piece.length, piece.width) if piece.width else (piece.length,)
    return size_text(unit, *lengths)


def _lays(report: Report) -> Iterator[_Lay]:
    unit = report.takeoff.unit
    views = {view.surface: view for view in (*report.takeoff.planes, *report.takeoff.views)}
    sizes = {piece.label: _size(piece, unit) for cut in report.plan.cut for piece in cut.pieces}
    for surface in report.problem.surfaces:
        courses = sorted(
            (c for c in report.plan.lay if c.course and c.plane == surface.label), key=lambda c: c.course
        )
        if courses:
            view = views[surface.label]
            yield _Lay(
                surface.label[:1].upper() + surface.label[1:],
                view.seen,
                _extent(surface, view, unit),
                (lay_svg(surface, courses, sizes, unit),),
                tuple(_course_rows(surface, courses, unit)),
                ("Panel" if surface.upright else "Course", "Edge at", "Width", "Seams at"),
            )


def _extent(surface: Surface, view: View, unit: TapeUnit) -> str:
    length, height = size_text(unit, surface.length), size_text(unit, surface.height)
    if surface.upright:
        return f"{height} from {view.edge} to {view.top}, {length} high; lines: studs panels may meet on."
    return f"{length} along {view.edge}, {height} up to {view.top}; lines: {view.supports}."


def _course_rows(
    surface: Surface, courses: Sequence[Course], unit: TapeUnit
) -> Iterator[tuple[str, str, str, str]]:
    for course in courses if surface.upright else reversed(courses):
        seams = ", ".join(size_text(unit, seam) for seam in course.seams) or "none"
        blocked = ", blocked" if course.blocked else ""
        yield (
            str(course.course),
            size_text(unit, course.bottom),
            f"{size_text(unit, course.width)}{blocked}",
            seams,
        )


def _runs(report: Report) -> Iterator[_Lay]:
    """Give one card for the runs along the edges, and one for each layer of courses."""
    unit = report.takeoff.unit
    layers = {run.label: run.layer for run in report.problem.runs}
    groups: dict[str, list[Course]] = {}
    for course in report.plan.lay:
        if not course.course:
            groups.setdefault(layers.get(course.run, "") or _ALONG, []).append(course)
    for name, courses in groups.items():
        longest = max(course.begins + course.length for course in courses)
        rows = [
            (
                course.run,
                size_text(unit, course.length),
                ", ".join(size_text(unit, seam) for seam in course.seams) or "none",
            )
            for course in courses
        ]
        drawn = courses if name == _ALONG else []
        yield _Lay(
            name[:1].upper() + name[1:],
            "left to right, seen from outside",
            "",
            tuple(run_svg(course, longest, unit) for course in drawn),
            tuple(rows),
            ("Run", "Length", "Seams at"),
            runs=True,
        )


def _keep(report: Report) -> Iterator[tuple[str, int, str, str]]:
    """Give size, count, stock and cuts of what is kept, the largest first."""
    unit = report.takeoff.unit
    sizes: dict[tuple[str, str], list[Leftover]] = {}
    for rest in sorted(offcuts(report), key=lambda rest: (-rest.length * max(rest.width, 1), rest.cut)):
        size = size_text(unit, rest.length, rest.width) if rest.width else size_text(unit, rest.length)
        sizes.setdefault((size, rest.stock), []).append(rest)
    for (size, stock), rests in sizes.items():
        yield size, sum(r.repeat for r in rests), stock, ", ".join(dict.fromkeys(r.cut for r in rests))
