"""The air of one pull: its channels first, the station file where there is none."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from analysis.model.pull import Pull
from analysis.model.setup import Air, Car, Ignition
from analysis.phrases.say import amount, say, significant
from analysis.phrases.statement import Statement
from analysis.power.atmosphere import (
    Aspiration,
    corrected_fuel_mg_per_l_cycle,
    engine_factor,
    standard_pressure_kpa,
    station_pressure_kpa,
)
from decode.quantities import Quantity

SEA_LEVEL_STANDARD_KPA: Final = 101.325
DOUBTFUL_DIFFERENCE_KPA: Final = 1.0  # about 85 m of altitude; weather moves less within a session
WEATHER_KPA: Final = 3.5  # over the standard atmosphere: a high that is seen once in some years
FAIR_WEATHER_KPA: Final = 1.5  # ... that is seen on most fine days (both common practice)
STANDARD_DEGC: Final = 15.0  # where the station's temperature is not known
STATION_RANGE_KPA: Final = (60.0, 107.0)  # 4,100 m of altitude to the highest weather ever read
DIESEL_STOICHIOMETRIC: Final = 14.5  # kg of air per kg of CH1.80


@dataclass(frozen=True, slots=True)
class MeasuredAir:
    """The air of the pull and what is doubtful about it."""

    air: Air
    cautions: tuple[Statement, ...]


def air_of(pull: Pull, given: Air) -> MeasuredAir:
    """Medians over the sweep. The car's own intake sensor is the last resort for temperature."""
    barometric = _median(pull, Quantity.BAROMETRIC_PRESSURE)
    temperature = _first(_median(pull, Quantity.AMBIENT_TEMPERATURE), given.temperature_degc)
    humidity = _first(_median(pull, Quantity.RELATIVE_HUMIDITY), given.relative_humidity_percent)
    cautions = pressure_cautions(given, barometric)
    air = replace(
        given,
        barometric_kpa=_first(barometric, given.barometric_kpa),
        temperature_degc=temperature,
        relative_humidity_percent=humidity,
    )
    intake = _median(pull, Quantity.INTAKE_AIR_TEMPERATURE)
    if temperature is None and intake is not None:
        air = replace(air, temperature_degc=intake)
        cautions += (say("air-temperature-from-intake"),)
    return MeasuredAir(air, cautions)


def pressure_cautions(given: Air, measured_kpa: float | None) -> tuple[Statement, ...]:
    """What is doubtful about the pressure; above all, sea-level pressure for the station's own."""
    given_kpa = given.barometric_kpa
    if measured_kpa is None:
        cautions = [*_sea_level_doubts(given, FAIR_WEATHER_KPA)]
    else:  # an instrument of its own is believed through any fine weather
        cautions = [*_sea_level_doubts(replace(given, barometric_kpa=measured_kpa), WEATHER_KPA)]
    if given_kpa == SEA_LEVEL_STANDARD_KPA and measured_kpa is None:
        cautions.append(say("air-pressure-is-the-standard-value"))
    if given_kpa is not None and not STATION_RANGE_KPA[0] <= given_kpa <= STATION_RANGE_KPA[1]:
        cautions.append(say("air-pressure-impossible", pressure=significant(given_kpa, "kPa", 6)))
    if (
        given_kpa is not None
        and measured_kpa is not None
        and abs(given_kpa - measured_kpa) > DOUBTFUL_DIFFERENCE_KPA
    ):
        said, measured = amount(given_kpa, "kPa", 1), amount(measured_kpa, "kPa", 1)
        cautions.append(say("air-pressures-differ", given=said, measured=measured))
    return tuple(cautions)


def not_of_this_station(air: Air) -> Statement | None:
    """Why the given pressure cannot be that of a station at its altitude; None where it can be."""
    return next(_sea_level_pressure(air, WEATHER_KPA, "air-pressure-not-of-this-station"), None)


def _sea_level_doubts(air: Air, believed_kpa: float) -> Iterator[Statement]:
    return _sea_level_pressure(air, believed_kpa, "air-pressure-perhaps-sea-level")


def _sea_level_pressure(air: Air, believed_kpa: float, key: str) -> Iterator[Statement]:
    over_kpa = _over_standard_kpa(air)
    if over_kpa is not None and over_kpa > believed_kpa:
        assert air.barometric_kpa is not None
        assert air.altitude_m is not None
        yield say(
            key,
            pressure=amount(air.barometric_kpa, "kPa", 1),
            over=amount(over_kpa, "kPa", 1, difference=True),
            altitude=significant(air.altitude_m, "m", 6),
            here=amount(_at_station_kpa(air), "kPa", 1),
        )


def _over_standard_kpa(air: Air) -> float | None:
    if air.barometric_kpa is None or air.altitude_m is None:
        return None
    return air.barometric_kpa - standard_pressure_kpa(air.altitude_m)


def _at_station_kpa(air: Air) -> float:
    """The given pressure, were it sea-level pressure, at the station's altitude."""
    assert air.barometric_kpa is not None
    assert air.altitude_m is not None
    temperature_degc = STANDARD_DEGC if air.temperature_degc is None else air.temperature_degc
    return station_pressure_kpa(air.barometric_kpa, air.altitude_m, temperature_degc)


def aspiration_of(pull: Pull, car: Car, peak_rpm: float, air: Air) -> Aspiration:
    """The engine as the regulation sees it, with the engine factor at peak power.

    Fuel is air mass flow over lambda; without those, or without the displacement, the factor
    stays at the regulation's lowest.
    """
    simple = Aspiration(car.ignition or Ignition.SPARK, bool(car.boosted))
    flow = near(pull, Quantity.AIR_MASS_FLOW, peak_rpm)
    mixture = near(pull, Quantity.LAMBDA, peak_rpm)
    if (
        car.ignition is not Ignition.COMPRESSION
        or flow is None
        or mixture is None
        or car.displacement_l is None
    ):
        return simple
    fuel_g_s = flow / (mixture * DIESEL_STOICHIOMETRIC)
    ratio = _boost_ratio(pull, peak_rpm, air)
    fuel = corrected_fuel_mg_per_l_cycle(fuel_g_s, car.displacement_l, peak_rpm, ratio)
    return replace(simple, engine_factor=engine_factor(fuel))


def _boost_ratio(pull: Pull, rpm: float, air: Air) -> float:
    """Absolute manifold over ambient pressure; 1 where the pull does not tell."""
    if not air.barometric_kpa:
        return 1.0
    boost_kpa = near(pull, Quantity.BOOST_PRESSURE, rpm)
    manifold_kpa = near(pull, Quantity.MANIFOLD_PRESSURE, rpm)
    if manifold_kpa is None and boost_kpa is not None:
        manifold_kpa = boost_kpa + air.barometric_kpa
    return 1.0 if manifold_kpa is None else max(manifold_kpa / air.barometric_kpa, 1.0)


def _median(pull: Pull, quantity: Quantity) -> float | None:
    samples = pull.first(quantity)
    if samples is None:
        return None
    inside = pull.sweep(samples)
    return float(np.median(inside.value if len(inside) else samples.value))


def near(pull: Pull, quantity: Quantity, rpm: float) -> float | None:
    """The channel's value where the sweep's engine speed is nearest to rpm."""
    samples = pull.first(quantity)
    inside = None if samples is None else pull.sweep(samples)
    if inside is None or not len(inside):
        return None
    nearest = np.argmin(np.abs(pull.engine_speed_at(inside.time_s) - rpm))
    return float(inside.value[nearest])


def _first(*values: float | None) -> float | None:
    return next((value for value in values if value is not None), None)
