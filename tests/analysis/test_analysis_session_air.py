"""The air of the bay: who is believed, how long a reading holds; batching decides nothing."""

import numpy as np
import pytest

from analysis.model.setup import Air
from analysis.power.air import pressure_cautions
from analysis.session.air import OLDEST_S, SessionAir
from decode.quantities import Quantity
from decode.samples import Channel, Samples

CHANNELS = {
    "engine_speed": Channel("engine_speed", "rpm", Quantity.ENGINE_SPEED, source="engine"),
    "pressure": Channel("pressure", "kPa", Quantity.BAROMETRIC_PRESSURE, source="weather"),
    "ecu_pressure": Channel("ecu_pressure", "kPa", Quantity.BAROMETRIC_PRESSURE, source="engine"),
    "humidity": Channel("humidity", "%", Quantity.RELATIVE_HUMIDITY, source="weather"),
}
GIVEN = Air(barometric_kpa=98.0, temperature_degc=20.0, altitude_m=250.0)


def column(*said: tuple[float, float]) -> Samples:
    time_s, value = np.array(said).T
    return Samples(time_s, value)


def test_without_a_word_it_is_the_station_files() -> None:
    air = SessionAir(CHANNELS, GIVEN).at(100.0)
    assert (air.barometric_kpa, air.temperature_degc, air.altitude_m) == (98.0, 20.0, 250.0)
    assert air.origin == "pressure, temperature: the station file"


def test_a_channel_is_believed_before_people_and_each_is_named() -> None:
    session = SessionAir(CHANNELS, GIVEN)
    session.type({"barometric_kpa": 97.0, "temperature_degc": 24.0})
    session.feed({"humidity": column((10.0, 45.0)), "ecu_pressure": column((10.0, 96.0))})
    session.feed({"pressure": column((11.0, 97.4))})
    air = session.at(12.0)
    assert (air.barometric_kpa, air.temperature_degc, air.relative_humidity_percent) == (
        97.4,
        24.0,
        45.0,
    )
    assert air.origin == (
        "pressure, humidity: measured by weather; temperature: typed by the operator"
    )


def test_a_reading_holds_until_it_is_old() -> None:
    session = SessionAir(CHANNELS, GIVEN)
    session.feed({"pressure": column((60.0, 97.4))})
    assert session.at(60.0 + OLDEST_S).barometric_kpa == 97.4
    assert session.at(61.0 + OLDEST_S).barometric_kpa == 98.0


def test_what_is_not_known_is_no_reading() -> None:
    session = SessionAir(CHANNELS, GIVEN)
    session.feed({"pressure": column((1.0, 97.4), (30.0, np.nan))})
    assert session.at(40.0).barometric_kpa == 97.4


@pytest.mark.parametrize("size", [1, 7, 4000])
def test_batches_decide_nothing(size: int) -> None:
    time_s = np.arange(0.0, 400.0, 0.1)
    value = 97.0 + 0.001 * np.arange(float(len(time_s)))
    session = SessionAir(CHANNELS, GIVEN)
    for start in range(0, len(time_s), size):
        part = slice(start, start + size)
        session.feed({"pressure": Samples(time_s[part], value[part])})
    assert session.at(201.3).barometric_kpa == value[2000]


def test_a_channel_set_to_sea_level_is_noticed_by_the_altitude() -> None:
    high = Air(altitude_m=500.0, temperature_degc=20.0)
    (said,) = pressure_cautions(high, 101.3)
    assert "set to sea level" in said.text
    assert pressure_cautions(high, 95.5) == ()
