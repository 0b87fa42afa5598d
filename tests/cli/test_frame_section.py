"""The frame as printed: one line for equal pieces, whatever the width of the page; floors seen from above."""

from __future__ import annotations

import io
import json

import pytest
from rich.console import Console
from small_jobs import job_of

from cli.paper import paper_for
from cli.sections.frame import print_frame
from cli.takeoff_json import takeoff_json
from optimizer.lengths import parse_length
from takeoff import take_off
from takeoff.needs import Member
from takeoff.sizes import standard_book


class _Report:
    """As much of a report as this section reads."""

    def __init__(self, members):
        self.takeoff = type("Takeoff", (), {"members": members})()


def printed(members, width=80):
    text = io.StringIO()
    console = Console(file=text, width=width, no_color=True)
    print_frame(_Report(members), paper_for(console, "in"))
    return text.getvalue()


RAFTER = Member("common rafter", "2x6", 26, parse_length("160-1/2 in"), "plumb 8 in 12, 33.7 deg; birdsmouth")


def test_nothing_framed_nothing_printed():
    """A job without a frame has no such section."""
    assert printed(()) == ""


@pytest.mark.parametrize("width", [80, 100, 120])
def test_equal_pieces_take_one_line_where_there_is_room(width):
    """Count, length and ends stand beside the piece, and no line is wider than the page."""
    text = printed((RAFTER,), width)

    assert "26" in text
    assert "160-1/2 in" in text
    assert "birdsmouth" in text
    assert max(map(len, text.splitlines())) <= width


def test_other_programs_read_the_frame_too():
    """A takeoff as JSON lists every piece of the frame with its count, length and end cuts."""
    takeoff = take_off(job_of(framing={"rafter": "2x6"}), standard_book())
    (rafter,) = json.loads(takeoff_json(takeoff))["frame"]

    assert (rafter["label"], rafter["count"]) == ("common rafter", 18)
    assert "birdsmouth" in rafter["ends"]
