"""What `--json` prints on standard output, for another program: one document, or one a line."""

import dataclasses
import json
from collections.abc import Mapping, Sequence
from typing import Annotated, Any, Final

import typer

AsJson = Annotated[bool, typer.Option("--json", help="print one JSON document instead")]
AsJsonLines = Annotated[
    bool, typer.Option("--json", help="print one JSON document a line, at every update")
]
PLAIN: Final[dict[str, Any]] = {"default": str, "allow_nan": False}


def print_json(rows: Sequence[Any]) -> None:
    """A list of frozen values as one JSON list. Raises ValueError for a number JSON cannot say."""
    plain = [dataclasses.asdict(row) for row in rows]
    typer.echo(json.dumps(plain, indent=1, **PLAIN))


def print_document(document: Mapping[str, Any]) -> None:
    """One JSON object of plain data. Raises ValueError as print_json."""
    typer.echo(json.dumps(document, indent=1, **PLAIN))


def print_line(document: Mapping[str, Any]) -> None:
    """One JSON object on a line of its own, at once. Raises ValueError as print_json."""
    typer.echo(json.dumps(document, **PLAIN))
