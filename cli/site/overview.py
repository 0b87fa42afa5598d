"""index.html: the materials lists of many jobs, each a line that leads to its page."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.resources import files
from pathlib import Path
from urllib.parse import quote

from cli.batch import Row
from cli.sections.batch import extent, how_far
from optimizer.money import format_cents

__all__ = ["overview_html"]


def overview_html(rows: Sequence[Row]) -> str:
    """Write a page with a line for each job that has a plan; its own page lies in a folder beside."""
    from jinja2 import Environment

    text = files("cli").joinpath("site/index.html.j2").read_text(encoding="utf-8")
    lines = [
        (
            f"{quote(Path(row.job).stem)}/site.html",
            row.title,
            extent(row),
            "" if row.total is None else f"{format_cents(row.total)} {row.currency}".strip(),
            f"{row.pieces:,}",
            how_far(row),
        )
        for row in rows
        if row.error is None
    ]
    return (
        Environment(autoescape=True, trim_blocks=True, lstrip_blocks=True)
        .from_string(text)
        .render(lines=lines)
    )
