"""The page's routes and its API, asked as a browser and as a program would ask."""

import csv
import json
import re
import sys
from collections.abc import AsyncIterator
from dataclasses import replace
from io import BytesIO, StringIO
from pathlib import Path
from typing import Any

import demo_job
import httpx
import numpy as np
import pyarrow.parquet as pq
import pytest
from older_jobs import with_list_of_an_older_version
from page_bay import PageBay
from served_page import knock_alert, served
from websockets.asyncio.client import connect
from websockets.exceptions import InvalidStatus

from analysis.archive.content_hash import manifest_hash
from analysis.archive.sign_off import evidence
from analysis.model.setup import Air
from analysis.power.figures import Figure, Measure
from analysis.publish.live.view import LiveView
from analysis.publish.messages.comparison import comparison_message
from analysis.publish.messages.schemas import MESSAGES, schema_text
from analysis.publish.page import live_stream
from analysis.publish.page.app import create_app
from analysis.publish.wording.cautions import live_alerts_caution
from analysis.readiness.readiness import Point, Readiness
from analysis.stages.compare import compare_stages
from decode.operator_records import AirRead, AlertAcknowledged, PointTicked, StageEntered

BASE = "http://127.0.0.1:8710"
API = "/api/v1"


@pytest.fixture
async def bay(tmp_path: Path) -> AsyncIterator[PageBay]:
    with demo_job.fill(tmp_path) as store:
        yield PageBay(store)


@pytest.fixture
async def client(bay: PageBay) -> AsyncIterator[httpx.AsyncClient]:
    async with client_of(bay) as made:
        yield made


def client_of(bay: PageBay, **more: Any) -> httpx.AsyncClient:
    """Somebody who asks the page of this bay."""
    transport = httpx.ASGITransport(app=create_app(bay))
    return httpx.AsyncClient(transport=transport, base_url=BASE, **more)


PAGES = ["/", "/cautions", "/jobs", "/jobs/1", "/review?pulls=3&pulls=6", f"{API}/jobs/1/report"]


@pytest.mark.parametrize("path", PAGES)
async def test_every_page_comes_with_a_policy_that_lets_nothing_in_from_outside(
    client: httpx.AsyncClient, path: str
) -> None:
    response = await client.get(path)
    assert response.status_code == 200
    policy = response.headers["content-security-policy"]
    assert "default-src 'none'" in policy
    assert "script-src 'self';" in policy
    assert "http://" not in response.text.replace("http://www.w3.org/2000/svg", "")
    assert "https://" not in response.text


@pytest.mark.parametrize("path", ["/", "/jobs", "/jobs/1", "/review?pulls=3"])
async def test_every_page_carries_the_caution(client: httpx.AsyncClient, path: str) -> None:
    assert live_alerts_caution() in (await client.get(path)).text


@pytest.mark.parametrize("path", ["/static/look.css", "/static/live.js", "/bokeh/bokeh-api.min.js"])
async def test_assets_come_from_the_installed_packages(
    client: httpx.AsyncClient, path: str
) -> None:
    response = await client.get(path)
    assert response.status_code == 200
    assert len(response.content) > 1000


async def test_the_job_page_shows_verdict_words_and_the_uncorrected_peak(
    client: httpx.AsyncClient, bay: PageBay
) -> None:
    text = (await client.get("/jobs/1")).text
    assert text.count(">look closer<") == 5  # three pulls, their stage and so the job
    assert "Peak power at the wheel, uncorrected" in text
    peak = peak_of(bay, 6)
    assert f"{peak.value:.1f} ± {peak.half_width:.1f} kW" in text
    assert "Where the ± of this stage comes from" in text
    assert "inertia of the roller" in text


def peak_of(bay: PageBay, pull_id: int) -> Figure:
    figures = bay.store.load_report(pull_id).figures()
    assert figures is not None
    peak = figures.of(Measure.WHEEL_POWER)
    assert peak is not None
    return peak


async def test_the_units_cookie_changes_the_figures(
    client: httpx.AsyncClient, bay: PageBay
) -> None:
    client.cookies.set("units", "hp,psi")
    peak_hp = peak_of(bay, 6).value / 0.74569987
    text = (await client.get("/jobs/1")).text
    assert re.search(rf"{peak_hp:.1f} ± [1-9]\.\d hp", text)


