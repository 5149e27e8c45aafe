"""A pull in one line: the finding that matters most, and the figure people ask for first."""

from collections.abc import Sequence

from analysis.findings import Finding, Severity
from analysis.jobs import StoredPull
from analysis.power.curve import PowerCurve


def headline(pull: StoredPull) -> str:
    """The statement of the finding that made the verdict."""
    return headline_of(pull.findings, pull.verdict)


def headline_of(findings: Sequence[Finding], verdict: Severity) -> str:
    """The statement of the finding that made the verdict; of several, the most telling one, which
    the checks put first."""
    if verdict is Severity.HEALTHY:
        return "Nothing found that should not be there."
    if verdict is Severity.NOTE:
        return "Too little was seen to judge it."
    return next(finding.statement for finding in findings if finding.severity is verdict)


def curve_of(pull: StoredPull) -> PowerCurve | None:
    """The torque and power curve, None where the pull has no dyno data."""
    return None if pull.power is None else PowerCurve.from_json(dict(pull.power))


def peak_wheel_power_kw(pull: StoredPull) -> float | None:
    """The highest uncorrected power at the wheel."""
    curve = curve_of(pull)
    return None if curve is None else float(curve.wheel_power_kw.max())
