"""What a fuzz run throws at every parser, and an independent word on what may come out.

A target makes one input from a source of chance and feeds it. It returns True where something was
read, raises RefusedError or a PullwatchError where nothing could be, and fails its own assertion
where a value came out that should not have. Whatever else is raised is a crash. The judges here
share no code with what they judge.
"""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from fuzz_common import Chance, RefusedError
from fuzz_files import csv_bytes, csv_cells, formulas, maps, names, networks, recordings
from fuzz_wire import can_frames, diagnostics, frames, iso_tp, k_line, lines, slcan

__all__ = ["TARGETS", "RefusedError", "Target"]


@dataclass(frozen=True)
class Target:
    """share: of the inputs of a run; what is slow gets fewer. feed: see the module."""

    name: str
    share: int
    feed: Callable[[Chance, Path], bool]


TARGETS: Final = (
    Target("text lines", 60, lines),
    Target("CAN frames", 40, can_frames),
    Target("slcan lines", 40, slcan),
    Target("binary frames", 20, frames),
    Target("K-line frames", 20, k_line),
    Target("ISO-TP", 10, iso_tp),
    Target("diagnostic responses", 20, diagnostics),
    Target("formulas", 12, formulas),
    Target("channel names", 12, names),
    Target("CSV, cells", 2, csv_cells),
    Target("CSV, bytes", 2, csv_bytes),
    Target("channel maps", 3, maps),
    Target("network files", 2, networks),
    Target("recordings", 3, recordings),
)
