"""The simulated engines beside measured ones: mean pressure, consumption and air at full load.

The measured curves are of 1990s engines (two petrol, naturally aspirated; one turbocharged
diesel), in the open data under full_load_curves; its SOURCE.txt gives the ranges that hold for
engines of today too.
"""

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from analysis.checks.air_and_torque import expected_kw_per_g_s
from analysis.model.setup import Ignition
from analysis.physics.thermodynamics import compressor_efficiency
from decode.samples import FloatArray
from simulators.car import AirModel, CarModel
from simulators.cars import CARS
from simulators.dyno import Braked
from simulators.manoeuvres import Sweep
from simulators.scenario import Scenario
from simulators.session import simulate

PEAK_BMEP_BAR = (8.0, 25.0)  # full load, naturally aspirated to strongly charged (SOURCE.txt)
MEASURED = {
    Ignition.SPARK: ("FC_SI41_emis", "FC_SI102_emis"),
    Ignition.COMPRESSION: ("FC_CI67",),
}
STOICHIOMETRIC = {Ignition.SPARK: 14.6, Ignition.COMPRESSION: 14.5}
each_car = pytest.mark.parametrize("car", CARS, ids=lambda car: car.name)


@dataclass(frozen=True)
class FullLoad:
    """A slow sweep at full load, float64[n] each; torque as a steady engine bench would read it."""

    speed_rpm: FloatArray
    torque_nm: FloatArray
    air_g_s: FloatArray
    mixture: FloatArray

    @property
    def power_kw(self) -> FloatArray:
        return self.torque_nm * self.speed_rpm * np.pi / 30 / 1000


@cache
def full_load(car: CarModel) -> FullLoad:
    plan = (Sweep(gear=4, end_rpm=car.engine.limiter_rpm - 300.0, ramp_rpm_s=300.0),)
    session = simulate(Scenario(car=car, dyno=Braked(), plan=plan), 1)
    (pull,), trace = session.truth.pulls, session.trace
    inside = (trace["time"] >= pull.start_s) & (trace["time"] <= pull.end_s)
    names = ("engine_speed", "brake_torque", "air_mass_flow", "lambda")
    return FullLoad(*(trace[name][inside] for name in names))


def bmep_bar(car: CarModel) -> FloatArray:
    """Brake mean effective pressure of a four-stroke: T 4 pi / V_d."""
    return full_load(car).torque_nm * 4 * np.pi / (car.engine.displacement_l * 100.0)


def consumption_g_kwh(car: CarModel) -> FloatArray:
    load = full_load(car)
    fuel_g_s = load.air_g_s / (STOICHIOMETRIC[car.engine.ignition] * load.mixture)
    return 3600 * fuel_g_s / load.power_kw


def measured(open_data: Path, ignition: Ignition, column: str) -> list[FloatArray]:
    """That column of the full-load curve of every measured engine of the kind."""
    folder = open_data / "full_load_curves"
    tables = [
        np.genfromtxt(folder / f"{name}_full_load.csv", delimiter=",", names=True)
        for name in MEASURED[ignition]
    ]
    return [table[column] for table in tables]


@each_car
def test_full_load_mean_pressure_is_that_of_an_engine(car: CarModel) -> None:
    low, high = PEAK_BMEP_BAR
    assert low <= bmep_bar(car).max() <= high


@pytest.mark.parametrize("car", [c for c in CARS if c.turbo is None], ids=lambda car: car.name)
def test_naturally_aspirated_engines_peak_where_measured_ones_do(
    car: CarModel, open_data: Path
) -> None:
    peaks = [curve.max() for curve in measured(open_data, Ignition.SPARK, "bmep_bar")]
    assert 0.9 * min(peaks) <= bmep_bar(car).max() <= 1.2 * max(peaks)  # 25 years of progress


@each_car
def test_full_load_consumption_is_within_what_was_measured(car: CarModel, open_data: Path) -> None:
    """At every speed inside the measured engines' span; the best within a tenth of theirs."""
    curves = measured(open_data, car.engine.ignition, "bsfc_gpkwh_at_full_load")
    simulated, every = consumption_g_kwh(car), np.concatenate(curves)
    assert every.min() <= simulated.min()
    assert simulated.max() <= every.max()
    assert simulated.min() == pytest.approx(np.mean([c.min() for c in curves]), rel=0.1)


@each_car
def test_air_for_each_kilowatt_is_what_its_fuel_needs(car: CarModel) -> None:
    """Within the range that the plausibility check calls healthy, the whole sweep long."""
    load = full_load(car)
    expected = [expected_kw_per_g_s(car.engine.ignition, mixture) for mixture in load.mixture]
    ratio = load.power_kw / (load.air_g_s * np.array(expected, dtype=np.float64))
    assert ratio.min() > 0.75
    assert ratio.max() < 1.15


@pytest.mark.parametrize("car", [c for c in CARS if c.turbo is not None], ids=lambda car: car.name)
def test_a_compressor_stays_on_its_map_on_a_hot_day(car: CarModel) -> None:
    """0.60 at the edge of published maps, 0.80 at their best; over the ratio that can be measured,
    of which filter and cooler hide a tenth."""
    air = AirModel(barometric_kpa=96.0, temperature_degc=32.0)
    plan = (Sweep(gear=4, end_rpm=car.engine.limiter_rpm - 100.0, ramp_rpm_s=400.0),)
    session = simulate(Scenario(car=car, dyno=Braked(), plan=plan, air=air, warm_core_k=8.0), 1)
    (pull,), trace = session.truth.pulls, session.trace
    middle_s = (pull.start_s + pull.end_s) / 2
    inside = (trace["time"] >= middle_s) & (trace["time"] <= pull.end_s)
    efficiency = compressor_efficiency(
        trace["intake_air_temperature"][inside],
        trace["compressor_outlet_temperature"][inside],
        1.0 + trace["boost_pressure"][inside] / air.barometric_kpa,
    )
    assert efficiency.min() > 0.54
    assert efficiency.max() < 0.80
