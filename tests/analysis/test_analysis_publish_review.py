"""What the overlay draws beside the samples: conventions, bands, the common grid, the turbo."""

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import demo_job
import numpy as np
import pytest
from engine_pulls import engine_pull
from test_analysis_checks_compressor import CONTEXT, flowing

from analysis.archive.job_comparison import compare_job
from analysis.archive.store import Store
from analysis.judging.pull_report import PullReport
from analysis.model.findings import Severity
from analysis.model.plain_arrays import plain
from analysis.model.setup import LossConvention, Standard
from analysis.phrases.units import Units
from analysis.power.curve import power_curve
from analysis.power.sweep import sweep_of
from analysis.publish.page import figures
from analysis.publish.page.curves import WIDEST_PX, Axis, thinned
from analysis.publish.page.figures import OverlayRequest, closer
from analysis.publish.report.compressor_chart import pulls_on_map
from analysis.publish.report.document import render_report
from analysis.stages.curves import WHEEL_POWER
from analysis.stages.statistics import band_of_one_run
from decode.quantities import Quantity
from decode.samples import Samples
from decode.units import convert

PULLS = [1, 2, 3, 6]


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    with demo_job.fill(tmp_path_factory.mktemp("store")) as filled:
        yield filled


def overlay(store: Store, pulls: list[int], request: OverlayRequest) -> dict[str, Any]:
    """As the page is given it."""
    given: dict[str, Any] = json.loads(figures.overlay(store, pulls, request).model_dump_json())
    return given


def line(overlaid: dict[str, Any], key: str, pull: int, name: str) -> tuple[Any, Any]:
    """x and y of a pull's line in a chart."""
    (chart,) = [one for one in overlaid["charts"] if one["key"] == key]
    (found,) = [one for one in chart["lines"] if (one["pull"], one["name"]) == (pull, name)]
    return found["x"], found["y"]


def bands(overlaid: dict[str, Any], key: str) -> list[dict[str, Any]]:
    """The stages' bands in a chart."""
    return [band for band in overlaid["bands"] if band["chart"] == key]


@pytest.mark.parametrize("standard", [Standard.SAE_J1349, Standard.DIN_70020])
def test_another_standard_leaves_the_uncorrected_power_where_it_was(
    store: Store, standard: Standard
) -> None:
    overlaid = overlay(store, [6], OverlayRequest(correction=standard))
    report = store.load_report(6)
    assert report.power is not None
    (factor,) = [c.factor for c in report.power.other_corrections if c.standard is standard]
    np.testing.assert_array_equal(
        line(overlaid, "power", 6, "wheel, uncorrected")[1], report.power.wheel_power_kw
    )
    np.testing.assert_allclose(
        line(overlaid, "power", 6, f"wheel, {standard}")[1], report.power.wheel_power_kw * factor
    )
    assert any(text.startswith(f"{standard} factor") for text in overlaid["power_statements"])


def test_another_loss_convention_is_computed_by_the_pulls_own_setup(store: Store) -> None:
    request = OverlayRequest(loss=LossConvention.PERCENT_OF_ENGINE_LOST)
    overlaid = overlay(store, [6], request)
    report = store.load_report(6)
    assert report.power is not None
    name = "engine, uncorrected: percent of engine power lost"
    np.testing.assert_allclose(
        line(overlaid, "power", 6, name)[1], report.power.wheel_power_kw / 0.85
    )


def test_resampled_lines_stand_on_the_comparisons_grid(store: Store) -> None:
    raw, gridded = (
        overlay(store, [6], OverlayRequest()),
        overlay(store, [6], OverlayRequest(resampled=True)),
    )
    x, y = line(gridded, "boost_pressure", 6, "measured")
    assert not np.any(np.asarray(x) % 50)
    assert len(line(raw, "boost_pressure", 6, "measured")[0]) > 3 * len(x)
    pull = store.load_report(6).pull
    boost = pull.first(Quantity.BOOST_PRESSURE)
    assert boost is not None
    np.testing.assert_array_equal(y, sweep_of(pull).resample(boost))


