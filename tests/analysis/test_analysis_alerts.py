"""Live alerts on signals made for one question each."""

from collections.abc import Mapping

import numpy as np
import pytest

from analysis.alerting.session_alerts import LIMITS, AlertMonitor
from analysis.model.events import Alert, AlertKind, AlertState, Phase
from analysis.model.findings import Severity
from analysis.model.limits import Limits
from analysis.model.setup import Car, Ignition
from decode.quantities import Quantity
from decode.samples import Channel, Samples

ALL_LIMITS = Limits.of(LIMITS, {}, "test")

CHANNELS = {
    "speed": Channel("speed", "rpm", Quantity.ENGINE_SPEED, source="engine"),
    "retard_1": Channel("retard_1", "deg", Quantity.KNOCK_RETARD, 1, source="engine"),
    "retard_3": Channel("retard_3", "deg", Quantity.KNOCK_RETARD, 3, source="engine"),
    "lambda": Channel("lambda", "1", Quantity.LAMBDA, source="wideband"),
    "lambda_target": Channel("lambda_target", "1", Quantity.LAMBDA_TARGET, source="engine"),
    "boost": Channel("boost", "kPa", Quantity.BOOST_PRESSURE, source="engine"),
    "boost_target": Channel("boost_target", "kPa", Quantity.BOOST_TARGET, source="engine"),
    "fuel": Channel("fuel", "kPa", Quantity.FUEL_PRESSURE_LOW, source="engine"),
    "fuel_target": Channel("fuel_target", "kPa", Quantity.FUEL_PRESSURE_LOW_TARGET),
    "coolant": Channel("coolant", "degC", Quantity.COOLANT_TEMPERATURE, source="engine"),
}
HEALTHY = {
    "speed": 3000.0,
    "retard_1": 0.0,
    "retard_3": 0.0,
    "lambda": 0.85,
    "lambda_target": 0.85,
    "boost": 100.0,
    "boost_target": 100.0,
    "fuel": 500.0,
    "fuel_target": 500.0,
    "coolant": 90.0,
}
STEP_S = 0.01
Values = Mapping[str, float]
NO_OTHERS: Values = {}


class Bench:
    """A monitor fed with one sample of every channel each 10 ms."""

    def __init__(self) -> None:
        self.monitor = AlertMonitor(CHANNELS, ALL_LIMITS)
        self.now_s = 0.0

    def play(
        self,
        seconds: float,
        phase: Phase = Phase.SWEEP,
        without: tuple[str, ...] = (),
        values: Mapping[str, float] = NO_OTHERS,
        **named: float,
    ) -> list[Alert]:
        """values, or named by keyword: what is otherwise than healthy."""
        alerts: list[Alert] = []
        for _ in range(round(seconds / STEP_S)):
            self.now_s += STEP_S
            batch = {
                name: Samples(np.array([self.now_s]), np.array([value]))
                for name, value in {**HEALTHY, **values, **named}.items()
                if name not in without
            }
            alerts += self.monitor.feed(batch, phase, self.now_s)
        return alerts


@pytest.fixture
def bench() -> Bench:
    bench = Bench()
    assert bench.play(6.0, Phase.HOLD) == []
    return bench


def test_one_knocking_cylinder_is_named_with_its_speed_and_latches(bench: Bench) -> None:
    raised = bench.play(0.1, retard_3=4.0, speed=4120.0)
    assert [(a.kind, a.state, a.severity, a.cylinder) for a in raised] == [
        (AlertKind.KNOCK_RETARD, AlertState.RAISED, Severity.LOOK_CLOSER, 3)
    ]
    alert = raised[0]
    assert alert.engine_speed_rpm == 4120.0
    assert alert.at_s == pytest.approx(alert.since_s + STEP_S)
    assert alert.latched
    assert bench.play(2.0) == [], "a latched alert waits for somebody"
    (cleared,) = bench.monitor.acknowledge(alert.key)
    assert cleared.state is AlertState.CLEARED


def test_a_single_noisy_sample_is_no_knock(bench: Bench) -> None:
    assert bench.play(STEP_S, retard_3=9.0) == []
    assert bench.play(1.0) == []


