"""The healthy car on an engine bench: what its calibrator measured before it was sold.

Full load, steady, for every speed: the boost the turbo can give, the wastegate opening that gives
the target, air, fuel and torque. The ECU's feed-forward and the size of pumps come from here.
"""

from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from simulators.car import AirModel, CarModel, TurboModel
from simulators.curve import Curve
from simulators.engine import (
    DIESEL_STOICHIOMETRIC,
    PETROL_STOICHIOMETRIC,
    Engine,
    spark_factor,
)
from simulators.turbo import (
    WORK_FACTOR,
    compressor_efficiency,
    expansion_ratio,
    tip2_for,
    turbine_w,
)

STEP_RPM: Final = 250
CHARGE_K: Final = 318.0  # charge air at full load behind a cooler in good air
RESERVE: Final = 0.88  # the target asks for this share of the boost the turbo can give
OIL_DEGC: Final = 95.0


@dataclass(frozen=True, slots=True)
class FullLoadPoint:
    """One steady full-load point."""

    air_gs: float
    fuel_gs: float
    exhaust_kpa: float
    exhaust_k: float
    back_kpa: float
    torque_nm: float


@dataclass(frozen=True)
class FullLoadCurves:
    """boost_target: gauge kPa the ECU asks for. wastegate: opening 0..1 that gives it."""

    boost_target: Curve
    wastegate: Curve
    torque_nm: Curve
    fuel_gs: Curve
    rated_air_gs: float
    rated_fuel_gs: float
    fuel_per_rev_g: float
    peak_torque_nm: float


def full_load_lambda(car: CarModel) -> Curve:
    """The mixture the ECU asks for at full load; compression ignition: its smoke limit."""
    if car.diesel:
        return Curve(((1000.0, car.engine.smoke_lambda), (5000.0, car.engine.smoke_lambda + 0.06)))
    return Curve(car.calibration.lambda_full_load)


def steady(
    car: CarModel, air: AirModel, rpm: float, boost_kpa: float, opening: float, rated: float
) -> FullLoadPoint:
    """Full load at a manifold pressure of boost_kpa gauge with the wastegate at opening."""
    engine = Engine(car.engine)
    manifold = air.barometric_kpa + boost_kpa
    charge_k = CHARGE_K if car.turbo else air.temperature_degc + 278.0
    mixture = full_load_lambda(car).at(rpm)
    knock = Curve(car.engine.knock_base).at(rpm) + car.calibration.spark_offset_deg
    late = engine.best_spark_deg(rpm, manifold) - knock
    exhaust_kpa = manifold
    point = FullLoadPoint(0, 0, 0, 0, 0, 0)
    for _ in range(5):  # exhaust pressure and filling depend on each other, weakly
        flow = engine.air_gs(rpm, manifold, charge_k, exhaust_kpa)
        ratio = DIESEL_STOICHIOMETRIC if car.diesel else PETROL_STOICHIOMETRIC
        fuel = flow / (ratio * mixture)
        back = air.barometric_kpa + car.exhaust_rise_kpa * min((flow / rated) ** 2, 2.0)
        exhaust_k = engine.exhaust_degc(rpm, flow, mixture, late) + 273.0
        exhaust_kpa = back
        if car.turbo is not None:
            driven = (flow + fuel) * (1.0 - car.turbo.wastegate_bypass * opening)
            exhaust_kpa = back * expansion_ratio(car.turbo, driven, exhaust_k, back)
        torque = (
            engine.indicated_nm(rpm, flow, mixture, spark_factor(late))
            - engine.friction_nm(rpm, OIL_DEGC)
            - engine.pumping_nm(manifold, exhaust_kpa)
        )
        point = FullLoadPoint(flow, fuel, exhaust_kpa, exhaust_k, back, torque)
    return point


