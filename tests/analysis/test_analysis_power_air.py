"""The air of a pull: channels first, the station file next, and what is doubtful about either."""

import numpy as np
import pytest
from roller_pulls import Bay, Torque, roller_pull
from test_analysis_compare import with_channel

from analysis.model.pull import Pull
from analysis.model.setup import Air, Car, Ignition
from analysis.power.air import air_of, aspiration_of, not_of_this_station, pressure_cautions
from analysis.power.curve import power_curve
from decode.quantities import Quantity


@pytest.fixture
def pull() -> Pull:
    return roller_pull(Torque(), Bay(), np.random.default_rng(1))


def test_channels_come_before_the_station_file(pull: Pull) -> None:
    given = Air(99.0, 20.0, 40.0)
    assert air_of(pull, given).air == given
    for quantity, value in (
        (Quantity.BAROMETRIC_PRESSURE, 98.6),
        (Quantity.AMBIENT_TEMPERATURE, 23.0),
        (Quantity.RELATIVE_HUMIDITY, 55.0),
    ):
        pull = with_channel(pull, quantity, value)
    assert air_of(pull, given).air == Air(98.6, 23.0, 55.0)


def test_the_cars_own_intake_sensor_is_the_last_resort_and_said_so(pull: Pull) -> None:
    warm = with_channel(pull, Quantity.INTAKE_AIR_TEMPERATURE, 38.0)
    assert air_of(warm, Air(99.0, 20.0, 40.0)).air.temperature_degc == 20.0
    found = air_of(warm, Air(99.0, None, 40.0))
    assert found.air.temperature_degc == 38.0
    assert "heat soak" in found.cautions[0].text


@pytest.mark.parametrize(
    ("given", "measured", "words"),
    [
        (Air(101.9), 97.8, "sea-level"),
        (Air(101.325), None, "standard sea-level value"),
        (Air(1013.0), None, "not possible"),
        (Air(101.4, 18.0, altitude_m=180.0), None, "the station's would be 99.3 kPa"),
    ],
)
def test_sea_level_pressure_is_caught(given: Air, measured: float | None, words: str) -> None:
    assert words in " ".join(map(str, pressure_cautions(given, measured)))


@pytest.mark.parametrize(
    ("given", "measured"),
    [
        (Air(98.2), 98.6),
        (Air(98.2), None),
        (Air(), 98.6),
        (Air(95.2, altitude_m=520.0), None),
        (Air(101.9, altitude_m=15.0), None),
        (Air(102.0, altitude_m=100.0), 101.9),  # a channel measures it, and was used
    ],
)
def test_station_pressure_passes(given: Air, measured: float | None) -> None:
    assert pressure_cautions(given, measured) == ()


def test_pressure_that_an_altitude_cannot_have_is_refused_with_what_it_would_be() -> None:
    """1,013 hPa at 520 m: the standard atmosphere has 95.2 kPa there (ICAO: 95.23)."""
    refusal = not_of_this_station(Air(101.3, 20.0, altitude_m=520.0))
    assert refusal is not None
    assert "6.1 kPa above" in refusal.text
    assert "would be 95.4 kPa" in refusal.text
    assert not_of_this_station(Air(95.2, altitude_m=520.0)) is None
    assert not_of_this_station(Air(101.3)) is None  # no altitude, no doubt


def test_cautions_reach_the_curve(pull: Pull) -> None:
    high = with_channel(pull, Quantity.BAROMETRIC_PRESSURE, 97.8)
    setup = Bay().setup
    curve = power_curve(high, type(setup)(setup.car, setup.dyno, Air(101.9, 20.0, 40.0)))
    assert curve is not None
    assert "97.8 kPa" in " ".join(map(str, curve.cautions))


def test_engine_factor_of_a_diesel_from_its_own_fuel(pull: Pull) -> None:
    """145 g/s of air at lambda 1.0 is 10 g/s of fuel; 2.0 l at 4,000 rpm and 2.5 times the air's
    pressure: 60 mg per litre and cycle, f_m 1.02 (UN R85, recomputed)."""
    diesel = Car(ignition=Ignition.COMPRESSION, displacement_l=2.0, boosted=True)
    air = Air(100.0, 25.0, 40.0)
    for quantity, value in (
        (Quantity.AIR_MASS_FLOW, 145.0),
        (Quantity.LAMBDA, 1.0),
        (Quantity.BOOST_PRESSURE, 150.0),
    ):
        pull = with_channel(pull, quantity, value)
    assert aspiration_of(pull, diesel, 4000.0, air).engine_factor == pytest.approx(1.02)
    bare = Car(ignition=Ignition.COMPRESSION, boosted=True)
    assert aspiration_of(pull, bare, 4000.0, air).engine_factor == 0.3
