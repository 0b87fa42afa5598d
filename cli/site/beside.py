"""Writes the page of a plan with what was found beside it: options, or what other sizes cost."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from cli.files import write_files
from cli.options import Option, Planned
from cli.report import Report
from cli.site.page import site_html
from cli.sizes import Curve

__all__ = ["write_beside"]


def write_beside(
    directory: str | None, base: Planned, found: Sequence[Option] = (), curves: Sequence[Curve] = ()
) -> str:
    """Write site.html into a directory, if one is named; give the line that says so."""
    if directory is None:
        return ""
    report = Report(
        takeoff=base.takeoff,
        book=base.loaded.prices.book,
        problem=base.problem,
        plan=base.plan,
        bill=base.bill,
        priced=base.plan.total is not None,
        remark=base.loaded.prices.remark,
    )
    written = write_files(Path(directory), {"site.html": site_html(report, found, curves)})
    return f"\nWrote {', '.join(map(str, written))}\n"
