"""Is the car ready for a pull? What the operator should see before pressing the pedal."""

from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from enum import StrEnum
from typing import Any, Final

from analysis.limits import COMMON_PRACTICE, Limit
from decode.quantities import Quantity

# Origin of each: common practice, no published source. They guide, they never hold a pull back.
LIMITS: Final[tuple[Limit, ...]] = (
    Limit("readiness.coolant_low", 75.0, "degC", COMMON_PRACTICE, "Below it the engine is cold."),
    Limit("readiness.coolant_high", 100.0, "degC", COMMON_PRACTICE, "Above it, cool down first."),
    Limit("readiness.oil_low", 70.0, "degC", COMMON_PRACTICE, "Below it the oil is thick."),
    Limit("readiness.oil_high", 120.0, "degC", COMMON_PRACTICE, "Above it, cool down first."),
    Limit(
        "readiness.charge_air_over_ambient",
        20.0,
        "degC",
        COMMON_PRACTICE,
        "Above it the charge cooler still holds the heat of the last pull.",
    ),
    Limit("readiness.battery_low", 12.5, "V", COMMON_PRACTICE, "Below it the alternator is off."),
)
_LIMIT: Final = {limit.name.removeprefix("readiness."): limit.value for limit in LIMITS}

Latest = Mapping[Quantity, float]


class Readiness(StrEnum):
    """One line of the readiness list."""

    READY = "ready"
    WAIT = "wait"
    UNKNOWN = "unknown"  # no channel says; look yourself


@dataclass(frozen=True, slots=True)
class ReadinessItem:
    """One thing to look at before the pull. value: in the house unit."""

    name: str
    state: Readiness
    words: str
    value: float | None = None
    unit: str = ""

    def to_json(self) -> dict[str, Any]:
        """Plain data; every key is always present."""
        return asdict(self)


def readiness(latest: Latest) -> tuple[ReadinessItem, ...]:
    """Judge the newest values by quantity (not-available values left out)."""
    return tuple(judge(latest) for judge in _JUDGES)


def _between(
    name: str, quantity: Quantity, low: float, high: float, unit: str, latest: Latest
) -> ReadinessItem:
    value = latest.get(quantity)
    if value is None:
        return ReadinessItem(name, Readiness.UNKNOWN, "no channel")
    if value < low:
        return ReadinessItem(name, Readiness.WAIT, "too low", value, unit)
    if value > high:
        return ReadinessItem(name, Readiness.WAIT, "too high", value, unit)
    return ReadinessItem(name, Readiness.READY, "good", value, unit)


def _coolant(latest: Latest) -> ReadinessItem:
    low, high = _LIMIT["coolant_low"], _LIMIT["coolant_high"]
    return _between("Coolant", Quantity.COOLANT_TEMPERATURE, low, high, "degC", latest)


def _oil(latest: Latest) -> ReadinessItem:
    low, high = _LIMIT["oil_low"], _LIMIT["oil_high"]
    return _between("Oil", Quantity.OIL_TEMPERATURE, low, high, "degC", latest)


def _battery(latest: Latest) -> ReadinessItem:
    low = _LIMIT["battery_low"]
    return _between("Battery", Quantity.BATTERY_VOLTAGE, low, float("inf"), "V", latest)


def _charge_air(latest: Latest) -> ReadinessItem:
    """Heat soak: charge air against ambient, or against the intake where ambient is unknown."""
    charge = latest.get(Quantity.CHARGE_AIR_TEMPERATURE)
    ambient = latest.get(Quantity.AMBIENT_TEMPERATURE, latest.get(Quantity.INTAKE_AIR_TEMPERATURE))
    if charge is None or ambient is None:
        return ReadinessItem("Charge air", Readiness.UNKNOWN, "no channel")
    soaked = charge - ambient > _LIMIT["charge_air_over_ambient"]
    state = Readiness.WAIT if soaked else Readiness.READY
    return ReadinessItem(
        "Charge air", state, "heat-soaked" if soaked else "cooled down", charge, "degC"
    )


_JUDGES: Final[tuple[Callable[[Latest], ReadinessItem], ...]] = (
    _coolant,
    _oil,
    _charge_air,
    _battery,
)
