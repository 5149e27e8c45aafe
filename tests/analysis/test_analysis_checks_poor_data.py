"""No check may fail on poor data: short pulls, few samples, none available, everything missing."""

from dataclasses import replace

import numpy as np
import pytest
from engine_pulls import HEALTHY, Sweep, engine_pull

from analysis.checks import DEFAULT_LIMITS, run_checks
from analysis.checks.check import Context
from analysis.model.limits import Limits
from analysis.model.pull import Pull
from analysis.model.setup import Air, Car, Dyno, Ignition, Setup
from decode.samples import Samples

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
CONTEXT = Context(
    setup=Setup(
        car=Car(displacement_l=1.6, boosted=True, max_boost_kpa=160.0),
        dyno=Dyno(inertia_kg_m2=20.0, roller_radius_m=0.3),
        air=Air(98.0, 20.0, 50.0),
    )
)
DIESEL = replace(
    CONTEXT, setup=replace(CONTEXT.setup, car=Car(ignition=Ignition.COMPRESSION, boosted=True))
)


def words_of(pull: Pull, context: Context = CONTEXT) -> list[str]:
    findings = run_checks(pull, LIMITS, context)
    assert all(np.isfinite(f.confidence) for f in findings)
    assert not [f for f in findings if "nan" in f.text or "inf" in f.text.split()]
    return [f.text for f in findings]


@pytest.mark.parametrize("duration_s", [0.011, 0.03, 0.1, 0.4, 1.0])
@pytest.mark.parametrize("context", [CONTEXT, DIESEL, Context()], ids=["turbo", "diesel", "bare"])
def test_a_pull_of_hardly_any_length(duration_s: float, context: Context) -> None:
    pull = engine_pull(sweep=Sweep(end_rpm=1600.0, duration_s=duration_s))
    assert words_of(pull, replace(context, earlier=(pull,)))


@pytest.mark.parametrize("name", [name for name in HEALTHY if name != "engine_speed"])
@pytest.mark.parametrize("kept", ["one", "two", "none available", "only before"])
def test_a_channel_with_hardly_any_samples(name: str, kept: str) -> None:
    pull = engine_pull()
    whole = pull.samples[name]
    few = {
        "one": Samples(whole.time_s[400:401], whole.value[400:401]),
        "two": Samples(whole.time_s[400:402], whole.value[400:402]),
        "none available": Samples(whole.time_s, np.full(len(whole), np.nan)),
        "only before": whole.between(0.0, 2.0),
    }[kept]
    assert words_of(replace(pull, samples={**pull.samples, name: few}))


@pytest.mark.parametrize("rate_hz", [1.0, 2.0, 5.0])
def test_a_slow_log(rate_hz: float) -> None:
    assert words_of(engine_pull(sweep=Sweep(rate_hz=rate_hz)))


@pytest.mark.parametrize("value", [0.0, -1.0, 1e6])
@pytest.mark.parametrize("name", [name for name in HEALTHY if name != "engine_speed"])
def test_a_channel_of_nonsense(name: str, value: float) -> None:
    pull = engine_pull()
    nonsense = Samples(pull.samples[name].time_s, np.full(len(pull.samples[name]), value))
    assert words_of(replace(pull, samples={**pull.samples, name: nonsense}))


@pytest.mark.parametrize("rate_hz", [1.0, 2.0])
def test_a_slow_log_written_often_is_judged_as_the_slow_log(rate_hz: float) -> None:
    slow = engine_pull(sweep=Sweep(rate_hz=rate_hz))
    written = {}
    for name, samples in slow.samples.items():
        time_s = np.arange(samples.time_s[0], samples.time_s[-1] + 0.01, 0.1 / rate_hz)
        index = np.searchsorted(samples.time_s, time_s + 1e-6, side="right") - 1
        written[name] = Samples(time_s, samples.value[index])
    kept, true = words_of(replace(slow, samples=written)), words_of(slow)
    too_few = "Too few samples to judge by: engine_speed"  # and so on, one more or less
    assert [w for w in kept if too_few not in w] == [w for w in true if too_few not in w]
    assert sum(too_few in w for w in kept) == sum(too_few in w for w in true)
