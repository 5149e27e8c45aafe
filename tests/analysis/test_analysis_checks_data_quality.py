from dataclasses import replace

import numpy as np
import pytest
from engine_pulls import HEALTHY, Shape, Sweep, engine_pull

from analysis.checks import DEFAULT_LIMITS, data_quality, run_checks
from analysis.checks.channel_faults import is_coarse
from analysis.checks.check import Context
from analysis.clocks import clock_alignment
from analysis.clocks.clock_alignment import MOVED_LATE
from analysis.clocks.clock_offset import Offset
from analysis.judging.verdict import pull_verdict
from analysis.model.findings import Cause, Finding, Severity
from analysis.model.limits import Limits
from analysis.model.pull import Pull
from analysis.model.setup import Car, Setup
from analysis.phrases.say import amount, as_written, say
from decode.quantities import Quantity
from decode.samples import Channel, FloatArray, Samples

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")


def data(pull: Pull) -> list[Finding]:
    findings = run_checks(pull, LIMITS, Context())
    if any(f.check == "data_quality" and f.severity is Severity.LOOK_CLOSER for f in findings):
        assert pull_verdict(findings, pull) is not Severity.HEALTHY
    return [f for f in findings if f.check == "data_quality"]


def with_samples(pull: Pull, name: str, samples: Samples) -> Pull:
    return Pull(pull.number, pull.bounds, pull.channels, {**pull.samples, name: samples})


def test_a_gap_is_named_with_its_place() -> None:
    pull = engine_pull()
    boost = pull.samples["boost"]
    keep = (boost.time_s < 8.0) | (boost.time_s > 9.0)
    (gap,) = data(with_samples(pull, "boost", Samples(boost.time_s[keep], boost.value[keep])))
    assert gap.cause is Cause.SENSOR_FAULT
    assert gap.text.startswith("boost was silent for 1.0 s between 4,000 and 4,500 rpm")


def test_a_stuck_and_a_clipped_channel() -> None:
    pull = engine_pull()
    boost = pull.samples["boost"]
    stuck = data(with_samples(pull, "boost", Samples(boost.time_s, np.full(len(boost), 61.5))))
    assert "stood perfectly still at 61.5" in stuck[0].text
    clipped = data(
        with_samples(pull, "boost", Samples(boost.time_s, np.minimum(boost.value, 110.0)))
    )
    assert "sat at exactly 110" in clipped[0].text


def test_a_channel_that_rests_on_its_own_coarse_steps_is_not_clipped() -> None:
    pull = engine_pull()
    boost = pull.samples["boost"]
    coarse = Samples(boost.time_s, np.round(boost.value / 10.0) * 10.0)
    (good,) = data(with_samples(pull, "boost", coarse))
    assert good.severity is Severity.HEALTHY
    assert is_coarse(coarse.value)
    assert not is_coarse(boost.value)


def test_impossible_values() -> None:
    pull = engine_pull()
    coolant = pull.samples["coolant"]
    value = coolant.value.copy()
    value[300:305] = -273.0
    (wrong,) = data(with_samples(pull, "coolant", Samples(coolant.time_s, value)))
    assert "coolant showed -273 °C, which cannot be" in wrong.text
    assert "in 5 of " in wrong.text


def test_too_few_samples_say_how_many_are_needed() -> None:
    (slow,) = data(engine_pull(rates_hz={"retard_1": 1.0, "retard_2": 1.0}))
    assert "retard_1 (2.2) and retard_2 (2.2) per 1,000 rpm where 4 are needed" in slow.text


def test_the_slow_temperatures_may_be_slow() -> None:
    (good,) = data(engine_pull(rates_hz={"coolant": 1.0, "ambient": 1.0}))
    assert good.severity is Severity.HEALTHY


@pytest.mark.parametrize("late_s", [-0.4, 0.25, 0.6])
def test_a_clock_offset_is_found_and_its_sign_told(late_s: float) -> None:
    pull = engine_pull()
    roller = pull.samples["roller"]
    moved = with_samples(pull, "roller", Samples(roller.time_s + late_s, roller.value))
    (clock,) = data(moved)
    assert clock.cause is Cause.CLOCK_OFFSET
    assert ("late" if late_s > 0 else "early") in clock.text


