"""Torque from roller data against pulls of known torque, and what the curve says of itself."""

import json
from dataclasses import replace

import numpy as np
import pytest
from roller_pulls import FINE_RPM, RADIUS_M, Bay, Torque, roller_pull

from analysis.model.pull import Pull
from analysis.model.setup import Air, Car, Dyno, LossConvention, Setup, Standard
from analysis.power.curve import PowerCurve, power_curve
from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import Channel, FloatArray, Samples

SHARP = Torque(fall_from_rpm=5500.0, fall=6.0)


def curve_of(pull: Pull, setup: Setup) -> PowerCurve:
    curve = power_curve(pull, setup)
    assert curve is not None
    return curve


def errors(torque: Torque, bay: Bay, seeds: int = 5) -> FloatArray:
    """Relative error at every grid point, one row a seed."""
    rows = []
    for seed in range(seeds):
        curve = curve_of(roller_pull(torque, bay, np.random.default_rng(seed)), bay.setup)
        rows.append(curve.wheel_torque_nm / torque(curve.engine_speed_rpm) - 1)
    shortest = min(len(row) for row in rows)
    return np.array([row[:shortest] for row in rows])


@pytest.mark.parametrize("braked", [False, True])
@pytest.mark.parametrize("sweep_s", [3.0, 6.0, 12.0, 25.0])
def test_torque_is_within_one_percent_at_every_grid_point(sweep_s: float, braked: bool) -> None:
    bay = Bay(sweep_s=sweep_s, noise_kmh=0.01, braked=braked)
    assert np.abs(errors(Torque(), bay)).max() < 0.01


@pytest.mark.parametrize(("noise_kmh", "rms"), [(0.0, 0.0025), (0.02, 0.004), (0.05, 0.008)])
def test_noise_costs_no_more_than_it_must(noise_kmh: float, rms: float) -> None:
    assert np.sqrt(np.mean(errors(Torque(), Bay(noise_kmh=noise_kmh)) ** 2)) < rms


@pytest.mark.parametrize("torque", [Torque(), SHARP])
@pytest.mark.parametrize("sweep_s", [3.0, 10.0, 25.0])
def test_smoothing_moves_the_peak_by_at_most_three_per_mille(
    torque: Torque, sweep_s: float
) -> None:
    bay = Bay(sweep_s=sweep_s, noise_kmh=0.0, resolution_kmh=0.0)
    curve = curve_of(roller_pull(torque, bay, np.random.default_rng(1)), bay.setup)
    bias = curve.wheel_power_kw.max() / torque.power_kw(FINE_RPM).max() - 1
    assert abs(bias) < 0.003
    assert abs(curve.peak_shift) < 0.003
    assert "centred" in curve.smoothing.text
    assert "-0.0 %" not in curve.smoothing.text


def test_uneven_times_and_duplicates_do_not_move_the_curve() -> None:
    bay = Bay(noise_kmh=0.0)
    pull = roller_pull(Torque(), bay, np.random.default_rng(1))
    speed = pull.samples["roller_speed"]
    keep = np.random.default_rng(2).random(len(speed)) < 0.6
    thinned = replace(
        pull,
        samples={
            **pull.samples,
            "roller_speed": Samples(speed.time_s[keep], speed.value[keep]),
        },
    )
    whole, thin = curve_of(pull, bay.setup), curve_of(thinned, bay.setup)
    assert np.allclose(thin.wheel_torque_nm, whole.wheel_torque_nm, rtol=0.01)


def test_grid_is_multiples_of_fifty_inside_the_sweep() -> None:
    bay = Bay()
    rpm = curve_of(roller_pull(Torque(), bay, np.random.default_rng(1)), bay.setup).engine_speed_rpm
    assert np.all(rpm % 50 == 0)
    assert np.all(np.diff(rpm) == 50)
    assert 1500 < rpm[0] < 1700
    assert 6300 < rpm[-1] < 6500


def test_no_dyno_data_no_curve() -> None:
    bay = Bay()
    pull = roller_pull(Torque(), bay, np.random.default_rng(1))
    assert power_curve(pull, Setup()) is None  # roller speed, but nobody knows its inertia
    bare = replace(pull, channels={"engine_speed": pull.channels["engine_speed"]})
    assert power_curve(bare, bay.setup) is None


@pytest.mark.parametrize("quantity", [Quantity.WHEEL_POWER, Quantity.WHEEL_TORQUE])
def test_a_controller_that_sends_its_own_figure_is_taken_at_its_word(quantity: Quantity) -> None:
    bay, torque = Bay(), Torque()
    pull = roller_pull(torque, bay, np.random.default_rng(1))
    speed = pull.samples["engine_speed"]
    value = (
        torque.power_kw(speed.value) if quantity is Quantity.WHEEL_POWER else torque(speed.value)
    )
    sent = replace(
        pull,
        channels={**pull.channels, "sent": Channel("sent", HOUSE_UNIT[quantity], quantity)},
        samples={**pull.samples, "sent": Samples(speed.time_s, value)},
    )
    curve = curve_of(sent, Setup())
    assert np.allclose(curve.wheel_torque_nm, torque(curve.engine_speed_rpm), rtol=0.01)
    assert "controller" in curve.method.text


