"""A takeoff of shaped surfaces, printed and as JSON."""

from __future__ import annotations

import io
import json
from dataclasses import replace

from hand_made import gable_wall, hip_side
from rich.console import Console
from sample_report import sample_report

from cli.takeoff_json import takeoff_json
from cli.takeoff_list import print_takeoff

TAKEOFF = replace(sample_report().takeoff, surfaces=(hip_side()[0], gable_wall()[0]))


def test_json_holds_the_shape():
    """Outline, holes and where courses may meet are exact numbers as text."""
    side, wall = json.loads(takeoff_json(TAKEOFF))["surfaces"]

    assert side["outline"] == [["0", "0"], ["216", "0"], ["120", "96"], ["96", "96"]]
    assert (side["upright"], side["holes"], side["edges"]) == (False, [], None)
    assert wall["upright"]
    assert wall["holes"] == [{"label": "door", "x": "0", "y": "54", "length": "80", "height": "36"}]
    assert wall["edges"] == ["48"]


def test_the_list_tells_what_is_no_plain_rectangle():
    """Corners and openings are counted; a wall's size is along its foot, then up."""
    out = io.StringIO()
    print_takeoff(TAKEOFF, Console(file=out, width=100, force_terminal=False))
    rows = [line.strip() for line in out.getvalue().splitlines()]
    side, gable = (next(row for row in rows if row.startswith(name)) for name in ("side", "gable"))

    assert side.endswith("4 corners")
    assert "96 x 144 in" in gable
    assert gable.endswith("5 corners, 1 open")
