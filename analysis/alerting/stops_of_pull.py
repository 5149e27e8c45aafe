"""What was a stop by the live rules inside one pull, told afterwards from its samples."""

import math
from dataclasses import dataclass

from analysis.alerting.engine_alerts import EngineAlerts
from analysis.model.engine_kind import EngineKind
from analysis.model.events import Alert, Phase
from analysis.model.findings import Severity
from analysis.model.limits import Limit, Limits
from analysis.model.pull import Pull


@dataclass(frozen=True, slots=True)
class Stop:
    """An alert that was a stop, and the limit that made it one."""

    alert: Alert
    limit: Limit


def stops_of(pull: Pull, limits: Limits, kind: EngineKind) -> list[Stop]:
    """The last change of each alert that was a stop in the sweep, as the bay would have raised it;
    what stood in the hold before counts where it comes again."""
    bounds = pull.bounds
    full_s = min((s.start_s for s in pull.bounds.sections), default=bounds.start_s)
    live = EngineAlerts(pull.channels, limits, kind)
    alerts: list[Alert] = []
    for phase, from_s, to_s in (
        (Phase.IDLE, -math.inf, full_s),
        (Phase.HOLD, full_s, bounds.start_s),
        (Phase.SWEEP, bounds.start_s, math.nextafter(bounds.end_s, math.inf)),
    ):
        if phase is not Phase.IDLE:
            live.begin(full_s)
        part = {name: samples.between(from_s, to_s) for name, samples in pull.samples.items()}
        told = live.feed({name: s for name, s in part.items() if len(s)}, phase, to_s)
        alerts += told if phase is Phase.SWEEP else []
    stops = {alert.key: alert for alert in alerts if alert.severity is Severity.STOP}
    return [Stop(alert, limits[live.rule_of(key).alarm.name]) for key, alert in stops.items()]
