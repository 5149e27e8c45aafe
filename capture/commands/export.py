"""`pullwatch export`: the decoded channels of a recording, for other programs."""

from pathlib import Path
from typing import Annotated

import typer
from rich.console import Console

from capture.commands.as_json import AsJson, print_document
from capture.commands.map_for import map_for
from capture.commands.warnings import print_table_notes, warn_of_mismatches, warn_of_torn_recording
from capture.recording.any_recording import open_recording
from capture.recording.export import ExportError
from capture.recording.export import export as export_channels
from capture.recording.pieces import pieces
from decode.decoder import Decoder
from decode.samples import joined


def export(
    file: Annotated[Path, typer.Argument(help="a recording or a table")],
    output: Annotated[Path, typer.Argument(help="the new file: .csv, .parquet or .mf4")],
    map_file: Annotated[
        Path | None, typer.Option("--map", help="channel map; a recording carries its own")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Write every decoded channel of a recording as CSV, Parquet or MDF4."""
    recording = open_recording(file)
    channel_map = map_for(recording, file, map_file)
    if output.exists() and output.samefile(file):
        raise ExportError(f"{output} is what is exported; name another file")
    print_table_notes(recording)
    warn_of_mismatches(channel_map, recording.session)
    decoder = Decoder(channel_map, recording.session)
    with Console(stderr=True).status(f"reading {file.name}"):
        samples = joined([decoder.decode_piece(piece) for piece in pieces(recording)])
        export_channels(output, samples, channel_map.channels)
    warn_of_torn_recording(recording)
    if as_json:
        print_document({"file": output.resolve(), "channels": sorted(samples)})
        return
    Console().print(f"{len(samples)} channels: {output.resolve()}", markup=False)
