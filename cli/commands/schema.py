"""`seamwise schema`: the JSON Schema of plan.json."""

from __future__ import annotations

import json
from argparse import Namespace

from cli.files import print_out
from cli.schema import PlanFile

__all__ = ["run"]


def run(arguments: Namespace) -> None:
    """Print the schema."""
    print_out(json.dumps(PlanFile.model_json_schema(mode="serialization"), indent=2) + "\n")
