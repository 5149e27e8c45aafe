"""`pullwatch map check`: every mistake of a channel map, or its channels."""

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console
from rich.table import Table

from capture.commands.as_json import AsJson, print_json
from decode.channel_map import load_map
from decode.samples import Channel


def check(
    file: Annotated[Path, typer.Argument(help="a channel map")], as_json: AsJson = False
) -> None:
    """Tell every mistake of a channel map, or list its channels."""
    channel_map = load_map(file)
    if as_json:
        print_json(Channel, list(channel_map.channels.values()))
        return
    table = Table("channel", "quantity", "unit", "source", show_edge=False)
    for channel in channel_map.channels.values():
        quantity = channel.quantity.value if channel.quantity else "(recorded, not judged)"
        if channel.cylinder is not None:
            quantity += f", cylinder {channel.cylinder}"
        table.add_row(channel.name, quantity, channel.unit, channel.source)
    Console(markup=False).print(table)
    Console(markup=False).print(f"{file}: {len(channel_map.channels)} channels, no mistake found.")
