"""One correction factor with its standard, its validity and what it says of a boosted engine."""

from dataclasses import asdict, dataclass
from typing import Any, Final, Self

from analysis.model.setup import Air, Car, Ignition, Standard
from analysis.power import atmosphere
from analysis.power.atmosphere import Aspiration

CLOSED_LOOP: Final = (
    "the boost control already makes up for the air, and a factor would count it twice "
    "(UN R85 supplement 7 took that double correction out)"
)
SAE_DIESEL: Final = (
    "SAE J1349 gives its formula for spark ignition, and its rationale calls the diesel factors no "
    "longer appropriate for most engines with present controls"
)


@dataclass(frozen=True, slots=True)
class Correction:
    """Corrected power is measured power times factor.

    valid: the standard's own limits hold and every input was known. statement: how the factor came
    about or why there is none; then factor is 1. air: what it was computed from.
    """

    standard: Standard
    factor: float
    valid: bool
    statement: str
    air: Air

    @property
    def has_factor(self) -> bool:
        """Whether the standard gave one; a factor of 1 for want of an input is none."""
        return self.valid or self.factor != 1.0

    def to_json(self) -> dict[str, Any]:
        """Plain data."""
        return asdict(self)

    @classmethod
    def from_json(cls, data: dict[str, Any]) -> Self:
        """The inverse of to_json."""
        return cls(**{**data, "standard": Standard(data["standard"]), "air": Air(**data["air"])})


def correction(standard: Standard, air: Air, car: Car, aspiration: Aspiration) -> Correction:
    """The standard's factor for this air and engine; 1 with the reason where it has none."""
    if standard is Standard.NONE:
        return Correction(standard, 1.0, True, _why_uncorrected(car), air)
    missing = _missing(standard, air)
    if missing:
        text = f"No {standard} factor: needs {' and '.join(missing)}."
        return Correction(standard, 1.0, False, text, air)
    if standard is Standard.SAE_J1349 and aspiration.ignition is Ignition.COMPRESSION:
        return Correction(standard, 1.0, False, f"No {standard} factor: {SAE_DIESEL}.", air)
    factor = _factor(standard, air, aspiration)
    outside = _outside(standard, factor, air, aspiration)
    parts = [f"{standard} factor {factor:.4f} for {_in_words(standard, air)}"]
    parts += [f"outside the standard's limits: {', '.join(outside)}"] if outside else []
    parts += [f"it over-corrects here: {CLOSED_LOOP}"] if car.closed_loop_boost else []
    return Correction(standard, factor, not outside, "; ".join(parts) + ".", air)


def every_correction(air: Air, car: Car, aspiration: Aspiration) -> tuple[Correction, ...]:
    """What each standard would say of the same pull; never to be mixed in one comparison."""
    return tuple(
        correction(standard, air, car, aspiration)
        for standard in Standard
        if standard is not Standard.NONE
    )


def _why_uncorrected(car: Car) -> str:
    if car.closed_loop_boost:
        return f"Uncorrected: {CLOSED_LOOP}."
    return "Uncorrected, as the station file asks: as measured in the air of the day."


def _missing(standard: Standard, air: Air) -> list[str]:
    needs = {"barometric pressure": air.barometric_kpa, "air temperature": air.temperature_degc}
    if standard is not Standard.DIN_70020:
        needs["relative humidity"] = air.relative_humidity_percent
    return [name for name, value in needs.items() if value is None]


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


def _outside(standard: Standard, factor: float, air: Air, aspiration: Aspiration) -> list[str]:
    """What of the standard's own limits does not hold. DIN 70020 is quoted without any."""
    if standard is Standard.DIN_70020:
        return []
    diesel = aspiration.ignition is Ignition.COMPRESSION
    limits = [
        ("factor", factor, atmosphere.COMPRESSION_RANGE if diesel else atmosphere.FACTOR_RANGE, "")
    ]
    if standard is Standard.SAE_J1349:
        temperature, dry = _known(air.temperature_degc), _dry_kpa(air)
        limits.append(("temperature", temperature, atmosphere.SAE_TEMPERATURE_DEGC, " degC"))
        limits.append(("dry pressure", dry, atmosphere.SAE_DRY_KPA, " kPa"))
    return [
        f"{name} {value:.4g}{unit} is not in {low:g} to {high:g}{unit}"
        for name, value, (low, high), unit in limits
        if not low <= value <= high
    ]


def _in_words(standard: Standard, air: Air) -> str:
    day = f"{_known(air.barometric_kpa):.1f} kPa and {_known(air.temperature_degc):.1f} degC"
    if standard is Standard.DIN_70020:
        return f"{day}, humidity left out"
    humidity = _known(air.relative_humidity_percent)
    return f"{day} at {humidity:.0f} % humidity ({_dry_kpa(air):.1f} kPa dry)"


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
