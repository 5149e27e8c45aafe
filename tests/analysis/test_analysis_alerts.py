"""Live alerts on signals made for one question each."""

from collections.abc import Mapping

import numpy as np
import pytest

from analysis.alerting.rules import RULES
from analysis.alerting.session_alerts import AlertMonitor
from analysis.checks import DEFAULT_LIMITS
from analysis.judging.limits_file import ALL_LIMITS as EVERY_LIMIT
from analysis.judging.limits_file import default_limits
from analysis.model.events import Alert, AlertKind, AlertState, Phase
from analysis.model.findings import Severity
from analysis.model.limits import Limits
from analysis.model.setup import Car, Ignition
from decode.quantities import Quantity
from decode.samples import Channel, Samples

ALL_LIMITS = default_limits()

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
    "exhaust": Channel("exhaust", "degC", Quantity.EXHAUST_GAS_TEMPERATURE, source="engine"),
    "oil_pressure": Channel("oil_pressure", "kPa", Quantity.OIL_PRESSURE, source="engine"),
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
    "exhaust": 900.0,
    "oil_pressure": 250.0,
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
    raised = bench.play(2.0, retard_3=5.0, speed=4120.0)
    assert [(a.kind, a.state, a.severity, a.cylinder) for a in raised] == [
        (AlertKind.KNOCK_RETARD, AlertState.RAISED, Severity.LOOK_CLOSER, 3),
        (AlertKind.KNOCK_RETARD, AlertState.UPDATED, Severity.LOOK_CLOSER, 3),
    ]
    alert = raised[0]
    assert alert.engine_speed_rpm == 4120.0
    assert alert.value == pytest.approx(4.0, abs=0.1), "the mean of the second before"
    assert alert.latched
    assert bench.play(2.0) == [], "a latched alert waits for somebody"
    (cleared,) = bench.monitor.acknowledge(alert.key)
    assert cleared.state is AlertState.CLEARED


def test_a_single_step_of_knock_control_that_is_given_back_is_none(bench: Bench) -> None:
    """3 degrees at once, back in steps of 0.75 each 0.6 s, and again before all of it is: that
    is how knock control finds its limit."""
    for retard_deg in (3.0, 2.25, 1.5, 4.5, 3.75, 3.0, 2.25, 1.5, 0.75):
        assert bench.play(0.6, retard_3=retard_deg) == []


def test_a_single_noisy_sample_is_no_knock(bench: Bench) -> None:
    assert bench.play(STEP_S, retard_3=19.0) == []
    assert bench.play(1.0) == []


def test_the_deeper_the_retard_the_sooner_it_is_a_stop(bench: Bench) -> None:
    worse = bench.play(1.2, retard_1=7.0)
    stop = next(a for a in worse if a.severity is Severity.STOP)
    assert stop.at_s - bench.now_s + 1.2 == pytest.approx(6.0 / 7.0, abs=0.05)
    bench.play(3.0)
    at_once = bench.play(0.1, retard_3=12.0)
    assert [(a.severity, a.value) for a in at_once] == [(Severity.STOP, 12.0)]


def test_what_stands_unseen_speaks_again_when_it_comes_back_in_a_new_pull(bench: Bench) -> None:
    (first, *_) = bench.play(2.2, retard_3=4.2, speed=3100.0)
    assert bench.play(2.0) + bench.play(2.2, retard_3=4.2) == [], "the same pull: nothing new"
    assert bench.play(5.0, Phase.DONE) == []
    assert bench.play(1.0) == [], "a new pull without knock"
    assert bench.play(5.0, Phase.DONE) + bench.play(0.5, Phase.HOLD) == []
    (again,) = bench.play(2.2, retard_3=4.1, speed=4400.0)
    assert (again.state, again.key, again.engine_speed_rpm) == (
        AlertState.UPDATED,
        first.key,
        4400.0,
    )
    assert "is again 4" in again.statement.text
    assert "at 4,400 rpm" in again.statement.text
    assert bench.play(1.0, Phase.DONE) == []
    assert [a.state for a in bench.monitor.acknowledge(first.key)] == [AlertState.CLEARED]
    bench.play(3.0, Phase.DONE)
    assert [a.state for a in bench.play(2.2, retard_3=4.2)] == [AlertState.RAISED]


