"""Value and slope of a noisy signal on uneven times: local polynomials, without phase."""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from decode.samples import FloatArray, Samples

SMALLEST_FIT: Final = 8  # samples; a cubic has 4 unknowns, twice as many samples leave it a mean

EDGE: Final = 1e-9  # wider, so that rounding leaves no sample at a window's edge outside it


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
    half_s = fitted_window_s(time_s, window_s) / 2
    centre_s = np.clip(at_s, time_s[0] + half_s, max(time_s[0] + half_s, time_s[-1] - half_s))
    first = np.searchsorted(time_s, centre_s - half_s, side="left")
    last = np.searchsorted(time_s, centre_s + half_s, side="right")
    column = first[:, None] + np.arange(int((last - first).max()))
    inside = column < last[:, None]
    column = np.minimum(column, len(time_s) - 1)
    # Scaled by the half width: the powers stay near one and the normal equations well conditioned.
    distance = (time_s[column] - at_s[:, None]) / half_s
    coefficient = _least_squares(distance, value[column], inside, order)
    return coefficient[:, 0], coefficient[:, 1] / half_s


def _least_squares(
    distance: FloatArray, value: FloatArray, inside: NDArray[np.bool_], order: int
) -> FloatArray:
    """Coefficients of one polynomial a row, float64[rows, order + 1], from its sums of powers."""
    power = inside.astype(np.float64)
    sums, right = [], []
    for exponent in range(2 * order + 1):
        sums.append(power.sum(axis=1))
        if exponent <= order:
            right.append(np.einsum("ij,ij->i", power, value))
        power = power * distance
    rows = np.arange(order + 1)
    normal = np.stack(sums, axis=1)[:, rows[:, None] + rows]
    solved: FloatArray = np.linalg.solve(normal, np.stack(right, axis=1)[:, :, None])[:, :, 0]
    return solved


def fitted_window_s(time_s: FloatArray, window_s: float) -> float:
    """The window that is fitted over: SMALLEST_FIT samples (or all there are) are in each."""
    wanted = min(SMALLEST_FIT, len(time_s)) - 1
    widest_s = float(np.max(time_s[wanted:] - time_s[: len(time_s) - wanted]))
    return max(window_s, widest_s * (1 + EDGE))
