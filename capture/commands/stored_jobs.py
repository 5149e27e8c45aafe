"""Which store and job a command means: by a station file, or by the store's folder alone."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Annotated

import typer

from analysis.archive.database import DATABASE_FILE
from analysis.archive.jobs import StoreError
from analysis.archive.store import Store
from capture.station.station import Station, load_station

Where = Annotated[Path, typer.Argument(help="station file, or the folder of a store")]
JobNumber = Annotated[
    int | None, typer.Argument(help="job; without it the one pulls fall into now")
]


@contextmanager
def store_of(station: Station) -> Iterator[Store]:
    """The station's store, open. Raises StoreError."""
    url = None if station.database == "sqlite" else station.database
    with Store(station.store, url) as store:
        yield store


@contextmanager
def store_at(path: Path) -> Iterator[tuple[Store, Station | None]]:
    """The store of a station file, with the station; or of a store's folder, without one.

    Raises PullwatchError for a folder that is no store: looking must not make one.
    """
    if not path.is_dir():
        station = load_station(path)
        with store_of(station) as store:
            yield store, station
        return
    if not (path / DATABASE_FILE).is_file():
        raise StoreError(f"{path} is no store: there is no {DATABASE_FILE} in it")
    with Store(path) as store:
        yield store, None


def chosen_job(store: Store, job_id: int | None) -> int:
    """The job asked for, or the one that pulls fall into now. Raises StoreError for neither."""
    if job_id is not None:
        return store.job(job_id).id
    stage = store.current_stage()
    if stage is None:
        raise StoreError(f"{store.folder}: no job in this store yet")
    return stage.job_id
