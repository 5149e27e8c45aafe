"""`pullwatch limits`: every limit, its default and where the number comes from."""

from rich.console import Console
from rich.table import Table

from analysis.judging.limits_file import ALL_LIMITS
from analysis.model.limits import Limit
from capture.commands.as_json import AsJson, print_json


def limits(as_json: AsJson = False) -> None:
    """List every limit a limits file can change, with its default and its origin."""
    if as_json:
        print_json(Limit, ALL_LIMITS)
        return
    table = Table("limit", "default", "unit", "what lies beyond it", "origin")
    for limit in ALL_LIMITS:
        table.add_row(limit.name, f"{limit.value:g}", limit.unit, limit.meaning, limit.origin)
    Console(markup=False).print(table)
