"""Two pulls as any calibrator knows them, built from these numbers alone.

Facts of the trade, common practice, no published source: a stock small turbocharged petrol engine
swept from a 1,500 rpm hold to 6,500 rpm, and the same car after a mild calibration.
"""

import numpy as np
import pytest
from engine_pulls import Shape, Sweep, by_rpm, steady

from analysis.checks import DEFAULT_LIMITS, run_checks
from analysis.checks.check import Context
from analysis.judging.verdict import pull_verdict
from analysis.model.findings import Finding, Severity
from analysis.model.limits import Limits
from analysis.model.pull import Pull
from analysis.model.setup import Car, Setup
from analysis.stages.added_heat import expected_rise_k
from analysis.stages.compare import compare_stages
from analysis.stages.comparison import Comparison
from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import Channel, Samples

BAR_KPA = 100.0
NM_PER_LBF_FT = 1.3558179  # NIST SP 811
LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
CONTEXT = Context(setup=Setup(car=Car(cylinders=4, boosted=True, closed_loop_boost=True)))


def boost_curve(peak_bar: float, top_bar: float) -> Shape:
    """A small turbo: early rise, peak at 2,800 rpm, falling to the top."""
    return by_rpm(
        (1500, 0.55 * peak_bar * BAR_KPA),
        (2800, peak_bar * BAR_KPA),
        (3800, peak_bar * BAR_KPA),
        (6500, top_bar * BAR_KPA),
    )


def trade_pull(
    peak_bar: float,
    top_bar: float,
    ignition_deg: float,
    intake_end: float,
    torque_lbf_ft: float,
    run: int = 0,
) -> Pull:
    """Throttle open at 88 % raw, boost on target, ignition on target, nothing pulled. Torque at
    the wheel follows the boost and repeats within 1 % from run to run."""
    sweep = Sweep(full_open=100.0)
    boost = boost_curve(peak_bar, top_bar)
    shapes: dict[Quantity, Shape] = {
        Quantity.ENGINE_SPEED: lambda t, rpm: rpm,
        Quantity.PEDAL_POSITION: lambda t, rpm: np.where(t < 13.0, 100.0, 0.0),
        Quantity.THROTTLE_POSITION: lambda t, rpm: np.where(t < 13.05, 88.0, 2.0),
        Quantity.BOOST_PRESSURE: boost,
        Quantity.BOOST_TARGET: boost,
        Quantity.IGNITION_TIMING: steady(ignition_deg),
        Quantity.IGNITION_TARGET: steady(ignition_deg),
        Quantity.INTAKE_AIR_TEMPERATURE: by_rpm((1500, 35.0), (6500, intake_end)),
        Quantity.LAMBDA: by_rpm((1500, 0.92), (6500, 0.84)),
        Quantity.LAMBDA_TARGET: by_rpm((1500, 0.92), (6500, 0.84)),
    }
    time_s = sweep.time_s()
    chance = np.random.default_rng(5 + run)
    torque_nm = torque_lbf_ft * NM_PER_LBF_FT * (1.0 + 0.01 * chance.standard_normal())
    shapes[Quantity.WHEEL_TORQUE] = by_rpm(
        (1500, 0.7 * torque_nm), (2800, torque_nm), (3800, torque_nm), (6500, 0.7 * torque_nm)
    )
    channels = {}
    for quantity, shape in shapes.items():
        noise = chance.normal(0.0, sweep.noise.get(quantity, 0.0), len(time_s))
        value = shape(time_s, sweep.rpm(time_s)) + noise
        channel = Channel(quantity.value, HOUSE_UNIT[quantity], quantity)
        channels[quantity.value] = (channel, Samples(time_s, value))
    for cylinder in range(1, 5):
        quantity = Quantity.KNOCK_RETARD
        name = f"{quantity.value}_{cylinder}"
        channel = Channel(name, HOUSE_UNIT[quantity], quantity, cylinder)
        channels[name] = (channel, Samples(time_s, np.zeros(len(time_s))))
    return sweep.pull(channels)


STOCK = {"peak_bar": 1.35, "top_bar": 0.53, "ignition_deg": 8.0, "intake_end": 42.0,
         "torque_lbf_ft": 140.0}  # fmt: skip
MILD = {"peak_bar": 1.5, "top_bar": 0.73, "ignition_deg": 8.5, "intake_end": 45.0,
        "torque_lbf_ft": 172.0}  # fmt: skip


