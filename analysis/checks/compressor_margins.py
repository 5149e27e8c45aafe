"""How far the compressor stays from surge and from its fastest line, and how efficient it is there,
where its map is known."""

from typing import Final

import numpy as np

from analysis.causes.symptoms import Observation
from analysis.checks.check import Context, healthy, note, said
from analysis.checks.operating_line import OperatingLine, operating_line
from analysis.checks.stretches import longest, place, stretches
from analysis.checks.words import beyond, rpm, span
from analysis.model.findings import Severity, Where
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull

SURGE = Limit(
    "turbo.surge_margin",
    0.05,
    "1",
    COMMON_PRACTICE,
    "less flow over that at surge, as a share, and the compressor may surge",
)
SPEED = Limit(
    "turbo.speed_margin",
    0.03,
    "1",
    COMMON_PRACTICE,
    "nearer than this share to the fastest line of the compressor map",
)
LASTS_S: Final = 0.2  # a shorter excursion is noise of two sensors
CAUTION: Final = (
    "Filter and charge cooler hide some pressure ratio: the compressor works a little higher."
)


def margins(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Surge, speed and efficiency of the pull's line on the map; nothing without a map."""
    if context.setup.compressor_map is None:
        return []
    line = operating_line(pull, context)
    if line is None or len(line.time_s) < 2:
        needs = "air_mass_flow, manifold and barometric pressure and the temperature at the inlet"
        return [note("turbo", f"The compressor map is not used: it needs {needs}, under boost.")]
    return [
        _surge(pull, line, limits[SURGE.name]),
        _speed(pull, line, limits[SPEED.name]),
        *_efficiency(line),
    ]


def _efficiency(line: OperatingLine) -> list[Observation]:
    """What the map promises, beside what the outlet's temperature says; nothing without lines."""
    if not np.isfinite(line.efficiency).any():
        return []
    best = int(np.nanargmax(line.efficiency))
    words = (
        f"By the map the compressor is {_percent(float(np.nanmin(line.efficiency)))} to "
        f"{_percent(float(line.efficiency[best]))} efficient along this line, most at "
        f"{rpm(float(line.engine_speed_rpm[best]))} rpm."
    )
    return [note("turbo", words)]


def _surge(pull: Pull, line: OperatingLine, limit: Limit) -> Observation:
    if not np.isfinite(line.surge_margin).any():
        return note("turbo", "Surge is not judged: the surge line does not reach these ratios.")
    least = int(np.nanargmin(line.surge_margin))
    value = float(line.surge_margin[least])
    near = longest(stretches(line.time_s, line.surge_margin < limit.value, LASTS_S))
    if near is None:
        words = (
            f"On the compressor map flow stays {_percent(value)} above surge, nearest at "
            f"{rpm(float(line.engine_speed_rpm[least]))} rpm. {CAUTION}"
        )
        return healthy("turbo", words, round(value, 3), limit)
    where = place(pull, near.start_s, near.end_s)
    value = float(line.surge_margin[near.indices].min())
    side = "left of the surge line" if value < 0 else f"only {_percent(value)} above surge flow"
    words = f"The compressor ran {side} of its map {span(where)}. {CAUTION}"
    return said(beyond(limit, Severity.LOOK_CLOSER, words, value, where, SETTLED_BY))


def _speed(pull: Pull, line: OperatingLine, limit: Limit) -> Observation:
    """By the measured speed, or by where flow and ratio lie on the map."""
    how = "measured" if line.speed_measured else "read off the map"
    fast = line.speed_margin < limit.value
    if not line.speed_measured:
        fast |= line.beyond_map
    near = longest(stretches(line.time_s, fast, LASTS_S))
    if near is not None:
        return _too_fast(line, near.indices, place(pull, near.start_s, near.end_s), limit)
    if not np.isfinite(line.speed_margin).any():
        return note("turbo", "Turbo speed is not judged: the pull lies outside the speed lines.")
    least = int(np.nanargmin(line.speed_margin))
    value = float(line.speed_margin[least])
    words = (
        f"Turbo speed, {how}, stays {_percent(value)} below the map's fastest line, nearest at "
        f"{rpm(float(line.engine_speed_rpm[least]))} rpm."
    )
    return healthy("turbo", words, round(value, 3), limit)


def _too_fast(line: OperatingLine, indices: slice, where: Where, limit: Limit) -> Observation:
    """A measured speed beyond the map is a reason to stop; one read off it is a reason to look."""
    margin = line.speed_margin[indices]
    if line.beyond_map[indices].any() and not line.speed_measured:
        value, what = 0.0, "ran beyond the fastest line of its map by flow and pressure ratio"
    else:
        value = float(np.nanmin(margin))
        far = f"{_percent(abs(value))} {'beyond' if value < 0 else 'below'}"
        what = f"turned {far} the fastest line of its map"
    stop = line.speed_measured and value < 0
    words = f"The turbo {what} {span(where)}."
    severity = Severity.STOP if stop else Severity.LOOK_CLOSER
    return said(beyond(limit, severity, words, value, where, SETTLED_BY))


SETTLED_BY: Final = "Measure pressure before and after the compressor, and its speed."


def _percent(share: float) -> str:
    return f"{100 * share:.0f} %"
