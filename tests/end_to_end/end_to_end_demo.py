"""What a played demo left behind."""

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True)
class PlayedDemo:
    """What a demo left: its exit code, its words, its folder."""

    exit_code: int
    output: str
    folder: Path

    @property
    def recording(self) -> Path:
        (recording,) = (self.folder / "store" / "recordings").iterdir()
        return recording
