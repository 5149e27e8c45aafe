"""Stores of every earlier layout are upgraded when they are opened, and nothing in them is lost."""

import json
import logging
import os
import shutil
import subprocess
import sys
import threading
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from archive_data.make_store import as_read, make_store
from frozen_stores import (
    FOLDER,
    NAMES,
    SERVERS,
    SIGNED,
    basis,
    dump,
    expected_reading,
    frozen_reading,
    layout_of,
    thawed,
)
from sqlalchemy import create_engine, inspect, text
from sqlalchemy.engine import make_url

from analysis.archive import migrations, pull_files
from analysis.archive.database import DATABASE_FILE
from analysis.archive.jobs import StoreError
from analysis.archive.migrations import LAYOUT
from analysis.archive.migrations.rewrite import rewrite_documents
from analysis.archive.migrations.step import Rewrite, Step
from analysis.archive.sign_off import sign, verify
from analysis.archive.store import Store
from analysis.archive.tables import Table

of_every_store = pytest.mark.parametrize("name", NAMES)
of_every_signed_store = pytest.mark.parametrize("name", SIGNED)
on_every_server = pytest.mark.parametrize("server", SERVERS)
OLDEST = "layout_1_first"


def text_of(document: Any) -> str:
    """NaN is equal to itself in text."""
    return json.dumps(document, sort_keys=True, indent=1)


