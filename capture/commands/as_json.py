"""What `--json` prints: one document on standard output, for another program."""

import dataclasses
import json
from collections.abc import Sequence
from typing import Annotated, Any

import typer

AsJson = Annotated[bool, typer.Option("--json", help="print one JSON document instead")]


def print_json(rows: Sequence[Any]) -> None:
    """A list of frozen values as one JSON list. Raises ValueError for a number JSON cannot say."""
    plain = [dataclasses.asdict(row) for row in rows]
    typer.echo(json.dumps(plain, indent=1, default=str, allow_nan=False))
