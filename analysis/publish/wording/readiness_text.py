"""How ready the car was when a pull began, and what the operator had looked at."""

from collections.abc import Iterator, Mapping, Sequence

from analysis.archive.jobs import StoredPull
from analysis.phrases.reader import Reader
from analysis.phrases.say import count, in_line, say
from analysis.phrases.statement import Joint, Statement
from analysis.readiness.readiness import Readiness, State


def readiness_statements(readiness: Readiness | None) -> list[Statement]:
    """Of one pull (StoredPull.readiness), for the calibrator."""
    if readiness is None:
        return [say("readiness-nobody-looked")]
    return [*_seen(readiness), *_looked_at(readiness)]


def readiness_facts(
    pulls: Sequence[StoredPull], job_list: Mapping[str, bool], reader: Reader
) -> dict[str, str]:
    """Of a whole job, for the customer: its title and what is so; without what nobody noted.

    job_list: Job.checklist, which only older jobs have: it stands for the pulls' own list where
    nobody ticked that.
    """
    known = [pull.readiness for pull in pulls if pull.readiness is not None]
    lists = [readiness.checklist for readiness in known if readiness.checklist]
    ready = sum(readiness.ready for readiness in known)
    facts = {"readiness-car-ready": _pulls(ready, len(known))}
    if any(job_list.values()) and not any(point.done for points in lists for point in points):
        facts["readiness-list-before-first"] = _points(sum(job_list.values()), len(job_list))
    else:
        whole = sum(all(point.done for point in points) for points in lists)
        facts["readiness-list-whole"] = _pulls(whole, len(lists))
    return {
        reader.phrase(title): reader.text(said) for title, said in facts.items() if said is not None
    }


def _seen(readiness: Readiness) -> Iterator[Statement]:
    by_state = {
        state: [item.statement for item in readiness.items if item.state is state]
        for state in State
    }
    good = in_line(by_state[State.READY], Joint.SEMICOLON)
    if readiness.ready:
        yield say("readiness-ready", items=good)
    else:
        yield say("readiness-not-ready", items=in_line(by_state[State.WAIT], Joint.SEMICOLON))
        if by_state[State.READY]:
            yield say("readiness-otherwise-good", items=good)
    if by_state[State.UNKNOWN]:
        yield say("readiness-unknown", items=in_line(by_state[State.UNKNOWN], Joint.SEMICOLON))


def _looked_at(readiness: Readiness) -> Iterator[Statement]:
    points = readiness.checklist
    missed = [point.words for point in points if not point.done]
    looked_at = _points(len(points) - len(missed), len(points))
    if looked_at is None:
        return
    yield say("readiness-list-looked-at", points=looked_at)
    if missed:
        yield say("readiness-list-missed", points=in_line(missed, Joint.SEMICOLON))


def _pulls(some: int, every: int) -> Statement | None:
    """`all 6 pulls`, `4 of 6 pulls`; None where there is nothing to count."""
    if every == 0:
        return None
    if some == every:
        return say("readiness-all-pulls", every=count(every))
    return say("readiness-some-pulls", some=count(some), every=count(every))


def _points(some: int, every: int) -> Statement | None:
    if every == 0:
        return None
    if some == every:
        return say("readiness-all-points", every=count(every))
    return say("readiness-some-points", some=count(some), every=count(every))
