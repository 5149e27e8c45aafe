"""What is said beside an answer, so that it goes to the error stream: how a file was read."""

from rich.console import Console

from capture.recording.reader import Recording
from capture.sources.tables.table import TableRecording
from decode.channel_map import ChannelMap
from decode.records import SessionInfo


def print_table_notes(recording: Recording) -> None:
    """How a table was read and what was assumed, for the user to check."""
    if isinstance(recording, TableRecording):
        for note in recording.notes:
            Console(stderr=True, soft_wrap=True).print(note, style="dim", markup=False)


def warn_of_mismatches(channel_map: ChannelMap, session: SessionInfo) -> None:
    """What the map expects of a session's sources and does not find."""
    for mismatch in channel_map.mismatches(session.sources):
        _warn(mismatch)


def warn_of_torn_recording(recording: Recording) -> None:
    """What is missing at the end of a recording that has been read."""
    if recording.torn:
        _warn(f"The recording {recording.torn}.")


def _warn(words: str) -> None:
    Console(stderr=True, soft_wrap=True).print(words, style="yellow", markup=False)
