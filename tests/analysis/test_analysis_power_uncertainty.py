"""The uncertainty of power and torque: budgets by hand, sums by simulation, truth held."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from roller_pulls import FINE_RPM, RADIUS_M, Bay, Torque, roller_pull

from analysis.model.pull import Pull
from analysis.model.setup import Air, Dyno, LossConvention, Setup, Standard
from analysis.power.curve import power_curve
from analysis.power.figures import (
    Figure,
    Measure,
    PowerFigures,
    of_stage,
    power_figures,
    uncertain_curve,
)
from analysis.power.peaks import peak_of
from analysis.power.tolerances import USUAL, Influence, Origin
from analysis.power.uncertainty import Contribution, combined, of_tolerance

ROOT_3 = 3.0**0.5


def figures_of(pull: Pull, setup: Setup) -> PowerFigures:
    curve = power_curve(pull, setup)
    assert curve is not None
    return power_figures(pull, curve, setup)


def figure_of(pull: Pull, setup: Setup, measure: Measure = Measure.WHEEL_POWER) -> Figure:
    found = figures_of(pull, setup).of(measure)
    assert found is not None
    return found


def parts(figure: Figure) -> dict[Influence, Contribution]:
    assert figure.uncertainty is not None
    return {part.influence: part for part in figure.uncertainty.budget}


def dyno(bay: Bay, **changes: Any) -> Setup:
    return replace(bay.setup, dyno=replace(bay.setup.dyno, **changes))


def pull_on(bay: Bay, seed: int = 1) -> Pull:
    return roller_pull(Torque(), bay, np.random.default_rng(seed))


def test_one_tolerance_alone_holds_95_percent_of_its_width() -> None:
    alone = combined([of_tolerance(Influence.INERTIA, 2.0, Origin.STATION_FILE)])
    assert alone.standard_percent == pytest.approx(2.0 / ROOT_3)
    assert alone.expanded_percent == pytest.approx(1.9, rel=0.01)
    assert alone.coverage_factor == pytest.approx(0.95 * ROOT_3, rel=0.01)


@pytest.mark.parametrize(("freedom", "factor"), [(None, 1.96), (4, 2.776), (2, 4.303)])
def test_a_spread_alone_has_students_factor(freedom: int | None, factor: float) -> None:
    alone = combined([Contribution(Influence.RUNS, 0.5, Origin.MEASURED, freedom)])
    assert alone.coverage_factor == pytest.approx(factor, rel=0.01)


def test_contributions_add_as_random_draws_of_them_do() -> None:
    budget = [
        of_tolerance(Influence.INERTIA, 2.0, Origin.STATION_FILE),
        of_tolerance(Influence.ROLLER_RADIUS, 0.5, Origin.STATION_FILE, 2.0),
        Contribution(Influence.RUNS, 0.4, Origin.MEASURED, 4),
    ]
    random = np.random.default_rng(1)
    drawn = random.uniform(-2, 2, 200_000) + random.uniform(-1, 1, 200_000)
    drawn += 0.4 * random.standard_t(4, 200_000)
    found = combined(budget)
    assert found.expanded_percent == pytest.approx(np.quantile(np.abs(drawn), 0.95), rel=0.015)
    assert found.standard_percent == pytest.approx((4 / 3 + 1 / 3 + 0.16) ** 0.5)
    assert combined(budget) == found


def test_what_contributes_nothing_is_left_out() -> None:
    assert combined([of_tolerance(Influence.INERTIA, 0.0, Origin.STATION_FILE)]).budget == ()


def test_on_an_inertia_dyno_power_takes_inertia_once_and_radius_twice() -> None:
    found = parts(figure_of(pull_on(Bay()), Bay().setup))
    assert found[Influence.INERTIA].standard_percent == pytest.approx(2.0 / ROOT_3)
    assert found[Influence.ROLLER_RADIUS].standard_percent == pytest.approx(2 * 0.5 / ROOT_3)
    assert Influence.BRAKE_TORQUE not in found
    assert Influence.ENGINE_SPEED not in found


def test_torque_at_the_engine_takes_engine_speed_too() -> None:
    found = parts(figure_of(pull_on(Bay()), Bay().setup, Measure.WHEEL_TORQUE))
    assert found[Influence.ENGINE_SPEED].standard_percent == pytest.approx(0.3 / ROOT_3)


def test_with_a_brake_each_counts_by_its_share_of_the_power() -> None:
    bay = Bay(braked=True, noise_kmh=0.01)
    found = parts(figure_of(pull_on(bay), bay.setup))
    inertial = found[Influence.INERTIA].standard_percent / (2.0 / ROOT_3)
    braked = found[Influence.BRAKE_TORQUE].standard_percent / (1.0 / ROOT_3)
    assert 0.05 < inertial < 0.5
    assert inertial + braked == pytest.approx(1.0)
    radius = found[Influence.ROLLER_RADIUS].standard_percent / (0.5 / ROOT_3)
    assert radius == pytest.approx(1 + inertial)


def test_a_dyno_that_is_off_by_its_sensitivities_moves_the_figure_by_them() -> None:
    """The budget's slopes against the real computation, one per cent at a time."""
    bay = Bay(braked=True, noise_kmh=0.01)
    pull = pull_on(bay)
    plain = figure_of(pull, bay.setup)
    inertia_kg_m2 = bay.inertia_kg_m2
    moved = figure_of(pull, dyno(bay, inertia_kg_m2=inertia_kg_m2 * 1.01))
    slope = parts(plain)[Influence.INERTIA].standard_percent / (2.0 / ROOT_3)
    assert 100 * (moved.value / plain.value - 1) == pytest.approx(slope, rel=0.05)
    moved = figure_of(pull, dyno(bay, roller_radius_m=RADIUS_M * 0.99))
    slope = parts(plain)[Influence.ROLLER_RADIUS].standard_percent / (0.5 / ROOT_3)
    assert 100 * (moved.value / plain.value - 1) == pytest.approx(slope, rel=0.05)


