"""Readiness before the pull: each reason alone, and a car that is ready."""

import numpy as np
import pytest

from analysis.judging.limits_file import default_limits
from analysis.model.events import Alert, AlertKind, AlertState
from analysis.model.findings import Severity
from analysis.phrases.say import as_written
from analysis.readiness.readiness import (
    Point,
    Rate,
    Readiness,
    Recent,
    Service,
    State,
    assess,
)
from analysis.readiness.watch import ReadinessWatch
from decode.quantities import Quantity
from decode.samples import Channel, Samples

TIME_S = np.arange(0.0, 20.0, 0.1)
READY = {
    Quantity.COOLANT_TEMPERATURE: 90.0,
    Quantity.OIL_TEMPERATURE: 95.0,
    Quantity.INTAKE_AIR_TEMPERATURE: 28.0,
    Quantity.CHARGE_AIR_TEMPERATURE: 35.0,
    Quantity.AMBIENT_TEMPERATURE: 24.0,
    Quantity.BATTERY_VOLTAGE: 14.1,
    Quantity.ENGINE_SPEED: 2000.0,
    Quantity.PEDAL_POSITION: 14.0,
    Quantity.ROLLER_SPEED: 40.0,
}
CHANNELS = {quantity.value: Channel(quantity.value, "", quantity) for quantity in READY}
ALL_LIMITS = default_limits()
AT_ITS_RATE = Rate(10.0, 10.0)


def texts(readiness: Readiness) -> list[str]:
    return [reason.text for reason in readiness.reasons]


def judged(
    changed: dict[Quantity, float | Samples] | None = None,
    missing: tuple[Quantity, ...] = (),
    rates: dict[str, Rate] | None = None,
    services: dict[Service, str | None] | None = None,
    free_gb: float = 100.0,
) -> Readiness:
    samples = {}
    for quantity, value in {**READY, **(changed or {})}.items():
        constant = (
            Samples(TIME_S, np.full(len(TIME_S), value)) if isinstance(value, float) else value
        )
        if quantity not in missing:
            samples[quantity.value] = constant
    all_rates = {**dict.fromkeys(CHANNELS, AT_ITS_RATE), **(rates or {})}
    recent = Recent(CHANNELS, samples, 20.0, all_rates, services or {Service.BROKER: None}, free_gb)
    return assess(recent, ALL_LIMITS, [Point("Straps tight")])


def test_a_warm_car_that_speaks_is_ready() -> None:
    found = judged()
    assert found.ready, found.reasons
    assert {item.state for item in found.items} == {State.READY}
    assert (found.at_s, found.checklist) == (20.0, (Point("Straps tight", done=False),))


@pytest.mark.parametrize(
    ("quantity", "value", "reason"),
    [
        (Quantity.COOLANT_TEMPERATURE, 60.0, "Coolant: 60 °C, too low (limit 75 °C)"),
        (Quantity.COOLANT_TEMPERATURE, 108.0, "Coolant: 108 °C, too high (limit 105 °C)"),
        (Quantity.OIL_TEMPERATURE, 50.0, "Oil: 50 °C, too low (limit 70 °C)"),
        (
            Quantity.CHARGE_AIR_TEMPERATURE,
            50.0,
            "Charge air over ambient: 26 K, too high (limit 20 K)",
        ),
        (Quantity.BATTERY_VOLTAGE, 12.0, "Battery: 12 V, too low (limit 12.5 V)"),
    ],
)
def test_each_value_out_of_its_range_is_the_reason(
    quantity: Quantity, value: float, reason: str
) -> None:
    found = judged({quantity: value})
    assert not found.ready
    assert texts(found) == [reason]


def test_intake_air_that_still_moves_is_waited_for() -> None:
    found = judged({Quantity.INTAKE_AIR_TEMPERATURE: Samples(TIME_S, 20.0 + TIME_S)})
    assert [reason.split(":")[0] for reason in texts(found)] == ["Intake air drift"]


def test_a_channel_at_half_its_rate_and_one_that_never_spoke_are_named() -> None:
    rates = {"coolant_temperature": Rate(5.0, 10.0), "oil_temperature": Rate(0.0, None)}
    (reason,) = texts(judged(rates=rates))
    assert reason == (
        "Channels: not heard: oil_temperature; slow: coolant_temperature at 5 of 10 Hz"
    )


def test_a_slow_channel_may_miss_the_edge_of_the_window() -> None:
    assert judged(rates={"oil_temperature": Rate(0.1, 0.2)}).ready


def test_many_silent_channels_are_counted() -> None:
    reason, _ = texts(judged(rates=dict.fromkeys(CHANNELS, Rate(0.0, 10.0))))
    assert reason.endswith(", 6 more")


def test_without_the_drivers_wish_it_is_said_that_no_pull_can_be_found() -> None:
    slow, silent = texts(judged(rates={"pedal_position": Rate(0.0, 50.0)}))
    assert slow == "Channels: slow: pedal_position at 0 of 50 Hz"
    assert silent.startswith("Pulls: no pull can be found without the driver's demand")
    assert silent.endswith("silent: pedal_position")


def test_a_map_without_engine_speed_is_not_ready_from_the_first_second() -> None:
    channels = {name: c for name, c in CHANNELS.items() if name != "engine_speed"}
    found = ReadinessWatch(channels, ALL_LIMITS).judge()
    assert not found.ready
    assert "the map needs an engine_speed channel" in texts(found)[-1]


def test_what_no_channel_says_does_not_hinder() -> None:
    found = judged(missing=(Quantity.OIL_TEMPERATURE,))
    assert found.ready
    assert found.items[2].state is State.UNKNOWN


