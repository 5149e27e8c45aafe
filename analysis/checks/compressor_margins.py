"""How far the compressor stays from surge and from its fastest line, and how efficient it is there,
where its map is known."""

from typing import Final

import numpy as np

from analysis.causes.symptoms import Observation
from analysis.checks.against_limit import beyond, place_phrase
from analysis.checks.check import Context, healthy, note, stated
from analysis.checks.operating_line import OperatingLine, operating_line
from analysis.checks.stretches import longest, place, stretches
from analysis.model.findings import Severity, Where
from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import Pull
from analysis.phrases.say import amount, rpm, say
from analysis.phrases.statement import Amount

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
CAUTION: Final = say("compressor-map-caution")
SETTLED_BY: Final = say("compressor-map-settled-by")


def margins(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """Surge, speed and efficiency of the pull's line on the map; nothing without a map."""
    if context.setup.compressor_map is None:
        return []
    line = operating_line(pull, context)
    if line is None or len(line.time_s) < 2:
        return [note("turbo", say("compressor-map-unused"))]
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
    statement = say(
        "compressor-map-efficiency",
        least=_percent(float(np.nanmin(line.efficiency))),
        best=_percent(float(line.efficiency[best])),
        speed=rpm(float(line.engine_speed_rpm[best])),
    )
    return [note("turbo", statement)]


def _surge(pull: Pull, line: OperatingLine, limit: Limit) -> Observation:
    if not np.isfinite(line.surge_margin).any():
        return note("turbo", say("compressor-surge-unknown"))
    least = int(np.nanargmin(line.surge_margin))
    value = float(line.surge_margin[least])
    near = longest(stretches(line.time_s, line.surge_margin < limit.value, LASTS_S))
    if near is None:
        nearest = rpm(float(line.engine_speed_rpm[least]))
        far = say("compressor-surge-far", margin=_percent(value), speed=nearest)
        return healthy("turbo", (far, CAUTION), round(value, 3), limit)
    where = place(pull, near.start_s, near.end_s)
    value = float(line.surge_margin[near.indices].min())
    place_of = place_phrase(where)
    if value < 0:
        statement = say("compressor-surge-beyond", where=place_of)
    else:
        statement = say("compressor-surge-near", margin=_percent(value), where=place_of)
    statements = (statement, CAUTION)
    return stated(beyond(limit, Severity.LOOK_CLOSER, statements, value, where, SETTLED_BY))


def _speed(pull: Pull, line: OperatingLine, limit: Limit) -> Observation:
    """By the measured speed, or by where flow and ratio lie on the map."""
    fast = line.speed_margin < limit.value
    if not line.speed_measured:
        fast |= line.beyond_map
    near = longest(stretches(line.time_s, fast, LASTS_S))
    if near is not None:
        return _too_fast(line, near.indices, place(pull, near.start_s, near.end_s), limit)
    if not np.isfinite(line.speed_margin).any():
        return note("turbo", say("compressor-speed-unknown"))
    least = int(np.nanargmin(line.speed_margin))
    value = float(line.speed_margin[least])
    measured, read_off = "compressor-speed-well-measured", "compressor-speed-well-read-off"
    key = measured if line.speed_measured else read_off
    nearest = rpm(float(line.engine_speed_rpm[least]))
    statement = say(key, margin=_percent(value), speed=nearest)
    return healthy("turbo", statement, round(value, 3), limit)


def _too_fast(line: OperatingLine, indices: slice, where: Where, limit: Limit) -> Observation:
    """A measured speed beyond the map is a reason to stop; one read off it is a reason to look."""
    place_of = place_phrase(where)
    if line.beyond_map[indices].any() and not line.speed_measured:
        value = 0.0
        statement = say("compressor-speed-beyond-map", where=place_of)
    else:
        value = float(np.nanmin(line.speed_margin[indices]))
        key = "compressor-speed-beyond" if value < 0 else "compressor-speed-near"
        statement = say(key, margin=_percent(abs(value)), where=place_of)
    stop = line.speed_measured and value < 0
    severity = Severity.STOP if stop else Severity.LOOK_CLOSER
    return stated(beyond(limit, severity, statement, value, where, SETTLED_BY))


def _percent(share: float) -> Amount:
    return amount(100 * share, "%")
