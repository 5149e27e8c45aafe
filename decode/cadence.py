"""How often samples come: of samples at hand, and learned while they come."""

from collections.abc import Sequence
from statistics import median
from typing import Final

import numpy as np

from decode.samples import FloatArray

# A channel is silent after so many of its periods: a busy bus delays a message by two or three.
SILENT_PERIODS: Final = 5.0


def period_s(time_s: FloatArray | Sequence[float]) -> float:
    """The median time between samples; 0 where there are fewer than two. time_s: ascending."""
    return median(np.diff(time_s).tolist()) if len(time_s) > 1 else 0.0
