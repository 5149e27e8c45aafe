"""What can be wrong with a car, each as a change of its physics, clear and severe."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

import numpy as np

from independent_engines.cars import Car
from independent_engines.condition import Condition
from independent_engines.gas import swallowing
from independent_engines.turbocharging import balanced_opening

Random = np.random.Generator
Maker = Callable[[Random, Car, bool], Condition]

PETROL_TURBO: Final = ("turbo_direct", "stoichiometric_turbo", "large_turbo", "torque_request")
TURBO: Final = (*PETROL_TURBO, "ethanol_turbo", "turbo_diesel")
SPARK_CAR: Final = (*PETROL_TURBO, "natural_port", "blower_petrol", "ethanol_turbo")
PORT: Final = ("natural_port", "blower_petrol", "four_motorcycle", "single_motorcycle")
NATURAL: Final = ("natural_port", "four_motorcycle", "single_motorcycle")
KNOCKING: Final = (
    *("turbo_direct", "stoichiometric_turbo", "torque_request", "blower_petrol", "natural_port"),
)
ALL: Final = (*TURBO, *PORT)


@dataclass(frozen=True, slots=True)
class Fault:
    """cause: as the program names it, or will. key: part of the key of the finding that says it
    where no cause has that name. make: the condition, severe or clear. meter: the car has an air
    meter. dyno: needs the dyno's channels."""

    cause: str
    kinds: tuple[str, ...]
    make: Maker
    key: str = ""
    meter: bool = False
    dyno: bool = False


def _peak_wheel_nm(car: Car) -> float:
    drive = car.drive
    ratio = 2.0 * np.pi * drive.wheel_radius_m * 60.0 / drive.kmh_per_1000_rpm
    return float(car.peak_nm * ratio * drive.efficiency)


def _one_cylinder(random: Random, car: Car, severe: bool) -> Condition:
    cylinder = int(random.integers(car.engine.cylinders)) + 1
    return Condition(knocking_cylinder=cylinder, knocking_deg=10.0 if severe else 7.0)


def _closed_gate(random: Random, car: Car, severe: bool) -> Condition:
    """It opens no further than a part of what rated speed asks for."""
    engine, air = car.engine, car.air
    assert engine.turbo is not None
    assert engine.boost is not None
    target_kpa = engine.boost.target_kpa[-1]
    swallow = swallowing(engine.filling, engine.displacement_l, engine.rated_rpm, 322.0)
    exhaust = 1.07 * swallow * (air.pressure_kpa + target_kpa)
    inlet_k, outlet_kpa = air.temperature_degc + 276.0, air.pressure_kpa + engine.exhaust_drop_kpa
    demand = (air.pressure_kpa - 2.0, inlet_k, exhaust, 1_100.0, outlet_kpa, air.pressure_kpa)
    opening = balanced_opening(engine.turbo, target_kpa, demand)
    return Condition(gate_most=opening * (0.58 if severe else 0.74))


def _misfire(random: Random, car: Car, severe: bool) -> Condition:
    share = 0.8 if severe else 0.4
    return Condition(misfire_share=share, misfire_rpm=0.45 * car.engine.rated_rpm)


def _injectors(random: Random, car: Car, severe: bool) -> Condition:
    return Condition(
        injector_share=car.engine.calibration.injector_duty_full / (135.0 if severe else 115.0)
    )


def _closure(random: Random, car: Car, severe: bool) -> Condition:
    from_rpm = float(random.uniform(0.55, 0.75)) * car.engine.rated_rpm
    return Condition(closure_rpm=from_rpm, closure_to=0.25 if severe else 0.4)


def _ethanol(random: Random, car: Car, severe: bool) -> Condition:
    if car.engine.kind == "ethanol_turbo":  # winter fuel, or petrol
        return Condition(ethanol_ratio=11.9 if severe else 10.9)
    return Condition(ethanol_ratio=11.8 if severe else 12.9)


def _intake(random: Random, car: Car, severe: bool) -> Condition:
    drop_kpa = (
        (22.0 if severe else 12.0) if car.engine.turbo is None else (25.0 if severe else 14.0)
    )
    return Condition(intake_drop_share=drop_kpa / car.engine.intake_drop_kpa)


def _exhaust(random: Random, car: Car, severe: bool) -> Condition:
    return Condition(exhaust_drop_share=(200.0 if severe else 120.0) / car.engine.exhaust_drop_kpa)


