"""The air that somebody reads off, through the daemon: shown, recorded, kept with the pull."""

import json
from pathlib import Path

from daemon_bay import at_work, bay, drive
from patience import until
from transports import Plug

from analysis.archive.store import Store
from capture.recording.reader import read_recording

READ = {"barometric_kpa": 97.3, "temperature_degc": 19.0}


async def test_a_pull_is_kept_with_the_air_that_was_read_off(tmp_path: Path, plug: Plug) -> None:
    daemon = bay(tmp_path, plug.url)
    async with at_work(daemon, plug):
        daemon.read_air(READ)
        await until(lambda: daemon.live.air is not None and daemon.live.air.barometric_kpa == 97.3)
        await drive(plug, 0.0, 11.0)
        await until(lambda: daemon.live.last_pull is not None)
    with Store(tmp_path / "store") as store:
        (pull,) = store.pulls()
    assert pull.setup is not None
    air = pull.setup["air"]
    assert (air["barometric_kpa"], air["temperature_degc"]) == (97.3, 19.0)
    assert "typed by the operator" in air["origin"]
    said = [b for b in read_recording(daemon.recording).batches() if b.source == "operator"]
    assert {"air": READ} in [json.loads(batch.payload(0)) for batch in said]
