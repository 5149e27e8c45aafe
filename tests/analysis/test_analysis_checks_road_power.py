"""The estimate without a dyno reaches who reads the findings, and only where it means something."""

import re
from dataclasses import replace

import numpy as np
import pytest
from test_analysis_power_simulated import pulls_of

from analysis.checks import DEFAULT_LIMITS, run_checks
from analysis.checks.check import Context
from analysis.model.findings import Severity
from analysis.model.limits import Limits
from analysis.model.pull import Pull
from analysis.model.setup import Dyno, Setup
from simulators.dyno import AIR_DRAG_KG_M, Road
from simulators.manoeuvres import RoadPull
from simulators.scenario import Scenario, setup_of
from simulators.session import simulate

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
SCENARIO = Scenario(dyno=Road(), plan=(RoadPull(gears=(3,)),))


def true_peak_kw() -> float:
    """Of the same pull: what the gain of speed took, and what rolling and drag took."""
    [(pull, true)] = pulls_of(simulate(SCENARIO, seed=2))
    speed = pull.sweep(pull.samples["vehicle_speed"])
    speed_ms = np.interp(
        true.engine_speed_rpm, pull.engine_speed_at(speed.time_s), speed.value / 3.6
    )
    resistance_n = Road().rolling_n + AIR_DRAG_KG_M * speed_ms**2
    return float((np.array(true.wheel_power_kw) + resistance_n * speed_ms / 1000).max())


@pytest.fixture(scope="module")
def estimates() -> dict[str, list[str]]:
    """What is said of one road pull by setups that differ: on the road, on a dyno, of no mass."""
    [(pull, _)] = pulls_of(simulate(SCENARIO, seed=2))
    on_road = setup_of(SCENARIO)
    setups = {
        "road": on_road,
        "dyno": replace(on_road, dyno=Dyno(inertia_kg_m2=40.0, roller_radius_m=0.3)),
        "no mass": replace(on_road, car=replace(on_road.car, mass_kg=None)),
    }
    return {name: _said(pull, setup) for name, setup in setups.items()}


def _said(pull: Pull, setup: Setup) -> list[str]:
    findings = run_checks(pull, LIMITS, Context(setup))
    notes = [f for f in findings if f.text.startswith("Without a dyno")]
    assert all(f.severity is Severity.NOTE for f in notes)
    return [f.text for f in notes]


def test_a_road_pull_is_given_power_and_torque_with_their_intervals(
    estimates: dict[str, list[str]],
) -> None:
    (said,) = estimates["road"]
    (power, torque), peak = re.findall(r"up to (\d+) ± (\d+)", said), true_peak_kw()
    assert abs(float(power[0]) - peak) <= float(power[1]) < 0.2 * peak
    assert 0 < float(torque[1]) < 0.2 * float(torque[0])
    assert "no published source" in said


@pytest.mark.parametrize("where", ["dyno", "no mass"])
def test_nothing_is_estimated_where_it_would_mean_nothing(
    estimates: dict[str, list[str]], where: str
) -> None:
    assert estimates[where] == []