def powers(store: Store, x: Any, numbers: tuple[int, ...]) -> Any:
    curves = [store.load_report(number).power for number in numbers]
    return np.array([np.interp(x, c.engine_speed_rpm, c.wheel_power_kw) for c in curves if c])


def test_a_stages_band_is_that_of_its_mean_and_a_single_pull_has_none(store: Store) -> None:
    (band,) = bands(
        overlay(store, PULLS, OverlayRequest(bands=True)), "power"
    )  # of the second only one pull
    assert band["stage_id"] == 1
    rows = powers(store, band["x"], (1, 2, 3))
    np.testing.assert_allclose(band["mean"], rows.mean(axis=0))
    half_width = band_of_one_run([rows], np.asarray(band["x"])) / np.sqrt(3)
    np.testing.assert_allclose(band["half_width"], half_width)


def test_the_means_bands_add_up_to_the_comparisons_band(store: Store) -> None:
    overlaid = overlay(store, [1, 2, 3, 4, 5, 6], OverlayRequest(bands=True))
    first, second = bands(overlaid, "power")
    (comparison,) = compare_job(store, 1)
    compared = comparison.overlays[WHEEL_POWER]
    assert first["x"] == comparison.engine_speed_rpm.tolist()
    difference = np.subtract(second["mean"], first["mean"])
    np.testing.assert_allclose(difference, compared.difference)
    both = np.hypot(first["half_width"], second["half_width"])
    np.testing.assert_allclose(both, compared.half_width)


def test_too_few_pulls_have_a_mean_and_no_band_and_it_is_said(store: Store) -> None:
    overlaid = overlay(store, [1, 2], OverlayRequest(bands=True))
    (band,) = bands(overlaid, "power")
    np.testing.assert_allclose(band["mean"], powers(store, band["x"], (1, 2)).mean(axis=0))
    assert band["half_width"] is None
    assert "There is no band" in " ".join(overlaid["band_statements"])
    alone = overlay(store, [1], OverlayRequest(bands=True))
    assert alone["bands"] == []
    assert "single pull" in alone["band_statements"][0]


def test_a_pull_that_does_not_count_is_left_out_of_the_mean_and_it_is_said(tmp_path: Path) -> None:
    with demo_job.fill(tmp_path) as store:
        store.exclude_pull(2, "wheel slipped")
        overlaid = overlay(store, [1, 2, 3], OverlayRequest(bands=True))
        (band,) = bands(overlaid, "power")
        np.testing.assert_allclose(band["mean"], powers(store, band["x"], (1, 3)).mean(axis=0))
    assert "Pull 2 does not count and is left out" in " ".join(overlaid["band_statements"])


def test_what_a_comparison_leaves_out_is_left_out_of_the_mean_too(tmp_path: Path) -> None:
    report = demo_job.report(7, 0)
    aborted = replace(report.pull, bounds=replace(report.pull.bounds, complete=False))
    roller = report.pull.samples["roller_speed"]
    other_gear = replace(
        report.pull,
        number=8,
        samples={
            **report.pull.samples,
            "roller_speed": Samples(roller.time_s, roller.value * 1.3),
        },
    )
    with demo_job.fill(tmp_path) as store:
        for pull in (aborted, other_gear):
            store.save_pull(1, "session-2", replace(report, pull=pull), demo_job.SETUP)
        overlaid = overlay(store, [1, 2, 3, 7, 8], OverlayRequest(bands=True))
        (band,) = bands(overlaid, "power")
        compared = " ".join(said.text for said in compare_job(store, 1)[0].statements)
        counted = powers(store, band["x"], (1, 2, 3))
    np.testing.assert_allclose(band["mean"], counted.mean(axis=0))
    said = " ".join(overlaid["band_statements"])
    assert "Pull 7 is incomplete and is left out" in said
    assert "Pull 8 is in another gear and is left out" in said
    assert "Pull 7 of baseline is incomplete" in compared
    assert "Pull 8 of baseline is in another gear" in compared


