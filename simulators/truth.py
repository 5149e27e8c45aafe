"""What really happened, from the simulated driver, dyno and engine: never from a signal."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass
from typing import Any, Final

import numpy as np
from pydantic import TypeAdapter

from analysis.model.findings import Cause
from analysis.model.pull import EndReason
from decode.samples import FloatArray
from simulators.faults import Fault

GRID_RPM: Final = 50.0
LATENT_RETARD_DEG: Final = 3.0  # a latent cylinder is at fault where knock control had to act


@dataclass(frozen=True, slots=True)
class LoggedPull:
    """What driver and dyno know of a pull.

    start_s: the brake (or, without one, the driver) lets the sweep go at full pedal. end_s: the
    driver lifts, or the first cut of the limiter. full_pedal_s: when the pedal was down.
    """

    kind: str
    gear: int
    start_s: float
    end_s: float
    start_rpm: float
    end_rpm: float
    complete: bool
    end_reason: EndReason
    full_pedal_s: float


@dataclass(frozen=True, slots=True)
class TruePull(LoggedPull):
    """One pull. closures: (start, end) of the ECU's protection inside.

    The four curves are over engine_speed_rpm: engine_torque_nm leaves the clutch in this sweep,
    brake_torque_nm is what a steady engine bench would read (the engine's own inertia added back),
    wheel_torque_nm is wheel power over engine speed (the driven wheels counted with the roller).
    retard_deg: the largest of each cylinder, by cylinder from 1.
    """

    number: int
    stage: str
    faults: tuple[Cause, ...] = ()
    closures: tuple[tuple[float, float], ...] = ()
    retard_deg: tuple[float, ...] = ()
    engine_speed_rpm: tuple[float, ...] = ()
    engine_torque_nm: tuple[float, ...] = ()
    brake_torque_nm: tuple[float, ...] = ()
    wheel_torque_nm: tuple[float, ...] = ()
    wheel_power_kw: tuple[float, ...] = ()


@dataclass(frozen=True)
class Truth:
    """Of one session. faults: all that were switched on, also where no pull shows them."""

    stage: str
    pulls: tuple[TruePull, ...]
    faults: tuple[Fault, ...] = ()
    duration_s: float = 0.0

    def to_json(self) -> dict[str, Any]:
        """Plain data."""
        plain: dict[str, Any] = _TRUTH.dump_python(self, mode="json")
        return plain

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> "Truth":
        """The inverse of to_json, also after a trip through JSON text. Raises ValueError where it
        is no truth."""
        return _TRUTH.validate_python(data)


_TRUTH = TypeAdapter(Truth)


class PullLog:
    """Written by the driver as he acts, and by the limiter."""

    def __init__(self) -> None:
        self.pulls: list[LoggedPull] = []
        self._open: tuple[str, int, float, float, float] | None = None

    @property
    def running(self) -> bool:
        """Whether a sweep is on."""
        return self._open is not None

    def start(self, kind: str, gear: int, time_s: float, rpm: float, full_pedal_s: float) -> None:
        """The sweep is let go."""
        self._open = (kind, gear, time_s, rpm, full_pedal_s)

    def end(self, time_s: float, rpm: float, reason: EndReason, complete: bool) -> None:
        """It is over; nothing happens where the limiter was faster."""
        if self._open is None:
            return
        kind, gear, start_s, start_rpm, full_pedal_s = self._open
        self._open = None
        self.pulls.append(
            LoggedPull(kind, gear, start_s, time_s, start_rpm, rpm, complete, reason, full_pedal_s)
        )


def true_pull(
    number: int,
    stage: str,
    logged: LoggedPull,
    trace: Mapping[str, FloatArray],
    faults: tuple[Fault, ...],
) -> TruePull:
    """Add to a logged pull what the trace knows: curves, closures, retard, faults that acted."""
    time_s = trace["time"]
    inside = (time_s >= logged.start_s) & (time_s <= logged.end_s)
    retards = sorted(name for name in trace if name.startswith("knock_retard_"))
    largest = tuple(float(trace[name][inside].max(initial=0.0)) for name in retards)
    rpm = trace["engine_speed"][inside]
    curves = _curves(rpm, trace, inside)
    return TruePull(
        **asdict(logged),
        number=number,
        stage=stage,
        faults=tuple(fault.kind for fault in faults if _acted(fault, largest)),
        closures=_intervals(time_s[inside], trace["protecting"][inside] > 0.5),
        retard_deg=largest,
        engine_speed_rpm=curves.engine_speed_rpm,
        engine_torque_nm=curves.engine_torque_nm,
        brake_torque_nm=curves.brake_torque_nm,
        wheel_torque_nm=curves.wheel_torque_nm,
        wheel_power_kw=curves.wheel_power_kw,
    )


@dataclass(frozen=True, slots=True)
class _Curves:
    """As TruePull has them."""

    engine_speed_rpm: tuple[float, ...] = ()
    engine_torque_nm: tuple[float, ...] = ()
    brake_torque_nm: tuple[float, ...] = ()
    wheel_torque_nm: tuple[float, ...] = ()
    wheel_power_kw: tuple[float, ...] = ()


def _curves(
    rpm: FloatArray, trace: Mapping[str, FloatArray], inside: np.ndarray[Any, np.dtype[np.bool_]]
) -> _Curves:
    """The torque curves on a grid of whole GRID_RPM inside the speeds passed through."""
    if len(rpm) < 2:
        return _Curves()
    order = np.argsort(rpm, kind="stable")
    grid = np.arange(np.ceil(rpm.min() / GRID_RPM) * GRID_RPM, rpm.max(), GRID_RPM)
    wheel_nm = trace["wheel_power"] * 1000.0 / np.maximum(trace["engine_speed"] * np.pi / 30.0, 1.0)

    def on_grid(values: FloatArray) -> tuple[float, ...]:
        curve = np.interp(grid, rpm[order], values[inside][order])
        return tuple(np.round(curve, 4).tolist())

    return _Curves(
        engine_speed_rpm=tuple(grid.tolist()),
        engine_torque_nm=on_grid(trace["clutch_torque"]),
        brake_torque_nm=on_grid(trace["brake_torque"]),
        wheel_torque_nm=on_grid(wheel_nm),
        wheel_power_kw=on_grid(trace["wheel_power"]),
    )


def _intervals(
    time_s: FloatArray, on: np.ndarray[Any, np.dtype[np.bool_]]
) -> tuple[tuple[float, float], ...]:
    """(start, end) of each run of on."""
    if not on.any():
        return ()
    edges = np.flatnonzero(np.diff(np.concatenate(([0], on.astype(np.int8), [0]))))
    last = len(time_s) - 1
    return tuple(
        (float(time_s[start]), float(time_s[min(end, last)])) for start, end in edges.reshape(-1, 2)
    )


def _acted(fault: Fault, retard_deg: tuple[float, ...]) -> bool:
    """A fault that is latent until the charge is hot counts only where it showed."""
    if fault.severity <= 0.0:
        return False
    if fault.kind is Cause.SINGLE_CYLINDER_KNOCK and "above_charge_degc" in fault.extra:
        return retard_deg[int(fault.number("cylinder", 2)) - 1] >= LATENT_RETARD_DEG
    return True