async def test_the_overlay_holds_every_pull_and_says_where_the_findings_are(
    client: httpx.AsyncClient, bay: PageBay
) -> None:
    overlay = (await client.get(f"{API}/overlay?pulls=3&pulls=6")).json()
    assert [chart["key"] for chart in overlay["charts"]][:2] == ["power", "torque"]
    assert overlay["styles"]["3"]["colour"] != overlay["styles"]["6"]["colour"]
    findings = bay.store.pull(6).findings
    index = next(i for i, finding in enumerate(findings) if finding.check == "ignition")
    low, high = overlay["places"]["6"][index]
    where = findings[index].where
    assert where is not None
    assert (low, high) == (where.start_rpm, where.end_rpm)


def drawn_lines(overlay: dict[str, Any]) -> dict[tuple[str, int, str], tuple[Any, Any]]:
    """(chart, pull, name) to (x, y) of every line."""
    return {
        (chart["key"], line["pull"], line["name"]): (line["x"], line["y"])
        for chart in overlay["charts"]
        for line in chart["lines"]
    }


async def test_the_overlays_power_is_the_stores_bit_for_bit(
    client: httpx.AsyncClient, bay: PageBay
) -> None:
    overlay = (await client.get(f"{API}/overlay?pulls=3&pulls=6")).json()
    lines = drawn_lines(overlay)
    for pull_id in (3, 6):
        power = bay.store.load_report(pull_id).power
        assert power is not None
        x, y = lines["power", pull_id, "wheel, uncorrected"]
        np.testing.assert_array_equal(x, power.engine_speed_rpm)
        np.testing.assert_array_equal(y, power.wheel_power_kw)
        assert ("power", pull_id, "wheel, ISO 1585") in lines


async def test_the_overlay_over_time_reaches_before_and_after_the_sweep(
    client: httpx.AsyncClient,
) -> None:
    url = f"{API}/overlay?pulls=6&axis=time&quantity=boost_pressure"
    overlay = (await client.get(url)).json()
    assert [chart["key"] for chart in overlay["charts"]] == ["power", "torque", "boost_pressure"]
    x, _y = drawn_lines(overlay)["boost_pressure", 6, "measured"]
    assert x[0] < -2.9
    assert x[-1] > demo_job.SWEEP_S + 0.9


async def test_too_many_pulls_and_nonsense_are_refused_in_words(client: httpx.AsyncClient) -> None:
    many = "&".join(f"pulls={n}" for n in range(1, 30))
    assert (await client.get(f"{API}/overlay?{many}")).status_code == 422
    assert (await client.get(f"{API}/overlay")).status_code == 422
    missing = await client.get(f"{API}/pulls/99")
    assert missing.status_code == 404
    assert missing.json()["detail"] == "there is no pull 99 in the store"
    assert (await client.get("/review?pulls=99")).status_code == 404


async def test_a_pull_is_given_with_the_documents_that_are_kept_of_it(
    client: httpx.AsyncClient, bay: PageBay
) -> None:
    said, stored = (await client.get(f"{API}/pulls/6")).json(), bay.store.pull(6)
    assert stored.power is not None
    assert stored.readiness is not None
    assert said["power"] == json.loads(json.dumps(stored.power.to_json(), allow_nan=False))
    assert set(said["setup"]) == {"car", "dyno", "air"}
    assert said["readiness"] == stored.readiness.to_json()


async def test_the_comparison_is_the_analysis_own(client: httpx.AsyncClient, bay: PageBay) -> None:
    said = (await client.get(f"{API}/jobs/1/comparison?baseline=1&changed=2")).json()
    sides = [
        [bay.store.load_report(p.id).pull for p in bay.store.pulls(stage_id=stage)]
        for stage in (1, 2)
    ]
    names = ("baseline", "larger cooler, more boost")
    expected = compare_stages(sides[0], sides[1], demo_job.SETUP, names)
    assert said == json.loads(comparison_message(expected).model_dump_json())


async def test_a_job_is_made_with_a_baseline_that_pulls_fall_into(
    client: httpx.AsyncClient, bay: PageBay
) -> None:
    made = await client.post(f"{API}/jobs", json={"name": "Second car", "fuel": "98 RON"})
    assert made.status_code == 201
    whole = (await client.get(f"{API}/jobs/{made.json()['id']}")).json()
    assert [stage["name"] for stage in whole["stages"]] == ["baseline"]
    assert whole["current_stage_id"] == whole["stages"][0]["id"]
    assert bay.recorded == [
        StageEntered(job="Second car", stage="baseline", stage_id=whole["current_stage_id"])
    ]