def test_deeper_retard_becomes_an_alarm(bench: Bench) -> None:
    bench.play(0.1, retard_1=4.0)
    worse = bench.play(0.1, retard_1=7.0)
    assert worse[-1].state is AlertState.UPDATED
    assert worse[-1].severity is Severity.STOP


def test_three_events_in_one_pull_are_an_alarm(bench: Bench) -> None:
    told = []
    for _ in range(3):
        told += bench.play(0.1, retard_1=3.5) + bench.play(0.8)
    assert [a.severity for a in told] == [Severity.LOOK_CLOSER, Severity.STOP]


def test_events_are_counted_anew_in_the_next_pull(bench: Bench) -> None:
    told = []
    for _ in range(3):
        told += bench.play(0.1, retard_1=3.5) + bench.play(0.8) + bench.play(0.5, Phase.IDLE)
    assert [a.severity for a in told] == [Severity.LOOK_CLOSER] * 3


def test_what_stands_unseen_speaks_again_when_it_comes_back_in_a_new_pull(bench: Bench) -> None:
    (first,) = bench.play(0.2, retard_3=4.0, speed=3100.0)
    assert bench.play(0.2) + bench.play(1.0, retard_3=4.0) == [], "the same pull: nothing new"
    assert bench.play(5.0, Phase.DONE) == []
    assert bench.play(1.0) == [], "a new pull without knock"
    assert bench.play(5.0, Phase.DONE) + bench.play(0.5, Phase.HOLD) == []
    (again,) = bench.play(0.5, retard_3=3.5, speed=4400.0)
    assert (again.state, again.key, again.engine_speed_rpm) == (
        AlertState.UPDATED,
        first.key,
        4400.0,
    )
    assert again.since_s == pytest.approx(bench.now_s - 0.5 + STEP_S)
    assert "is again 3.5° at 4,400 rpm" in again.statement.text
    assert [a.state for a in bench.monitor.acknowledge(first.key)] == [AlertState.CLEARED]
    bench.play(1.0, Phase.DONE)
    assert [a.state for a in bench.play(0.5, retard_3=4.0)] == [AlertState.RAISED]


def test_unseen_it_does_not_fall_back_to_a_lesser_severity(bench: Bench) -> None:
    bench.play(0.2, retard_3=7.0)
    bench.play(5.0, Phase.DONE)
    (again,) = bench.play(0.5, retard_3=3.5)
    assert (again.severity, again.limit) == (Severity.STOP, 3.0)


def test_a_value_is_held_against_the_target_of_its_own_time(bench: Bench) -> None:
    """One long batch in which the target falls: the newest target is not everybody's."""
    time_s = bench.now_s + np.arange(0.01, 2.0, 0.01)
    falling = Samples(time_s, 140.0 - 40.0 * (time_s - bench.now_s))
    batch = {"boost": falling, "boost_target": falling}
    told = bench.monitor.feed(batch, Phase.SWEEP, float(time_s[-1]))
    assert AlertKind.OVER_BOOST not in {alert.kind for alert in told}


@pytest.mark.parametrize(
    ("kind", "values", "severity", "latches"),
    [
        (AlertKind.LEAN_UNDER_BOOST, {"lambda": 0.89}, Severity.LOOK_CLOSER, True),
        (AlertKind.LEAN_UNDER_BOOST, {"lambda": 0.95}, Severity.STOP, True),
        (AlertKind.OVER_BOOST, {"boost": 125.0}, Severity.LOOK_CLOSER, False),
        (AlertKind.OVER_BOOST, {"boost": 140.0}, Severity.STOP, False),
        (AlertKind.LOW_FUEL_PRESSURE, {"fuel": 430.0}, Severity.LOOK_CLOSER, True),
        (AlertKind.LOW_FUEL_PRESSURE, {"fuel": 350.0}, Severity.STOP, True),
        (AlertKind.OVERHEATING, {"coolant": 112.0}, Severity.LOOK_CLOSER, False),
        (AlertKind.OVERHEATING, {"coolant": 118.0}, Severity.STOP, False),
    ],
)
def test_each_kind_is_raised_and_ends_by_its_kind(
    bench: Bench, kind: AlertKind, values: Values, severity: Severity, latches: bool
) -> None:
    raised = bench.play(1.5, values=values)
    assert [a.kind for a in raised] == [kind] * len(raised)
    assert raised[-1].severity is severity
    after = bench.play(3.0)
    assert [a.state for a in after] == ([] if latches else [AlertState.CLEARED])


