"""One pull, wholly analysed: every check, the verdict, and the torque curve."""

from analysis.checks import run_checks
from analysis.checks.check import Context
from analysis.judging.pull_report import PullReport
from analysis.judging.verdict import pull_verdict
from analysis.model.limits import Limits
from analysis.model.pull import Pull
from analysis.power.curve import power_curve


def analyse_pull(pull: Pull, limits: Limits, context: Context) -> PullReport:
    """Run every check and the torque curve over one pull."""
    findings = run_checks(pull, limits, context)
    return PullReport(
        pull=pull,
        findings=findings,
        verdict=pull_verdict(findings, pull),
        power=power_curve(pull, context.setup),
        setup=context.setup,
    )
