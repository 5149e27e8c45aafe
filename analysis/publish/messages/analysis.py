"""What `pullwatch analyse --json` prints: every pull of one recording or table."""

from collections.abc import Iterable, Sequence

from analysis.judging.pull_report import PullReport
from analysis.model.events import Alert, AlertState
from analysis.model.findings import Finding, Severity
from analysis.model.pull import PullBounds, Refused
from analysis.phrases.statement import Statement
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


class SoundedAlert(Model):
    """An alert that would have sounded live. at_s: on the clock of the session. pull: the number of
    the pull it came in; None before, between and after them."""

    at_s: float
    pull: int | None
    severity: Severity
    key: str
    statement: Statement


class AnalysisMessage(Versioned):
    """What one recording or table holds. alerts: once for each pull and severity."""

    pulls: tuple[AnalysedPull, ...]
    refused: tuple[Refused, ...]
    alerts: tuple[SoundedAlert, ...]


def sounded(alerts: Iterable[Alert], reports: Sequence[PullReport]) -> tuple[SoundedAlert, ...]:
    """What would have sounded, of every change that the alerts went through."""
    told: dict[tuple[str, int | None, Severity], SoundedAlert] = {}
    for alert in alerts:
        if alert.state is AlertState.CLEARED:
            continue
        pull = _pull_at(alert.at_s, reports)
        one = SoundedAlert(
            at_s=alert.at_s,
            pull=pull,
            severity=alert.severity,
            key=alert.key,
            statement=alert.statement,
        )
        told.setdefault((alert.key, pull, alert.severity), one)
    return tuple(told.values())


def _pull_at(at_s: float, reports: Sequence[PullReport]) -> int | None:
    pulls = (report.pull for report in reports)
    return next((p.number for p in pulls if p.bounds.start_s <= at_s <= p.bounds.end_s), None)


def analysis_message(
    reports: Sequence[PullReport], refused: Sequence[Refused], alerts: Sequence[SoundedAlert]
) -> AnalysisMessage:
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
    return AnalysisMessage(pulls=tuple(pulls), refused=tuple(refused), alerts=tuple(alerts))