def surplus_w(
    car: CarModel,
    turbo: TurboModel,
    air: AirModel,
    rpm: float,
    boost_kpa: float,
    opening: float,
    rated: float,
) -> float:
    """Turbine less compressor power at that point: positive, and the wheel gains speed."""
    point = steady(car, air, rpm, boost_kpa, opening, rated)
    share = (point.air_gs / rated) ** 2
    inlet = air.barometric_kpa - car.intake_drop_kpa * share
    drop = 0.0 if car.cooler is None else car.cooler.pressure_drop_kpa * share
    ratio = (air.barometric_kpa + boost_kpa + drop) / inlet
    inlet_k = air.temperature_degc + 278.0
    efficiency = turbo.compressor_efficiency
    tip2 = 0.0
    for _ in range(3):
        tip2 = tip2_for(ratio, efficiency, inlet_k)
        efficiency = compressor_efficiency(turbo, point.air_gs, tip2)
    driven = (point.air_gs + point.fuel_gs) * (1.0 - turbo.wastegate_bypass * opening)
    expansion = expansion_ratio(turbo, driven, point.exhaust_k, point.back_kpa)
    return turbine_w(turbo, driven, point.exhaust_k, expansion) - (
        point.air_gs * 1e-3 * WORK_FACTOR * tip2
    )


def _largest_boost(
    car: CarModel, turbo: TurboModel, air: AirModel, rpm: float, wanted: float, rated: float
) -> float:
    """The boost asked for, or what the turbo can give with something in hand."""
    if surplus_w(car, turbo, air, rpm, wanted / RESERVE, 0.0, rated) >= 0.0:
        return wanted
    low, high = 0.0, wanted / RESERVE
    for _ in range(16):
        middle = (low + high) / 2.0
        if surplus_w(car, turbo, air, rpm, middle, 0.0, rated) >= 0.0:
            low = middle
        else:
            high = middle
    return low * RESERVE


def _opening(
    car: CarModel, turbo: TurboModel, air: AirModel, rpm: float, boost: float, rated: float
) -> float:
    """The wastegate opening at which turbine and compressor balance."""
    low, high = 0.0, 1.0
    for _ in range(14):
        middle = (low + high) / 2.0
        if surplus_w(car, turbo, air, rpm, boost, middle, rated) >= 0.0:
            low = middle
        else:
            high = middle
    return low


@lru_cache(maxsize=64)
def full_load_curves(car: CarModel, air: AirModel) -> FullLoadCurves:
    """Run the healthy car through its speed range."""
    speeds = [float(rpm) for rpm in range(750, int(car.engine.limiter_rpm) + 501, STEP_RPM)]
    targets = [0.0] * len(speeds)
    openings = [0.0] * len(speeds)
    wanted = Curve(car.calibration.boost_target)
    loss = car.intake_drop_kpa  # without a turbo the filter's drop is missing in the manifold
    rated = max(
        steady(car, air, n, wanted.at(n) if car.turbo else -loss, 0.3, 1e9).air_gs for n in speeds
    )
    if car.turbo is not None:
        targets = [_largest_boost(car, car.turbo, air, n, wanted.at(n), rated) for n in speeds]
        openings = [
            _opening(car, car.turbo, air, n, b, rated) for n, b in zip(speeds, targets, strict=True)
        ]
    points = [
        steady(car, air, n, b if car.turbo else -loss * (n / speeds[-1]) ** 2, w, rated)
        for n, b, w in zip(speeds, targets, openings, strict=True)
    ]
    return FullLoadCurves(
        boost_target=Curve(zip(speeds, targets, strict=True)),
        wastegate=Curve(zip(speeds, openings, strict=True)),
        torque_nm=Curve((n, p.torque_nm) for n, p in zip(speeds, points, strict=True)),
        fuel_gs=Curve((n, p.fuel_gs) for n, p in zip(speeds, points, strict=True)),
        rated_air_gs=max(point.air_gs for point in points),
        rated_fuel_gs=max(point.fuel_gs for point in points),
        fuel_per_rev_g=max(p.fuel_gs * 60.0 / n for n, p in zip(speeds, points, strict=True)),
        peak_torque_nm=max(point.torque_nm for point in points),
    )
