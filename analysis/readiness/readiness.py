"""Ready for a pull? What pullwatch can see itself, and what the operator must look at.

It guides and never holds a pull back.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, Final

import numpy as np
from pydantic import TypeAdapter

from analysis.model.limits import COMMON_PRACTICE, Limit, Limits
from analysis.model.pull import finite
from analysis.model.shared_limits import COLD, VOLTAGE
from analysis.phrases.say import (
    Several,
    as_written,
    count,
    in_line,
    say,
    significant,
    word,
)
from analysis.phrases.statement import Joint, Statement
from analysis.segmenting.needs import unmet
from decode.quantities import Quantity
from decode.samples import Channel, SampleBatch, Samples

LOOK_BACK_S: Final = 10.0  # of samples are judged: a temperature that is stable so long is settled
SETTLING_S: Final = 10.0  # after the start nobody knows yet at which rates channels come
MOVING_RPM: Final = 1200.0  # above idle; with MOVING_KMH the car is in gear ...
MOVING_KMH: Final = 10.0  # ... and the wheels turn the roller
FEWEST: Final = 5  # samples in which a ratio can be seen
DIGITS: Final = 4  # of a value in a reason
NAMED: Final = 3  # channels in one line; more are counted


def _limit(name: str, value: float, unit: str, meaning: str) -> Limit:
    return Limit(f"readiness.{name}", value, unit, COMMON_PRACTICE, meaning)


LIMITS: Final[tuple[Limit, ...]] = (
    _limit("coolant_high", 105.0, "degC", "Above it, cool down first."),
    _limit("oil_low", 70.0, "degC", "Below it the oil is thick."),
    _limit("oil_high", 120.0, "degC", "Above it, cool down first."),
    _limit("intake_drift", 3.0, "K", "More change in ten seconds: the intake air still moves."),
    _limit("charge_air_over_ambient", 20.0, "K", "Above it the charge cooler is heat-soaked."),
    _limit("rate_share", 0.8, "1", "Share of its wanted rate a channel must come at."),
    _limit("storage_low", 2.0, "GB", "Less free space: hours of recording no longer fit."),
    _limit("ratio_spread", 0.03, "1", "More scatter of engine over roller speed: slip or clocks."),
)

# What no channel says, for the operator to look at: common practice, no published source.
CHECKLIST: Final[tuple[str, ...]] = (  # the station file may name others
    "Oil and coolant levels good, no leaks",
    "Fuel as agreed, enough for the job",
    "Car strapped down, straps tight, wheels straight",
    "Tyres: pressure, condition, no stones, rated for the speed",
    "Exhaust extraction on, cell aired",
    "Cooling fan on and in front of the cooler",
    "Fire extinguisher at hand, nobody near the car or beside the rollers",
    "Customer has agreed to full-load pulls",
)


class State(StrEnum):
    """One line of the list."""

    READY = "ready"
    WAIT = "wait"
    UNKNOWN = "unknown"  # no channel says; look yourself


class Service(StrEnum):
    """What a pull needs of the station, or what tells of it."""

    RECORDING = "recording"
    STORE = "store"
    BROKER = "broker"
    LAMP = "lamp"


@dataclass(frozen=True, slots=True)
class Item:
    """One thing that was looked at. found: how it is. value, limit: in unit; limit: the one that
    was passed."""

    name: Statement
    state: State
    found: Statement
    value: float | None = None
    unit: str = ""
    limit: float | None = None

    @property
    def statement(self) -> Statement:
        """All of it: `Coolant: 62 °C, too low (limit 75 °C)`."""
        if self.value is None or self.unit == "1":
            return say("readiness-item", item=self.name, found=self.found)
        value = significant(self.value, self.unit, DIGITS)
        if self.limit is None:
            return say("readiness-item-value", item=self.name, value=value)
        limit = significant(self.limit, self.unit, DIGITS)
        return say(
            "readiness-item-beyond", item=self.name, value=value, found=self.found, limit=limit
        )


@dataclass(frozen=True, slots=True)
class Point:
    """One point of the operator's list. done: somebody has looked and says so."""

    words: str
    done: bool = False


@dataclass(frozen=True, slots=True)
class Readiness:
    """ready: nothing has to be waited for. What no channel says, and what the operator has not
    ticked, does not hinder: pullwatch sees neither. at_s: session time of the look."""

    at_s: float
    ready: bool
    reasons: tuple[Statement, ...]
    items: tuple[Item, ...]
    checklist: tuple[Point, ...]

    def to_json(self) -> dict[str, Any]:
        """Plain data; every key is always present."""
        plain: dict[str, Any] = _READINESS.dump_python(self, mode="json")
        return plain

    @classmethod
    def from_json(cls, data: Mapping[str, Any]) -> "Readiness":
        """The inverse of to_json. Raises ValueError where it is none."""
        return _READINESS.validate_python(data)


