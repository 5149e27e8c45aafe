"""The store's database: SQLite in the store's folder or any URL, of today's layout once opened."""

import logging
import sqlite3
from contextlib import closing
from pathlib import Path
from typing import Final

from sqlalchemy import create_engine, event, inspect, select
from sqlalchemy.engine import URL, Engine, make_url
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.exc import SQLAlchemyError
from sqlalchemy.orm import Session
from sqlalchemy.pool import ConnectionPoolEntry

from analysis.archive.jobs import StoreError
from analysis.archive.migrations import LAYOUT
from analysis.archive.tables import Table, VersionRow
from decode.on_first_use import on_first_use

upgrading = on_first_use("analysis.archive.migrations.upgrade")  # with Alembic behind it

# How long a writer waits for another process's transaction; ours last milliseconds.
LOCK_TIMEOUT_MS: Final = 5000
DATABASE_FILE: Final = "pullwatch.sqlite"  # in the store's folder, where no URL names another

logger = logging.getLogger(__name__)


def open_database(folder: Path, url: str | None) -> Engine:
    """The database with its tables: made where there are none, upgraded where they are older.

    Raises StoreError where it cannot be opened, and for tables of a layout newer than today's,
    which are left alone.
    """
    try:
        engine = _engine(folder, url)
    except (SQLAlchemyError, ImportError) as error:
        raise StoreError(f"{folder}: the store cannot be opened: {error}") from error
    try:
        _bring_to_layout(engine, folder)
    except BaseException:
        engine.dispose()
        raise
    return engine


def _bring_to_layout(engine: Engine, folder: Path) -> None:
    try:
        found = _layout(engine)
        if found is None:
            _make_tables(engine)
    except SQLAlchemyError as error:
        raise StoreError(f"{folder}: the store cannot be opened: {error}") from error
    if found is None or found == LAYOUT:
        return
    if found > LAYOUT:
        raise StoreError(
            f"{folder}: the store was made by a newer pullwatch: its tables are of layout {found}, "
            f"this program knows layouts 1 to {LAYOUT}; open it with the newer one. "
            "Nothing was changed"
        )
    try:
        done = upgrading.upgrade(engine.url)
    except (SQLAlchemyError, sqlite3.Error, OSError, StoreError) as error:
        raise StoreError(
            f"{folder}: the store is of layout {found} and could not be upgraded to {LAYOUT}; "
            f"it is as it was: {error}"
        ) from error
    if done is not None:
        logger.warning("%s: %s", folder, done)


def _layout(engine: Engine) -> int | None:
    """The layout of the tables; None where there are none."""
    if not inspect(engine).has_table(VersionRow.__tablename__):
        return None
    with Session(engine) as session:
        return session.scalars(select(VersionRow.version)).first()


def _make_tables(engine: Engine) -> None:
    with Session(engine) as session:
        Table.metadata.create_all(session.connection())
        session.add(VersionRow(version=LAYOUT))
        session.commit()


def _engine(folder: Path, url: str | None) -> Engine:
    location = (
        URL.create("sqlite", database=str(folder / DATABASE_FILE)) if url is None else make_url(url)
    )
    engine = create_engine(location)
    if engine.dialect.name == "sqlite":
        event.listen(engine, "connect", _set_up_sqlite)
    return engine


def _set_up_sqlite(connection: DBAPIConnection, _entry: ConnectionPoolEntry) -> None:
    """WAL, so that readers never wait for a writer; full sync, because a pull is dear."""
    try:
        with closing(connection.cursor()) as cursor:
            cursor.execute("PRAGMA journal_mode=WAL")
            cursor.execute("PRAGMA synchronous=FULL")
            cursor.execute("PRAGMA foreign_keys=ON")
            cursor.execute(f"PRAGMA busy_timeout={LOCK_TIMEOUT_MS}")
    except Exception:
        connection.close()  # the pool does not: it has not taken the connection yet
        raise