FAULTS: Final[Mapping[str, Fault]] = {
    "low octane": Fault(
        "low_octane_fuel", KNOCKING, lambda r, c, s: Condition(octane_lost=10.0 if s else 6.0)
    ),
    "one cylinder knocks": Fault("single_cylinder_knock", KNOCKING, _one_cylinder),
    "hot charge": Fault(
        "hot_charge_air",
        ("turbo_direct", "stoichiometric_turbo", "torque_request", "turbo_diesel"),
        lambda r, c, s: Condition(cooler_share=0.15 if s else 0.4),
    ),
    "boost leak": Fault(
        "boost_leak",
        ("turbo_direct", "stoichiometric_turbo", "torque_request"),
        lambda r, c, s: Condition(leak_share=0.3 if s else 0.2),
        meter=True,
    ),
    "gate stuck open": Fault(
        "wastegate_stuck_open",
        ("turbo_direct", "stoichiometric_turbo", "torque_request", "ethanol_turbo", "turbo_diesel"),
        lambda r, c, s: Condition(gate_stuck=1.0 if s else 0.45),
    ),
    "gate stuck closed": Fault(
        "wastegate_stuck_closed",
        ("turbo_direct", "stoichiometric_turbo", "torque_request", "ethanol_turbo"),
        _closed_gate,
    ),
    "boost swings": Fault(
        "boost_oscillation",
        ("turbo_direct", "stoichiometric_turbo", "torque_request", "ethanol_turbo"),
        lambda r, c, s: Condition(boost_gain=4.0, boost_travel=0.045 if s else 0.022),
    ),
    "intake restricted": Fault(
        "restricted_intake",
        ("turbo_direct", "stoichiometric_turbo", "torque_request", *NATURAL),
        _intake,
    ),
    "exhaust restricted": Fault(
        "restricted_exhaust",
        ("turbo_direct", "stoichiometric_turbo", "natural_port"),
        _exhaust,
    ),
    "low-pressure pump": Fault(
        "weak_low_pressure_fuel_pump",
        ("turbo_direct", "ethanol_turbo", *PORT),
        lambda r, c, s: Condition(
            low_pump_share=(0.55 if s else 0.72) / c.engine.calibration.pump_reserve
        ),
    ),
    "high-pressure pump": Fault(
        "weak_high_pressure_fuel_pump",
        ("turbo_direct", "stoichiometric_turbo", "ethanol_turbo", "turbo_diesel"),
        lambda r, c, s: Condition(
            high_pump_share=(0.5 if s else 0.68) / c.engine.calibration.pump_reserve
        ),
    ),
    "injectors": Fault("injector_limit", PORT, _injectors),
    "closure": Fault("protective_throttle_closure", SPARK_CAR, _closure),
    "misfire": Fault("misfire", SPARK_CAR, _misfire),
    "tyre slip": Fault(
        "tyre_slip",
        ("turbo_direct", "blower_petrol", "turbo_diesel", "stoichiometric_turbo"),
        lambda r, c, s: Condition(
            grip_share=_peak_wheel_nm(c) / c.drive.grip_nm / (1.35 if s else 1.18)
        ),
        dyno=True,
    ),
    "clutch slip": Fault(
        "clutch_slip",
        ("turbo_direct", "blower_petrol", "turbo_diesel", "stoichiometric_turbo"),
        lambda r, c, s: Condition(
            clutch_share=c.peak_nm / c.drive.clutch_nm / (1.35 if s else 1.18)
        ),
        dyno=True,
    ),
    "overheating": Fault(
        "overheating",
        SPARK_CAR,
        lambda r, c, s: Condition(
            cooling_share=0.1 if s else 0.2,
            start_coolant_k=(22.0 if s else 14.0) + 105.0 - c.engine.thermostat_degc,
        ),
    ),
    "timing taken": Fault(
        "ignition_intervention",
        SPARK_CAR,
        lambda r, c, s: Condition(
            timing_taken_deg=14.0 if s else 8.0,
            timing_taken_rpm=float(r.uniform(0.3, 0.55)) * c.engine.rated_rpm,
        ),
    ),
    "under-fuelling": Fault(
        "fuel_quantity_error", SPARK_CAR, lambda r, c, s: Condition(fuel_share=0.82 if s else 0.89)
    ),
    "ethanol": Fault(
        "ethanol_content", ("turbo_direct", "natural_port", "ethanol_turbo"), _ethanol
    ),
    "belt slip": Fault(
        "belt_slip", ("blower_petrol",), lambda r, c, s: Condition(belt_slip=0.3 if s else 0.18)
    ),
    "speed limiter": Fault(
        "speed_limiter",
        SPARK_CAR,
        lambda r, c, s: Condition(limiter_rpm=(0.72 if s else 0.85) * c.engine.limiter_rpm),
    ),
    "turbo overspeed": Fault(
        "turbo_overspeed",
        ("turbo_direct", "stoichiometric_turbo"),
        lambda r, c, s: Condition(boost_target_share=1.75 if s else 1.5),
    ),
    "diesel overfuelled": Fault(
        "fuel_quantity_error",
        ("turbo_diesel",),
        lambda r, c, s: Condition(diesel_fuel_share=1.4 if s else 1.25),
    ),
    "low oil pressure": Fault(
        "low_oil_pressure",
        ("turbo_direct", "natural_port", "four_motorcycle", "turbo_diesel"),
        lambda r, c, s: Condition(oil_share=0.12 if s else 0.3),
        key="oil",
    ),
}

# What the channels of a log cannot tell apart: either may come first where both are named.
TWINS: Final = (
    frozenset({"fuel_quantity_error", "ethanol_content"}),
    frozenset({"restricted_exhaust", "ignition_intervention"}),
)