@pytest.mark.parametrize("values", [{"lambda": 1.3}, {"boost": 150.0}, {"fuel": 300.0}])
def test_full_load_rules_are_quiet_at_part_load(bench: Bench, values: Values) -> None:
    assert bench.play(2.0, Phase.IDLE, values=values) == []


def test_a_short_dip_of_the_fuel_pressure_is_none(bench: Bench) -> None:
    assert bench.play(0.2, fuel=380.0) + bench.play(1.0) == []


def test_a_value_that_hovers_at_the_limit_does_not_chatter(bench: Bench) -> None:
    told = []
    for _ in range(20):
        told += bench.play(0.3, boost=121.0) + bench.play(0.3, boost=119.0)
    assert len(told) == 1


def test_a_silent_source_during_a_pull_is_told_and_its_return_too(bench: Bench) -> None:
    gone = bench.play(1.0, without=("lambda",))
    assert [(a.kind, a.state) for a in gone] == [(AlertKind.SOURCE_SILENT, AlertState.RAISED)]
    assert 0.5 < gone[0].at_s - gone[0].since_s < 0.7
    back = bench.play(0.3)
    assert [a.state for a in back] == [AlertState.CLEARED]


def test_of_a_source_that_never_spoke_no_time_is_told() -> None:
    """Nobody can say for how long it has been silent, above all if the station has none such."""
    (told,) = Bench().play(1.0, without=("lambda",))
    assert told.kind is AlertKind.SOURCE_SILENT
    assert "has sent nothing at all" in told.statement.text


def test_blind_is_said_before_the_pull(bench: Bench) -> None:
    told = bench.play(4.0, Phase.IDLE, without=("retard_3",))
    assert [(a.kind, a.channel, a.severity) for a in told] == [
        (AlertKind.BLIND, "retard_3", Severity.STOP)
    ]


def test_a_channel_that_never_spoke_is_blind() -> None:
    told = Bench().play(6.0, Phase.IDLE, without=("coolant",))
    assert [(a.kind, a.channel) for a in told] == [(AlertKind.BLIND, "coolant")]


def test_a_source_that_goes_before_the_pull_is_one_alert_not_one_for_each_channel(
    bench: Bench,
) -> None:
    of_the_engine = tuple(n for n, c in CHANNELS.items() if c.source == "engine")
    gone = bench.play(20.0, Phase.IDLE, without=of_the_engine)
    assert [(a.kind, a.channel, a.state) for a in gone] == [
        (AlertKind.BLIND, "", AlertState.RAISED)
    ]
    assert "source engine" in gone[0].statement.text
    back = bench.play(10.0, Phase.IDLE)
    assert [(a.key, a.state) for a in back] == [(gone[0].key, AlertState.CLEARED)]


def test_a_channel_that_stays_away_when_its_source_is_back_is_named(bench: Bench) -> None:
    of_the_engine = tuple(n for n, c in CHANNELS.items() if c.source == "engine")
    bench.play(5.0, Phase.IDLE, without=of_the_engine)
    back = bench.play(5.0, Phase.IDLE, without=("retard_3",))
    assert [(a.channel, a.state) for a in back] == [
        ("", AlertState.CLEARED),
        ("retard_3", AlertState.RAISED),
    ]


def test_a_bay_in_which_no_pull_can_be_found_is_blind_before_the_first() -> None:
    """A map without the driver's wish is; with the wish heard again it is not."""
    bench = without(Quantity.BOOST_PRESSURE, Quantity.BOOST_TARGET)
    map_lacks, pulls = bench.play(6.0, Phase.IDLE, without=("boost", "boost_target"))
    assert "over boost" in map_lacks.statement.text
    assert (pulls.kind, pulls.severity) == (AlertKind.BLIND, Severity.STOP)
    assert "no pull can be found without the driver's demand" in pulls.statement.text

    bench = Bench()
    silent = bench.play(6.0, Phase.IDLE, without=("boost",))
    assert [a.key for a in silent] == ["blind:boost", "blind:pulls"]
    assert silent[1].statement.text.endswith("silent: boost")
    back = bench.play(0.2, Phase.IDLE)
    assert [(a.key, a.state) for a in back] == [
        ("blind:boost", AlertState.CLEARED),
        ("blind:pulls", AlertState.CLEARED),
    ]
    assert back[1].statement.text == "pulls can be found again"


