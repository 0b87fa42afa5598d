"""
Model 6 for surfaces: among the cheapest plans, the one that is easiest to cut and lay.

In order, each without giving up the one before: money, room to spare in the tightest sheet, fewest pieces
(and seams), fewest different ways to set up the saw. Every step has a limit in solver nodes, not in seconds,
so that equal questions get equal plans.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from optimizer.cut_trees import TIGHT
from optimizer.engine import Clock, LinearModel, run_highs
from optimizer.models.colours import ColourModel, build_colours
from optimizer.models.decking import Decking
from optimizer.models.joint import JointModel, build_joint

__all__ = ["Polished", "polish"]

NODES = 60
LARGE = 6_000
"""Models with more columns than this are left as the money left them."""


@dataclass(frozen=True, slots=True)
class Polished:
    """A model, its solution, and how far each tie-break went: `proved`, `best found` or `not tried`."""

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
        return Polished(
            built, values, tuple((level, "not tried") for level in ("slack", "pieces", "set-ups"))
        )
    levels = []
    roomy = build_colours(decking, TIGHT) if isinstance(built, ColourModel) else build_joint(decking, TIGHT)
    tried = run_highs(_capped(roomy.linear, cost), clock, nodes=NODES, target=cost)
    if tried.values is not None:
        built, values = roomy, tried.values
    levels.append(("slack", "proved" if tried.infeasible or tried.values else "best found"))
    capped = _capped(built.linear, cost)
    fewest = _with_costs(capped, dict(built.laid))
    pieces = run_highs(fewest, clock, nodes=NODES, start=values)
    if pieces.values is not None and pieces.cost is not None:
        values = pieces.values
    levels.append(("pieces", "proved" if pieces.optimal else "best found"))
    setups, start = _set_ups(fewest, built, values)
    solved = run_highs(setups, clock, nodes=NODES, start=start)
    if solved.values is not None and setups.cost_of(solved.values) <= setups.cost_of(start):
        values = solved.values[: len(values)]
    levels.append(("set-ups", "proved" if solved.optimal else "best found"))
    return Polished(built, values, tuple(levels))


def _capped(linear: LinearModel, cost: int) -> LinearModel:
    """Copy a model and let its cost be no more than `cost`."""
    copy = LinearModel(list(linear.costs), list(linear.uppers), list(linear.lines))
    copy.row([(c, price) for c, price in enumerate(linear.costs) if price], upper=cost)
    return copy


def _with_costs(linear: LinearModel, costs: dict[int, int]) -> LinearModel:
    """Copy a model with other costs: those given, by column, and 0 elsewhere."""
    return replace(linear, costs=[costs.get(c, 0) for c in range(len(linear.costs))])


def _set_ups(
    fewest: LinearModel, built: ColourModel | JointModel, values: tuple[int, ...]
) -> tuple[LinearModel, tuple[int, ...]]:
    """Count the different ways to cut that are used at all, the number of pieces held."""
    linear = _capped(fewest, fewest.cost_of(values))
    linear = _with_costs(linear, {})
    start = list(values)
    for column in built.cuts.ways.values():
        most = linear.uppers[column]
        assert most is not None
        used = linear.column(1, 1)
        linear.row([(column, 1), (used, -most)], upper=0)
        start.append(1 if values[column] else 0)
    return linear, tuple(start)
