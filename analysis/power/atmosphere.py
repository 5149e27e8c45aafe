"""What each standard makes of the day's air: correction factors and where they hold.

Corrected power is measured power times the factor. Kelvin is degrees Celsius plus 273, as the
standards print it (273.15 would change a factor by 3e-5). The standards' own texts were not at
hand: the formulas are as secondary sources quote them, the validity limits and the exponents of
temperature for compression ignition from memory (ISO 1585 may have 1.2 for UN R85's 1.5), and the
tests in tests/published name each source.
"""

import math
from dataclasses import dataclass
from typing import Final

import psychrolib

from analysis.model.setup import Ignition

KELVIN: Final = 273.0
PA_PER_KPA: Final = 1000.0
MBAR_PER_KPA: Final = 10.0

REFERENCE_DRY_KPA: Final = 99.0  # 100 kPa total less 1 kPa vapour (EU 134/2014, appendix 2.2)
REFERENCE_K: Final = 298.0  # 25 degC
DIN_REFERENCE_MBAR: Final = 1013.0  # total pressure
DIN_REFERENCE_K: Final = 293.0  # 20 degC

FACTOR_RANGE: Final = (0.93, 1.07)  # SAE J1349, and ISO 1585 / UN R85 spark ignition
COMPRESSION_RANGE: Final = (0.9, 1.1)  # ISO 1585 / UN R85 compression ignition
SAE_TEMPERATURE_DEGC: Final = (15.0, 35.0)
SAE_DRY_KPA: Final = (90.0, 105.0)

LOWEST_ENGINE_FACTOR: Final = 0.3  # UN R85 annex 5, 5.4.2.2: below 40 mg per litre and cycle
HIGHEST_ENGINE_FACTOR: Final = 1.2  # ... and above 65
FOUR_STROKE_Z: Final = 120_000.0  # g/s, litre and rpm into mg per litre and cycle


@dataclass(frozen=True, slots=True)
class Aspiration:
    """What the regulation asks of the engine; engine_factor only for compression ignition."""

    ignition: Ignition = Ignition.SPARK
    turbocharged: bool = False
    engine_factor: float = LOWEST_ENGINE_FACTOR


def vapour_pressure_kpa(temperature_degc: float, relative_humidity_percent: float) -> float:
    """Partial pressure of water vapour, by psychrolib (ASHRAE Fundamentals 2017, chapter 1)."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    pressure_pa: float = psychrolib.GetVapPresFromRelHum(
        temperature_degc, min(max(relative_humidity_percent, 0.0), 100.0) / 100
    )
    return pressure_pa / PA_PER_KPA


def dry_pressure_kpa(
    barometric_kpa: float, temperature_degc: float, relative_humidity_percent: float
) -> float:
    """Barometric pressure less water vapour: what the engine can burn fuel with."""
    return barometric_kpa - vapour_pressure_kpa(temperature_degc, relative_humidity_percent)


def standard_pressure_kpa(altitude_m: float) -> float:
    """Of the standard atmosphere at that altitude, by psychrolib (ASHRAE Fundamentals 2017)."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    pressure_pa: float = psychrolib.GetStandardAtmPressure(altitude_m)
    return pressure_pa / PA_PER_KPA


def station_pressure_kpa(sea_level_kpa: float, altitude_m: float, temperature_degc: float) -> float:
    """What a weather service's sea-level pressure is at the station's altitude, by psychrolib."""
    psychrolib.SetUnitSystem(psychrolib.SI)
    pressure_pa: float = psychrolib.GetStationPressure(
        sea_level_kpa * PA_PER_KPA, altitude_m, temperature_degc
    )
    return pressure_pa / PA_PER_KPA


def sae_j1349(dry_kpa: float, temperature_degc: float) -> float:
    """SAE J1349, naturally aspirated spark ignition: 1.180 (990/p_d) sqrt((t+273)/298) - 0.180.

    The 0.180 is friction, taken as 15 % of indicated power, which the air does not change.
    """
    density = REFERENCE_DRY_KPA / dry_kpa * math.sqrt((temperature_degc + KELVIN) / REFERENCE_K)
    return 1.180 * density - 0.180


def iso_1585_spark(dry_kpa: float, temperature_degc: float) -> float:
    """ISO 1585 / UN R85, spark ignition: (99/p_s)^1.2 (T/298)^0.6."""
    temperature = (temperature_degc + KELVIN) / REFERENCE_K
    return math.pow(REFERENCE_DRY_KPA / dry_kpa, 1.2) * math.pow(temperature, 0.6)


def iso_1585_compression(
    dry_kpa: float, temperature_degc: float, turbocharged: bool, engine_factor: float
) -> float:
    """ISO 1585 / UN R85, compression ignition: f_a ^ f_m.

    f_a is (99/p_s) (T/298)^0.7, or (99/p_s)^0.7 (T/298)^1.5 with a turbocharger. f_m is an
    exponent: the printed regulation had it on the line until UN R85 supplement 8.
    """
    pressure = REFERENCE_DRY_KPA / dry_kpa
    temperature = (temperature_degc + KELVIN) / REFERENCE_K
    if turbocharged:
        air = math.pow(pressure, 0.7) * math.pow(temperature, 1.5)
    else:
        air = pressure * math.pow(temperature, 0.7)
    return math.pow(air, engine_factor)


def engine_factor(corrected_fuel_mg_per_l_cycle: float) -> float:
    """f_m of UN R85 annex 5, 5.4.2.2: 0.036 q_c - 1.14, held at 0.3 below 40 and 1.2 above 65."""
    factor = 0.036 * corrected_fuel_mg_per_l_cycle - 1.14
    return min(max(factor, LOWEST_ENGINE_FACTOR), HIGHEST_ENGINE_FACTOR)


def corrected_fuel_mg_per_l_cycle(
    fuel_g_s: float, displacement_l: float, engine_speed_rpm: float, boost_ratio: float
) -> float:
    """q_c = q / r of a four-stroke: fuel per litre and cycle over the absolute boost ratio."""
    fuel = FOUR_STROKE_Z * fuel_g_s / (displacement_l * engine_speed_rpm)
    return fuel / boost_ratio


def din_70020(barometric_kpa: float, temperature_degc: float) -> float:
    """DIN 70020: (1013/p) sqrt((t+273)/293), total pressure in mbar; humidity plays no part."""
    temperature = (temperature_degc + KELVIN) / DIN_REFERENCE_K
    return DIN_REFERENCE_MBAR / (barometric_kpa * MBAR_PER_KPA) * math.sqrt(temperature)
