"""Two other ways to find pulls, each in a few lines, given the same channels."""

from collections.abc import Callable, Mapping
from typing import Final

import numpy as np
from segmentation_score import Span

from decode.quantities import Quantity
from decode.samples import Channel, FloatArray, Samples

Finder = Callable[[Mapping[str, Channel], Mapping[str, Samples]], list[Span]]
STEP_S: Final = 0.05
OPEN_PERCENT: Final = 90.0
SHORTEST_S: Final = 1.0


def on_grid(
    channels: Mapping[str, Channel], samples: Mapping[str, Samples], quantity: Quantity
) -> tuple[FloatArray, FloatArray] | None:
    """The first channel of a quantity every STEP_S."""
    for name, channel in channels.items():
        if channel.quantity is quantity and len(samples[name]) > 3:
            time_s, first = np.unique(samples[name].time_s, return_index=True)
            grid = np.arange(time_s[0], time_s[-1], STEP_S)
            return grid, np.interp(grid, time_s, samples[name].value[first])
    return None


def runs(grid: FloatArray, rpm: FloatArray, inside: np.ndarray) -> list[Span]:
    """Each stretch of at least SHORTEST_S."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], inside.astype(np.int8), [0]))))
    spans = []
    for first, last in edges.reshape(-1, 2):
        last = min(last, len(grid) - 1)
        if grid[last] - grid[first] >= SHORTEST_S:
            spans.append(Span(grid[first], grid[last], rpm[first], rpm[last]))
    return spans


def threshold_rule(channels: Mapping[str, Channel], samples: Mapping[str, Samples]) -> list[Span]:
    """Throttle (else pedal) over 90 % and engine speed rising over the last half second."""
    speed = on_grid(channels, samples, Quantity.ENGINE_SPEED)
    wish = on_grid(channels, samples, Quantity.THROTTLE_POSITION) or on_grid(
        channels, samples, Quantity.PEDAL_POSITION
    )
    if speed is None or wish is None:
        return []
    grid, rpm = speed
    opened = np.interp(grid, *wish) > OPEN_PERCENT
    back = round(0.5 / STEP_S)
    rising = np.concatenate((np.zeros(back, dtype=bool), rpm[back:] - rpm[:-back] > 0.0))
    return runs(grid, rpm, opened & rising)


def change_points(channels: Mapping[str, Channel], samples: Mapping[str, Samples]) -> list[Span]:
    """Piecewise constant slope of engine speed (ruptures, Pelt); a pull is what rises at 40 to
    3,000 rpm/s with the wish above 70 % of its own maximum."""
    import ruptures

    speed = on_grid(channels, samples, Quantity.ENGINE_SPEED)
    if speed is None or len(speed[0]) < 40:
        return []
    grid, rpm = speed
    wish = on_grid(channels, samples, Quantity.PEDAL_POSITION) or on_grid(
        channels, samples, Quantity.THROTTLE_POSITION
    )
    opened = np.full(len(grid), 100.0) if wish is None else np.interp(grid, *wish)
    signal = np.column_stack((np.gradient(rpm, grid) / 100.0, opened / 10.0))
    cuts = ruptures.Pelt(model="l2", min_size=6, jump=2).fit(signal).predict(pen=60.0)
    inside = np.zeros(len(grid), dtype=bool)
    for first, last in zip([0, *cuts[:-1]], cuts, strict=True):
        last = min(last, len(grid)) - 1
        slope = (rpm[last] - rpm[first]) / max(grid[last] - grid[first], STEP_S)
        wide = np.mean(opened[first : last + 1]) > 0.7 * opened.max()
        inside[first : last + 1] = wide and 40.0 < slope < 3000.0
    return runs(grid, rpm, inside)


PEERS: Final[Mapping[str, Finder]] = {
    "threshold rule": threshold_rule,
    "ruptures": change_points,
}
