"""No car is accused of what its log cannot show, and no sentence says more than was measured:
odd cars, coarse or polled channels, targets that nobody logs, scales the map got wrong."""

from dataclasses import replace

import numpy as np
import pytest
from engine_pulls import HEALTHY, Shape, Sweep, by_rpm, engine_pull, steady

from analysis.checks import BOOST_CAUSES, DEFAULT_LIMITS, run_checks
from analysis.checks.check import Context
from analysis.model.findings import Cause, Finding, Severity
from analysis.model.limits import COMMON_PRACTICE, Limits
from analysis.model.pull import Pull
from analysis.model.setup import Air, Car, Dyno, Ignition, Setup
from analysis.power.curve import power_curve
from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import Channel, FloatArray, Samples

LIMITS = Limits.of(DEFAULT_LIMITS, {}, "")
TURBO = Context(setup=Setup(car=Car(boosted=True, cylinders=4), air=Air(98.0, 20.0, 50.0)))
NATURAL = Context(setup=Setup(car=Car(cylinders=4), air=Air(98.0, 20.0, 50.0)))
DIESEL = Context(setup=Setup(car=Car(ignition=Ignition.COMPRESSION, boosted=True)))
NO_TURBO = ("boost", "boost_target", "wastegate", "charge")
NO_KNOCK = ("retard_1", "retard_2", "retard_3", "retard_4")


def judged(pull: Pull, context: Context, check: str, limits: Limits = LIMITS) -> list[Finding]:
    return [f for f in run_checks(pull, limits, context) if f.check == check]


def with_channel(pull: Pull, name: str, quantity: Quantity, samples: Samples) -> Pull:
    channel = Channel(name, HOUSE_UNIT[quantity], quantity, None, "engine")
    return replace(
        pull,
        channels={**pull.channels, name: channel},
        samples={**pull.samples, name: samples},
    )


