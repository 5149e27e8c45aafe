"""What is said of a pull: one frozen form used by MQTT, HTTP, the store and `--json`."""

from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from typing import Any, Final

from pydantic import TypeAdapter

from analysis.phrases.statement import Statement

# Checks that the verdict looks for, as Finding.check.
COVERAGE: Final = "coverage"  # says that what matters most was not judged
DATA_QUALITY: Final = "data_quality"  # good data alone makes nothing healthy
ENGINE_KIND: Final = "engine_kind"  # says what was inferred of the engine


class Severity(StrEnum):
    """How much a finding, or all findings together (then: the verdict), matter."""

    # the more serious, the later
    NOTE = "note"  # says something, judges nothing
    HEALTHY = "healthy"
    LOOK_CLOSER = "look_closer"
    STOP = "stop"

    @property
    def rank(self) -> int:
        """0 for a note, and the higher the more serious."""
        return _RANK[self]

    @property
    def is_trouble(self) -> bool:
        """Whether somebody must do something about it."""
        return self.rank > Severity.HEALTHY.rank


_RANK: Final = {severity: rank for rank, severity in enumerate(Severity)}


def worst(severities: Iterable[Severity]) -> Severity:
    """The most serious of them; NOTE where there is none."""
    return max(severities, key=lambda severity: severity.rank, default=Severity.NOTE)


class Cause(StrEnum):
    """Why something is not as it should be."""

    LOW_OCTANE_FUEL = "low_octane_fuel"
    SINGLE_CYLINDER_KNOCK = "single_cylinder_knock"
    HOT_CHARGE_AIR = "hot_charge_air"
    IGNITION_INTERVENTION = "ignition_intervention"
    BOOST_LEAK = "boost_leak"
    WASTEGATE_STUCK_OPEN = "wastegate_stuck_open"
    WASTEGATE_STUCK_CLOSED = "wastegate_stuck_closed"
    BOOST_OSCILLATION = "boost_oscillation"
    TURBO_OVERSPEED = "turbo_overspeed"
    BELT_SLIP = "belt_slip"  # of a blower
    RESTRICTED_INTAKE = "restricted_intake"
    RESTRICTED_EXHAUST = "restricted_exhaust"
    WEAK_LOW_PRESSURE_FUEL_PUMP = "weak_low_pressure_fuel_pump"
    WEAK_HIGH_PRESSURE_FUEL_PUMP = "weak_high_pressure_fuel_pump"
    INJECTOR_LIMIT = "injector_limit"
    FUEL_QUANTITY_ERROR = "fuel_quantity_error"
    ETHANOL_CONTENT = "ethanol_content"
    SPEED_LIMITER = "speed_limiter"
    PROTECTIVE_THROTTLE_CLOSURE = "protective_throttle_closure"
    MISFIRE = "misfire"
    TYRE_SLIP = "tyre_slip"
    CLUTCH_SLIP = "clutch_slip"
    OVERHEATING = "overheating"
    SENSOR_FAULT = "sensor_fault"
    CLOCK_OFFSET = "clock_offset"


@dataclass(frozen=True, slots=True)
class Where:
    """The place in a pull: the page jumps to it."""

    start_s: float
    end_s: float
    start_rpm: float | None = None
    end_rpm: float | None = None
    cylinder: int | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """What is said of one pull: what, where, how much, against which limit, how sure.

    statements: what was seen, then why and from what. confidence: 0 to 1, how sure the statement
    (with its cause, where it names one) is. value and limit share the unit. limit_origin: a
    published source, the user's limits file, or "common practice, no published source".
    settled_by: what would settle it, None where nothing is open.
    """

    check: str
    severity: Severity
    statements: tuple[Statement, ...]
    cause: Cause | None = None
    confidence: float = 1.0
    where: Where | None = None
    value: float | None = None
    limit: float | None = None
    unit: str = ""
    limit_origin: str = ""
    settled_by: Statement | None = None

    @property
    def text(self) -> str:
        """All that is said, in English and house units."""
        return " ".join(statement.text for statement in self.statements)

    def to_json(self) -> dict[str, Any]:
        """Plain data; every key is always present."""
        plain: dict[str, Any] = _FINDING.dump_python(self, mode="json")
        return plain

    @classmethod
    def from_json(cls, data: dict[str, Any]) -> "Finding":
        """The inverse of to_json. Raises ValueError where it is no finding."""
        return _FINDING.validate_python(data)


_FINDING = TypeAdapter(Finding)


def lack_of(findings: Iterable[Finding]) -> Finding | None:
    """The note that the check of evidence left among a pull's findings."""
    return next((finding for finding in findings if finding.check == COVERAGE), None)


def judged_well(findings: Iterable[Finding]) -> list[str]:
    """The checks that found all well, each once. Good data alone makes nothing healthy."""
    well = (f.check for f in findings if f.severity is Severity.HEALTHY)
    return [check for check in dict.fromkeys(well) if check != DATA_QUALITY]
