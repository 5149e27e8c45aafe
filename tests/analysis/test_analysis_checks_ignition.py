import numpy as np
from engine_pulls import Shape, Sweep, engine_pull, staircase, steady

from analysis.checks import DEFAULT_LIMITS, run_checks
from analysis.checks.check import Context
from analysis.checks.knock_process import event_steps
from analysis.model.findings import Cause, Finding, Severity
from analysis.model.limits import Limits
from analysis.model.setup import Car, Ignition, Setup
from decode.samples import FloatArray

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
KNOCKS = staircase((7.0, 8.6, 10.2, 11.8))
EVERY = ("retard_1", "retard_2", "retard_3", "retard_4")


def ignition(changed: dict[str, Shape], context: Context | None = None) -> list[Finding]:
    findings = run_checks(engine_pull(changed), LIMITS, context or Context())
    return [f for f in findings if f.check == "ignition"]


def test_one_cylinder_is_named_with_depth_place_and_the_others() -> None:
    (found,) = ignition({"retard_3": KNOCKS})
    assert found.cause is Cause.SINGLE_CYLINDER_KNOCK
    assert found.severity is Severity.LOOK_CLOSER
    assert found.where is not None
    assert found.where.cylinder == 3
    assert abs((found.where.start_rpm or 0) - Sweep().rpm(np.array([7.0]))[0]) < 100
    assert found.text.startswith("Cylinder 3 had up to ")
    assert "the others none" in found.text


def test_one_event_that_recovers_is_healthy() -> None:
    (found,) = ignition({"retard_2": staircase((8.0,))})
    assert found.severity is Severity.HEALTHY
    assert "at most 3.0° (cylinder 2)" in found.text


def test_all_cylinders_point_to_fuel() -> None:
    found = ignition(dict.fromkeys(EVERY, staircase((7.0, 7.8, 8.6, 9.4, 10.2))))
    assert found[0].cause is Cause.LOW_OCTANE_FUEL
    assert found[0].text.startswith("All cylinders alike lost up to ")


def hot_charge(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
    return np.interp(time_s, [3.0, 13.0], [40.0, 89.0])


def retard_of_the_heat(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
    """One degree per 7 K over the start of the pull (SAE 960497)."""
    return np.maximum(hot_charge(time_s, rpm) - 40.0, 0.0) / 7.0


def test_what_hot_charge_air_explains_is_not_blamed_on_the_fuel() -> None:
    heat: dict[str, Shape] = {"charge": hot_charge, **dict.fromkeys(EVERY, retard_of_the_heat)}
    findings = run_checks(engine_pull(heat), LIMITS, Context())
    causes = {f.cause for f in findings}
    assert Cause.HOT_CHARGE_AIR in causes
    assert Cause.LOW_OCTANE_FUEL not in causes
    words = next(f.text for f in findings if f.check == "ignition")
    assert "hotter than at the start of this pull explains" in words


def test_the_same_retard_with_cool_charge_air_is_the_fuel() -> None:
    found = ignition(dict.fromkeys(EVERY, retard_of_the_heat))
    assert found[0].cause is Cause.LOW_OCTANE_FUEL


def test_earlier_pulls_give_the_reference() -> None:
    earlier = engine_pull({"charge": steady(40.0)})
    heat: dict[str, Shape] = {"charge": steady(75.0), **dict.fromkeys(EVERY, steady(4.5))}
    heat["retard_1"] = staircase((6.0, 7.0, 8.0, 9.0, 10.0))  # so that it is no fixed offset
    pull = engine_pull(heat)
    findings = run_checks(pull, LIMITS, Context(earlier=(earlier,)))
    assert "hotter than in the coolest pull before explains" in " ".join(
        f.text for f in findings if f.check == "ignition"
    )


def test_a_fixed_offset_on_every_cylinder_is_a_lost_sensor() -> None:
    (found,) = ignition(dict.fromkeys(EVERY, steady(5.0)))
    assert found.cause is Cause.SENSOR_FAULT
    assert "a figure that never moves" in found.text


def test_deep_retard_stops_the_pull() -> None:
    deep = staircase(tuple(np.arange(6.0, 12.0, 0.5)))
    (found,) = ignition({"retard_4": deep})
    assert found.severity is Severity.STOP


def test_misfires_are_counted_wherever_the_counter_begins() -> None:
    counts = lambda t, rpm: 40.0 + np.floor(np.maximum(t - 6.0, 0.0) * 2.0)  # noqa: E731
    found = ignition({"misfires": counts})
    assert found[0].cause is Cause.MISFIRE
    assert found[0].text.startswith("14 misfires were counted")


def test_a_diesel_has_no_knock_to_judge() -> None:
    diesel = Context(setup=Setup(car=Car(ignition=Ignition.COMPRESSION)))
    found = ignition({"retard_3": KNOCKS}, diesel)
    assert [f.severity for f in found] == [Severity.NOTE]


def events(*retard: float, every_s: float = 0.1) -> int:
    return len(
        event_steps(np.arange(float(len(retard))) * every_s, np.array(retard, dtype=np.float64))
    )


def test_events_are_steps_not_samples() -> None:
    assert events(0.0, 3.0, 3.0, 2.25, 5.25, 4.5, 0.0) == 2
    assert events(0.0, 1.5, 3.0, 3.0) == 1  # one step that two samples share
    assert events(0.0, 0.75, 0.5, 0.25, 1.0) == 2  # a step may be as small as one degree less decay
    assert events(*np.arange(0.0, 4.0, 0.1)) == 0  # hot air's slow rise is no event
    assert events(0.0) == 0
