"""What `--json` prints on standard output, for another program: one document, or one a line."""

import json
from collections.abc import Mapping, Sequence
from typing import Annotated, Any, Final, TypeVar

import typer
from pydantic import TypeAdapter

AsJson = Annotated[bool, typer.Option("--json", help="print one JSON document instead")]
AsJsonLines = Annotated[
    bool, typer.Option("--json", help="print one JSON document a line, at every update")
]
PLAIN: Final[dict[str, Any]] = {"default": str, "allow_nan": False}
Row = TypeVar("Row")


def print_json(kind: type[Row], rows: Sequence[Row]) -> None:
    """Values of one kind as one JSON list, each in the form that the page's API gives it."""
    form = TypeAdapter(kind)
    # Printed by the standard library, which leaves nothing but ASCII: a pipe may know no more.
    typer.echo(json.dumps([json.loads(form.dump_json(row)) for row in rows], indent=1))


def print_document(document: Mapping[str, Any]) -> None:
    """One JSON object of plain data. Raises ValueError for a number JSON cannot say."""
    typer.echo(json.dumps(document, indent=1, **PLAIN))


def print_line(document: Mapping[str, Any]) -> None:
    """One JSON object on a line of its own, at once. Raises ValueError as print_document."""
    typer.echo(json.dumps(document, **PLAIN))
