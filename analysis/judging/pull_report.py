"""One pull, wholly analysed: every finding, the verdict, and the torque curve if there is one."""

from dataclasses import dataclass

from analysis.checks import run_checks
from analysis.checks.check import Context
from analysis.judging.verdict import pull_verdict
from analysis.model.findings import Finding, Severity
from analysis.model.limits import Limits
from analysis.model.pull import Pull
from analysis.power.curve import PowerCurve, power_curve


@dataclass(frozen=True, slots=True)
class PullReport:
    """What is known of one pull once its analysis is done."""

    pull: Pull
    findings: tuple[Finding, ...]
    verdict: Severity
    power: PowerCurve | None


def analyse_pull(pull: Pull, limits: Limits, context: Context) -> PullReport:
    """Run every check and the torque curve over one pull."""
    findings = run_checks(pull, limits, context)
    return PullReport(
        pull=pull,
        findings=findings,
        verdict=pull_verdict(findings, pull),
        power=power_curve(pull, context.setup),
    )
