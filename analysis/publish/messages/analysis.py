"""What `pullwatch analyse --json` prints: every pull of one recording or table."""

from collections.abc import Sequence

from analysis.judging.pull_report import PullReport
from analysis.model.findings import Finding, Severity
from analysis.model.pull import PullBounds, Refused
from analysis.power.figures import PowerFigures, UncertainCurve
from analysis.publish.messages.message import Model, Versioned


class AnalysedPull(Model):
    """One pull, on the clock of its session. power: the peaks with their uncertainty and
    its budget; curve: wheel power with the half-width of each point. Null without a dyno."""

    number: int
    bounds: PullBounds
    verdict: Severity
    findings: tuple[Finding, ...]
    power: PowerFigures | None
    curve: UncertainCurve | None


class AnalysisMessage(Versioned):
    """What one recording or table holds."""

    pulls: tuple[AnalysedPull, ...]
    refused: tuple[Refused, ...]


def analysis_message(reports: Sequence[PullReport], refused: Sequence[Refused]) -> AnalysisMessage:
    """Build it from what the pipeline gave."""
    pulls = (
        AnalysedPull(
            number=report.pull.number,
            bounds=report.pull.bounds,
            verdict=report.verdict,
            findings=report.findings,
            power=report.figures(),
            curve=report.uncertain_curve(),
        )
        for report in reports
    )
    return AnalysisMessage(pulls=tuple(pulls), refused=tuple(refused))
