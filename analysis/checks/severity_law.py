"""One severity for alert and verdict: what was a stop inside the pull is a stop in its verdict.

Both judge by the same limits, but a check weighs more (heat, a baseline, a lag it measured). Where
it comes to less than a stop though the bay told the driver to stop, the verdict says so too:
nobody is left between two answers. What a channel said that proved untrustworthy does not count.
"""

from collections.abc import Sequence
from dataclasses import replace

from analysis.alerting.stops_of_pull import Stop, stops_of
from analysis.model.engine_kind import EngineKind
from analysis.model.findings import Finding, Severity, Where
from analysis.model.limits import Limits
from analysis.model.pull import Pull
from analysis.phrases.say import say
from analysis.phrases.statement import Statement


def with_live_stops(
    findings: Sequence[Finding], pull: Pull, limits: Limits, kind: EngineKind
) -> tuple[Finding, ...]:
    """The findings with what the live rules make a stop. pull: of channels that can be trusted."""
    judged = list(findings)
    for stop in stops_of(pull, limits, kind):
        check = stop.limit.name.split(".")[0]
        if any(f.check == check and f.severity is Severity.STOP for f in judged):
            continue
        milder = next((i for i, f in enumerate(judged) if _is_milder(f, check, stop)), None)
        if milder is None:
            judged = [f for f in judged if f.check != check or f.severity.is_trouble]
            judged.insert(0, _finding(check, stop))
        else:
            found = judged[milder]
            statements = (*found.statements, _told(stop))
            judged[milder] = replace(found, severity=Severity.STOP, statements=statements)
    return tuple(judged)


def _is_milder(finding: Finding, check: str, stop: Stop) -> bool:
    """Whether it says the same, of the same cylinder, and calls it worth a look."""
    if finding.check != check or finding.severity is not Severity.LOOK_CLOSER:
        return False
    cylinder = None if finding.where is None else finding.where.cylinder
    return finding.unit == stop.limit.unit and cylinder in (None, stop.alert.cylinder)


def _told(stop: Stop) -> Statement:
    return say("severity-law-stop", alert=stop.alert.statement)


def _finding(check: str, stop: Stop) -> Finding:
    alert = stop.alert
    speed, value = alert.engine_speed_rpm, alert.value
    return Finding(
        check=check,
        severity=Severity.STOP,
        statements=(_told(stop),),
        where=Where(alert.since_s, alert.at_s, speed, speed, alert.cylinder),
        value=None if value is None else round(value, 3),
        limit=alert.limit,
        unit=alert.unit,
        limit_origin=stop.limit.origin,
    )
