"""Findings with their causes: the symptoms of all checks weighed together and ranked."""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Final

from analysis.causes.channels import would_tell
from analysis.causes.network import LEAK, LEAKS, LINKS, OWN_EVIDENCE, posterior
from analysis.causes.roots import BROUGHT_ABOUT_BY
from analysis.causes.symptoms import EVEN, Observation, Symptom
from analysis.model.findings import Cause, Finding, Severity
from analysis.phrases.say import in_line, key_of, listed, say, word
from analysis.phrases.statement import Joint, Statement
from decode.quantities import Quantity

ROOT: Final = 0.2  # as likely as this, a cause stands before what it brings about
LIKELY: Final = 0.5  # more likely than not; below it nothing is pointed at
WORTH_NAMING: Final = 0.1  # less than one in ten is no cause: "not explained" is said instead
TELLING: Final = 3.0  # a likelihood ratio below three is "barely worth mentioning" (Jeffreys 1961)


@dataclass(frozen=True, slots=True)
class Suspect:
    """A cause, how likely it is, and what speaks for and against it."""

    cause: Cause
    probability: float
    speaks_for: tuple[Statement, ...]
    speaks_against: tuple[Statement, ...]

    @property
    def settled_by(self) -> Statement:
        """What would settle whether this is it."""
        return say(f"{key_of(self.cause)}-settled-by")


def symptoms_of(seen: Iterable[Observation]) -> dict[Symptom, float]:
    """The surest sight of each symptom."""
    present: dict[Symptom, float] = {}
    for observation in seen:
        if observation.symptom is not None:
            surest = max(observation.present, present.get(observation.symptom, 0.0))
            present[observation.symptom] = surest
    return present


def _suspect(cause: Cause, probability: float, present: Mapping[Symptom, float]) -> Suspect:
    """What speaks for and against one cause, each by its likelihood ratio against the leak."""
    speaks_for, speaks_against = [], []
    for symptom, often in LINKS[cause].items():
        if symptom not in present:
            continue
        sure, leak = present[symptom], LEAKS.get(symptom, LEAK)
        with_it = sure * often + (1 - sure) * (1 - often)
        without = sure * leak + (1 - sure) * (1 - leak)
        if with_it > TELLING * without:
            speaks_for.append(say(f"{key_of(symptom)}-seen"))
        elif without > TELLING * with_it:
            speaks_against.append(say(f"{key_of(symptom)}-not-seen"))
    return Suspect(cause, probability, tuple(speaks_for), tuple(speaks_against))


def _roots_first(by_probability: list[Suspect]) -> list[Suspect]:
    """The likelier first, but none before a likely cause that brings it about."""
    place = {s.cause: float(i) for i, s in enumerate(by_probability)}

    def in_line(suspect: Suspect) -> float:
        roots = BROUGHT_ABOUT_BY.get(suspect.cause, frozenset())
        likely = [
            place[s.cause] for s in by_probability if s.cause in roots and s.probability >= ROOT
        ]
        return max([place[suspect.cause], *(p + 0.5 for p in likely)])

    return sorted(by_probability, key=in_line)


def suspects(
    present: Mapping[Symptom, float], impossible: frozenset[Cause] = frozenset()
) -> list[Suspect]:
    """Every cause worth naming, roots first, then by probability."""
    unproved = {
        cause
        for cause, own in OWN_EVIDENCE.items()
        if not any(present.get(symptom, 0.0) >= EVEN for symptom in own)
    }
    every = posterior(present, impossible | unproved).probability
    found = [_suspect(c, p, present) for c, p in every.items() if p >= WORTH_NAMING]
    return _roots_first(sorted(found, key=lambda s: -s.probability))


def _best(symptom: Symptom, ranked: list[Suspect]) -> Suspect | None:
    """The suspect that most likely brought a symptom about: its probability times how often it
    shows it."""
    able = [s for s in ranked if symptom in LINKS[s.cause]]
    return max(able, key=lambda s: s.probability * LINKS[s.cause][symptom], default=None)


def _why(suspect: Suspect) -> list[Statement]:
    """Why this cause, for the finding that leads it."""
    cause, likely = word(suspect.cause), suspect.probability >= LIKELY
    if len(suspect.speaks_for) > 1:
        key = "explain-points-to-for" if likely else "explain-perhaps-for"
        why = [say(key, cause=cause, reasons=in_line(suspect.speaks_for, Joint.SEMICOLON))]
    else:
        why = [say("explain-points-to" if likely else "explain-perhaps", cause=cause)]
    if suspect.speaks_against:
        reasons = in_line(suspect.speaks_against, Joint.SEMICOLON)
        why.append(say("explain-against", reasons=reasons))
    return why


