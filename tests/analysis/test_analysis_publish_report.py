"""The report says what the store holds, in figures and in words."""

import re
from collections.abc import Iterator
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import demo_job
import numpy as np
import pytest

from analysis.archive.jobs import StoreError
from analysis.archive.store import Store
from analysis.judging.limits_file import default_limits
from analysis.phrases.reader import Reader
from analysis.phrases.units import Units
from analysis.power.figures import Measure
from analysis.publish.report.charts import Curve, line_chart, nice_ticks
from analysis.publish.report.document import render_report
from analysis.publish.report.letterhead import Letterhead
from analysis.publish.report.palette import LineStyle
from analysis.publish.wording.cautions import cautions
from analysis.stages.compare import compare_stages

PLAIN = LineStyle("#12161b", ())


@pytest.fixture(scope="module")
def store(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Store]:
    filled = demo_job.fill(tmp_path_factory.mktemp("store"))
    yield filled
    filled.close()


@pytest.fixture(scope="module")
def html(store: Store) -> str:
    return render_report(store, 1, demo_job.SETUP)


def text_of(html: str) -> str:
    """The words of a page, one blank between them."""
    words: list[str] = []

    class Reader(HTMLParser):
        def handle_data(self, data: str) -> None:
            words.append(data)

    Reader().feed(re.sub(r"<style>.*?</style>", "", html, flags=re.DOTALL))
    return " ".join(" ".join(words).split())


def peaks_kw(store: Store, stage_id: int) -> list[float]:
    reports = [store.load_report(pull.id) for pull in store.pulls(stage_id=stage_id)]
    every = [figures.of(Measure.WHEEL_POWER) for r in reports if (figures := r.figures())]
    return [figure.value for figure in every if figure]


def test_its_peaks_are_the_stores(store: Store, html: str) -> None:
    said = text_of(html)
    for stage in store.stages(1):
        assert f"{np.mean(peaks_kw(store, stage.id)):.1f} ± " in said


def test_the_gain_is_the_comparisons_with_its_interval(store: Store, html: str) -> None:
    first, second = store.stages(1)
    sides = [
        [store.load_report(pull.id).pull for pull in store.pulls(stage_id=stage.id)]
        for stage in (first, second)
    ]
    gain = compare_stages(sides[0], sides[1], demo_job.SETUP).peak_gain
    assert gain is not None
    interval = f"95 % sure between {gain.low:+.1f} kW and {gain.high:+.1f} kW"
    assert f"{gain.value:+.1f} kW at the peak ({interval})." in text_of(html)


def test_uncorrected_stands_before_every_corrected_figure(store: Store, html: str) -> None:
    said = text_of(html)
    uncorrected = said.index("Peak power at the wheel, uncorrected")
    assert uncorrected < said.index("the same by ISO 1585")
    factor = store.load_report(1).power.correction.factor  # type: ignore[union-attr]
    for stage in store.stages(1):
        mean = np.mean(peaks_kw(store, stage.id))
        assert said.index(f"{mean:.1f} kW") < said.index(f"{mean * factor:.1f} kW")


def test_loss_convention_and_standard_are_named(html: str) -> None:
    said = text_of(html)
    assert "percent of wheel power added" in said
    assert "ISO 1585 factor" in said


def test_every_finding_is_in_the_annex_with_limit_and_origin(store: Store, html: str) -> None:
    said = text_of(html)
    findings = [finding for pull in store.pulls() for finding in pull.findings]
    assert findings
    for finding in findings:
        assert " ".join(finding.text.split()) in said
        assert finding.limit_origin in said


def test_the_customer_reads_the_verdict_and_the_cautions(html: str) -> None:
    said = text_of(html)
    assert "Look closer" in said
    assert all(caution in said for _title, caution in cautions())


def test_an_excluded_pull_counts_in_nothing_but_is_not_hidden(tmp_path: Path) -> None:
    store = demo_job.fill(tmp_path)
    last = store.pulls()[-1]
    store.exclude_pull(last.id, "tyre slipped")
    said = text_of(render_report(store, 1, demo_job.SETUP))
    counted = peaks_kw(store, last.stage_id)[:-1]
    assert f"{np.mean(counted):.1f} kW" in said
    assert "Does not count: tyre slipped" in said
    store.close()


def test_it_needs_nothing_from_anywhere(html: str) -> None:
    addresses = re.findall(r"(?:src|href|url)\s*[=(]\s*[\"']?([^\"')\s>]+)", html)
    assert addresses
    assert all(address.startswith(("#shape-", "data:")) for address in addresses)
    assert "<script" not in html


def test_the_users_words_cannot_become_markup(tmp_path: Path) -> None:
    store = Store(tmp_path)
    job = store.open_job("<script>alert(1)</script>")
    store.open_stage(job.id, "<b>stage</b>")
    html = render_report(store, job.id, demo_job.SETUP)
    assert "<script>" not in html
    assert "<b>stage</b>" not in html
    assert "No pull has been made" in html
    store.close()


