"""Channels that the map promises and that said nothing in the whole pull.

A map is often written for more than one car, so silence alone is only told. It is trouble where
the channel spoke in an earlier pull of the stage, or where it is the knock retard (or whatever
else is measured by cylinder) of a cylinder this engine has while that of the others came.
"""

from typing import Final

from analysis.causes.symptoms import Observation, Symptom
from analysis.checks.channel_faults import GAP, SURE
from analysis.checks.check import Context, note
from analysis.checks.plausible import SLOW
from analysis.checks.stretches import place
from analysis.checks.words import beyond, listed
from analysis.model.findings import Severity
from analysis.model.limits import Limits
from analysis.model.pull import Pull, finite
from decode.samples import Channel

MOST_NAMED: Final = 6  # a map for every car may list dozens that this one has not


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


def _why(pull: Pull, name: str, channel: Channel, context: Context) -> str:
    """Why this silence is trouble; empty where it need not be."""
    if any(spoke(earlier, name) for earlier in context.earlier):
        return "there in an earlier pull of this stage"
    others = _others(pull, channel, context)
    return f"{listed(others)} came" if others else ""


def silences(pull: Pull, limits: Limits, context: Context) -> list[Observation]:
    """A finding for the channels that should have spoken, by reason; one note for all others."""
    by_reason: dict[str, list[str]] = {}
    for name, channel in silent(pull, context).items():
        by_reason.setdefault(_why(pull, name, channel, context), []).append(name)
    told = _told(by_reason.pop("", []))
    where = place(pull, pull.bounds.start_s, pull.bounds.end_s)
    lasted_s, seen = pull.bounds.end_s - pull.bounds.start_s, []
    for why, names in by_reason.items():
        words = f"In the map, but silent in the whole pull, though {why}: {_listed(names)}."
        finding = beyond(limits[GAP.name], Severity.LOOK_CLOSER, words, lasted_s, where)
        seen.append(Observation(Symptom.CHANNEL_GAPS, SURE, finding))
    return [*seen, *told]


def _told(names: list[str]) -> list[Observation]:
    if not names:
        return []
    return [note("data_quality", f"In the map, but silent in the whole pull: {_listed(names)}.")]


def _listed(names: list[str]) -> str:
    more = len(names) - MOST_NAMED
    return listed([*names[:MOST_NAMED], *([f"{more} more"] if more > 0 else [])])
