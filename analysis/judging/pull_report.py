"""What is known of one pull once its analysis is done. Knows no check: lists of pulls need none."""

from dataclasses import dataclass

from analysis.model.findings import Finding, Severity
from analysis.model.pull import Pull
from analysis.power.curve import PowerCurve


@dataclass(frozen=True, slots=True)
class PullReport:
    """Every finding, the verdict, and the torque curve if there is one."""

    pull: Pull
    findings: tuple[Finding, ...]
    verdict: Severity
    power: PowerCurve | None
