"""A limiter below the stated top speed is called a limiter, not protection."""

from dataclasses import replace

import numpy as np
from engine_pulls import HEALTHY, engine_pull

from analysis.checks import DEFAULT_LIMITS, run_checks
from analysis.checks.check import Context
from analysis.model.findings import Cause, Severity
from analysis.model.limits import Limits
from analysis.model.pull import EndReason, Pull
from analysis.model.setup import Car, Setup
from decode.samples import FloatArray

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")


def stating(top_rpm: float | None) -> Context:
    return Context(setup=Setup(car=Car(cylinders=4, boosted=True, max_engine_speed_rpm=top_rpm)))


def limited(pull: Pull) -> Pull:
    return replace(pull, bounds=replace(pull.bounds, end_reason=EndReason.LIMITER))


def test_a_limiter_below_the_stated_top_speed_is_named() -> None:
    findings = run_checks(limited(engine_pull()), LIMITS, stating(7_400.0))
    assert findings[0].cause is Cause.SPEED_LIMITER
    assert findings[0].text.startswith(
        "The speed limiter cut in at 6,500 rpm; the station file states 7,400 rpm."
    )


def test_a_throttle_that_the_early_limiter_closed_is_its_doing() -> None:
    def closing(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        return np.where((rpm > 6_200) & (time_s < 13.0), 50.0, HEALTHY["throttle"][1](time_s, rpm))

    findings = run_checks(limited(engine_pull({"throttle": closing})), LIMITS, stating(7_400.0))
    assert findings[0].cause is Cause.SPEED_LIMITER


def test_a_limiter_near_the_stated_top_speed_is_well() -> None:
    findings = run_checks(limited(engine_pull()), LIMITS, stating(6_700.0))
    assert not [f for f in findings if f.severity.is_trouble]


def test_a_lift_or_an_engine_of_unknown_top_speed_says_nothing_of_the_limiter() -> None:
    for findings in (
        run_checks(engine_pull(), LIMITS, stating(7_400.0)),
        run_checks(limited(engine_pull()), LIMITS, stating(None)),
    ):
        assert not [f for f in findings if f.check == "speed_limiter"]
        assert all(f.severity is not Severity.LOOK_CLOSER for f in findings)


def test_a_speed_that_stands_still_while_fuel_is_cut_was_limited() -> None:
    def cutting(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        cut = (time_s > 10.0) & (np.floor(time_s * 10) % 2 == 0) & (time_s < 12.8)
        return np.where(cut, 2.0, HEALTHY["injector"][1](time_s, rpm))

    def stalled(pull: Pull) -> Pull:
        bounds = replace(pull.bounds, end_s=10.0, end_rpm=5_000.0, end_reason=EndReason.STALLED)
        return replace(pull, bounds=bounds)

    cut = run_checks(stalled(engine_pull({"injector": cutting})), LIMITS, stating(7_400.0))
    assert cut[0].cause is Cause.SPEED_LIMITER
    held = run_checks(stalled(engine_pull()), LIMITS, stating(7_400.0))  # by a brake
    assert not [f for f in held if f.check == "speed_limiter"]
