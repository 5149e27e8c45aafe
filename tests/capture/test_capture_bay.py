import asyncio
import errno
import os
import socket
import sys
from pathlib import Path
from typing import Any

import httpx
import pytest
from mosquitto_broker import MOSQUITTO, Mosquitto
from mqtt_peers import subscriber
from patience import PATIENCE_S, until
from small_bay import HELLO, MAP, RATE_HZ, at_work, drive, ecu_is_heard, line, station_in
from transports import Plug

from analysis.archive.store import Store
from analysis.model.events import AlertKind, Phase
from analysis.model.pull import EndReason
from analysis.publish.messages.station import Topic
from analysis.publish.mqtt.publisher import MqttPublisher
from analysis.publish.page.bay_control import enter_stage
from analysis.session.analysis import SessionAnalysis
from capture.bay.bay import Bay
from capture.bay.bounded_queue import BoundedQueue
from capture.bay.opening import open_bay
from capture.bay.page_server import PageServer
from capture.bay.pull_desk import PullDesk
from capture.recording.format import BlockWriter
from capture.recording.reader import read_recording
from capture.recording.recorder import Recorder
from capture.station.station import load_station
from capture.supervision.reconnect import BackOff
from decode.channel_map import parse_map
from decode.errors import InputFileError, RecordingError, SourceError
from decode.operator_records import AlertAcknowledged, StageEntered, read_operator_record
from decode.records import Flag, RecordBatch

LAST_RPM = 1234.0  # in no other line


def batches(recording: Path) -> list[RecordBatch]:
    return list(read_recording(recording).batches())


def payloads(recording: Path) -> list[bytes]:
    """Of every record of the ECU."""
    ours = [batch for batch in batches(recording) if batch.source == "ecu"]
    return [batch.payload(index) for batch in ours for index in range(len(batch))]


def without_hello(recording: Path) -> list[bytes]:
    return [payload for payload in payloads(recording) if payload != HELLO]


def last(at_s: float) -> bytes:
    return f"{at_s:.3f};{LAST_RPM};5.0;0.0".encode()


async def say_the_last(bay: Bay, plug: Plug, at_s: float) -> None:
    """A line that no other is like, until the bay has it: nothing is under way then."""
    plug.write(last(at_s) + b"\n")
    await until(lambda: bay.live.values().get("engine_speed") == LAST_RPM)


async def heard_to(bay: Bay, at_s: float) -> None:
    """Until the bay has the last line before a time in the sweep, in which none is like it."""
    rpm = float(line(at_s - 1 / RATE_HZ).split(b";")[1])
    await until(lambda: bay.live.values().get("engine_speed") == rpm)


async def test_a_pull_is_recorded_stored_and_shown(tmp_path: Path, plug: Plug) -> None:
    station = station_in(tmp_path, plug.url)
    async with at_work(station, plug) as bay:
        await drive(plug, 0.0, 11.0)
        await until(lambda: bay.live.last_pull is not None)
        assert bay.live.last_pull is not None
        assert bay.live.last_pull.number == 1
        knock, blind = bay.live.alerts
        assert knock.channel == "knock"
        assert "alert of lean under boost, low fuel pressure, overheating" in blind.statement.text
        for alert in (knock, blind):
            bay.record(AlertAcknowledged(key=alert.key))
        await until(lambda: not bay.live.alerts)
        await say_the_last(bay, plug, 11.0)
    sent = [line(tick / RATE_HZ).rstrip() for tick in range(round(11.0 * RATE_HZ))]
    assert without_hello(bay.recording) == [*sent, last(11.0)]
    with Store(tmp_path / "store") as store:
        (pull,) = store.pulls()
        bounds = store.load_report(pull.id).pull.bounds
    assert bounds.complete
    assert bounds.end_rpm == pytest.approx(6000.0, abs=60.0)


async def test_what_the_operator_says_is_recorded_in_its_place(tmp_path: Path, plug: Plug) -> None:
    station = station_in(tmp_path, plug.url)
    async with at_work(station, plug) as bay:
        await drive(plug, 0.0, 0.5)
        (job,) = bay.store.jobs()
        stage = bay.store.open_stage(job.id, "more boost", "")
        await asyncio.to_thread(enter_stage, bay, stage)
        await until(lambda: bay.live.stage == "more boost")
        await drive(plug, 0.5, 11.0)
        await until(lambda: bay.live.last_pull is not None)
    said = [batch for batch in batches(bay.recording) if batch.source == "operator"]
    stated = [read_operator_record(batch.payload(0)) for batch in said]
    (entered,) = [each for each in stated if isinstance(each, StageEntered)]
    assert entered == StageEntered(job=job.name, stage="more boost", stage_id=stage.id)
    with Store(tmp_path / "store") as store:
        assert len(store.pulls(stage_id=stage.id)) == 1


