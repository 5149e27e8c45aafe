"""Messages that outlive a broker which is down, and this program: a small SQLite file.

A thread of its own writes, so that nobody waits for the disk. It lets each message settle for a
moment first: with the broker up, most are acknowledged within a millisecond and never touch it.
"""

import queue
import sqlite3
import threading
import time
from concurrent.futures import Future
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from analysis.publish.messages.station import Topic

# A kill in these moments may lose what the broker has not taken yet; the store has the findings.
SETTLE_S: Final = 0.02
RETRY_S: Final = 1.0  # a full disk is asked again this often

_LAYOUT: Final = """CREATE TABLE IF NOT EXISTS outbox (
    position INTEGER PRIMARY KEY,
    id TEXT NOT NULL UNIQUE,
    topic TEXT NOT NULL,
    payload BLOB NOT NULL
)"""


@dataclass(frozen=True, slots=True)
class Outgoing:
    """One message on its way. id: the same as in its payload."""

    id: str
    topic: Topic
    payload: bytes


class Outbox:
    """Adds and removes never block and happen in the order they were asked for.

    failure: why the disk holds nothing at the moment, None while all is well.
    """

    def __init__(self, path: Path) -> None:
        self.failure: str | None = None
        self._usable = True
        self._path = path
        self._asked: queue.SimpleQueue[Outgoing | str | None] = queue.SimpleQueue()
        self._left_over: Future[list[Outgoing]] = Future()
        self._thread = threading.Thread(target=self._work, name="mqtt outbox")
        self._to_add: dict[str, Outgoing] = {}
        self._to_remove: set[str] = set()

    def start(self) -> Future[list[Outgoing]]:
        """Open the file; the result is what an earlier run left in it, oldest first."""
        self._thread.start()
        return self._left_over

    def add(self, message: Outgoing) -> None:
        """Keep the message."""
        self._ask(message)

    def remove(self, message: Outgoing) -> None:
        """Let go of a message that the broker has taken."""
        self._ask(message.id)

    def close(self) -> None:
        """Write what is left and let go of the file. Blocks for as long as the disk takes."""
        self._ask(None)
        self._thread.join()
        self._usable = False

    def _ask(self, what: Outgoing | str | None) -> None:
        if self._usable:
            self._asked.put(what)

    def _work(self) -> None:
        try:
            connection = _open(self._path)
        except (sqlite3.Error, OSError) as error:
            self.failure = f"{self._path}: {error}"
            self._usable = False
            self._left_over.set_result([])
            return
        try:
            self._left_over.set_result(_load(connection))
            while self._collect():
                self._write(connection)
            self._write(connection)
        finally:
            connection.close()

    def _collect(self) -> bool:
        """Take what was asked since; false when it is time to end."""
        unwritten = bool(self._to_add or self._to_remove)
        try:
            asked = [self._asked.get(timeout=RETRY_S if unwritten else None)]
        except queue.Empty:
            return True
        if asked[0] is not None:
            time.sleep(SETTLE_S)
        while not self._asked.empty():
            asked.append(self._asked.get())
        for each in asked:
            self._note(each)
        return None not in asked

    def _note(self, asked: Outgoing | str | None) -> None:
        if isinstance(asked, Outgoing):
            self._to_add[asked.id] = asked
        elif asked is not None and self._to_add.pop(asked, None) is None:
            self._to_remove.add(asked)

    def _write(self, connection: sqlite3.Connection) -> None:
        if not (self._to_add or self._to_remove):
            return
        added = [(m.id, m.topic.value, m.payload) for m in self._to_add.values()]
        removed = [(each,) for each in self._to_remove]
        try:
            with connection:
                connection.executemany(
                    "INSERT INTO outbox (id, topic, payload) VALUES (?, ?, ?)", added
                )
                connection.executemany("DELETE FROM outbox WHERE id = ?", removed)
        except sqlite3.Error as error:
            self.failure = f"{self._path}: {error}"
            return
        self.failure = None
        self._to_add.clear()
        self._to_remove.clear()


def _open(path: Path) -> sqlite3.Connection:
    """The file, locked for as long as it is open: two programs would send everything twice."""
    path.parent.mkdir(parents=True, exist_ok=True)
    connection = sqlite3.connect(path, timeout=0.0)
    try:
        connection.execute("PRAGMA locking_mode=EXCLUSIVE")
        connection.execute("PRAGMA journal_mode=WAL")
        # Survives a killed program; after a power cut the last moments may be missing.
        connection.execute("PRAGMA synchronous=NORMAL")
        connection.execute(_LAYOUT)
        connection.execute("BEGIN IMMEDIATE")
        connection.commit()
    except sqlite3.Error:
        connection.close()
        raise
    return connection


def _load(connection: sqlite3.Connection) -> list[Outgoing]:
    rows = connection.execute("SELECT id, topic, payload FROM outbox ORDER BY position")
    return [Outgoing(message_id, Topic(topic), payload) for message_id, topic, payload in rows]
