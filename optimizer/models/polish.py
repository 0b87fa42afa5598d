"""
Model 6 for surfaces: among the cheapest plans, the one that is easiest to cut and lay.

In order, each without giving up the one before: money, room to spare in the tightest sheet, fewest pieces
(and seams), fewest different ways to set up the saw, the largest leftovers. Every step has a limit in the
solver's work, so that equal questions get equal plans; the clock cuts in only where it ends the whole search.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from optimizer.cut_trees import TIGHT
from optimizer.engine import Clock, Line, LinearModel, run_highs
from optimizer.lengths import INCH
from optimizer.models.colours import ColourModel, build_colours
from optimizer.models.decking import Decking
from optimizer.models.joint import JointModel, build_joint

__all__ = ["Polished", "polish"]

ALIKE = "best of its kind"
"""Proved among the plans of the same model and the same course widths, not among all of that cost."""

WORK = 8_000
"""The solver's rounds of cuts in one step, times the columns of the model."""

ROUNDS = 3
LEVELS = ("slack", "pieces", "set-ups", "leftover")
MOST_WAYS = 1_500
"""With more ways to cut than this, the leftovers are taken as they come."""

LARGE = 6_000
"""Models with more columns than this are left as the money left them."""


@dataclass(frozen=True, slots=True)
class Polished:
    """A model, its solution, and how far each tie-break went: `ALIKE`, `best found` or `not tried`."""

    built: ColourModel | JointModel
    values: tuple[int, ...]
    levels: tuple[tuple[str, str], ...]


def polish(
    decking: Decking, built: ColourModel | JointModel, values: tuple[int, ...], cost: int, clock: Clock
) -> Polished:
    """
    Break ties among the lay-outs and cuts that cost `cost`.

    Parameters
    ----------
    built, values
        The model the plan comes from and its solution; the tie-breaks keep to that model.
    """
    if len(built.linear.costs) > LARGE:
        return Polished(built, values, tuple((level, "not tried") for level in LEVELS))
    levels = []
    roomy = build_colours(decking, TIGHT) if isinstance(built, ColourModel) else build_joint(decking, TIGHT)
    tried = run_highs(_capped(roomy.linear, cost), clock, looks=_looks(built), target=cost)
    if tried.values is not None:
        built, values = roomy, tried.values
    levels.append(("slack", ALIKE if tried.infeasible or tried.values else "best found"))
    capped = _capped(built.linear, cost)
    fewest = _with_costs(capped, dict(built.laid))
    pieces = run_highs(fewest, clock, looks=_looks(built), start=values)
    if pieces.values is not None:
        values = pieces.values
    levels.append(("pieces", ALIKE if pieces.optimal else "best found"))
    fewest = _capped(fewest, fewest.cost_of(values))
    values = _fewer_set_ups(fewest, built, values, clock)
    levels.append(("set-ups", "best found"))
    few = len(built.cuts.ways) <= MOST_WAYS
    if few:
        values = _larger_leftovers(fewest, built, values, clock)
    levels.append(("leftover", "best found" if few else "not tried"))
    return Polished(built, values, tuple(levels))


def _looks(built: ColourModel | JointModel) -> int:
    return max(2, WORK // len(built.linear.costs))


def _capped(linear: LinearModel, cost: int) -> LinearModel:
    """Copy a model and let its cost be no more than `cost`."""
    copy = LinearModel(list(linear.costs), list(linear.uppers), list(linear.lines))
    copy.row([(c, price) for c, price in enumerate(linear.costs) if price], upper=cost)
    return copy


def _with_costs(linear: LinearModel, costs: dict[int, int]) -> LinearModel:
    """Copy a model with other costs: those given, by column, and 0 elsewhere."""
    return replace(linear, costs=[costs.get(c, 0) for c in range(len(linear.costs))])


def _fewer_set_ups(
    linear: LinearModel, built: ColourModel | JointModel, values: tuple[int, ...], clock: Clock
) -> tuple[int, ...]:
    """
    Look for fewer different ways to cut, money and number of pieces held.

    Every way is priced by how rarely it is used, and the ways are chosen anew, so that the rare ones go
    (reweighted l1 minimisation: Candes, Wakin and Boyd 2008, from memory). A heuristic: the fewest is not
    proved.
    """
    columns = tuple(built.cuts.ways.values())
    for _ in range(ROUNDS):
        weights = {c: 1000 // values[c] if values[c] else 5000 for c in columns}
        solved = run_highs(_with_costs(linear, weights), clock, looks=_looks(built), start=values)
        if solved.values is None or _used(solved.values, columns) >= _used(values, columns):
            break
        values = solved.values
    return values


def _larger_leftovers(
    linear: LinearModel, built: ColourModel | JointModel, values: tuple[int, ...], clock: Clock
) -> tuple[int, ...]:
    """
    Look for larger leftovers, from no more different ways to cut than are in use.

    What is made and not cut up is left over whole; its area counts squared, so that one large piece is worth
    more than two of half its size.
    """
    columns = tuple(built.cuts.ways.values())
    model = LinearModel([0] * len(linear.costs), list(linear.uppers), list(linear.lines))
    start = list(values)
    chosen = []
    for column in columns:
        chosen.append((model.column(0, 1), 1))
        model.row([(column, 1), (chosen[-1][0], -(linear.uppers[column] or 1))], upper=0)
        start.append(int(values[column] > 0))
    model.row(chosen, upper=_used(values, columns))
    for node, number in built.cuts.rows.items():
        line = model.lines[number]
        left = model.column(-((node.length * node.width // INCH**2) ** 2))
        model.lines[number] = Line(line.lower, line.upper, {**line.terms, left: -1})
        start.append(sum(amount * values[column] for column, amount in line.terms.items()))
    solved = run_highs(model, clock, looks=_looks(built), start=start)
    if solved.values is None or model.cost_of(solved.values) >= model.cost_of(start):
        return values
    return solved.values[: len(values)]


def _used(values: tuple[int, ...], columns: tuple[int, ...]) -> int:
    return sum(values[c] > 0 for c in columns)
