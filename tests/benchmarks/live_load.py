"""The other side of live.py: an slcan adapter and a dyno that send as much as they are told.

    python tests/benchmarks/live_load.py RATE SECONDS SEED

Prints the ports to open, then, once all is sent, what was sent and when, on this machine's
monotonic clock. Every PERIOD_S the car does one pull; in its sweep cylinders knock at random
moments, each time a little more than before, so that every event is an alert of its own.
"""

import json
import random
import sys
import time
from typing import Final

import numpy as np
from numpy.typing import NDArray

from simulators.ports import PtyPort
from simulators.slcan_adapter import SlcanAdapter

IDENTIFIERS: Final = 50
FIRST_IDENTIFIER: Final = 0x300
FIELDS: Final = 4  # of 16 bits in each frame: 200 channels
CYLINDERS: Final = 8
TICK_S: Final = 0.001  # frames leave as from an adapter's USB endpoint
DYNO_HZ: Final = 50.0
LINE: Final = 26  # bytes of one stamped frame line: t iii 8 16 digits, 4 of the stamp, CR

PERIOD_S: Final = 10.0  # idle, held on the brake, sweep, coast down
HOLD_S, SWEEP_S, LIFT_S, DOWN_S = 2.0, 3.0, 7.0, 9.0
LOW_RPM, HIGH_RPM = 2000.0, 6400.0
WARM_UP_S: Final = 1.0  # before the first pull and the first measured frame

KNOCK_GAP_S: Final = 0.1  # mean time between two events of any cylinder
KNOCK_S: Final = 0.08  # how long one event lasts: several frames at any rate
FIRST_KNOCK_DEG, KNOCK_STEP_DEG = 3.75, 0.75  # beyond the limit, and worse each time
SAMPLES_FOR_AN_ALERT: Final = 2  # in a row beyond the limit (analysis/alerting/level.py)

# quantity, unit, scale, value while nothing happens; channels are filled up without a quantity
NAMED: Final = (
    ("engine_speed", "rpm", 0.25, LOW_RPM),
    ("pedal_position", "%", 0.1, 10.0),
    ("throttle_position", "%", 0.1, 10.0),
    ("vehicle_speed", "km/h", 0.01, 60.0),
    *[(f"knock_retard_{n}", "deg", 0.25, 0.0) for n in range(1, CYLINDERS + 1)],
    ("boost_pressure", "kPa", 0.1, 80.0),
    ("boost_target", "kPa", 0.1, 80.0),
    ("manifold_pressure", "kPa", 0.1, 180.0),
    ("ignition_timing", "deg", 0.1, 12.0),
    ("ignition_target", "deg", 0.1, 12.0),
    ("lambda", "1", 0.001, 0.85),
    ("lambda_target", "1", 0.001, 0.85),
    ("fuel_pressure_low", "kPa", 0.5, 500.0),
    ("fuel_pressure_low_target", "kPa", 0.5, 500.0),
    ("fuel_pressure_high", "kPa", 1.0, 20_000.0),
    ("fuel_pressure_high_target", "kPa", 1.0, 20_000.0),
    ("coolant_temperature", "degC", 0.1, 90.0),
    ("oil_temperature", "degC", 0.1, 95.0),
    ("exhaust_gas_temperature", "degC", 0.1, 820.0),
    ("intake_air_temperature", "degC", 0.1, 30.0),
    ("charge_air_temperature", "degC", 0.1, 42.0),
    ("engine_torque", "Nm", 0.1, 250.0),
    ("torque_request", "Nm", 0.1, 250.0),
)
MAP_HEAD: Final = """\
pullwatch_map: 1
lines:
  dyno: {delimiter: ';', clock: {field: 0, unit: s}}
channels:
"""
NAMES: Final = [name for name, *_ in NAMED]
SPEED, PEDAL, THROTTLE = (NAMES.index(n) for n in ("engine_speed", "pedal_position",
                                                    "throttle_position"))  # fmt: skip
HEX: Final[NDArray[np.uint8]] = np.array([list(b"%02X" % n) for n in range(256)], dtype=np.uint8)


def map_text() -> str:
    """The channel map of all this."""
    entries = [_can_entry(index) for index in range(IDENTIFIERS * FIELDS)]
    entries += [
        f"{name}: {{quantity: {name}, source: dyno, unit: {unit}, line: {{field: {field}}}}}"
        for field, (name, unit) in enumerate((("roller_speed", "km/h"), ("roller_torque", "Nm")), 1)
    ]
    return MAP_HEAD + "".join(f"  {entry}\n" for entry in entries)


def _can_entry(index: int) -> str:
    frame, field = divmod(index, FIELDS)
    can = f"identifier: {FIRST_IDENTIFIER + frame}, start_bit: {16 * field}, bits: 16"
    if index >= len(NAMED):
        return f"extra_{index}: {{source: engine, unit: '1', can: {{{can}}}}}"
    name, unit, scale, _ = NAMED[index]
    quantity, _, cylinder = name.partition("_retard_")
    means = f"{quantity}_retard, cylinder: {cylinder}" if cylinder else name
    return (
        f"{name}: {{quantity: {means}, source: engine, unit: '{unit}', "
        f"can: {{{can}, scale: {scale}}}}}"
    )


