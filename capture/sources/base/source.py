"""What every source is: something that blocks in its own thread and hands over batches."""

import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import Final, Protocol, runtime_checkable

from decode.records import RecordBatch, SourceInfo

# How long a reader lets records gather before it takes them all. Taking each by itself costs 20
# to 35 us a CAN frame on a two-core machine, a batch of 5 ms 4 to 10 us; an alert must be out
# within 15 ms. Under a full bus the pipeline's cost goes by the batch, not by the frame.
DRAIN_INTERVAL_S: Final = 0.006

Emit = Callable[[RecordBatch], None]


@dataclass(frozen=True, slots=True)
class AchievedRate:
    """What one value gets of the ECU. age_s: since its last answer, None before the first."""

    channels: tuple[str, ...]
    wanted_hz: float
    achieved_hz: float
    age_s: float | None


class Source(Protocol):
    """One adapter, port or file."""

    @property
    def info(self) -> SourceInfo:
        """Its name and how its payloads are to be read."""

    def run(self, emit: Emit, stop: threading.Event) -> None:
        """Open, deliver until `stop` is set or the data end, close.

        Raises SourceError when it cannot be opened or goes away. Never emits an empty batch.
        """


@runtime_checkable
class PolledSource(Protocol):
    """A source that asks. shares: what each wanted value gets, renewed several times a second."""

    shares: tuple[AchievedRate, ...]