@pytest.mark.parametrize(("scatter_s", "judged"), [(0.004, True), (0.09, False)])
def test_slip_is_judged_behind_an_offset_only_where_it_is_sure(
    monkeypatch: pytest.MonkeyPatch, scatter_s: float, judged: bool
) -> None:
    unsure = Offset("dyno", 0.15, scatter_s, 0.003)
    monkeypatch.setattr(data_quality, "offsets_of", lambda pull: [unsure])
    findings = run_checks(engine_pull(), LIMITS, Context())
    assert any(f.cause is Cause.CLOCK_OFFSET for f in findings)
    drive = " ".join(f.text for f in findings if f.check == "drive")
    assert ("roller" in drive) is judged


def test_the_clocks_of_a_pull_are_measured_once(monkeypatch: pytest.MonkeyPatch) -> None:
    measured: list[Pull] = []

    def late(pull: Pull) -> list[Offset]:
        measured.append(pull)
        return [Offset("dyno", 0.3, 0.004, 0.003)]

    monkeypatch.setattr(data_quality, "offsets_of", late)
    monkeypatch.setattr(clock_alignment, "offsets_of", late)
    findings = run_checks(engine_pull(), LIMITS, Context())
    assert findings[0].cause is Cause.CLOCK_OFFSET
    assert len(measured) == 1


def test_a_corrected_offset_is_told_and_is_no_trouble() -> None:
    pull = engine_pull()
    bounds = replace(
        pull.bounds,
        notes=(
            as_written("another note"),
            say(MOVED_LATE, source="dyno", offset=amount(52, "ms"), uncertainty=amount(6, "ms")),
        ),
    )
    told, good = sorted(data(replace(pull, bounds=bounds)), key=lambda f: f.severity.name)[::-1]
    assert good.severity is Severity.HEALTHY
    assert told.text.startswith("dyno came 52 ms late against engine speed (+-6 ms at 95 %)")


def test_boost_and_manifold_pressure_that_disagree() -> None:
    higher: Shape = lambda t, rpm: HEALTHY["boost"][1](t, rpm) + 98.0 + 20.0  # noqa: E731
    pull = engine_pull()
    time_s = Sweep().time_s()
    values: FloatArray = higher(time_s, Sweep().rpm(time_s))
    channel = pull.channels["boost"]
    manifold = type(channel)("manifold", "kPa", Quantity.MANIFOLD_PRESSURE, None, "engine")
    both = Pull(
        pull.number,
        pull.bounds,
        {**pull.channels, "manifold": manifold},
        {**pull.samples, "manifold": Samples(time_s, values + np.sin(40 * time_s))},
    )
    (apart,) = data(both)
    assert "boost reads 20 kPa below manifold minus barometric" in apart.text


FOUR = Setup(car=Car(cylinders=4))


def test_a_cylinder_that_never_spoke_while_the_others_did_is_trouble() -> None:
    whole, pull = engine_pull(), engine_pull(without=("retard_3",))
    findings = run_checks(pull, LIMITS, Context(FOUR, channels=whole.channels))
    assert findings[0].cause is Cause.SENSOR_FAULT
    assert findings[0].text.startswith(
        "In the map, but silent in the whole pull, though retard_1, retard_2 and retard_4 came: "
        "retard_3."
    )
    assert pull_verdict(findings, pull) is Severity.LOOK_CLOSER


def test_a_channel_that_came_before_and_does_not_come_now_is_trouble() -> None:
    before, pull = engine_pull(), engine_pull(without=("lambda", "coolant"))
    lost = run_checks(pull, LIMITS, Context(earlier=(before,), channels=before.channels))[0]
    assert "though there in an earlier pull of this stage: lambda and coolant." in lost.text


