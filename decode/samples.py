"""Decoded samples: per channel, two arrays."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from decode.quantities import Quantity

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Samples:
    """time_s: float64[n], seconds since the session started. value: float64[n], NaN where the
    sender marked the value as not available."""

    time_s: FloatArray
    value: FloatArray

    def __len__(self) -> int:
        return len(self.time_s)

    def between(self, start_s: float, end_s: float) -> "Samples":
        """The samples with start_s <= time < end_s; time must ascend."""
        first, last = np.searchsorted(self.time_s, (start_s, end_s))
        return Samples(self.time_s[first:last], self.value[first:last])


@dataclass(frozen=True, slots=True)
class Channel:
    """What is known of a channel before a single sample: its name in the map and its meaning.

    unit: the unit of its values: its quantity's house unit, or the map's own text where the
    channel carries no quantity. cylinder: firing order plays no part, 1 is the maker's cylinder 1.
    full_scale: the raw value that means fully open, in the channel's unit.
    """

    name: str
    unit: str
    quantity: Quantity | None = None
    cylinder: int | None = None
    source: str = ""
    full_scale: float | None = None


SampleBatch = Mapping[str, Samples]  # by channel name; channels without samples are absent


def joined(parts: Sequence[SampleBatch]) -> dict[str, Samples]:
    """The samples of consecutive batches, channel by channel, as one."""
    times: dict[tuple[int, ...], FloatArray] = {}  # signals of one message share their times
    columns: dict[str, Samples] = {}
    for name in dict.fromkeys(name for part in parts for name in part):
        found = [part[name] for part in parts if name in part]
        key = tuple(id(samples.time_s) for samples in found)
        if key not in times:
            times[key] = np.concatenate([samples.time_s for samples in found])
        columns[name] = Samples(times[key], np.concatenate([samples.value for samples in found]))
    return columns
