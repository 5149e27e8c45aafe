"""Two stages against each other: gains, bands, refusals, conditions, words."""

import json
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from engine_pulls import Sweep, engine_pull
from roller_pulls import FINE_RPM, Bay, Torque, roller_pull, wobble

from analysis.model.pull import Pull
from analysis.model.setup import Air, Dyno, Setup, Standard
from analysis.power.curve import power_curve
from analysis.power.sweep import sweep_of
from analysis.publish.messages.comparison import comparison_message
from analysis.publish.messages.message import VERSION
from analysis.stages.comparability import SLIP_IN_PULL, slip_in_pull
from analysis.stages.compare import compare_all, compare_runs, compare_stages
from analysis.stages.comparison import Comparison
from analysis.stages.curves import WHEEL_POWER, WHEEL_TORQUE, run_of
from analysis.stages.gains import peak_of_each
from decode.quantities import HOUSE_UNIT, Quantity
from decode.samples import Channel, Samples

BAY = Bay(noise_kmh=0.01)
SAME = Torque()
STRONGER = Torque(plateau_nm=318.0)


def stage(
    torque: Torque, seed: int, runs: int = 3, spread: float = 0.004, bay: Bay = BAY
) -> list[Pull]:
    random = np.random.default_rng(seed)
    return [
        roller_pull(
            torque,
            bay,
            random,
            number,
            1 + spread * random.standard_normal(),
            wobble(random, 0.003, 300.0),
        )
        for number in range(1, runs + 1)
    ]


def with_channel(pull: Pull, quantity: Quantity, value: float) -> Pull:
    """The pull with one more channel that stands still."""
    name = str(quantity)
    time_s = pull.samples["engine_speed"].time_s
    return replace(
        pull,
        channels={**pull.channels, name: Channel(name, HOUSE_UNIT[quantity], quantity)},
        samples={**pull.samples, name: Samples(time_s, np.full(len(time_s), value))},
    )


def text(comparison: Comparison) -> str:
    return " ".join(map(str, [*comparison.statements, *comparison.conditions]))


def test_a_real_gain_is_found_with_its_size() -> None:
    found = compare_stages(stage(SAME, 1), stage(STRONGER, 2), BAY.setup, ("stock", "tuned"))
    true_kw = STRONGER.power_kw(FINE_RPM).max() - SAME.power_kw(FINE_RPM).max()
    assert found.assessable
    assert found.names == ("stock", "tuned")
    assert found.peak_gain is not None
    assert found.peak_gain.low < true_kw < found.peak_gain.high
    assert found.peak_gain.excludes_zero
    assert "Peak wheel power changed by +" in text(found)
    assert "more than run-to-run spread at" in text(found)


def test_no_gain_is_not_claimed_and_says_what_would_settle_it() -> None:
    found = compare_stages(stage(SAME, 7), stage(SAME, 8), BAY.setup)
    band = found.overlays[WHEEL_POWER]
    assert np.all(np.abs(band.difference) <= band.half_width)
    assert "not more than run-to-run spread" in text(found)
    assert "of each stage would" in text(found)


def test_more_pulls_settle_a_gain_near_the_spread() -> None:
    small = Torque(plateau_nm=303.0)
    before, after = (stage(torque, seed, 3, 0.008) for torque, seed in ((SAME, 9), (small, 10)))
    found = compare_stages(before, after, BAY.setup)
    assert "more pull" in text(found)
    assert "would settle it" in text(found)


@pytest.mark.parametrize(("first", "second"), [(1, 3), (3, 1), (0, 3)])
def test_a_single_run_on_a_side_is_not_assessable(first: int, second: int) -> None:
    found = compare_stages(stage(SAME, 1, first), stage(STRONGER, 2, second), BAY.setup)
    assert not found.assessable
    assert found.peak_gain is None
    assert found.area_gain is None
    assert found.statements[0].text.startswith("Not assessable: ")
    if first and second:
        assert np.isnan(found.overlays[WHEEL_POWER].half_width).all()
        assert np.isfinite(found.overlays[WHEEL_POWER].difference).all()


