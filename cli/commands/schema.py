"""`seamwise schema`: the JSON Schema of plan.json."""

from __future__ import annotations

import json
import sys
from argparse import Namespace

from cli.schema import PlanFile

__all__ = ["run"]


def run(arguments: Namespace) -> None:
    """Print the schema."""
    sys.stdout.write(json.dumps(PlanFile.model_json_schema(mode="serialization"), indent=2) + "\n")