def files(folder: Path) -> dict[str, bytes]:
    return {str(path): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def copies(folder: Path) -> list[Path]:
    return sorted(folder.glob("pullwatch.layout-*.sqlite"))


def test_every_layout_before_this_one_has_its_frozen_store() -> None:
    """Whoever adds a step first freezes a store of the layout before it, by make_store."""
    never_written = {4, 5}  # they came together with layout 6
    assert {layout_of(name) for name in NAMES} == set(range(1, LAYOUT)) - never_written


@on_every_server
@of_every_store
def test_every_value_reads_as_the_earlier_program_read_it(
    name: str, server: str, tmp_path: Path
) -> None:
    url = thawed(name, tmp_path / "store", server)
    for _ in range(2):  # as it is upgraded, and as it then is
        with Store(tmp_path / "store", url) as store:
            assert text_of(as_read(store)) == text_of(expected_reading(name))


@of_every_store
def test_whole_reports_of_it_open(name: str, tmp_path: Path) -> None:
    thawed(name, tmp_path / "store")
    power = {pull["id"]: pull["power"] for pull in expected_reading(name)["pulls"]}
    with Store(tmp_path / "store") as store:
        for stored in store.pulls():
            report = store.report_of(stored)
            assert report.pull.bounds == stored.bounds
            assert report.power is not None
            assert text_of(report.power.to_json()) == text_of(power[stored.id])


@on_every_server
@of_every_signed_store
def test_its_signatures_verify(name: str, server: str, tmp_path: Path) -> None:
    url = thawed(name, tmp_path / "store", server)
    with Store(tmp_path / "store", url) as store:
        assert [found.changes for found in verify(store, 1, basis(name))] == [()]


@of_every_store
def test_it_can_be_worked_in_and_signed(name: str, tmp_path: Path) -> None:
    thawed(name, tmp_path / "store")
    with Store(tmp_path / "store") as store:
        report = store.load_report(1)
        later = replace(report, pull=replace(report.pull, number=9))
        assert store.save_pull(2, "session-1", later) == 4
        sign(store, 1, "Somebody", "", basis(name))
        assert verify(store, 1, basis(name))[-1].unchanged


@on_every_server
@of_every_store
def test_its_tables_are_those_of_a_new_store(name: str, server: str, tmp_path: Path) -> None:
    url = thawed(name, tmp_path / "upgraded", server)
    with Store(tmp_path / "upgraded", url) as store:
        upgraded = schema(store)
    if url is not None:
        clear(url)
    with Store(tmp_path / "new", url) as store:
        assert upgraded == schema(store)


@on_every_server
@of_every_store
def test_its_tables_are_those_of_the_models(name: str, server: str, tmp_path: Path) -> None:
    url = thawed(name, tmp_path / "store", server)
    with Store(tmp_path / "store", url) as store, store._engine.connect() as connection:
        context = MigrationContext.configure(connection, opts={"compare_type": True})
        assert compare_metadata(context, Table.metadata) == []


def schema(store: Store) -> dict[str, Any]:
    """Every table with its columns, indexes and keys, whatever their order."""
    found = inspect(store._engine)
    return {
        table: {
            "columns": {
                column["name"]: (str(column["type"]), column["nullable"], column["default"])
                for column in found.get_columns(table)
            },
            "indexes": sorted(map(str, found.get_indexes(table))),
            "unique": sorted(map(str, found.get_unique_constraints(table))),
            "references": sorted(map(str, found.get_foreign_keys(table))),
            "key": found.get_pk_constraint(table),
        }
        for table in found.get_table_names()
    }


def clear(url: str) -> None:
    engine = create_engine(make_url(url))
    with engine.begin() as connection:
        connection.execute(text("DROP SCHEMA public CASCADE"))
        connection.execute(text("CREATE SCHEMA public"))
    engine.dispose()


@of_every_store
def test_a_copy_of_it_is_kept_and_told(
    name: str, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    thawed(name, tmp_path / "store")
    Store(tmp_path / "store").close()
    (copy,) = copies(tmp_path / "store")
    assert f".layout-{layout_of(name)}." in copy.name
    assert dump(copy) == dump(FOLDER / name / DATABASE_FILE)
    (told,) = caplog.records
    assert told.levelno == logging.WARNING
    assert f"was of layout {layout_of(name)} and is now of layout {LAYOUT}" in told.getMessage()
    assert str(copy) in told.getMessage()


def test_a_copy_can_be_put_back(tmp_path: Path) -> None:
    folder = tmp_path / "store"
    thawed(OLDEST, folder)
    Store(folder).close()
    copies(folder)[0].replace(folder / DATABASE_FILE)
    with Store(folder) as store:
        assert text_of(as_read(store)) == text_of(expected_reading(OLDEST))


def test_a_store_of_this_layout_is_not_copied(tmp_path: Path) -> None:
    for _ in range(2):
        Store(tmp_path).close()
    assert copies(tmp_path) == []


@on_every_server
def test_two_programs_that_open_it_at_once_upgrade_it_once(
    server: str, tmp_path: Path, caplog: pytest.LogCaptureFixture
) -> None:
    url = thawed(OLDEST, tmp_path / "store", server)
    both = threading.Barrier(2)

    def read(_: int) -> str:
        both.wait()
        with Store(tmp_path / "store", url) as store:
            return text_of(as_read(store))

    with ThreadPoolExecutor(2) as programs:
        assert set(programs.map(read, range(2))) == {text_of(expected_reading(OLDEST))}
    assert len(caplog.records) == 1
    assert len(copies(tmp_path / "store")) == (url is None)


def test_a_newer_layout_is_named_and_nothing_is_touched(tmp_path: Path) -> None:
    with Store(tmp_path / "store") as store, store._engine.begin() as connection:
        connection.execute(text(f"UPDATE store_version SET version = {LAYOUT + 1}"))
    (tmp_path / "store" / "pulls").rmdir()
    before = files(tmp_path)
    with pytest.raises(StoreError, match=rf"newer pullwatch.*layout {LAYOUT + 1}.*1 to {LAYOUT}"):
        Store(tmp_path / "store")
    assert files(tmp_path) == before
    assert not (tmp_path / "store" / "pulls").exists()


def fail(_: object) -> None:
    raise OSError("the disk is full")


@on_every_server
def test_a_step_that_fails_leaves_the_store_as_it_was(
    server: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "store"
    url = thawed(OLDEST, folder, server)
    with monkeypatch.context() as broken:
        broken.setattr(migrations, "STEPS", (*migrations.STEPS, Step(fail)))
        with pytest.raises(StoreError, match=r"layout 1 .*it is as it was: the disk is full"):
            Store(folder, url)
    assert copies(folder) == []
    if url is None:
        assert dump(folder / DATABASE_FILE) == dump(FOLDER / OLDEST / DATABASE_FILE)
    with Store(folder, url) as store:
        assert text_of(as_read(store)) == text_of(expected_reading(OLDEST))


def test_an_upgrade_without_room_for_the_copy_changes_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "store"
    thawed(OLDEST, folder)
    with monkeypatch.context() as broken:
        broken.setattr(shutil, "copymode", lambda *_: fail(None))
        with pytest.raises(StoreError, match="it is as it was: the disk is full"):
            Store(folder)
    assert dump(folder / DATABASE_FILE) == dump(FOLDER / OLDEST / DATABASE_FILE)
    assert [path.name for path in folder.glob("*.unfinished")] == []


KILLED = """\
import os, sys
from pathlib import Path
from analysis.archive import migrations
from analysis.archive.migrations.step import Step
from analysis.archive.store import Store
migrations.STEPS = (*migrations.STEPS, Step(lambda operations: os._exit(9)))
Store(Path(sys.argv[1]))
"""


def test_an_upgrade_that_is_killed_leaves_the_store_as_it_was(tmp_path: Path) -> None:
    folder = tmp_path / "store"
    thawed(OLDEST, folder)
    killed = subprocess.run([sys.executable, "-c", KILLED, str(folder)], env=os.environ)
    assert killed.returncode == 9
    assert dump(folder / DATABASE_FILE) == dump(FOLDER / OLDEST / DATABASE_FILE)
    with Store(folder) as store:
        assert text_of(as_read(store)) == text_of(expected_reading(OLDEST))


def marked(document: Any) -> Any:
    """A finding with another check's name, a curve with another method."""
    if "check" in document:
        return {**document, "check": f"{document['check']}, rewritten"}
    method = document["method"]
    return {**document, "method": {**method, "text": f"{method['text']}, rewritten"}}


def rewritten_again(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two steps more: power curves once, findings twice."""
    rewrites = (Rewrite("findings", "finding", marked), Rewrite("pulls", "power", marked))
    steps = (*migrations.STEPS, Step(rewrites=rewrites), Step(rewrites=rewrites[:1]))
    monkeypatch.setattr(migrations, "STEPS", steps)
    monkeypatch.setattr("analysis.archive.migrations.upgrade.LAYOUT", 1 + len(steps))
    monkeypatch.setattr("analysis.archive.database.LAYOUT", 1 + len(steps))


def evidence_texts(store: Store) -> list[str]:
    return [text_of([one.findings, one.power, one.bounds]) for one in store.evidence(1)]


@on_every_server
@of_every_signed_store
def test_signatures_verify_after_documents_were_rewritten(
    name: str, server: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    url = thawed(name, tmp_path / "store", server)
    with monkeypatch.context() as later:
        rewritten_again(later)
        with Store(tmp_path / "store", url) as store:
            pulls = frozen_reading(name)["pulls"]
            assert [found.changes for found in verify(store, 1, basis(name))] == [()]
            assert evidence_texts(store) == [
                text_of([pull["findings"], pull["power"], pull["bounds"]]) for pull in pulls
            ]
            with store._engine.connect() as connection:
                found = connection.execute(text("SELECT finding FROM findings")).scalars()
                assert all(
                    json.loads(document)["check"].endswith(", rewritten, rewritten")
                    for document in found
                )
                found = connection.execute(text("SELECT reason FROM refused")).scalars()
                assert json.loads(found.one())["text"] == "speed did not rise"


@of_every_signed_store
@pytest.mark.parametrize(
    ("change", "said"),
    [
        ("UPDATE findings SET finding = replace(finding, ', rewritten', ', altered')",
         "findings changed"),
        ("UPDATE originals SET content = replace(content, '\"check\": \"', '\"check\": \"x')",
         "findings changed"),
        ("DELETE FROM originals WHERE column_name = 'power'", "torque and power changed"),
    ],
)  # fmt: skip
def test_a_document_changed_after_the_upgrade_is_found(
    name: str, change: str, said: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    thawed(name, tmp_path / "store")
    rewritten_again(monkeypatch)
    with Store(tmp_path / "store") as store:
        with store._engine.begin() as connection:
            connection.execute(text(change))
        (found,) = verify(store, 1, basis(name))
        assert found.changes == tuple(f"pull {number}: {said}" for number in (1, 2, 3))


def test_the_first_form_stays_kept_and_null_stays_null(tmp_path: Path) -> None:
    make_store(tmp_path)
    with Store(tmp_path) as store, store._engine.begin() as connection:
        connection.execute(text("UPDATE pulls SET power = NULL WHERE id = 2"))
        rewrite = Rewrite("pulls", "power", marked)
        assert [rewrite_documents(connection, rewrite, LAYOUT) for _ in range(2)] == [2, 2]
        kept = connection.execute(text("SELECT row_id, layout FROM originals")).all()
        assert [tuple(row) for row in kept] == [(1, LAYOUT), (3, LAYOUT)]


def test_pull_files_of_an_earlier_form_are_read_through_the_steps(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    thawed("layout_3", tmp_path / "store")
    step = lambda head: {**head, "number": head["number"] + 100}  # noqa: E731
    with Store(tmp_path / "store") as store:
        known = pull_files.HEAD_STEPS
        monkeypatch.setattr(pull_files, "HEAD_STEPS", (*known, step))
        assert store.load_report(1).pull.number == 101
        later = store.save_pull(1, "session-2", store.load_report(2))
        assert store.load_report(later).pull.number == 102
        monkeypatch.setattr(pull_files, "HEAD_STEPS", known)
        newer = f"a newer pullwatch wrote it: form {2 + len(known)}"
        stored = store.pull(later)
        with pytest.raises(StoreError, match=newer):
            pull_files.read_pull(store.folder / stored.file, stored.file_sha256)


def test_the_frozen_stores_are_made_by_the_script_beside_them(tmp_path: Path) -> None:
    """Today's program makes one like them: the script still runs for the next layout."""
    make_store(tmp_path)
    made = json.loads((tmp_path / "as_read.json").read_text("utf-8"))
    assert made.keys() == frozen_reading("layout_3").keys()
    assert made["samples"] == frozen_reading("layout_3")["samples"]
