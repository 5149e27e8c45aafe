"""Readiness through the bay: judged, ticked by the operator, kept with the pull."""

from pathlib import Path

from patience import until
from small_bay import at_work, drive, station_in
from transports import Plug

from analysis.archive.store import Store
from analysis.readiness.readiness import Point
from capture.bay.bay import Bay
from capture.recording.reader import read_recording
from decode.operator_records import PointTicked, read_operator_record

LIST = 'checklist: ["Straps tight", "Fan on"]\n'


def ticks(bay: Bay) -> list[bool]:
    found = bay.live.readiness
    return [] if found is None else [point.done for point in found.checklist]


async def test_a_pull_is_kept_with_the_readiness_it_began_with(tmp_path: Path, plug: Plug) -> None:
    station = station_in(tmp_path, plug.url, more=LIST)
    async with at_work(station, plug) as bay:
        await until(lambda: bay.live.readiness is not None)
        bay.record(PointTicked(point=1, done=True))
        await until(lambda: ticks(bay) == [False, True])
        await drive(plug, 0.0, 11.0)
        await until(lambda: bay.live.last_pull is not None)
    with Store(tmp_path / "store") as store:
        (pull,) = store.pulls()
    assert pull.readiness is not None
    assert pull.readiness.at_s < pull.bounds.end_s
    assert pull.readiness.checklist == (Point("Straps tight"), Point("Fan on", done=True))
    states = {item.name.text: item.state for item in pull.readiness.items}
    assert states["Coolant"] == "unknown", "the bay's map has no coolant"
    assert (states["Recording"], states["Free storage"]) == ("ready", "ready")
    said = [b for b in read_recording(bay.recording).batches() if b.source == "operator"]
    stated = [read_operator_record(batch.payload(0)) for batch in said]
    assert PointTicked(point=1, done=True) in stated


async def test_a_broker_that_is_away_is_a_reason(tmp_path: Path, plug: Plug) -> None:
    station = station_in(tmp_path, plug.url, broker="{host: 127.0.0.1, port: 1}")
    async with at_work(station) as bay:
        await until(
            lambda: (
                bay.live.readiness is not None
                and any(reason.text.startswith("Broker: ") for reason in bay.live.readiness.reasons)
            )
        )
