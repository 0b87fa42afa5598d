"""
The audit: re-checks a plan from the problem and the plan alone.

It shares nothing with the models: these four files import the words of the question and the answer, and each
other. What it finds is a bug of ours, never of the user's.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass

from optimizer.audit_buy import buy_complaints
from optimizer.audit_cuts import cut_complaints, stages
from optimizer.audit_lay import lay_complaints
from optimizer.complaint import Complaint, Rule
from optimizer.plan import Plan
from optimizer.words import Problem

__all__ = ["Complaint", "Rule", "audit_plan", "stages"]


def audit_plan(problem: Problem, plan: Plan) -> tuple[Complaint, ...]:
    """
    Check that a plan answers its problem, rule by rule.

    Returns
    -------
    tuple of Complaint
        Empty if the plan is sound. Soundness is not cheapness: of the cost only the sums are checked.

    Notes
    -----
    What is laid is checked against the problem, what is cut against what is laid, what is bought against what
    is cut, so that one fault gives one complaint.

    Examples
    --------
    >>> nothing = Plan(buy=(), cut=(), lay=(), keep=(), outcomes=(), total=0, bound=0, pieces=0)
    >>> audit_plan(Problem(stocks=()), nothing)
    ()
    """
    inexact = tuple(_inexact(plan, "plan"))
    if inexact:
        return inexact
    return (
        *lay_complaints(problem, plan),
        *cut_complaints(problem, plan),
        *buy_complaints(problem, plan),
    )


def _inexact(value: object, where: str) -> Iterator[Complaint]:
    """Find every number in a plan that is not an integer; only time and work may be fractions."""
    if isinstance(value, tuple):
        for number, item in enumerate(value):
            yield from _inexact(item, f"{where}[{number}]")
    elif is_dataclass(value):
        for field in fields(value):
            if field.name not in ("seconds", "work"):
                yield from _inexact(getattr(value, field.name), f"{where}.{field.name}")
    elif not isinstance(value, int | str | None):
        yield Complaint("exact", where, f"{value!r} is no integer")
