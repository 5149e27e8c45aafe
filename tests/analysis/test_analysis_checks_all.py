"""All checks together: a healthy car, missing channels, channels not to be trusted, limits."""

import pytest
from engine_pulls import engine_pull

from analysis.checks import CHECKS, DEFAULT_LIMITS, run_checks
from analysis.checks.check import Context
from analysis.judging.verdict import pull_verdict
from analysis.model.findings import Severity
from analysis.model.limits import Limits
from analysis.model.setup import Car, Setup
from decode.quantities import Quantity

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
TURBO = Context(setup=Setup(car=Car(cylinders=4, displacement_l=1.6, boosted=True)))

# Of other kinds of engine, or judged whatever is logged.
OF_OTHERS = ("data_quality", "blower", "intake", "speed_limiter")


def test_a_healthy_pull_is_healthy_in_every_check_that_can_judge() -> None:
    pull = engine_pull()
    findings = run_checks(pull, LIMITS, TURBO)
    by_check = {f.check for f in findings if f.severity is Severity.HEALTHY}
    assert pull_verdict(findings, pull) is Severity.HEALTHY
    # No outlet temperature, no air meter, no torque; no blower, no naturally aspirated intake, and
    # no top speed stated.
    others = {"turbo", "air_and_torque", "blower", "intake", "speed_limiter"}
    assert by_check == {c.name for c in CHECKS} - others
    assert all(f.cause is None for f in findings)


def test_the_checks_have_their_names_and_own_their_limits() -> None:
    assert [c.name for c in CHECKS] == [
        "throttle",
        "ignition",
        "boost",
        "blower",
        "turbo",
        "intake",
        "air_and_torque",
        "air_temperatures",
        "fuel_supply",
        "mixture",
        "engine_temperatures",
        "drive",
        "speed_limiter",
        "data_quality",
    ]
    for check in CHECKS:
        assert {limit.name.split(".")[0] for limit in check.limits} == {check.name}
        assert all(limit.origin and limit.meaning for limit in check.limits)
    assert len({limit.name for limit in DEFAULT_LIMITS}) == len(DEFAULT_LIMITS)


@pytest.mark.parametrize("check", [c for c in CHECKS if c.name not in OF_OTHERS])
def test_without_its_channels_a_check_says_what_it_needs(check: object) -> None:
    pull = engine_pull(without=tuple(n for n in engine_pull().channels if n != "engine_speed"))
    findings = [f for f in run_checks(pull, LIMITS, TURBO) if f.check == getattr(check, "name", "")]
    assert [f.severity for f in findings] == [Severity.NOTE]
    assert findings[0].text.startswith("Not judged: needs ")
    assert pull_verdict(run_checks(pull, LIMITS, TURBO), pull) is Severity.NOTE


def test_the_users_limit_is_used_and_shown() -> None:
    strict = Limits.of(DEFAULT_LIMITS, {"engine_temperatures.coolant": 90.0}, "limits file x.yaml")
    hot = [
        f for f in run_checks(engine_pull(), strict, TURBO) if f.unit == "degC" and f.limit == 90.0
    ]
    assert [(f.check, f.severity) for f in hot] == [("engine_temperatures", Severity.LOOK_CLOSER)]
    assert hot[0].limit_origin == "limits file x.yaml"


def test_a_channel_that_cannot_be_trusted_is_kept_from_the_other_checks() -> None:
    pull = engine_pull()
    pull.samples["boost"].value[:] = 20.0
    findings = run_checks(pull, LIMITS, TURBO)
    boost = [f for f in findings if f.check == "boost"]
    assert boost[0].text.startswith("Not judged: needs boost_pressure")
    assert "boost cannot be trusted here" in boost[0].text
    assert findings[0].cause == "sensor_fault"


def test_the_same_pull_gives_the_same_findings() -> None:
    assert run_checks(engine_pull(), LIMITS, TURBO) == run_checks(engine_pull(), LIMITS, TURBO)


def test_a_missing_boost_target_is_told(  # a car with boost but a poor log
) -> None:
    findings = run_checks(engine_pull(without=("boost_target",)), LIMITS, TURBO)
    note = next(f for f in findings if f.check == "boost")
    assert note.text == f"Not judged: needs {Quantity.BOOST_TARGET}."