@pytest.mark.parametrize(
    ("loss", "factor"),
    [
        (LossConvention.ADD_PERCENT_OF_WHEEL, 1.15),
        (LossConvention.PERCENT_OF_ENGINE_LOST, 1 / 0.85),
    ],
)
def test_engine_figures_name_their_convention(loss: LossConvention, factor: float) -> None:
    bay = Bay()
    setup = replace(bay.setup, dyno=replace(bay.setup.dyno, loss=loss, loss_percent=15.0))
    curve = curve_of(roller_pull(Torque(), bay, np.random.default_rng(1)), setup)
    assert curve.engine_power_kw is not None
    assert curve.engine_torque_nm is not None
    assert np.allclose(curve.engine_power_kw, factor * curve.wheel_power_kw)
    assert np.allclose(curve.engine_torque_nm, factor * curve.wheel_torque_nm)
    assert "15 %" in curve.loss_statement.text
    assert "no published source" in curve.loss_statement.text


def test_coast_down_adds_at_the_same_road_speed_and_is_never_extrapolated() -> None:
    bay = Bay(noise_kmh=0.0)
    table = ((0.0, 0.0), (100.0, 5.0), (200.0, 15.0))
    dyno = replace(bay.setup.dyno, loss=LossConvention.COAST_DOWN, coast_down=table)
    curve = curve_of(roller_pull(Torque(), bay, np.random.default_rng(1)), Setup(dyno=dyno))
    assert curve.engine_power_kw is not None
    at_150_kmh = int(np.argmin(np.abs(curve.engine_speed_rpm - 150 * 6500 / 220)))
    added = curve.engine_power_kw[at_150_kmh] - curve.wheel_power_kw[at_150_kmh]
    assert added == pytest.approx(10.0, abs=0.1)
    assert np.isnan(curve.engine_power_kw[-1])  # 218 km/h


def test_at_the_wheel_there_are_no_engine_figures() -> None:
    bay = Bay()
    curve = curve_of(roller_pull(Torque(), bay, np.random.default_rng(1)), bay.setup)
    assert curve.engine_power_kw is None
    assert curve.engine_torque_nm is None


def test_figures_stay_as_measured_whatever_the_standard() -> None:
    bay = Bay()
    pull = roller_pull(Torque(), bay, np.random.default_rng(1))
    air = Air(95.0, 30.0, 40.0)
    plain = curve_of(pull, replace(bay.setup, air=air))
    chosen = curve_of(
        pull,
        replace(bay.setup, air=air, dyno=replace(bay.setup.dyno, correction=Standard.SAE_J1349)),
    )
    assert np.array_equal(plain.wheel_power_kw, chosen.wheel_power_kw)
    assert plain.correction.factor == 1.0
    assert chosen.correction.factor > 1.05
    assert {one.standard for one in plain.other_corrections} == set(Standard) - {Standard.NONE}


def test_the_json_form_gives_the_curve_back() -> None:
    bay = Bay()
    dyno = replace(
        bay.setup.dyno, loss=LossConvention.COAST_DOWN, coast_down=((0.0, 0.0), (100.0, 5.0))
    )
    setup = Setup(Car(closed_loop_boost=True), dyno, Air(99.0, 25.0, 0.0))
    curve = curve_of(roller_pull(Torque(), bay, np.random.default_rng(1)), setup)
    again = PowerCurve.from_json(json.loads(json.dumps(curve.to_json(), allow_nan=False)))
    assert again.correction == curve.correction
    assert again.other_corrections == curve.other_corrections
    assert again.loss is curve.loss
    for name in ("engine_speed_rpm", "wheel_power_kw", "engine_power_kw"):
        assert np.array_equal(getattr(again, name), getattr(curve, name), equal_nan=True)


def test_a_wrong_inertia_scales_the_torque() -> None:
    """The curve is weighed by the inertia it is told: the check on the test's own truth."""
    bay = Bay(noise_kmh=0.0)
    dyno = Dyno(inertia_kg_m2=bay.inertia_kg_m2 * 1.1, roller_radius_m=RADIUS_M)
    pull = roller_pull(Torque(), bay, np.random.default_rng(1))
    heavy, true = curve_of(pull, Setup(dyno=dyno)), curve_of(pull, bay.setup)
    assert np.allclose(heavy.wheel_torque_nm, 1.1 * true.wheel_torque_nm)