async def test_a_stage_is_opened_and_an_earlier_one_chosen_again(
    client: httpx.AsyncClient, bay: PageBay
) -> None:
    url = f"{API}/jobs/1/stages"
    opened = (await client.post(url, json={"name": "colder plugs", "changed": "plugs"})).json()
    assert opened["position"] == 3
    assert (await client.put(f"{API}/stages/1/current")).status_code == 204
    current = bay.store.current_stage()
    assert current is not None
    assert current.id == 1
    assert [record.stage_id for record in bay.recorded if isinstance(record, StageEntered)] == [
        *(opened["id"], 1),
    ]


async def test_a_pull_is_excluded_only_with_a_reason_and_stays_on_record(
    client: httpx.AsyncClient,
) -> None:
    url = f"{API}/pulls/2/exclusion"
    assert (await client.put(url, json={"reason": "  "})).status_code == 422
    assert (await client.put(url, json={"reason": "tyre slipped"})).status_code == 204
    assert (await client.get(f"{API}/pulls/2")).json()["excluded"] == "tyre slipped"
    assert "Excluded: tyre slipped" in (await client.get("/jobs/1")).text
    assert (await client.delete(url)).status_code == 204
    history = (await client.get(f"{API}/pulls/2/history")).json()
    assert [change["what"] for change in history] == ["excluded: tyre slipped", "included again"]


async def test_a_pull_is_moved_and_annotated(client: httpx.AsyncClient) -> None:
    assert (await client.put(f"{API}/pulls/3/stage", json={"stage_id": 2})).status_code == 204
    remark = {"annotation": "fan was off"}
    assert (await client.put(f"{API}/pulls/3/annotation", json=remark)).status_code == 204
    pull = (await client.get(f"{API}/pulls/3")).json()
    assert (pull["stage_id"], pull["annotation"]) == (2, "fan was off")


async def test_conditions_are_kept(client: httpx.AsyncClient, bay: PageBay) -> None:
    await client.put(f"{API}/jobs/1/conditions", json={"Operator": "A. N."})
    assert bay.store.job(1).conditions == {"Operator": "A. N."}
    assert "A. N." in (await client.get(f"{API}/jobs/1/report")).text


async def test_the_list_of_an_older_job_is_still_shown_and_reported(
    client: httpx.AsyncClient, bay: PageBay
) -> None:
    assert "Kept with this job" not in (await client.get("/jobs/1")).text
    with_list_of_an_older_version(bay.store, 1, {"Straps tight": True, "Fuel <98>": False})
    page = (await client.get("/jobs/1")).text
    assert "Kept with this job: 1 of 2" in page
    assert "<li>Not looked at: Fuel &lt;98&gt;</li>" in page
    assert (await client.get(f"{API}/jobs/1")).json()["job"]["checklist"]["Straps tight"]


async def test_the_samples_are_the_stores_file(client: httpx.AsyncClient, bay: PageBay) -> None:
    response = await client.get(f"{API}/pulls/6/samples")
    assert "pull-6.parquet" in response.headers["content-disposition"]
    assert response.content == (bay.store.folder / bay.store.pull(6).file).read_bytes()
    assert pq.read_table(BytesIO(response.content)).num_rows > 0


async def test_every_recording_is_listed_with_who_owns_its_pulls(
    client: httpx.AsyncClient, bay: PageBay
) -> None:
    folder = bay.store.folder / "recordings"
    folder.mkdir()
    for name in ("session-1.pullwatch", "session-2.pullwatch"):
        (folder / name).write_bytes(b"1234")
    listed = (await client.get(f"{API}/recordings")).json()
    assert {each["session_id"]: each["pulls"] for each in listed} == {
        "session-1": {"1": 6},
        "session-2": {},
    }
    page = (await client.get("/recordings")).text
    assert "of no job" in page
    assert "/api/v1/sessions/session-2/recording" in page
    assert (await client.get(f"{API}/sessions/session-2/recording")).content == b"1234"


async def test_the_csv_holds_every_sample_exactly(client: httpx.AsyncClient, bay: PageBay) -> None:
    text = (await client.get(f"{API}/pulls/6/samples.csv")).text
    rows = list(csv.DictReader(StringIO(text)))
    pull = bay.store.load_report(6).pull
    assert len(rows) == sum(len(samples) for samples in pull.samples.values())
    boost = [float(row["value"]) for row in rows if row["channel"] == "boost_pressure"]
    np.testing.assert_array_equal(boost, pull.samples["boost_pressure"].value)