def test_a_map_for_more_than_this_car_is_told_and_no_trouble() -> None:
    extra = {f"retard_{n}": Channel(f"retard_{n}", "deg", Quantity.KNOCK_RETARD, n) for n in (5, 6)}
    extra |= {f"spare_{n}": Channel(f"spare_{n}", "V", Quantity.BATTERY_VOLTAGE) for n in range(8)}
    extra |= {"meaningless": Channel("meaningless", "")}
    pull = engine_pull()
    context = Context(FOUR, channels={**pull.channels, **extra})
    told = [f for f in run_checks(pull, LIMITS, context) if f.check == "data_quality"]
    assert [f.severity for f in told] == [Severity.HEALTHY, Severity.NOTE]
    assert told[1].text == (
        "In the map, but silent in the whole pull: retard_5, retard_6, spare_0, spare_1, spare_2, "
        "spare_3 and 4 more."
    )


def test_a_channel_of_values_not_available_is_silent() -> None:
    pull = engine_pull()
    time_s = pull.samples["lambda"].time_s
    nothing = with_samples(pull, "lambda", Samples(time_s, np.full(len(time_s), np.nan)))
    told = [f.text for f in data(nothing) if f.severity is Severity.NOTE]
    assert told == ["In the map, but silent in the whole pull: lambda."]


def regulated(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
    """Built up in the first seconds of the sweep, then held within the whole kPa it is sent in."""
    built_up = np.minimum(60.0 + 30.0 * (time_s - 3.0), 126.0)
    return np.asarray(np.round(np.where(time_s < 13.05, built_up, 10.0)), dtype=np.float64)


def test_a_pressure_that_control_holds_in_whole_kpa_is_neither_stuck_nor_clipped() -> None:
    still = Sweep(noise={**Sweep().noise, Quantity.BOOST_PRESSURE: 0.0})
    (good,) = data(engine_pull({"boost": regulated}, sweep=still))
    assert good.severity is Severity.HEALTHY
    fine = engine_pull(
        {
            "boost": lambda t, rpm: np.where(
                t < 13.05, np.minimum(60.0 + 29.9 * (t - 3.0), 126.0), 10.0
            )
        },
        sweep=still,
    )
    (clipped,) = data(fine)
    assert "sat at exactly 126" in clipped.text


def test_a_pressure_that_stands_on_when_the_throttle_closes_is_stuck() -> None:
    still = Sweep(noise={**Sweep().noise, Quantity.BOOST_PRESSURE: 0.0})
    stands = engine_pull(
        {"boost": lambda t, rpm: np.minimum(regulated(t, rpm), 100.0)}, sweep=still
    )
    boost = stands.samples["boost"]
    held = np.where(boost.time_s > 6.0, 90.0, boost.value)
    (stuck,) = data(with_samples(stands, "boost", Samples(boost.time_s, held)))
    assert "boost stood perfectly still at 90" in stuck.text


def test_a_value_that_slows_down_towards_its_top_is_not_clipped() -> None:
    def rounded(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        return np.round(900.0 - 600.0 * np.exp(-np.maximum(time_s - 3.0, 0.0) / 1.1))

    assert data(engine_pull({"exhaust": rounded}))[0].severity is Severity.HEALTHY
    cut = engine_pull({"exhaust": lambda t, rpm: np.minimum(rounded(t, rpm), 780.0)})
    assert "exhaust sat at exactly 780" in data(cut)[0].text


def test_few_readings_accuse_nobody_and_call_nothing_healthy() -> None:
    slow = engine_pull(sweep=Sweep(rate_hz=2.0, end_rpm=3000.0, duration_s=3.0))
    findings = run_checks(slow, LIMITS, Context())
    few = [f for f in findings if "Too few readings to judge by: engine_speed (7)" in f.text]
    assert [f.severity for f in few] == [Severity.NOTE]
    assert pull_verdict(findings, slow) is Severity.NOTE
    often = engine_pull(sweep=Sweep(end_rpm=3000.0, duration_s=3.0))
    assert pull_verdict(run_checks(often, LIMITS, Context()), often) is Severity.HEALTHY
