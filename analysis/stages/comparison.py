"""What a comparison of two stages says, in the form the page, the report and `--json` use."""

from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from pydantic import TypeAdapter

from analysis.phrases.statement import Statement
from analysis.stages.statistics import Interval
from decode.samples import FloatArray

_STATEMENTS = TypeAdapter(tuple[Statement, ...])


@dataclass(frozen=True, slots=True)
class Overlay:
    """One quantity of both stages on the comparison's grid, float64[n] each.

    half_width: of the simultaneous 95 % band of the difference, NaN where a side has one pull.
    difference is changed minus baseline. NaN where a channel has no value in some pull.
    """

    quantity: str
    unit: str
    mean_baseline: FloatArray
    mean_changed: FloatArray
    difference: FloatArray
    half_width: FloatArray

    @property
    def differs(self) -> NDArray[np.bool_]:
        """Where the band of the difference leaves zero, bool[n]."""
        return np.abs(self.difference) > self.half_width

    @property
    def is_beyond_spread(self) -> bool:
        """Whether a difference may be claimed: the band of the whole curve leaves zero somewhere.
        One test at 5 %, however many figures are then read off the curve."""
        return bool(self.differs.any())

    def to_json(self) -> dict[str, Any]:
        """Plain data; NaN becomes null."""
        arrays = ("mean_baseline", "mean_changed", "difference", "half_width")
        return {
            "quantity": self.quantity,
            "unit": self.unit,
            **{name: _plain(getattr(self, name)) for name in arrays},
        }


@dataclass(frozen=True, slots=True)
class Comparison:
    """names: (baseline, changed). Gains are changed minus baseline, of power at the wheel.

    peak_gain: between the two peaks. area_gain: mean over the grid. Both as measured; the
    corrected ones are given too where the station names a standard. assessable: the runs allow a
    statement about power. statements answer "what did the change do?", conditions say what else
    differed.
    """

    names: tuple[str, str]
    runs: tuple[int, int]
    engine_speed_rpm: FloatArray
    overlays: dict[str, Overlay]
    peak_gain: Interval | None
    area_gain: Interval | None
    corrected_peak_gain: Interval | None
    corrected_area_gain: Interval | None
    assessable: bool
    statements: tuple[Statement, ...]
    conditions: tuple[Statement, ...]

    def to_json(self) -> dict[str, Any]:
        """Plain data; every key is always present."""
        gains = ("peak_gain", "area_gain", "corrected_peak_gain", "corrected_area_gain")
        return {
            "names": list(self.names),
            "runs": list(self.runs),
            "engine_speed_rpm": self.engine_speed_rpm.tolist(),
            "overlays": {name: overlay.to_json() for name, overlay in self.overlays.items()},
            **{name: _interval(getattr(self, name)) for name in gains},
            "assessable": self.assessable,
            "statements": _STATEMENTS.dump_python(self.statements, mode="json"),
            "conditions": _STATEMENTS.dump_python(self.conditions, mode="json"),
        }


def _interval(interval: Interval | None) -> dict[str, Any] | None:
    return None if interval is None else asdict(interval)


def _plain(values: FloatArray) -> list[float | None]:
    return [float(value) if np.isfinite(value) else None for value in values]
