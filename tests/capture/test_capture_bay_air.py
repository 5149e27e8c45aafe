"""The air that somebody reads off, through the bay: shown, recorded, kept with the pull."""

from pathlib import Path

from patience import until
from small_bay import at_work, drive, station_in
from transports import Plug

from analysis.archive.store import Store
from capture.recording.reader import read_recording
from decode.operator_records import AirRead, read_operator_record

READ = AirRead(barometric_kpa=97.3, temperature_degc=19.0)


async def test_a_pull_is_kept_with_the_air_that_was_read_off(tmp_path: Path, plug: Plug) -> None:
    station = station_in(tmp_path, plug.url)
    async with at_work(station, plug) as bay:
        bay.record(READ)
        await until(lambda: bay.live.air is not None and bay.live.air.barometric_kpa == 97.3)
        await drive(plug, 0.0, 11.0)
        await until(lambda: bay.live.last_pull is not None)
    with Store(tmp_path / "store") as store:
        (pull,) = store.pulls()
    assert pull.setup is not None
    air = pull.setup.air
    assert (air.barometric_kpa, air.temperature_degc) == (97.3, 19.0)
    assert "typed by the operator" in air.origin
    said = [b for b in read_recording(bay.recording).batches() if b.source == "operator"]
    assert READ in [read_operator_record(batch.payload(0)) for batch in said]