def test_the_station_file_says_how_far_off_and_is_named() -> None:
    setup = dyno(Bay(), inertia_tolerance_percent=0.5)
    inertia = parts(figure_of(pull_on(Bay()), setup))[Influence.INERTIA]
    assert inertia.standard_percent == pytest.approx(0.5 / ROOT_3)
    assert inertia.origin is Origin.STATION_FILE
    usual = parts(figure_of(pull_on(Bay()), Bay().setup))[Influence.INERTIA]
    assert usual.origin is Origin.COMMON_PRACTICE


@pytest.mark.parametrize(
    ("loss", "standard_percent"),
    [
        (LossConvention.ADD_PERCENT_OF_WHEEL, 20 / ROOT_3 * 0.15 / 1.15),
        (LossConvention.PERCENT_OF_ENGINE_LOST, 20 / ROOT_3 * 0.15 / 0.85),
    ],
)
def test_a_loss_of_15_percent_is_itself_unsure(
    loss: LossConvention, standard_percent: float
) -> None:
    setup = dyno(Bay(), loss=loss, loss_percent=15.0)
    found = figures_of(pull_on(Bay()), setup)
    engine, wheel = found.of(Measure.ENGINE_POWER), found.of(Measure.WHEEL_POWER)
    assert engine is not None
    assert wheel is not None
    assert parts(engine)[Influence.LOSS].standard_percent == pytest.approx(standard_percent)
    assert Influence.LOSS not in parts(wheel)


def test_a_measured_coast_down_dilutes_what_the_dyno_leaves_open() -> None:
    table = ((0.0, 10.0), (300.0, 10.0))
    setup = dyno(Bay(), loss=LossConvention.COAST_DOWN, coast_down=table)
    engine = figure_of(pull_on(Bay()), setup, Measure.ENGINE_POWER)
    lost = 10.0 / engine.value
    found = parts(engine)
    assert found[Influence.LOSS].standard_percent == pytest.approx(20 / ROOT_3 * lost, rel=0.01)
    inertia = found[Influence.INERTIA].standard_percent
    assert inertia == pytest.approx(2 / ROOT_3 * (1 - lost), rel=0.01)


def test_a_corrected_figure_takes_the_weather_too() -> None:
    """DIN 70020: pressure to the first power, absolute temperature to the half."""
    setup = replace(dyno(Bay(), correction=Standard.DIN_70020), air=Air(96.0, 27.0, None))
    found = parts(figure_of(pull_on(Bay()), setup, Measure.CORRECTED_POWER))
    pressure = found[Influence.PRESSURE].standard_percent
    assert pressure == pytest.approx(100 * 0.3 / 96.0 / ROOT_3, rel=0.01)
    temperature = found[Influence.TEMPERATURE].standard_percent
    assert temperature == pytest.approx(100 * 0.5 * 2.0 / 300.0 / ROOT_3, rel=0.01)
    assert Influence.HUMIDITY not in found
    assert Influence.PRESSURE not in parts(figure_of(pull_on(Bay()), setup))


def test_noise_and_coarse_readings_widen_the_figure() -> None:
    clean, noisy = (
        parts(figure_of(pull_on(bay), bay.setup))[Influence.READINGS].standard_percent
        for bay in (Bay(noise_kmh=0.005), Bay(noise_kmh=0.1, roller_hz=10.0))
    )
    assert clean < 0.1
    assert 0.4 < noisy < 1.5


def test_the_runs_of_a_stage_count_once_and_the_dyno_does_not_average_out() -> None:
    random = np.random.default_rng(5)
    gains = 1 + 0.007 * random.standard_normal(4)
    figures = [
        figures_of(roller_pull(Torque(), Bay(), random, gain=gain), Bay().setup) for gain in gains
    ]
    stage = of_stage(Measure.WHEEL_POWER, figures, [figures])
    assert stage is not None
    found = parts(stage)
    values = [figure.of(Measure.WHEEL_POWER).value for figure in figures]  # type: ignore[union-attr]
    spread = 100 * np.std(values, ddof=1) / np.mean(values)
    assert found[Influence.RUNS].standard_percent == pytest.approx(spread / 2, rel=0.01)
    assert found[Influence.RUNS].freedom == 3
    assert Influence.READINGS not in found
    assert found[Influence.INERTIA].standard_percent == pytest.approx(2.0 / ROOT_3)


