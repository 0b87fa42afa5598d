"""
Model 1, the tree over course widths: which stacks every surface may still have, and what that costs at least.

A relaxation lets a surface have a bit of every stack, and so loses much of its bound. Split until every
surface has one stack, it loses little: what is spent on blocking is then known, and the rest is whole sheets.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from optimizer.bounds import up_to_step
from optimizer.engine import LinearModel
from optimizer.models.decking import Decking
from optimizer.models.stacks import Stack
from optimizer.patterns import Size
from optimizer.witness import SCALE

__all__ = ["Allowed", "Branch", "Priced", "split"]

Allowed = Mapping[str, tuple[Stack, ...]]
"""By surface label: the stacks it may have."""


@dataclass(slots=True)
class Branch:
    """
    The lay-outs with some stacks only.

    Parameters
    ----------
    bound
        None of them costs less.
    checked
        The best bound that two witnesses vouch for.
    empty
        True if a solver alone found no lay-out here.
    claim
        The model by which a solver alone showed `bound`, or that there is no lay-out.
    hint
        What it may cost by prices of its pieces, before anything is rounded up: `SCALE` times.
    relaxed
        Whether it has been bounded by prices of its own.
    tries
        How often plan and bound have been sought here.
    settled
        The questions that need not be asked again.
    """

    allowed: Allowed
    bound: int
    checked: int
    empty: bool = False
    claim: LinearModel | None = None
    hint: int = 0
    relaxed: bool = False
    tries: int = 0
    settled: set[tuple[str, int]] = field(default_factory=set)

    @property
    def single(self) -> bool:
        """True if every surface has one stack."""
        return all(len(stacks) == 1 for stacks in self.allowed.values())

    @property
    def ready(self) -> bool:
        """True if there is nothing to split, and it has been bounded."""
        return self.single and self.relaxed

    def lift(self, bound: int, model: LinearModel | None = None) -> None:
        """Keep a bound if it is higher: one that was checked, or one that `model` shows to a solver alone."""
        if model is None:
            self.checked = max(self.checked, bound)
        if bound > self.bound:
            self.bound, self.claim = bound, model


@dataclass(frozen=True, slots=True)
class Priced:
    """
    What prices of the pieces say of every choice of stacks, in exact integers.

    Parameters
    ----------
    constant
        `SCALE` times the bound before any stack is chosen.
    rests
        By surface label and stack: `SCALE` times what choosing it adds at least.
    blocking
        By surface label: the cost of blocking one long edge of a course.
    step
        Divides every cost of sheets.
    prices
        By size: what a piece is worth, in whole numbers.
    rates
        What a sheet of every stock costs in the same numbers.
    """

    constant: int
    rests: Mapping[tuple[str, Stack], int]
    blocking: Mapping[str, int]
    step: int
    prices: Mapping[Size, int]
    rates: tuple[int, ...]

    def hint(self, allowed: Allowed) -> int:
        """Give `SCALE` times the bound on the cost of all lay-outs with these stacks, nothing rounded up."""
        return self.constant + sum(
            min(self.rests[label, stack] for stack in stacks) for label, stacks in allowed.items()
        )

    def least(self, allowed: Allowed) -> int:
        """
        Bound the cost of all lay-outs with these stacks.

        With the amount spent on blocking fixed, the rest of the cost is whole sheets: it is rounded up for
        every amount there can be, and the least of these bounds holds.
        """
        amounts = {0: self.constant}
        for label, stacks in allowed.items():
            longer: dict[int, int] = {}
            for amount, least in amounts.items():
                for stack in stacks:
                    spent = amount + stack.blocked * self.blocking[label]
                    total = least + self.rests[label, stack]
                    longer[spent] = min(total, longer.get(spent, total))
            amounts = longer
        return min(
            amount + up_to_step(Fraction(least, SCALE) - amount, self.step)
            for amount, least in amounts.items()
        )


def split(decking: Decking, allowed: Allowed) -> Iterator[Allowed]:
    """
    Split the choices by one surface: by what its stacks spend on blocking, or else stack by stack.

    Surfaces that are alike but for their names may be exchanged, so of two such the first in order never has
    the later stack.
    """
    several = [surface.label for surface in decking.surfaces if len(allowed[surface.label]) > 1]
    varied = [label for label in several if len({stack.blocked for stack in allowed[label]}) > 1]
    label = varied[0] if varied else max(several, key=lambda name: len(allowed[name]))
    groups: dict[object, list[Stack]] = {}
    for stack in allowed[label]:
        groups.setdefault(stack.blocked if varied else stack, []).append(stack)
    for group in groups.values():
        chosen = _in_order(decking, {**allowed, label: tuple(group)}, label)
        if all(chosen.values()):
            yield chosen


def _in_order(decking: Decking, allowed: Allowed, label: str) -> Allowed:
    """Keep the stacks of the surfaces like `label` in the order of the surfaces."""

    def kind(name: str) -> object:
        return decking.lines[name], decking.stacks[name], decking.blocking[name]

    stacks = decking.stacks[label]
    places = [stacks.index(stack) for stack in allowed[label]]
    chosen = dict(allowed)
    before = True
    for surface in decking.surfaces:
        if surface.label == label:
            before = False
        elif kind(surface.label) == kind(label):
            chosen[surface.label] = tuple(
                stack
                for stack in allowed[surface.label]
                if (stacks.index(stack) <= max(places) if before else stacks.index(stack) >= min(places))
            )
    return chosen
