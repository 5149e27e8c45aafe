"""What lasts: the mean of a value over the time before, so that a moment counts for little."""

import numpy as np

from decode.samples import FloatArray


def mean_before(time_s: FloatArray, value: FloatArray, over_s: float) -> FloatArray:
    """The mean over the over_s before each sample, every value held until the next; of the last
    axis, float64[..., n]. Nearer to the start the rest of over_s counts as nothing."""
    held = value[..., :-1] * np.diff(time_s)
    begin = np.zeros((*value.shape[:-1], 1))
    total = np.concatenate((begin, np.cumsum(held, axis=-1)), axis=-1)
    rows = total.reshape(-1, len(time_s))
    before = np.stack([np.interp(time_s - over_s, time_s, row) for row in rows])
    mean: FloatArray = (total - before.reshape(total.shape)) / over_s
    return mean
