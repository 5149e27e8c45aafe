"""Faults by name and severity, turned into what they change in the physics.

extra by kind: single_cylinder_knock `cylinder`, `above_charge_degc` (latent below it);
misfire `cylinder`; protective_throttle_closure `trigger` (torque_limit with `from_rpm` and
`to_rpm`, or over_boost); tyre_slip `grip` (at or below 1 the wheels spin); sensor_fault
`channel`, `mode` (stuck, clipped, offset, dropout), `value`, `from_s`; clock_offset `offset_s`.
severity 0.3 is mild, 0.6 clear, 1.0 severe.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from analysis.model.findings import Cause

PUMP_RESERVE: Final = 1.45  # a healthy pump's capacity over the largest need
NEVER_DEGC: Final = -99.0


@dataclass(frozen=True)
class Fault:
    """One thing wrong with the car or the measuring. severity: 0 (as good as healthy) to 1."""

    kind: Cause
    severity: float
    extra: Mapping[str, float | str] = field(default_factory=dict)

    def number(self, name: str, default: float) -> float:
        """A number from extra."""
        return float(self.extra.get(name, default))


@dataclass(slots=True)
class Effects:
    """What the physics asks about faults; the defaults are a healthy car."""

    octane: float = 0.0
    weak_cylinder: int = 0  # from 1; 0: none
    weak_deg: float = 0.0
    weak_above_degc: float = NEVER_DEGC
    cooler_effect: float = 1.0
    cooler_fan: float = 1.0
    intake_hot_k: float = 0.0
    leak_share: float = 0.0  # of the rated flow, at 100 kPa boost
    wastegate_least: float = 0.0
    wastegate_most: float = 1.0
    wastegate_stick: float = 0.0
    boost_gain: float = 1.0
    intake_drop: float = 1.0
    exhaust_rise: float = 1.0
    low_pump_capacity: float = PUMP_RESERVE
    high_pump_capacity: float = PUMP_RESERVE
    injector_need: float = 1.0
    torque_limit: float = 9.9  # share of the engine's peak torque the ECU allows
    limit_from_rpm: float = 0.0
    limit_to_rpm: float = 99e3
    overboost_kpa: float = 99.0
    spool_overshoot_kpa: float = 0.0
    misfire_share: float = 0.0
    misfire_cylinder: int = 0
    grip: float = 99.0  # tyre force available over that at peak torque
    tyre_stiffness: float = 1.0
    clutch: float = 9.9  # capacity over peak torque, where below the model's own
    coolant_k: float = 0.0


def effects_of(faults: Sequence[Fault]) -> Effects:
    """All faults together."""
    effects = Effects()
    for fault in faults:
        _add(effects, fault, fault.severity)
    return effects


def _add(e: Effects, fault: Fault, s: float) -> None:
    """Each figure: harmless at 0, unmistakable at 1."""
    match fault.kind:
        case Cause.LOW_OCTANE_FUEL:
            e.octane = -2.5 - 7.5 * s  # at 1: ten octane numbers below what the ECU expects
        case Cause.SINGLE_CYLINDER_KNOCK:
            e.weak_cylinder = int(fault.number("cylinder", 2))
            e.weak_deg = 3.5 + 8.0 * s
            e.weak_above_degc = fault.number("above_charge_degc", NEVER_DEGC)
        case Cause.HOT_CHARGE_AIR:
            e.cooler_effect = 1.0 - 0.35 * s
            e.cooler_fan = 1.0 - 0.8 * s
            e.intake_hot_k = 12.0 * s
        case Cause.BOOST_LEAK:
            e.leak_share = 0.10 + 0.30 * s
        case Cause.WASTEGATE_STUCK_OPEN:
            e.wastegate_least = 0.12 + 0.55 * s
        case Cause.WASTEGATE_STUCK_CLOSED:
            e.wastegate_most = 0.56 - 0.28 * s
        case Cause.BOOST_OSCILLATION:
            e.wastegate_stick = 0.06 + 0.24 * s
            e.boost_gain = 1.8 + 2.7 * s
        case _:
            _add_flow_and_drive(e, fault, s)


def _add_flow_and_drive(e: Effects, fault: Fault, s: float) -> None:
    match fault.kind:
        case Cause.RESTRICTED_INTAKE:
            e.intake_drop = 2.0 + 7.0 * s
        case Cause.RESTRICTED_EXHAUST:
            e.exhaust_rise = 2.0 + 6.0 * s
        case Cause.WEAK_LOW_PRESSURE_FUEL_PUMP:
            e.low_pump_capacity = 1.02 - 0.2 * s
        case Cause.WEAK_HIGH_PRESSURE_FUEL_PUMP:
            e.high_pump_capacity = 1.02 - 0.2 * s
        case Cause.INJECTOR_LIMIT:
            e.injector_need = 1.15 + 0.4 * s
        case Cause.PROTECTIVE_THROTTLE_CLOSURE:
            _add_closure(e, fault, s)
        case Cause.MISFIRE:
            e.misfire_share = 0.03 + 0.25 * s
            e.misfire_cylinder = int(fault.number("cylinder", 0))
        case Cause.TYRE_SLIP:
            e.tyre_stiffness = 1.0 / (1.0 + 10.0 * s)
            e.grip = fault.number("grip", 99.0)
        case Cause.CLUTCH_SLIP:
            e.clutch = 0.95 - 0.25 * s
        case Cause.OVERHEATING:
            e.coolant_k = 15.0 + 17.0 * s
        case _:  # sensor faults and clock offsets touch the measuring only: sensors.py
            pass


def _add_closure(e: Effects, fault: Fault, s: float) -> None:
    if fault.extra.get("trigger", "torque_limit") == "over_boost":
        e.overboost_kpa = 14.0
        e.spool_overshoot_kpa = 22.0 + 12.0 * s
    else:
        e.torque_limit = 0.93 - 0.3 * s
        e.limit_from_rpm = fault.number("from_rpm", 3500.0)
        e.limit_to_rpm = fault.number("to_rpm", 4300.0)
