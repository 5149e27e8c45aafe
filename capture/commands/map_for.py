"""Which channel map a recording is read by."""

from pathlib import Path

from capture.recording.reader import Recording
from decode.channel_map import ChannelMap, load_map, parse_map
from decode.errors import SourceError


def map_for(recording: Recording, file: Path, map_file: Path | None) -> ChannelMap:
    """The map the user names, or the one a recording carries. Raises PullwatchError."""
    if map_file is not None:
        return load_map(map_file)
    text = recording.session.map_text
    if not text:
        raise SourceError(f"{file} carries no channel map; name one with --map")
    return parse_map(text, f"{file} (the map it carries)")
