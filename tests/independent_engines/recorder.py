"""The log that some logger makes of the traces: which columns, at which times, in which units."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Final

import numpy as np

from decode.quantities import HOUSE_UNIT, Quantity
from independent_engines.cars import Car
from independent_engines.cell import Traces
from independent_engines.instruments import (
    DYNO,
    ENGINE_SPEED,
    LAMBDA_NEAR,
    LAMBDA_TAILPIPE,
    RETARD,
    FloatArray,
    Instrument,
    Rows,
    read_at,
    row_times,
    sensed,
    usual_instruments,
)
from independent_engines.logs import Log, LoggedColumn, in_unit

Q = Quantity
GRID_S: Final = 0.01
HABITS: Final[tuple[Mapping[str, str], ...]] = (
    {},
    {"kPa": "bar"},
    {"kPa": "psi", "degC": "degF", "km/h": "mph"},
)
POSITIONS: Final = (Q.PEDAL_POSITION, Q.THROTTLE_POSITION)
PRESSURES: Final = (Q.MANIFOLD_PRESSURE, Q.BOOST_PRESSURE)


@dataclass(frozen=True, slots=True)
class Wanted:
    """What of a log is fixed and not drawn. dyno_late_s: the dyno's clock against the logger's."""

    full: bool = False
    dyno: bool = False
    dyno_late_s: float = 0.0
    tailpipe: bool | None = None


@dataclass
class Recorder:
    """One logger and, perhaps with a clock of its own, the dyno beside it."""

    random: np.random.Generator
    car: Car
    traces: Traces
    rows: Rows
    wanted: Wanted
    _columns: list[LoggedColumn] = field(default_factory=list)

    def log(self) -> Log:
        """Everything that is logged."""
        random = self.random
        self._time_s = np.arange(0.0, self.traces.time_s[-1], GRID_S)
        self._signals = _signals(random, self.car, self.traces, self._time_s)
        self._habit = HABITS[int(random.choice(3, p=[0.6, 0.25, 0.15]))]
        self._coarse = bool(random.random() < 0.4)
        times = row_times(random, self.rows, float(self._time_s[-1]))
        own_clock = bool(random.random() < 0.5) or self.wanted.dyno
        dyno_rows = Rows(float(random.choice([10.0, 20.0, 50.0]))) if own_clock else self.rows
        dyno_times = row_times(random, dyno_rows, float(self._time_s[-1])) if own_clock else times
        dyno = (dyno_times, dyno_rows, "dyno") if own_clock else (times, self.rows, "logger")
        logger = (times, self.rows, "logger")
        self._add(ENGINE_SPEED, logger)
        for instrument in self._chosen():
            self._add(instrument, logger)
        self._retards(logger)
        if self.wanted.full or self.wanted.dyno or random.random() < 0.6:
            for instrument in DYNO[: 2 if random.random() < 0.5 else 3]:
                self._add(instrument, dyno)
        self._probe(logger, dyno)
        return Log(tuple(self._columns))

    def _add(
        self,
        instrument: Instrument,
        by: tuple[FloatArray, Rows, str],
        value: FloatArray | None = None,
        name: str = "",
        cylinder: int | None = None,
    ) -> None:
        random, (times, rows, source) = self.random, by
        value = self._signals[instrument.trace] if value is None else value
        lag, delay = random.uniform(*instrument.lag_s), random.uniform(*instrument.delay_s)
        seen = sensed(self._time_s, value, float(lag), float(delay))
        read = np.clip(read_at(random, rows, times, instrument.slow), 0.0, None)
        got = np.interp(read, self._time_s, seen)
        if instrument.noise:  # of a reading: what is only repeated has the same
            fresh = np.concatenate(([True], np.diff(read) > 1e-9))
            latest = np.maximum.accumulate(np.where(fresh, np.arange(len(times)), 0))
            got = got + random.normal(0.0, instrument.noise, len(times))[latest]
        house = HOUSE_UNIT[instrument.quantity]
        unit = "1" if house == "1" else self._habit.get(house, house)
        resolution = instrument.whole if self._coarse else instrument.fine
        written = in_unit(got, instrument.quantity, unit, resolution)
        late_s = self.wanted.dyno_late_s if source == "dyno" else 0.0
        self._columns.append(
            LoggedColumn(
                name or str(instrument.quantity),
                instrument.quantity,
                unit,
                source,
                times + late_s,
                written,
                cylinder,
            )
        )

    def _chosen(self) -> list[Instrument]:
        """All that is usual of the kind, or a part of it; what shows full load is always there."""
        engine, random = self.car.engine, self.random
        spark = not engine.compression_ignition
        turbo, rail = engine.turbo is not None, not engine.port_injection
        usual = usual_instruments(spark, turbo, engine.boosted, rail)
        if engine.boost is None or not engine.boost.closed_loop:
            usual = [i for i in usual if i.quantity not in (Q.BOOST_TARGET, Q.WASTEGATE_DUTY)]
        whole = self.wanted.full or random.random() < 0.45
        share = 1.0 if whole else float(random.uniform(0.4, 0.8))
        kept = [i for i in usual if random.random() < share]
        must = Q.THROTTLE_POSITION if spark and random.random() < 0.6 else Q.PEDAL_POSITION
        if not any(i.quantity in POSITIONS for i in kept):
            kept += [i for i in usual if i.quantity is must]
        if engine.boosted and not any(i.quantity in PRESSURES for i in kept):
            kept += [i for i in usual if i.quantity is Q.MANIFOLD_PRESSURE]
        return kept

    def _retards(self, by: tuple[FloatArray, Rows, str]) -> None:
        """Knock retard: of each cylinder, or one channel, or none."""
        random, engine = self.random, self.car.engine
        if not engine.calibration.knock_control:
            return
        choice = 0.0 if self.wanted.full else random.random()
        per_cylinder = self.traces.retard_of
        if choice < 0.6:
            for i, retard in enumerate(per_cylinder):
                value = self._held_steps(retard)
                self._add(RETARD, by, value, f"knock_retard_{i + 1}", i + 1)
        elif choice < 0.85:
            self._add(RETARD, by, self._held_steps(np.mean(per_cylinder, axis=0)), "knock_retard")

    def _held_steps(self, value: FloatArray) -> FloatArray:
        return np.interp(self._time_s, self.traces.time_s, value)

    def _probe(
        self, logger: tuple[FloatArray, Rows, str], dyno: tuple[FloatArray, Rows, str]
    ) -> None:
        """The wideband probe before the turbine or in the tailpipe; lambda or a ratio."""
        random, engine = self.random, self.car.engine
        if not (
            self.wanted.full or random.random() < (0.5 if engine.compression_ignition else 0.85)
        ):
            return
        tailpipe = random.random() < 0.4 if self.wanted.tailpipe is None else self.wanted.tailpipe
        self._add(LAMBDA_TAILPIPE if tailpipe else LAMBDA_NEAR, dyno if tailpipe else logger)
        as_ratio = 0.4 if engine.kind == "ethanol_turbo" else 0.15
        if engine.compression_ignition or random.random() > as_ratio:
            return
        made = self._columns.pop()
        scale = 14.7 if random.random() < 0.6 else engine.fuel.stoichiometric_ratio
        ratio = replace(
            made,
            name="air_fuel_ratio",
            quantity=None,
            unit="",
            value=np.round(made.value * scale, 2),
        )
        self._columns += [
            ratio,
            replace(made, name="lambda", formula=f"air_fuel_ratio / {scale:g}"),
        ]


def _signals(
    random: np.random.Generator, car: Car, traces: Traces, time_s: FloatArray
) -> dict[str, FloatArray]:
    """Traces on a fine grid, as what is measured: percent, gauge, probe readings."""
    fine = {name: np.interp(time_s, traces.time_s, v) for name, v in traces.value.items()}
    engine = car.engine
    level = np.ones_like(time_s)
    scale = float(random.normal(1.0, 0.02))
    leanest = 8.0 if engine.compression_ignition else float(random.choice([1.4, 1.6, 2.0]))
    steps = np.searchsorted(traces.time_s, time_s, side="right") - 1
    return fine | {
        "gear": traces.value["gear"][steps],
        "misfires": traces.value["misfires"][steps],
        "ambient_kpa": level * car.air.pressure_kpa,
        "ambient_degc": level * car.air.temperature_degc,
        "boost_kpa": fine["manifold_kpa"] - car.air.pressure_kpa,
        "pedal_percent": fine["pedal"] * engine.pedal_full_percent,
        "position_percent": fine["position"] * engine.throttle_full_percent,
        "duty_percent": 100.0 * fine["duty"],
        "probe": np.minimum(fine["mixture"] * float(random.normal(1.0, 0.006)), leanest),
        "trim_percent": 100.0 * fine["trim"],
        "long_trim_percent": level * float(random.normal(0.0, 1.5)),
        "battery_v": level * float(random.uniform(13.7, 14.3)),
        "meter_g_s": fine["meter_g_s"] * float(random.normal(1.0, 0.015)),
        # the controller's torque and its request share one scale, true or not
        "believed_nm": fine["believed_nm"] * scale,
        "request_nm": fine["request_nm"] * scale,
    }
