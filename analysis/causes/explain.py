"""Findings with their causes: the symptoms of all checks weighed together, ranked, in words."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Final

from analysis.causes.network import LEAK, LEAKS, LINKS, PRIOR, posterior
from analysis.causes.remedies import BROUGHT_ABOUT_BY, NAMES, SETTLED_BY
from analysis.causes.symptoms import WORDS, Observation, Symptom
from analysis.findings import Cause, Finding, Severity

WORTH_NAMING: Final = PRIOR  # less likely than before anything was seen: not named
TELLING: Final = 3.0  # a likelihood ratio below three is "barely worth mentioning" (Jeffreys 1961)


@dataclass(frozen=True, slots=True)
class Suspect:
    """A cause, how likely it is, and the symptoms that speak for and against it, in words."""

    cause: Cause
    probability: float
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...]
    settled_by: str


def symptoms_of(seen: Iterable[Observation]) -> dict[Symptom, float]:
    """The surest sight of each symptom."""
    present: dict[Symptom, float] = {}
    for observation in seen:
        if observation.symptom is not None:
            surest = max(observation.present, present.get(observation.symptom, 0.0))
            present[observation.symptom] = surest
    return present


def _evidence(cause: Cause, present: Mapping[Symptom, float]) -> tuple[list[str], list[str]]:
    """What speaks for and against one cause, each by its likelihood ratio against the leak."""
    speaks_for, speaks_against = [], []
    for symptom, often in LINKS[cause].items():
        if symptom not in present:
            continue
        sure, leak = present[symptom], LEAKS.get(symptom, LEAK)
        with_it = sure * often + (1 - sure) * (1 - often)
        without = sure * leak + (1 - sure) * (1 - leak)
        if with_it > TELLING * without:
            speaks_for.append(WORDS[symptom].seen)
        elif without > TELLING * with_it:
            speaks_against.append(WORDS[symptom].not_seen)
    return speaks_for, speaks_against


def _place_in_line(suspect: Suspect, suspected: set[Cause]) -> tuple[bool, float]:
    """Roots before what they bring about, then the likelier first."""
    roots = BROUGHT_ABOUT_BY.get(suspect.cause, frozenset())
    return bool(roots & suspected), -suspect.probability


def suspects(present: Mapping[Symptom, float]) -> list[Suspect]:
    """Every cause worth naming, roots first, then by probability."""
    likely = {c: p for c, p in posterior(present).probability.items() if p >= WORTH_NAMING}
    found = []
    for cause, probability in likely.items():
        speaks_for, speaks_against = _evidence(cause, present)
        found.append(
            Suspect(cause, probability, tuple(speaks_for), tuple(speaks_against), SETTLED_BY[cause])
        )
    firm = {c for c, p in likely.items() if p >= 0.5}
    return sorted(found, key=lambda s: _place_in_line(s, firm))


def _best(symptom: Symptom, ranked: list[Suspect]) -> Suspect | None:
    """The suspect that most likely brought a symptom about: its probability times how often it
    shows it."""
    able = [s for s in ranked if symptom in LINKS[s.cause]]
    return max(able, key=lambda s: s.probability * LINKS[s.cause][symptom], default=None)


def _words(suspect: Suspect) -> str:
    """Why this cause, for the finding that leads it."""
    why = f" Points to {NAMES[suspect.cause]}"
    if len(suspect.speaks_for) > 1:
        why += f": {'; '.join(suspect.speaks_for)}"
    if suspect.speaks_against:
        why += f". Against it: {'; '.join(suspect.speaks_against)}"
    return why + "."


def _named(finding: Finding, suspect: Suspect, leads: bool) -> Finding:
    return replace(
        finding,
        cause=suspect.cause,
        confidence=round(suspect.probability, 3),
        statement=finding.statement + (_words(suspect) if leads else ""),
        settled_by=finding.settled_by or suspect.settled_by,
    )


def explain(seen: list[Observation]) -> tuple[Finding, ...]:
    """The findings of every check, each with its likeliest cause.

    Order: findings with a cause by their suspect's rank, then other findings by severity, then
    what is healthy, then notes.
    """
    ranked = suspects(symptoms_of(seen))
    order = {suspect.cause: place for place, suspect in enumerate(ranked)}
    findings: list[Finding] = []
    led: set[Cause] = set()
    judged = [o for o in seen if o.finding is not None]
    for observation in sorted(judged, key=lambda o: -o.present):
        finding = observation.finding
        if finding is None:
            continue
        suspect = None if observation.symptom is None else _best(observation.symptom, ranked)
        if suspect is not None and finding.severity is not Severity.HEALTHY:
            finding = _named(finding, suspect, leads=suspect.cause not in led)
            led.add(suspect.cause)
        elif observation.symptom is not None:
            finding = replace(finding, confidence=round(observation.present, 3))
        findings.append(finding)

    def rank(finding: Finding) -> tuple[int, int, int]:
        by_cause = len(order) if finding.cause is None else order[finding.cause]
        severity = [Severity.STOP, Severity.LOOK_CLOSER, Severity.HEALTHY, Severity.NOTE]
        return int(finding.cause is None), by_cause, severity.index(finding.severity)

    return tuple(sorted(findings, key=rank))
