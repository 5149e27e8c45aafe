"""Readiness before the pull: each reason alone, and a car that is ready."""

import numpy as np
import pytest

from analysis.limits import Limits
from analysis.readiness import CHECKLIST, LIMITS, Readiness, Recent, State, assess
from decode.quantities import Quantity
from decode.samples import Channel, Samples

TIME_S = np.arange(0.0, 20.0, 0.1)
READY = {
    Quantity.COOLANT_TEMPERATURE: 90.0,
    Quantity.OIL_TEMPERATURE: 95.0,
    Quantity.INTAKE_AIR_TEMPERATURE: 28.0,
    Quantity.CHARGE_AIR_TEMPERATURE: 35.0,
    Quantity.AMBIENT_TEMPERATURE: 24.0,
    Quantity.BATTERY_VOLTAGE: 14.1,
    Quantity.ENGINE_SPEED: 2000.0,
    Quantity.ROLLER_SPEED: 40.0,
}
RATES_HZ = {quantity.value: 10.0 for quantity in READY}


def judged(
    changed: dict[Quantity, float | Samples] | None = None, missing: tuple[Quantity, ...] = ()
) -> Readiness:
    samples = {}
    for quantity, value in {**READY, **(changed or {})}.items():
        constant = (
            Samples(TIME_S, np.full(len(TIME_S), value)) if isinstance(value, float) else value
        )
        if quantity not in missing:
            samples[quantity.value] = constant
    channels = {q.value: Channel(q.value, "", q) for q in READY}
    return assess(Recent(channels, samples, 20.0, RATES_HZ), Limits.of(LIMITS, {}, ""))


def test_a_warm_car_that_speaks_is_ready() -> None:
    found = judged()
    assert found.ready, found.reasons
    assert {item.state for item in found.items} == {State.READY}
    assert found.checklist == CHECKLIST


@pytest.mark.parametrize(
    ("quantity", "value", "word"),
    [
        (Quantity.COOLANT_TEMPERATURE, 60.0, "below 75"),
        (Quantity.COOLANT_TEMPERATURE, 104.0, "above 100"),
        (Quantity.OIL_TEMPERATURE, 50.0, "below 70"),
        (Quantity.CHARGE_AIR_TEMPERATURE, 50.0, "above 20"),
        (Quantity.BATTERY_VOLTAGE, 12.0, "below 12.5"),
    ],
)
def test_each_value_out_of_its_range_is_the_reason(
    quantity: Quantity, value: float, word: str
) -> None:
    found = judged({quantity: value})
    assert not found.ready
    (reason,) = found.reasons
    assert word in reason


def test_intake_air_that_still_moves_is_waited_for() -> None:
    found = judged({Quantity.INTAKE_AIR_TEMPERATURE: Samples(TIME_S, 20.0 + TIME_S)})
    assert [reason.split(":")[0] for reason in found.reasons] == ["Intake air drift"]


def test_a_channel_at_half_its_rate_is_named() -> None:
    slow = Samples(TIME_S[::2], np.full(len(TIME_S[::2]), 90.0))
    (reason,) = judged({Quantity.COOLANT_TEMPERATURE: slow}).reasons
    assert "coolant_temperature at 5" in reason


def test_a_silent_channel_is_named_and_its_value_unknown() -> None:
    found = judged(missing=(Quantity.OIL_TEMPERATURE,))
    assert "oil_temperature at 0" in found.reasons[0]
    assert found.items[1].state is State.UNKNOWN


def test_a_ratio_that_scatters_is_slip_or_a_clock() -> None:
    roller = 40.0 * (1.0 + 0.1 * np.sin(TIME_S))
    found = judged({Quantity.ROLLER_SPEED: Samples(TIME_S, roller)})
    assert "ratio scatters" in found.reasons[0]