def test_grid_is_the_common_overlap_and_is_never_extended() -> None:
    pulls = stage(SAME, 1)
    short = replace(pulls[0], bounds=replace(pulls[0].bounds, end_s=pulls[0].bounds.end_s - 2.0))
    found = compare_stages([short, *pulls[1:]], stage(STRONGER, 2), BAY.setup)
    whole = compare_stages(pulls, stage(STRONGER, 2), BAY.setup)
    assert found.engine_speed_rpm[-1] < whole.engine_speed_rpm[-1] - 300
    assert "Power still rises" in text(found)


def test_incomplete_pulls_and_other_gears_are_left_out_and_named() -> None:
    pulls = stage(SAME, 1, 5)
    aborted = replace(pulls[3], bounds=replace(pulls[3].bounds, complete=False))
    roller = pulls[4].samples["roller_speed"]
    geared = replace(
        pulls[4],
        samples={**pulls[4].samples, "roller_speed": Samples(roller.time_s, roller.value * 1.3)},
    )
    found = compare_stages([*pulls[:3], aborted, geared], stage(SAME, 2), BAY.setup)
    assert found.runs == (3, 3)
    assert "Pull 4 of baseline is incomplete" in text(found)
    assert "Pull 5 of baseline is in another gear" in text(found)


def test_every_quantity_is_overlaid_with_its_unit() -> None:
    before = [with_channel(pull, Quantity.BOOST_PRESSURE, 130.0) for pull in stage(SAME, 1)]
    after = [with_channel(pull, Quantity.BOOST_PRESSURE, 150.0) for pull in stage(STRONGER, 2)]
    found = compare_stages(before, after, BAY.setup)
    boost = found.overlays["boost_pressure"]
    assert (boost.quantity, boost.unit) == ("boost_pressure", "kPa")
    assert boost.difference == pytest.approx(np.full(len(found.engine_speed_rpm), 20.0))
    assert {WHEEL_POWER, WHEEL_TORQUE, "engine_speed", "roller_speed"} < set(found.overlays)


def test_power_band_follows_the_speed_that_torque_is_multiplied_with() -> None:
    found = compare_stages(stage(SAME, 1), stage(STRONGER, 2), BAY.setup)
    power, rpm = found.overlays[WHEEL_POWER], found.engine_speed_rpm
    torque_width = power.half_width * 1000 / (rpm * np.pi / 30)
    assert torque_width == pytest.approx(np.full(len(rpm), torque_width[0]))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda p: with_channel(p, Quantity.INTAKE_AIR_TEMPERATURE, 45.0), "Intake air at the"),
        (lambda p: with_channel(p, Quantity.COOLANT_TEMPERATURE, 45.0), "Coolant at the start"),
        (lambda p: with_channel(p, Quantity.BAROMETRIC_PRESSURE, 96.0), "The air differed"),
    ],
)
def test_conditions_that_differ_are_named(change: Callable[[Pull], Pull], words: str) -> None:
    def same(pull: Pull) -> Pull:
        for quantity, value in (
            (Quantity.INTAKE_AIR_TEMPERATURE, 25.0),
            (Quantity.COOLANT_TEMPERATURE, 88.0),
            (Quantity.BAROMETRIC_PRESSURE, 99.0),
        ):
            pull = with_channel(pull, quantity, value)
        return pull

    setup = replace(BAY.setup, air=Air(None, 25.0, 40.0))
    before, after = ([same(pull) for pull in stage(SAME, seed)] for seed in (1, 2))
    assert compare_stages(before, after, setup).conditions == ()
    conditions = compare_stages(before, [change(pull) for pull in after], setup).conditions
    assert len(conditions) == 1
    assert words in conditions[0].text


