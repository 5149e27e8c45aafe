"""How ready the car was when a pull began, and what the operator had looked at, in sentences."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Final

from pydantic import TypeAdapter

from analysis.archive.jobs import StoredPull
from analysis.phrases.units import Units
from analysis.publish.wording.display import shown
from analysis.readiness.readiness import Item, Readiness, State

_READINESS: Final = TypeAdapter(Readiness)
_FINER: Final = ("K", "GB")  # small numbers, of which a tenth says something
NOBODY_LOOKED: Final = "Nobody looked whether the car was ready: the pull was not recorded live."


def readiness_statements(stored: Mapping[str, Any] | None, units: Units) -> list[str]:
    """Of one pull (StoredPull.readiness), for the calibrator."""
    if stored is None:
        return [NOBODY_LOOKED]
    readiness = _READINESS.validate_python(stored)
    return [*_seen(readiness, units), *_looked_at(readiness)]


def readiness_facts(pulls: Sequence[StoredPull], job_list: Mapping[str, bool]) -> dict[str, str]:
    """Of a whole job, for the customer: its title and what is so; without what nobody noted.

    job_list: Job.checklist, which only older jobs have: it stands for the pulls' own list where
    nobody ticked that.
    """
    known = [_READINESS.validate_python(pull.readiness) for pull in pulls if pull.readiness]
    lists = [readiness.checklist for readiness in known if readiness.checklist]
    ready = sum(readiness.ready for readiness in known)
    facts = {"Car ready before the pull": _of(ready, len(known), "pulls")}
    if any(job_list.values()) and not any(point.done for points in lists for point in points):
        looked_at = _of(sum(job_list.values()), len(job_list), "points")
        facts["Operator's list before the first pull"] = looked_at
    else:
        whole = sum(all(point.done for point in points) for points in lists)
        facts["Operator's list whole before the pull"] = _of(whole, len(lists), "pulls")
    return {title: said for title, said in facts.items() if said}


def _seen(readiness: Readiness, units: Units) -> Iterator[str]:
    by_state = {
        state: [_told(item, units) for item in readiness.items if item.state is state]
        for state in State
    }
    if readiness.ready:
        yield f"Ready, as far as pullwatch saw: {'; '.join(by_state[State.READY])}."
    else:
        yield f"Not ready: {'; '.join(by_state[State.WAIT])}."
        if by_state[State.READY]:
            yield f"Good: {'; '.join(by_state[State.READY])}."
    if by_state[State.UNKNOWN]:
        yield f"Not known: {'; '.join(by_state[State.UNKNOWN])}."


def _looked_at(readiness: Readiness) -> Iterator[str]:
    points = readiness.checklist
    if not points:
        return
    missed = [point.words for point in points if not point.done]
    yield f"Operator's list: {_of(len(points) - len(missed), len(points), 'points')} looked at."
    if missed:
        yield f"Not ticked: {'; '.join(missed)}."


def _told(item: Item, units: Units) -> str:
    """`Coolant 62 °C, too low (limit 75 °C)`; an item without a number by its words alone."""
    if item.value is None or item.unit == "1":
        return f"{item.name}: {item.words}"
    unit, finer = shown(item.unit, units), int(item.unit in _FINER)
    words = "" if item.state is State.READY else f", {item.words}"
    limit = "" if item.limit is None else f" (limit {unit.text(item.limit)})"
    return f"{item.name} {unit.text(item.value, finer)}{words}{limit}"


def _of(some: int, every: int, what: str) -> str:
    """`all 6 pulls`, `4 of 6 pulls`; empty where there is nothing to count."""
    if every == 0:
        return ""
    return f"all {every} {what}" if some == every else f"{some} of {every} {what}"
