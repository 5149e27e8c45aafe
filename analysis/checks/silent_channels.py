"""Channels that the map promises and that said nothing in the whole pull.

A map is often written for more than one car, so silence alone is only a note. It is trouble where
the channel spoke in an earlier pull of the stage, or where it is the knock retard (or whatever
else is measured by cylinder) of a cylinder this engine has while that of the others came.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from analysis.causes.symptoms import SURE, Observation, Symptom
from analysis.checks.against_limit import beyond
from analysis.checks.channel_faults import GAP
from analysis.checks.check import Context, note
from analysis.checks.plausible import SLOW
from analysis.checks.stretches import place
from analysis.clocks.source_silences import SourceSilence
from analysis.model.findings import Severity
from analysis.model.limits import Limits
from analysis.model.pull import Pull, finite
from analysis.phrases.say import Several, count, listed, say
from analysis.phrases.statement import Statement
from decode.samples import Channel

MOST_NAMED: Final = 6  # a map for every car may list dozens that this one has not


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a silence is trouble: these other channels came; without any, the channel itself did, in
    an earlier pull of the stage."""

    others: tuple[str, ...] = ()


def spoke(pull: Pull, name: str) -> bool:
    """Whether a channel had a value in the sweep; a slow one, anywhere around the pull."""
    if name not in pull.samples:
        return False
    samples = finite(pull.samples[name])
    slow = pull.channels[name].quantity in SLOW
    return len(samples if slow else pull.sweep(samples)) > 0


def silent(pull: Pull, context: Context) -> dict[str, Channel]:
    """Channels with a meaning, of the map or the pull itself, that never spoke."""
    promised = {**context.channels, **pull.channels}
    return {
        name: channel
        for name, channel in promised.items()
        if channel.quantity is not None and not spoke(pull, name)
    }


def _others(pull: Pull, channel: Channel, context: Context) -> list[str]:
    """The same quantity's channels of other cylinders that spoke, where the engine is known to
    have this one's cylinder."""
    cylinders = context.setup.car.cylinders
    if channel.quantity is None or channel.cylinder is None or cylinders is None:
        return []
    if channel.cylinder > cylinders:
        return []
    named = pull.named(channel.quantity)
    return [n for n in named if pull.channels[n].cylinder is not None and spoke(pull, n)]


def _why(pull: Pull, name: str, channel: Channel, context: Context) -> Reason | None:
    """Why this silence is trouble; None where it need not be."""
    if any(spoke(earlier, name) for earlier in context.earlier):
        return Reason()
    others = _others(pull, channel, context)
    return Reason(tuple(others)) if others else None


def silences(
    pull: Pull, limits: Limits, context: Context, pauses: Sequence[SourceSilence] = ()
) -> list[Observation]:
    """A finding for the channels that should have spoken, by reason; one note for all others.
    pauses: of sources, whose channels are told of already."""
    told = {name for pause in pauses for name in pause.channels}
    quiet = {n: channel for n, channel in silent(pull, context).items() if n not in told}
    gone = _gone_sources(pull, quiet, context)
    by_reason: dict[Reason | None, list[str]] = {}
    for name, channel in quiet.items():
        if channel.source in gone:
            continue
        by_reason.setdefault(_why(pull, name, channel, context), []).append(name)
    may_be = by_reason.pop(None, [])
    where = place(pull, pull.bounds.start_s, pull.bounds.end_s)
    lasted_s = pull.bounds.end_s - pull.bounds.start_s
    seen = [
        Observation(
            finding=beyond(
                limits[GAP.name],
                Severity.LOOK_CLOSER,
                say("data-source-never-came", source=source),
                lasted_s,
                where,
                say("data-source-silent-settled-by"),
            )
        )
        for source in gone
    ]
    for reason, names in by_reason.items():
        statement = _statement(reason, names)
        finding = beyond(limits[GAP.name], Severity.LOOK_CLOSER, statement, lasted_s, where)
        seen.append(Observation(Symptom.CHANNEL_GAPS, SURE, finding))
    if may_be:
        seen.append(note("data_quality", _statement(None, may_be)))
    return seen


def _gone_sources(pull: Pull, quiet: Mapping[str, Channel], context: Context) -> list[str]:
    """The sources that said nothing, though they did in an earlier pull."""
    came = {n for earlier in context.earlier for n in earlier.channels if spoke(earlier, n)}
    heard = {channel.source for n, channel in pull.channels.items() if spoke(pull, n)}
    missed = [channel.source for name, channel in quiet.items() if name in came]
    return [s for s in dict.fromkeys(missed) if s and s not in heard]


def _statement(reason: Reason | None, names: list[str]) -> Statement:
    channels = some(names)
    if reason is None:
        return say("data-never-came", channels=channels)
    if not reason.others:
        return say("data-never-came-though-earlier", channels=channels)
    others = listed(reason.others)
    return say("data-never-came-though-others", channels=channels, others=others)


def some(names: list[str]) -> Several:
    """The first few names, and how many more there are."""
    more = len(names) - MOST_NAMED
    rest = [say("data-more", more=count(more))] if more > 0 else []
    return listed([*names[:MOST_NAMED], *rest])
