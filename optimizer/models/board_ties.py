"""Model 6 for boards: what is best among the plans that cost least."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from optimizer.engine import Clock, LinearModel, run_highs
from optimizer.models.board_master import Master

__all__ = ["ties"]

MOST_COLUMNS = 600
MOST_WAYS = 120
NODES = 300
"""Where the search of one level ends, whatever the clock says: the same plan on every machine."""


def ties(master: Master, values: Sequence[int], clock: Clock) -> Iterator[tuple[int, ...]]:
    """
    Give ever better solutions of no higher cost, level by level.

    Parameters
    ----------
    values
        A solution of least cost.

    Notes
    -----
    The levels: least stock where nothing is priced, fewest bars and pieces of runs, fewest ways to cut a
    bar, longest leftovers. Each keeps what those before it reached.
    """
    if len(master.columns) > MOST_COLUMNS:
        return
    model, best = _copy(master.model), tuple(values)
    ways = []
    for time, column in zip(master.times, master.columns, strict=True):
        upper = model.uppers[time]
        if any(column.counts) and len(master.columns) <= MOST_WAYS:
            ways.append(model.column(upper=1))
            model.row([(time, 1), (ways[-1], -(upper or 1))], upper=0)
            best += (int(best[time] > 0),)
    _hold(model, dict(enumerate(master.model.costs)), best)
    for costs in (_stock(master), _pieces(master), dict.fromkeys(ways, 1), _leftovers(master)):
        if not costs:
            continue
        model.costs = [costs.get(column, 0) for column in range(len(model.uppers))]
        solved = run_highs(model, clock.share(5.0), start=best, nodes=NODES)
        if solved.values is not None and model.cost_of(solved.values) < model.cost_of(best):
            best = solved.values
            yield best[: len(values)]
        _hold(model, costs, best)


def _copy(model: LinearModel) -> LinearModel:
    return LinearModel(list(model.costs), list(model.uppers), list(model.lines))


def _hold(model: LinearModel, costs: dict[int, int], values: Sequence[int]) -> None:
    """Let no later level spoil what this one reached."""
    model.row(costs.items(), upper=sum(cost * values[column] for column, cost in costs.items()))


def _stock(master: Master) -> dict[int, int]:
    """Length of stock used, where no price tells one stock from another."""
    bars = master.question.bars
    if all(bar.stock.price is not None for bar in bars):
        return {}
    return {time: bars[c.bar].room for time, c in zip(master.times, master.columns, strict=True)}


def _pieces(master: Master) -> dict[int, int]:
    """Bars, and pieces of runs."""
    costs = dict.fromkeys(master.times, 1)
    costs |= {column: 1 for arcs in master.arcs for column in arcs.values()}
    for group in master.groups:
        costs |= dict.fromkeys(group.shares.values(), 1)
        costs[group.chosen] = -1
    return costs


def _leftovers(master: Master) -> dict[int, int]:
    """Squared leftovers, counted as gains: one long leftover is worth more than two of half its length."""
    if master.question.free:
        return {}
    longest = max(bar.room for bar in master.question.bars)
    return {
        time: -((100 * column.rest // longest) ** 2)
        for time, column in zip(master.times, master.columns, strict=True)
    }
