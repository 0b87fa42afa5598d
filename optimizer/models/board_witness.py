"""Model 3: who vouches for a bound that HiGHS found over listed patterns."""

from __future__ import annotations

from collections.abc import Sequence

from optimizer.bounds import dual_bound, up_to_step
from optimizer.engine import Clock, LinearModel, solve_relaxed
from optimizer.models.board_master import Question
from optimizer.models.board_tree import settled
from optimizer.witness import CHECKED, OWN_BRANCHING, second_witness, shows_at_least

__all__ = ["vouchers"]

MOST_LEAVES = 200
FEW_LEAVES = 30
KERNELS_LOAD = 0.4
"""
Seconds that the compiled kernels take to load: so many leaves are looked at before they are, and a clock with
less left does without them, loaded already or not.
"""


def vouchers(question: Question, model: LinearModel, bound: int, clock: Clock) -> Sequence[str]:
    """
    Name others who vouch for a bound: the LP's duals, a tree of such, or else CP-SAT.

    Parameters
    ----------
    model
        The question over all its patterns.
    bound
        What HiGHS says it costs at least.
    """
    relaxed = solve_relaxed(model, clock)
    safe = None if relaxed is None else dual_bound(model, relaxed.duals)
    if safe is not None and up_to_step(safe, model.step()) >= bound:
        return [CHECKED]
    if shows_at_least(model, bound, clock.share(clock.left() * 0.1), FEW_LEAVES):
        return [OWN_BRANCHING]
    share = clock.share(clock.left() * 0.3)
    found = settled(question, bound, share) if share.left() > KERNELS_LOAD else None
    if found is not None and found.bound >= bound and len(found.witnesses) > 1:
        return [name for name in found.witnesses if name != "HiGHS"]
    name = second_witness(model, bound, lambda: clock.share(clock.left() * 0.3), MOST_LEAVES)
    return [] if name is None else [name]
