"""Model 3: the best ways to fill a bar, from all pieces or only from where they may still begin."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

__all__ = ["Filled", "fill"]


@dataclass(frozen=True, slots=True)
class Filled:
    """
    The best fillings of bars of every kind from the first layers, layer by layer.

    Parameters
    ----------
    best
        (layers, bars): the greatest gain; less than 0 where there is no filling.
    """

    best: Any
    _taken: Any
    _sizes: Any
    _layers: tuple[Any, Any] | None
    _ends: Any

    @property
    def tops(self) -> Any:
        """The greatest gain of each kind of bar, from all layers."""
        return self.best.max(axis=0, initial=0)

    def new(self, layer: int, bar: int) -> bool:
        """Tell whether a layer's filling uses that layer, so that it is no other layer's, too."""
        if self._layers is None:
            return bool(self.best[layer, bar] > 0)
        return bool(self._taken[layer, self._ends[bar]])

    def counts(self, layer: int, bar: int) -> Any:
        """Give how many of each piece a layer's filling has."""
        from optimizer.models.board_kernels import trace, unbundle

        if self._layers is None:
            return trace(self._taken, self._sizes, layer, self._ends[layer, bar])
        return unbundle(self._taken, self._sizes, *self._layers, layer, self._ends[bar])

    def all(self, bar: int) -> Any:
        """Give how many of each piece the best filling from all layers has; nothing ruled out."""
        import numpy as np

        if not len(self.best):
            return np.zeros(len(self._sizes), dtype=np.int64)
        return self.counts(len(self.best) - 1, bar)


def fill(gains: Any, sizes: Any, most: Any, rooms: Any, open_: Any, space: list[Any]) -> Filled:
    """
    Fill bars of all kinds with the greatest gain.

    Parameters
    ----------
    gains, sizes, most
        Of the pieces; floats or integers, in the type of the gains.
    open_
        Which pieces may begin where (see `board_kernels`); an empty array leaves all open.
    space
        Holds the largest array from one call to the next: to allocate it takes longer than to fill it. So the
        fillings of one call are gone with the next.
    """
    import numpy as np

    from optimizer.models.board_kernels import best_fills, best_paths, bundles

    if open_.shape[0]:
        taken, best, ends = best_paths(gains, sizes, most, rooms, open_)
        return Filled(best, taken, sizes, None, ends)
    width = int(rooms.max()) + 1
    places, numbers = bundles(sizes, most, width - 1)
    if not space or space[0].shape[0] < len(places) or space[0].shape[1] != width:
        space[:] = [np.empty((len(places), width), dtype=np.bool_)]
    best = best_fills(gains, sizes, places, numbers, rooms, space[0])
    return Filled(best, space[0], sizes, (places, numbers), rooms)
