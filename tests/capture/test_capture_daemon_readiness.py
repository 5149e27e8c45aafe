"""Readiness through the daemon: judged, ticked by the operator, kept with the pull."""

import json
from pathlib import Path

from daemon_bay import at_work, bay, drive
from patience import until
from transports import Plug

from analysis.archive.store import Store
from capture.bay.daemon import Daemon
from capture.recording.reader import read_recording

LIST = 'checklist: ["Straps tight", "Fan on"]\n'


def ticks(daemon: Daemon) -> list[bool]:
    found = daemon.live.readiness
    return [] if found is None else [point.done for point in found.checklist]


async def test_a_pull_is_kept_with_the_readiness_it_began_with(tmp_path: Path, plug: Plug) -> None:
    daemon = bay(tmp_path, plug.url, more=LIST)
    async with at_work(daemon, plug):
        await until(lambda: daemon.live.readiness is not None)
        daemon.tick(1, done=True)
        await until(lambda: ticks(daemon) == [False, True])
        await drive(plug, 0.0, 11.0)
        await until(lambda: daemon.live.last_pull is not None)
    with Store(tmp_path / "store") as store:
        (pull,) = store.pulls()
    assert pull.readiness is not None
    assert pull.readiness["at_s"] < pull.bounds.end_s
    assert pull.readiness["checklist"] == [
        {"words": "Straps tight", "done": False},
        {"words": "Fan on", "done": True},
    ]
    states = {item["name"]: item["state"] for item in pull.readiness["items"]}
    assert states["Coolant"] == "unknown", "the bay's map has no coolant"
    assert (states["Recording"], states["Free storage"]) == ("ready", "ready")
    said = [b for b in read_recording(daemon.recording).batches() if b.source == "operator"]
    assert {"ticked": 1, "done": True} in [json.loads(batch.payload(0)) for batch in said]


async def test_a_broker_that_is_away_is_a_reason(tmp_path: Path, plug: Plug) -> None:
    daemon = bay(tmp_path, plug.url, broker="{host: 127.0.0.1, port: 1}")
    async with at_work(daemon):
        await until(
            lambda: (
                daemon.live.readiness is not None
                and any(reason.startswith("Broker: ") for reason in daemon.live.readiness.reasons)
            )
        )