def _named(finding: Finding, suspect: Suspect, leads: bool) -> Finding:
    return replace(
        finding,
        cause=suspect.cause,
        confidence=round(suspect.probability, 3),
        statements=(*finding.statements, *(_why(suspect) if leads else [])),
        settled_by=finding.settled_by or suspect.settled_by,
    )


def _not_explained(
    finding: Finding,
    symptom: Symptom,
    present: Mapping[Symptom, float],
    logged: Collection[Quantity],
) -> Finding:
    """Something has a cause, but none that is likely enough to be named: said, with what to log."""
    statements = (*finding.statements, say("explain-not-explained"))
    channels = would_tell(symptom, present, logged)
    settled_by = finding.settled_by
    if channels and settled_by is None:
        settled_by = say("explain-log", channels=listed([word(q) for q in channels]))
    return replace(finding, statements=statements, settled_by=settled_by)


def _also_possible(suspect: Suspect, nearest: Finding) -> Finding:
    """A cause that another explains away, but not wholly: a note beside the finding it could be."""
    cause = word(suspect.cause)
    statement = say("explain-also-possible", cause=cause)
    if suspect.speaks_for:
        reasons = in_line(suspect.speaks_for, Joint.SEMICOLON)
        statement = say("explain-also-possible-for", cause=cause, reasons=reasons)
    return Finding(
        check=nearest.check,
        severity=Severity.NOTE,
        statements=(statement,),
        cause=suspect.cause,
        confidence=round(suspect.probability, 3),
        where=nearest.where,
        settled_by=suspect.settled_by,
    )


def _others(ranked: list[Suspect], led: set[Cause], seen: list[Observation]) -> list[Finding]:
    """Notes for the suspects that lead no finding, each beside the surest one it could be."""
    notes = []
    for suspect in ranked:
        could_be = [o for o in seen if o.symptom in LINKS[suspect.cause] and _judges(o)]
        nearest = max(could_be, key=lambda o: o.present, default=None)
        if suspect.cause not in led and nearest is not None and nearest.finding is not None:
            notes.append(_also_possible(suspect, nearest.finding))
    return notes


def _judges(observation: Observation) -> bool:
    """Whether it says that something is not well."""
    finding = observation.finding
    return finding is not None and finding.severity.is_trouble


def _speaks(observation: Observation) -> bool:
    """Whether what it says leads to a cause."""
    return _judges(observation) or (observation.points and observation.finding is not None)


def explain(
    seen: list[Observation],
    impossible: frozenset[Cause] = frozenset(),
    logged: Collection[Quantity] = frozenset(),
) -> tuple[Finding, ...]:
    """The findings of every check, each with its likeliest cause.

    impossible: causes that this car has not the parts for. logged: what the pull has channels of.
    Order: findings with a cause by their suspect's rank, then other findings by severity, then
    what is healthy, then notes. A note names a cause only where its check says so (points).
    """
    present = symptoms_of(seen)
    ranked = suspects(present, impossible)
    findings: list[Finding] = []
    led: set[Cause] = set()
    for observation in sorted(seen, key=lambda o: -o.present if _judges(o) else 0.0):
        finding, symptom = observation.finding, observation.symptom
        if finding is None:
            continue
        there = symptom is not None and observation.present >= EVEN
        suspect = _best(symptom, ranked) if symptom is not None and there else None
        if suspect is not None and (_speaks(observation) or suspect.cause in led):
            finding = _named(finding, suspect, leads=suspect.cause not in led)
            led.add(suspect.cause)
        elif symptom is not None and _judges(observation):
            finding = replace(finding, confidence=round(observation.present, 3))
            if there and any(symptom in links for links in LINKS.values()):
                finding = _not_explained(finding, symptom, present, logged)
        findings.append(finding)
    findings += _others(ranked, led, seen)
    return tuple(sorted(findings, key=_place_in_report({s.cause: i for i, s in enumerate(ranked)})))


def _place_in_report(order: Mapping[Cause, int]) -> Callable[[Finding], tuple[int, int]]:
    def place(finding: Finding) -> tuple[int, int]:
        by_cause = len(order) if finding.cause is None else order[finding.cause]
        return by_cause, -finding.severity.rank

    return place
