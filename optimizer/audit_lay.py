"""The audit of what is laid: every surface and run covered once, every seam legal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from optimizer.audit_shape import shape_complaints
from optimizer.complaint import Complaint
from optimizer.plan import Course, LaidPiece, Plan
from optimizer.words import Problem, Run, SeamRule, Surface

__all__ = ["lay_complaints"]


def lay_complaints(problem: Problem, plan: Plan) -> Iterator[Complaint]:
    """
    Check courses and runs against the surfaces, runs and seam rules they answer.

    Notes
    -----
    Knows nothing of cuts: that every laid piece is also cut, in its size, is the next check's business.
    """
    surfaces = {surface.label for surface in problem.surfaces}
    runs = {run.label for run in problem.runs}
    for course in plan.lay:
        if course.plane not in surfaces if course.plane else course.run not in runs:
            yield Complaint("unknown run", course.run, "nothing of that name is to be covered")
    for surface in problem.surfaces:
        yield from _surface(surface, [c for c in plan.lay if c.plane == surface.label])
    laid: dict[str, list[Course]] = {}
    for course in plan.lay:
        if not course.plane:
            laid.setdefault(course.run, []).append(course)
    for run in problem.runs:
        yield from _run(run, laid.get(run.label, ()))
        if run.beside in runs:
            yield from _apart(run, laid.get(run.label, ()), laid.get(run.beside, ()))


def _surface(surface: Surface, courses: Sequence[Course]) -> Iterator[Complaint]:
    if not courses:
        yield Complaint("uncovered", surface.label, "has no course")
        return
    courses = sorted(courses, key=lambda c: c.bottom)
    if [c.course for c in courses] != list(range(surface.laid + 1, surface.laid + len(courses) + 1)):
        numbers = ", ".join(str(c.course) for c in courses)
        yield Complaint("course number", surface.label, f"from the bottom up, courses read {numbers}")
    if not surface.plain:
        yield from shape_complaints(surface, courses)
        return
    yield from _heights(surface, courses)
    for course in courses:
        yield from _course(surface, course)
    for lower, upper in pairwise(courses):
        yield from _stagger(surface.rule, lower, upper)


def _heights(surface: Surface, courses: Sequence[Course]) -> Iterator[Complaint]:
    """Check that the courses fill the height, one gap between neighbours, from the outer edge to the top."""
    due = 0
    for course in courses:
        if course.bottom != due:
            yield Complaint("bottom", course.run, f"lies at {course.bottom}, not at {due}")
        due = course.bottom + course.width + surface.rule.gap
    top = due - surface.rule.gap
    if not surface.height - surface.rule.top_slack <= top <= surface.height:
        yield Complaint(
            "top", surface.label, f"ends at {top} of {surface.height}, slack {surface.rule.top_slack}"
        )


def _course(surface: Surface, course: Course) -> Iterator[Complaint]:
    rule = surface.rule
    if course.width <= 0 or course.width + rule.gap < rule.narrowest:
        yield Complaint("narrowest", course.run, f"width {course.width}, narrowest {rule.narrowest}")
    must = course.width + rule.gap < rule.blocked_below
    if course.blocked != must:
        yield Complaint("blocked", course.run, "needs blocking" if must else "needs no blocking")
    if course.length != surface.length:
        yield Complaint("course length", course.run, f"says {course.length}, covers {surface.length}")
    if course.supports != tuple(support.at for support in surface.supports):
        yield Complaint("supports listed", course.run, "shows other supports than the surface has")
    if not course.pieces:
        yield Complaint("uncovered", course.run, "has no piece")
        return
    yield from _ends(surface.length, rule.end_slack, course)
    if course.begins or course.open or any(piece.corners or piece.openings for piece in course.pieces):
        yield Complaint("end", course.run, "is shaped, on a surface that is a plain rectangle")
    yield from _seams(surface, course)
    yield from _pieces(surface, course)


def _ends(length: int, slack: int, course: Course) -> Iterator[Complaint]:
    start, end = course.pieces[0].start, course.pieces[-1].end
    if not 0 <= start <= slack:
        yield Complaint("end", course.run, f"begins at {start}, slack {slack}")
    if not length - slack <= end <= length:
        yield Complaint("end", course.run, f"ends at {end} of {length}, slack {slack}")


def _centre(left: LaidPiece, gap: int) -> int:
    """Give the line that the seam right of a piece is set off from."""
    return left.end + gap // 2


def _centres(course: Course, gap: int) -> tuple[int, ...]:
    return tuple(_centre(left, gap) for left in course.pieces[:-1])


def _seams(surface: Surface, course: Course) -> Iterator[Complaint]:
    gap = surface.rule.gap
    lines = {support.at for support in surface.supports if support.seam}
    for left, right in pairwise(course.pieces):
        if right.start - left.end != gap:
            yield Complaint("gap", right.label, f"{right.start - left.end} from {left.label}, not {gap}")
        if _centre(left, gap) not in lines:
            yield Complaint("seam", right.label, f"no support takes a seam at {_centre(left, gap)}")
    if course.seams != _centres(course, gap):
        yield Complaint("seams listed", course.run, "lists other seams than its pieces make")


def _pieces(surface: Surface, course: Course) -> Iterator[Complaint]:
    """Check every piece's own length and the supports under it; one at a seam bears both neighbours."""
    rule = surface.rule
    edges = (0, *_centres(course, rule.gap), surface.length)
    bearing = [support.at for support in surface.supports if support.bears]
    for piece, (left, right) in zip(course.pieces, pairwise(edges), strict=True):
        length = piece.end - piece.start
        if length <= 0:
            yield Complaint("piece length", piece.label, f"from {piece.start} to {piece.end}")
            continue
        if length + rule.gap < rule.shortest:
            yield Complaint("shortest", piece.label, f"{length} long, shortest {rule.shortest}")
        found = sum(left <= at <= right for at in bearing)
        if found < rule.min_supports:
            yield Complaint("min supports", piece.label, f"over {found}, not {rule.min_supports}")


