"""A stored pull in one line: the finding that matters most, and the figure people ask for first."""

from analysis.findings import Finding, Severity
from analysis.jobs import StoredPull
from analysis.power.curve import PowerCurve


def headline(pull: StoredPull) -> str:
    """The gravest finding's statement; of several as grave, the surest."""
    grave = [finding for finding in pull.findings if finding.severity is pull.verdict]
    if pull.verdict is Severity.HEALTHY or not grave:
        return "Nothing found that should not be there."
    return max(grave, key=_surety).statement


def _surety(finding: Finding) -> float:
    return finding.confidence


def curve_of(pull: StoredPull) -> PowerCurve | None:
    """The torque and power curve, None where the pull has no dyno data."""
    return None if pull.power is None else PowerCurve.from_json(dict(pull.power))


def peak_wheel_power_kw(pull: StoredPull) -> float | None:
    """The highest uncorrected power at the wheel."""
    curve = curve_of(pull)
    return None if curve is None else float(curve.wheel_power_kw.max())
