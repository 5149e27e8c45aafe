"""Power from mass and vehicle speed: an estimate whose interval holds the simulated truth."""

from dataclasses import replace

import numpy as np
import pytest
from test_analysis_power_simulated import pulls_of

from analysis.model.setup import Car
from analysis.power.road import road_estimate, road_power_w
from simulators.dyno import AIR_DRAG_KG_M, Road
from simulators.manoeuvres import RoadPull
from simulators.scenario import Scenario
from simulators.session import simulate

SCENARIO = Scenario(dyno=Road(), plan=(RoadPull(gears=(3,)),))


def test_interval_holds_the_true_power_of_a_road_pull() -> None:
    [(pull, true)] = pulls_of(simulate(SCENARIO, seed=2))
    found = road_estimate(pull, Car(mass_kg=SCENARIO.car.mass_kg))
    assert found is not None
    gaining = np.interp(found.engine_speed_rpm, true.engine_speed_rpm, true.wheel_power_kw)
    speed = pull.sweep(pull.samples["vehicle_speed"])
    rpm = pull.engine_speed_at(speed.time_s)
    speed_ms = np.interp(found.engine_speed_rpm, rpm, speed.value) / 3.6
    resistance_n = Road().rolling_n + AIR_DRAG_KG_M * speed_ms**2  # the truth counts only the gain
    truth = gaining + resistance_n * speed_ms / 1000
    held = np.abs(found.wheel_power_kw - truth) <= found.half_width_kw
    assert held.mean() > 0.9
    assert np.all(found.half_width_kw < 0.2 * truth)


def test_without_mass_or_speed_there_is_no_estimate() -> None:
    [(pull, _)] = pulls_of(simulate(SCENARIO, seed=2))
    assert road_estimate(pull, Car()) is None
    channels = {name: one for name, one in pull.channels.items() if name != "vehicle_speed"}
    assert road_estimate(replace(pull, channels=channels), Car(mass_kg=1250.0)) is None


def test_road_load_form() -> None:
    """(M_e a + M g f + rho/2 CdA v2) v: 1,000 kg at 30 m/s and 2 m/s2 with a typical car's rest."""
    found = road_power_w(np.array([30.0]), np.array([2.0]), 1000.0)
    expected = (1035 * 2 + 1000 * 9.80665 * 0.012 + 0.6 * 0.65 * 900) * 30
    assert found == pytest.approx([expected])
