"""Value and slope of a noisy signal on uneven times: local polynomials, without phase."""

from typing import Final

import numpy as np

from decode.samples import FloatArray, Samples

SMALLEST_FIT: Final = 8  # samples; a cubic has 4 unknowns, twice as many samples leave it a mean


def local_polynomial(
    samples: Samples, at_s: FloatArray, window_s: float, order: int
) -> tuple[FloatArray, FloatArray]:
    """Value and slope (per second) at at_s[k], from a least-squares polynomial around each time.

    The window is centred on the time, so nothing is delayed; at the ends of the signal it keeps
    its width and is pushed inside, so nothing beyond the samples is used. Where samples are
    evenly spaced this is the filter of Savitzky and Golay (Analytical Chemistry 36 (1964) 1627).
    A window that would hold fewer than SMALLEST_FIT samples is widened to hold them. Times must
    ascend. Returns two float64[len(at_s)]; NaN throughout where there are fewer samples than the
    polynomial has unknowns.
    """
    time_s, value = samples.time_s, samples.value
    if len(time_s) < order + 1:
        return np.full(len(at_s), np.nan), np.full(len(at_s), np.nan)
    half_s = _half_width(time_s, window_s)
    centre_s = np.clip(at_s, time_s[0] + half_s, max(time_s[0] + half_s, time_s[-1] - half_s))
    first = np.searchsorted(time_s, centre_s - half_s, side="left")
    last = np.searchsorted(time_s, centre_s + half_s, side="right")
    column = first[:, None] + np.arange(int((last - first).max()))
    inside = column < last[:, None]
    column = np.minimum(column, len(time_s) - 1)
    # Scaled by the half width: the powers stay near one and the normal equations well conditioned.
    powers = ((time_s[column] - at_s[:, None]) / half_s)[:, :, None] ** np.arange(order + 1)
    weighted = powers * inside[:, :, None]
    normal = np.swapaxes(weighted, 1, 2) @ powers
    right = np.swapaxes(weighted, 1, 2) @ value[column][:, :, None]
    coefficient = np.linalg.solve(normal, right)[:, :, 0]
    return coefficient[:, 0], coefficient[:, 1] / half_s


def _half_width(time_s: FloatArray, window_s: float) -> float:
    """Half the window, wide enough that SMALLEST_FIT samples (or all there are) are in each."""
    wanted = min(SMALLEST_FIT, len(time_s)) - 1
    widest_s = float(np.max(time_s[wanted:] - time_s[: len(time_s) - wanted]))
    return max(window_s, widest_s) / 2
