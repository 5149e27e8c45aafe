"""The reviewed pulls on the compressor map, where the car has one."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from markupsafe import Markup

from analysis.checks.check import Context
from analysis.checks.operating_line import operating_line
from analysis.jobs import Stage, StoredPull
from analysis.publish.compressor_chart import compressor_chart
from analysis.setup import Setup
from analysis.setup_record import setup_from_json
from analysis.store import Store


def compressor_map(
    store: Store, pulls: Sequence[StoredPull], stages: Mapping[int, Stage], station: Setup
) -> Markup | None:
    """Pulls of one stage are drawn alike. None where the station names no map, or nothing of the
    pulls can be laid on it; a pull that was judged by another map is left out."""
    if station.compressor_map is None:
        return None
    lines = [
        (stages[pull.stage_id].name, line)
        for pull in pulls
        if (setup := _setup(pull, station)) is not None
        and (line := operating_line(store.load_report(pull.id).pull, Context(setup))) is not None
        and len(line.time_s)
    ]
    return compressor_chart(station.compressor_map, lines) if lines else None


def _setup(pull: StoredPull, station: Setup) -> Setup | None:
    """What held for the pull, with the map; None where its car had another."""
    kept = station if pull.setup is None else setup_from_json(pull.setup)
    if kept.car.compressor_map != station.car.compressor_map:
        return None
    return replace(kept, compressor_map=station.compressor_map)
