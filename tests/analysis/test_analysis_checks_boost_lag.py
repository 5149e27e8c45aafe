"""Boost that comes behind its target by the lag of its control, or by the size of its turbo."""

from dataclasses import replace

import numpy as np
import pytest
from engine_pulls import Shape, Sweep, by_rpm, engine_pull, steady

from analysis.checks import DEFAULT_LIMITS, run_checks
from analysis.checks.check import Context
from analysis.model.findings import Cause, Finding, Severity
from analysis.model.limits import Limits
from analysis.model.pull import Pull
from analysis.model.setup import Air, Car, Induction, Setup
from decode.samples import FloatArray

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
TURBO = Context(Setup(Car(cylinders=4, induction=Induction.TURBOCHARGER), air=Air(98.0)))
RISING = by_rpm((1500, 60), (6500, 200))
SHARP = by_rpm((1500, 60), (3000, 60), (3200, 130), (5000, 130), (5200, 160), (6500, 160))


def behind(shape: Shape, lag_s: float) -> Shape:
    """The same, so much later."""
    sweep = Sweep()
    return lambda time_s, rpm: shape(time_s - lag_s, sweep.rpm(time_s - lag_s))


def boost_of(pull: Pull, context: Context = TURBO) -> list[Finding]:
    return [f for f in run_checks(pull, LIMITS, context) if f.check == "boost"]


@pytest.mark.parametrize("lag_s", [0.2, 0.3, 0.4])
@pytest.mark.parametrize("target", [RISING, SHARP], ids=["rising", "steps"])
def test_boost_behind_a_moving_target_by_its_lag_is_healthy(target: Shape, lag_s: float) -> None:
    pull = engine_pull({"boost_target": target, "boost": behind(target, lag_s)})
    (said,) = boost_of(pull)
    assert said.severity is Severity.HEALTHY
    assert said.value is not None
    assert said.limit is not None
    assert said.value <= said.limit


def test_the_lag_is_said_where_the_target_shows_it() -> None:
    pull = engine_pull({"boost_target": SHARP, "boost": behind(SHARP, 0.3)})
    (said,) = boost_of(pull)
    assert "It came 0.3 s behind" in said.text


def test_what_is_short_beyond_any_lag_is_told() -> None:
    def short(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        return behind(SHARP, 0.3)(time_s, rpm) - np.where(rpm > 4000, 20.0, 0.0)

    (first, *_) = boost_of(engine_pull({"boost_target": SHARP, "boost": short}))
    assert first.severity is Severity.LOOK_CLOSER
    assert first.value == pytest.approx(20.0, abs=3.0)


def spooling(reached_rpm: float, kpa: float = 130.0) -> Shape:
    return by_rpm((1500, 5), (0.75 * reached_rpm, 0.25 * kpa), (reached_rpm, kpa), (6500, kpa))


def test_a_turbo_that_spools_late_against_a_flat_target_is_not_accused() -> None:
    pull = engine_pull({"boost_target": steady(130.0), "boost": spooling(4600)})
    said = boost_of(pull)
    assert {f.severity for f in said} == {Severity.NOTE, Severity.HEALTHY}
    assert "Whether that is late for this turbo no earlier pull says" in " ".join(
        f.text for f in said
    )


def test_a_turbo_that_comes_at_the_very_end_of_a_short_pull_is_not_either() -> None:
    said = boost_of(engine_pull({"boost_target": steady(130.0), "boost": spooling(5800)}))
    assert {f.severity for f in said} <= {Severity.NOTE, Severity.HEALTHY}


def test_a_target_that_falls_to_the_boost_was_not_reached() -> None:
    target = by_rpm((1500, 130), (4500, 130), (6500, 60))
    pull = engine_pull({"boost_target": target, "boost": by_rpm((1500, 10), (6500, 60))})
    assert boost_of(pull)[0].severity is Severity.LOOK_CLOSER


def test_a_turbo_that_never_gets_there_is() -> None:
    pull = engine_pull({"boost_target": steady(130.0), "boost": by_rpm((1500, 5), (6500, 80))})
    assert boost_of(pull)[0].severity is Severity.LOOK_CLOSER


@pytest.mark.parametrize(
    ("reached_rpm", "severity"), [(4600, Severity.HEALTHY), (5400, Severity.LOOK_CLOSER)]
)
def test_spool_is_judged_against_the_cars_earlier_pulls(
    reached_rpm: float, severity: Severity
) -> None:
    def pull(reached: float) -> Pull:
        return engine_pull({"boost_target": steady(130.0), "boost": spooling(reached)})

    context = replace(TURBO, earlier=(pull(4500), pull(4600)))
    lenient = Limits.of(DEFAULT_LIMITS, {"boost.spooled_by": 90.0}, "limits file")
    said = [f for f in run_checks(pull(reached_rpm), lenient, context) if f.check == "boost"]
    worst = max((f.severity for f in said), key=lambda each: each.rank)
    assert worst is severity
    if severity is Severity.LOOK_CLOSER:
        assert "later than in the 2 earlier pulls of this stage driven alike" in said[0].text
        assert said[0].cause in (Cause.BOOST_LEAK, Cause.WASTEGATE_STUCK_OPEN)


def test_a_pull_that_was_driven_otherwise_says_nothing_of_the_spool() -> None:
    late = engine_pull({"boost_target": steady(130.0), "boost": spooling(5000)})
    other = engine_pull(
        {"boost_target": steady(130.0), "boost": spooling(3600)}, sweep=Sweep(duration_s=14.0)
    )
    said = boost_of(late, replace(TURBO, earlier=(other,)))
    assert not any(f.severity.is_trouble for f in said)
