import numpy as np
import pytest

from analysis.judging.channel_preview import ChannelState, judge
from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import Channel, FloatArray, Samples

TIME_S = np.arange(0.0, 10.0, 0.02)


def look(quantity: Quantity | None, value: FloatArray, now_s: float = 10.0) -> ChannelState:
    unit = HOUSE_UNIT[quantity] if quantity else ""
    return judge(Channel("c", unit, quantity), Samples(TIME_S[: len(value)], value), now_s)


def test_a_sound_channel_has_its_value_and_rate_and_no_suspicion() -> None:
    state = look(Quantity.ENGINE_SPEED, 900.0 + 300.0 * np.sin(TIME_S))
    assert state.value == pytest.approx(900.0 + 300.0 * np.sin(9.98))
    assert state.rate_hz == pytest.approx(50.0)
    assert state.suspicions == ()


@pytest.mark.parametrize(
    ("quantity", "value", "word"),
    [
        (Quantity.ENGINE_SPEED, np.full(500, 850.0), "constant at 850: must move"),
        (Quantity.COOLANT_TEMPERATURE, np.full(500, 90.0), "constant at 90"),
        (Quantity.BOOST_PRESSURE, np.minimum(20.0 * TIME_S, 110.0), "clipped? at exactly 110"),
        (Quantity.KNOCK_RETARD, -3.0 * np.abs(np.sin(TIME_S)), "wrong sign? -3"),
        (Quantity.COOLANT_TEMPERATURE, 363.0 + np.sin(TIME_S), "impossible: 364"),
        (Quantity.BOOST_PRESSURE, 98.0 + np.sin(TIME_S), "never below 97 kPa, as if absolute"),
        (Quantity.LAMBDA, np.full(500, np.nan), "not available"),
        (None, np.full(500, 3.0), "constant at 3"),
    ],
)
def test_what_is_suspicious(quantity: Quantity | None, value: FloatArray, word: str) -> None:
    assert any(s.startswith(word) for s in look(quantity, value).suspicions)


def test_a_wrong_map_is_told_from_a_spike() -> None:
    spike = np.where(np.arange(500) == 250, 300.0, 90.0 + 0.01 * TIME_S)
    assert "scale" not in look(Quantity.COOLANT_TEMPERATURE, spike).suspicions[0]
    assert "scale" in look(Quantity.COOLANT_TEMPERATURE, spike + 300.0).suspicions[0]


@pytest.mark.parametrize(
    ("quantity", "value"),
    [
        (Quantity.PEDAL_POSITION, np.clip(200.0 * np.sin(TIME_S), 0.0, 100.0)),  # rests at its ends
        (Quantity.ROLLER_SPEED, np.maximum(60.0 * np.sin(TIME_S), 0.0)),  # stands
        (Quantity.BOOST_PRESSURE, np.round(3.0 * np.sin(TIME_S)) * 10.0),  # coarse steps
        (Quantity.MANIFOLD_PRESSURE, 40.0 + 0.5 * np.sin(TIME_S)),
    ],
)
def test_resting_and_rounding_are_not_clipping(quantity: Quantity, value: FloatArray) -> None:
    assert look(quantity, value).suspicions == ()


def test_silence_is_told_with_its_length_and_keeps_the_rate() -> None:
    state = look(Quantity.ENGINE_SPEED, 900.0 + 300.0 * np.sin(TIME_S[:300]), now_s=10.0)
    assert state.suspicions[0] == "silent for 4.0 s"
    assert state.rate_hz == pytest.approx(50.0)
    assert look(None, np.empty(0)).suspicions == ("silent: nothing came",)
