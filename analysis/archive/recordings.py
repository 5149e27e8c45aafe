"""The recordings of a store and the jobs that own pulls of them; a recording may have none."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Final

from analysis.archive.store import Store

FOLDER: Final = "recordings"  # in the store's


@dataclass(frozen=True, slots=True)
class KeptRecording:
    """One session as it was recorded. written: when something was last added to it. pulls: stored
    pulls of it by the number of their job; empty where no job owns any."""

    session_id: str
    file: str
    size_bytes: int
    written: datetime
    pulls: Mapping[int, int]


def kept_recordings(store: Store) -> list[KeptRecording]:
    """Every recording in the store's folder, the newest first."""
    owned = store.sessions()
    found = [
        KeptRecording(
            session_id=path.name.partition(".")[0],
            file=path.name,
            size_bytes=status.st_size,
            written=datetime.fromtimestamp(status.st_mtime, UTC),
            pulls=owned.get(path.name.partition(".")[0], {}),
        )
        for path in (store.folder / FOLDER).glob("*.*")
        if path.is_file() and (status := path.stat())
    ]
    return sorted(found, key=lambda recording: recording.written, reverse=True)