def test_unseen_it_does_not_fall_back_to_a_lesser_severity(bench: Bench) -> None:
    bench.play(1.2, retard_3=7.0)
    bench.play(5.0, Phase.DONE)
    (again,) = bench.play(2.2, retard_3=4.2)
    assert (again.severity, again.limit) == (Severity.STOP, 4.0)


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
        (AlertKind.LEAN_UNDER_BOOST, {"lambda": 0.96}, Severity.STOP, True),
        (AlertKind.LEAN_UNDER_BOOST, {"lambda": 0.96, "boost": 10.0}, Severity.LOOK_CLOSER, True),
        (AlertKind.OVER_BOOST, {"boost": 115.0}, Severity.LOOK_CLOSER, False),
        (AlertKind.OVER_BOOST, {"boost": 130.0}, Severity.STOP, True),
        (AlertKind.LOW_FUEL_PRESSURE, {"fuel": 430.0}, Severity.LOOK_CLOSER, True),
        (AlertKind.LOW_FUEL_PRESSURE, {"fuel": 350.0}, Severity.STOP, True),
        (AlertKind.OVERHEATING, {"coolant": 112.0}, Severity.LOOK_CLOSER, False),
        (AlertKind.OVERHEATING, {"coolant": 118.0}, Severity.STOP, True),
        (AlertKind.OVERHEATING, {"exhaust": 1000.0}, Severity.LOOK_CLOSER, False),
        (AlertKind.OVERHEATING, {"exhaust": 1060.0}, Severity.STOP, True),
        (AlertKind.LOW_OIL_PRESSURE, {"oil_pressure": 20.0}, Severity.STOP, True),
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
    told = bench.play(1.2, boost=111.0)
    for _ in range(20):
        told += bench.play(0.6, boost=111.0) + bench.play(0.3, boost=109.5)
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
        CHANNELS, Limits.of(EVERY_LIMIT, {"ignition.knock_sustained": 8.0}, "limits.yaml")
    )
    assert bench.play(2.0, retard_1=5.0) == []


def test_lambda_of_a_diesel_is_not_judged() -> None:
    channels = {n: CHANNELS[n] for n in ("speed", "lambda", "lambda_target")}
    monitor = AlertMonitor(channels, ALL_LIMITS)
    time_s = np.arange(0.0, 6.0, 0.01)
    samples = Samples(time_s, np.full(len(time_s), 1.4))
    assert monitor.feed({"lambda": samples}, Phase.SWEEP, 6.0) == []


def test_a_lambda_target_that_never_comes_leaves_lambda_judged_by_itself() -> None:
    bench = Bench()
    bench.play(6.0, Phase.HOLD, without=("lambda_target",))
    raised = bench.play(1.3, values={"lambda": 1.15}, without=("lambda_target",))
    assert (AlertKind.LEAN_UNDER_BOOST, Severity.STOP) in {(a.kind, a.severity) for a in raised}
    known = Bench()
    known.play(6.0, Phase.HOLD)
    asked = known.play(1.3, values={"lambda": 1.1, "lambda_target": 1.1})
    assert asked == [], "what is asked for is no alert"
    not_available = known.play(1.3, values={"lambda": 1.15, "lambda_target": float("nan")})
    assert {a.kind for a in not_available} == {AlertKind.LEAN_UNDER_BOOST}


@pytest.mark.parametrize("target", ["lambda_target", "boost_target", "fuel_target"])
def test_a_target_that_is_silent_is_blind_where_an_alert_depends_on_it(target: str) -> None:
    bench = Bench()
    told = bench.play(9.0, Phase.HOLD, without=(target,))
    assert [(a.kind, a.channel) for a in told] == [(AlertKind.BLIND, target)]


def test_a_probe_in_the_tailpipe_that_comes_late_is_no_lean_mixture() -> None:
    """Closed loop at lambda 1, then full load: the target falls at once, the probe after 0.8 s."""
    bench = Bench()
    bench.play(6.0, Phase.IDLE, values={"lambda": 1.0, "lambda_target": 1.0})
    late = bench.play(0.8, Phase.HOLD, values={"lambda": 1.0})
    for step in range(12):  # its own time constant
        late += bench.play(0.1, Phase.HOLD, values={"lambda": 0.85 + 0.15 * 0.7**step})
    assert late + bench.play(3.0) == []