async def test_a_recording_is_handed_out_and_nothing_outside_its_folder(
    client: httpx.AsyncClient, bay: PageBay
) -> None:
    folder = bay.store.folder / "recordings"
    folder.mkdir()
    (folder / "session-1.arrows.zst").write_bytes(b"raw")
    assert (await client.get(f"{API}/sessions/session-1/recording")).content == b"raw"
    assert (await client.get(f"{API}/sessions/session-2/recording")).status_code == 404
    assert (await client.get(f"{API}/sessions/..%2Fpullwatch/recording")).status_code != 200
    assert (await client.get(f"{API}/sessions/*/recording")).status_code == 422


async def test_a_signature_holds_for_the_job_as_it_was(
    client: httpx.AsyncClient, bay: PageBay
) -> None:
    assert "Nothing has changed since" not in (await client.get("/jobs/1")).text
    signed = await client.post(f"{API}/jobs/1/signatures", json={"name": "A. N.", "remarks": "ok"})
    assert signed.status_code == 201
    content = manifest_hash(evidence(bay.store, 1, demo_job.BASIS))
    assert signed.json()["signatures"][0]["content_sha256"] == content
    assert "Nothing has changed since" in (await client.get("/jobs/1")).text
    bay.store.exclude_pull(1, "wheelspin")
    changed = (await client.get("/jobs/1")).text
    assert "The job has changed since this was signed" in changed
    assert "excluded: was no, is wheelspin" in changed
    assert "A. N." in (await client.get(f"{API}/jobs/1/report")).text


async def test_without_the_extra_there_is_no_pdf_but_advice(
    client: httpx.AsyncClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "weasyprint", None)  # as if it were not installed
    response = await client.get(f"{API}/jobs/1/report.pdf")
    assert response.status_code == 404
    assert "pip install 'pullwatch[pdf]'" in response.json()["detail"]


async def test_only_a_standing_alert_can_be_seen(client: httpx.AsyncClient, bay: PageBay) -> None:
    url = f"{API}/alerts/knock_retard:3/acknowledge"
    assert (await client.post(url)).status_code == 404
    bay.live.alert(knock_alert())
    assert (await client.post(url)).status_code == 204
    assert bay.recorded == [AlertAcknowledged(key="knock_retard:3")]
    assert (await client.get(f"{API}/snapshot")).json()["alerts"][0]["key"] == "knock_retard:3"


async def test_the_operator_ticks_a_point_of_the_list(
    client: httpx.AsyncClient, bay: PageBay
) -> None:
    assert (await client.post(f"{API}/checklist/0", json={"done": True})).status_code == 404
    bay.live.readiness = Readiness(1.0, True, (), (), (Point("Straps tight"),))
    assert (await client.post(f"{API}/checklist/0", json={"done": True})).status_code == 204
    assert (await client.post(f"{API}/checklist/1", json={"done": True})).status_code == 404
    assert (await client.post(f"{API}/checklist/0", json={"seen": True})).status_code == 422
    assert bay.recorded == [PointTicked(point=0, done=True)]
    shown = (await client.get(f"{API}/snapshot")).json()["readiness"]
    assert shown["checklist"] == [{"words": "Straps tight", "done": False}]


async def test_the_air_that_was_read_off_is_told_and_sea_level_pressure_is_not(
    tmp_path: Path,
) -> None:
    high = replace(demo_job.SETUP, air=Air(altitude_m=900.0))
    with demo_job.fill(tmp_path) as store:
        bay = PageBay(store, LiveView({}, "bay-1"), high)
        async with client_of(bay) as client:
            said = {"barometric_kpa": 91.0, "temperature_degc": 18.5}
            assert (await client.put(f"{API}/air", json=said)).status_code == 204
            sea_level = await client.put(f"{API}/air", json={"barometric_kpa": 101.2})
            assert sea_level.status_code == 409
            assert "sea-level pressure" in sea_level.json()["detail"]
            assert (
                await client.put(f"{API}/air", json={"temperature_degc": 99})
            ).status_code == 422
            assert bay.recorded == [AirRead(barometric_kpa=91.0, temperature_degc=18.5)]
            bay.live.air = Air(93.0, 18.5, 40.0, 900.0, "typed")
            shown = (await client.get(f"{API}/snapshot")).json()
            assert shown["air"]["barometric_kpa"] == 93.0
            assert shown["air"]["origin"] == "typed"
            assert "sea-level" in shown["air_doubts"][0]["text"]


