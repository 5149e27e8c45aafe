"""What the map leaves out: alerts that cannot come at all, told once before any pull."""

from collections.abc import Iterable
from typing import Final

from analysis.model.events import Alert, AlertKind, AlertState
from analysis.model.findings import Severity
from analysis.model.setup import Car, Ignition
from analysis.phrases.say import in_line, say, word
from analysis.phrases.statement import Statement

KEY: Final = f"{AlertKind.BLIND.value}:map"


def cannot_come(watched: Iterable[AlertKind], car: Car) -> tuple[AlertKind, ...]:
    """Kinds that fit this car and that no channel is watched for."""
    fitting = [AlertKind.LOW_FUEL_PRESSURE, AlertKind.OVERHEATING]
    if car.ignition is not Ignition.COMPRESSION:
        fitting += [AlertKind.KNOCK_RETARD, AlertKind.LEAN_UNDER_BOOST]
    if car.boosted:
        fitting += [AlertKind.OVER_BOOST]
    return tuple(kind for kind in AlertKind if kind in fitting and kind not in set(watched))


class UnwatchedAlerts:
    """One alert for all that is missing; it stands until somebody has seen it."""

    def __init__(self, kinds: tuple[AlertKind, ...]) -> None:
        self._kinds = kinds
        self._is_told = False
        self._since_s = 0.0

    def raise_once(self, now_s: float) -> list[Alert]:
        """The alert, the first time it is asked for."""
        if self._is_told or not self._kinds:
            return []
        self._is_told, self._since_s = True, now_s
        kinds = in_line([word(kind) for kind in self._kinds])
        return [self._alert(AlertState.RAISED, say("alert-blind-map", kinds=kinds), now_s)]

    def acknowledge(self, key: str, now_s: float) -> list[Alert]:
        """Somebody has seen it."""
        if key != KEY or not self._is_told or not self._kinds:
            return []
        self._kinds = ()
        return [self._alert(AlertState.CLEARED, say("alert-blind-map-seen"), now_s)]

    def _alert(self, state: AlertState, statement: Statement, now_s: float) -> Alert:
        is_raised = state is AlertState.RAISED
        return Alert(
            key=KEY,
            kind=AlertKind.BLIND,
            state=state,
            severity=Severity.LOOK_CLOSER if is_raised else Severity.HEALTHY,
            statement=statement,
            since_s=self._since_s,
            at_s=now_s,
            latched=is_raised,
        )
