"""Every key a job may hold, with its default and what it means: read off the tables, so it can't drift."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from takeoff.complaints import table_of
from takeoff.job import Job

__all__ = ["Key", "job_keys", "toml"]


@dataclass(frozen=True, slots=True)
class Key:
    """
    One key of a job file.

    Parameters
    ----------
    table
        The table it stands in, as `rule`; "" at the top level.
    repeated
        True if the table may occur several times, as `[[door]]`.
    name
        As typed.
    required
        True if its table can't do without it.
    default
        As it would be typed in TOML; "" if the key is left out by default.
    example
        A value as it would be typed; the default where there is one.
    description
        What it means, in a phrase.
    """

    table: str
    repeated: bool
    name: str
    required: bool
    default: str
    example: str
    description: str


def toml(value: object) -> str:
    """
    Write a value as TOML.

    Examples
    --------
    >>> toml("24 in"), toml(False), toml(("a", 2)), toml({"length": "2 in"})
    ('"24 in"', 'false', '["a", 2]', '{ length = "2 in" }')
    """
    match value:
        case bool():
            return "true" if value else "false"
        case str():
            escaped = value.replace("\\", "\\\\").replace('"', '\\"')
            return f'"{escaped}"'
        case tuple() | list():
            return f"[{', '.join(toml(item) for item in value)}]"
        case Mapping():
            return f"{{ {', '.join(f'{key} = {toml(item)}' for key, item in value.items())} }}"
        case _:
            return str(value)


def _is_inline(field: FieldInfo) -> bool:
    """Tell whether a table is written on one line, as a nail and its length are."""
    return isinstance(field.default, Mapping) and bool(field.default)


def _keys(model: type[BaseModel], table: str, repeated: bool) -> Iterator[Key]:
    inner: list[tuple[type[BaseModel], str, bool]] = []
    for name, field in model.model_fields.items():
        below = table_of(field.annotation)
        if below is not None and not _is_inline(field):
            inner.append((below, f"{table}.{name}" if table else name, field.default == ()))
            continue
        default = "" if field.is_required() or field.default is None else toml(field.default)
        example = default or (str(field.examples[0]) if field.examples else "")
        yield Key(table, repeated, name, field.is_required(), default, example, str(field.description or ""))
    for below, path, many in inner:
        yield from _keys(below, path, many)


def job_keys() -> tuple[Key, ...]:
    """Give every key: first the top level, then table by table, in the order of the job's own tables."""
    return tuple(_keys(Job, "", False))
