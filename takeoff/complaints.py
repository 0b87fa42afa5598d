"""What is wrong with a typed table, in one sentence: the key, the value found, and what would be right."""

from __future__ import annotations

import difflib
from collections.abc import Iterator, Mapping
from typing import Any, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from optimizer.errors import InputError

__all__ = ["input_error", "nearest", "table_of"]


def nearest(word: str, known: tuple[str, ...]) -> str | None:
    """
    Give the known word that a mistyped one most likely stands for; None if none is near.

    Examples
    --------
    >>> nearest("eave_overhand", ("eave_overhang", "rake_overhang"))
    'eave_overhang'
    """
    folded = {name.lower().replace("-", "_"): name for name in known}
    match = difflib.get_close_matches(word.lower().replace("-", "_"), list(folded), n=1, cutoff=0.6)
    return folded[match[0]] if match else None


def table_of(annotation: Any) -> type[BaseModel] | None:
    """Give the table that a field's annotation holds, alone, optional or in a list; None if it holds none."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    found = (table_of(inner) for inner in get_args(annotation))
    return next((table for table in found if table is not None), None)


def _table_at(model: type[BaseModel], place: tuple[int | str, ...]) -> type[BaseModel]:
    for step in place:
        if isinstance(step, str) and step in model.model_fields:
            model = table_of(model.model_fields[step].annotation) or model
    return model


def _tables(model: type[BaseModel], name: str = "") -> Iterator[tuple[str, type[BaseModel]]]:
    yield name, model
    for key, field in model.model_fields.items():
        inner = table_of(field.annotation)
        if inner is not None:
            yield from _tables(inner, f"{name}.{key}" if name else key)


def _dotted(place: tuple[int | str, ...], model: type[BaseModel]) -> str:
    """Write a place as `doors[2].width`, counting from 1; without the steps pydantic adds."""
    text = ""
    for step in place:
        if isinstance(step, int):
            text += f"[{step + 1}]"
        elif not text or step in _table_at(model, place).model_fields or "-" not in step:
            text += f".{step}" if text else step
    return text


def _unknown(key: str, place: tuple[int | str, ...], model: type[BaseModel]) -> str:
    here = _table_at(model, place)
    for name, table in _tables(model):
        if table is not here and key in table.model_fields:
            home = f"[{name}]" if name else "the top level, above the first [table]"
            return f"unknown key here; {key} belongs in {home}"
    known = tuple(here.model_fields)
    guess = nearest(key, known)
    return (
        f"unknown key; did you mean {guess}?"
        if guess
        else f"unknown key; the keys here are {', '.join(known)}"
    )


def _shown(value: object) -> str:
    """Write a value much as it stands in the file."""
    return str(value).lower() if isinstance(value, bool) else repr(value)


def _sentence(error: ErrorDetails, model: type[BaseModel]) -> str:
    place, value = error["loc"], error["input"]
    context: Mapping[str, Any] = error.get("ctx", {})
    match error["type"]:
        case "extra_forbidden":
            return _unknown(str(place[-1]), place[:-1], model)
        case "missing" if not isinstance(place[-1], int):
            return _missing(str(place[-1]), _table_at(model, place[:-1]))
        case "value_error":
            return str(context["error"])
        case "model_type" | "model_attributes_type" | "dict_type":
            return f"{_shown(value)} is not a table; {_heading(place)}"
        case "tuple_type" | "list_type":
            return _no_list(place, value, model)
        case kind:
            return f"{_shown(value)} {_fault(kind, place, context) or error['msg']}"


def _fault(kind: str, place: tuple[int | str, ...], context: Mapping[str, Any]) -> str:
    """Say what is wrong with a single value, and what would be right; empty where nobody foresaw it."""
    match kind:
        case "literal_error":
            return f"is not known here; write {context['expected']}"
        case "missing":
            return f"has too few entries; it needs {int(place[-1]) + 1}"
        case "too_short":
            return f"has too few entries; it needs {context['min_length']} or more"
        case "too_long":
            return f"has too many entries; {context['max_length']} at most"
        case "int_type" | "int_parsing" | "int_from_float":
            return "is not a whole number"
        case "greater_than_equal":
            return f"is too small; write {context['ge']} or more"
        case "less_than_equal":
            return f"is too large; write {context['le']} or less"
        case "decimal_type" | "decimal_parsing" | "finite_number":
            return "is not a number"
        case "bool_type" | "bool_parsing":
            return "is neither true nor false"
        case "string_type":
            return "is not text; write it in quotes"
        case "string_too_short":
            return "is empty; write a name, or leave the key out"
        case _:
            return ""


def _heading(place: tuple[int | str, ...]) -> str:
    """Say below which line the keys of a table belong."""
    name = ".".join(str(step) for step in place if not isinstance(step, int))
    line = f"[[{name}]]" if isinstance(place[-1], int) else f"[{name}]"
    return f"write its keys below a line {line}"


def _no_list(place: tuple[int | str, ...], value: object, model: type[BaseModel]) -> str:
    key = str(place[-1])
    field = _table_at(model, place[:-1]).model_fields.get(key)
    if field is None or table_of(field.annotation) is None:
        return f"{_shown(value)} is not a list; write it in brackets, as {key} = [...]"
    if isinstance(value, Mapping):
        return f"this is one table; write [[{key}]], in double brackets, above each of them"
    return f"{_shown(value)} is not a list; write one [[{key}]] table for each"


def _missing(key: str, table: type[BaseModel]) -> str:
    field = table.model_fields[key]
    example = f", as {key} = {field.examples[0]}" if field.examples else ""
    says = f": {field.description}" if field.description else ""
    return f"this key is needed{example}{says}"


def input_error(error: ValidationError, model: type[BaseModel], source: str) -> InputError:
    """
    Turn the first of pydantic's complaints into a sentence that a builder can act on.

    An unknown key is told first: it is the likely cause of a key that seems to be missing.
    """
    details = error.errors(include_url=False)
    first = min(details, key=lambda detail: (detail["type"] != "extra_forbidden",))
    where = _dotted(first["loc"], model)
    return InputError(_sentence(first, model), f"{source}: {where}" if where else source)
