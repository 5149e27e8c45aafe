"""A source that paused in the sweep: one finding of that source, and none of what it carries."""

from collections.abc import Sequence

from analysis.causes.symptoms import Observation
from analysis.checks.against_limit import beyond, place_phrase
from analysis.checks.channel_faults import GAP
from analysis.checks.silent_channels import some
from analysis.checks.stretches import place
from analysis.clocks.source_silences import SourceSilence
from analysis.model.findings import Severity
from analysis.model.limits import Limit, Limits
from analysis.model.pull import Pull
from analysis.phrases.say import amount, count, say
from analysis.phrases.statement import Statement


def paused_sources(
    pull: Pull, pauses: Sequence[SourceSilence], limits: Limits
) -> list[Observation]:
    """One finding a source, of its longest pause in the sweep."""
    by_source: dict[str, list[SourceSilence]] = {}
    for pause in pauses:
        by_source.setdefault(pause.source, []).append(pause)
    return [_paused(pull, found, limits[GAP.name]) for found in by_source.values()]


def _paused(pull: Pull, pauses: list[SourceSilence], limit: Limit) -> Observation:
    longest = max(pauses, key=lambda pause: pause.duration_s)
    start_s = max(longest.start_s, pull.bounds.start_s)
    end_s = min(longest.end_s, pull.bounds.end_s)
    where = place(pull, start_s, end_s)
    said = [_said(longest, place_phrase(where))]
    if len(pauses) > 1:
        total_s = sum(pause.duration_s for pause in pauses)
        said.append(
            say("data-source-silent-often", times=count(len(pauses)), total=amount(total_s, "s", 1))
        )
    said.append(say("data-source-not-judged"))
    finding = beyond(
        limit,
        Severity.LOOK_CLOSER,
        tuple(said),
        longest.duration_s,
        where,
        say("data-source-silent-settled-by"),
    )
    return Observation(finding=finding)  # no symptom: it says nothing of engine, sensors or tyres


def _said(pause: SourceSilence, where: Statement) -> Statement:
    silence = amount(pause.duration_s, "s", 1)
    if pause.whole:
        return say("data-source-silent", source=pause.source, silence=silence, where=where)
    channels = some(list(pause.channels))
    return say(
        "data-source-partly-silent",
        source=pause.source,
        channels=channels,
        silence=silence,
        where=where,
    )
