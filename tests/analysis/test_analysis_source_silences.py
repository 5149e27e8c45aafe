"""A source that pauses: one finding of that source, whatever it carries."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from engine_pulls import HEALTHY, engine_pull

from analysis.checks import DEFAULT_LIMITS, run_checks
from analysis.checks.check import Context
from analysis.checks.stretches import smoothed
from analysis.clocks.source_silences import source_silences
from analysis.model.findings import Finding, Severity
from analysis.model.limits import Limits
from analysis.model.pull import Pull
from analysis.model.setup import Car, Setup
from decode.samples import Samples

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
CONTEXT = Context(Setup(car=Car(boosted=True)))
AT_S = 7.0  # in the middle of the sweep from 3 to 13 s


def lost(samples: Samples, start_s: float, end_s: float) -> Samples:
    """Nothing came meanwhile."""
    there = (samples.time_s < start_s) | (samples.time_s > end_s)
    return Samples(samples.time_s[there], samples.value[there])


def kept_back(samples: Samples, start_s: float, end_s: float) -> Samples:
    """What was sent meanwhile came at once afterwards, ten times as quick as it was sent."""
    late = (samples.time_s >= start_s) & (samples.time_s <= end_s)
    behind_s = end_s + (samples.time_s[late] - start_s) / 50.0
    after = samples.between(float(behind_s[-1]) + 0.001, np.inf)
    before = samples.between(-np.inf, start_s)
    return Samples(
        np.concatenate((before.time_s, behind_s, after.time_s)),
        np.concatenate((before.value, samples.value[late], after.value)),
    )


def garbled(samples: Samples, start_s: float, end_s: float) -> Samples:
    """Nothing came meanwhile but for one damaged value at either end."""
    left = lost(samples, start_s, end_s)
    value = left.value.copy()
    first = int(np.searchsorted(left.time_s, start_s))
    value[first - 1 : first + 1] = -9e5
    return Samples(left.time_s, value)


def paused(pull: Pull, source: str, how: Callable[..., Samples], for_s: float) -> Pull:
    """Every channel of a source."""
    samples = {
        name: how(each, AT_S, AT_S + for_s) if pull.channels[name].source == source else each
        for name, each in pull.samples.items()
    }
    return replace(pull, samples=samples)


def troubles(pull: Pull, context: Context = CONTEXT) -> list[Finding]:
    findings = run_checks(pull, LIMITS, context)
    return [f for f in findings if f.severity in (Severity.LOOK_CLOSER, Severity.STOP)]


@pytest.mark.parametrize("source", ["engine", "dyno"])
@pytest.mark.parametrize("for_s", [0.3, 0.6, 2.0])
@pytest.mark.parametrize("how", [lost, kept_back, garbled])
def test_a_pause_of_a_source_is_one_finding_of_it(
    source: str, for_s: float, how: Callable[..., Samples]
) -> None:
    assert troubles(engine_pull()) == []
    (found,) = troubles(paused(engine_pull(), source, how, for_s))
    assert found.cause is None
    assert found.text.startswith(f"The source {source} said nothing for ")
    assert found.value == pytest.approx(for_s, abs=0.1)
    assert found.where is not None
    assert found.where.start_s == pytest.approx(AT_S, abs=0.05)
    assert found.where.end_s == pytest.approx(AT_S + for_s, abs=0.1)


def test_pauses_of_one_source_are_one_finding() -> None:
    pull = paused(engine_pull(), "engine", lost, 0.4)
    again = {
        n: lost(s, 10.0, 10.5) if pull.channels[n].source == "engine" else s
        for n, s in pull.samples.items()
    }
    (found,) = troubles(replace(pull, samples=again))
    assert "said nothing for 0.5 s" in found.text
    assert "It paused 2 times, 1.0 s in all" in found.text


def test_both_sources_pause_with_the_computer() -> None:
    pull = paused(paused(engine_pull(), "engine", kept_back, 1.0), "dyno", kept_back, 1.0)
    assert [f.text.split(" said")[0] for f in troubles(pull)] == [
        "The source engine",
        "The source dyno",
    ]


def test_what_one_ecu_sends_pauses_together() -> None:
    pull = engine_pull()
    some = ("boost", "boost_target", "wastegate", "throttle")
    samples = {n: lost(s, 7.0, 7.6) if n in some else s for n, s in pull.samples.items()}
    (found,) = troubles(replace(pull, samples=samples))
    assert found.cause is None
    assert "throttle, boost, boost_target and wastegate of the source engine" in found.text


def test_a_source_that_came_in_the_pull_before_and_not_in_this_one() -> None:
    before = engine_pull()
    dyno = [n for n, channel in before.channels.items() if channel.source == "dyno"]
    left = {n: s for n, s in before.samples.items() if n not in dyno}
    pull = replace(before, samples=left, channels={n: before.channels[n] for n in left})
    context = replace(CONTEXT, earlier=(before,), channels=before.channels)
    (found,) = troubles(pull, context)
    assert found.cause is None
    assert "The source dyno said nothing in the whole pull" in found.text


def test_a_slow_source_does_not_pause_between_its_values() -> None:
    rates = {name: 2.0 for name in HEALTHY if name in ("roller", "wheels")}
    assert source_silences(engine_pull(rates_hz=rates)) == ()


def test_a_mean_beside_a_silence_is_not_late_on_a_slope() -> None:
    time_s = np.arange(0.0, 10.0, 0.02)
    ramp = lost(Samples(time_s, 100.0 * time_s), 4.0, 4.4)
    error = np.abs(smoothed(ramp, 0.5).value - ramp.value)
    assert error[(ramp.time_s > 1.0) & (ramp.time_s < 9.0)].max() < 1e-6
