"""The stores of earlier layouts in archive_data/, as files to be opened and as a database server
would have them."""

import json
import os
import shutil
from collections.abc import Iterator
from contextlib import closing
from dataclasses import fields
from pathlib import Path
from sqlite3 import connect
from typing import Any, Final

from archive_data import make_store
from sqlalchemy import DateTime, MetaData, create_engine, select, text
from sqlalchemy.engine import make_url

from analysis.archive.database import DATABASE_FILE
from analysis.archive.migrations import steps_after
from analysis.archive.sign_off import Basis
from analysis.model.limits import Limit, Limits
from analysis.model.setup import Car, Dyno

FOLDER: Final = Path(make_store.__file__).parent
NAMES: Final = sorted(path.name for path in FOLDER.glob("layout_*"))
SIGNED: Final = [name for name in NAMES if (FOLDER / name / "signatures").is_dir()]
# a database of a PostgreSQL server that tests may fill and empty; without it they use SQLite alone
POSTGRESQL: Final = os.environ.get("PULLWATCH_TEST_POSTGRESQL")
SERVERS: Final = ("sqlite", *(("postgresql",) if POSTGRESQL else ()))


def layout_of(name: str) -> int:
    """The layout of a frozen store."""
    return int(name.split("_")[1])


def thawed(name: str, folder: Path, server: str = "sqlite") -> str | None:
    """A copy of the frozen store in the folder; its URL, None where its database is there too."""
    shutil.copytree(FOLDER / name, folder)
    if server == "sqlite":
        return None
    assert POSTGRESQL is not None
    _move(folder / DATABASE_FILE, POSTGRESQL)
    return POSTGRESQL


def _move(database: Path, url: str) -> None:
    """The tables and rows of an SQLite file, in an empty database of a server."""
    source, target = create_engine(f"sqlite:///{database}"), create_engine(make_url(url))
    tables = MetaData()
    tables.reflect(source)
    with source.connect() as read, target.begin() as write:
        write.execute(text("DROP SCHEMA public CASCADE"))
        write.execute(text("CREATE SCHEMA public"))
        rows = {
            table: read.execute(select(table)).mappings().all() for table in tables.sorted_tables
        }
        for column in (column for table in rows for column in table.columns):
            column.type = column.type.as_generic()
            if isinstance(column.type, DateTime):
                column.type = DateTime(timezone=True)
        tables.create_all(write)
        for table, found in rows.items():
            if found:
                write.execute(table.insert(), [dict(row) for row in found])
    source.dispose()
    target.dispose()
    database.unlink()


def dump(database: Path) -> list[str]:
    """Everything in an SQLite file, as SQL."""
    with closing(connect(database)) as connection:
        return list(connection.iterdump())


def frozen_reading(name: str) -> dict[str, Any]:
    """What the earlier program read."""
    found: dict[str, Any] = json.loads((FOLDER / name / "as_read.json").read_text("utf-8"))
    return found


def basis(name: str) -> Basis:
    """The map, limits and version that the frozen signature rests on."""
    limits = [Limit(**limit) for limit in frozen_reading(name)["limits"]]
    return Basis(make_store.MAP_TEXT, Limits.of(limits, {}, ""), make_store.VERSION)


def expected_reading(name: str) -> dict[str, Any]:
    """The same with what later layouts add: nothing but this may differ."""
    read = frozen_reading(name)
    del read["limits"]
    for pull in read["pulls"]:
        pull.setdefault("setup", None)
        pull.setdefault("readiness", None)
        for column in ("power", "bounds", "setup", "readiness"):
            pull[column] = _upgraded(name, "pulls", column, pull[column])
        for air in _airs(pull):
            air.setdefault("altitude_m", None)  # nobody could say them then
            air.setdefault("origin", "")
        if pull["setup"] is not None:  # nor all of the car, nor how far off the dyno may be
            for part, kind in (("car", Car), ("dyno", Dyno)):
                unsaid = dict.fromkeys(f.name for f in fields(kind))
                pull["setup"][part] = unsaid | pull["setup"][part]
        pull["findings"] = [
            _upgraded(name, "findings", "finding", finding) for finding in pull["findings"]
        ]
    for refused in read["refused"]:
        refused["reason"] = _upgraded(name, "refused", "reason", refused["reason"])
    return read


def _airs(pull: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """Of the set-up, and of each correction of its power."""
    if pull["setup"] is not None:
        yield pull["setup"]["air"]
    if pull["power"] is not None:
        corrections = [pull["power"]["correction"], *pull["power"]["other_corrections"]]
        yield from (correction["air"] for correction in corrections)


def _upgraded(name: str, table: str, column: str, document: Any) -> Any:
    for _, step in steps_after(layout_of(name)):
        for rewrite in step.rewrites:
            if (rewrite.table, rewrite.column) == (table, column) and document is not None:
                document = json.loads(json.dumps(rewrite.change(document)))
    return document
