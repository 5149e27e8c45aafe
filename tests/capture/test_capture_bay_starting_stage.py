"""Which job and stage a session begins with."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from analysis.archive.store import Store
from capture.bay import starting_stage
from capture.bay.starting_stage import open_stage
from capture.station.station import Station
from decode.yaml_file import parse_yaml

STATION = """\
pullwatch_station: 1
name: bay
map: map.yaml
sources: {dyno: {lines: {url: dyno, baud: 9600}}}
car: {name: hatchback}
"""


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store(tmp_path) as opened:
        yield opened


def station(job: str = "") -> Station:
    return parse_yaml(STATION + job, "station.yaml", Station)


def test_the_named_job_and_stage_are_made_once(store: Store) -> None:
    named = station("job: {name: Job 12, stage: as it came, agreed: more torque}")
    job, stage = open_stage(store, named)
    assert (job.name, job.agreed, stage.name) == ("Job 12", "more torque", "as it came")
    assert open_stage(store, named) == (job, stage)


def test_started_again_pulls_still_fall_into_the_stage_chosen_on_the_page(store: Store) -> None:
    named = station("job: {name: Job 12}")
    job, baseline = open_stage(store, named)
    changed = store.open_stage(job.id, "more boost")
    assert open_stage(store, named) == (job, changed)
    store.set_current_stage(baseline.id)
    assert open_stage(store, named) == (job, baseline)


def test_a_stage_the_job_does_not_have_is_opened(store: Store) -> None:
    job, _baseline = open_stage(store, station("job: {name: Job 12}"))
    again, stage = open_stage(store, station("job: {name: Job 12, stage: larger cooler}"))
    assert (again, stage.name) == (job, "larger cooler")
    assert store.current_stage() == stage


def test_another_named_job_is_gone_to_whatever_was_chosen(store: Store) -> None:
    open_stage(store, station("job: {name: Job 12}"))
    job, stage = open_stage(store, station("job: {name: Job 13}"))
    assert (job.name, stage.job_id, stage.name) == ("Job 13", job.id, "baseline")


def test_without_a_named_job_todays_job_of_the_page_goes_on(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    days_own, _baseline = open_stage(store, station())
    made = store.open_job("blue car")
    chosen = store.open_stage(made.id, "baseline")
    assert open_stage(store, station()) == (made, chosen)
    monkeypatch.setattr(starting_stage, "_today", lambda _made: False)
    assert open_stage(store, station())[0] == days_own
