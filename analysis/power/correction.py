"""One correction factor with its standard, its validity and what it says of a boosted engine."""

from dataclasses import dataclass

from analysis.model.setup import POSSIBLE_AIR, Air, Car, Ignition, Standard
from analysis.phrases.say import amount, in_line, listed, say, significant
from analysis.phrases.statement import Joint, Statement
from analysis.power import atmosphere
from analysis.power.atmosphere import Aspiration


@dataclass(frozen=True, slots=True)
class Correction:
    """Corrected power is measured power times factor.

    valid: the standard's own limits hold and every input was known. statement: how the factor came
    about or why there is none; then factor is 1. air: what it was computed from.
    """

    standard: Standard
    factor: float
    valid: bool
    statement: Statement
    air: Air

    @property
    def has_factor(self) -> bool:
        """Whether the standard gave one; a factor of 1 for want of an input is none."""
        return self.valid or self.factor != 1.0


def correction(standard: Standard, air: Air, car: Car, aspiration: Aspiration) -> Correction:
    """The standard's factor for this air and engine; 1 with the reason where it has none."""
    if standard is Standard.NONE:
        return Correction(standard, 1.0, True, _why_uncorrected(car), air)
    missing = _missing(standard, air)
    if missing:
        lacking = say("correction-lacks", standard=str(standard), inputs=listed(missing))
        return Correction(standard, 1.0, False, lacking, air)
    if standard is Standard.SAE_J1349 and aspiration.ignition is Ignition.COMPRESSION:
        return Correction(standard, 1.0, False, say("correction-sae-diesel"), air)
    factor = _factor(standard, air, aspiration)
    outside = _outside(standard, factor, air, aspiration)
    parts = [_made_for(standard, factor, air)]
    parts += [say("correction-outside", what=in_line(outside))] if outside else []
    parts += [say("correction-closed-loop")] if car.closed_loop_boost else []
    how = say("correction", parts=in_line(parts, Joint.SEMICOLON))
    return Correction(standard, factor, not outside, how, air)


def every_correction(air: Air, car: Car, aspiration: Aspiration) -> tuple[Correction, ...]:
    """What each standard would say of the same pull; never to be mixed in one comparison."""
    return tuple(
        correction(standard, air, car, aspiration)
        for standard in Standard
        if standard is not Standard.NONE
    )


def _why_uncorrected(car: Car) -> Statement:
    return say("uncorrected-closed-loop" if car.closed_loop_boost else "uncorrected-as-asked")


def _missing(standard: Standard, air: Air) -> list[Statement]:
    """What is not known, or cannot be: a sensor that reads 0 kPa has told nothing."""
    needs = {
        "barometric_kpa": "air-barometric-pressure",
        "temperature_degc": "air-temperature",
    }
    if standard is not Standard.DIN_70020:
        needs["relative_humidity_percent"] = "air-relative-humidity"
    return [say(key) for field, key in needs.items() if not _can_be(field, getattr(air, field))]


def _can_be(field: str, value: float | None) -> bool:
    low, high = POSSIBLE_AIR[field]
    return value is not None and low <= value <= high


def _factor(standard: Standard, air: Air, aspiration: Aspiration) -> float:
    barometric_kpa, temperature_degc = _known(air.barometric_kpa), _known(air.temperature_degc)
    if standard is Standard.DIN_70020:
        return atmosphere.din_70020(barometric_kpa, temperature_degc)
    dry_kpa = _dry_kpa(air)
    if standard is Standard.SAE_J1349:
        return atmosphere.sae_j1349(dry_kpa, temperature_degc)
    if aspiration.ignition is Ignition.SPARK:
        return atmosphere.iso_1585_spark(dry_kpa, temperature_degc)
    return atmosphere.iso_1585_compression(
        dry_kpa, temperature_degc, aspiration.turbocharged, aspiration.engine_factor
    )


def _outside(
    standard: Standard, factor: float, air: Air, aspiration: Aspiration
) -> list[Statement]:
    """What of the standard's own limits does not hold. DIN 70020 is quoted without any."""
    if standard is Standard.DIN_70020:
        return []
    diesel = aspiration.ignition is Ignition.COMPRESSION
    factors = atmosphere.COMPRESSION_RANGE if diesel else atmosphere.FACTOR_RANGE
    limits = [("correction-factor-outside", factor, factors, "1")]
    if standard is Standard.SAE_J1349:
        temperature, dry = _known(air.temperature_degc), _dry_kpa(air)
        limits.append(
            ("correction-temperature-outside", temperature, atmosphere.SAE_TEMPERATURE_DEGC, "degC")
        )
        limits.append(("correction-dry-pressure-outside", dry, atmosphere.SAE_DRY_KPA, "kPa"))
    return [
        say(
            key,
            value=significant(value, unit, 4),
            low=significant(low, unit, 6),
            high=significant(high, unit, 6),
        )
        for key, value, (low, high), unit in limits
        if not low <= value <= high
    ]


def _made_for(standard: Standard, factor: float, air: Air) -> Statement:
    day = {
        "factor": amount(factor, "1", 4),
        "pressure": amount(_known(air.barometric_kpa), "kPa", 1),
        "temperature": amount(_known(air.temperature_degc), "degC", 1),
    }
    if standard is Standard.DIN_70020:
        return say("correction-made-for-air", standard=str(standard), **day)
    humidity = amount(_known(air.relative_humidity_percent), "%")
    dry = amount(_dry_kpa(air), "kPa", 1)
    return say(
        "correction-made-for-humid-air", standard=str(standard), humidity=humidity, dry=dry, **day
    )


def _dry_kpa(air: Air) -> float:
    return atmosphere.dry_pressure_kpa(
        _known(air.barometric_kpa),
        _known(air.temperature_degc),
        _known(air.relative_humidity_percent),
    )


def _known(value: float | None) -> float:
    if value is None:
        raise ValueError("an input that _missing has already let through")
    return value