def test_heat_soak_slip_and_ramp_are_named() -> None:
    before = [
        with_channel(pull, Quantity.INTAKE_AIR_TEMPERATURE, 25.0 + 4 * index)
        for index, pull in enumerate(stage(SAME, 1))
    ]
    faster = replace(BAY, sweep_s=5.0)
    after = []
    for pull in stage(SAME, 2, bay=faster):
        roller = pull.samples["roller_speed"]
        slipping = Samples(roller.time_s, roller.value * 0.97)
        after.append(replace(pull, samples={**pull.samples, "roller_speed": slipping}))
    found = " ".join(map(str, compare_stages(before, after, BAY.setup).conditions))
    assert "Heat soak in the first stage" in found
    assert "slip" in found
    assert "The ramp was" in found
    assert "keeps +" in found


def test_a_named_standard_gives_the_corrected_gain_beside_the_measured() -> None:
    dyno: Dyno = replace(BAY.setup.dyno, correction=Standard.SAE_J1349)
    setup = Setup(dyno=dyno, air=Air(95.0, 25.0, 40.0))
    found = compare_stages(stage(SAME, 1), stage(STRONGER, 2), setup)
    plain = compare_stages(stage(SAME, 1), stage(STRONGER, 2), BAY.setup)
    assert found.peak_gain == plain.peak_gain
    assert plain.corrected_peak_gain is None
    assert found.corrected_peak_gain is not None
    assert found.peak_gain is not None
    assert found.corrected_peak_gain.value == pytest.approx(1.066 * found.peak_gain.value, rel=0.01)


def test_without_dyno_data_power_is_not_compared_but_channels_are() -> None:
    found = compare_stages(stage(SAME, 1), stage(STRONGER, 2), Setup())
    assert not found.assessable
    assert "dyno data" in text(found)
    assert "engine_speed" in found.overlays


def test_each_stage_against_the_first_and_the_one_before() -> None:
    stages = [("stock", stage(SAME, 1)), ("cooler", stage(SAME, 2)), ("tuned", stage(STRONGER, 3))]
    found = compare_all(stages, BAY.setup)
    assert [one.names for one in found] == [
        ("stock", "cooler"),
        ("stock", "tuned"),
        ("cooler", "tuned"),
    ]
    assert all("that of 3 stages of this job, 9 pulls" in text(one) for one in found)


def test_the_spread_of_further_stages_narrows_bands_and_moves_no_mean() -> None:
    """On the whole: two runs can by chance agree better than they should."""
    shares = []
    for seed in range(10, 40, 4):
        torques = ((SAME, 2), (STRONGER, 2), (SAME, 4))
        stages = [
            (str(at), stage(torque, seed + at, runs)) for at, (torque, runs) in enumerate(torques)
        ]
        pooled, alone = compare_all(stages, BAY.setup)[0], compare_all(stages[:2], BAY.setup)[0]
        assert "stages of this job" not in text(alone)
        band, own = pooled.overlays[WHEEL_POWER], alone.overlays[WHEEL_POWER]
        assert np.array_equal(band.difference, own.difference)
        shares.append(np.median(band.half_width) / np.median(own.half_width))
    assert np.mean(shares) < 0.9


def test_a_stage_that_cannot_lend_its_spread_is_not_asked() -> None:
    """One run has none, an aborted one does not count, one in another gear neither."""
    single = stage(SAME, 3, 1)
    aborted = [replace(p, bounds=replace(p.bounds, complete=False)) for p in stage(SAME, 4, 3)]
    stages = [("a", stage(SAME, 1)), ("b", stage(STRONGER, 2)), ("c", single), ("d", aborted)]
    first = compare_all(stages, BAY.setup)[0]
    alone = compare_all(stages[:2], BAY.setup)[0]
    assert first.peak_gain == alone.peak_gain
    assert "stages of this job" not in text(first)
    assert not compare_all(stages, BAY.setup)[1].assessable


def test_the_json_form_is_plain() -> None:
    found = compare_stages(stage(SAME, 1, 1), stage(STRONGER, 2), BAY.setup)
    document = json.loads(comparison_message(found).model_dump_json(), parse_constant=pytest.fail)
    assert document["peak_gain"] is None
    assert document["overlays"][WHEEL_POWER]["unit"] == "kW"
    assert document["version"] == VERSION
    whole = comparison_message(compare_stages(stage(SAME, 1), stage(STRONGER, 2), BAY.setup))
    peak = json.loads(whole.model_dump_json())["peak_gain"]
    assert set(peak) == {"value", "low", "high", "unit"}


