"""A session through the program as it is used: records in, alerts, pulls and findings out."""

from dataclasses import dataclass
from typing import Final

from analysis.judging.analyse_pull import analyse_pull
from analysis.judging.limits_file import default_limits
from analysis.judging.pull_report import PullReport
from analysis.model.events import Alert, AlertState
from analysis.model.pull import Refused
from analysis.session.analysis import SessionAnalysis, replay
from independent_engines.cell import TruePull
from independent_engines.sessions import Session

FOUND_FROM: Final = 0.5  # intersection over union in time


@dataclass(frozen=True, slots=True)
class Judged:
    """What the program said of a session."""

    reports: tuple[PullReport, ...]
    refused: tuple[Refused, ...]
    alerts: tuple[Alert, ...]  # as they were raised

    def report_of(self, true: TruePull) -> PullReport | None:
        """The report of the pull that was found there."""
        return next((r for r in self.reports if overlap(r, true) >= FOUND_FROM), None)


def overlap(report: PullReport, true: TruePull) -> float:
    """Intersection over union in time."""
    bounds = report.pull.bounds
    shared = min(bounds.end_s, true.end_s) - max(bounds.start_s, true.start_s)
    whole = max(bounds.end_s, true.end_s) - min(bounds.start_s, true.start_s)
    return max(shared, 0.0) / whole if whole > 0.0 else 0.0


def judge(session: Session) -> Judged:
    """Feed the session's log, and judge its pulls."""
    log, limits = session.log, default_limits()
    analysis = SessionAnalysis(log.session(), log.channel_map(), limits, session.setup)
    reports: list[PullReport] = []
    refused: list[Refused] = []
    alerts: list[Alert] = []
    for step in replay(analysis, log.batches()):
        refused += step.refused
        alerts += [alert for alert in step.alerts if alert.state is AlertState.RAISED]
        reports += [analyse_pull(closed.pull, limits, closed.context) for closed in step.pulls]
    return Judged(tuple(reports), tuple(refused), tuple(alerts))