def coarse(shape: Shape, step: float, noise: float) -> Shape:
    """Rounded to a step after a little noise."""
    chance = np.random.default_rng(3)

    def rounded(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        value = shape(time_s, rpm) + chance.normal(0.0, noise, len(time_s))
        return np.asarray(np.round(value / step) * step)

    return rounded


@pytest.mark.parametrize("rate_hz", [5.0, 10.0])
@pytest.mark.parametrize("loss_kpa", [0.0, 1.8])
def test_pressure_behind_the_open_throttle_of_a_natural_engine_may_stand_still(
    rate_hz: float, loss_kpa: float
) -> None:
    """Polled in whole kPa, it reads ambient from end to end."""
    pull, time_s = engine_pull(without=NO_TURBO), np.arange(0.0, 14.0, 1.0 / rate_hz)
    lost = loss_kpa * (pull.engine_speed_at(time_s) / 6500) ** 2
    kpa = np.where(time_s < 13.0, np.round(97.4 - lost), 35.0)
    pull = with_channel(pull, "map", Quantity.MANIFOLD_PRESSURE, Samples(time_s, kpa))
    (data,) = judged(pull, NATURAL, "data_quality")
    assert data.severity is Severity.HEALTHY
    stands = Samples(time_s, np.where(time_s < 13.0, 97.0, 35.0))
    (stuck,) = judged(
        with_channel(pull, "map", Quantity.MANIFOLD_PRESSURE, stands), TURBO, "data_quality"
    )
    assert "stood perfectly still at 97 kPa" in stuck.text


@pytest.mark.parametrize("rate_hz", [5.0, 10.0, 50.0])
def test_lambda_that_rests_on_its_own_hundredths_is_not_stuck(rate_hz: float) -> None:
    held = by_rpm((1500, 0.92), (2500, 0.85), (6500, 0.85))
    sweep = Sweep(noise={**Sweep().noise, Quantity.LAMBDA: 0.0})
    pull = engine_pull(
        {"lambda": coarse(held, 0.01, 0.002), "lambda_target": held},
        rates_hz={"lambda": rate_hz},
        sweep=sweep,
    )
    assert not [f for f in judged(pull, TURBO, "data_quality") if f.cause]
    finer = engine_pull({"lambda": held, "lambda_target": held}, sweep=sweep)
    (stuck,) = [f for f in judged(finer, TURBO, "data_quality") if f.cause]
    assert "lambda stood perfectly still at 0.85 for" in stuck.text  # no unit behind a ratio


def test_rail_pressure_in_coarse_steps_is_not_stuck() -> None:
    """Sent in whole bar and held within one: five seconds of the ten it reads the same."""

    def held(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        built_up = np.round(np.minimum(12_000.0 + 3_000.0 * time_s, 20_100.0), -2)
        return np.where((time_s > 5.0) & (time_s < 10.0), 20_000.0, built_up)

    pull = engine_pull(
        {"rail": held}, sweep=Sweep(noise={**Sweep().noise, Quantity.FUEL_PRESSURE_HIGH: 0.0})
    )
    assert not [f for f in judged(pull, TURBO, "data_quality") if f.cause]


def test_an_air_fuel_ratio_taken_for_lambda_is_the_maps_fault_and_not_lean() -> None:
    pull = engine_pull({"lambda": by_rpm((1500, 13.5), (6500, 12.3))})
    (data,) = [f for f in judged(pull, TURBO, "data_quality") if f.cause]
    assert "lambda read about 12.9" in data.text
    assert "an air-fuel ratio that the map takes for lambda" in data.text
    assert all(f.severity is Severity.NOTE for f in judged(pull, TURBO, "mixture"))


def test_without_a_target_no_sentence_names_one() -> None:
    leaning = engine_pull(
        {"lambda": by_rpm((1500, 0.86), (4500, 0.86), (6500, 0.99))}, without=("lambda_target",)
    )
    (found,) = [f for f in judged(leaning, TURBO, "mixture") if f.severity is Severity.LOOK_CLOSER]
    assert "was wanted" not in found.text
    assert "leaned out at full load: lambda rose from 0.8" in found.text
    assert "no target is logged" in found.text
    assert (found.limit, found.unit) == (0.95, "1")
    assert found.value == pytest.approx(0.98, abs=0.01)
    rich = engine_pull({"lambda": steady(0.75)}, without=("lambda_target",))
    (well,) = judged(rich, TURBO, "mixture")
    assert well.severity is Severity.HEALTHY
    assert well.text.startswith("Lambda was at most 0.7")


def test_a_diesel_is_lean_by_design_and_only_judged_where_it_is_rich() -> None:
    def diesel(lambda_: float) -> Pull:
        return engine_pull(
            {"lambda": steady(lambda_), "lambda_target": steady(1.25)}, without=NO_KNOCK
        )

    (lean,) = judged(diesel(1.5), DIESEL, "mixture")
    assert lean.severity is Severity.HEALTHY
    assert "lean by design" in lean.text
    (rich,) = judged(diesel(1.1), DIESEL, "mixture")
    assert rich.severity is Severity.LOOK_CLOSER
    assert "ran rich" in rich.text


def test_a_diesels_flap_is_no_throttle_held_shut() -> None:
    pull = engine_pull({"throttle": steady(4.0)}, without=NO_KNOCK)
    (flap,) = judged(pull, DIESEL, "throttle")
    assert flap.severity is Severity.NOTE
    (shut,) = judged(pull, TURBO, "throttle")
    assert shut.severity is Severity.LOOK_CLOSER


def test_low_side_pressure_without_a_target_is_not_said_to_be_wanted() -> None:
    falls = by_rpm((1500, 600), (2500, 500), (6500, 500))
    pull = engine_pull({"low_side": falls}, without=("low_side_target",))
    (found,) = (f for f in judged(pull, TURBO, "fuel_supply") if f.severity is Severity.NOTE)
    assert "It fell from 599 kPa to 500 kPa in the sweep." in found.text
    assert "wanted" not in found.text


def test_air_is_called_what_was_measured() -> None:
    pull = engine_pull({"intake": steady(70.0)}, without=NO_TURBO)
    (hot, *_) = judged(pull, NATURAL, "air_temperatures")
    assert hot.text.startswith("The intake air reached 70 °C")
    cooler = engine_pull({"intake": steady(40.0)}, without=NO_TURBO)
    soaked = judged(pull, replace(NATURAL, earlier=(cooler,)), "air_temperatures")
    assert any("The intake air started this pull at 70" in f.text for f in soaked)


def test_a_misfire_that_two_counters_count_is_one() -> None:
    twice = lambda time_s, rpm: np.where(time_s > 8.0, 2.0, 0.0)  # noqa: E731
    pull = engine_pull({"misfires": twice})
    own = Channel("misfires_1", "1", Quantity.MISFIRE_COUNT, 1, "engine")
    both = replace(
        pull,
        channels={**pull.channels, "misfires_1": own},
        samples={**pull.samples, "misfires_1": pull.samples["misfires"]},
    )
    (ignition,) = judged(both, TURBO, "ignition")
    assert ignition.severity is Severity.HEALTHY  # two are below the limit of three


def test_lean_without_a_misfire_is_no_misfire() -> None:
    lean = engine_pull({"lambda": steady(1.0)})
    found = run_checks(lean, LIMITS, TURBO)
    assert found[0].cause is Cause.FUEL_QUANTITY_ERROR
    assert Cause.MISFIRE not in {f.cause for f in found}


def test_boost_that_is_polled_too_slowly_was_asked_for_all_the_same() -> None:
    slow = engine_pull(rates_hz={"boost": 0.4, "boost_target": 0.4})
    (boost,) = judged(slow, TURBO, "boost")
    assert boost.text == "Not judged: too few samples of boost."
    none = engine_pull({"boost": steady(2.0), "boost_target": steady(5.0)})
    (boost,) = judged(none, TURBO, "boost")
    assert boost.text == "Not judged: no boost was asked for in this pull."


def test_three_samples_of_retard_do_not_say_that_it_never_moved() -> None:
    few = {name: steady(3.0) for name in NO_KNOCK}
    slow = engine_pull(few, rates_hz=dict.fromkeys(NO_KNOCK, 0.5))
    assert not any("never moves" in f.text for f in judged(slow, TURBO, "ignition"))
    whole = engine_pull(few)
    assert any("never moves" in f.text for f in judged(whole, TURBO, "ignition"))


def test_limits_that_the_user_turned_round_do_not_break_the_check() -> None:
    limits = Limits.of(DEFAULT_LIMITS, {"ignition.knock_event": 30.0}, "limits file")
    found = judged(engine_pull({"retard_2": steady(7.0)}), TURBO, "ignition", limits)
    assert any("took 7.0° from cylinder 2" in f.text for f in found)


def test_oil_pressure_at_exactly_its_limit() -> None:
    """60 kPa at 2,000 rpm, where 30 for each 1,000 rpm are wanted, and more above."""
    limits = Limits.of(DEFAULT_LIMITS, {"engine_temperatures.oil_pressure": 30.0}, "limits file")
    pull = engine_pull(
        {"oil_pressure": lambda t, rpm: np.where(rpm > 2000, 300.0, 60.0)},
        sweep=Sweep(start_rpm=2000.0, noise={}),
        rates_hz={"oil_pressure": 4.0},
    )
    (first, *_) = judged(pull, TURBO, "engine_temperatures", limits)
    assert (first.severity, first.value) == (Severity.STOP, 60.0)


def test_what_is_not_available_hides_no_knock_before_a_closure() -> None:
    start = Sweep().at_rpm(4000)

    def closing(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        closed = (time_s >= start) & (time_s < start + 0.5)
        return np.where(closed, 40.0, HEALTHY["throttle"][1](time_s, rpm))

    def knocking(time_s: FloatArray, rpm: FloatArray) -> FloatArray:
        value = np.where((time_s > start - 0.4) & (time_s < start), 8.0, 0.0)
        value[::7] = np.nan
        return value

    pull = engine_pull({"throttle": closing, "retard_1": knocking, "rail_target": steady(0.0)})
    (closure,) = [f for f in judged(pull, TURBO, "throttle") if f.severity.is_trouble]
    assert "knock had taken 8.0°" in closure.text


@pytest.mark.parametrize("kmh", [0.0, 80.0])
def test_a_roller_that_is_not_driven_gives_no_power(kmh: float) -> None:
    sweep = Sweep(noise={Quantity.ENGINE_SPEED: 4.0})
    setup = Setup(dyno=Dyno(inertia_kg_m2=20.0, roller_radius_m=0.3))
    assert power_curve(engine_pull({"roller": steady(kmh)}, sweep=sweep), setup) is None
    assert power_curve(engine_pull(sweep=sweep), setup) is not None


def test_rules_of_thumb_say_so() -> None:
    """Every limit names what it comes from; a number that nobody published says that."""
    thumb = [limit for limit in DEFAULT_LIMITS if COMMON_PRACTICE in limit.origin]
    published = {limit.name for limit in DEFAULT_LIMITS} - {limit.name for limit in thumb}
    assert published == {
        "ignition.heat_per_degree",
        "engine_temperatures.exhaust",
        "engine_temperatures.exhaust_stop",
    }


@pytest.mark.parametrize("ignition", list(Ignition))
def test_octane_is_no_cause_in_a_diesel(ignition: Ignition) -> None:
    context = Context(setup=Setup(car=Car(boosted=True, ignition=ignition)))
    pull = engine_pull({"exhaust": by_rpm((1500, 900), (6500, 1090))}, without=NO_KNOCK)
    named = {f.cause for f in run_checks(pull, LIMITS, context)}
    assert (Cause.LOW_OCTANE_FUEL in named) is (ignition is Ignition.SPARK)


def test_no_wastegate_is_stuck_in_an_engine_without_one() -> None:
    hot = {"intake": by_rpm((1500, 60), (6500, 80)), "lambda": steady(1.02)}
    pull = engine_pull({**hot, "injector": steady(97.0)}, without=(*NO_TURBO, "misfires"))
    named = {f.cause for f in run_checks(pull, LIMITS, NATURAL)} - {None}
    assert named
    assert not named & BOOST_CAUSES


@pytest.mark.parametrize("rate_hz", [2.0, 3.0, 5.0])
@pytest.mark.parametrize("duration_s", [4.0, 8.0])
def test_speeds_that_are_polled_slowly_are_no_slip(rate_hz: float, duration_s: float) -> None:
    """Between two readings a straight line cuts off the knees of the sweep."""
    sweep = Sweep(duration_s=duration_s, start_rpm=1700.0)
    for share in (0.0, 0.25, 0.6):
        pull = engine_pull(sweep=sweep, rates_hz={"engine_speed": rate_hz})
        time_s = np.arange(share / rate_hz, 4.0 + duration_s, 1.0 / rate_hz)
        wheels = Samples(time_s, np.floor(sweep.rpm(time_s) / 33.0))
        polled = replace(pull, samples={**pull.samples, "wheels": wheels})
        assert not [f for f in judged(polled, TURBO, "drive") if f.cause]


def test_a_silence_of_engine_speed_is_no_slip() -> None:
    """Data says that engine speed was silent; nobody saw what wheels and engine did meanwhile."""
    pull = engine_pull(
        {
            "engine_speed": lambda t, rpm: rpm + 250.0 * np.sin((t - 6.0) * np.pi / 3.0),
            "wheels": lambda t, rpm: (rpm + 250.0 * np.sin((t - 6.0) * np.pi / 3.0)) / 33.0,
        },
        without=("roller",),
        rates_hz={"wheels": 10.0},
    )
    assert not [f for f in judged(pull, TURBO, "drive") if f.cause]
    speed = pull.samples["engine_speed"]
    keep = (speed.time_s < 6.0) | (speed.time_s > 9.0)
    gone = Samples(speed.time_s[keep], speed.value[keep])
    silent = replace(pull, samples={**pull.samples, "engine_speed": gone})
    assert any("engine_speed was silent" in f.text for f in run_checks(silent, LIMITS, TURBO))
    assert not [f for f in judged(silent, TURBO, "drive") if f.cause]


@pytest.mark.parametrize("count", range(1, 12))
def test_a_handful_of_roller_samples_is_no_power_curve(count: int) -> None:
    setup = Setup(dyno=Dyno(inertia_kg_m2=20.0, roller_radius_m=0.3))
    pull = engine_pull(sweep=Sweep(duration_s=3.0))
    roller = pull.sweep(pull.samples["roller"])
    picked = np.linspace(10, len(roller) - 11, count).astype(int)
    few = Samples(roller.time_s[picked], roller.value[picked])
    curve = power_curve(replace(pull, samples={**pull.samples, "roller": few}), setup)
    assert (curve is None) is (count < 8)


def test_boost_that_had_no_time_to_come_is_not_called_on_target() -> None:
    """Half its target all the way, in a tip-in and sweep of a second and a half."""
    pull = engine_pull(
        {
            "boost": by_rpm((1500, 30), (6500, 60)),
            "pedal": lambda t, rpm: np.where((t > 2.9) & (t < 4.5), 100.0, 20.0),
            "throttle": lambda t, rpm: np.where((t > 2.9) & (t < 4.5), 88.0, 20.0),
        },
        sweep=Sweep(duration_s=1.5),
    )
    (boost,) = judged(pull, TURBO, "boost")
    assert boost.severity is Severity.NOTE
    assert "over before boost had its time" in boost.text
    (unsaid,) = judged(pull, TURBO, "coverage")
    assert "over before boost had its time" in unsaid.text


@pytest.mark.parametrize(("rate_hz", "over_s"), [(3.0, 2.33), (5.0, 1.4), (50.0, 0.8)])
def test_the_smoothing_that_is_stated_is_the_one_that_was_used(
    rate_hz: float, over_s: float
) -> None:
    """Eight samples are in every fit: at 3 Hz those are seven thirds of a second."""
    setup = Setup(dyno=Dyno(inertia_kg_m2=20.0, roller_radius_m=0.3))
    pull = engine_pull(rates_hz={"roller": rate_hz}, sweep=Sweep(duration_s=5.0))
    curve = power_curve(pull, setup)
    assert curve is not None
    assert curve.smoothing.text.startswith(f"local cubic over {over_s:.2f} s")


def test_retard_that_counts_downwards_is_a_sign_in_the_map() -> None:
    (sign,) = [
        f
        for f in judged(engine_pull({"retard_2": steady(-4.0)}), TURBO, "data_quality")
        if f.severity is Severity.LOOK_CLOSER
    ]
    assert "(retard counts positive: turn the sign in the map)" in sign.text


def test_rail_pressure_in_another_unit_is_no_weak_pump() -> None:
    sweep = Sweep(noise={**Sweep().noise, Quantity.FUEL_PRESSURE_HIGH: 0.6})
    findings = run_checks(engine_pull({"rail": steady(200.0)}, sweep=sweep), LIMITS, TURBO)
    (unit,) = [f for f in findings if f.severity is not Severity.HEALTHY and f.limit == 7.0]
    assert unit.severity is Severity.LOOK_CLOSER
    assert unit.cause is None
    assert "one of the two channels has another unit than the map says" in unit.text
    falls = by_rpm((1500, 20_000), (3000, 20_000), (6500, 2_000))
    fails = judged(engine_pull({"rail": falls}), TURBO, "fuel_supply")
    assert fails[0].cause is Cause.WEAK_HIGH_PRESSURE_FUEL_PUMP


@pytest.mark.parametrize("absolute", ["boost", "boost_target"])
def test_absolute_pressure_taken_for_gauge_is_no_overboost(absolute: str) -> None:
    gauge = HEALTHY[absolute][1]
    pull = engine_pull({absolute: lambda t, rpm: gauge(t, rpm) + 98.0})
    findings = run_checks(pull, LIMITS, TURBO)
    (unit,) = [f for f in findings if f.severity in (Severity.LOOK_CLOSER, Severity.STOP)]
    assert f"{absolute} is absolute, and the map takes it for gauge pressure" in unit.text
    assert unit.cause is None
    runs_away = by_rpm((1500, 60), (2800, 130), (6500, 170))
    over = run_checks(engine_pull({"boost": runs_away}), LIMITS, TURBO)
    assert any(f.check == "boost" and f.severity is Severity.STOP for f in over)


@pytest.mark.parametrize("measured", [True, False])
def test_boost_over_a_pressure_nobody_measured_says_so(measured: bool) -> None:
    """A sea-level pressure in the mountains makes every boost look short."""
    gauge = HEALTHY["boost"][1]
    without = ("boost",) if measured else ("boost", "barometric")
    pull = engine_pull({"barometric": steady(80.0)}, without=without)
    time_s = np.arange(0.0, 14.0, 0.02)
    kpa = gauge(time_s, pull.engine_speed_at(time_s)) + 80.0
    pull = with_channel(pull, "map", Quantity.MANIFOLD_PRESSURE, Samples(time_s, kpa))
    context = Context(setup=Setup(car=Car(boosted=True), air=Air(101.325, 20.0, 50.0)))
    (boost, *_) = judged(pull, context, "boost")
    assert (boost.severity is Severity.HEALTHY) is measured
    assert ("less the 101.3 kPa given for the station's air" in boost.text) is not measured


def test_a_ratio_that_falls_is_not_called_in_proportion() -> None:
    """A converter slips by 15 % at first and locks in the pull."""

    def locking(ratio: float) -> Shape:
        return lambda t, rpm: rpm / ratio * (1.0 - 0.15 * np.clip((6.0 - t) / 3.0, 0.0, 1.0))

    pull = engine_pull({"wheels": locking(33.0), "roller": locking(32.5)})
    (drive,) = judged(pull, TURBO, "drive")
    assert drive.severity is Severity.NOTE
    assert "their ratio fell by 15 %" in drive.text
    (well,) = judged(engine_pull(), TURBO, "drive")
    assert "turned in proportion" in well.text