def test_another_stage_lends_its_spread_to_a_stage_of_one_pull() -> None:
    random = np.random.default_rng(5)
    one, *three = (
        figures_of(roller_pull(Torque(), Bay(), random, gain=gain), Bay().setup)
        for gain in 1 + 0.007 * random.standard_normal(4)
    )
    lent = of_stage(Measure.WHEEL_POWER, [one], [[one], three])
    alone = of_stage(Measure.WHEEL_POWER, [one], [[one]])
    assert lent is not None
    assert alone is not None
    assert parts(lent)[Influence.RUNS].freedom == 2
    assert Influence.RUNS not in parts(alone)


def test_every_point_of_the_curve_has_its_own_half_width() -> None:
    bay = Bay(braked=True)
    pull = pull_on(bay)
    curve = power_curve(pull, bay.setup)
    assert curve is not None
    found = uncertain_curve(pull, curve, bay.setup)
    assert found is not None
    percent = 100 * found.half_width_kw / found.wheel_power_kw
    assert len(percent) == len(curve.engine_speed_rpm)
    peak = figure_of(pull, bay.setup)
    assert peak.uncertainty is not None
    at = int(np.argmin(np.abs(curve.engine_speed_rpm - peak.engine_speed_rpm)))
    assert percent[at] == pytest.approx(peak.uncertainty.expanded_percent, rel=0.05)


def test_of_a_pull_whose_dyno_nobody_described_no_uncertainty_is_claimed() -> None:
    pull = pull_on(Bay())
    curve = power_curve(pull, Bay().setup)
    assert curve is not None
    found = power_figures(pull, curve, Setup()).of(Measure.WHEEL_POWER)
    assert found is not None
    assert found.half_width is None


def test_intervals_hold_the_truth_of_dynos_that_are_off() -> None:
    """Of 120 dynos at 95 %, 106 to 120 are held with 99.9 % probability."""
    random, bay = np.random.default_rng(2), Bay()
    held = 0
    for _ in range(120):
        off = Dyno(
            inertia_kg_m2=bay.inertia_kg_m2 * (1 + 0.02 * random.uniform(-1, 1)),
            roller_radius_m=RADIUS_M * (1 + 0.005 * random.uniform(-1, 1)),
        )
        found = figure_of(roller_pull(Torque(), bay, random), Setup(dyno=off))
        assert found.half_width is not None
        held += abs(found.value - Torque().power_kw(FINE_RPM).max()) <= found.half_width
    assert 106 <= held <= 120


def test_the_peak_of_a_noisy_curve_is_not_too_high() -> None:
    """The highest point of these curves is 1.2 % too high on average."""
    random = np.random.default_rng(1)
    rpm = np.arange(2000.0, 6500.0, 50.0)
    truth = 100 - 4 * ((rpm - 4500) / 1000) ** 2
    peaks, highest = [], []
    for _ in range(300):
        curve = truth + np.convolve(random.standard_normal(len(rpm) + 8), np.ones(5) / 5**0.5)[6:-6]
        peaks.append(peak_of(rpm, curve, 0.01).value)
        highest.append(curve.max())
    assert np.mean(highest) > 101.0
    assert abs(np.mean(peaks) - 100) < 0.35


def test_the_peak_of_a_clean_curve_is_its_highest_point() -> None:
    rpm = np.arange(2000.0, 6500.0, 50.0)
    curve = 100 - np.abs(rpm - 4500) / 100
    found = peak_of(rpm, curve, 0.0)
    assert (found.value, found.engine_speed_rpm) == (100.0, 4500.0)
    assert rpm[found.index] == 4500.0


def test_ten_readings_a_second_give_no_peak_that_is_too_high() -> None:
    bay = Bay(roller_hz=10.0, noise_kmh=0.1, resolution_kmh=0.1)
    setup = bay.setup
    errors, plain = [], []
    for seed in range(25):
        pull = pull_on(bay, seed)
        curve = power_curve(pull, setup)
        assert curve is not None
        true = Torque()(curve.engine_speed_rpm).max()
        errors.append(figure_of(pull, setup, Measure.WHEEL_TORQUE).value / true - 1)
        plain.append(curve.wheel_torque_nm.max() / true - 1)
    assert np.mean(plain) > 0.008
    assert abs(np.mean(errors)) < 0.004
    assert max(errors) < 0.008


def test_every_usual_tolerance_has_its_place_in_the_station_file() -> None:
    said = {name for name in Dyno.__slots__ if "_tolerance_" in name}
    assert len(said) == len(USUAL)