_READINESS = TypeAdapter(Readiness)


@dataclass(frozen=True, slots=True)
class Rate:
    """How often a channel comes now and how often it usually does; wanted_hz None: it has
    never come."""

    heard_hz: float
    wanted_hz: float | None


@dataclass(frozen=True, slots=True)
class Recent:
    """What is known of the last LOOK_BACK_S.

    samples: of the judged quantities. rates: of every channel of the map. services: what is wrong
    with each, None where all is well. free_gb: space left where recordings go, None where nobody
    knows. unseen_stops: the alerts that are a stop and that nobody has seen. stopped_pull: the
    number of the last pull, where its verdict is a stop and nobody has worked on the car since.
    """

    channels: Mapping[str, Channel]
    samples: SampleBatch
    now_s: float
    rates: Mapping[str, Rate]
    services: Mapping[Service, str | None] = field(default_factory=dict)
    free_gb: float | None = None
    unseen_stops: Sequence[Statement] = ()
    stopped_pull: int | None = None

    def of(self, quantity: Quantity) -> Samples | None:
        """The first channel of a quantity with known values."""
        for name, channel in self.channels.items():
            if channel.quantity is quantity and name in self.samples:
                samples = finite(self.samples[name])
                samples = samples.between(self.now_s - LOOK_BACK_S, np.inf)
                if len(samples):
                    return samples
        return None

    def last(self, quantity: Quantity) -> float | None:
        """Its newest value."""
        samples = self.of(quantity)
        return None if samples is None else float(samples.value[-1])


def assess(recent: Recent, limits: Limits, checklist: Sequence[Point]) -> Readiness:
    """Judge everything. limits must contain LIMITS, and those shared with
    the verdicts, by name."""
    items = (*(judge(recent, limits) for judge in _JUDGES), *_services(recent))
    reasons = tuple(item.statement for item in items if item.state is State.WAIT)
    return Readiness(recent.now_s, not reasons, reasons, items, tuple(checklist))


def _within(
    name: Statement, value: float | None, low: Limit | None, high: Limit | None, unit: str
) -> Item:
    if value is None:
        return Item(name, State.UNKNOWN, say("readiness-no-channel"))
    if low is not None and value < low.value:
        return Item(name, State.WAIT, say("readiness-too-low"), value, unit, low.value)
    if high is not None and value > high.value:
        return Item(name, State.WAIT, say("readiness-too-high"), value, unit, high.value)
    return Item(name, State.READY, say("readiness-good"), value, unit)


def _coolant(recent: Recent, limits: Limits) -> Item:
    low, high = limits[COLD.name], limits["readiness.coolant_high"]
    return _within(
        say("readiness-coolant"), recent.last(Quantity.COOLANT_TEMPERATURE), low, high, "degC"
    )


def _oil(recent: Recent, limits: Limits) -> Item:
    low, high = limits["readiness.oil_low"], limits["readiness.oil_high"]
    return _within(say("readiness-oil"), recent.last(Quantity.OIL_TEMPERATURE), low, high, "degC")


def _battery(recent: Recent, limits: Limits) -> Item:
    value = recent.last(Quantity.BATTERY_VOLTAGE)
    return _within(say("readiness-battery"), value, limits[VOLTAGE.name], None, "V")


def _intake_stable(recent: Recent, limits: Limits) -> Item:
    samples = recent.of(Quantity.INTAKE_AIR_TEMPERATURE)
    drift = None if samples is None else float(np.ptp(samples.value))
    return _within(
        say("readiness-intake-drift"), drift, None, limits["readiness.intake_drift"], "K"
    )


def _heat_soak(recent: Recent, limits: Limits) -> Item:
    """Charge air against ambient, or against the intake where ambient is unknown."""
    charge = recent.last(Quantity.CHARGE_AIR_TEMPERATURE)
    ambient = recent.last(Quantity.AMBIENT_TEMPERATURE)
    if ambient is None:
        ambient = recent.last(Quantity.INTAKE_AIR_TEMPERATURE)
    over = None if charge is None or ambient is None else charge - ambient
    limit = limits["readiness.charge_air_over_ambient"]
    return _within(say("readiness-charge-air"), over, None, limit, "K")