def without(*kinds: Quantity) -> Bench:
    """A bench whose map lacks some quantities, on a boosted car with spark ignition."""
    bench = Bench()
    channels = {n: c for n, c in CHANNELS.items() if c.quantity not in kinds}
    bench.monitor = AlertMonitor(channels, ALL_LIMITS, Car(boosted=True))
    return bench


def test_alerts_that_the_map_does_not_allow_are_told_of_once_at_the_start() -> None:
    bench = without(Quantity.KNOCK_RETARD, Quantity.BOOST_TARGET)
    (told,) = bench.play(STEP_S, Phase.IDLE, without=("retard_1", "retard_3", "boost_target"))
    assert (told.kind, told.state, told.latched) == (AlertKind.BLIND, AlertState.RAISED, True)
    assert told.severity is Severity.LOOK_CLOSER
    assert "alert of knock retard, lean under boost, over boost" in told.statement.text
    absent = ("retard_1", "retard_3", "boost_target")
    for phase in (Phase.IDLE, Phase.HOLD, Phase.SWEEP, Phase.DONE) * 3:
        assert bench.play(7.0, phase, without=absent) == []
    (seen,) = bench.monitor.acknowledge(told.key)
    assert seen.state is AlertState.CLEARED
    assert bench.monitor.acknowledge(told.key) == []
    assert bench.play(7.0, Phase.IDLE, without=absent) == []


def test_a_map_that_allows_all_says_nothing_and_a_diesel_misses_no_knock() -> None:
    assert without().play(0.1, Phase.IDLE) == []
    channels = {n: c for n, c in CHANNELS.items() if c.quantity is not Quantity.KNOCK_RETARD}
    diesel = Car(boosted=True, ignition=Ignition.COMPRESSION)
    monitor = AlertMonitor(channels, ALL_LIMITS, diesel)
    assert monitor.feed({}, Phase.IDLE, 0.0) == []


def test_the_users_limit_is_the_limit() -> None:
    bench = Bench()
    bench.monitor = AlertMonitor(
        CHANNELS, Limits.of(LIMITS, {"alerts.knock_watch": 8.0}, "limits.yaml")
    )
    assert bench.play(1.0, retard_1=5.0) == []


def test_lambda_of_a_diesel_is_not_judged() -> None:
    channels = {n: CHANNELS[n] for n in ("speed", "lambda", "lambda_target")}
    monitor = AlertMonitor(channels, ALL_LIMITS)
    time_s = np.arange(0.0, 2.0, 0.01)
    samples = Samples(time_s, np.full(len(time_s), 1.4))
    assert monitor.feed({"lambda": samples}, Phase.SWEEP, 2.0) == []


def test_a_lambda_target_that_never_comes_leaves_lambda_judged_by_itself() -> None:
    bench = Bench()
    bench.play(6.0, Phase.HOLD, without=("lambda_target",))
    raised = bench.play(0.5, values={"lambda": 1.1}, without=("lambda_target",))
    assert (AlertKind.LEAN_UNDER_BOOST, Severity.STOP) in {(a.kind, a.severity) for a in raised}
    known = Bench()
    known.play(6.0, Phase.HOLD)
    asked = known.play(0.5, values={"lambda": 1.1, "lambda_target": 1.1})
    assert asked == [], "what is asked for is no alert"
    not_available = known.play(0.5, values={"lambda": 1.1, "lambda_target": float("nan")})
    assert [a.kind for a in not_available] == [AlertKind.LEAN_UNDER_BOOST]


@pytest.mark.parametrize("target", ["lambda_target", "boost_target", "fuel_target"])
def test_a_target_that_is_silent_is_blind_where_an_alert_depends_on_it(target: str) -> None:
    bench = Bench()
    told = bench.play(9.0, Phase.HOLD, without=(target,))
    assert [(a.kind, a.channel) for a in told] == [(AlertKind.BLIND, target)]