@pytest.fixture(params=[STOCK, MILD], ids=["stock", "mild calibration"])
def judged(request: pytest.FixtureRequest) -> tuple[Pull, tuple[Finding, ...]]:
    pull = trade_pull(**request.param)
    return pull, run_checks(pull, LIMITS, CONTEXT)


def test_both_are_healthy(judged: tuple[Pull, tuple[Finding, ...]]) -> None:
    pull, findings = judged
    assert pull_verdict(findings, pull) is Severity.HEALTHY
    assert all(f.cause is None for f in findings)


def test_the_warm_intake_is_a_note(judged: tuple[Pull, tuple[Finding, ...]]) -> None:
    pull, findings = judged
    warm = [f for f in findings if f.check == "air_temperatures" and f.severity is Severity.NOTE]
    end = round(float(pull.sweep(pull.samples["intake_air_temperature"]).value[-1]))
    assert len(warm) == 1
    assert f"from 35 to {end} °C" in warm[0].text
    assert warm[0].limit_origin == "common practice, no published source"


def test_neither_taper_nor_raw_throttle_is_remarked_on(
    judged: tuple[Pull, tuple[Finding, ...]],
) -> None:
    _, findings = judged
    by_check = {f.check: f for f in findings if f.check in ("boost", "throttle")}
    assert {f.severity for f in by_check.values()} == {Severity.HEALTHY}
    assert "88 %" in by_check["throttle"].text
    assert "followed its target" in by_check["boost"].text


def test_nothing_was_pulled(judged: tuple[Pull, tuple[Finding, ...]]) -> None:
    _, findings = judged
    ignition = [f for f in findings if f.check == "ignition"]
    assert [f.severity for f in ignition] == [Severity.HEALTHY]
    assert ignition[0].text.startswith("Knock control took no timing")


def three_of(figures: dict[str, float]) -> list[Pull]:
    return [trade_pull(**figures, run=run) for run in range(3)]


@pytest.fixture(scope="module")
def comparison() -> Comparison:
    return compare_stages(
        three_of(STOCK), three_of(MILD), setup=CONTEXT.setup, names=("stock", "mild")
    )


def test_the_gain_is_larger_than_the_spread(comparison: Comparison) -> None:
    torque = comparison.overlays["wheel_torque"]
    peak = int(torque.mean_baseline.argmax())
    gain_lbf_ft = torque.difference[peak] / NM_PER_LBF_FT
    assert gain_lbf_ft == pytest.approx(172.0 - 140.0, abs=3.0)
    assert (np.abs(torque.difference) > torque.half_width).all()
    assert comparison.peak_gain is not None
    assert comparison.peak_gain.low > 0.0
    assert any("more than run-to-run spread" in said for said in map(str, comparison.statements))


def test_the_warmer_intake_is_explained_by_the_added_boost(comparison: Comparison) -> None:
    (said,) = [text for text in map(str, comparison.conditions) if "added boost" in text]
    assert said.startswith("Intake air was 2 K warmer over the upper half of the common speeds; ")
    assert "kPa of added boost explain it" in said


def test_more_heat_than_the_boost_makes_is_not_put_down_to_it() -> None:
    hot = {**MILD, "intake_end": 75.0}
    found = compare_stages(three_of(STOCK), three_of(hot), setup=CONTEXT.setup)
    (said,) = [text for text in map(str, found.conditions) if "added boost" in text]
    assert "explain at most" in said


def test_without_added_boost_nothing_is_explained() -> None:
    warm = {**STOCK, "intake_end": 45.0}
    found = compare_stages(three_of(STOCK), three_of(warm), setup=CONTEXT.setup)
    assert not [text for text in map(str, found.conditions) if "added boost" in text]


def test_what_added_boost_costs_behind_the_cooler() -> None:
    """By hand: from ratio 1.9 to 2.1 at 298.15 K the ideal rise grows by 10.3 K; over 0.75 and
    0.15 let through 2.1 K, over 0.60 and 0.40 let through 6.9 K."""
    least, most = expected_rise_k(190.0, 210.0)
    ideal = 298.15 * (2.1 ** (0.4 / 1.4) - 1.9 ** (0.4 / 1.4))
    assert least == pytest.approx(0.15 * ideal / 0.75)
    assert most == pytest.approx(0.40 * ideal / 0.60)
    assert (least, most) == pytest.approx((2.1, 6.9), abs=0.1)
