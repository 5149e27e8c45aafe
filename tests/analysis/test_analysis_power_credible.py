"""Figures that no engine makes are questioned, and those of strong ones are not."""

from dataclasses import replace

import numpy as np
import pytest
from roller_pulls import Bay, Torque, roller_pull

from analysis.checks import run_checks
from analysis.checks.check import Context
from analysis.judging.analyse_pull import analyse_pull
from analysis.judging.limits_file import default_limits
from analysis.model.findings import DATA_QUALITY, Severity
from analysis.model.pull import Pull
from analysis.model.setup import Car, Ignition, Setup
from analysis.phrases.units import HOUSE
from analysis.power.credible import doubt_of, mean_effective_pressure_kpa
from analysis.publish.wording.power_text import wheel_power_text
from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import Channel, Samples

BAY = Bay()
PULL = roller_pull(Torque(), BAY, np.random.default_rng(1))
PEAK_KW = 134.0  # of Torque, at the wheel


def logging(quantity: Quantity, value: float, pull: Pull = PULL) -> Pull:
    """The pull with one more channel that stands still."""
    name, time_s = str(quantity), pull.samples["engine_speed"].time_s
    return replace(
        pull,
        channels={**pull.channels, name: Channel(name, HOUSE_UNIT[quantity], quantity)},
        samples={**pull.samples, name: Samples(time_s, np.full(len(time_s), value))},
    )


def sent(factor: float) -> Pull:
    """The controller sends torque; factor: what was forgotten to be divided out."""
    speed = PULL.samples["engine_speed"]
    torque_nm = factor * Torque()(np.clip(speed.value, 1500.0, 6500.0))
    return replace(
        PULL,
        channels={
            "engine_speed": PULL.channels["engine_speed"],
            "wheel_torque": Channel("wheel_torque", "Nm", Quantity.WHEEL_TORQUE),
        },
        samples={"engine_speed": speed, "wheel_torque": Samples(speed.time_s, torque_nm)},
    )


def test_the_mean_effective_pressure_of_a_known_engine() -> None:
    """100 Nm a litre is 4 pi times 100 kPa: pressure is 4 pi torque over displacement."""
    power_kw = 200.0 * 4000 * np.pi / 30 / 1000  # 200 Nm of 2 l
    assert mean_effective_pressure_kpa(power_kw, 2.0, 4000) == pytest.approx(400 * np.pi, rel=1e-4)


def test_axle_torque_taken_for_engine_torque_is_questioned_with_what_to_check() -> None:
    setup = Setup(car=Car(displacement_l=2.0, boosted=True, max_boost_kpa=120.0))
    report = analyse_pull(sent(5.0), default_limits(), Context(setup))
    found = [f for f in report.findings if "cannot be: from 2.0 l" in f.text]
    assert [f.severity for f in found] == [Severity.LOOK_CLOSER]
    assert "torque is that at the axle" in found[0].text
    assert report.verdict is Severity.LOOK_CLOSER
    figures = report.figures()
    assert figures is not None
    assert figures.doubt is not None
    assert figures.doubt.key == found[0].statements[0].key
    said = wheel_power_text(figures, HOUSE)
    assert "(?)" in said
    assert "±" not in said


def test_the_same_pull_with_its_torque_at_the_engine_is_not() -> None:
    setup = Setup(car=Car(displacement_l=2.0, boosted=True, max_boost_kpa=120.0))
    report = analyse_pull(sent(1.0), default_limits(), Context(setup))
    assert not any("cannot be" in finding.text for finding in report.findings)
    figures = report.figures()
    assert figures is not None
    assert figures.doubt is None
    assert "±" in wheel_power_text(figures, HOUSE)


@pytest.mark.parametrize(
    ("car", "pull", "power_kw", "rpm"),
    [
        # a racing engine without boost: 15 bar
        (Car(displacement_l=1.0, boosted=False), PULL, 1500 * 14_000 / 120_000, 14_000),
        # a four-cylinder at 2.4 bar of boost: 45 bar
        (
            Car(displacement_l=2.0, boosted=True, max_boost_kpa=240.0),
            PULL,
            4500 * 2.0 * 7000 / 120_000,
            7000,
        ),
        # a turbo that nobody said anything of
        (Car(displacement_l=2.0), PULL, 3000 * 2.0 * 6000 / 120_000, 6000),
        # a diesel at 1.5 bar of boost: 22 bar
        (
            Car(displacement_l=2.0, ignition=Ignition.COMPRESSION, boosted=True),
            logging(Quantity.MANIFOLD_PRESSURE, 248.0),
            2200 * 2.0 * 4000 / 120_000,
            4000,
        ),
        # air that is read a fifth too low
        (Car(), logging(Quantity.AIR_MASS_FLOW, 0.8 * 1.05 * 134.0), PEAK_KW, 6000),
        # an ECU that knows nothing of its calibration
        (Car(), logging(Quantity.ENGINE_TORQUE, 150.0), PEAK_KW, 6000),
    ],
)
def test_strong_engines_are_believed(car: Car, pull: Pull, power_kw: float, rpm: float) -> None:
    assert doubt_of(pull, car, power_kw, rpm) is None


@pytest.mark.parametrize(
    ("car", "pull", "words"),
    [
        (Car(displacement_l=1.0, boosted=False), PULL, "at 101 kPa absolute"),
        (
            Car(displacement_l=0.6, boosted=True),
            logging(Quantity.MANIFOLD_PRESSURE, 180.0),
            "at 180 kPa absolute",
        ),
        (Car(), logging(Quantity.AIR_MASS_FLOW, 60.0), "the 60 g/s of air"),
        (Car(), logging(Quantity.ENGINE_TORQUE, 70.0), "where the ECU reckons 70 Nm"),
    ],
)
def test_what_no_engine_does_is_said_with_the_numbers(car: Car, pull: Pull, words: str) -> None:
    said = doubt_of(pull, car, PEAK_KW, 6000.0)
    assert said is not None
    assert words in said.text


def test_a_pull_without_a_dyno_has_nothing_to_question() -> None:
    bare = replace(
        PULL,
        channels={"engine_speed": PULL.channels["engine_speed"]},
        samples={"engine_speed": PULL.samples["engine_speed"]},
    )
    findings = run_checks(bare, default_limits(), Context(Setup(car=Car(displacement_l=0.1))))
    data = [finding for finding in findings if finding.check == DATA_QUALITY]
    assert not any("cannot be" in finding.text for finding in data)