async def test_a_stage_that_is_opened_while_a_pull_runs_is_for_the_next_one(
    tmp_path: Path, plug: Plug
) -> None:
    station = station_in(tmp_path, plug.url)
    async with at_work(station, plug) as bay:
        await drive(plug, 0.0, 6.0)
        await until(lambda: bay.live.phase is Phase.SWEEP)
        (job,) = bay.store.jobs()
        first = bay.store.stages(job.id)[0]
        stage = bay.store.open_stage(job.id, "more boost", "")
        await asyncio.to_thread(enter_stage, bay, stage)
        await until(lambda: bay.live.stage == "more boost")
        await drive(plug, 6.0, 11.0)
        await until(lambda: bay.live.last_pull is not None)
    with Store(tmp_path / "store") as store:
        assert [pull.stage_id for pull in store.pulls()] == [first.id]


async def test_what_the_operator_says_after_the_end_is_passed_over(
    tmp_path: Path, plug: Plug, caplog: pytest.LogCaptureFixture
) -> None:
    station = station_in(tmp_path, plug.url)
    async with at_work(station, plug) as bay:
        await drive(plug, 0.0, 1.0)
    before = len(batches(bay.recording))
    # the page answers a little longer than it records
    bay.record(AlertAcknowledged(key="knock_retard:knock"))
    await asyncio.sleep(0)
    assert len(batches(bay.recording)) == before
    assert caplog.records == []


async def test_stopped_in_the_sweep_the_pull_is_stored_as_interrupted(
    tmp_path: Path, plug: Plug
) -> None:
    station = station_in(tmp_path, plug.url)
    async with at_work(station, plug) as bay:
        await drive(plug, 0.0, 6.0)
        await heard_to(bay, 6.0)
    with Store(tmp_path / "store") as store:
        (pull,) = store.pulls()
        bounds = store.load_report(pull.id).pull.bounds
    assert not bounds.complete
    assert bounds.end_reason is EndReason.SESSION_END
    assert read_recording(bay.recording).torn is None


async def test_a_source_that_never_opened_does_not_hold_up_the_end(tmp_path: Path) -> None:
    station = station_in(tmp_path, str(tmp_path / "no_such_port"))
    async with at_work(station) as bay:
        await until(lambda: any(source.message for source in bay.live.health))
        (source,) = bay.live.health
        assert "no_such_port" in source.message
    assert [batch for batch in batches(bay.recording) if batch.source == "ecu"] == []