def test_units_and_letterhead_are_the_users(store: Store) -> None:
    letterhead = Letterhead("Rolling Road Example", "Main Street 1")
    html = render_report(store, 1, demo_job.SETUP, Reader(Units.parse("hp,psi")), letterhead)
    said = text_of(html)
    mean_hp = np.mean(peaks_kw(store, 1)) / 0.74569987
    assert f"{mean_hp:.1f} hp" in said
    assert "Rolling Road Example" in said


def test_statements_follow_the_units(store: Store) -> None:
    said = text_of(
        render_report(store, 1, demo_job.SETUP, Reader(Units.parse("psi,degF,hp,lbf ft")))
    )
    for typed in ("raise boost by 20 kPa", "boost target +20 kPa"):
        said = said.replace(typed, "")  # the operator's own words stay
    origins = {limit.origin for limit in default_limits().by_name.values()}
    for origin in sorted(origins, key=len, reverse=True):  # one may be the beginning of another
        said = said.replace(origin, "")  # the words of a source stay too
    assert not re.findall(r"\d (?:kPa|MPa|°C|kW|Nm|K)\b", said)
    assert "psi" in said


def test_no_such_job_is_said(store: Store) -> None:
    with pytest.raises(StoreError, match="no job 99"):
        render_report(store, 99, demo_job.SETUP)


def test_a_chart_is_well_formed_and_breaks_where_a_value_is_missing() -> None:
    x = np.arange(5.0)
    chart = line_chart(
        "A & B", [Curve("<one>", x, np.array([1, 2, np.nan, 4, 5]), PLAIN)], "x", "y"
    )
    root = ElementTree.fromstring(chart)
    paths = [p.get("d", "") for p in root.iter("path") if p.get("stroke-linejoin") == "round"]
    assert len(paths) == 1
    assert paths[0].count("M") == 2
    assert "<one>" in "".join(root.itertext())


def test_a_band_lies_around_its_curve() -> None:
    x = np.arange(3.0)
    curve = Curve("c", x, np.ones(3), PLAIN, half_width=np.array([0.5, np.nan, 0.5]))
    root = ElementTree.fromstring(line_chart("t", [curve], "x", "y"))
    bands = [p.get("d", "") for p in root.iter("path") if p.get("fill-opacity")]
    assert len(bands) == 1
    assert bands[0].endswith("Z")
    assert bands[0].count("L") == 3  # two points above, two below, no third where no band is known


def test_a_band_that_is_known_nowhere_is_not_drawn() -> None:
    curve = Curve("c", np.arange(3.0), np.ones(3), PLAIN, half_width=np.full(3, np.nan))
    root = ElementTree.fromstring(line_chart("t", [curve], "x", "y"))
    assert not [path for path in root.iter("path") if path.get("fill-opacity")]


def test_the_report_speaks_of_a_band_only_where_there_is_one(html: str, tmp_path: Path) -> None:
    assert "tinted band" in html
    with demo_job.fill(tmp_path) as store:
        for pull in store.pulls():
            if pull.number not in (1, 4):
                store.exclude_pull(pull.id, "one run of each stage is left")
        report = render_report(store, 1, demo_job.SETUP)
    assert "Lines are the mean" in report
    assert "tinted band" not in report


def test_an_empty_chart_is_an_error() -> None:
    with pytest.raises(ValueError, match="without a value"):
        line_chart("t", [Curve("c", np.arange(2.0), np.full(2, np.nan), PLAIN)], "x", "y")


@pytest.mark.parametrize(("low", "high"), [(0.0, 107.0), (1850.0, 6400.0), (-0.013, 0.021)])
def test_ticks_are_round_and_inside(low: float, high: float) -> None:
    ticks = nice_ticks(low, high)
    step = np.diff(ticks)
    assert 3 <= len(ticks) <= 9
    assert ticks[0] >= low - 1e-9
    assert ticks[-1] <= high + 1e-9
    leading = step[0] / 10 ** np.floor(np.log10(step[0]) + 1e-9)
    assert round(leading) in (1, 2, 5, 10)


def test_a_setup_that_changed_between_the_pulls_is_said_and_each_keeps_its_own(
    tmp_path: Path,
) -> None:
    doubt = "settings of car or dyno were not the same for all of these pulls"
    heavier = replace(demo_job.SETUP, dyno=replace(demo_job.SETUP.dyno, inertia_kg_m2=60.0))
    with demo_job.fill(tmp_path) as store:
        before = text_of(render_report(store, 1, demo_job.SETUP))
        assert doubt not in before
        assert text_of(render_report(store, 1, heavier)) == before  # the station's own is not asked
        store.save_pull(2, "session-2", demo_job.report(7, 1), heavier)
        assert doubt in text_of(render_report(store, 1, demo_job.SETUP))
