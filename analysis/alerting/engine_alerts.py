"""Every rule on every channel that it fits: what the engine's own values say, live or of a pull."""

from collections.abc import Mapping
from typing import Final

import numpy as np

from analysis.alerting.excess import NOTHING, Beside
from analysis.alerting.rules import RULES, Excess, Rule
from analysis.alerting.watcher import FULL_LOAD, Watcher
from analysis.model.engine_kind import EngineKind
from analysis.model.events import Alert, AlertKind, Phase
from analysis.model.limits import Engines, Limits
from analysis.model.oil_pressure import has_plain_bearings
from analysis.model.setup import Ignition
from decode.quantities import Quantity
from decode.samples import Channel, SampleBatch, Samples

SPARK_SIGNS: Final = (Quantity.IGNITION_TIMING, Quantity.KNOCK_RETARD)  # only spark engines have it
DEMAND: Final = (Quantity.PEDAL_POSITION, Quantity.THROTTLE_POSITION)  # the first that is known
FOLLOWED: Final = frozenset(
    {
        Quantity.ENGINE_SPEED,
        *DEMAND,
        Quantity.BOOST_PRESSURE,
        Quantity.MANIFOLD_PRESSURE,
        Quantity.BAROMETRIC_PRESSURE,
        *(rule.target for rule in RULES if rule.target is not None),
    }
)
KEPT_S: Final = max(rule.late_s for rule in RULES) + 0.5  # of what is followed: the longest lag
STANDARD_KPA: Final = 101.325  # of the air, where no barometer is known


class EngineAlerts:
    """limits must contain every limit of the rules by name."""

    def __init__(self, channels: Mapping[str, Channel], limits: Limits, kind: EngineKind) -> None:
        self._limits = limits
        self._plain_bearings = has_plain_bearings(kind)
        self._first = {
            quantity: name
            for name, channel in reversed(list(channels.items()))
            if (quantity := channel.quantity) is not None
        }
        self._is_diesel = kind.is_diesel
        self._is_spark = kind.ignition is Ignition.SPARK or (
            kind.ignition is None and any(sign in self._first for sign in SPARK_SIGNS)
        )
        self._watchers: dict[str, list[Watcher]] = {}
        for name, channel in channels.items():
            found = [Watcher(rule, channel, limits) for rule in RULES if self._fits(rule, channel)]
            if found:
                self._watchers[name] = found
        self._followed: dict[Quantity, Samples] = dict.fromkeys(FOLLOWED, NOTHING)
        self._full_load_since_s = 0.0
        self._full_demand = 0.0

    @property
    def watched(self) -> frozenset[AlertKind]:
        """The kinds of alert that can come."""
        return frozenset(w.rule.kind for watchers in self._watchers.values() for w in watchers)

    def rule_of(self, key: str) -> Rule:
        """The rule that raises an alert of this key. Raises KeyError where none does."""
        rules = {w.key: w.rule for watchers in self._watchers.values() for w in watchers}
        return rules[key]

    def _fits(self, rule: Rule, channel: Channel) -> bool:
        if rule.quantity is not channel.quantity:
            return False
        if rule.engines is Engines.COMPRESSION and not self._is_diesel:
            return False
        if rule.engines is Engines.SPARK and self._is_diesel:
            return False
        if rule.quantity is Quantity.LAMBDA and not self._is_spark:
            return False
        return rule.target is None or rule.target in self._first

    def begin(self, at_s: float) -> None:
        """Full demand begins anew, and with it maybe a pull."""
        self._full_load_since_s, self._full_demand = at_s, 0.0
        for watchers in self._watchers.values():
            for watcher in watchers:
                watcher.level.begin_pull()

    def feed(self, samples: SampleBatch, phase: Phase, now_s: float) -> list[Alert]:
        """Judge new samples. phase: what the car is doing. now_s: the newest session time."""
        self._follow(samples)
        demand = self._demand()
        if phase in FULL_LOAD and len(demand):
            self._full_demand = max(self._full_demand, float(np.fmax.reduce(demand.value)))
        alerts: list[Alert] = []
        for name, watchers in self._watchers.items():
            new = samples.get(name)
            if new is None:
                continue
            for watcher in watchers:
                if watcher.is_active_in(phase) and not self._is_superseded(watcher.rule):
                    beside = self._beside(watcher.rule)
                    alerts += watcher.feed(new, beside, self._full_load_since_s)
                else:
                    alerts += watcher.rest(now_s)
        return alerts

    def acknowledge(self, key: str, now_s: float) -> list[Alert]:
        """Somebody has seen an alert; an unknown key changes nothing."""
        return [
            alert
            for watchers in self._watchers.values()
            for watcher in watchers
            if watcher.key == key
            for alert in watcher.acknowledge(now_s)
        ]

    def _follow(self, samples: SampleBatch) -> None:
        """Engine speed, boost and targets: what is new, and what may still matter from before."""
        for quantity, before in self._followed.items():
            new = samples.get(self._first.get(quantity, ""))
            if new is not None and len(new):
                first = np.searchsorted(before.time_s, new.time_s[0] - KEPT_S)
                self._followed[quantity] = Samples(
                    np.concatenate((before.time_s[first:], new.time_s)),
                    np.concatenate((before.value[first:], new.value)),
                )

    def _is_superseded(self, rule: Rule) -> bool:
        """Lambda is judged by itself only while its target says nothing: one that the map promises
        and the car never sends must not leave it unjudged."""
        if rule.quantity is not Quantity.LAMBDA or rule.excess is not Excess.VALUE:
            return False
        target = self._followed[Quantity.LAMBDA_TARGET]
        return bool(len(target) and target.value[-1] > 0.0)

    def _beside(self, rule: Rule) -> Beside:
        return Beside(
            limits=self._limits,
            target=NOTHING if rule.target is None else self._followed[rule.target],
            speed=self._followed[Quantity.ENGINE_SPEED],
            boost=self._boost() if rule.stop_under_boost or rule.under_boost else NOTHING,
            demand=self._demand(),
            full_demand=self._full_demand,
            plain_bearings=self._plain_bearings,
        )

    def _demand(self) -> Samples:
        """By pedal, or by throttle where no pedal has been heard."""
        known = (self._followed[quantity] for quantity in DEMAND)
        return next((samples for samples in known if len(samples)), NOTHING)

    def _boost(self) -> Samples:
        """Gauge, by its own channel or over the air's pressure."""
        boost, manifold = (
            self._followed[of] for of in (Quantity.BOOST_PRESSURE, Quantity.MANIFOLD_PRESSURE)
        )
        if len(boost) or not len(manifold):
            return boost
        barometric = self._followed[Quantity.BAROMETRIC_PRESSURE].value
        air_kpa = float(barometric[-1]) if len(barometric) else STANDARD_KPA
        return Samples(manifold.time_s, manifold.value - air_kpa)
