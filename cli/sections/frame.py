"""The frame, piece by piece, as the helper at the saw must know it: how many, how long, how they end."""

from __future__ import annotations

from cli.paper import Column, Paper
from cli.report import Report

__all__ = ["print_frame"]


def print_frame(report: Report, paper: Paper) -> None:
    """
    Print the pieces of the frame with their end cuts; nothing where the job frames nothing.

    Parameters
    ----------
    report
        What is printed.
    paper
        Where it is printed.
    """
    members = report.takeoff.members
    if not members:
        return
    paper.heading("Frame", "lengths from long point to long point")
    paper.table(
        [
            Column("Piece", breaks=True),
            Column("Lumber"),
            Column("Count", right=True),
            Column("Length", right=True),
            Column("Ends", breaks=True),
        ],
        [
            (member.label, member.material, str(member.count), paper.size(member.length), member.ends)
            for member in members
        ],
    )