def _stagger(rule: SeamRule, lower: Course, upper: Course) -> Iterator[Complaint]:
    for below in _centres(lower, rule.gap):
        for above in _centres(upper, rule.gap):
            if abs(above - below) < rule.stagger:
                yield Complaint(
                    "stagger", upper.run, f"seam at {above}, one at {below} below, stagger {rule.stagger}"
                )


def _run(run: Run, courses: Sequence[Course]) -> Iterator[Complaint]:
    if not courses or not courses[0].pieces:
        yield Complaint("uncovered", run.label, "has no piece")
        return
    if len(courses) > 1:
        yield Complaint("laid twice", run.label, f"{len(courses)} times")
    course = courses[0]
    if course.length != run.length:
        yield Complaint("course length", run.label, f"says {course.length}, covers {run.length}")
    if course.course:
        yield Complaint("course number", run.label, f"a run has no course {course.course}")
    if (course.begins, course.bottom) != (run.begins, run.bottom):
        where = f"lies at {course.begins}, {course.bottom}, not at {run.begins}, {run.bottom}"
        yield Complaint("bottom", run.label, where)
    if course.supports:
        yield Complaint("supports listed", run.label, "a run has no supports")
    if course.open or any(piece.corners or piece.openings for piece in course.pieces):
        yield Complaint("end", run.label, "a run has no shape")
    yield from _ends(run.length, 0, course)
    yield from _laps(run, course)
    for piece in course.pieces:
        length = piece.end - piece.start
        if length <= 0:
            yield Complaint("piece length", piece.label, f"from {piece.start} to {piece.end}")
        elif length < run.shortest:
            yield Complaint("shortest", piece.label, f"{length} long, shortest {run.shortest}")


def _laps(run: Run, course: Course) -> Iterator[Complaint]:
    """Check every lap, and that its middle lies where a seam may; an odd lap's middle may lean either way."""
    doubled = []
    for left, right in pairwise(course.pieces):
        if left.end - right.start != run.lap:
            yield Complaint("lap", right.label, f"{left.end - right.start} over {left.label}, not {run.lap}")
            doubled.append(2 * left.end - run.lap)
        else:
            doubled.append(left.end + right.start)
        if run.seams is not None and not any(abs(2 * at - doubled[-1]) <= 1 for at in run.seams):
            yield Complaint("seam", right.label, f"no seam may fall at {doubled[-1]}/2")
    listed = len(course.seams) == len(doubled) and all(
        abs(2 * at - double) <= 1 for at, double in zip(course.seams, doubled, strict=True)
    )
    if not listed:
        yield Complaint("seams listed", run.label, "lists other seams than its pieces make")


def _apart(run: Run, own: Sequence[Course], others: Sequence[Course]) -> Iterator[Complaint]:
    """Check that seams keep away from those of the run beside, in doubled units, as laps may be odd."""
    if not others:
        yield Complaint("stagger", run.label, f"{run.beside}, which it lies beside, is not laid")
    for course in own:
        for other in others:
            for here in _doubled(course):
                for there in _doubled(other):
                    if abs(here - there) < 2 * run.stagger:
                        yield Complaint(
                            "stagger",
                            run.label,
                            f"seam at {here}/2, one at {there}/2 in {run.beside}, stagger {run.stagger}",
                        )


def _doubled(course: Course) -> list[int]:
    """Give twice the middle of every lap or joint of a run, along its layer."""
    return [left.end + right.start + 2 * course.begins for left, right in pairwise(course.pieces)]
