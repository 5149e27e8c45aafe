"""What `pullwatch analyse --json` prints: every pull of one recording or table."""

from collections.abc import Sequence

from analysis.judging.pull_report import PullReport
from analysis.model.findings import Finding, Severity
from analysis.model.pull import PullBounds, Refused
from analysis.publish.messages.message import Model, Versioned


class AnalysedPull(Model):
    """One pull, on the clock of its session."""

    number: int
    bounds: PullBounds
    verdict: Severity
    findings: tuple[Finding, ...]


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
        )
        for report in reports
    )
    return AnalysisMessage(pulls=tuple(pulls), refused=tuple(refused))