async def test_what_is_typed_of_the_air_is_bounded_and_answered_in_the_users_unit(
    tmp_path: Path,
) -> None:
    at_altitude = replace(demo_job.SETUP, air=Air(93.0, 18.5, 40.0, altitude_m=900.0))
    with demo_job.fill(tmp_path) as store:
        bay = PageBay(store, setup=at_altitude)
        bay.live.air = Air(101.9, 18.5, 40.0, 900.0, "typed")
        async with client_of(bay, cookies={"units": "psi,degF"}) as client:
            page = (await client.get("/jobs/1")).text
            assert 'min="7.25" max="15.95"' in page
            assert 'min="-58.0" max="140.0"' in page
            refused = await client.put(f"{API}/air", json={"barometric_kpa": 101.9})
            (doubt,) = (await client.get(f"{API}/snapshot")).json()["air_doubts"]
    assert refused.status_code == 409
    assert " psi above" in refused.json()["detail"]
    assert "psi" in doubt["text"]
    assert "kPa" not in doubt["text"]


async def test_another_sites_page_can_change_nothing(
    client: httpx.AsyncClient, bay: PageBay
) -> None:
    stranger = {"origin": "https://stranger.example"}
    response = await client.post(f"{API}/jobs", json={"name": "x"}, headers=stranger)
    assert response.status_code == 403
    own = await client.post(f"{API}/jobs", json={"name": "own"}, headers={"origin": BASE})
    assert own.status_code == 201
    assert [job.name for job in bay.store.jobs()][1:] == ["own"]


@pytest.mark.parametrize("host", ["stranger.example", "stranger.example:8710", "", "[half", "1"])
async def test_another_name_for_this_machine_is_not_answered(
    client: httpx.AsyncClient, host: str
) -> None:
    response = await client.get("/", headers={"host": host})
    assert response.status_code == 400


@pytest.mark.parametrize("host", ["localhost:8710", "LOCALHOST", "192.0.2.5:8710", "[::1]:8710"])
async def test_its_own_name_and_addresses_in_numbers_are_answered(
    client: httpx.AsyncClient, host: str
) -> None:
    """The phone in the workshop asks by the machine's address, where the page is opened to it."""
    assert (await client.get("/", headers={"host": host})).status_code == 200


async def test_the_api_describes_itself(client: httpx.AsyncClient) -> None:
    description = (await client.get(f"{API}/openapi.json")).json()
    assert f"{API}/pulls/{{pull_id}}" in description["paths"]
    assert all(path.startswith(API) for path in description["paths"])


async def test_the_stream_says_hello_and_then_25_times_a_second_what_is_so(tmp_path: Path) -> None:
    with served(tmp_path) as page:
        url = page.url.replace("http", "ws") + f"{API}/live"
        async with connect(url, origin=page.url) as socket:  # type: ignore[arg-type]
            hello = json.loads(await socket.recv())
            assert hello["kind"] == "hello"
            assert hello["layout"]["engine_speed"] == "engine_speed"
            cylinders = hello["layout"]["readouts"][1]["cylinders"]
            assert cylinders == {str(n): f"knock_retard_{n}" for n in demo_job.CYLINDERS}
            messages = [json.loads(await socket.recv()) for _ in range(26)]
        span_s = messages[-1]["now_s"] - messages[0]["now_s"]
        assert (
            0.9 < span_s / page.session.speed < 2.0
        )  # 25 periods of 40 ms, if the machine has time
        with pytest.raises(InvalidStatus):
            async with connect(url, origin="https://stranger.example"):  # type: ignore[arg-type]
                pass


async def test_an_alert_and_a_new_pull_do_not_wait_for_the_next_message(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(live_stream, "PERIOD_S", 3600.0)
    with served(tmp_path) as page:
        url = page.url.replace("http", "ws") + f"{API}/live"
        async with connect(url) as socket:
            assert json.loads(await socket.recv())["kind"] == "hello"
            now = json.loads(await socket.recv())
            while not (now["alerts"] and now["last_pull"]):
                now = json.loads(await socket.recv())
        assert now["alerts"][0]["key"] == "knock_retard:3"
        assert now["last_pull"]["number"] == 6


async def test_every_message_has_its_schema_on_the_page(client: httpx.AsyncClient) -> None:
    names = (await client.get(f"{API}/schemas")).json()
    assert set(names) == set(MESSAGES)
    for name in names:
        assert (await client.get(f"{API}/schemas/{name}")).text == schema_text(name)
    assert (await client.get(f"{API}/schemas/else")).status_code == 404