def test_peak_of_noisy_runs_is_not_biased() -> None:
    """The plain maximum of the mean of three reads 0.19 too high here, a third of its spread."""
    random = np.random.default_rng(1)
    points = np.arange(60.0)
    truth = 100 - 0.01 * (points - 30) ** 2
    smooth = np.exp(-0.5 * ((points[:, None] - points) / 6) ** 2) + 1e-9 * np.eye(60)
    root = np.linalg.cholesky(smooth)
    peaks, plain = [], []
    for _ in range(2000):
        runs = truth + (random.standard_normal((3, 60)) @ root.T)
        peaks.append(peak_of_each(runs).mean())
        plain.append(runs.mean(axis=0).max())
    assert np.mean(plain) - 100 > 0.15
    assert abs(np.mean(peaks) - 100) < 0.05


def in_air(pulls: list[Pull], **values: float) -> list[Pull]:
    for name, value in values.items():
        pulls = [with_channel(pull, Quantity(name), value) for pull in pulls]
    return pulls


def test_no_corrected_gain_out_of_a_factor_that_one_stage_lacks() -> None:
    """Without humidity the baseline has no factor: corrected against uncorrected is a gain of 5 %
    that nobody made."""
    setup = replace(BAY.setup, dyno=replace(BAY.setup.dyno, correction=Standard.SAE_J1349))
    before = in_air(stage(SAME, 1), barometric_pressure=97.0, ambient_temperature=30.0)
    after = in_air(stage(SAME, 2), barometric_pressure=97.0, ambient_temperature=30.0)
    humid = in_air(after, relative_humidity=40.0)
    assert compare_stages(before, humid, setup).corrected_peak_gain is None
    both = compare_stages(in_air(before, relative_humidity=40.0), humid, setup)
    assert both.corrected_peak_gain is not None


def test_runs_corrected_by_two_standards_have_no_corrected_gain() -> None:
    """The station file named another standard between two days, and the curves were stored."""
    sae, din = (
        replace(
            BAY.setup,
            dyno=replace(BAY.setup.dyno, correction=standard),
            air=Air(99.0, 25.0, 40.0),
        )
        for standard in (Standard.SAE_J1349, Standard.DIN_70020)
    )
    before = [run_of(pull, sae) for pull in stage(SAME, 1)]
    after = [run_of(pull, din) for pull in stage(SAME, 2)]
    (mixed,) = compare_runs([("baseline", before), ("changed", after)])
    assert mixed.assessable
    assert mixed.corrected_peak_gain is None


def test_air_that_differed_is_told_without_humidity_and_unknown_air_is_told() -> None:
    cool = in_air(stage(SAME, 1), barometric_pressure=101.0, ambient_temperature=15.0)
    warm = in_air(stage(SAME, 2), barometric_pressure=98.0, ambient_temperature=30.0)
    (air,) = compare_stages(cool, warm, BAY.setup).conditions
    assert air.text.startswith("The air differed: DIN 70020 would ask +5.7 %")
    (unknown,) = compare_stages(cool, stage(SAME, 2), BAY.setup).conditions
    assert unknown.text.startswith("The air (pressure and temperature) of not every pull is known")


def test_a_gain_of_the_whole_curve_is_claimed_that_no_single_speed_shows() -> None:
    small = Torque(plateau_nm=305.0)
    found = compare_stages(stage(SAME, 2), stage(small, 22), BAY.setup)
    band = found.overlays[WHEEL_POWER]
    assert np.all(np.abs(band.difference) <= band.half_width)
    assert found.area_gain is not None
    assert found.area_gain.excludes_zero
    assert found.claimed
    assert "Mean power over the common speeds changed by +" in text(found)
    assert "At no single engine speed is the difference" in text(found)


