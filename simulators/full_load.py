"""The healthy car on an engine bench: what its calibrator measured before it was sold.

Full load, steady, for every speed: the boost the turbo can give, the wastegate opening that gives
the target, air, fuel and torque. The ECU's feed-forward and the size of pumps come from here.
"""

from dataclasses import dataclass, replace
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

# Where no source stands, the figure was set by hand on the cars of cars.py.
STEP_RPM: Final = 250
LOWEST_RPM: Final = 750
BEYOND_LIMITER_RPM: Final = 501  # the range is open at its end
CHARGE_K: Final = 318.0  # charge air at full load behind a cooler in good air
INTAKE_K: Final = 278.0  # over the cell's temperature in degC: five kelvin warmed up on the way
EXHAUST_ZERO_K: Final = 273.0
RESERVE: Final = 0.88  # the target asks for this share of the boost the turbo can give
OIL_DEGC: Final = 95.0
LARGEST_FLOW_SQUARE: Final = 2.0  # flow over rated flow, squared; the exhaust's loss ends there
UNKNOWN_RATED_GS: Final = 1e9  # before the rated flow is known: no loss in the exhaust
PARTLY_OPEN: Final = 0.3  # wastegate, while the rated flow is looked for
EXHAUST_ROUNDS: Final = 5  # exhaust pressure and filling depend on each other, weakly
EFFICIENCY_ROUNDS: Final = 3  # compressor efficiency and tip speed likewise
BOOST_HALVINGS: Final = 16
OPENING_HALVINGS: Final = 14


@dataclass(frozen=True, slots=True)
class Operation:
    """Where the engine is held. boost_kpa: gauge, in the manifold; below 0 without a turbo."""

    engine_rpm: float
    boost_kpa: float
    wastegate_opening: float = 0.0


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


@dataclass(frozen=True, slots=True)
class HealthyCar:
    """A car without faults in some air. rated_air_gs: the largest flow its engine takes."""

    car: CarModel
    air: AirModel
    rated_air_gs: float = UNKNOWN_RATED_GS

    def steady(self, held: Operation) -> FullLoadPoint:
        """Full load, everything settled."""
        car, air, engine, rpm = self.car, self.air, Engine(self.car.engine), held.engine_rpm
        manifold_kpa = air.barometric_kpa + held.boost_kpa
        charge_k = CHARGE_K if car.turbo else air.temperature_degc + INTAKE_K
        lambda_ = full_load_lambda(car).at(rpm)
        spark_deg = Curve(car.engine.knock_base).at(rpm) + car.calibration.spark_offset_deg
        late_deg = engine.best_spark_deg(rpm, manifold_kpa) - spark_deg
        air_per_fuel = DIESEL_STOICHIOMETRIC if car.diesel else PETROL_STOICHIOMETRIC
        exhaust_kpa = manifold_kpa
        for _ in range(EXHAUST_ROUNDS):
            air_gs = engine.air_gs(rpm, manifold_kpa, charge_k, exhaust_kpa)
            fuel_gs = air_gs / (air_per_fuel * lambda_)
            losses = min((air_gs / self.rated_air_gs) ** 2, LARGEST_FLOW_SQUARE)
            back_kpa = air.barometric_kpa + car.exhaust_rise_kpa * losses
            exhaust_k = engine.exhaust_degc(rpm, air_gs, lambda_, late_deg) + EXHAUST_ZERO_K
            exhaust_kpa = back_kpa
            if car.turbo is not None:
                driven_gs = _through_turbine(car.turbo, air_gs + fuel_gs, held)
                exhaust_kpa *= expansion_ratio(car.turbo, driven_gs, exhaust_k, back_kpa)
        torque_nm = (
            engine.indicated_nm(rpm, air_gs, lambda_, spark_factor(late_deg))
            - engine.friction_nm(rpm, OIL_DEGC)
            - engine.pumping_nm(manifold_kpa, exhaust_kpa)
        )
        return FullLoadPoint(
            air_gs=air_gs,
            fuel_gs=fuel_gs,
            exhaust_kpa=exhaust_kpa,
            exhaust_k=exhaust_k,
            back_kpa=back_kpa,
            torque_nm=torque_nm,
        )

    def surplus_w(self, turbo: TurboModel, held: Operation) -> float:
        """Turbine less compressor power there: positive, and the wheel gains speed."""
        car, air, point = self.car, self.air, self.steady(held)
        flow_square = (point.air_gs / self.rated_air_gs) ** 2
        inlet_kpa = air.barometric_kpa - car.intake_drop_kpa * flow_square
        drop_kpa = 0.0 if car.cooler is None else car.cooler.pressure_drop_kpa * flow_square
        ratio = (air.barometric_kpa + held.boost_kpa + drop_kpa) / inlet_kpa
        inlet_k = air.temperature_degc + INTAKE_K
        efficiency = turbo.compressor_efficiency
        for _ in range(EFFICIENCY_ROUNDS):
            tip2 = tip2_for(ratio, efficiency, inlet_k)
            efficiency = compressor_efficiency(turbo, point.air_gs, tip2)
        driven_gs = _through_turbine(turbo, point.air_gs + point.fuel_gs, held)
        expansion = expansion_ratio(turbo, driven_gs, point.exhaust_k, point.back_kpa)
        taken_w = point.air_gs * 1e-3 * WORK_FACTOR * tip2
        return turbine_w(turbo, driven_gs, point.exhaust_k, expansion) - taken_w

    def largest_boost_kpa(self, turbo: TurboModel, rpm: float, wanted_kpa: float) -> float:
        """The boost asked for, or what the turbo can give with something in hand."""
        low, high = 0.0, wanted_kpa / RESERVE
        if self.surplus_w(turbo, Operation(rpm, high)) >= 0.0:
            return wanted_kpa
        for _ in range(BOOST_HALVINGS):
            middle = (low + high) / 2.0
            if self.surplus_w(turbo, Operation(rpm, middle)) >= 0.0:
                low = middle
            else:
                high = middle
        return low * RESERVE

    def balanced_opening(self, turbo: TurboModel, rpm: float, boost_kpa: float) -> float:
        """The wastegate opening at which turbine and compressor balance."""
        low, high = 0.0, 1.0
        for _ in range(OPENING_HALVINGS):
            middle = (low + high) / 2.0
            if self.surplus_w(turbo, Operation(rpm, boost_kpa, middle)) >= 0.0:
                low = middle
            else:
                high = middle
        return low