def test_a_target_that_grows_richer_in_the_pull_waits_for_the_probe(bench: Bench) -> None:
    told = bench.play(3.0, values={"lambda": 0.98, "lambda_target": 0.98})
    told += bench.play(1.2, values={"lambda": 0.98, "lambda_target": 0.84})
    assert told + bench.play(2.0, values={"lambda": 0.85, "lambda_target": 0.84}) == []


def test_a_rail_that_comes_late_behind_a_step_of_its_target_is_no_weak_pump(bench: Bench) -> None:
    told = bench.play(0.4, values={"fuel": 500.0, "fuel_target": 900.0})
    assert told + bench.play(2.0, values={"fuel": 890.0, "fuel_target": 900.0}) == []


def test_after_the_lift_a_lean_mixture_says_nothing_though_the_pull_is_not_over_yet() -> None:
    bench = Bench()
    pedal = Channel("pedal", "%", Quantity.PEDAL_POSITION, source="engine")
    bench.monitor = AlertMonitor({**CHANNELS, "pedal": pedal}, ALL_LIMITS)
    bench.play(6.0, Phase.HOLD, values={"pedal": 100.0})
    assert bench.play(1.5, values={"pedal": 0.0, "lambda": 1.3}) == []
    still_full = bench.play(1.5, values={"pedal": 100.0, "lambda": 1.3})
    assert {a.kind for a in still_full} == {AlertKind.LEAN_UNDER_BOOST}


def test_a_pressure_in_another_unit_is_no_danger(bench: Bench) -> None:
    assert bench.play(2.0, fuel=5.0) == []


def test_a_probe_in_free_air_is_no_lean_mixture(bench: Bench) -> None:
    assert bench.play(2.0, values={"lambda": 1.99}) == []


def diesel_bench() -> Bench:
    bench = Bench()
    channels = {n: c for n, c in CHANNELS.items() if c.quantity is not Quantity.KNOCK_RETARD}
    diesel = Car(boosted=True, ignition=Ignition.COMPRESSION)
    bench.monitor = AlertMonitor(channels, ALL_LIMITS, diesel)
    return bench


@pytest.mark.parametrize(
    ("hot_degc", "severity"), [(780.0, None), (830.0, Severity.LOOK_CLOSER), (870.0, Severity.STOP)]
)
def test_a_diesels_exhaust_gas_has_limits_of_its_own(
    hot_degc: float, severity: Severity | None
) -> None:
    without = ("retard_1", "retard_3")
    told = diesel_bench().play(4.0, Phase.HOLD, without, exhaust=hot_degc)
    assert {a.severity for a in told} == ({severity} if severity else set())
    assert all(a.kind is AlertKind.OVERHEATING for a in told)


def test_oil_pressure_is_wanted_by_engine_speed_until_enough_is_enough() -> None:
    """A diesel has a car's plain bearings: 25 kPa for each 1,000 rpm, 100 kPa at most."""
    bench, without = diesel_bench(), ("retard_1", "retard_3")
    bench.play(6.0, Phase.HOLD, without)
    slow = bench.play(2.0, Phase.SWEEP, without, exhaust=700.0, oil_pressure=80.0, speed=3000.0)
    assert slow == []
    (told,) = bench.play(2.0, Phase.SWEEP, without, oil_pressure=80.0, speed=6000.0)
    assert (told.kind, told.severity, told.value, told.limit) == (
        AlertKind.LOW_OIL_PRESSURE,
        Severity.STOP,
        80.0,
        100.0,
    )
    assert told.statement.text == "oil pressure is 80 kPa at 6,000 rpm, at least 100 kPa wanted"


def test_no_alert_of_the_engine_has_a_limit_of_its_own() -> None:
    of_checks = {limit.name: limit for limit in DEFAULT_LIMITS}
    for rule in RULES:
        for limit in (rule.watch, rule.alarm):
            assert of_checks[limit.name] is limit, limit.name


def test_every_alert_has_a_consequence_and_an_action() -> None:
    assert all(rule.consequence and rule.action for rule in RULES)
    assert {rule.kind for rule in RULES} | {AlertKind.SOURCE_SILENT, AlertKind.BLIND} == set(
        AlertKind
    )