class Car:
    """Raw values of every channel at a moment, and the events a listener is to hear of."""

    def __init__(self, seed: int) -> None:
        self.raw = np.zeros(IDENTIFIERS * FIELDS, dtype="<u2")
        for index, (_, _, scale, value) in enumerate(NAMED):
            self.raw[index] = round(value / scale)
        self.knocks: dict[str, int] = {}  # "channel value" -> when its alert became due, ns
        self.lifts: list[int] = []
        self._random = random.Random(seed)
        self._numbers = np.random.default_rng(seed)
        self._next_knock_s = 0.0
        self._knocking: dict[int, tuple[float, int]] = {}  # cylinder -> until when, frames sent
        self._worst = [FIRST_KNOCK_DEG] * CYLINDERS
        self._was_full = False

    def drive(self, at_s: float) -> None:
        """Move everything to a moment of the run."""
        inside_s = (at_s - WARM_UP_S) % PERIOD_S if at_s > WARM_UP_S else 0.0
        self._rpm = float(
            np.interp(inside_s, (SWEEP_S, LIFT_S, DOWN_S), (LOW_RPM, HIGH_RPM, LOW_RPM))
        )
        self.full = HOLD_S <= inside_s < LIFT_S
        self.raw[SPEED] = round(self._rpm / 0.25)
        self.raw[PEDAL] = self.raw[THROTTLE] = 1000 if self.full else 100
        self.raw[len(NAMED) :] += self._numbers.integers(0, 3, len(self.raw) - len(NAMED), "<u2")
        self._knock(at_s, SWEEP_S + 0.5 < inside_s < LIFT_S - 0.2)

    @property
    def roller_kmh(self) -> float:
        return self._rpm / 40.0

    def _knock(self, at_s: float, sweeping: bool) -> None:
        for cylinder, (until_s, _) in list(self._knocking.items()):
            if at_s >= until_s:
                del self._knocking[cylinder]
                self.raw[_knock_index(cylinder)] = 0
        if sweeping and at_s >= self._next_knock_s:
            self._next_knock_s = at_s + self._random.expovariate(1.0 / KNOCK_GAP_S)
            cylinder = self._random.randrange(CYLINDERS)
            if cylinder not in self._knocking:
                self._knocking[cylinder] = (at_s + KNOCK_S, 0)
                self.raw[_knock_index(cylinder)] = round(self._worst[cylinder] / 0.25)
                self._worst[cylinder] += KNOCK_STEP_DEG

    def note(self, frames: NDArray[np.int64], written_ns: int) -> None:
        """These frames (their place among the identifiers) have just been written."""
        for cylinder, (until_s, before) in self._knocking.items():
            sent = before + int(np.count_nonzero(frames == _knock_index(cylinder) // FIELDS))
            self._knocking[cylinder] = (until_s, sent)
            if before < SAMPLES_FOR_AN_ALERT <= sent:
                deg = self.raw[_knock_index(cylinder)] * 0.25
                self.knocks[f"knock_retard_{cylinder + 1} {deg:g}"] = written_ns
        if (frames == PEDAL // FIELDS).any():
            if self._was_full and not self.full:
                self.lifts.append(written_ns)
            self._was_full = self.full


def _knock_index(cylinder: int) -> int:
    return NAMES.index("knock_retard_1") + cylinder


def lines_of(frames: NDArray[np.int64], raw: NDArray[np.uint16], stamp_ms: int) -> bytes:
    """The frames as an adapter sends them."""
    lines = np.empty((len(frames), LINE), dtype=np.uint8)
    lines[:, :5] = HEADS[frames]
    payload = raw.reshape(IDENTIFIERS, FIELDS)[frames].view(np.uint8)
    lines[:, 5:21] = HEX[payload].reshape(len(frames), 16)
    lines[:, 21:] = np.frombuffer(b"%04X\r" % (stamp_ms % 60_000), dtype=np.uint8)
    return lines.tobytes()


HEADS: Final = np.array(
    [list(b"t%03X8" % (FIRST_IDENTIFIER + n)) for n in range(IDENTIFIERS)], dtype=np.uint8
)


def send(rate: float, seconds: float, adapter: SlcanAdapter, dyno: PtyPort, car: Car) -> int:
    """Send for so long; returns how many frames."""
    started_ns, sent, lines = time.monotonic_ns(), 0, 0
    while (at_s := (time.monotonic_ns() - started_ns) / 1e9) < seconds:
        adapter.poll()
        car.drive(at_s)
        due = int(at_s * rate)
        if due > sent:
            frames = np.arange(sent, due) % IDENTIFIERS
            text = lines_of(frames, car.raw, int(at_s * 1000))
            written_ns = time.monotonic_ns()
            adapter.send(text)
            car.note(frames, written_ns)
            sent = due
        if at_s * DYNO_HZ >= lines:
            dyno.write(f"{at_s:.3f};{car.roller_kmh:.2f};{150.0}\r\n".encode())
            lines += 1
        time.sleep(TICK_S)
    return sent


def main(rate: float, seconds: float, seed: int) -> None:
    engine, dyno = PtyPort(), PtyPort()
    adapter, car = SlcanAdapter(engine), Car(seed)
    print(json.dumps({"engine": engine.url, "dyno": dyno.url}), flush=True)
    while not (adapter.open and dyno.connected):
        adapter.poll()
        time.sleep(TICK_S)
    print(json.dumps({"began_ns": time.monotonic_ns()}), flush=True)
    sent = send(rate, seconds, adapter, dyno, car)
    while engine.has_unread:
        engine.write(b"")
        time.sleep(TICK_S)
    dropped = engine.dropped // LINE
    said = {"sent": sent, "dropped": dropped, "knocks": car.knocks, "lifts": car.lifts}
    print(json.dumps(said), flush=True)
    sys.stdin.read()


if __name__ == "__main__":
    main(float(sys.argv[1]), float(sys.argv[2]), int(sys.argv[3]))