def test_over_time_there_are_no_bands(store: Store) -> None:
    assert overlay(store, PULLS, OverlayRequest(Axis.TIME, bands=True))["bands"] == []


def test_thinning_keeps_every_peak_and_short_lines_whole() -> None:
    value = np.random.default_rng(1).normal(size=50_000)
    value[[1234, 43210]] = (99.0, -99.0)
    kept = thinned(value)
    assert len(kept) <= 2 * WIDEST_PX
    assert np.all(np.diff(kept) > 0)
    assert {1234, 43210} <= set(kept.tolist())
    assert thinned(value[:2000]).tolist() == list(range(2000))


@pytest.mark.parametrize("axis", [Axis.ENGINE_SPEED, Axis.TIME])
def test_a_closer_look_has_every_sample_there(tmp_path: Path, axis: Axis) -> None:
    report = demo_job.report(6, 1)
    pull = report.pull
    time_s = np.arange(pull.bounds.start_s, pull.bounds.end_s, 1 / 5000)
    fast = Samples(time_s, np.random.default_rng(2).normal(100.0, 1.0, len(time_s)))
    pull = replace(pull, samples={**pull.samples, "boost_pressure": fast})
    window = (4000.0, 4150.0) if axis is Axis.ENGINE_SPEED else (3.0, 3.4)
    with Store(tmp_path) as store:
        stage = store.open_stage(store.open_job("x").id, "baseline")
        number = store.save_pull(stage.id, "session-1", replace(report, pull=pull), demo_job.SETUP)
        request = OverlayRequest(axis, [Quantity.BOOST_PRESSURE], Units(pressure="psi"))
        assert overlay(store, [number], request)["thinned"]
        found = closer(store, [number], request, window)
    (closest,) = [one for one in found if one.name == "measured"]
    x = pull.engine_speed_at(time_s) if axis is Axis.ENGINE_SPEED else time_s - time_s[0]
    inside = np.flatnonzero((x >= window[0]) & (x <= window[1]))
    assert len(inside) > 1000
    around = slice(inside[0] - 1, inside[-1] + 2)
    np.testing.assert_allclose(closest.x, x[around])
    np.testing.assert_allclose(closest.y, fast.value[around] * convert("kPa", "psi")[0])


def test_what_is_not_known_on_the_grid_is_null() -> None:
    assert plain(np.array([1.5, np.nan, np.inf, 2.0])) == [1.5, None, None, 2.0]


def test_a_slow_channel_has_nothing_more_to_show(store: Store) -> None:
    assert not overlay(store, [6], OverlayRequest())["thinned"]


def test_the_operating_line_is_drawn_where_the_car_has_a_map(tmp_path: Path) -> None:
    pull = flowing(engine_pull())
    station = replace(CONTEXT.setup, car=replace(CONTEXT.setup.car, compressor_map="map.csv"))
    report = PullReport(pull, (), Severity.NOTE, power_curve(pull, station))
    with Store(tmp_path) as store:
        stage = store.open_stage(store.open_job("x").id, "baseline")
        own = store.save_pull(stage.id, "session-1", report, station)
        other_car = replace(station, car=replace(station.car, compressor_map="other.csv"))
        other = store.save_pull(stage.id, "session-2", report, other_car)
        stages = {stage.id: stage}
        chart = pulls_on_map(store, [store.pull(own)], stages, station)
        assert chart is not None
        assert "baseline" in chart
        assert "surge line" in chart
        assert "surge line" in render_report(store, 1, station)
        store.exclude_pull(own, "clutch slipped")
        assert "surge line" not in render_report(store, 1, station)
        assert pulls_on_map(store, [store.pull(other)], stages, station) is None
        without = replace(station, compressor_map=None)
        assert pulls_on_map(store, [store.pull(own)], stages, without) is None
