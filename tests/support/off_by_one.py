"""Copies of a plan in which one number differs."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any

from optimizer.plan import Course

__all__ = ["numbers"]


def numbers(value: object, change: int) -> Iterator[Any]:
    """Give every copy of a value in which one integer differs by `change`."""
    if isinstance(value, tuple):
        for place, item in enumerate(value):
            for other in numbers(item, change):
                yield (*value[:place], other, *value[place + 1 :])
    elif is_dataclass(value) and not isinstance(value, type):
        for field in fields(value):
            # A run's width is its stock's, whatever that is; it is shown, never used.
            if isinstance(value, Course) and not value.plane and field.name == "width":
                continue
            for other in numbers(getattr(value, field.name), change):
                yield replace(value, **{field.name: other})
    elif isinstance(value, int) and not isinstance(value, bool):
        yield value + change