def _through_turbine(turbo: TurboModel, exhaust_gs: float, held: Operation) -> float:
    """What the wastegate leaves of the flow."""
    return exhaust_gs * (1.0 - turbo.wastegate_bypass * held.wastegate_opening)


@lru_cache(maxsize=64)
def full_load_curves(car: CarModel, air: AirModel) -> FullLoadCurves:
    """Run the healthy car through its speed range."""
    top_rpm = int(car.engine.limiter_rpm) + BEYOND_LIMITER_RPM
    speeds = [float(rpm) for rpm in range(LOWEST_RPM, top_rpm, STEP_RPM)]
    wanted = Curve(car.calibration.boost_target)
    loss_kpa = car.intake_drop_kpa  # without a turbo the filter's drop is missing in the manifold
    healthy = HealthyCar(car, air)
    rated_air_gs = max(
        healthy.steady(Operation(n, wanted.at(n) if car.turbo else -loss_kpa, PARTLY_OPEN)).air_gs
        for n in speeds
    )
    healthy = replace(healthy, rated_air_gs=rated_air_gs)
    if car.turbo is None:
        held = [Operation(n, -loss_kpa * (n / speeds[-1]) ** 2) for n in speeds]
        targets_kpa = [0.0] * len(speeds)
    else:
        targets_kpa = [healthy.largest_boost_kpa(car.turbo, n, wanted.at(n)) for n in speeds]
        held = [
            Operation(n, kpa, healthy.balanced_opening(car.turbo, n, kpa))
            for n, kpa in zip(speeds, targets_kpa, strict=True)
        ]
    points = [healthy.steady(operation) for operation in held]
    by_speed = list(zip(speeds, points, strict=True))
    return FullLoadCurves(
        boost_target=Curve(zip(speeds, targets_kpa, strict=True)),
        wastegate=Curve((operation.engine_rpm, operation.wastegate_opening) for operation in held),
        torque_nm=Curve((n, point.torque_nm) for n, point in by_speed),
        fuel_gs=Curve((n, point.fuel_gs) for n, point in by_speed),
        rated_air_gs=max(point.air_gs for point in points),
        rated_fuel_gs=max(point.fuel_gs for point in points),
        fuel_per_rev_g=max(point.fuel_gs * 60.0 / n for n, point in by_speed),
        peak_torque_nm=max(point.torque_nm for point in points),
    )