def test_a_ratio_that_scatters_is_slip_or_a_clock() -> None:
    roller = 40.0 * (1.0 + 0.1 * np.sin(TIME_S))
    found = judged({Quantity.ROLLER_SPEED: Samples(TIME_S, roller)})
    assert "their ratio scatters" in texts(found)[0]


def test_broker_and_storage_are_reasons() -> None:
    found = judged(services={Service.RECORDING: None, Service.BROKER: "not reachable"}, free_gb=0.5)
    assert texts(found) == [
        "Free storage: 0.5 GB, too low (limit 2 GB)",
        "Broker: not reachable",
    ]


class Fed:
    """A watch fed at ten batches a second."""

    def __init__(self) -> None:
        self.watch = ReadinessWatch(CHANNELS, ALL_LIMITS, ("Straps tight", "Fan on"))
        self.now_s = 0.0

    def backlog(self, seconds: float) -> None:
        """What an adapter kept comes at once, all of it stamped now."""
        times = np.full(round(seconds * 10.0), self.now_s)
        batch = {q.value: Samples(times, np.full(len(times), v)) for q, v in READY.items()}
        self.watch.feed(batch, self.now_s)

    def play(self, seconds: float, every: dict[str, int] | None = None) -> Readiness:
        """every: a channel that comes only with each n-th batch."""
        for _ in range(round(seconds * 10.0)):
            self.now_s += 0.1
            turn = round(self.now_s * 10.0)
            batch = {
                quantity.value: Samples(np.array([self.now_s]), np.array([value]))
                for quantity, value in READY.items()
                if turn % (every or {}).get(quantity.value, 1) == 0
            }
            self.watch.feed(batch, self.now_s)
        return self.watch.judge()


def channels_line(found: Readiness) -> tuple[State, str]:
    (item,) = [item for item in found.items if item.name.key == "readiness-channels"]
    return item.state, item.found.text


def test_rates_are_learned_and_a_fall_is_named() -> None:
    fed = Fed()
    assert channels_line(fed.play(5.0)) == (State.WAIT, "listening")
    assert channels_line(fed.play(20.0)) == (State.READY, "all 9 at their rates")
    assert fed.watch.judge().ready
    state, words = channels_line(fed.play(12.0, {"battery_voltage": 2}))
    assert (state, words) == (State.WAIT, "slow: battery_voltage at 5 of 10 Hz")
    assert channels_line(fed.play(12.0))[0] is State.READY


def test_a_backlog_that_comes_at_once_is_not_taken_for_a_rate() -> None:
    """A hung machine or adapter: every channel would be slow for the rest of the session."""
    fed = Fed()
    fed.play(30.0)
    fed.backlog(8.0)
    assert channels_line(fed.play(30.0)) == (State.READY, "all 9 at their rates")


def test_nothing_is_ready_before_anything_was_heard() -> None:
    found = ReadinessWatch(CHANNELS, ALL_LIMITS).judge()
    assert not found.ready
    assert "Channels: listening" in texts(found)


def test_a_channel_that_never_came_is_told_after_the_first_seconds() -> None:
    fed = Fed()
    assert channels_line(fed.play(15.0, {"oil_temperature": 10_000})) == (
        State.WAIT,
        "not heard: oil_temperature",
    )


def test_ticks_stand_until_taken_back_or_until_the_next_stage() -> None:
    watch = Fed().watch
    watch.tick(1, done=True)
    watch.tick(7, done=True)
    assert [point.done for point in watch.judge().checklist] == [False, True]
    watch.tick(1, done=False)
    watch.tick(0, done=True)
    assert [point.done for point in watch.judge().checklist] == [True, False]
    watch.begin_stage()
    assert not any(point.done for point in watch.judge().checklist)


def stop(state: AlertState) -> Alert:
    severity = Severity.HEALTHY if state is AlertState.CLEARED else Severity.STOP
    statement = as_written("knock retard of cylinder 3 is 7.0°")
    return Alert("knock:3", AlertKind.KNOCK_RETARD, state, severity, statement, 1.0, 1.2)


def stops(watch: ReadinessWatch) -> tuple[State, str]:
    (item,) = (i for i in watch.judge().items if i.name.key == "readiness-stops")
    return item.state, item.statement.text


def test_a_stop_that_nobody_has_seen_is_never_beside_ready() -> None:
    watch = ReadinessWatch(CHANNELS, ALL_LIMITS)
    assert stops(watch) == (State.READY, "Stops: none is open")
    watch.hear(stop(AlertState.RAISED))
    found = watch.judge()
    assert not found.ready
    assert stops(watch) == (
        State.WAIT,
        "Stops: nobody has seen: knock retard of cylinder 3 is 7.0°",
    )
    watch.hear(stop(AlertState.CLEARED))
    assert stops(watch)[0] is State.READY


def test_a_pull_that_is_a_stop_waits_for_the_next_pull_or_for_work_on_the_car() -> None:
    watch = ReadinessWatch(CHANNELS, ALL_LIMITS)
    watch.note_verdict(3, Severity.STOP)
    assert stops(watch) == (
        State.WAIT,
        "Stops: pull 3 is a stop, look at its findings first",
    )
    watch.begin_stage()
    watch.note_verdict(3, Severity.STOP)
    assert stops(watch)[0] is State.READY, "told again of the same pull"
    watch.note_verdict(4, Severity.STOP)
    watch.note_verdict(5, Severity.HEALTHY)
    assert stops(watch)[0] is State.READY
