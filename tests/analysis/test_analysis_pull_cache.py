"""Stored pulls are read once, and again where their file is no longer as it was."""

import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import demo_job
import httpx
import pytest
from page_bay import PageBay

from analysis.archive.jobs import StoreError
from analysis.archive.pull_cache import PullCache
from analysis.archive.store import Store
from analysis.publish.page.app import create_app

READ: list[str] = []


@cache
def watch_files() -> None:
    """Note every Parquet file that is opened. An audit hook stays as long as the process."""

    def note(event: str, arguments: tuple[Any, ...]) -> None:
        if event == "open" and str(arguments[0]).endswith(".parquet"):
            READ.append(Path(arguments[0]).name)

    sys.addaudithook(note)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    watch_files()
    with demo_job.fill(tmp_path) as filled:
        READ.clear()
        yield filled


async def test_a_second_view_of_a_job_reads_no_samples(store: Store) -> None:
    transport = httpx.ASGITransport(app=create_app(PageBay(store)))
    paths = [
        "/jobs/1",
        "/review?pulls=3&pulls=6",
        "/api/v1/jobs/1/comparison?baseline=1&changed=2",
        "/api/v1/overlay?pulls=3&pulls=6",
    ]
    async with httpx.AsyncClient(transport=transport, base_url="http://127.0.0.1:8710") as client:
        first = [await client.get(path) for path in paths]
        assert sorted(READ) == [Path(pull.file).name for pull in store.pulls(1)]
        READ.clear()
        again = [await client.get(path) for path in paths]
    assert [response.status_code for response in first] == [200] * len(paths)
    assert [response.content for response in again] == [response.content for response in first]
    assert READ == []


def test_a_file_changed_after_it_was_read_is_never_taken_for_the_pull(store: Store) -> None:
    store.load_report(1)
    file = store.folder / store.pull(1).file
    data = bytearray(file.read_bytes())
    data[len(data) // 2] ^= 1
    file.write_bytes(bytes(data))
    with pytest.raises(StoreError, match="not what was stored"):
        store.load_report(1)
    file.unlink()
    with pytest.raises(StoreError, match="cannot be read"):
        store.load_report(1)


def test_what_was_read_longest_ago_makes_room(store: Store) -> None:
    one, two, three = store.pulls(1)[:3]
    size = sum(s.time_s.nbytes + s.value.nbytes for s in store.report_of(one).pull.samples.values())
    kept, READ[:] = PullCache(most_bytes=int(2.5 * size)), []
    for pull in (one, two, one, three, one, two):  # the third lets the second go
        kept.read(store.folder / pull.file, pull.file_sha256)
    assert [Path(pull.file).name for pull in (one, two, three, two)] == READ