def _channels_alive(recent: Recent, limits: Limits) -> Item:
    """Every channel of the map sends, and at its rate."""
    name, share = say("readiness-channels"), limits["readiness.rate_share"].value
    if recent.now_s < SETTLING_S:
        return Item(name, State.WAIT, say("readiness-listening"))
    rates = recent.rates.items()
    silent = [channel for channel, rate in rates if rate.wanted_hz is None]
    slow = [lack for channel, rate in rates if (lack := _slow(channel, rate, share)) is not None]
    bad = [say("readiness-not-heard", channels=_first_few(silent))] if silent else []
    bad += [say("readiness-slow", channels=_first_few(slow))] if slow else []
    if bad:
        return Item(name, State.WAIT, say("readiness-list", parts=in_line(bad, Joint.SEMICOLON)))
    every = count(len(recent.rates))
    return Item(name, State.READY, say("readiness-all-at-their-rates", channels=every))


def _pulls_found(recent: Recent, limits: Limits) -> Item:
    """Engine speed and the driver's demand: without them the run would be for nothing."""
    heard = [name for name, rate in recent.rates.items() if rate.heard_hz > 0.0]
    if recent.now_s < SETTLING_S:
        heard = list(recent.channels)
    lack = unmet(recent.channels, heard)
    name = say("readiness-pulls")
    if lack is None:
        return Item(name, State.READY, say("readiness-can-be-found"))
    return Item(name, State.WAIT, lack)


def _slow(name: str, rate: Rate, share: float) -> Statement | None:
    """None where it comes as it should; one sample more or less in the window is no lack."""
    if rate.wanted_hz is None or rate.heard_hz + 1.0 / LOOK_BACK_S >= share * rate.wanted_hz:
        return None
    heard, wanted = significant(rate.heard_hz, "Hz", 3), significant(rate.wanted_hz, "Hz", 3)
    return say("readiness-slow-channel", channel=name, heard=heard, wanted=wanted)


def _first_few(things: Sequence[str] | Sequence[Statement]) -> Several:
    """The first few, and how many more."""
    left = len(things) - NAMED
    more = [say("readiness-more", left=count(left))] if left > 0 else []
    return in_line([*things[:NAMED], *more])


def _stops(recent: Recent, limits: Limits) -> Item:
    """Nothing that told the driver to stop is left unseen or unmended."""
    name, found = say("readiness-stops"), []
    if recent.unseen_stops:
        found.append(say("readiness-unseen", alerts=in_line(recent.unseen_stops, Joint.SEMICOLON)))
    if recent.stopped_pull is not None:
        found.append(say("readiness-stopped-pull", pull=count(recent.stopped_pull)))
    if not found:
        return Item(name, State.READY, say("readiness-no-stop"))
    return Item(name, State.WAIT, say("readiness-list", parts=in_line(found, Joint.SEMICOLON)))


def _storage(recent: Recent, limits: Limits) -> Item:
    name = say("readiness-free-storage")
    if recent.free_gb is None:
        return Item(name, State.UNKNOWN, say("readiness-not-known"))
    return _within(name, recent.free_gb, limits["readiness.storage_low"], None, "GB")


def _services(recent: Recent) -> list[Item]:
    return [
        Item(word(service), State.READY, say("readiness-fine"))
        if trouble is None
        else Item(word(service), State.WAIT, as_written(trouble))
        for service, trouble in recent.services.items()
    ]


def _roller_follows(recent: Recent, limits: Limits) -> Item:
    """In gear the engine turns the roller at one ratio."""
    name = say("readiness-roller")
    engine, roller = recent.of(Quantity.ENGINE_SPEED), recent.of(Quantity.ROLLER_SPEED)
    if engine is None or roller is None:
        return Item(name, State.UNKNOWN, say("readiness-no-channel"))
    rpm = np.interp(roller.time_s, engine.time_s, engine.value)
    moving = (rpm > MOVING_RPM) & (roller.value > MOVING_KMH)
    if np.count_nonzero(moving) < FEWEST:
        return Item(name, State.UNKNOWN, say("readiness-not-moving"))
    ratio = rpm[moving] / roller.value[moving]
    spread = float(np.std(ratio) / np.mean(ratio))
    limit = limits["readiness.ratio_spread"].value
    if spread > limit:
        return Item(name, State.WAIT, say("readiness-ratio-scatters"), spread, "1", limit)
    return Item(name, State.READY, say("readiness-go-together"), spread, "1")


_JUDGES: Final[tuple[Callable[[Recent, Limits], Item], ...]] = (
    _stops,
    _coolant,
    _oil,
    _intake_stable,
    _heat_soak,
    _battery,
    _storage,
    _channels_alive,
    _pulls_found,
    _roller_follows,
)
