"""`pullwatch map`: check a channel map, make one, look at what it gives."""

import typer

from capture.commands.lazy_group import Listed, lazy_group

app = typer.Typer(
    help="Check, make and preview channel maps.",
    no_args_is_help=True,
    cls=lazy_group(
        Listed(
            "check",
            "capture.commands.map_check:check",
            "Tell every mistake of a channel map, or list its channels.",
        ),
        Listed(
            "import",
            "capture.commands.map_import:import_description",
            "Turn a CAN network description into a channel map; tell what was left out and why.",
        ),
        Listed(
            "propose",
            "capture.commands.map_import:propose_for_table",
            "Write a channel map for a table, with what each column may mean.",
        ),
        Listed(
            "preview",
            "capture.commands.map_preview:preview",
            "Show each channel with raw bytes, value, unit, rate and what is suspicious about it.",
        ),
    ),
)