async def test_a_source_lost_and_back_leaves_a_gap_and_goes_on(
    tmp_path: Path, plug: Plug, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(BackOff, "next_s", lambda _self: 0.02)
    station = station_in(tmp_path, plug.url)
    async with at_work(station, plug) as bay:
        await drive(plug, 0.0, 1.0)
        await say_the_last(bay, plug, 1.0)
        await until(lambda: bay.live.health[0].well)
        plug.unplug()
        await until(lambda: not bay.live.health[0].well)
        plug.plug_in()
        await ecu_is_heard(bay)
        await drive(plug, 1.0, 2.0)
        await until(lambda: bay.live.values()["engine_speed"] != LAST_RPM)
    (gap,) = [
        batch.payload(index)
        for batch in batches(bay.recording)
        if batch.source == "ecu"
        for index, flag in enumerate(batch.flags.tolist())
        if flag & Flag.GAP
    ]
    assert b"gone" in gap
    recorded = without_hello(bay.recording)
    place = recorded.index(gap)
    assert recorded[place - 1] == last(1.0)
    assert recorded[place + 1] == line(1.0).rstrip()


async def test_a_refused_network_description_ends_its_import_and_not_the_capture(
    tmp_path: Path, plug: Plug
) -> None:
    """Imported beside a running session, and put in the place of its map."""
    pytest.importorskip("cantools")
    refused = tmp_path / "car.dbc"
    refused.write_text('VERSION ""\nBO_ 256 Engine: 8 A\n SG_ Speed : 0|16@1+ 0.25,0)\n')
    station = station_in(tmp_path, plug.url)
    async with at_work(station, plug) as bay:
        await drive(plug, 0.0, 1.0)
        importing = await asyncio.create_subprocess_exec(
            *(sys.executable, "-m", "capture", "map", "import", str(refused)),
            *("--source", "ecu", "-o", str(tmp_path / "new.yaml")),
            stderr=asyncio.subprocess.PIPE,
        )
        _, said = await importing.communicate()
        (tmp_path / "map.yaml").write_bytes(refused.read_bytes())
        await drive(plug, 1.0, 11.0)
        await until(lambda: bay.live.last_pull is not None)
        await say_the_last(bay, plug, 11.0)
    assert importing.returncode == 2
    assert said.decode().startswith(f"{refused}:3:22: network description: cantools refuses it")
    assert not (tmp_path / "new.yaml").exists()
    sent = [line(tick / RATE_HZ).rstrip() for tick in range(round(11.0 * RATE_HZ))]
    assert without_hello(bay.recording) == [*sent, last(11.0)]
    assert parse_map(read_recording(bay.recording).session.map_text).channels.keys() == {
        *("engine_speed", "pedal", "knock"),
    }
    with pytest.raises(InputFileError, match=r"map.yaml:\d+:\d+: YAML"):
        async with open_bay(load_station(tmp_path / "station.yaml")):
            pass


async def test_without_a_broker_it_works_and_ends_in_bounded_time(
    tmp_path: Path, plug: Plug
) -> None:
    with socket.socket() as nobody:
        nobody.bind(("127.0.0.1", 0))  # bound and not listening: whoever connects is refused
        port = nobody.getsockname()[1]
        station = station_in(tmp_path, plug.url, broker=f"{{host: 127.0.0.1, port: {port}}}")
        async with at_work(station, plug) as bay:
            await drive(plug, 0.0, 11.0)
            await until(lambda: bay.live.last_pull is not None)


async def test_a_page_port_that_is_taken_is_told_before_anything_starts(
    tmp_path: Path, plug: Plug
) -> None:
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        station = station_in(tmp_path, plug.url, page=f"{{host: 127.0.0.1, port: {port}}}")
        with pytest.raises(SourceError, match=f"127.0.0.1:{port}.*name a free port under `page:`"):
            async with at_work(station):
                pass
    assert not (station.store / "recordings").exists()


async def test_a_recording_that_cannot_be_made_is_told_and_leaves_nothing_open(
    tmp_path: Path, plug: Plug
) -> None:
    station = station_in(tmp_path, plug.url, page="{host: 127.0.0.1, port: 0}")
    station.store.mkdir()
    (station.store / "recordings").write_text("no folder")
    with pytest.raises(RecordingError, match="cannot be written"):
        async with at_work(station):
            pass


async def test_the_page_is_served_while_it_works(tmp_path: Path, plug: Plug) -> None:
    station = station_in(tmp_path, plug.url, page="{host: 127.0.0.1, port: 0}")
    async with at_work(station, plug) as bay, httpx.AsyncClient(timeout=PATIENCE_S) as client:
        await drive(plug, 0.0, 1.0)
        await until(lambda: bay.live.now().values != {})
        answer = await client.get(f"{bay.page_url}api/v1/snapshot")
        assert answer.json()["values"]["engine_speed"] == 2000.0
    async with httpx.AsyncClient() as client:
        with pytest.raises(httpx.ConnectError):
            await client.get(f"{bay.page_url}")


async def test_a_full_disk_is_shown_and_told_while_alerts_and_verdicts_go_on(
    tmp_path: Path, plug: Plug, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[Topic] = []
    monkeypatch.setattr(MqttPublisher, "put", lambda _self, message: told.append(message.topic))
    station = station_in(tmp_path, plug.url, broker="{host: 127.0.0.1, port: 1}")

    def full(_descriptor: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    async def session() -> None:
        async with at_work(station, plug) as bay:
            await drive(plug, 0.0, 1.0)
            await until(lambda: bay.recorder.written > 0)
            monkeypatch.setattr(os, "fsync", full)
            await drive(plug, 1.0, 11.0)
            await until(lambda: {s.name for s in bay.live.health} >= {"recording", "store"})
            shown = {s.name: s for s in bay.live.health}
            assert not shown["recording"].well
            assert "No space left" in shown["recording"].message
            assert "No space left" in shown["store"].message
            assert any(a.kind is AlertKind.KNOCK_RETARD for a in bay.live.alerts)

    with pytest.raises(RecordingError, match="No space left on device"):
        await session()
    monkeypatch.undo()
    assert told.count(Topic.VERDICT) == 1
    (recording,) = (station.store / "recordings").iterdir()
    assert batches(recording), "what came before is still there"


async def test_a_recording_that_fails_alone_loses_no_pull(
    tmp_path: Path, plug: Plug, monkeypatch: pytest.MonkeyPatch
) -> None:
    station = station_in(tmp_path, plug.url)

    def broken(_writer: object, _batches: object) -> None:
        raise OSError(errno.EIO, "the card was pulled out")

    async def session() -> None:
        async with at_work(station, plug) as bay:
            monkeypatch.setattr(BlockWriter, "write", broken)
            await drive(plug, 0.0, 6.0)
            await heard_to(bay, 6.0)

    with pytest.raises(RecordingError, match="the card was pulled out"):
        await session()
    with Store(tmp_path / "store") as store:
        assert len(store.pulls()) == 1


@pytest.mark.skipif(MOSQUITTO is None, reason="mosquitto is not installed")
async def test_a_subscriber_hears_the_pull_from_online_to_offline(
    tmp_path: Path, plug: Plug
) -> None:
    mosquitto = Mosquitto(tmp_path)
    mosquitto.start()
    try:
        broker = f"{{host: 127.0.0.1, port: {mosquitto.port}}}"
        station = station_in(tmp_path, plug.url, broker=broker)
        async with subscriber(mosquitto.port, "pullwatch/bay/#") as seen:
            async with at_work(station, plug) as bay:
                await until(lambda: seen.of("status") != [])
                await drive(plug, 0.0, 6.0)
                await heard_to(bay, 6.0)
            await until(lambda: len(seen.of("status")) == 2)
    finally:
        mosquitto.kill()
    assert [document["state"] for document in seen.of("status")] == ["online", "offline"]
    assert [document["event"] for document in seen.of("pull")] == ["started", "ended"]
    assert len(seen.of("verdict")) == 1
    assert seen.of("finding")
    (raised, *_) = [d for d in seen.of("alert") if d["alert"]["kind"] == "knock_retard"]
    assert abs(raised["record_arrived_unix_ns"] - raised["created_unix_ns"]) < 5e9
    order = [document["id"] for _, document, _ in seen.messages]
    verdict = seen.of("verdict")[0]
    assert order.index(raised["id"]) < order.index(verdict["id"]), "the alert waited for the end"
    assert [name for name, _, _ in seen.messages if name != "live"][-1] == "status"


async def test_a_map_with_a_mistake_is_told_before_anything_starts(tmp_path: Path) -> None:
    station = station_in(tmp_path, "loop://", map_text=MAP.replace("unit: rpm", "unit: furlong"))
    with pytest.raises(InputFileError, match=r"map\.yaml:5:\d+: engine_speed\.unit: .*furlong"):
        async with at_work(station):
            pass
    assert not (tmp_path / "store").exists()


async def test_it_is_closed_in_the_order_that_loses_nothing(
    tmp_path: Path, plug: Plug, monkeypatch: pytest.MonkeyPatch
) -> None:
    closed: list[str] = []

    def noted(kind: type[Any]) -> None:
        close = kind.close

        def note_and_close(self: object) -> object:
            closed.append(kind.__name__)
            return close(self)

        monkeypatch.setattr(kind, "close", note_and_close)

    kinds = (BoundedQueue, PullDesk, Recorder, MqttPublisher, PageServer, Store)
    for kind in kinds:
        noted(kind)
    page, broker = "{host: 127.0.0.1, port: 0}", "{host: 127.0.0.1, port: 1}"
    async with at_work(station_in(tmp_path, plug.url, broker, page)):
        await drive(plug, 0.0, 0.5)
    assert closed == [kind.__name__ for kind in kinds]


async def test_what_the_block_raises_comes_out_by_itself_and_nothing_is_lost(
    tmp_path: Path, plug: Plug
) -> None:
    station = station_in(tmp_path, plug.url)

    async def session() -> None:
        async with at_work(station, plug) as bay:
            await drive(plug, 0.0, 6.0)
            await heard_to(bay, 6.0)
            raise KeyError("of the block")

    with pytest.raises(KeyError, match="of the block"):
        await session()
    with Store(tmp_path / "store") as store:
        assert len(store.pulls()) == 1


async def test_a_task_that_fails_ends_the_block_and_the_recording_is_whole(
    tmp_path: Path, plug: Plug, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_analysis: object, _batch: object) -> None:
        raise RuntimeError("a mistake in the program")

    monkeypatch.setattr(SessionAnalysis, "feed", broken)
    station = station_in(tmp_path, plug.url)

    async def session() -> None:
        async with at_work(station):
            await drive(plug, 0.0, 0.5)
            await asyncio.Event().wait()

    with pytest.raises(ExceptionGroup) as raised:
        await session()
    assert raised.group_contains(RuntimeError, match="a mistake in the program")
    (recording,) = (station.store / "recordings").iterdir()
    assert read_recording(recording).torn is None
