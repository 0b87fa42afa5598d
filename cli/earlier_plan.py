"""A plan.json of an earlier run, read back."""

from __future__ import annotations

import json
from typing import get_args

from pydantic import ValidationError

from cli.files import read_text
from cli.schema import PlanFile
from optimizer.errors import InputError

__all__ = ["read_plan"]


def read_plan(path: str) -> PlanFile:
    """
    Read a plan.json that an earlier run wrote.

    Raises
    ------
    InputError
        If it can't be read, is no JSON, is of another format, or a key in it can't be used; names the key.
    """
    text = read_text(path)
    name = "standard input" if path == "-" else path
    try:
        data = json.loads(text)
    except json.JSONDecodeError as error:
        raise InputError(f"this is no JSON ({error.msg})", f"{name}, line {error.lineno}") from None
    wanted = get_args(PlanFile.model_fields["format"].annotation)[0]
    found = data.get("format") if isinstance(data, dict) else None
    if found != wanted:
        what = f"its format is {found!r}" if found else "it does not say its format"
        raise InputError(f"{what}; this program reads {wanted!r}: plan the job again", name)
    try:
        return PlanFile.model_validate(data)
    except ValidationError as error:
        first = error.errors()[0]
        key = ".".join(str(step) for step in first["loc"])
        said = f"{first['msg'][:1].lower()}{first['msg'][1:]}"
        told = f"{said}; was the plan changed by hand? Plan the job again"
        raise InputError(told, f"{name}: {key}") from None
