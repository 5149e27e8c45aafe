"""The same answers in the terminal: tables by rich, with the page's words and shapes."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from rich.console import Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from analysis.archive.jobs import StoredPull
from analysis.archive.recordings import KeptRecording
from analysis.judging.pull_report import PullReport
from analysis.model.findings import Finding, Severity
from analysis.model.pull import PullBounds, Refused
from analysis.phrases.reader import HOUSE_READER
from analysis.phrases.units import Units
from analysis.power.figures import PowerFigures
from analysis.publish.messages.analysis import SoundedAlert
from analysis.publish.wording.display import amount, local_minute, verdict_word
from analysis.publish.wording.power_text import budget_statements, wheel_power_text
from analysis.publish.wording.summary import JudgedJob, headline_of
from analysis.stages.comparison import Comparison

# A shape and a word beside the colour; the graver, the more ink.
_MARKS: Final = {
    Severity.HEALTHY: ("○", "blue"),
    Severity.LOOK_CLOSER: ("▲", "black on yellow"),
    Severity.STOP: ("■", "bold white on red"),
    Severity.NOTE: ("·", "dim"),
}


def verdict_text(severity: Severity) -> Text:
    """A verdict as shape and word."""
    mark, style = _MARKS[severity]
    return Text(f"{mark} {verdict_word(severity)}", style=style, no_wrap=True)


def pulls_table(reports: Sequence[PullReport], units: Units | None = None) -> Group:
    """A line for each pull of a session that is not stored and, below it, what stands out."""
    lines: list[RenderableType] = [_PULL_HEAD]
    for report in reports:
        pull, verdict = report.pull, report.verdict
        lines.append(
            _pull_line(pull.number, pull.bounds, verdict, report.figures(), units or Units())
        )
        lines.append(_below(HOUSE_READER.text(headline_of(report.findings, verdict))))
    return Group(*lines)


def stored_pulls_table(
    pulls: Sequence[StoredPull],
    figures: Mapping[int, PowerFigures | None],
    units: Units | None = None,
) -> Group:
    """A line for each stored pull and, below it, what stands out or why it does not count.

    figures: by the pull's number in the store.
    """
    lines: list[RenderableType] = [_PULL_HEAD]
    for pull in pulls:
        found = figures.get(pull.id)
        lines.append(_pull_line(pull.id, pull.bounds, pull.verdict, found, units or Units()))
        said = HOUSE_READER.text(headline_of(pull.findings, pull.verdict))
        lines.append(_below(f"excluded: {pull.excluded}" if pull.excluded else said))
    return Group(*lines)


_PULL_HEAD: Final = Text(
    "pull  verdict         engine speed        seconds   uncorrected at wheel ± 95 %",
    style="bold",
)


def _pull_line(
    number: int, bounds: PullBounds, verdict: Severity, power: PowerFigures | None, units: Units
) -> Text:
    """One line that fits 80 columns."""
    word = verdict_text(verdict)
    speeds = f"{bounds.start_rpm:.0f} to {bounds.end_rpm:.0f} rpm"
    seconds = f"{bounds.end_s - bounds.start_s:.1f}"
    incomplete = "" if bounds.complete else "  incomplete"
    return Text.assemble(
        f"{number:>4}  ",
        word,
        " " * (16 - word.cell_len),
        f"{speeds:<18}  {seconds:>7}   {wheel_power_text(power, units)}{incomplete}",
    )


def _below(said: str) -> Padding:
    return Padding(Text(said, style="dim"), (0, 0, 0, 6))


def findings_table(title: str, findings: Sequence[Finding]) -> Table:
    """Every finding of one pull, with limits and where they come from."""
    table = Table(title=title, title_justify="left", show_edge=False, show_lines=True)
    table.add_column("check")
    table.add_column("severity", no_wrap=True)
    table.add_column("finding", ratio=1)
    for finding in findings:
        severity = finding.severity
        word = Text("· note", style="dim") if severity is Severity.NOTE else verdict_text(severity)
        table.add_row(finding.check.replace("_", " "), word, Group(*_finding_lines(finding)))
    return table


def _finding_lines(finding: Finding) -> Iterator[Text]:
    """The statement, then its cause, its limit, and what would settle it."""
    yield Text(finding.text)
    if finding.cause is not None:
        cause = finding.cause.value.replace("_", " ")
        yield Text(f"Cause: {cause} ({100 * finding.confidence:.0f} % sure).")
    if finding.limit is not None:
        value, limit = amount(finding.value, finding.unit), amount(finding.limit, finding.unit)
        yield Text(f"{value} against a limit of {limit} ({finding.limit_origin})", style="dim")
    if finding.settled_by:
        yield Text(f"Would settle it: {finding.settled_by.text}", style="dim")


def budgets_text(reports: Sequence[PullReport]) -> Group:
    """Where the uncertainty of each peak comes from, a sentence a figure."""
    lines: list[RenderableType] = []
    for report in reports:
        lines.append(Text(f"Pull {report.pull.number}", style="bold"))
        figures = report.figures()
        said = [] if figures is None else budget_statements(figures.peaks)
        lines += [Text(f"  {one}") for one in said] or [Text("  no dyno data")]
    return Group(*lines)


def comparison_text(comparison: Comparison) -> Group:
    """What the change did, and what else differed."""
    before, after = comparison.names
    lines = [Text(f"{after} against {before}", style="bold")]
    lines += [Text(f"  {statement}") for statement in comparison.statements]
    lines += [Text(f"  but: {condition}", style="dim") for condition in comparison.conditions]
    return Group(*lines)


def jobs_table(jobs: Sequence[JudgedJob]) -> Table:
    """One line a job, with its verdict."""
    table = Table(title="Jobs", title_justify="left", show_edge=False)
    for column in ("id", "job", "verdict", "car", "fuel", "made"):
        table.add_column(column)
    for judged in jobs:
        job = judged.job
        made = local_minute(job.created)
        table.add_row(str(job.id), job.name, verdict_text(judged.verdict), job.car, job.fuel, made)
    return table


def recordings_table(recordings: Sequence[KeptRecording]) -> Table:
    """One line a recording; what no job owns is said."""
    table = Table(title="Recordings", title_justify="left", show_edge=False)
    table.add_column("file", no_wrap=True)
    table.add_column("last written")
    table.add_column("MB", justify="right")
    table.add_column("pulls")
    for one in recordings:
        pulls = ", ".join(f"{count} in job {job}" for job, count in one.pulls.items())
        written = local_minute(one.written)
        table.add_row(one.file, written, f"{one.size_bytes / 1e6:.1f}", pulls or "of no job")
    return table


def alerts_table(alerts: Sequence[SoundedAlert]) -> Table:
    """What would have sounded live, in its order."""
    title = "Live alerts that would have sounded"
    table = Table(title=title, title_justify="left", show_edge=False)
    table.add_column("s", justify="right", no_wrap=True)
    table.add_column("pull", justify="right", no_wrap=True)
    table.add_column("severity", no_wrap=True)
    table.add_column("alert", ratio=1)
    for alert in alerts:
        pull = "" if alert.pull is None else str(alert.pull)
        severity = verdict_text(alert.severity)
        table.add_row(f"{alert.at_s:.1f}", pull, severity, Text(alert.statement.text))
    return table


def refused_table(refused: Sequence[Refused]) -> Table:
    """Candidates that were no pull, and why."""
    table = Table(title="No pull", title_justify="left", show_edge=False)
    table.add_column("seconds", no_wrap=True)
    table.add_column("why", ratio=1)
    for candidate in refused:
        table.add_row(f"{candidate.start_s:.1f} to {candidate.end_s:.1f}", candidate.reason.text)
    return table
