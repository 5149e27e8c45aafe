"""Brings a store's database to today's layout: a copy first, then all steps in one transaction.

Whatever ends it early, the database is as it was or as it should be. Alembic is loaded here only,
because it takes a fifth of a second and hardly ever is anything to be upgraded.
"""

import os
import shutil
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

from alembic.operations import Operations
from alembic.runtime.migration import MigrationContext
from sqlalchemy import Connection, create_engine, event, select, update
from sqlalchemy.engine import URL
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.pool import ConnectionPoolEntry, NullPool

from analysis.archive.jobs import StoreError
from analysis.archive.migrations import LAYOUT, steps_after
from analysis.archive.migrations.rewrite import rewrite_documents
from analysis.archive.tables import VersionRow

LOCK_TIMEOUT_S: Final = 60.0  # another process may be at the same upgrade


def upgrade(location: URL) -> str | None:
    """Upgrade the database; return what was done, in words, or None where it needs nothing.

    Raises SQLAlchemyError, sqlite3.Error or OSError, and StoreError for rows that do not fit.
    """
    engine = create_engine(location, poolclass=NullPool)
    of_sqlite = engine.dialect.name == "sqlite"
    if of_sqlite:
        event.listen(engine, "connect", _set_up_sqlite)
        event.listen(engine, "begin", _lock_sqlite)
    with engine.begin() as connection:
        found = connection.scalars(select(VersionRow.version).with_for_update()).one()
        if found >= LAYOUT:
            return None  # another process did it while this one waited
        if not of_sqlite:
            _take_steps(connection, found)
            return (
                f"the store was of layout {found} and is now of layout {LAYOUT}; pullwatch keeps "
                "no copy of a PostgreSQL database: its dumps (pg_dump) are yours to make"
            )
        copy = copy_database(Path(str(location.database)), found)
        try:
            _take_steps(connection, found)
            _check_references(connection)
        except BaseException:
            copy.unlink()  # nothing has changed, so nobody needs it
            raise
    return (
        f"the store was of layout {found} and is now of layout {LAYOUT}; it is kept as it was "
        f"in {copy}"
    )


def copy_database(database: Path, layout: int) -> Path:
    """A copy beside the database, made by SQLite's backup: whole or absent, nothing overwritten."""
    moment = datetime.now(UTC).strftime("%Y%m%dT%H%M%S.%fZ")
    copy = database.with_name(f"{database.stem}.layout-{layout}.{moment}{database.suffix}")
    unfinished = database.with_name(f"{database.stem}.copy.unfinished")
    unfinished.unlink(missing_ok=True)
    try:
        with (
            closing(sqlite3.connect(database)) as source,
            closing(sqlite3.connect(unfinished)) as target,
        ):
            source.backup(target)
        shutil.copymode(database, unfinished)
        with unfinished.open("rb+") as file:
            os.fsync(file.fileno())
        unfinished.replace(copy)
    finally:
        unfinished.unlink(missing_ok=True)
    return copy


def _take_steps(connection: Connection, found: int) -> None:
    context = MigrationContext.configure(connection, opts={"render_as_batch": True})
    operations = Operations(context)
    for layout, step in steps_after(found):
        step.change_tables(operations)
        for rewrite in step.rewrites:
            rewrite_documents(connection, rewrite, layout - 1)
    connection.execute(update(VersionRow).values(version=LAYOUT))


def _set_up_sqlite(connection: DBAPIConnection, _: ConnectionPoolEntry) -> None:
    """Transactions as in _lock_sqlite and not as the driver has them, which would leave out what
    changes tables. References are checked at the end: a table is rebuilt by dropping it."""
    connection.isolation_level = None
    cursor = connection.cursor()
    cursor.execute("PRAGMA synchronous=FULL")
    cursor.execute("PRAGMA foreign_keys=OFF")
    cursor.execute(f"PRAGMA busy_timeout={LOCK_TIMEOUT_S * 1000:.0f}")
    cursor.close()


def _lock_sqlite(connection: Connection) -> None:
    """Nobody writes between the copy and the last step."""
    connection.exec_driver_sql("BEGIN IMMEDIATE")


def _check_references(connection: Connection) -> None:
    broken = connection.exec_driver_sql("PRAGMA foreign_key_check").all()
    if broken:
        table, row_id, parent, _ = broken[0]
        raise StoreError(f"row {row_id} of {table} refers to a row of {parent} that is not there")