def test_a_curve_that_gains_above_and_loses_below_is_claimed_by_its_shape() -> None:
    """Of a mean that hardly changed."""
    peaky = Torque(plateau_nm=311.0, spool_rpm=2700.0, spool_width_rpm=350.0)
    found = compare_stages(stage(SAME, 1), stage(peaky, 2), BAY.setup)
    assert found.area_gain is not None
    assert not found.area_gain.excludes_zero
    assert found.claimed
    assert "The shape of the curve changed by more than run-to-run spread at" in text(found)


def test_a_pull_that_slipped_is_named_with_how_much() -> None:
    """Its median ratio is that of the others, so only the pull itself tells."""

    def slipping(pull: Pull) -> Pull:
        roller = pull.samples["roller_speed"]
        rpm = pull.engine_speed_at(roller.time_s)
        lost = 0.08 * np.clip(np.minimum((rpm - 4800) / 500, (6300 - rpm) / 500), 0, 1)
        slow = Samples(roller.time_s, roller.value * (1 - lost))
        return replace(pull, samples={**pull.samples, "roller_speed": slow})

    setup = replace(BAY.setup, air=Air(99.0, 25.0, 40.0))
    before, (first, second, third) = stage(SAME, 1), stage(SAME, 2)
    assert compare_stages(before, [first, second, third], setup).conditions == ()
    (slip,) = compare_stages(before, [first, slipping(second), third], setup).conditions
    assert slip.text.startswith(
        "Wheels or clutch slipped by up to 9 % in pull 2 of the second stage"
    )


@pytest.mark.parametrize("rate_hz", [2.0, 5.0, 10.0, 50.0])
@pytest.mark.parametrize("duration_s", [3.0, 10.0, 30.0])
def test_a_coarse_road_speed_is_no_slip(rate_hz: float, duration_s: float) -> None:
    pull = engine_pull(
        {"wheels": lambda time_s, rpm: np.floor(rpm / 60.0)},  # whole km/h, from 25 km/h on
        without=("roller",),
        rates_hz={"wheels": rate_hz},
        sweep=Sweep(duration_s=duration_s),
    )
    assert slip_in_pull(pull) < SLIP_IN_PULL


def test_power_read_in_two_ways_is_told() -> None:
    setup = replace(BAY.setup, air=Air(99.0, 25.0, 40.0))

    def as_sent(pull: Pull) -> Pull:
        curve = power_curve(pull, setup)
        assert curve is not None
        time_s = sweep_of(pull).time_s
        sent = Channel("wheel_power", "kW", Quantity.WHEEL_POWER)
        kept = {name: s for name, s in pull.samples.items() if name != "roller_speed"}
        return replace(
            pull,
            channels={**{name: pull.channels[name] for name in kept}, "wheel_power": sent},
            samples={**kept, "wheel_power": Samples(time_s, curve.wheel_power_kw)},
        )

    found = compare_stages(stage(SAME, 1), [as_sent(p) for p in stage(SAME, 2)], setup)
    (told,) = found.conditions
    assert told.text.startswith("Power was not read in the same way in every pull (roller speed, ")


def test_a_curve_stored_on_another_grid_stands_at_its_own_engine_speeds() -> None:
    """Its pull was analysed by a version that began the curve 200 rpm later."""
    before, after = ([run_of(p, BAY.setup) for p in stage(SAME, seed)] for seed in (1, 2))
    (whole,) = compare_runs([("baseline", before), ("changed", after)])
    curve = before[0].curve
    assert curve is not None
    later = replace(
        curve,
        engine_speed_rpm=curve.engine_speed_rpm[4:],
        wheel_power_kw=curve.wheel_power_kw[4:],
        wheel_torque_nm=curve.wheel_torque_nm[4:],
    )
    older = [replace(before[0], curve=later), *before[1:]]
    (found,) = compare_runs([("baseline", older), ("changed", after)])
    assert found.engine_speed_rpm.tolist() == whole.engine_speed_rpm[4:].tolist()
    power, full = found.overlays[WHEEL_POWER], whole.overlays[WHEEL_POWER]
    assert power.mean_baseline == pytest.approx(full.mean_baseline[4:])
